# The report. <b> marks what is set heavy.
report-title = Report: { $name }
report-page = page { $number } of { $all }
report-no-name = the vehicle
report-invented = Invented: this job, its vehicle and its figures are made up to show what a report looks like.
report-kicker = Battery drain report
report-complaint = The complaint: { $text }
report-owner = Owner: { $name }
report-headline = { $stand }: { $name }
report-stand-nothing = Nothing measured yet
report-stand-open = Not found yet
report-stand-found = The cause is found
report-stand-verified = Found, repaired and measured again
report-stand-repaired = Repaired, not yet proven

report-for-owner = For the owner
report-what-was-wrong = What was wrong
report-how-we-know = How we know
report-what-for-parking = What it means for parking
report-what-to-watch = What to watch

report-strands = Each strand is one circuit: the wider, the more current; the darker, the more suspect.
report-strands-before = Before the repair. Each strand is one circuit: the wider, the more current; the darker, the more suspect.
report-draws = { $name } draws about { $current } while the vehicle is parked.
report-drew = { $name } drew about { $current } while the vehicle was parked.
report-is-at-fault = { $name } is at fault.
report-was-at-fault = { $name } was at fault.
report-outside-the-list = Something outside the listed circuits
report-nothing-measured = Nothing has been measured on this vehicle yet, so nothing can be said.
report-cause-open = The cause is not found yet.
report-done = What was done: { $text }
report-not-shown = Whether the repair holds has not been shown by a measurement inside the limit yet.

report-vehicle-drew-before = Before the repair the vehicle drew <b>{ $draw }</b> from its battery. Acceptable is up to { $limit }.
report-vehicle-drew = Parked and asleep, the vehicle drew <b>{ $draw }</b> from its battery. Acceptable is up to { $limit }.
report-certain = That { $name } is at fault is { $percent } certain, by all readings together.
report-recorded = It was recorded over time: { $finding }
report-rests-on = { $count ->
    [one] This rests on { $count } reading of current; all are listed further on.
   *[other] This rests on { $count } readings of current; all are listed further on.
}

report-before-and-after = Before and after
report-parked-asleep = The vehicle parked and asleep
report-before = before
report-after = after
report-row-draws = draws
report-row-limit = limit { $limit }
report-row-parked = can be parked
report-above-limit = above the limit
report-inside-limit = inside the limit
report-not-certain = not certain
report-longer = longer than can be told

report-still-starts = Left parked as it is now, it should still start for <b>{ $time }</b>.
report-starts-long = Left parked as it is now, it should start for longer than can be told.
report-half = The battery falls to half its charge after { $time }; standing below half ages it.

report-watch-nothing = Until it is measured, treat the battery as if it were being drained.
report-watch-open = Until the cause is found, do not leave it parked longer than the time above.
report-watch-found = Until it is repaired, do not leave it parked longer than the time above.
report-watch-repaired = Have the parked draw measured once more.
report-watch-verified = If it goes flat again sooner than the time above, something else is drawing: have it measured again.
report-watch-weak = The battery is past its best; cold nights show it first.
report-watch-untested = Have the battery tested once it is fully charged.
report-watch-recharge = Refilling what is missing now takes about { $time } on a charger; a short drive does not do it.

report-for-workshop = For the workshop
report-started-from = Vehicle, battery, complaint
report-job-started-from = What the job started from
report-next-step = Next step
report-verdicts = Verdicts
report-where-now = Where the current goes now
report-recording = The recording
report-behind = What may be behind the complaint
report-nights = The nights ahead
report-circuits = Circuits
report-entries = Entries
report-instruments = Instruments
report-warnings = Warnings
report-left-out = Tests left out
report-cautions = Cautions
report-how-made = How the figures were made

report-row-vehicle = vehicle
report-row-plate = plate
report-row-owner = owner
report-row-notes = use and fittings
report-row-battery = battery
report-row-engine = engine needs
report-row-complaint = complaint
report-row-no-start = no start after
report-row-parked-at = parked at
report-row-limit-for-draw = limit for the draw
report-old = { $age } old

