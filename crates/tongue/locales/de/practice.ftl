# Übungen: was zu sehen war, was der Planer getan hätte, die Wertung.
practice-why-woken = es wurde geweckt, und beurteilen lässt sich nur der Ruhestrom
practice-why-asleep-again = der Gesamtstrom zeigt, ob es jetzt schläft
practice-why-left-out = dieselbe Sicherung, aber sie bleibt draußen: Die meisten Steuergeräte wachen auf, wenn ihr Strom wiederkommt, also kommt am Ende alles zusammen wieder hinein

practice-the-total = Der Gesamtstrom
practice-with-out = Ohne { $places }
practice-with-unplugged = Mit { $place } abgesteckt
practice-saw-current = { $place }: { $current }.
practice-saw-current-awake = { $place }: { $current }, wach.
practice-saw-drop = { $place }: { $drop }.
practice-saw-drop-awake = { $place }: { $drop }, wach.
practice-drop = { $voltage } daran
practice-drop-about = { $voltage } daran, etwa { $current }
practice-drop-unseen = { $voltage } daran, zu wenig für eine Aussage über den Strom
practice-saw-fall = { $place } wurden aus { $before } Gesamtstrom { $after }.
practice-saw-fall-awake = { $place } wurden aus { $before } Gesamtstrom { $after }, wach.
practice-saw-over-range = { $place }: mehr, als das Messgerät anzeigen kann.
practice-saw-fuse-blow = { $place }: Die Sicherung des Messgeräts hat ausgelöst; eine neue ist drin.
practice-saw-nothing = { $place }: nichts gemessen.
practice-slept = Gewartet, bis es schlief.
practice-waited = { $minutes } min gewartet.
practice-put-right = { $place } in Ordnung gebracht.
practice-outside-put-right = In Ordnung gebracht, was an den Sicherungen vorbei verdrahtet ist.

practice-clamp-total = Gesamtstrom mit der Stromzange
practice-repair-outside = reparieren, was an den Sicherungen vorbei verdrahtet ist
practice-in-line-total = Gesamtstrom in Reihe messen
practice-millivolts-across = Millivolt an { $place }
practice-wait-until-asleep = warten, bis es schläft
practice-wait-minutes = { $minutes } min warten
practice-out-places = { $places } ziehen und draußen lassen
practice-back-all = alles wieder einsetzen
practice-back-places = { $places } wieder einsetzen
practice-with-back = Mit { $places } wieder drin
practice-all-back = Alles wieder eingesetzt.
practice-pull-places = { $places } ziehen
practice-clamp-place = Stromzange an { $place }
practice-unplug-place = { $place } abstecken
practice-repair-place = { $place } reparieren
practice-label-total = Gesamtstrom an der Batterie
practice-label-clamp = Stromzange an { $place }
practice-label-millivolts = Millivolt an { $place }
practice-label-pull = { $place } ziehen
practice-past-the-fuses = an den Sicherungen vorbei
practice-truth = { $place }: { $fault }, { $size }
practice-truth-in-wiring = { $place }: { $fault }, in der Verkabelung, { $size }

practice-not-one = dieser Auftrag ist keine Übung
practice-not-touched = Airbag- und Hochvoltkreise gehören nicht zu diesem Verfahren; nicht anfassen
practice-repair-where = repariert wird an einem Stromkreis; die Sicherung oder den Verbraucher selbst nennen, nicht, was mehrere versorgt
practice-one-place = „{ $verb }“ braucht genau eine Stelle
practice-one-place-hint = zum Beispiel so: { $verb } F12
practice-no-wait = das ist keine Wartezeit
practice-no-wait-hint = in Minuten bis { $most }, zum Beispiel wait 10
practice-no-test = die Prüfung „{ $typed }“ gibt es nicht
practice-no-test-hint = clamp, in-line, mv, pull, out, back, unplug, sleep, wait oder repair schreiben, und eine Stelle
practice-no-place = die Stelle „{ $name }“ gibt es an diesem Fahrzeug nicht
practice-no-place-near = war { $near } gemeint?
practice-no-place-hint = die Liste zeigt jede Stelle

practice-refused-no-node = diese Stelle gibt es an diesem Fahrzeug nicht
practice-refused-not-a-cable = eine Stromzange gehört um eine Leitung, und hier ist keine
practice-refused-no-clamp = eine Stromzange ist nicht zur Hand; in Reihe an der Batterie messen
practice-refused-out-of-reach = diese Sicherung lässt sich gesteckt nicht antasten
practice-refused-not-to-pull = ziehen lassen sich nur Sicherungen und Leitungen hinter der Batterie
practice-refused-not-out = einsetzen lässt sich nur, was gezogen ist
practice-refused-is-out = das ist gezogen oder hängt an etwas Gezogenem; erst wieder einsetzen
practice-refused-not-a-load = abstecken lässt sich nur ein Verbraucher
practice-load-nowhere = der Verbraucher „{ $id }“ fehlt im Verteilungsbaum
practice-load-feeds = „{ $id }“ speist andere Knoten und kann selbst kein Verbraucher sein

practice-setup-no-value = „{ $part }“ ist nicht NAME=WERT
practice-setup-unknown = „{ $value }“ gibt es bei einer Übung nicht für { $name }; möglich: { $known }
practice-setup-seed = eine ganze Zahl
practice-setup-reach = all, half oder none
practice-setup-level = plain oder full
practice-setup-settings = keep oder may-be-lost
practice-setup-no-name = eine Übung kennt kein „{ $name }“
practice-setup-no-kind = die Fahrzeugart „{ $kind }“ gibt es nicht; es gibt { $known }

practice-title = Übung { $seed }: { $kind }, { $fuses } Sicherungen, erfunden
practice-kind-small = Kleinwagen
practice-kind-car = Pkw
practice-kind-large = großer Pkw
practice-kind-van = Transporter
practice-complaint = Nach einigen Nächten leer. Erfunden, wie das Fahrzeug.
