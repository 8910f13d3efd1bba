# Die Befehlszeile: was ein Mensch von assess, job und read liest. Bezeichnungen stehen in Spalten von 14 und 16 Zeichen.
cli-next = Nächster Schritt: { $headline } (etwa { $minutes } min)
cli-caution = Vorsicht: { $text }
cli-or = Oder: { $headlines }
cli-culprit = Verursacher: { $place } ({ $percent })
cli-no-fuses = in { $file } ist keine Sicherung
cli-no-fuses-hint = eine Sicherung je Zeile schreiben, zum Beispiel F12 15A Radio
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

# Dateien und Aufträge, die nicht zu haben sind.
cli-cannot-read = { $name } lässt sich nicht lesen: { $why }
cli-cannot-write = { $name } lässt sich nicht schreiben: { $why }
cli-cannot-write-to = in { $name } lässt sich nicht schreiben: { $why }
cli-no-such-file = die Datei oder der Ordner fehlt
cli-no-such-file-hint = Name und Ordner prüfen
cli-no-permission = keine Berechtigung
cli-no-permission-hint = prüfen, wer sie lesen oder schreiben darf
cli-disk-full = der Datenträger ist voll
cli-disk-full-hint = etwas Platz schaffen und noch einmal versuchen
cli-it-is-a-folder = das ist ein Ordner
cli-it-is-a-folder-hint = eine Datei darin nennen
cli-standard-input = Standardeingabe
cli-standard-output = Standardausgabe
cli-is-a-folder = { $name } ist ein Ordner
cli-is-a-folder-hint = eine Aufzeichnung darin nennen
cli-no-job-file = die Auftragsdatei { $name } gibt es nicht
cli-no-job-file-hint = eine Auftragsdatei nennen oder die Nummer eines aufgehobenen Auftrags (nightdraw job list)
cli-too-long = { $name } ist { $size } MB lang, zu lang für eine Auftragsdatei
cli-too-long-hint = eine Auftragsdatei nennen; eine Aufzeichnung liest nightdraw read
cli-not-text = { $name } ist kein Text
cli-not-text-hint = eine Auftragsdatei in TOML nennen; eine Aufzeichnung liest nightdraw read
cli-file-line = { $name }, Zeile { $line }
cli-no-home = dieses Konto hat keinen eigenen Ordner, in dem Aufträge liegen könnten
cli-no-home-hint = einen mit --data ORDNER nennen
cli-check-number = Zahl und Einheit prüfen
cli-label-hint = vom Etikett --capacity 60Ah, --cranking 540A oder --reserve 90min angeben
cli-report-this = bitte melden

# read.
cli-picture-written = Bild in { $name } geschrieben
cli-reference-twice = --reference liest die Aufzeichnung zweimal, und die Standardeingabe kommt nur einmal
cli-name-a-file = eine Datei nennen
cli-same-column = { $other } und { $option } nennen dieselbe Spalte „{ $column }“
cli-same-column-hint = zwei Spalten nennen oder eine davon suchen lassen
cli-comes-before = „{ $to }“ kommt vor „{ $from }“
cli-comes-before-hint = die frühere Zeit zuerst angeben
cli-no-interval = „{ $text }“ ist kein Zeitraum
cli-no-interval-hint = zum Beispiel so: --zero 22:10..22:12
cli-penalty = der Preis je Sprung muss eine Zahl sein, null oder größer
cli-clamp-or-not = „{ $text }“ sagt nicht, ob es eine Stromzange ist
cli-clamp-or-not-hint = --how clamp oder --how in-line dazuschreiben
cli-logs-no-ampere = { $text } zeichnet keine Ampere auf
cli-logs-no-ampere-hint = eine Stromzange oder ein Messgerät im Stromkreis nennen
cli-zero-hint = die Zeiten der Aufzeichnung ansehen und jeden Zeitraum als VON..BIS angeben
cli-no-current-unit = „{ $unit }“ ist keine Einheit des Stroms
cli-no-current-unit-hint = --unit A, --unit mA oder --unit uA schreiben
cli-limit-hint = den Grenzwert angeben, zum Beispiel --limit 50mA
cli-a-fuse = eine Sicherung
cli-act-pulled = { $name } gezogen
cli-act-put-back = { $name } eingesetzt
cli-act-outside = `{ $typed }` liegt außerhalb der Aufzeichnung, die { $last } dauert, und bleibt außer Acht
cli-from-to = { $from } bis { $to }

