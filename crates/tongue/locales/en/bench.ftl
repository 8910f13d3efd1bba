# The job's page: next step, standing, pictures, circuits, entries, stream.
bench-nothing-more = Nothing more to tell apart
bench-found = Found
bench-see-report = See the report
bench-repaired = Repaired and proven
bench-within-limit = The draw is within its limit now
bench-hand-over = Put back and restore what was taken off, charge the battery fully, and hand the report over: it shows before and after.
bench-no-fault = Nothing is at fault
bench-not-told-apart = Too much is drawn, and nothing more tells what draws it
bench-invented-repair = Invented: worn part replaced
bench-to-do-now = What to do now
bench-to-do-find = Find what stays on in that circuit and put it right.
bench-to-do-enter = Enter the repair here.
bench-to-do-prove = Read the total again, asleep and with the same instrument: only that proves the repair.
bench-sure = { $name }: { $percent } sure
bench-then = Then
bench-do-next = Do this next
bench-mind = Mind:
bench-enter-driving = Enter how it is driven
bench-why = Why:
bench-outcomes = What each outcome would mean
bench-done = Done
bench-done-remark = Done: { $what }
bench-takes = takes { $time }
bench-may-wake = may wake the vehicle: { $percent }
bench-wakes-nothing = does not wake the vehicle
bench-sees = sees { $current } and more
bench-others = Other things you could do ({ $count })
bench-left-out = Left out, and why ({ $count })
bench-left-out-at = { $test } at { $node }: { $why }
bench-left-out-test = { $test }: { $why }

bench-says-who = Says who?
bench-show-numbers = Show the numbers
bench-stands = Where it stands
bench-asleep-draws = Asleep it draws
bench-not-read-yet = not read yet
bench-limit = Limit
bench-over-days = Over days, wake-ups included
bench-not-accounted = Not yet accounted for
bench-battery = Battery
bench-contradict = Its tests contradict each other.
bench-why-draw = The draw: { $entries }. ± is one standard uncertainty (JCGM 100:2008, the GUM).
bench-limit-stated = The limit is the one stated for this job.
bench-limit-common = No limit is stated for this job, so the common rule of 50 mA holds (common practice).
bench-why-days = Over days: the settled level with its wake-ups, from the recording.
bench-why-battery = Battery: { $why }
bench-why-fuse = Fuse { $fuse }: { $ohm } by { $entries }; the table says { $table }.
bench-no-battery-test = Battery: no test entered yet.
bench-why-charge = Charge { $charge }, give or take { $spread }.
bench-why-explains = Draw that would explain the complaint: { $span }.
bench-no-entry-yet = no entry yet, only what is usual
bench-entry = entry
bench-entries = entries
bench-above-limit = The draw is above it.
bench-within = The draw is within it.
bench-limit-unsure = Too close to it to tell.
bench-limit-waits = The draw is still to be read.
bench-see-entries = Entries:
bench-battery-good = in order
bench-battery-recharge = too empty to judge: recharge, then test
bench-battery-weak = weaker than its label
bench-battery-replace = due for replacement
bench-battery-unknown = not tested
bench-second-look = Worth a second look

