# Die nächste Prüfung und warum; was hinter der Beanstandung steckt.
diagnosis-total-why = der Ruhestrom des ganzen Fahrzeugs entscheidet, ob es etwas zu finden gibt: { $time }, Ihr Messgerät sieht { $floor }
diagnosis-up-to = bis { $current }
diagnosis-nothing-too-much = im Ruhezustand zieht nichts zu viel
diagnosis-more = mehr
diagnosis-something-too-much = ein Stromkreis zieht zu viel; die Suche beginnt
diagnosis-unplug-why = { $name } selbst abstecken: Bleibt der Strom, liegt der Fehler in der Verkabelung von { $place }, nicht am Verbraucher
diagnosis-unplug-load = der Verbraucher zieht ihn
diagnosis-unplug-wiring = die Verkabelung hinter der Sicherung zieht ihn
diagnosis-wiring-of = die Verkabelung von { $place }
diagnosis-again-after-repair = den Gesamtstrom nach der Reparatur noch einmal messen: Er zeigt, ob es einen zweiten Fehler gibt
diagnosis-suspect = { $place } ({ $percent })
diagnosis-outside = außerhalb der aufgeführten Stromkreise
diagnosis-nothing-suspected = nichts ist verdächtig
diagnosis-feeds = { $id } versorgt { $what }
diagnosis-circuits = { $count ->
    [one] { $count } Stromkreis
   *[other] { $count } Stromkreise
}
diagnosis-why = { $subject }: { $percent } Wahrscheinlichkeit, { $time }, Ihr Messgerät sieht dort { $floor }, { $disturbs }
diagnosis-about = etwa { $current }
diagnosis-here-or-below = der Fehler liegt hier oder darunter
diagnosis-elsewhere = hier ist alles in Ordnung; der Fehler liegt woanders
diagnosis-seconds = { $number } Sekunden
diagnosis-one-minute = 1 Minute
diagnosis-minutes = { $number } Minuten
diagnosis-percent = { $percent } %
diagnosis-nothing-disturbed = nichts wird gestört
diagnosis-waking-unlikely = Aufwecken ist unwahrscheinlich
diagnosis-may-wake = weckt mit { $percent } Wahrscheinlichkeit das Fahrzeug
diagnosis-and-settings-lost = { $wake }, und gespeicherte Einstellungen gehen verloren
diagnosis-not-here = an diesem Fahrzeug nicht zu machen
diagnosis-no-rating = ohne ihren Nennstrom sagt eine Spannung an ihr keinen Strom
diagnosis-would-lose = { $what }: Gespeicherte Einstellungen gingen verloren
diagnosis-forbidden = Airbag- und Hochvoltkreise gehören nicht zu diesem Verfahren
diagnosis-unseen = Ihr Messgerät sieht dort erst ab { $floor } etwas; ein Fehler zöge etwa { $fault }
diagnosis-stuck = keine erlaubte Prüfung unterscheidet, was übrig ist: { $left }
diagnosis-owner-must-agree = beim Ziehen von { $places } gingen gespeicherte Einstellungen verloren, also muss zuerst der Halter zustimmen
diagnosis-awake = das Fahrzeug ist wach: Messungen jetzt würden verdächtigen, was gleich von selbst abschaltet; noch etwa { $time }
diagnosis-put-back-why = nur ein Ziehen spricht gegen { $name }: Wieder eingesetzt, müssen etwa { $current } zurückkommen, sonst war der Strom von selbst weg
diagnosis-about-more = etwa { $current } mehr
diagnosis-about-less = etwa { $current } weniger
diagnosis-no-less = nicht weniger als vorher
diagnosis-it-draws = das ist der Verbraucher
diagnosis-no-more = nicht mehr als vorher
diagnosis-gone = der Strom war von selbst weg; die Suche geht weiter
diagnosis-total-again = der Gesamtstrom und die anderen Messungen passen nicht zusammen: Noch einmal messen ({ $time }) zeigt, ob ein zweiter Fehler da ist, ob er außerhalb der Liste liegt oder ob beim Messen des Gesamtstroms noch etwas wach war
diagnosis-within = das Fahrzeug zieht im Ruhezustand { $draw }; zulässig sind bis zu { $limit }
diagnosis-something-outside = etwas außerhalb der aufgeführten Stromkreise
diagnosis-second-less-likely = durch { $places } erklären sich { $part } von { $all }; ein zweiter Fehler ist eher unwahrscheinlich ({ $percent }), der Gesamtstrom nach der Reparatur zeigt es
diagnosis-explained = durch { $places } erklären sich { $part } von { $all }; ohne das blieben { $left }, zulässig sind bis zu { $limit }
diagnosis-the-family = { $name }