# listen.
cli-virtual-van = virtueller Transporter
cli-was-read = { $why }; gelesen ist, was bis dahin kam
cli-stopped = angehalten
cli-here = hier
cli-kept-as = aufgehoben als Eintrag { $number }
cli-received-and-cut = was seit { $time } kam und dann abriss, ist jetzt Eintrag { $number }
cli-place-hint = mit --node eine Stelle des Auftrags nennen, wie nightdraw job show sie aufführt
cli-file-exists = { $name } gibt es schon und ginge verloren
cli-file-exists-hint = einen anderen Namen für --save wählen
cli-level-since = Stufe { $level } seit { $clock }
cli-seconds-ago = vor { $seconds } s

cli-speed = eine Zahl von { $from } bis { $to } angeben, zum Beispiel 60 für eine Minute in einer Sekunde

# park.
cli-park-starts = Bei { $draw } und { $temperature } sollte es etwa { $middle } lang noch starten; in 9 von 10 Fällen zwischen { $low } und { $high }.
cli-park-no-end = Bei { $draw } und { $temperature } ist kein Ende abzusehen.
cli-park-half = Halb geladen: { $time }.
cli-park-self-discharge = Die Selbstentladung zählt wie { $current }.
cli-park-recharge = Nachladen, was jetzt fehlt, dauert etwa { $time }.
cli-park-this-evening = Heute Abend abgestellt, am Morgen kein Start:
cli-park-night = Nacht
cli-park-charge = { $share } geladen
cli-park-too-many = { $count } Nächte sind mehr als die { $most }, die sich vorausschauen lassen
cli-park-too-many-hint = nur die kommenden Nächte nennen

# balance: Bezeichnungen stehen in einer Spalte von 15 Zeichen, die darunter in einer von 17.
cli-balance-too-long = { $trips } Fahrten von { $minutes } min sind länger als eine Woche
cli-balance-too-long-hint = die Fahrten einer Woche und die Dauer einer Fahrt angeben
cli-balance-not-driven = Gar nicht gefahren: nightdraw park sagt, wie lange es stehen kann.
cli-balance-takes = Woche braucht
cli-balance-draw = Ruhestrom
cli-balance-self-discharge = Selbstentladung
cli-balance-starts = Starts
cli-balance-engine-off = Motor aus
cli-balance-gives = Fahren bringt
cli-balance-at-three-quarters = { $charge }, wenn sie zu drei Vierteln voll ist
cli-balance-room = Platz für
cli-balance-room-more = { $current } mehr im Stand
cli-balance-hold = es hielte sie
cli-balance-holders = eine Erhaltungsladung mit { $current } oder ein Solarmodul mit { $watt } W im Winter
cli-balance-with = mit { $current } mehr
cli-balance-fits = passt: Die Batterie { $level }
cli-balance-fits-not = passt nicht: Die Batterie { $level }
cli-balance-settles-at = pendelt sich dann bei etwa { $level } ein
cli-balance-runs-empty = wird dann mit der Zeit leer
cli-balance-range = in 9 von 10 Fällen zwischen { $low } und { $high }
cli-balance-keeps = Sie hält ihre Ladung und pendelt sich bei etwa { $level } ein ({ $range }).
cli-balance-low = Sie pendelt sich niedrig ein, bei etwa { $level } ({ $range }); unter drei Vierteln altert eine Bleibatterie schnell.
cli-balance-not = Sie hält ihre Ladung nicht (Wahrscheinlichkeit, dass doch: { $sure }).
cli-balance-not-within = Sie hält ihre Ladung nicht (Wahrscheinlichkeit, dass doch: { $sure }), von voll auf halb in etwa { $time }.

