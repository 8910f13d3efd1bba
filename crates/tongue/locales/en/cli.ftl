# The command line: what a person reads of assess, job and read. Labels stand in columns of 14 and 16 letters.
cli-next = Next: { $headline } (about { $minutes } min)
cli-caution = Caution: { $text }
cli-or = Or: { $headlines }
cli-culprit = Culprit: { $place } ({ $percent })
cli-no-fuses = there is no fuse in { $file }
cli-no-fuses-hint = write one fuse a line, such as F12 15A radio
cli-total-draw = total draw
cli-long-run = long run
cli-unaccounted = unaccounted
cli-battery = battery
cli-battery-good = good
cli-battery-recharge = recharge-and-retest
cli-battery-weak = weak
cli-battery-replace = replace
cli-battery-unknown = unknown
cli-contradicting = { $verdict }; its tests contradict each other
cli-can-stand = can stand
cli-may-freeze = may freeze
cli-about = about { $middle } ({ $low } to { $high })
cli-after-about = after about { $middle } ({ $low } to { $high })
cli-complaint = complaint
cli-cause = Cause of the complaint
cli-speaks-for = for: { $reason }
cli-speaks-against = against: { $reason }
cli-moves-most = moves it most: { $check }
cli-fuse = Fuse { $fuse }: { $ohm } from other readings; the table says { $table }.
cli-note = Note: { $text }
cli-leans-on = The chances lean on { $jobs } (nightdraw history; --without-history leaves them out).
cli-finished-jobs = { $count ->
    [one] { $count } finished job
   *[other] { $count } finished jobs
}
cli-circuits = Circuits, most suspect first
cli-and-more = and { $count } more

cli-too-much = TOO MUCH: { $because }
cli-in-order = IN ORDER: { $because }
cli-not-sure = NOT SURE: { $because }
cli-settled-draw = settled draw
cli-since = { $draw } since { $time }
cli-not-settled = not settled
cli-expected-at = { $why } (expected at { $time })
cli-wake-ups = wake-ups
cli-one-each = one each { $period }
cli-each-long = { $time } long
cli-extra-in-all = { $charge } extra in all
cli-long-run-label = long-run
cli-wake-ups-included = { $draw }, wake-ups included
cli-average = average
cli-over = { $draw } over { $time }
cli-charge = charge
cli-levels = levels
cli-levels-noise = { $levels }, noise { $noise }, { $samples } samples

cli-job = job { $job }: { $name }
cli-entries = Entries
cli-struck = (struck out)

# Files and jobs that cannot be had.
cli-cannot-read = cannot read { $name }: { $why }
cli-cannot-write = cannot write { $name }: { $why }
cli-cannot-write-to = cannot write to { $name }: { $why }
cli-no-such-file = the file or folder does not exist
cli-no-such-file-hint = check the name and the folder
cli-no-permission = permission denied
cli-no-permission-hint = check who may read or write it
cli-disk-full = no room is left on the disk
cli-disk-full-hint = free some space and try again
cli-it-is-a-folder = it is a folder
cli-it-is-a-folder-hint = name a file in it
cli-standard-input = standard input
cli-standard-output = standard output
cli-is-a-folder = { $name } is a folder
cli-is-a-folder-hint = name a log file in it
cli-no-job-file = there is no job file { $name }
cli-no-job-file-hint = name a job file, or the number of a kept job (nightdraw job list)
cli-too-long = { $name } is { $size } MB long, too long for a job file
cli-too-long-hint = name a job file; a log is read by nightdraw read
cli-not-text = { $name } is not text
cli-not-text-hint = name a job file in TOML; a log is read by nightdraw read
cli-file-line = { $name }, line { $line }
cli-no-home = this account has no home folder to keep jobs in
cli-no-home-hint = name one with --data DIR
cli-check-number = check the number and its unit
cli-label-hint = give --capacity 60Ah, --cranking 540A or --reserve 90min from the label
cli-report-this = please report this

