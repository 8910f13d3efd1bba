# Die Seite eines Auftrags: nächster Schritt, Stand, Bilder, Stromkreise, Einträge, Datenstrom.
bench-nothing-more = Nichts mehr zu unterscheiden
bench-found = Gefunden
bench-see-report = Bericht ansehen
bench-repaired = Repariert und nachgewiesen
bench-within-limit = Der Ruhestrom liegt jetzt im Grenzwert
bench-hand-over = Setzen Sie wieder ein, was abgenommen war, laden Sie die Batterie voll und übergeben Sie den Bericht: Er zeigt vorher und nachher.
bench-no-fault = Kein Fehler vorhanden
bench-not-told-apart = Es wird zu viel gezogen, und nichts unterscheidet mehr, was es zieht
bench-invented-repair = Erfunden: Teil ersetzt
bench-to-do-now = Was jetzt zu tun ist
bench-to-do-find = Suchen Sie, was in diesem Stromkreis anbleibt, und beheben Sie es.
bench-to-do-enter = Tragen Sie die Reparatur hier ein.
bench-to-do-prove = Messen Sie den Gesamtstrom noch einmal, im Ruhezustand und mit demselben Messgerät: Nur das beweist die Reparatur.
bench-sure = { $name }: zu { $percent } sicher
bench-then = Danach
bench-do-next = Als Nächstes
bench-mind = Vorsicht:
bench-enter-driving = Fahrweise eintragen
bench-why = Warum:
bench-outcomes = Was jedes Ergebnis bedeuten würde
bench-done = Erledigt
bench-done-remark = Erledigt: { $what }
bench-takes = dauert { $time }
bench-may-wake = kann das Fahrzeug wecken: { $percent }
bench-wakes-nothing = weckt das Fahrzeug nicht
bench-sees = zeigt ab { $current }
bench-others = Was Sie sonst tun könnten ({ $count })
bench-left-out = Weggelassen, und warum ({ $count })
bench-left-out-at = { $test } an { $node }: { $why }
bench-left-out-test = { $test }: { $why }

bench-says-who = Wer sagt das?
bench-show-numbers = Zahlen zeigen
bench-stands = Stand der Dinge
bench-asleep-draws = Ruhestrom
bench-not-read-yet = noch nicht gemessen
bench-limit = Grenzwert
bench-over-days = Über Tage, Aufwachen eingerechnet
bench-not-accounted = Noch nicht erklärt
bench-battery = Batterie
bench-contradict = Ihre Prüfungen widersprechen sich.
bench-why-draw = Der Ruhestrom: { $entries }. ± ist eine Standardunsicherheit (JCGM 100:2008, der GUM).
bench-limit-stated = Der Grenzwert ist der für diesen Auftrag angegebene.
bench-limit-common = Für diesen Auftrag ist kein Grenzwert angegeben, also gilt die übliche Regel von 50 mA (gängige Praxis).
bench-why-days = Über Tage: der Ruhepegel mit seinem Aufwachen, aus der Aufzeichnung.
bench-why-battery = Batterie: { $why }
bench-why-fuse = Sicherung { $fuse }: { $ohm } ({ $entries }); die Tabelle sagt { $table }.
bench-no-battery-test = Batterie: noch keine Prüfung eingetragen.
bench-why-charge = Ladung { $charge }, plus oder minus { $spread }.
bench-why-explains = Strom, der die Beanstandung erklären würde: { $span }.
bench-no-entry-yet = noch kein Eintrag, nur das Übliche
bench-entry = Eintrag
bench-entries = Einträge
bench-above-limit = Der Strom liegt darüber.
bench-within = Der Strom liegt darunter.
bench-limit-unsure = Zu nah daran, um es zu sagen.
bench-limit-waits = Der Strom ist noch zu messen.
bench-see-entries = Einträge:
bench-battery-good = in Ordnung
bench-battery-recharge = zu leer zum Beurteilen: laden, dann prüfen
bench-battery-weak = schwächer als aufgedruckt
bench-battery-replace = reif für den Austausch
bench-battery-unknown = nicht geprüft
bench-second-look = Einen zweiten Blick wert