# hookup: Bezeichnungen stehen in einer Spalte von 15 Zeichen, die darunter in einer von 19.
cli-hookup-steps = Schritte
cli-hookup-settings = Einstellungen: { $why }
cli-hookup-reading = Anzeige
cli-hookup-within = auf ±{ $width }
cli-hookup-sees = sieht ab
cli-hookup-too-small = zu klein
cli-hookup-shows-up-to = es zeigt bis { $current }
cli-hookup-burden = Spannungsfall
cli-hookup-burden-is = { $volt } am Fahrzeug; { $wake }, wenn { $current } fließen
cli-hookup-bypass-left = vergessen
cli-hookup-steals = bleibt die Überbrückung dran, nimmt sie { $low } bis { $high } % weg; das Messgerät zeigt etwa { $shown }
cli-hookup-check = Probe
cli-hookup-on-post = Polklemme am Pol: Die Anzeige fällt auf etwa { $current } ({ $share } %)
cli-hookup-meter-fuse = Messgerät
cli-hookup-bypass-fuse = Überbrückung
cli-hookup-supply = Versorgung
cli-hookup-untouched = unberührt; in den Stromkreis kommt nichts
cli-hookup-holds = Sicherung { $rating } hält ein Aufwachen mit { $wake } aus
cli-hookup-blows = Sicherung { $rating } LÖST AUS bei einem Aufwachen mit { $wake }, und die Versorgung reißt ab
cli-hookup-blows-within = Sicherung { $rating } LÖST AUS bei einem Aufwachen mit { $wake }, binnen { $time }, und die Versorgung reißt ab
cli-hookup-melts = { $current } schmelzen sie in einer Sekunde
cli-hookup-keeps = { $supply }: hält diesen Strom etwa { $time } lang
cli-hookup-keeps-not = { $supply }: kann diesen Strom nicht halten; gibt höchstens { $current }, bevor die Spannung unter { $volt } fällt
cli-hookup-wake-leaves = ein Aufwachen mit { $wake } lässt { $volt } übrig
cli-hookup-wake-loses = ein Aufwachen mit { $wake } drückt sie auf { $volt }, und die Einstellungen sind verloren
cli-hookup-airbag = Arbeit am Airbag braucht eine tote Versorgung, und eine Stützversorgung hält das Airbag-Steuergerät unter Spannung
cli-hookup-airbag-hint = --keeper weglassen
cli-hookup-keeper = „{ $word }“ ist hier keine bekannte Versorgung
cli-hookup-keeper-hint = eines von { $known } schreiben
cli-hookup-no-shunt = die Spannung an einem Shunt sagt ohne seinen Widerstand keinen Strom
cli-hookup-no-shunt-hint = --shunt 1mohm dazuschreiben
cli-hookup-no-rating = Millivolt an einer Sicherung sagen ohne ihren Nennstrom keinen Strom
cli-hookup-no-rating-hint = --fuse 15A dazuschreiben
cli-hookup-unsuited = dieses Messgerät lässt sich so nicht ablesen: { $how }
cli-hookup-unsuited-hint = ein anderes mit --instrument nennen

# history.
cli-history-none = Noch kein abgeschlossener Auftrag hat etwas gelehrt.
cli-history-sharpens = { $count ->
    [one] { $count } abgeschlossener Auftrag schärft die Wahrscheinlichkeiten des nächsten.
   *[other] { $count } abgeschlossene Aufträge schärfen die Wahrscheinlichkeiten des nächsten.
}
cli-history-off = Sie sind abgeschaltet; nightdraw history on nutzt sie wieder.
cli-history-jobs = Aufträge
cli-history-forgotten = vergessen
cli-history-nothing = nichts: { $why }
cli-history-kind = Art des Stromkreises
cli-history-count = Auftr.
cli-history-chance = vorher -> jetzt
cli-history-written = Gelerntes in { $name } geschrieben

# job.
cli-job-kept = Auftrag { $job } aufgehoben: { $name }
cli-job-refined = Auftrag { $job }: { $added } dazugekommen, { $filled } sagen jetzt mehr
cli-job-entry = Eintrag
cli-job-entries = Einträge
cli-job-invented = (erfunden)
cli-job-none = noch keine Aufträge; einen beginnen mit: nightdraw job new "Brotwagen" --capacity 60Ah
cli-job-entry-kept = Eintrag { $entry } von Auftrag { $job } aufgehoben: { $what }
cli-job-struck = Eintrag { $entry } von Auftrag { $job } gestrichen (durch Eintrag { $by })
cli-job-written = Auftrag { $job } in { $name } geschrieben
cli-no-field = „{ $text }“ ist nicht NAME=WERT
cli-no-field-hint = zum Beispiel so: value=412mA
cli-entries-from-one = Einträge zählen ab 1
cli-entries-from-one-hint = siehe nightdraw job show

