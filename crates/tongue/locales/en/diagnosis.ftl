# The next test and why; what is behind the complaint. A `why` begins small: a place or a colon may stand before it.
diagnosis-total-why = the whole vehicle's draw asleep decides whether there is anything to find: { $time }, your meter sees { $floor }
diagnosis-up-to = up to { $current }
diagnosis-nothing-too-much = nothing draws too much while it sleeps
diagnosis-more = more
diagnosis-something-too-much = some circuit draws too much; the search begins
diagnosis-unplug-why = unplug { $name } itself: if the draw stays, the fault is the wiring of { $place }, not the load
diagnosis-unplug-load = the load draws it
diagnosis-unplug-wiring = the wiring behind the fuse draws it
diagnosis-wiring-of = the wiring of { $place }
diagnosis-again-after-repair = read the total again after the repair: it shows whether there is a second fault
diagnosis-suspect = { $place } ({ $percent })
diagnosis-outside = outside the listed circuits
diagnosis-nothing-suspected = nothing is suspected
diagnosis-feeds = { $id } feeds { $what }
diagnosis-circuits = { $count ->
    [one] { $count } circuit
   *[other] { $count } circuits
}
diagnosis-why = { $subject }: { $percent } likely, { $time }, your meter sees { $floor } there, { $disturbs }
diagnosis-about = about { $current }
diagnosis-here-or-below = the fault is here or below
diagnosis-elsewhere = all is well here; the fault is elsewhere
diagnosis-seconds = { $number } seconds
diagnosis-one-minute = 1 minute
diagnosis-minutes = { $number } minutes
diagnosis-percent = { $percent } %
diagnosis-nothing-disturbed = nothing is disturbed
diagnosis-waking-unlikely = waking is unlikely
diagnosis-may-wake = { $percent } to wake the vehicle
diagnosis-and-settings-lost = { $wake }, and stored settings are lost
diagnosis-not-here = not to be done on this vehicle
diagnosis-no-rating = without its rating a voltage across it says no current
diagnosis-would-lose = { $what } would lose stored settings
diagnosis-forbidden = airbag and high-voltage circuits are not for this procedure
diagnosis-unseen = your meter sees { $floor } there and more; a fault would draw about { $fault }
diagnosis-stuck = no allowed test tells apart what is left: { $left }
diagnosis-owner-must-agree = pulling { $places } would lose stored settings, so the owner must agree first
diagnosis-awake = the vehicle is awake: readings taken now would blame what is about to switch off, about { $time } more
diagnosis-put-back-why = only one pull speaks against { $name }: put back, about { $current } has to come back, or it had gone by itself
diagnosis-about-more = about { $current } more
diagnosis-about-less = about { $current } less
diagnosis-no-less = no less than before
diagnosis-it-draws = it is what draws
diagnosis-no-more = no more than before
diagnosis-gone = the draw had gone by itself; the search goes on
diagnosis-total-again = the total and the other readings do not agree: { $time } tells a second fault, or one outside the list, from a total that was read while something was awake
diagnosis-within = the vehicle draws { $draw } asleep, within the limit of { $limit }
diagnosis-something-outside = something outside the listed circuits
diagnosis-second-less-likely = { $places } explains { $part } of { $all }; a second fault is less likely than not ({ $percent }), and the total after the repair tells
diagnosis-explained = { $places } explains { $part } of { $all }; without it { $left } would be left, within the limit of { $limit }
diagnosis-the-family = the { $name }

diagnosis-check-battery = Read the rested voltage, then test it with an analyser or a load.
diagnosis-check-recharge = Recharge it fully, let it rest and test it again.
diagnosis-check-charging = Read the charging voltage at raised speed with the loads on.
diagnosis-check-charging-again = Read the charging voltage again, warm and with the loads on.
diagnosis-check-ripple = Read the AC ripple at the battery at raised speed.
diagnosis-check-usage = Ask how many trips a week it makes and how long they are.
diagnosis-check-draw = Measure the draw around the battery cable once it sleeps.
diagnosis-check-night = Record the draw over a night.

diagnosis-age = The battery is { $age } years old.
diagnosis-stands-at = It stands at { $charge } % charge.
diagnosis-leak-above = The alternator's cable carries { $current } with everything off, above { $limit }.
diagnosis-leak-above-ripple = The alternator's cable carries { $current } with everything off, above { $limit }; the ripple by day points to its diodes too.
diagnosis-leak-below = The alternator's cable carries { $current } with everything off, below { $limit }.
diagnosis-leak-below-ripple = The alternator's cable carries { $current } with everything off, below { $limit }; the ripple by day points to its diodes too.
diagnosis-settled-above = The settled draw of { $draw } is above the limit of { $limit }.
diagnosis-settled-not-above = The settled draw of { $draw } is not above the limit of { $limit }.
diagnosis-no-wake-ups = The recording shows no wake-ups.
diagnosis-gone-by-itself = { $current } went by itself while it was looked for.
diagnosis-wake-ups = { $count ->
    [one] { $count } wake-up in the recording add { $current } on average.
   *[other] { $count } wake-ups in the recording add { $current } on average.
}
diagnosis-usage = It makes { $trips } trips a week of about { $minutes } min; one start takes 20 to 30 min to replace.
diagnosis-battery-good = The battery tests good
diagnosis-battery-weak = The battery tests below its rating
diagnosis-battery-fails = The battery fails its tests
diagnosis-battery-too-empty = The battery is too empty to judge
diagnosis-battery-not-tested = The battery has not been tested
diagnosis-verdict = { $verdict }.
diagnosis-verdict-with-health = { $verdict } ({ $health } % of its rating).
diagnosis-complaint = { $cause } alone, no start after { $hours } h at { $temperature } °C has a chance of { $percent } %.
diagnosis-with-draw = With a draw of { $current }
diagnosis-with-steady-draw = With a usual faulty steady draw
diagnosis-with-intermittent-draw = With a usual draw that comes and goes
diagnosis-with-weak-battery = With a weak battery
diagnosis-with-poor-charge = With a poorly charged battery
diagnosis-with-usage = With a battery kept low by its use
