# Recordings: asleep or not, the limit, the voltage; what was taken for granted when a log was read, and what is wrong with one.
trace-no-settled-draw = there is no settled draw
trace-cannot-compare = cannot be compared with { $limit }: { $why }
trace-draws-asleep = asleep the vehicle draws { $draw } (± { $u } { $made-of })
trace-draws-with-wake-ups = asleep with its wake-ups the vehicle draws { $draw } (± { $u } { $made-of })
trace-by-log-and-meter = by the scatter of the log and the meter's accuracy
trace-by-log = by the scatter of the log; the meter's own accuracy comes on top
trace-more-than = { $draw }, more than { $limit }
trace-less-than = { $draw }, less than { $limit }
trace-too-close = { $draw }, too close to tell apart from { $limit }

trace-no-level-long-enough = no level lasted long enough to be called sleep
trace-held-too-briefly = the lowest level, { $level }, has held for only { $held }; it takes { $needed } to tell it from one more step down
trace-no-sample = there is no sample to judge
trace-backwards = current flows into the battery for part of the time, so this is not a parked vehicle's draw; if the clamp was the wrong way round, turn the sign
trace-too-short = the record lasts only { $time }; falling asleep takes a vehicle minutes to an hour

trace-charging = from { $from } to { $to } the voltage stood at { $voltage }: an alternator or a charger was at work, and what flowed then is no parked draw
trace-sag = at { $time } the voltage fell from { $before } to { $after } while the current stayed at { $current }: no load did that; the battery itself gives way, or its connection
trace-resistance = each ampere pulls the voltage down by { $drop } over { $steps } steps: battery and leads have { $ohm } together
trace-resistance-high = each ampere pulls the voltage down by { $drop } over { $steps } steps: battery and leads have { $ohm } together; that is much for a sound battery with clean posts, so measure across the posts themselves