report-step-head = <b>{ $headline }</b>, about { $minutes }
report-minute-at-most = a minute at most
report-floor = Smallest draw it can see: { $current }.
report-outcome = { $seen } ({ $percent }): { $means }
report-caution = <b>Caution:</b> { $text }

report-settled = Settled draw: { $draw }.
report-long-run = Draw that counts for parking: { $draw }.
report-unaccounted = Not accounted for by readings: { $draw }.
report-at-fault = At fault: { $name }, { $percent }.
report-contradicting = Its tests contradict each other.
report-charge = Charge: { $charge }.
report-health = Health: { $health }.
report-fuse-calibrated = Fuse { $fuse }: { $ohm } by { $entries }; the table says { $table }.
report-needed = Average draw that would explain the complaint: { $range }.
report-cause = <b>{ $cause }</b> ({ $percent })
report-for-it = for it: { $why }
report-against-it = against it: { $why }
report-cheap-check = cheap check: { $check }
report-entries-named = { $count ->
    [one] entry { $list }
   *[other] entries { $list }
}
report-maker-first = The vehicle maker's service information, local rules and qualified people come before anything written here. Airbag and high-voltage circuits are not part of this procedure.

report-method-uncertainty = ± is one standard uncertainty after the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008); ranges run from 5 % to 95 %.
report-method-levels = Levels in recordings are the optimal piecewise-constant fit by functional pruning (Maidstone, Hocking, Rigaill and Fearnhead, On optimal multiple changepoint algorithms for large data, 2017).
report-method-draws = Draws of circuits and their suspicion are a posterior over the whole feed tree, from all standing readings and what is usual for each kind of circuit. Suspicion of a cable or fuse is that of anything at or below it.
report-method-middle = The middle is the value that the truth lies above as often as below; the mean is what the strands' widths show.

report-circuits-caption = Every cable, fuse and load: settled draw and suspicion; a fuse and its only load share a row
report-col-where = where
report-col-kind = kind
report-col-middle = middle
report-col-range = 5 % to 95 %
report-col-mean = mean
report-col-usual = usual
report-col-suspected = suspected
report-col-read-in = read in
report-and-load = { $kind } + load
report-keeps-settings = { $kind }, keeps settings
report-entries-caption = Everything seen and done, in the order it was entered
report-nothing-entered = Nothing has been entered.
report-col-number = number
report-col-time = time (UTC)
report-col-what = what
report-col-instrument = instrument
report-struck = struck out:
report-instruments-caption = What was measured with
report-col-name = name
report-col-accuracy = accuracy
report-col-step = smallest step
report-accuracy = ±({ $percent } % of reading + { $digits } digits)
report-not-stated = not stated

report-the-battery = the battery
report-with-fuse = { $name } (fuse { $fuse })
report-kind-battery = battery
report-kind-cable = cable
report-kind-fuse = fuse
report-kind-load = load
report-instrument-clamp = clamp meter
report-instrument-in-line = ammeter in line
report-instrument-millivolt = millivoltmeter
report-instrument-voltmeter = voltmeter
report-instrument-analyser = battery analyser
report-chemistry-flooded = flooded lead-acid
report-chemistry-efb = enhanced flooded lead-acid
report-chemistry-agm = absorbent glass mat
report-chemistry-gel = gel
report-chemistry-lifepo4 = lithium iron phosphate
report-battery-good = The battery itself is in order.
report-battery-recharge = The battery is too empty to judge: recharge it, then test it again.
report-battery-weak = The battery still works but is below its rating.
report-battery-replace = The battery should be replaced.
report-battery-unknown = The battery has not been tested.

report-take-along = Take along
report-as-pdf = PDF, { $paper }
report-with-owner = Put the owner's name and plate in
report-without-owner = Leave the owner's name and plate out
report-letters-replaced = { $count ->
    [one] In this file “?” stands for { $count } letter that its typeface lacks: { $letters }. The report as a web page has it.
   *[other] In this file “?” stands for { $count } letters that its typeface lacks: { $letters }. The report as a web page has them.
}
report-back-to-job = Back to the job