bench-flow = Wohin der Strom fließt
bench-flow-how = Breite ist Strom, Schattierung ist Verdacht. Tippen Sie einen Strang an, um dort einen Messwert einzutragen.
bench-flow-why-width = Jede Breite ist der mittlere Strom, den alle Einträge zusammen diesem Stromkreis lassen; die Summen über den Verteilungsbaum sind genau.
bench-flow-why-hatched = Schraffiert: Der Bereich, in dem der Strom in neun von zehn Fällen liegt, ist breiter als seine Hälfte und als 2 mA; eher geschätzt als gefunden.
bench-flow-why-rest = Was kein aufgeführter Stromkreis führt, hat einen eigenen Strang.
bench-flow-why-circuits = Jeder Stromkreis mit Bereich, üblichem Strom und den Einträgen dahinter steht unter { $link }.
bench-recording = Die Aufzeichnung
bench-recording-from = Aus Eintrag { $entry }, aufgezeichnet an { $node }.
bench-recording-levels = Stufen: die genaue Anpassung nach kleinsten Quadraten mit einem Preis für jeden Wechsel; Rauschen { $noise }.
bench-no-recording = Noch keine Aufzeichnung. Ein Logger über Nacht zeigt, was aufwacht.
bench-levels = Stufen der Aufzeichnung
bench-levels-count = { $count ->
    [one] { $count } Stufe
   *[other] { $count } Stufen
}
bench-levels-first = , die ersten { $count }
bench-from = Von
bench-for-how-long = Dauer
bench-level = Pegel
bench-state-awake = wach
bench-state-settling = schläft ein
bench-state-asleep = in Ruhe
bench-state-woke = aufgewacht
bench-state-unclear = unklar
bench-nights = Die nächsten Nächte
bench-starts-in-morning = Springt es morgens an?
bench-with-weather = Mit dem Wetter jeder Nacht
bench-nights-why-draw = Gerechnet mit: { $draw }.
bench-what-is-usual = dem üblichen Ruhestrom
bench-nights-why-loss = Selbstentladung der Batterie: { $current }.
bench-nights-why-crank = Unter { $charge } Ladung startet dieser Motor nicht mehr ({ $low } bis { $high }).
bench-nights-why-recharge = Das jetzt Fehlende nachzuladen dauert etwa { $time }.
bench-no-forecast = Noch keine Vorhersage.
bench-still-starts = So abgestellt, sollte es noch { $time } lang anspringen (in neun von zehn Fällen).
bench-starts-long = So abgestellt, springt es länger an, als sich sagen lässt.
bench-charge-ahead = Ladung in der nächsten Zeit
bench-charge-band = Restladung mit ihrem Bereich von 5 bis 95 %
bench-after = Nach
bench-charge = Ladung
bench-band = Bereich
bench-no-start = Kein Start
bench-low-to-high = { $low } bis { $high }
bench-nights-region = Kein Start nach jeder Nacht
bench-nights-caption = Heute Abend abgestellt, morgens gestartet
bench-cold = Temp.
bench-night = Nacht { $number }
bench-frost-hours = Zeit bis zum Einfrieren, in neun von zehn Fällen: { $time }.
bench-half-charge = Halbe Ladung: { $time } (in neun von zehn Fällen).

bench-odds = Was dahintersteckt
bench-odds-source = Wie oft jede Ursache vorkommt und wie gut jede Prüfung sie erkennt, ist aus Erfahrung und gängiger Praxis; fertige Aufträge schärfen es. Ein Paar von Ursachen zählt für jede halb.
bench-moves-most = Bringt am meisten:
bench-worth = { $time } Arbeit, spart wahrscheinlich { $saved }.
bench-for-it = Dafür:
bench-against = Dagegen:
bench-neither = Noch spricht kein Eintrag dafür oder dagegen.
bench-quick-check = Schnelle Prüfung:

bench-circuits = Stromkreise
bench-no-circuits = Noch sind keine Sicherungen oder Leitungen beschrieben. { $link }.
bench-add-list = Sicherungsliste hinzufügen
bench-circuits-region = Stromkreise mit ihrem Strom
bench-circuits-caption = Ruhestrom: mittlerer Wert und der Bereich, in dem er in neun von zehn Fällen liegt
bench-circuit = Stromkreis
bench-draw = Strom
bench-suspicion = Verdacht
bench-circuits-why-sums = Jeder Messwert engt die Ströme ein, die er umfasst, im Verteilungsbaum hinauf und hinab; die Summen sind genau gerechnet.
bench-circuits-why-usual = Übliche Ströme und Fehlerwahrscheinlichkeiten kommen von der Art des Verbrauchers oder von dem, was für ihn angegeben ist.
bench-circuits-why-shades = Schattierung und Wort: frei unter 2 %, eher nicht bis 10 %, möglich bis 50 %, wahrscheinlich bis 90 %, darüber fast sicher.
bench-enter-at = Messwert eintragen an
bench-keeps-settings = hält Einstellungen
bench-usual = üblich { $current }
bench-from-entries = Quelle: { $entries }
bench-battery-total = Batterie (gesamt)

