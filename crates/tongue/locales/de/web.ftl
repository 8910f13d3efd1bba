# Die Seite: Rahmen, Startseite, Geräte einlassen, Bericht.
web-title = { $page } · Nightdraw
web-to-content = Zum Inhalt
web-bench = Werkbank
web-all-jobs = : alle Aufträge
web-foot = Nightdraw arbeitet auf diesem Rechner und sendet nichts hinaus. Serviceunterlagen des Fahrzeugherstellers, örtliche Vorschriften und Fachleute gehen vor.
web-brightness = Helligkeit der Seite
web-language = Sprache
web-look-sun = Sonne
web-look-night = Nacht
web-look-device = Auto
web-look-again = Bitte noch einmal ansehen

web-let-in = Ein Handy einlassen
web-let-in-how = Richten Sie die Kamera des Handys auf das Quadrat, oder öffnen Sie darauf { $address } und geben Sie den Code ein. Er lässt ein Gerät ein und wechselt dann.
web-let-in-no-address = Dieser Rechner hat keine Adresse in einem Netz. Verbinden Sie ihn mit dem Werkstattnetz und öffnen Sie diese Seite noch einmal.
web-let-in-square = Quadratischer Code von { $address }
web-let-in-code = Code
web-locked = Zu viele falsche Codes wurden versucht. Die Tür ist für alle verriegelt, bis Sie sie hier öffnen.
web-unlock = Mit neuem Code wieder öffnen
web-devices = Eingelassene Geräte
web-devices-none = Es ist kein Gerät eingelassen.
web-devices-until = Ein Gerät bleibt eingelassen, bis Sie es fortschicken, auch wenn das Programm beendet und neu gestartet wird.
web-device-since = seit { $time }
web-device-from = zuletzt gesehen { $time } unter { $address }
web-device-away = fortgeschickt { $time }
web-sent-away = { $count ->
    [one] { $count } Gerät wurde fortgeschickt
   *[other] { $count } Geräte wurden fortgeschickt
}
web-send-away = Fortschicken
web-send-away-named = { $name }, Gerät { $number }, fortschicken
web-device-unnamed = ein Gerät
web-who = Wer ist da?
web-pairing = Koppeln
web-code-label = Code, den die Werkbank zeigt
web-code-hint = Acht Ziffern. Auf dem Rechner, auf dem Nightdraw läuft: Seite „Ein Handy einlassen“ oder das Terminal.
web-let-me-in = Einlassen
web-code-wrong = Das ist nicht der Code. Er hat acht Ziffern und wechselt nach jedem Gerät.
web-code-wait = { $count ->
    [one] Zu viele falsche Codes. Warten Sie { $count } Sekunde und lesen Sie dann den neuen Code ab.
   *[other] Zu viele falsche Codes. Warten Sie { $count } Sekunden und lesen Sie dann den neuen Code ab.
}
web-code-locked = Zu viele falsche Codes. Jemand muss die Tür am Rechner selbst wieder öffnen.
web-only-here = Nur dieser Rechner
web-start-with-lan = Nightdraw wurde nur für diesen Rechner gestartet. Starten Sie es mit --lan, um ein Handy einzulassen.
web-code-only-here = Der Code wird nur auf dem Rechner gezeigt, auf dem Nightdraw läuft.
web-own-address-only = Nightdraw antwortet nur unter seiner eigenen Adresse. Öffnen Sie die Adresse, die es beim Start ausgegeben hat.
web-from-elsewhere = Diese Änderung kam von einer fremden Seite. Öffnen Sie die eigene Seite und geben Sie sie dort ein.
web-too-often = Das war zu oft. Warten Sie ein paar Sekunden und machen Sie dann weiter.
web-too-often-title = Langsam

# Startseite.
web-jobs = Aufträge
web-start = Auftrag beginnen
web-open-demo = Beispielauftrag öffnen
web-practise = Gegen die Uhr üben
web-taught = Was fertige Aufträge lehrten
web-demo-invented = Das Beispiel ist erfunden: ein Transporter, seine Sicherungen und die Aufzeichnung einer Nacht, um alles daran auszuprobieren.
web-no-jobs = Noch kein Auftrag. Beginnen Sie mit dem Fahrzeug, seiner Batterie und dem, was der Halter sagt; alles andere kann später kommen.
web-invented = erfunden
web-not-looked-at = Seit dem Programmstart nicht angesehen.
web-entries = { $count ->
    [one] { $count } Eintrag
   *[other] { $count } Einträge
}
web-last-change = zuletzt geändert { $time }

# Zeiten.
web-seconds = { $count ->
    [one] { $count } Sekunde
   *[other] { $count } Sekunden
}
web-minutes = { $count ->
    [one] { $count } Minute
   *[other] { $count } Minuten
}

# Was das Skript sagt.
web-unsent = Noch nicht gesendet.
web-unsent-how = Es bleibt auf diesem Gerät und geht von selbst hinaus, sobald die Werkbank antwortet.
web-script-look = Bitte ansehen
web-script-discard = Verwerfen
web-script-updated = Von einem anderen Bildschirm aktualisiert.
web-script-changed = Dieser Auftrag wurde auf einem anderen Bildschirm geändert.
web-script-show = Zeigen (hier Getipptes geht verloren)
web-script-lost = Gerade keine Verbindung zur Werkbank; was Sie sehen, kann veraltet sein.
web-script-pad = Tastenfeld
web-script-delete = Löschen
web-script-decimal = Dezimalzeichen
web-script-minus = Minus
web-script-enter = Eintragen

