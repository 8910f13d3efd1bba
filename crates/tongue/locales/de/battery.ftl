# Die Batterie: Prüfungen, Laden, Leitungen, wie lange sie stehen kann.
battery-load-not-counted = Der Belastungstest ({ $voltage } V) zählt nicht: Last oder Dauer sind zu weit vom halben Kaltstartstrom über 15 s entfernt.
battery-rest-after = nach { $hours } h Ruhe
battery-rest-unknown = nach unbekannter Ruhezeit
battery-lost-cell = { $voltage } V { $rest } sind so wenig, dass eine Zelle kurzgeschlossen sein kann; es zeigt sich daran, ob sie Ladung annimmt und hält.
battery-rest-means = { $voltage } V { $rest } bedeuten { $charge } % Ladung.
battery-analyser-no-rating = Die { $current } A des Batterietesters lassen sich nicht vergleichen: Der Kaltstartstrom auf dem Etikett ist nicht bekannt.
battery-analyser = Die { $current } A ({ $standard }) des Batterietesters sind { $percent } % der { $rated } A ({ $rated-standard }) auf dem Etikett.
battery-analyser-converted = Die { $current } A ({ $standard }) des Batterietesters sind { $percent } % der { $rated } A ({ $rated-standard }) auf dem Etikett, auf { $spread } % genau, weil die Normen verschieden sind.
battery-converted-too-uncertain = Ein umgerechneter Kaltstartstrom ist zu unsicher, um eine Batterie zu verwerfen.
battery-load-needs-temperature = { $voltage } V unter Last lassen sich nur mit der Temperatur beurteilen: von 8,5 V bei -18 °C bis 9,6 V bei 21 °C.
battery-at-any-temperature = bei jeder Temperatur
battery-at-temperature = bei { $temperature } °C
battery-load-holds = { $voltage } V unter Last halten { $at } den Mindestwert von { $least } V.
battery-load-falls-below = { $voltage } V unter Last liegen { $at } unter dem Mindestwert von { $least } V.
battery-stood-alone = In { $hours } h allein stehend hat sie { $lost } % Ladung verloren; üblich sind etwa { $usual } %.
battery-resistance-not-comparable = Der Innenwiderstand lässt sich mit diesem Etikett nicht vergleichen.
battery-resistance = Ein Innenwiderstand von { $ohm } mΩ passt zu { $share } % der Stärke auf dem Etikett; er stützt andere Prüfungen, entscheidet aber nie allein.
battery-gravity-not-counted = Die Säuredichte zählt nicht: Dafür braucht es eine offene Nassbatterie und Ablesungen von 1,0 bis 1,4.
battery-gravity = Säuredichten von { $lowest } bis { $highest } bedeuten { $charge } % Ladung; sie unterscheiden sich um { $spread }.
battery-test-analyser = Das Ergebnis des Batterietesters
battery-test-load = Der Belastungstest
battery-test-cells = Der Unterschied zwischen den Zellen
battery-counts-not-so-low = { $test } zählt bei { $charge } % Ladung nicht gegen sie; nötig sind mindestens 75 %.
battery-counts-once-charged = { $test } zählt erst gegen sie, wenn eine Ruhespannung mindestens 75 % Ladung zeigt.
battery-contradicting = Die Prüfungen widersprechen sich; voll laden, ruhen lassen und wiederholen.
battery-too-empty = Sie ist zu leer für ein Urteil; laden und noch einmal prüfen.
battery-health-not-shown = Geladen genug, aber weder Batterietester noch Belastungstest haben ihren Zustand gezeigt.
battery-not-tested = Die Batterie ist nicht geprüft worden.

battery-charging-not-tested = Die Ladeanlage ist nicht geprüft worden.
battery-controlled = Eine geregelte Anlage lädt manchmal minutenlang mit Absicht wenig; mit eingeschalteten Verbrauchern noch einmal messen, bevor der Generator schuld ist.
battery-at-idle = im Leerlauf
battery-at-raised-speed = bei erhöhter Drehzahl
battery-with-loads = mit eingeschalteten Verbrauchern
battery-charging-below = { $voltage } V { $how } liegen unter dem Sollbereich von { $low } bis { $high } V.
battery-charging-above = { $voltage } V { $how } liegen über dem Sollbereich von { $low } bis { $high } V.
battery-charging-within = { $voltage } V { $how } liegen im Sollbereich von { $low } bis { $high } V.
battery-ripple-diode = Die Welligkeit beträgt { $ripple } mV; das spricht für eine defekte Diode.
battery-ripple-look = Die Welligkeit beträgt { $ripple } mV, genug, um den Gleichrichter anzusehen; gedruckte Grenzwerte gehen um das Zehnfache auseinander.
battery-ripple-usual = Die Welligkeit beträgt { $ripple } mV; das ist üblich.

battery-place-starter-positive = zwischen Batterie und Anlasser
battery-place-starter-ground = zwischen Anlassergehäuse und Minuspol der Batterie
battery-place-charging-positive = zwischen Generator und Batterie
battery-place-charging-ground = zwischen Generatorgehäuse und Minuspol der Batterie
battery-place-connection = zwischen Batteriepol und Klemme
battery-drop-too-much = { $drop } gehen { $place } verloren (Grenzwert { $limit }), zu viel: Verbindung reinigen und festziehen, dann noch einmal messen.
battery-drop-in-order = { $drop } gehen { $place } verloren (Grenzwert { $limit }); das ist in Ordnung.
battery-drop-too-close = { $drop } gehen { $place } verloren (Grenzwert { $limit }), zu nah am Grenzwert für ein Urteil.

battery-frozen-already = Bei { $temperature } °C kann sie schon gefroren sein, denn das kann sie ab { $charge } % Ladung abwärts; eine gefrorene Batterie darf nicht geladen und nicht überbrückt werden; erst auftauen lassen.
battery-may-freeze = Bei { $temperature } °C kann die Säure ab { $charge } % Ladung abwärts gefrieren; bis dahin vergehen etwa { $time } (frühestens etwa { $earliest }); eine gefrorene Batterie darf nicht geladen und nicht überbrückt werden; erst auftauen lassen.

battery-no-forecast = keine Vorhersage ohne { $missing }
battery-missing-capacity-reserve-or-cranking = Kapazität, Reserveminuten oder Kaltstartstrom der Batterie
battery-missing-capacity-or-cranking = Kapazität oder Kaltstartstrom der Batterie
battery-missing-health = einen endlichen Alterungszustand
battery-missing-charge = einen endlichen Ladezustand
battery-missing-draw = einen endlichen Ruhestrom
battery-missing-temperature = eine endliche Temperatur
battery-missing-use = endliche Zahlen für Alterungszustand, Ruhestrom, Temperatur und Nutzung
battery-missing-parked-time = eine Standzeit über null
battery-missing-night = eine endliche Temperatur für jede Nacht

battery-keeper-dry-block = 9-V-Block (Trockenbatterie)
battery-keeper-dry-cells = 12 V aus acht Mignonzellen (AA)
battery-keeper-gel = 12-V-Bleiakku mit 7 Ah
battery-keeper-car = zweite Fahrzeugbatterie mit 45 Ah

battery-unknown-word = „{ $word }“ ist nicht zu verstehen; { $hint }
battery-write-one-of = { $what }: eines von { $known } schreiben
battery-word-chemistry = Bauart
battery-word-standard = Norm des Kaltstartstroms
battery-word-speed = Drehzahl
battery-word-place = Stelle des Spannungsfalls
