# Titles, findings and labels of the pictures.
picture-flow = Where the current goes
picture-trace = The trace
picture-nights = The nights ahead
picture-odds = The odds of each cause

picture-not-interpreted = A recording of current against time, not yet interpreted.
picture-asleep-at = Asleep at { $draw }
picture-not-settled = Not settled
picture-too-short = Too short to tell
picture-settled-after = { $head }, { $since } after the start of a recording of { $length }
picture-in-recording = { $head } in { $length } of recording
picture-wake-ups = { $count ->
    [one] { $count } wake-up
   *[other] { $count } wake-ups
}
picture-every = about every { $period }
picture-each = { $duration } each
picture-nothing-recorded = Nothing recorded in this stretch.
picture-recorded = Recorded current
picture-long-run = in the long run { $draw }
picture-mean-so-far = mean so far { $draw }
picture-awake = awake
picture-settling = shutting down
picture-asleep = asleep
picture-wake-up = wake-up
picture-unclear = unclear
picture-no-samples = no samples
picture-limit = limit { $limit }
picture-clock-from = clock of the recording, from { $clock }
picture-from-start = time from the start
picture-straight = straight scale
picture-logarithmic = logarithmic above { $current }
picture-least-to-greatest = least to greatest
picture-level = level

picture-no-forecast = No forecast yet
picture-no-forecast-why = No forecast yet: { $why }.
picture-nothing-to-forecast = There is nothing to forecast from.
picture-no-crank-now = Will not crank now
picture-cranks-for = Cranks for { $time }
picture-cranks-long = Cranks for longer than can be told
picture-half-after = half charge after { $time }
picture-no-start = no start: { $time }
picture-half-charge = half charge: { $time }
picture-owner-found-dead = the owner found it dead after { $time }
picture-day = day { $number }
picture-night = night { $number }
picture-no-crank-between = will not crank below { $low } to { $high } %
picture-no-crank-below = will not crank below { $charge }
picture-found-dead = found dead
picture-charge-left = charge left, against time parked from now
picture-charge-left-nights = charge left, against time parked from now; nights shaded and numbered
picture-middle-and-band = middle, and 90 % of what may come

picture-most-probable = Most probable cause of the complaint: { $cause } ({ $word }, { $percent }).
picture-no-cause = Nothing can be said about the cause yet.
picture-no-odds = No odds yet: nothing is entered.

picture-total-unmeasured = The total has not been measured yet; the streams show what is usual.
picture-nothing-known = Neither the total nor any circuit is known yet.
picture-of-total = Of { $total }, about { $current } go to { $name } ({ $word }, { $percent })
picture-none-stands-out = { $total } leave the battery; no circuit stands out, the largest is { $name } with about { $current }
picture-none-listed = { $total } leave the battery; no circuits are listed yet
picture-rest-unread = { $rest } are not accounted for by readings
picture-leave = leave the battery
picture-unmeasured = Total not measured yet
picture-above = Above the limit of { $limit }.
picture-below = Below the limit of { $limit }.
picture-too-close = Too close to the limit of { $limit } to call.
picture-not-yet-accounted = { $rest } not yet accounted for by readings.
picture-usual-here = Usual here: about { $current }. The streams are guesses until something is measured.
picture-no-circuits = No circuits listed yet. Add the fuse list to see where the current goes.
picture-col-circuit = circuit
picture-col-draws = draws
picture-col-range = 5 % to 95 %
picture-col-suspected = suspected
picture-no-reading-explains = no reading explains it
picture-each-below = { $word }, each ≤ { $percent }
picture-clear-each = clear, each < 2 %
picture-at-fault = at fault, { $percent }
picture-unexplained = { $amount } · unexplained
picture-guess = hatched: a guess
picture-this-wide = this wide: { $current }
picture-unaccounted = Unaccounted for
picture-in-no-circuit = In no circuit listed
picture-circuits = { $count ->
    [one] { $count } circuit
   *[other] { $count } circuits
}
picture-other-fuses = { $count ->
    [one] other { $count } fuse
   *[other] other { $count } fuses
}
picture-other-loads = { $count ->
    [one] other { $count } load
   *[other] other { $count } loads
}
picture-other-circuits = { $count ->
    [one] other { $count } circuit
   *[other] other { $count } circuits
}

# Circuits of the flow picture, spoken.
picture-spoken-measured = { $name }: about { $amount } ({ $span }), { $suspicion }, measured.
picture-spoken-unmeasured = { $name }: about { $amount } ({ $span }), { $suspicion }, not measured.
picture-unexplained-short = unexplained

