# Aufzeichnungen: Ruhe oder nicht, der Grenzwert, die Spannung; was beim Lesen angenommen wurde und was an einer Datei nicht stimmt.
trace-no-settled-draw = es gibt keinen Ruhestrom
trace-cannot-compare = lässt sich nicht mit { $limit } vergleichen: { $why }
trace-draws-asleep = im Ruhezustand zieht das Fahrzeug { $draw } (± { $u } { $made-of })
trace-draws-with-wake-ups = im Ruhezustand samt Aufwachen zieht das Fahrzeug { $draw } (± { $u } { $made-of })
trace-by-log-and-meter = aus der Streuung der Aufzeichnung und der Genauigkeit des Messgeräts
trace-by-log = aus der Streuung der Aufzeichnung; die Genauigkeit des Messgeräts kommt hinzu
trace-more-than = { $draw }, mehr als { $limit }
trace-less-than = { $draw }, weniger als { $limit }
trace-too-close = { $draw }, zu nah an { $limit } für ein Urteil

trace-no-level-long-enough = keine Stufe hielt lange genug, um als Ruhe zu gelten
trace-held-too-briefly = die tiefste Stufe, { $level }, hält erst seit { $held }; es braucht { $needed }, um sie von einer weiteren Stufe nach unten zu unterscheiden
trace-no-sample = es gibt keinen Messwert zu beurteilen
trace-backwards = zeitweise fließt Strom in die Batterie, also ist das kein Ruhestrom eines abgestellten Fahrzeugs; saß die Stromzange verkehrt herum, das Vorzeichen umkehren
trace-too-short = die Aufzeichnung dauert nur { $time }; bis ein Fahrzeug schläft, vergehen Minuten bis eine Stunde

trace-charging = von { $from } bis { $to } stand die Spannung bei { $voltage }: Ein Generator oder Ladegerät war am Werk, und was da floss, ist kein Ruhestrom
trace-sag = bei { $time } fiel die Spannung von { $before } auf { $after }, während der Strom bei { $current } blieb: Das war kein Verbraucher; die Batterie selbst gibt nach oder ihr Anschluss
trace-resistance = jedes Ampere zieht die Spannung um { $drop } herunter, über { $steps } Sprünge: Batterie und Leitungen haben zusammen { $ohm }
trace-resistance-high = jedes Ampere zieht die Spannung um { $drop } herunter, über { $steps } Sprünge: Batterie und Leitungen haben zusammen { $ohm }; das ist viel für eine gesunde Batterie mit sauberen Polen, also direkt an den Polen messen
