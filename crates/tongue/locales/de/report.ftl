# Der Bericht. <b> steht um das, was fett gesetzt wird.
report-title = Bericht: { $name }
report-page = Seite { $number } von { $all }
report-no-name = das Fahrzeug
report-invented = Erfunden: Auftrag, Fahrzeug und Zahlen sind ausgedacht, um zu zeigen, wie ein Bericht aussieht.
report-kicker = Bericht zur Batterieentladung
report-complaint = Die Beanstandung: { $text }
report-owner = Halter: { $name }
report-headline = { $stand }: { $name }
report-stand-nothing = Noch nichts gemessen
report-stand-open = Noch nicht gefunden
report-stand-found = Die Ursache ist gefunden
report-stand-verified = Gefunden, behoben und nachgemessen
report-stand-repaired = Repariert, aber noch nicht nachgewiesen

report-for-owner = Für den Halter
report-what-was-wrong = Was war nicht in Ordnung
report-how-we-know = Woher wir das wissen
report-what-for-parking = Was das fürs Abstellen heißt
report-what-to-watch = Worauf Sie achten sollten

report-strands = Jeder Strang ist ein Stromkreis: je breiter, desto mehr Strom; je dunkler, desto verdächtiger.
report-strands-before = Vor der Reparatur. Jeder Strang ist ein Stromkreis: je breiter, desto mehr Strom; je dunkler, desto verdächtiger.
report-draws = { $name }: zieht bei abgestelltem Fahrzeug etwa { $current }.
report-drew = { $name }: zog bei abgestelltem Fahrzeug etwa { $current }.
report-is-at-fault = { $name }: hier liegt der Fehler.
report-was-at-fault = { $name }: hier lag der Fehler.
report-outside-the-list = Etwas außerhalb der aufgeführten Stromkreise
report-nothing-measured = An diesem Fahrzeug ist noch nichts gemessen worden, also lässt sich noch nichts sagen.
report-cause-open = Die Ursache ist noch nicht gefunden.
report-done = Was gemacht wurde: { $text }
report-not-shown = Dass die Reparatur hält, ist noch durch keine Messung unter dem Grenzwert belegt.

report-vehicle-drew-before = Vor der Reparatur entnahm das Fahrzeug der Batterie <b>{ $draw }</b>. Zulässig sind bis zu { $limit }.
report-vehicle-drew = Abgestellt und im Ruhezustand entnahm das Fahrzeug der Batterie <b>{ $draw }</b>. Zulässig sind bis zu { $limit }.
report-certain = Nach allen Messungen zusammen ist zu { $percent } sicher, dass der Fehler hier liegt: { $name }.
report-recorded = Der Strom wurde über die Zeit aufgezeichnet: { $finding }
report-rests-on = { $count ->
    [one] Das beruht auf { $count } Strommessung; sie ist weiter hinten aufgeführt.
   *[other] Das beruht auf { $count } Strommessungen; alle sind weiter hinten aufgeführt.
}

report-before-and-after = Vorher und nachher
report-parked-asleep = Das Fahrzeug abgestellt und im Ruhezustand
report-before = vorher
report-after = nachher
report-row-draws = Ruhestrom
report-row-limit = Grenzwert { $limit }
report-row-parked = kann stehen
report-above-limit = über dem Grenzwert
report-inside-limit = unter dem Grenzwert
report-not-certain = nicht sicher
report-longer = länger, als sich sagen lässt

report-still-starts = So abgestellt, wie es jetzt ist, sollte es noch <b>{ $time }</b> lang anspringen.
report-starts-long = So abgestellt, wie es jetzt ist, sollte es länger anspringen, als sich sagen lässt.
report-half = Bis zur halben Ladung vergehen { $time }; unter halber Ladung altert die Batterie im Stand.

report-watch-nothing = Bis gemessen ist, behandeln Sie die Batterie so, als würde sie entladen.
report-watch-open = Bis die Ursache gefunden ist, nicht länger abstellen als oben angegeben.
report-watch-found = Bis zur Reparatur nicht länger abstellen als oben angegeben.
report-watch-repaired = Lassen Sie den Ruhestrom noch einmal messen.
report-watch-verified = Ist die Batterie früher leer als oben angegeben, zieht noch etwas anderes Strom: bitte neu messen lassen.
report-watch-weak = Die Batterie hat ihre beste Zeit hinter sich; kalte Nächte zeigen es zuerst.
report-watch-untested = Lassen Sie die Batterie prüfen, sobald sie voll geladen ist.
report-watch-recharge = Das Fehlende nachzuladen dauert am Ladegerät etwa { $time }; eine kurze Fahrt reicht nicht.

report-for-workshop = Für die Werkstatt
report-started-from = Fahrzeug, Batterie, Beanstandung
report-job-started-from = Wovon der Auftrag ausging
report-next-step = Nächster Schritt
report-verdicts = Befunde
report-where-now = Wohin der Strom jetzt fließt
report-recording = Die Aufzeichnung
report-behind = Was hinter der Beanstandung stecken kann
report-nights = Die nächsten Nächte
report-circuits = Stromkreise
report-entries = Einträge
report-instruments = Messgeräte
report-warnings = Warnungen
report-left-out = Weggelassene Prüfungen
report-cautions = Sicherheitshinweise
report-how-made = Wie die Zahlen zustande kamen

report-row-vehicle = Fahrzeug
report-row-plate = Kennzeichen
report-row-owner = Halter
report-row-notes = Nutzung und Einbauten
report-row-battery = Batterie
report-row-engine = Motor braucht
report-row-complaint = Beanstandung
report-row-no-start = Standzeit bis kein Start
report-row-parked-at = abgestellt bei
report-row-limit-for-draw = Grenzwert für den Ruhestrom
report-old = { $age } alt