# read.
cli-picture-written = picture written to { $name }
cli-reference-twice = --reference reads the log twice, and standard input comes once
cli-name-a-file = name a file
cli-same-column = { $other } and { $option } name the same column '{ $column }'
cli-same-column-hint = name two columns, or leave one of them to be found
cli-comes-before = '{ $to }' comes before '{ $from }'
cli-comes-before-hint = give the earlier time first
cli-no-interval = '{ $text }' is no interval
cli-no-interval-hint = write it as --zero 22:10..22:12
cli-penalty = the penalty must be a number, zero or more
cli-clamp-or-not = '{ $text }' does not say whether it is a clamp
cli-clamp-or-not-hint = add --how clamp or --how in-line
cli-logs-no-ampere = { $text } does not log ampere
cli-logs-no-ampere-hint = name a clamp or a meter in the circuit
cli-zero-hint = look at the times of the log, and give each interval as FROM..TO
cli-no-current-unit = '{ $unit }' is not a unit of current
cli-no-current-unit-hint = use --unit A, --unit mA or --unit uA
cli-limit-hint = give the limit such as --limit 50mA
cli-a-fuse = a fuse
cli-act-pulled = { $name } pulled
cli-act-put-back = { $name } put back
cli-act-outside = `{ $typed }` lies outside the log, which lasts { $last }, and is left out
cli-from-to = { $from } to { $to }

# listen.
cli-virtual-van = virtual van
cli-was-read = { $why }; what had been received was read
cli-stopped = stopped
cli-here = here
cli-kept-as = kept as entry { $number }
cli-received-and-cut = what was received since { $time } and then cut off is now entry { $number }
cli-place-hint = name a place of the job with --node, as nightdraw job show lists them
cli-file-exists = { $name } is there already and would be lost
cli-file-exists-hint = choose another name for --save
cli-level-since = level { $level } since { $clock }
cli-seconds-ago = { $seconds } s ago

cli-speed = give a number from { $from } to { $to }, such as 60 for a minute in a second

# park.
cli-park-starts = At { $draw } and { $temperature } it should start for about { $middle }; 9 times of 10 between { $low } and { $high }.
cli-park-no-end = At { $draw } and { $temperature } no end is in sight.
cli-park-half = Half charge after { $time }.
cli-park-self-discharge = Self-discharge counts for { $current }.
cli-park-recharge = Recharging what is missing now takes about { $time }.
cli-park-this-evening = Parked this evening, no start in the morning:
cli-park-night = night
cli-park-charge = { $share } charge
cli-park-too-many = { $count } nights are more than the { $most } that can be looked ahead
cli-park-too-many-hint = name the coming nights only

# balance: labels stand in a column of 15 letters, those under it in one of 17.
cli-balance-too-long = { $trips } trips of { $minutes } min are longer than a week
cli-balance-too-long-hint = give the trips of one week and the length of one trip
cli-balance-not-driven = Not driven at all: nightdraw park says how long it can stand.
cli-balance-takes = a week takes
cli-balance-draw = parked draw
cli-balance-self-discharge = self-discharge
cli-balance-starts = starts
cli-balance-engine-off = engine off
cli-balance-gives = driving gives
cli-balance-at-three-quarters = { $charge } at three quarters of charge
cli-balance-room = room for
cli-balance-room-more = { $current } more while parked
cli-balance-hold = would hold it
cli-balance-holders = a maintainer of { $current }, or a solar panel of { $watt } W in winter
cli-balance-with = with { $current } more
cli-balance-fits = fits: the battery then { $level }
cli-balance-fits-not = does not fit: the battery then { $level }
cli-balance-settles-at = settles at about { $level }
cli-balance-runs-empty = runs empty in time
cli-balance-range = 9 times of 10 between { $low } and { $high }
cli-balance-keeps = It holds its charge and settles at about { $level } ({ $range }).
cli-balance-low = It settles low, at about { $level } ({ $range }); below three quarters a lead battery ages fast.
cli-balance-not = It does not hold its charge (chance that it does: { $sure }).
cli-balance-not-within = It does not hold its charge (chance that it does: { $sure }), from full to half in about { $time }.

