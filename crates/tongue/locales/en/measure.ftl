# Quantities, instruments and what a hook-up does to a reading.
measure-minutes = { $count ->
    [one] { $number } minute
   *[other] { $number } minutes
}
measure-hours = { $count ->
    [one] { $number } hour
   *[other] { $number } hours
}
measure-days = { $count ->
    [one] { $number } day
   *[other] { $number } days
}
measure-weeks = { $count ->
    [one] { $number } week
   *[other] { $number } weeks
}
measure-years = { $count ->
    [one] { $number } year
   *[other] { $number } years
}

measure-part-accuracy = accuracy of the meter
measure-part-resolution = last digit shown
measure-part-clamp-zero = wandering zero of the clamp
measure-part-clamp-position = place of the cable in the jaws
measure-part-thermal-voltage = thermal voltages at the probe tips
measure-part-resistance = resistance of the fuse or shunt
measure-part-less-voltage = less voltage at the vehicle

measure-not-a-quantity = '{ $text }' is not a { $quantity }
measure-no-unit = '{ $text }' has no unit
measure-not-a-unit = '{ $unit }' is not a unit of { $quantity }
measure-too-large = '{ $text }' is too large to be a { $quantity }
measure-hint-number-and-unit = write a number and a unit, such as { $examples }
measure-hint-with-unit = write the { $quantity } with its unit, such as { $examples }
measure-hint-such-as = write it such as { $examples }
measure-one-or-other = { $one } or { $other }
measure-outside = { $name } { $value } { $unit } is outside { $low } to { $high } { $unit }
measure-not-this-instrument = { $word } is a { $class }, not a { $kind }
measure-no-instrument = '{ $text }' is neither a class of instrument nor a specification
measure-hint-instrument = write one of { $known }, or its accuracy such as 2%+5@{ $step }
measure-unknown-word = '{ $word }' is not a { $what }; write one of { $known }

measure-name-current = current
measure-name-voltage = voltage
measure-name-charge = charge
measure-name-time = time
measure-name-temperature = temperature
measure-name-resistance = resistance
measure-name-share = share
measure-name-capacity = capacity
measure-name-cranking-current = cranking current
measure-name-draw = draw
measure-name-normal-draw = normal draw
measure-name-draw-while-parked = draw while parked
measure-name-limit = limit
measure-name-voltage-across-the-fuse = voltage across the fuse
measure-name-fuse-rating = fuse rating
measure-name-number-of-cables = number of cables
measure-name-shunt-resistance = shunt resistance
measure-name-melting-integral = melting integral
measure-name-probability = probability
measure-name-accuracy = accuracy
measure-name-resolution = resolution
measure-name-age = age
measure-name-reserve = reserve
measure-name-health = health
measure-name-charge-used-with-the-engine-off = charge used with the engine off
measure-name-current-left-over-while-driving = current left over while driving
measure-name-number-of-trips = number of trips
measure-name-length-of-a-trip = length of a trip
measure-name-internal-resistance = internal resistance
measure-name-specific-gravity = specific gravity
measure-name-voltage-drop = voltage drop
measure-name-time-under-load = time under load
measure-name-time-of-rest = time of rest
measure-unit-cables = cables
measure-unit-a-fraction = (a fraction)
measure-unit-digits = digits
measure-unit-a-or-v = A or V
measure-unit-years = years
measure-unit-1-is-as-new = (1 is as new)
measure-unit-ah-a-week = Ah a week
measure-unit-a-week = a week

measure-class-clamp-low = low-range direct-current clamp
measure-class-clamp-high = general direct-current clamp
measure-class-ten-a-fine = handheld multimeter, 10 A input that shows milliampere
measure-class-ten-a = handheld multimeter, 10 A input
measure-class-ma = handheld multimeter, milliampere input
measure-class-mv = handheld multimeter, millivolt range
measure-class-mv-fine = multimeter, millivolt range that shows 10 µV
measure-class-volt = handheld multimeter, direct voltage
measure-class-analyser = battery analyser, cranking current

measure-name-kind-of-instrument = kind of instrument
measure-name-way-to-read = way to read a current