report-step-head = <b>{ $headline }</b>, etwa { $minutes }
report-minute-at-most = höchstens eine Minute
report-floor = Kleinster Strom, den das zeigt: { $current }.
report-outcome = { $seen } ({ $percent }): { $means }
report-caution = <b>Vorsicht:</b> { $text }

report-settled = Ruhestrom: { $draw }.
report-long-run = Strom, der beim Abstellen zählt: { $draw }.
report-unaccounted = Durch Messungen nicht erklärt: { $draw }.
report-at-fault = Verursacher: { $name }, { $percent }.
report-contradicting = Ihre Prüfungen widersprechen sich.
report-charge = Ladezustand: { $charge }.
report-health = Alterungszustand: { $health }.
report-fuse-calibrated = Sicherung { $fuse }: { $ohm } nach { $entries }; die Tabelle sagt { $table }.
report-needed = Mittlerer Strom, der die Beanstandung erklären würde: { $range }.
report-cause = <b>{ $cause }</b> ({ $percent })
report-for-it = dafür: { $why }
report-against-it = dagegen: { $why }
report-cheap-check = schnelle Prüfung: { $check }
report-entries-named = { $count ->
    [one] Eintrag { $list }
   *[other] Einträge { $list }
}
report-maker-first = Die Serviceunterlagen des Fahrzeugherstellers, die örtlichen Vorschriften und Fachleute gehen allem vor, was hier steht. Airbag- und Hochvoltkreise gehören nicht zu diesem Verfahren.

report-method-uncertainty = ± ist eine Standardunsicherheit nach dem Leitfaden zur Angabe der Unsicherheit beim Messen (JCGM 100:2008); Bereiche gehen von 5 % bis 95 %.
report-method-levels = Stufen in Aufzeichnungen sind die optimale stückweise konstante Anpassung mit functional pruning (Maidstone, Hocking, Rigaill und Fearnhead, On optimal multiple changepoint algorithms for large data, 2017).
report-method-draws = Ströme und Verdacht der Stromkreise sind eine A-posteriori-Verteilung über den ganzen Verteilungsbaum, aus allen gültigen Messungen und dem, was bei jeder Art von Verbraucher üblich ist. Der Verdacht bei einer Leitung oder Sicherung gilt für alles, was an ihr hängt.
report-method-middle = Die Mitte ist der Wert, über dem die Wahrheit ebenso oft liegt wie darunter; das Mittel ist, was die Breite der Stränge zeigt.

report-circuits-caption = Jede Leitung, jede Sicherung, jeder Verbraucher: Ruhestrom und Verdacht; eine Sicherung und ihr einziger Verbraucher stehen in einer Zeile
report-col-where = wo
report-col-kind = Art
report-col-middle = Mitte
report-col-range = 5 % bis 95 %
report-col-mean = Mittel
report-col-usual = üblich
report-col-suspected = Verdacht
report-col-read-in = gemessen in
report-and-load = { $kind } + Verbraucher
report-keeps-settings = { $kind }, hält Einstellungen
report-entries-caption = Alles Gesehene und Getane in der Reihenfolge der Eingabe
report-nothing-entered = Es ist nichts eingetragen.
report-col-number = Nummer
report-col-time = Zeit (UTC)
report-col-what = was
report-col-instrument = Messgerät
report-struck = gestrichen:
report-instruments-caption = Womit gemessen wurde
report-col-name = Name
report-col-accuracy = Genauigkeit
report-col-step = kleinster Schritt
report-accuracy = ±({ $percent } % vom Messwert + { $digits } Digit)
report-not-stated = nicht angegeben

report-the-battery = die Batterie
report-with-fuse = { $name } (Sicherung { $fuse })
report-kind-battery = Batterie
report-kind-cable = Leitung
report-kind-fuse = Sicherung
report-kind-load = Verbraucher
report-instrument-clamp = Zangenamperemeter
report-instrument-in-line = Amperemeter in Reihe
report-instrument-millivolt = Millivoltmeter
report-instrument-voltmeter = Spannungsmesser
report-instrument-analyser = Batterietester
report-chemistry-flooded = Nassbatterie (Blei-Säure)
report-chemistry-efb = verbesserte Nassbatterie (EFB)
report-chemistry-agm = Vliesbatterie (AGM)
report-chemistry-gel = Gelbatterie
report-chemistry-lifepo4 = Lithium-Eisenphosphat
report-battery-good = Die Batterie selbst ist in Ordnung.
report-battery-recharge = Die Batterie ist zu leer für ein Urteil: laden und dann noch einmal prüfen.
report-battery-weak = Die Batterie tut es noch, liegt aber unter ihren Nennwerten.
report-battery-replace = Die Batterie sollte ersetzt werden.
report-battery-unknown = Die Batterie ist nicht geprüft worden.

report-take-along = Mitnehmen
report-as-pdf = PDF, { $paper }
report-with-owner = Name und Kennzeichen des Halters aufnehmen
report-without-owner = Name und Kennzeichen des Halters weglassen
report-letters-replaced = { $count ->
    [one] In dieser Datei steht „?“ für { $count } Zeichen, das der Schrift fehlt: { $letters }. Der Bericht als Webseite hat es.
   *[other] In dieser Datei steht „?“ für { $count } Zeichen, die der Schrift fehlen: { $letters }. Der Bericht als Webseite hat sie.
}
report-back-to-job = Zurück zum Auftrag