# hookup: labels stand in a column of 15 letters, those under it in one of 19.
cli-hookup-steps = Steps
cli-hookup-settings = Settings: { $why }
cli-hookup-reading = reading
cli-hookup-within = within ±{ $width }
cli-hookup-sees = sees from
cli-hookup-too-small = too small
cli-hookup-shows-up-to = it shows up to { $current }
cli-hookup-burden = burden
cli-hookup-burden-is = { $volt } at the vehicle; { $wake } when { $current } flow
cli-hookup-bypass-left = bypass left on
cli-hookup-steals = it steals { $low } to { $high } %; the meter shows about { $shown }
cli-hookup-check = check
cli-hookup-on-post = clamp on post: the reading falls to about { $current } ({ $share } %)
cli-hookup-meter-fuse = meter's fuse
cli-hookup-bypass-fuse = bypass's fuse
cli-hookup-supply = supply
cli-hookup-untouched = untouched; nothing is put into the circuit
cli-hookup-holds = { $rating } holds a wake-up of { $wake }
cli-hookup-blows = { $rating } BLOWS at a wake-up of { $wake }, and the supply breaks
cli-hookup-blows-within = { $rating } BLOWS at a wake-up of { $wake } within { $time }, and the supply breaks
cli-hookup-melts = { $current } melt it within a second
cli-hookup-keeps = A { $supply } holds this draw for about { $time }
cli-hookup-keeps-not = A { $supply } cannot hold this draw: it gives { $current } at most before it falls below { $volt }
cli-hookup-wake-leaves = a wake-up of { $wake } leaves { $volt }
cli-hookup-wake-loses = a wake-up of { $wake } takes it down to { $volt }, and the settings are lost
cli-hookup-airbag = airbag work needs a dead supply, and a memory-keeping supply keeps the airbag unit live
cli-hookup-airbag-hint = leave --keeper out
cli-hookup-keeper = '{ $word }' is no supply known here
cli-hookup-keeper-hint = write one of { $known }
cli-hookup-no-shunt = a voltage across a shunt tells no current without its resistance
cli-hookup-no-shunt-hint = add --shunt 1mohm
cli-hookup-no-rating = millivolts across a fuse tell no current without its rating
cli-hookup-no-rating-hint = add --fuse 15A
cli-hookup-unsuited = the instrument cannot be read as { $how }
cli-hookup-unsuited-hint = name another --instrument

# history.
cli-history-none = No finished job has taught anything yet.
cli-history-sharpens = { $count ->
    [one] { $count } finished job sharpens the chances of the next one.
   *[other] { $count } finished jobs sharpen the chances of the next one.
}
cli-history-off = They are switched off; nightdraw history on uses them again.
cli-history-jobs = Jobs
cli-history-forgotten = forgotten
cli-history-nothing = nothing: { $why }
cli-history-kind = Kind of circuit
cli-history-count = jobs
cli-history-chance = chance before -> now
cli-history-written = history written to { $name }

# job.
cli-job-kept = job { $job } kept: { $name }
cli-job-refined = job { $job }: { $added } added, { $filled } say more now
cli-job-entry = entry
cli-job-entries = entries
cli-job-invented = (invented)
cli-job-none = no jobs yet; start one with: nightdraw job new "Bread van" --capacity 60Ah
cli-job-entry-kept = entry { $entry } of job { $job } kept: { $what }
cli-job-struck = entry { $entry } of job { $job } struck out (by entry { $by })
cli-job-written = job { $job } written to { $name }
cli-no-field = '{ $text }' is not NAME=VALUE
cli-no-field-hint = write it such as value=412mA
cli-entries-from-one = entries count from 1
cli-entries-from-one-hint = see nightdraw job show