bench-everything = Alle Einträge
bench-nothing-yet = Noch nichts.
bench-entry-number = Eintrag { $number }
bench-struck = gestrichen
bench-look-at-it = Ansehen
bench-restore = Wiederherstellen
bench-strike = Streichen
bench-the-entry = Eintrag { $number }

bench-invented-demo = erfundenes Beispiel
bench-go-on-rehearsal = Mit der Übung weitermachen
bench-enter-else = Etwas anderes eintragen
bench-learned = { $count ->
    [one] Die Wahrscheinlichkeiten stützen sich auf { $count } anderen fertigen Auftrag.
   *[other] Die Wahrscheinlichkeiten stützen sich auf { $count } andere fertige Aufträge.
}
bench-learned-which = Ansehen oder weglassen
bench-take-along = Zum Mitnehmen
bench-how-to-connect = So schließen Sie es an
bench-a-week = Eine Woche: Fahren und Stehen
bench-the-report = Bericht für Halter und Werkstatt
bench-as-file = Auftrag als Datei
bench-van-answered = Der virtuelle Transporter hat geantwortet:
bench-entered = Eingetragen:
bench-undo = Rückgängig
bench-about = Fahrzeug, Batterie, Beanstandung
bench-owner-says = Der Halter sagt
bench-no-start-after = Springt nicht an nach
bench-no-start-at = { $time } bei { $temperature }
bench-years-old = { $age } Jahre alt
bench-instruments = Messgeräte
bench-use-and-parking = Nutzung und Stellplatz
bench-change-this = Ändern, Sicherungen ergänzen
bench-new-job = Neuer Auftrag zu diesem Fahrzeug

# Was gerade eingeht.
bench-coming-in = Läuft gerade ein
bench-came-in = Lief ein
bench-watch-live = Ein Messgerät, live
bench-when-step = Wenn ein Sprung kommt
bench-sound = Ton bei einem Sprung
bench-flash = Blinken bei einem Sprung
bench-watch = Einem Messgerät zusehen, das seine Werte sendet
bench-pipe = Leiten Sie seine Zeilen auf diesem Rechner in Nightdraw; was ankommt, wird hier gezeigt und beim Auftrag aufbewahrt:
bench-pipe-what = Alles, was je Zeile einen Wert schreibt, eignet sich. LOGGER steht für das Programm, das Ihr Messgerät ausliest.
bench-van-stream = Messgerät des virtuellen Transporters laufen lassen
bench-van-stream-what = Ein erfundenes Einschlafen, dreißigmal so schnell wie ein echtes.
bench-cut-off = Der Datenstrom ist abgerissen.
bench-cut-off-what = Empfangen von { $from } bis { $to }, { $samples }. Alles ist gespeichert.
bench-make-entry = Als Eintrag übernehmen
bench-samples = { $count ->
    [one] { $count } Wert
   *[other] { $count } Werte
}
bench-lines-left-out = { $count ->
    [one] { $count } Zeile ausgelassen
   *[other] { $count } Zeilen ausgelassen
}
bench-so-far = bisher { $time }
bench-nothing-comes = Seit einer Weile kommt nichts. Ist das Messgerät noch an?
bench-level-now = Pegel { $level }.
bench-what-happened = Was geschah
bench-gone = Der Datenstrom ist abgerissen. Alles Empfangene ist gespeichert; öffnen Sie diese Seite noch einmal, um es zu übernehmen.
bench-last-minutes = Die letzten { $minutes } Minuten: von { $low } bis { $high }
bench-step-of = Sprung um { $change }
bench-step-marked = bei der Marke „{ $mark }“ um { $clock }.
bench-step-at = um { $clock }.
bench-enter-pulled = Eintragen: { $node } gezogen
bench-is-out = { $node } ist jetzt raus
bench-mark = Marke
bench-marked = Markiert
bench-this-moment = dieser Moment
bench-out = { $node } raus
bench-mark-it = Markieren
bench-key-m = (Taste M)

