# Die Befehlszeile: was ein Mensch von assess, job und read liest. Bezeichnungen stehen in Spalten von 14 und 16 Zeichen.
cli-next = Nächster Schritt: { $headline } (etwa { $minutes } min)
cli-caution = Vorsicht: { $text }
cli-or = Oder: { $headlines }
cli-culprit = Verursacher: { $place } ({ $percent })
cli-total-draw = Gesamtstrom
cli-long-run = auf Dauer
cli-unaccounted = ungeklärt
cli-battery = Batterie
cli-battery-good = gut
cli-battery-recharge = laden und noch einmal prüfen
cli-battery-weak = schwach
cli-battery-replace = ersetzen
cli-battery-unknown = nicht geprüft
cli-contradicting = { $verdict }; ihre Prüfungen widersprechen sich
cli-can-stand = kann stehen
cli-may-freeze = kann gefrieren
cli-about = etwa { $middle } ({ $low } bis { $high })
cli-after-about = bis dahin etwa { $middle } ({ $low } bis { $high })
cli-complaint = Beanstandung
cli-cause = Ursache der Beanstandung
cli-speaks-for = dafür: { $reason }
cli-speaks-against = dagegen: { $reason }
cli-moves-most = klärt am meisten: { $check }
cli-fuse = Sicherung { $fuse }: { $ohm } aus anderen Messungen; die Tabelle sagt { $table }.
cli-note = Hinweis: { $text }
cli-leans-on = Die Wahrscheinlichkeiten stützen sich auf { $jobs } (nightdraw history; --without-history lässt sie weg).
cli-finished-jobs = { $count ->
    [one] { $count } abgeschlossenen Auftrag
   *[other] { $count } abgeschlossene Aufträge
}
cli-circuits = Stromkreise, die verdächtigsten zuerst
cli-and-more = und { $count } weitere

cli-too-much = ZU VIEL: { $because }
cli-in-order = IN ORDNUNG: { $because }
cli-not-sure = UNSICHER: { $because }
cli-settled-draw = Ruhestrom
cli-since = { $draw } seit { $time }
cli-not-settled = keine Ruhe
cli-expected-at = { $why } (erwartet bei { $time })
cli-wake-ups = Aufwachen
cli-one-each = eines alle { $period }
cli-each-long = je { $time } lang
cli-extra-in-all = zusammen { $charge } zusätzlich
cli-long-run-label = auf Dauer
cli-wake-ups-included = { $draw }, Aufwachen eingerechnet
cli-average = Mittel
cli-over = { $draw } über { $time }
cli-charge = Ladung
cli-levels = Stufen
cli-levels-noise = { $levels }, Rauschen { $noise }, { $samples } Messwerte

cli-job = Auftrag { $job }: { $name }
cli-entries = Einträge
cli-struck = (gestrichen)
