# Rehearsals: what was seen, what the planner would have done, the score.
practice-why-woken = it was woken, and only the settled draw can be judged
practice-why-asleep-again = the total shows whether it sleeps now
practice-why-left-out = the same fuse, but left out: most modules wake when their supply comes back, so everything goes back together at the end

practice-the-total = The total
practice-with-out = With { $places } out
practice-with-unplugged = With { $place } unplugged
practice-saw-current = { $place }: { $current }.
practice-saw-current-awake = { $place }: { $current }, awake.
practice-saw-drop = { $place }: { $drop }.
practice-saw-drop-awake = { $place }: { $drop }, awake.
practice-drop = { $voltage } across it
practice-drop-about = { $voltage } across it, about { $current }
practice-drop-unseen = { $voltage } across it, too little to tell a current
practice-saw-fall = { $place } the total of { $before } became { $after }.
practice-saw-fall-awake = { $place } the total of { $before } became { $after }, awake.
practice-saw-over-range = { $place }: more than the meter can show.
practice-saw-fuse-blow = { $place }: the meter's own fuse blew; a new one is in.
practice-saw-nothing = { $place }: nothing was read.
practice-slept = Waited until it slept.
practice-waited = Waited { $minutes } min.
practice-put-right = { $place } put right.
practice-outside-put-right = What is wired past the fuses put right.

practice-clamp-total = clamp the total
practice-repair-outside = repair what is wired past the fuses
practice-in-line-total = measure the total in line
practice-millivolts-across = millivolts across { $place }
practice-wait-until-asleep = wait until it sleeps
practice-wait-minutes = wait { $minutes } min
practice-out-places = pull { $places } and leave out
practice-back-all = put everything back
practice-back-places = put { $places } back
practice-with-back = With { $places } back
practice-all-back = Everything put back.
practice-pull-places = pull { $places }
practice-clamp-place = clamp { $place }
practice-unplug-place = unplug { $place }
practice-repair-place = repair { $place }
practice-label-total = Total at the battery
practice-label-clamp = Clamp { $place }
practice-label-millivolts = Millivolts across { $place }
practice-label-pull = Pull { $place }
practice-past-the-fuses = past the fuses
practice-truth = { $place }: { $fault }, { $size }
practice-truth-in-wiring = { $place }: { $fault }, in its wiring, { $size }

practice-not-one = this job is no rehearsal
practice-not-touched = airbag and high-voltage circuits are not for this procedure; leave them alone
practice-repair-where = a repair is made at one circuit; name the fuse or load itself, not what feeds several
practice-one-place = '{ $verb }' takes one place
practice-one-place-hint = write it such as { $verb } F12
practice-no-wait = that is no time to wait
practice-no-wait-hint = write it in minutes up to { $most }, such as wait 10
practice-no-test = there is no test '{ $typed }'
practice-no-test-hint = write clamp, in-line, mv, pull, out, back, unplug, sleep, wait or repair, and a place
practice-no-place = there is no place '{ $name }' on this vehicle
practice-no-place-near = did you mean { $near }?
practice-no-place-hint = the list shows every place

practice-refused-no-node = there is no such node on this vehicle
practice-refused-not-a-cable = a clamp goes around a cable, and there is none here
practice-refused-no-clamp = there is no clamp at hand; measure in line at the battery
practice-refused-out-of-reach = this fuse cannot be probed in its place
practice-refused-not-to-pull = only fuses and cables below the battery can be taken out
practice-refused-not-out = only what is out can be put back
practice-refused-is-out = that is out, or hangs behind what is out; put it back first
practice-refused-not-a-load = only a load can be unplugged
practice-load-nowhere = load '{ $id }' is not in the feed tree
practice-load-feeds = '{ $id }' feeds other nodes and cannot be a load itself

practice-setup-no-value = '{ $part }' is not NAME=VALUE
practice-setup-unknown = '{ $value }' is no { $name } of a rehearsal; it can be { $known }
practice-setup-seed = a whole number
practice-setup-reach = all, half or none
practice-setup-level = plain or full
practice-setup-settings = keep or may-be-lost
practice-setup-no-name = a rehearsal has no '{ $name }'
practice-setup-no-kind = there is no kind of vehicle '{ $kind }'; there are { $known }

practice-title = Rehearsal { $seed }: invented { $kind }, { $fuses } fuses
practice-kind-small = small car
practice-kind-car = car
practice-kind-large = large car
practice-kind-van = van
practice-complaint = Flat after some nights. Invented, like the vehicle.