# Eine Aufzeichnung aus der Nähe.
bench-scope-keys = Aufzeichnung: Pfeiltasten verschieben, Plus und Minus ändern den Maßstab, A und B setzen Marken (mit Umschalt rückwärts), die Home-Taste zeigt alles
bench-scope-dragging = Was Ziehen bewirkt
bench-scope-drag = Ziehen:
bench-scope-measure = messen
bench-scope-move = schieben
bench-scope-earlier = Früher
bench-scope-later = Später
bench-scope-closer = Näher
bench-scope-wider = Weiter
bench-scope-all = Alles
bench-scope-whole = Alles: die ganze Aufzeichnung
bench-scope-moves = In der Aufzeichnung bewegen
bench-scope-none = Zwischen den Marken liegt kein Wert.
bench-scope-how = Ziehen Sie über das Bild, um Pegel, Sprung und Ladung eines Abschnitts zu messen.
bench-scope-by-time = Marken nach Zeit setzen
bench-scope-a = Marke A
bench-scope-b = Marke B
bench-scope-such-as = Etwa 22:10, 90 min oder 1,5 h.
bench-scope-go = Messen
bench-scope-mean = Mittlerer Pegel
bench-scope-step = Sprung von A nach B
bench-scope-no-step = keiner
bench-scope-time = Zeit von A bis B
bench-scope-samples = { $samples } von { $from } bis { $to } nach Beginn; kleinster { $low }, größter { $high }.
bench-scope-why-mean = Mittel und Ladung: gerade Linien von Wert zu Wert (Trapeze). ± ist eine Standardunsicherheit aus Streuung, Rundung und Lücken (JCGM 100:2008, der GUM); die Genauigkeit des Messgeräts kommt hinzu.
bench-scope-why-step = Sprung: der Pegel bei B minus der bei A; keiner, wenn beide auf einer Stufe liegen.
bench-scope-missing = { $time } ohne Werte, gerade überbrückt.
bench-recording-at = Aufzeichnung: { $node }
bench-recording-of = Aufzeichnung: { $name }

bench-cost-clamp = Die Minuten, um eine Stromzange anzulegen, die Anzeige abzuwarten und abzulesen, sind gängige Praxis; an einer Sicherung, die erst überbrückt werden muss, kommen Erreichen und Überbrücken dazu, aus Erfahrung. Nichts verliert seine Versorgung, also wacht nichts auf.
bench-cost-in-line = Die Minuten, um ein Amperemeter mit Überbrückung einzuschleifen, sind gängige Praxis; an einer Sicherung, die erst überbrückt werden muss, kommen Erreichen und Überbrücken dazu, aus Erfahrung. Nichts verliert seine Versorgung, also wacht nichts auf.
bench-cost-millivolt = Die zwanzig Sekunden, um über einer Sicherung zu messen, sind gängige Praxis. Die Sicherung bleibt stecken, also wacht nichts auf.
bench-cost-interrupt = Die Minuten sind die, um den Stromkreis zu erreichen, und eine halbe, bis sich der Gesamtstrom beruhigt. Sie und die Aussicht, das Fahrzeug zu wecken, gehören zur Art des Verbrauchers und stammen aus Erfahrung: veröffentlichte Zahlen wurden nicht gefunden. Was Sie für dieses Fahrzeug angeben, tritt an ihre Stelle.
bench-cost-wait = Gewartet wird so lange, wie dieses Fahrzeug in seiner Aufzeichnung gebraucht hat; ohne Aufzeichnung ist eine halbe Stunde gängige Praxis.
bench-cost-other = Die Minuten sind, was eine solche Prüfung am Fahrzeug gewöhnlich dauert, aus Erfahrung.
bench-older-entries = { $count ->
    [one] { $count } früherer Eintrag
   *[other] { $count } frühere Einträge
}
bench-clear-circuits = { $count ->
    [one] { $count } unverdächtiger Stromkreis
   *[other] { $count } unverdächtige Stromkreise
}
bench-rehearsal-answers = So würde der Planer vorgehen. Hier antwortet das erfundene Fahrzeug: machen Sie die Prüfung in der Übung, sie trägt die Zahl ein.
bench-nothing-came-yet = Noch ist nichts gekommen; der erste Messwert wird hier stehen.