# rehearse: tests stand in a column of 15 letters, the table's in one of 8.
cli-drill-clamp = current of a cable; clamp alone: the total
cli-drill-in-line = the total with the meter in the circuit
cli-drill-mv = millivolts across a fuse in its place
cli-drill-pull = pull fuses or take cables off together, watch the total, put them back
cli-drill-out = the same, and they stay out
cli-drill-back = put back what is out and watch the total; back all: everything, without a look
cli-drill-unplug = unplug one load, watch the total, plug it in again
cli-drill-sleep = wait until the vehicle sleeps
cli-drill-wait-typed = wait MINUTES
cli-drill-wait = wait, whatever happens
cli-drill-repair = put one circuit right (10 minutes)
cli-drill-repair-outside = put right what is wired past the fuses (10 minutes)
cli-drill-a-number = a number
cli-drill-number = that test of the list
cli-drill-list = every place and its usual test
cli-drill-clock = minutes so far, and whether it sleeps
cli-drill-advice = what the planner would do now
cli-drill-done = end, and see the score
cli-drill-quit = stop for now
cli-drill-stdout-twice = --json and --trace - both want stdout
cli-drill-stdout-twice-hint = name a file for the trace
cli-drill-invented = Everything about it is invented. It was locked a while ago and sleeps. Something draws more than its limit of 50 mA: find it, repair it, prove it.
cli-drill-settings-may = The invented owner agrees that stored settings may be lost.
cli-drill-settings-not = Stored settings must not be lost.
cli-drill-type = Type help for the tests, list for the places, done for the score.
cli-drill-again = { $tests ->
    [one] Taken up again after { $minutes } minutes and { $tests } test.
   *[other] Taken up again after { $minutes } minutes and { $tests } tests.
}
cli-drill-asleep = { $minutes } minutes, asleep
cli-drill-awake = { $minutes } minutes, awake
cli-drill-no-number = The list goes from 1 to { $most }.
cli-drill-woke = It woke the vehicle.
cli-drill-lost = Stored settings of { $what } are lost.
cli-drill-mind = On a real vehicle, mind: { $caution }
cli-drill-left-kept = Left after { $minutes } minutes; nightdraw rehearse --resume { $file } goes on.
cli-drill-left = Left after { $minutes } minutes; with --save FILE it could be taken up again.
cli-drill-score = Score
cli-drill-you = you
cli-drill-planner = planner
cli-drill-times = you took { $ratio } times the planner's minutes
cli-drill-it-was = It was
cli-drill-nothing-more = nothing more
cli-drill-parted = Your paths parted at step { $step }: you: { $yours }; the planner: { $planners }
cli-drill-same-way = You went the planner's way throughout.
cli-drill-your-tests = Your tests, and what the planner would have done there
cli-drill-rather = rather: { $test }
cli-drill-planner-tests = The planner's tests
cli-drill-solved = found and repaired
cli-drill-unsolved = not found
cli-drill-outcome = { $tests ->
    [one] { $minutes } min, { $tests } test, { $how }
   *[other] { $minutes } min, { $tests } tests, { $how }
}
cli-drill-woken = { $count ->
    [one] woke it once
   *[other] woke it { $count } times
}
cli-drill-settings-lost = lost the settings of { $what }
cli-drill-needless = needless repair of { $what }

# open, report, manual.
cli-cannot-start = cannot start: { $why }
cli-let-phone-in = to let a phone in, open this machine's address on it and enter { $code }
cli-no-browser = no browser could be started here; open the address above yourself
cli-report-written = report written to { $name }
cli-pdf-hint = write the HTML report instead (-o), and please report this
cli-no-manual = cannot make the manual: { $why }

# A command line that cannot be understood; what it says in English is the parser's.
cli-usage-value = { $value } does not fit { $option }: { $why }
cli-usage-value-wrong = { $value } does not fit { $option }
cli-usage-one-of = { $value } does not fit { $option }; it can be { $known }
cli-usage-no-value = { $option } needs a value
cli-usage-unknown = there is no { $option } here
cli-usage-unknown-near = there is no { $option } here; did you mean { $near }?
cli-usage-command = there is no command { $command }
cli-usage-command-near = there is no command { $command }; did you mean { $near }?
cli-usage-missing = this is missing: { $what }
cli-usage-no-command = a command is missing; it can be { $known }
cli-usage-conflict = { $option } does not go together with { $other }
cli-usage-twice = { $option } stands there twice
cli-usage-help = see nightdraw --help
cli-usage-wrong = the command line cannot be understood: { $why }