bench-flow = Where the current goes
bench-flow-how = Widths are currents, shades are suspicion. Tap a stream to enter a reading there.
bench-flow-why-width = Each width is the mean draw that all entries together leave for that circuit; the sums over the feed tree are exact.
bench-flow-why-hatched = Hatched: the span that holds the draw nine times in ten is wider than half of it, and than 2 mA; more a guess than a finding.
bench-flow-why-rest = What no listed circuit carries has a stream of its own.
bench-flow-why-circuits = Every circuit with its span, its usual draw and the entries behind it stands under { $link }.
bench-recording = The recording
bench-recording-from = From entry { $entry }, recorded at { $node }.
bench-recording-levels = Levels: the exact least-squares fit with a price for each change; noise { $noise }.
bench-no-recording = No recording yet. A logging meter left on overnight shows what wakes up.
bench-levels = Levels of the recording
bench-levels-count = { $count ->
    [one] { $count } level
   *[other] { $count } levels
}
bench-levels-first = , the first { $count }
bench-from = From
bench-for-how-long = For
bench-level = Level
bench-state-awake = awake
bench-state-settling = going to sleep
bench-state-asleep = asleep
bench-state-woke = woke up
bench-state-unclear = not clear
bench-nights = The nights ahead
bench-starts-in-morning = Will it start in the morning?
bench-with-weather = With the weather of each night
bench-nights-why-draw = Draw used: { $draw }.
bench-what-is-usual = what is usual
bench-nights-why-loss = Own loss of the battery: { $current }.
bench-nights-why-crank = Below { $charge } of charge this engine no longer cranks ({ $low } to { $high }).
bench-nights-why-recharge = Recharging what is missing now takes about { $time }.
bench-no-forecast = No forecast yet.
bench-still-starts = Left standing as it is, it should still start for { $time } (nine times in ten).
bench-starts-long = As it stands, it will start for longer than can be told.
bench-charge-ahead = Charge in the time ahead
bench-charge-band = Charge left, with its 5 to 95 % band
bench-after = After
bench-charge = Charge
bench-band = Band
bench-no-start = Will not start
bench-low-to-high = { $low } to { $high }
bench-nights-region = No start after each night
bench-nights-caption = Parked this evening, started in the morning
bench-cold = Cold
bench-night = night { $number }
bench-frost-hours = Time to frost, nine times in ten: { $time }.
bench-half-charge = Half charge after { $time } (nine times in ten).

bench-odds = What is behind it
bench-odds-source = How often each cause is met, and how well each test tells it, is from memory and common practice; finished jobs sharpen it. A pair of causes counts half for each.
bench-moves-most = Moves it most:
bench-worth = { $time } of work, likely to save { $saved }.
bench-for-it = For:
bench-against = Against:
bench-neither = Nothing entered speaks for it or against it yet.
bench-quick-check = Quick check:

bench-circuits = Circuits
bench-no-circuits = No fuses or cables are described yet. { $link }.
bench-add-list = Add a fuse list
bench-circuits-region = Circuits with their draws
bench-circuits-caption = Draw asleep: middle value, and the span that holds it nine times in ten
bench-circuit = Circuit
bench-draw = Draw
bench-suspicion = Suspicion
bench-circuits-why-sums = Every reading narrows the draws it covers, up and down the feed tree; the sums are worked out exactly.
bench-circuits-why-usual = Usual draws and the chances of a fault come from the kind of load, or from what was stated for it.
bench-circuits-why-shades = Shades and words: clear under 2 %, unlikely to 10 %, possible to 50 %, likely to 90 %, almost certain above.
bench-enter-at = Enter a reading at
bench-keeps-settings = keeps settings
bench-usual = usual { $current }
bench-from-entries = from { $entries }
bench-battery-total = Battery (the total)

bench-everything = Everything entered
bench-nothing-yet = Nothing yet.
bench-entry-number = Entry { $number }
bench-struck = struck out
bench-look-at-it = Look at it
bench-restore = Restore
bench-strike = Strike out
bench-the-entry = entry { $number }

bench-invented-demo = invented demo
bench-go-on-rehearsal = Go on with the rehearsal
bench-enter-else = Enter something else
bench-learned = { $count ->
    [one] The chances lean on { $count } other finished job.
   *[other] The chances lean on { $count } other finished jobs.
}
bench-learned-which = See which, or leave them out
bench-take-along = Take it along
bench-how-to-connect = How to connect it
bench-a-week = A week: driving and standing
bench-the-report = Report for owner and workshop
bench-as-file = Job as a file
bench-van-answered = The virtual van answered:
bench-entered = Entered:
bench-undo = Undo
bench-about = Vehicle, battery, complaint
bench-owner-says = The owner says
bench-no-start-after = Does not start after
bench-no-start-at = { $time } at { $temperature }
bench-years-old = { $age } years old
bench-instruments = Instruments
bench-use-and-parking = Use and parking
bench-change-this = Change this, add fuses
bench-new-job = New job on this vehicle