# Marks on a recording.
picture-mark-read = read { $node }
picture-mark-pulled = { $nodes } pulled
picture-mark-back = { $nodes } back in
picture-mark-unplugged = { $node } unplugged
picture-mark-repair = repair
picture-mark-battery = battery test
picture-mark-drop = voltage drop
picture-mark-charging = charging test

# What a recording says.
picture-told-more = { $count ->
    [one] And { $count } more lasting change.
   *[other] And { $count } more lasting changes.
}
picture-told-zero-unsure = The clamp's zero was taken out; one reading does not tell how far it strays.
picture-told-zero-left = The clamp's zero was taken out; what is left of it is counted as ± { $current }.
picture-told-at = at { $clock }
picture-told-after = { $time } after the start
picture-told-to-the-second = to the second
picture-told-give-or-take = give or take { $time }
picture-told-asleep = Fell asleep { $time } after the start ({ $exact }).
picture-told-asleep-clock = Fell asleep { $time } after the start, { $when } ({ $exact }).
picture-told-clockwork = like a clock: look for something that runs on a timer
picture-told-roughly = roughly regular, times differ by { $share }
picture-told-irregular = irregular, times differ by { $share }
picture-told-woke = { $count ->
    [one] Woke { $count } time, every { $period } on average; { $how }.
   *[other] Woke { $count } times, every { $period } on average; { $how }.
}
picture-told-nothing = nothing changed, to within { $current }
picture-told-fell = the draw fell by { $amount }, from { $before } to { $after }
picture-told-rose = the draw rose by { $amount }, from { $before } to { $after }
picture-told-act = { $what } { $when }: { $change }.
picture-told-act-entry = { $what } { $when } (entry { $entry }): { $change }.
picture-told-no-entry = { $when } { $change }; no entry says why

# A week of driving and standing.
picture-week = A week of driving and standing
picture-week-finding = A week takes { $taken } and driving gives { $given } at three quarters of charge; the battery settles at about { $level } (5 to 95 %: { $low } to { $high }).
picture-week-takes = A week takes { $amount }
picture-week-gives = Driving gives { $amount } at 75 % charge
picture-week-parked = parked draw
picture-week-self-discharge = self-discharge
picture-week-starts = starts
picture-week-engine-off = engine off
picture-week-settles = Settles at about { $level } of full charge
picture-week-band = Shaded: 9 times in 10, { $low } to { $high }
picture-week-runs-empty = Runs empty in time
picture-week-empty = empty
picture-week-full = full
picture-week-keep-above = keep above 75 %

# One step of a hook-up.
picture-hook-up = The hook-up once this step is done
picture-hook-finding = Now { $cable }: { $fed }.
picture-hook-finding-bypass = Now { $cable }, { $bypass }: { $fed }.
picture-hook-finding-tool = Now { $cable }, { $tool }: { $fed }.
picture-hook-finding-both = Now { $cable }, { $bypass }, { $tool }: { $fed }.
picture-hook-cable-on = the cable's clamp is on its post
picture-hook-cable-off = the cable's clamp is lifted off its post
picture-hook-cable-touching = the cable's clamp touches its post
picture-hook-bypass-on = the fused bypass joins post and clamp
picture-hook-bypass-open = the bypass is open at one end
picture-hook-clamp-beside = the clamp meter hangs beside the cable
picture-hook-clamp-around = the clamp meter is around the cable
picture-hook-clamp-turned = the clamp meter is around the cable the other way round
picture-hook-tips-together = the meter's tips are held together
picture-hook-tips-on = the meter's tips are on the test points of the fuse
picture-hook-tips-swapped = the meter's tips are on the test points of the fuse, swapped
picture-hook-meter-ready = the meter lies ready
picture-hook-meter-between = the meter joins post and clamp
picture-hook-shunt-between = the shunt joins post and clamp
picture-hook-fed-own = the vehicle is fed by its own cable
picture-hook-fed-bypass = the vehicle is fed by the bypass
picture-hook-fed-meter = the vehicle is fed through the meter
picture-hook-fed-shunt = the vehicle is fed through the shunt
picture-hook-battery = battery
picture-hook-vehicle = vehicle
picture-hook-off = off
picture-hook-touches = touches
picture-hook-fused-bypass = fused bypass
picture-hook-set-to-zero = set to 0
picture-hook-turned-round = turned round
picture-hook-around-cable = around the cable
picture-hook-not-connected = not connected
picture-hook-carries-all = carries all
picture-hook-carries-part = carries a part
picture-hook-sense-wires = shunt and sense wires
picture-hook-fuse-in-place = fuse, in its place
picture-hook-tips-short = tips together
picture-hook-swapped = swapped
picture-hook-own-cable = Fed by its own cable
picture-hook-by-bypass = Fed by the bypass
picture-hook-through-meter = Fed through the meter: wake nothing
picture-hook-through-shunt = Fed through the shunt
