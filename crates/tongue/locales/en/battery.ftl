# The battery: its tests, charging, cables, the time it can stand.
battery-load-not-counted = The load test ({ $voltage } V) does not count: its load or time is too far from half the cranking current for 15 s.
battery-rest-after = after { $hours } h of rest
battery-rest-unknown = after an unknown rest
battery-lost-cell = { $voltage } V { $rest } is so low that a cell may be shorted; it shows whether it takes and holds charge.
battery-rest-means = { $voltage } V { $rest } means { $charge } % charge.
battery-analyser-no-rating = The analyser's { $current } A cannot be compared: the label's cranking current is not known.
battery-analyser = The analyser's { $current } A ({ $standard }) is { $percent } % of the label's { $rated } A ({ $rated-standard }).
battery-analyser-converted = The analyser's { $current } A ({ $standard }) is { $percent } % of the label's { $rated } A ({ $rated-standard }), give or take { $spread } % because the standards differ.
battery-converted-too-uncertain = A converted cranking current is too uncertain to condemn a battery.
battery-load-needs-temperature = { $voltage } V under load can only be judged with the temperature, from 8.5 V at -18 °C to 9.6 V at 21 °C.
battery-at-any-temperature = at any temperature
battery-at-temperature = at { $temperature } °C
battery-load-holds = { $voltage } V under load is at or above the least { $least } V { $at }.
battery-load-falls-below = { $voltage } V under load is below the least { $least } V { $at }.
battery-stood-alone = Standing alone for { $hours } h it lost { $lost } % of charge; about { $usual } % is usual.
battery-resistance-not-comparable = The internal resistance cannot be compared with this label.
battery-resistance = An internal resistance of { $ohm } mΩ fits { $share } % of the label's strength; it supports other tests but never decides alone.
battery-gravity-not-counted = The specific gravity does not count: it needs an open flooded battery and readings of 1.0 to 1.4.
battery-gravity = Specific gravities of { $lowest } to { $highest } mean { $charge } % charge and differ by { $spread }.
battery-test-analyser = The analyser result
battery-test-load = The load test
battery-test-cells = The difference between the cells
battery-counts-not-so-low = { $test } does not count against it at { $charge } % charge; at least 75 % is needed.
battery-counts-once-charged = { $test } counts against it only once a rested voltage shows 75 % charge or more.
battery-contradicting = The tests contradict each other; recharge fully, let it rest and repeat them.
battery-too-empty = It is too empty to judge; recharge it and test again.
battery-health-not-shown = Charged enough, but neither analyser nor load test has shown its health.
battery-not-tested = The battery has not been tested.

battery-charging-not-tested = The charging system has not been tested.
battery-controlled = A controlled system may charge little for minutes on purpose; read again with the loads on before blaming the alternator.
battery-at-idle = at idle
battery-at-raised-speed = at raised speed
battery-with-loads = with the loads on
battery-charging-below = { $voltage } V { $how } is below the window of { $low } to { $high } V.
battery-charging-above = { $voltage } V { $how } is above the window of { $low } to { $high } V.
battery-charging-within = { $voltage } V { $how } is within the window of { $low } to { $high } V.
battery-ripple-diode = AC ripple is { $ripple } mV, which points to a failed diode.
battery-ripple-look = AC ripple is { $ripple } mV, enough to look at the rectifier; limits in print differ tenfold.
battery-ripple-usual = AC ripple is { $ripple } mV, which is usual.

battery-place-starter-positive = between battery and starter
battery-place-starter-ground = between starter housing and battery negative
battery-place-charging-positive = between alternator and battery
battery-place-charging-ground = between alternator housing and battery negative
battery-place-connection = between battery post and clamp
battery-drop-too-much = { $drop } are lost { $place } (limit { $limit }), too much: clean and tighten that path, and read again.
battery-drop-in-order = { $drop } are lost { $place } (limit { $limit }), which is in order.
battery-drop-too-close = { $drop } are lost { $place } (limit { $limit }), too close to the limit to tell.

battery-frozen-already = At { $temperature } °C it may be frozen already, since it can at { $charge } % charge or less; a frozen battery must not be charged or jump-started; let it thaw first.
battery-may-freeze = At { $temperature } °C the electrolyte may freeze at { $charge } % charge or less, reached after about { $time } (earliest about { $earliest }); a frozen battery must not be charged or jump-started; let it thaw first.

battery-no-forecast = no forecast without { $missing }
battery-missing-capacity-reserve-or-cranking = the battery's capacity, reserve minutes or cranking current
battery-missing-capacity-or-cranking = the battery's capacity or cranking current
battery-missing-health = a finite health
battery-missing-charge = a finite charge
battery-missing-draw = a finite draw
battery-missing-temperature = a finite temperature
battery-missing-use = finite numbers for health, draw, temperature and use
battery-missing-parked-time = a parked time above zero
battery-missing-night = a finite temperature for each night

battery-keeper-dry-block = 9 V dry battery block
battery-keeper-dry-cells = 12 V of eight dry AA cells
battery-keeper-gel = 12 V lead battery of 7 Ah
battery-keeper-car = second vehicle battery of 45 Ah

battery-unknown-word = '{ $word }' is not understood; { $hint }
battery-write-one-of = write the { $what } as one of { $known }
battery-word-chemistry = chemistry
battery-word-standard = cranking standard
battery-word-speed = engine speed
battery-word-place = place of the drop