# What is coming in.
bench-coming-in = Coming in now
bench-came-in = Came in
bench-watch-live = A meter, live
bench-when-step = When a step comes
bench-sound = Sound on a step
bench-flash = Flash on a step
bench-watch = Watch a meter that sends its readings
bench-pipe = Pipe its lines into Nightdraw on this machine; what comes in is shown here and kept with the job:
bench-pipe-what = Anything that writes one reading a line will do. LOGGER stands for the program that reads your meter.
bench-van-stream = Let the virtual van's meter stream
bench-van-stream-what = An invented way to sleep, thirty times as fast as a real one.
bench-cut-off = The stream was cut off.
bench-cut-off-what = Received from { $from } to { $to }, { $samples }. All of it is on the disk.
bench-make-entry = Make it an entry
bench-samples = { $count ->
    [one] { $count } sample
   *[other] { $count } samples
}
bench-lines-left-out = { $count ->
    [one] { $count } line left out
   *[other] { $count } lines left out
}
bench-so-far = { $time } so far
bench-nothing-comes = Nothing has come for a while. Is the meter still on?
bench-level-now = Level { $level }.
bench-what-happened = What happened
bench-gone = The stream was cut off. All that was received is on the disk; open this page again to keep it.
bench-last-minutes = The last { $minutes } minutes: from { $low } to { $high }
bench-step-of = Step of { $change }
bench-step-marked = when marked “{ $mark }” at { $clock }.
bench-step-at = at { $clock }.
bench-enter-pulled = Enter it: { $node } pulled
bench-is-out = { $node } is out now
bench-mark = Mark
bench-marked = Marked
bench-this-moment = this moment
bench-out = { $node } out
bench-mark-it = Mark it
bench-key-m = (key M)

# A recording looked at closely.
bench-scope-keys = Recording: arrow keys move, plus and minus change the scale, A and B set cursors (with Shift backwards), Home shows all
bench-scope-dragging = What dragging does
bench-scope-drag = Drag to
bench-scope-measure = measure
bench-scope-move = move
bench-scope-earlier = Earlier
bench-scope-later = Later
bench-scope-closer = Closer
bench-scope-wider = Wider
bench-scope-all = All
bench-scope-whole = All: the whole recording
bench-scope-moves = Move in the recording
bench-scope-none = No sample lies between the cursors.
bench-scope-how = Drag across the picture to measure level, step and charge of a stretch.
bench-scope-by-time = Set the cursors by time
bench-scope-a = Cursor A
bench-scope-b = Cursor B
bench-scope-such-as = Such as 22:10, 90 min or 1.5 h.
bench-scope-go = Measure
bench-scope-mean = Mean level
bench-scope-step = Step from A to B
bench-scope-no-step = none
bench-scope-time = Time from A to B
bench-scope-samples = { $samples } from { $from } to { $to } after the start; least { $low }, greatest { $high }.
bench-scope-why-mean = Mean and charge: straight lines from sample to sample (trapezoids). ± is one standard uncertainty of scatter, rounding and gaps (JCGM 100:2008, the GUM); the meter's own accuracy comes on top.
bench-scope-why-step = Step: the level at B minus the level at A; none when both lie on one level.
bench-scope-missing = Without samples for { $time }, bridged by a straight line.
bench-recording-at = Recording: { $node }
bench-recording-of = Recording: { $name }

bench-cost-clamp = The minutes to close a clamp, wait for its reading and note it are common practice; at a fuse that has to be bridged first, reaching and bridging it are added, from memory. Nothing loses its supply, so nothing wakes.
bench-cost-in-line = The minutes to fit an ammeter with its bypass are common practice; at a fuse that has to be bridged first, reaching and bridging it are added, from memory. Nothing loses its supply, so nothing wakes.
bench-cost-millivolt = The twenty seconds to read across one fuse are common practice. The fuse stays in, so nothing wakes.
bench-cost-interrupt = The minutes are those to reach the circuit, and half a minute for the total to settle. They and the chance of waking belong to the kind of load, and are from memory: no published figures were found. What you state for this vehicle takes their place.
bench-cost-wait = The wait is how long this vehicle took in its recording; without one, half an hour is common practice.
bench-cost-other = The minutes are what such a check usually takes at the vehicle, from memory.
bench-older-entries = { $count ->
    [one] { $count } earlier entry
   *[other] { $count } earlier entries
}
bench-clear-circuits = { $count ->
    [one] { $count } circuit that is clear
   *[other] { $count } circuits that are clear
}
bench-rehearsal-answers = This is what the planner would do. Here the invented vehicle answers: do the test in the rehearsal, it enters the number.
bench-nothing-came-yet = Nothing has come yet; the first reading will stand here.