diagnosis-check-battery = Die Ruhespannung messen, dann mit Batterietester oder Belastung prüfen.
diagnosis-check-recharge = Voll laden, ruhen lassen und noch einmal prüfen.
diagnosis-check-charging = Die Ladespannung bei erhöhter Drehzahl mit eingeschalteten Verbrauchern messen.
diagnosis-check-charging-again = Die Ladespannung noch einmal messen, warm und mit eingeschalteten Verbrauchern.
diagnosis-check-ripple = Die Welligkeit an der Batterie bei erhöhter Drehzahl messen.
diagnosis-check-usage = Fragen, wie viele Fahrten es in der Woche sind und wie lange sie dauern.
diagnosis-check-draw = Den Strom in der Batterieleitung messen, sobald es schläft.
diagnosis-check-night = Den Strom über eine Nacht aufzeichnen.

diagnosis-age = Alter der Batterie in Jahren: { $age }.
diagnosis-stands-at = Sie hat { $charge } % Ladung.
diagnosis-leak-above = Die Leitung des Generators führt bei ausgeschaltetem Fahrzeug { $current }, mehr als { $limit }.
diagnosis-leak-above-ripple = Die Leitung des Generators führt bei ausgeschaltetem Fahrzeug { $current }, mehr als { $limit }; auch die Welligkeit am Tag spricht für seine Dioden.
diagnosis-leak-below = Die Leitung des Generators führt bei ausgeschaltetem Fahrzeug { $current }, weniger als { $limit }.
diagnosis-leak-below-ripple = Die Leitung des Generators führt bei ausgeschaltetem Fahrzeug { $current }, weniger als { $limit }; die Welligkeit am Tag spricht aber für seine Dioden.
diagnosis-settled-above = Der Ruhestrom von { $draw } liegt über dem Grenzwert von { $limit }.
diagnosis-settled-not-above = Der Ruhestrom von { $draw } liegt nicht über dem Grenzwert von { $limit }.
diagnosis-no-wake-ups = Die Aufzeichnung zeigt kein Aufwachen.
diagnosis-gone-by-itself = { $current } verschwanden von selbst, während gesucht wurde.
diagnosis-wake-ups = { $count ->
    [one] { $count } Aufwachen in der Aufzeichnung kostet im Mittel { $current } zusätzlich.
   *[other] { $count }-maliges Aufwachen in der Aufzeichnung kostet im Mittel { $current } zusätzlich.
}
diagnosis-usage = Fahrten in der Woche: { $trips }, je etwa { $minutes } min; einen Start wieder zu ersetzen dauert 20 bis 30 min.
diagnosis-battery-good = Die Batterie besteht ihre Prüfungen
diagnosis-battery-weak = Die Batterie liegt unter ihren Nennwerten
diagnosis-battery-fails = Die Batterie besteht ihre Prüfungen nicht
diagnosis-battery-too-empty = Die Batterie ist zu leer für ein Urteil
diagnosis-battery-not-tested = Die Batterie ist nicht geprüft worden
diagnosis-verdict = { $verdict }.
diagnosis-verdict-with-health = { $verdict } ({ $health } % des Nennwerts).
diagnosis-complaint = { $cause } allein ist „kein Start nach { $hours } h bei { $temperature } °C“ zu { $percent } % wahrscheinlich.
diagnosis-with-draw = Mit einem Ruhestrom von { $current }
diagnosis-with-steady-draw = Mit einem üblichen fehlerhaften Ruhestrom
diagnosis-with-intermittent-draw = Mit einem üblichen zeitweiligen Verbraucher
diagnosis-with-weak-battery = Mit einer schwachen Batterie
diagnosis-with-poor-charge = Mit einer schlecht geladenen Batterie
diagnosis-with-usage = Mit einer durch die Nutzung nie vollen Batterie