# Was schiefging.
web-to-jobs = Zu den Aufträgen
web-back-to-job = Zurück zum Auftrag
web-back-to = Zurück zu { $name }
web-unnamed = Auftrag { $number }
web-nothing-here = Hier ist nichts
web-no-such-page = Diese Seite gibt es nicht. Der Auftrag hat vielleicht eine andere Nummer.
web-no-such-job = Kein solcher Auftrag
web-no-job-number = Einen Auftrag Nummer { $number } gibt es hier nicht.
web-unreadable = Das ließ sich nicht lesen
web-not-whole = Das Formular kam nicht vollständig an. Gehen Sie zurück und senden Sie es noch einmal.
web-too-large-title = Diese Datei ist zu groß
web-too-large = Eine Aufzeichnung darf hier bis zu { $limit } MB haben. Packen Sie sie mit gzip oder zstd, oder kürzen Sie sie auf die fragliche Nacht.
web-not-from-here = Nicht von hier
web-not-worked = Das hat nicht geklappt
web-stumbled = Die Werkbank ist über diesen Auftrag gestolpert. Eingetragenes ist erhalten; bitte melden Sie es.
web-not-entered = Das ließ sich nicht eintragen
web-no-entry = Das ist kein Eintrag.
web-no-such-entry = Einen solchen Eintrag zum Streichen gibt es nicht.
web-oddly-far = { $now }? Der letzte Messwert hier war { $last }.
web-look-again-at = Bitte noch einmal ansehen: { $page }
web-no-van = Kein virtueller Transporter
web-no-van-stream = Nur der Beispielauftrag hat einen virtuellen Transporter; leiten Sie Ihr eigenes Messgerät in nightdraw listen.
web-no-van-answer = Nur im Beispielauftrag antwortet ein virtueller Transporter; tragen Sie ein, was Ihr Messgerät zeigt.
web-van-silent-title = Darauf hat der virtuelle Transporter keine Antwort
web-van-silent = Es gibt dort keine solche Stelle, oder so lässt sich dort nicht messen. Wählen Sie eine andere Stelle oder Messart, oder tippen Sie eine Zahl.
web-demo-unreadable = Das Beispiel lässt sich nicht lesen: { $why }
web-demo-night-unreadable = Die Aufzeichnung des Beispiels lässt sich nicht lesen: { $why }
web-keep-nothing = Nichts zu übernehmen
web-keep-already = Dieser Datenstrom ist schon ein Eintrag des Auftrags, oder er läuft noch.
web-keep-unreadable = Es kam nichts Lesbares an.
web-stream-already = Es läuft schon ein Datenstrom
web-stream-wait = Warten Sie sein Ende ab, oder übernehmen Sie, was abgerissen ist; dann einen neuen beginnen.
web-stream-no-place = Kein Platz für einen Datenstrom
web-stream-no-folder = Diese Werkbank bewahrt nichts auf; starten Sie sie mit einem Datenordner.
web-no-such-place = Keine solche Stelle
web-no-place-called = In diesem Auftrag gibt es kein „{ $node }“.
web-no-such-recording = Keine solche Aufzeichnung
web-entry-no-recording = Eintrag { $entry } dieses Auftrags ist keine hier aufbewahrte Aufzeichnung.
web-cannot-be-done = Das geht nicht
web-use-the-buttons = Gehen Sie zurück zu „Was fertige Aufträge lehrten“ und benutzen Sie die Tasten dort.
web-file-gone = Die Datei ist nicht mehr hier
web-file-once-more = Bitte wählen Sie die Datei noch einmal.
web-file-not-kept = Die Datei ließ sich beim Lesen nicht ablegen: { $why }.
web-file-not-back = Die Datei ließ sich nicht wieder lesen: { $why }.
web-zero-not-taken = Der Nullpunkt der Stromzange ließ sich nicht herausnehmen
web-zero-times = { $message }. Jede Zeit mit der Stromzange neben dem Kabel als VON..BIS angeben, etwa 22:10..22:12, und die Datei noch einmal senden.
web-file-none = Keine Aufzeichnung angekommen
web-file-empty = Wählen Sie eine Datei, die nicht leer ist, und senden Sie sie.
web-file-about = Zu dieser Aufzeichnung
web-file-column = Spalte mit dem Strom
web-file-unit = Einheit dieser Spalte
web-file-unit-own = wie in der Datei
web-file-interval = Zeit zwischen zwei Werten
web-file-read-so = So lesen
web-file-above-zero = Die Zeit zwischen zwei Werten muss über null liegen.

# Die Seite öffnen, wie das Terminal es sagt.
web-port-in-use = Port { $port } ist von einem anderen Programm belegt
web-port-in-use-hint = mit --port einen anderen nennen oder --port weglassen, dann nimmt sie einen freien; vielleicht ist die Seite schon offen
web-port = Port { $port } lässt sich nicht öffnen: { $why }
web-port-below-hint = Ports unter 1024 brauchen besondere Rechte; einen höheren wählen
web-port-hint = mit --port einen anderen nennen
web-stopped = die Seite antwortet nicht mehr: { $why }
web-stopped-hint = sie noch einmal starten; was eingetragen war, ist noch da
