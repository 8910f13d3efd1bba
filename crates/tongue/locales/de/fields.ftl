# Einträge und Formulare: was an einem Feld nicht stimmt und was zu tun ist.
fields-say-when = den Zeitpunkt nennen, etwa at = "2026-03-02T20:10:00Z"
fields-incomplete = der Eintrag ist unvollständig
fields-incomplete-hint = Fehlendes ergänzen
fields-say-how = angeben, wie gemessen wurde: clamp, in-line, millivolt oder shunt
fields-say-asleep = angeben, ob das Fahrzeug schlief: true oder false
fields-only-shunt = nur eine Messung an einem Shunt hat einen Shuntwiderstand
fields-only-shunt-hint = weglassen oder how = shunt schreiben
fields-say-value = angeben, was das Messgerät zeigte, etwa 412mA oder 2.1mV
fields-needs-shunt = eine Spannung an einem Shunt braucht dessen Widerstand
fields-needs-shunt-hint = ergänzen, etwa shunt = "1mohm", oder den Wert als Strom schreiben
fields-current-or-millivolt = den Strom schreiben, etwa 412mA, oder angeben, dass Millivolt gemessen wurden
fields-unit-drop = mit Einheit schreiben, etwa 2.1mV oder 412mA
fields-the-pull = dem Ziehen
fields-the-refit = dem Einsetzen
fields-the-unplugging = dem Abstecken
fields-not-a-load = { $node } lässt sich nicht abstecken
fields-not-a-load-hint = einen Verbraucher oder seine Sicherung nennen
fields-say-before = den Gesamtstrom vor { $done } angeben, im Ruhezustand, etwa 412mA
fields-say-after = den Gesamtstrom nach { $done } angeben, wieder im Ruhezustand, etwa 90mA; beide weglassen, wo ein Messgerät aufzeichnet
fields-say-cranking = den angezeigten Kaltstartstrom angeben, etwa 530A
fields-say-standard = angeben, auf welche Norm er eingestellt war: en, sae, iec, din oder jis
fields-say-speed = angeben, wie der Motor lief: idle, raised oder loaded
fields-say-recording = die Aufzeichnung nennen, etwa file = "night.csv"
fields-say-entry = die Nummer des zu streichenden Eintrags angeben, gezählt ab 1
fields-no-entry-zero = einen Eintrag 0 gibt es nicht
fields-counted-from-one = Einträge zählen ab 1
fields-say-where = angeben, wo gemessen wurde; „battery“ ist der Gesamtstrom
fields-say-fuses = die Sicherungen nennen, etwa nodes = ["F3", "F4"]
fields-say-words = in wenigen Worten angeben
fields-say-before-voltage = die Ruhespannung am Anfang angeben, etwa 12.62V
fields-say-after-voltage = die Spannung am Ende angeben, etwa 12.58V
fields-say-stood = angeben, wie lange sie allein stand, etwa 14h
fields-say-resistance = den angezeigten Widerstand angeben, etwa 5.2mohm
fields-say-lowest = die niedrigste Zelle angeben, etwa lowest = 1.235
fields-say-highest = die höchste Zelle angeben, etwa highest = 1.255
fields-swap = beide tauschen
fields-say-drop = die verlorene Spannung angeben, etwa 0.25V
fields-say-drop-place = angeben, wo: starter-positive, starter-ground, charging-positive, charging-ground oder connection
fields-say-trip = angeben, wie lang eine Fahrt ist, etwa minutes_per_trip = 15
fields-say-trips = angeben, wie viele Fahrten in der Woche, etwa trips_per_week = 10
fields-stamp-hint = zum Beispiel so: 2026-03-02T20:10:00Z
fields-yes-or-no = ja oder nein angeben (yes, no)
fields-true-or-false = true oder false schreiben, ohne Anführungszeichen
fields-check-number = Zahl und Einheit prüfen
fields-describe-instrument = unter [[instrument]] beschreiben oder weglassen
fields-name-node = einen Knoten des Verteilungsbaums nennen, oder „battery“ für den Gesamtstrom
fields-write-current = den Strom schreiben, etwa 412mA
fields-no-voltage = dieses Messgerät zeigt keine Spannung
fields-name-fuse = die Sicherung nennen oder den Strom mit einer Stromzange messen
fields-no-fuse = es ist keine Sicherung genannt
fields-say-pulled = nennen, was gezogen oder gesteckt wurde
fields-not-the-battery = die Batterie selbst lässt sich nicht ziehen
fields-not-the-battery-hint = die Sicherungen nennen; ohne Batterie gibt es keinen Gesamtstrom
fields-each-once = jede nur einmal nennen
fields-no-entry-yet = es gibt noch keinen Eintrag
fields-needs = Hier fehlt „{ $field }“ ({ $place })
fields-place-entry = der Eintrag
fields-place-usage = die Nutzung
fields-no-field = { $place }: ein Feld „{ $field }“ gibt es nicht
fields-did-you-mean = war „{ $near }“ gemeint?
fields-did-you-mean-of = war „{ $near }“ gemeint? Möglich sind { $known }
fields-can-hold = möglich sind { $known }
fields-can-be = möglich sind { $known }
fields-not-text = „{ $field }“ ist { $value }, kein Text
fields-quotes = in Anführungszeichen schreiben: { $field } = "…"
fields-no-moment = „{ $value }“ ist kein Zeitpunkt mit Datum, Uhrzeit und Zone
fields-neither-yes-nor-no = „{ $field }“ ist { $value }, weder ja noch nein
fields-not-whole = „{ $field }“ ist { $value }, keine ganze Zahl
fields-not-number = „{ $field }“ ist { $value }, keine Zahl
fields-example = zum Beispiel so: { $field } = { $example }
fields-bare-number = „{ $field }“ ist die bloße Zahl { $value }
fields-unit-in-quotes = mit Einheit und in Anführungszeichen schreiben ({ $quantity }), etwa { $examples }
fields-not-a = „{ $field }“ ist { $value } und kein Wert für: { $quantity }
fields-no-choice = „{ $value }“ kommt für „{ $field }“ nicht infrage
fields-not-names = „{ $field }“ ist { $value }, keine Liste von Namen
fields-a-list = eine Liste
fields-a-table = eine Tabelle
fields-no-kind = „{ $kind }“ ist keine Art von Eintrag
fields-a-voltage = „{ $value }“ ist eine Spannung, aber dieses Messgerät zeigt einen Strom
fields-say-voltage = die Spannung angeben, etwa { $example }
fields-lowest-above = die niedrigste Zelle, { $low }, liegt über der höchsten, { $high }
fields-no-instrument = ein Messgerät „{ $name }“ gibt es nicht
fields-known-are = bekannt sind { $known }
fields-no-node = einen Knoten „{ $node }“ gibt es nicht
fields-not-across-fuse = Millivolt misst man an einer Sicherung, und „{ $node }“ ist keine
fields-twice = „{ $node }“ ist zweimal genannt
fields-struck-already = Eintrag { $entry } ist schon gestrichen
fields-strikes-itself = Eintrag { $entry } kann sich nicht selbst streichen
fields-no-entry-before = vor diesem gibt es keinen Eintrag { $entry }
fields-name-standing = einen gültigen Eintrag von 1 bis { $last } nennen
fields-age = „{ $text }“ ist kein Alter