# rehearse: Prüfungen stehen in einer Spalte von 15 Zeichen, die der Tabelle in einer von 8.
cli-drill-clamp = Strom einer Leitung; clamp allein: der Gesamtstrom
cli-drill-in-line = der Gesamtstrom mit dem Messgerät im Stromkreis
cli-drill-mv = Millivolt an einer gesteckten Sicherung
cli-drill-pull = Sicherungen ziehen oder Leitungen abnehmen, zusammen, den Gesamtstrom ansehen, wieder einsetzen
cli-drill-out = dasselbe, und sie bleiben draußen
cli-drill-back = wieder einsetzen, was draußen ist, und den Gesamtstrom ansehen; back all: alles, ohne hinzusehen
cli-drill-unplug = einen Verbraucher abstecken, den Gesamtstrom ansehen, wieder anstecken
cli-drill-sleep = warten, bis das Fahrzeug schläft
cli-drill-wait-typed = wait MINUTEN
cli-drill-wait = warten, was auch geschieht
cli-drill-repair = einen Stromkreis in Ordnung bringen (10 Minuten)
cli-drill-repair-outside = in Ordnung bringen, was an den Sicherungen vorbei angeschlossen ist (10 Minuten)
cli-drill-a-number = eine Zahl
cli-drill-number = diese Prüfung der Liste
cli-drill-list = jede Stelle und die übliche Prüfung dort
cli-drill-clock = Minuten bisher, und ob es schläft
cli-drill-advice = was der Planer jetzt täte
cli-drill-done = Schluss, das Ergebnis ansehen
cli-drill-quit = für jetzt aufhören
cli-drill-stdout-twice = --json und --trace - wollen beide die Standardausgabe
cli-drill-stdout-twice-hint = für --trace eine Datei nennen
cli-drill-invented = Alles daran ist erfunden. Es wurde vor einer Weile verriegelt und schläft. Etwas zieht mehr als die erlaubten 50 mA: finden, reparieren, nachweisen.
cli-drill-settings-may = Der erfundene Halter ist einverstanden, dass Einstellungen verloren gehen.
cli-drill-settings-not = Einstellungen dürfen nicht verloren gehen.
cli-drill-type = help zeigt die Prüfungen, list die Stellen, done das Ergebnis.
cli-drill-again = { $tests ->
    [one] Weiter nach { $minutes } Minuten und { $tests } Prüfung.
   *[other] Weiter nach { $minutes } Minuten und { $tests } Prüfungen.
}
cli-drill-asleep = { $minutes } Minuten, in Ruhe
cli-drill-awake = { $minutes } Minuten, wach
cli-drill-no-number = Die Liste geht von 1 bis { $most }.
cli-drill-woke = Das hat das Fahrzeug geweckt.
cli-drill-lost = Einstellungen verloren: { $what }.
cli-drill-mind = Am echten Fahrzeug Vorsicht: { $caution }
cli-drill-left-kept = Aufgehört nach { $minutes } Minuten; nightdraw rehearse --resume { $file } macht weiter.
cli-drill-left = Aufgehört nach { $minutes } Minuten; mit --save DATEI ginge es später weiter.
cli-drill-score = Ergebnis
cli-drill-you = Sie
cli-drill-planner = Planer
cli-drill-times = Sie brauchten das { $ratio }-Fache der Minuten des Planers
cli-drill-it-was = Es war
cli-drill-nothing-more = nichts mehr
cli-drill-parted = Die Wege trennten sich bei Schritt { $step }: Sie: { $yours }; der Planer: { $planners }
cli-drill-same-way = Sie sind durchweg den Weg des Planers gegangen.
cli-drill-your-tests = Ihre Prüfungen, und was der Planer dort getan hätte
cli-drill-rather = besser: { $test }
cli-drill-planner-tests = Die Prüfungen des Planers
cli-drill-solved = gefunden und repariert
cli-drill-unsolved = nicht gefunden
cli-drill-outcome = { $tests ->
    [one] { $minutes } min, { $tests } Prüfung, { $how }
   *[other] { $minutes } min, { $tests } Prüfungen, { $how }
}
cli-drill-woken = { $count ->
    [one] einmal geweckt
   *[other] { $count }-mal geweckt
}
cli-drill-settings-lost = Einstellungen verloren: { $what }
cli-drill-needless = unnötig repariert: { $what }

# open, report, manual.
cli-cannot-start = kann nicht beginnen: { $why }
cli-let-phone-in = um ein Telefon einzulassen, darauf die Adresse dieses Rechners öffnen und { $code } eingeben
cli-no-browser = hier ließ sich kein Browser starten; bitte die Adresse oben selbst öffnen
cli-report-written = Bericht in { $name } geschrieben
cli-pdf-hint = stattdessen den Bericht als HTML schreiben (-o), und dies bitte melden
cli-no-manual = das Handbuch lässt sich nicht erzeugen: { $why }

# Eine Befehlszeile, die nicht zu verstehen ist.
cli-usage-value = { $value } passt nicht zu { $option }: { $why }
cli-usage-value-wrong = { $value } passt nicht zu { $option }
cli-usage-one-of = { $value } passt nicht zu { $option }; möglich: { $known }
cli-usage-no-value = zu { $option } fehlt ein Wert
cli-usage-unknown = { $option } gibt es hier nicht
cli-usage-unknown-near = { $option } gibt es hier nicht; war { $near } gemeint?
cli-usage-command = den Befehl { $command } gibt es nicht
cli-usage-command-near = den Befehl { $command } gibt es nicht; war { $near } gemeint?
cli-usage-missing = es fehlt: { $what }
cli-usage-no-command = es fehlt ein Befehl; möglich: { $known }
cli-usage-conflict = { $option } verträgt sich nicht mit { $other }
cli-usage-twice = { $option } steht zweimal da
cli-usage-help = siehe nightdraw --help
cli-usage-wrong = die Befehlszeile ist nicht zu verstehen: { $why }
