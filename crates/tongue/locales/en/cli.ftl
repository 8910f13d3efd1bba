# The command line: what a person reads of assess, job and read. Labels stand in columns of 14 and 16 letters.
cli-next = Next: { $headline } (about { $minutes } min)
cli-caution = Caution: { $text }
cli-or = Or: { $headlines }
cli-culprit = Culprit: { $place } ({ $percent })
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
