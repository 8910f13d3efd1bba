# Entries and forms: what is wrong with a field, and what to do.
fields-say-when = say when it was, such as at = "2026-03-02T20:10:00Z"
fields-incomplete = the entry is incomplete
fields-incomplete-hint = fill in what is missing
fields-say-how = say how it was read: clamp, in-line, millivolt or shunt
fields-say-asleep = say whether the vehicle was asleep: true or false
fields-only-shunt = only a reading across a shunt has a shunt resistance
fields-only-shunt-hint = leave it out, or write how = shunt
fields-say-value = say what the instrument showed, such as 412mA or 2.1mV
fields-needs-shunt = a voltage across a shunt needs the shunt's resistance
fields-needs-shunt-hint = add it such as shunt = "1mohm", or write the value as a current
fields-current-or-millivolt = write the current, such as 412mA, or say that it was read as millivolt
fields-unit-drop = write it with its unit, such as 2.1mV or 412mA
fields-the-pull = the pull
fields-the-refit = putting back
fields-the-unplugging = unplugging
fields-not-a-load = { $node } is nothing that can be unplugged
fields-not-a-load-hint = name a load, or the fuse that feeds it
fields-say-before = give the total before { $done }, asleep, such as 412mA
fields-say-after = give the total after { $done }, asleep again, such as 90mA; leave both out where a meter is logging
fields-say-cranking = give the cranking current that it shows, such as 530A
fields-say-standard = say which standard it was set to: en, sae, iec, din or jis
fields-say-speed = say how the engine ran: idle, raised or loaded
fields-say-recording = name the recording, such as file = "night.csv"
fields-say-entry = give the number of the entry to strike out, counted from 1
fields-no-entry-zero = there is no entry 0
fields-counted-from-one = entries are counted from 1
fields-say-where = say where it was read; 'battery' is the total
fields-say-fuses = name the fuses, such as nodes = ["F3", "F4"]
fields-say-words = say it in a few words
fields-say-before-voltage = give the rested voltage at the start, such as 12.62V
fields-say-after-voltage = give the voltage at the end, such as 12.58V
fields-say-stood = say how long it stood alone, such as 14h
fields-say-resistance = give the resistance that it shows, such as 5.2mohm
fields-say-lowest = give the lowest cell, such as lowest = 1.235
fields-say-highest = give the highest cell, such as highest = 1.255
fields-swap = swap the two
fields-say-drop = give the voltage that is lost, such as 0.25V
fields-say-drop-place = say where: starter-positive, starter-ground, charging-positive, charging-ground or connection
fields-say-trip = say how long a trip is, such as minutes_per_trip = 15
fields-say-trips = say how many trips a week, such as trips_per_week = 10
fields-stamp-hint = write it such as 2026-03-02T20:10:00Z
fields-yes-or-no = write yes or no
fields-true-or-false = write true or false, without quotes
fields-check-number = check the number and its unit
fields-describe-instrument = describe it under [[instrument]], or leave it out
fields-name-node = name a node of the feed tree, or 'battery' for the total
fields-write-current = write the current, such as 412mA
fields-no-voltage = this instrument does not show a voltage
fields-name-fuse = name the fuse, or read the current with a clamp
fields-no-fuse = no fuse is named
fields-say-pulled = name what was pulled or put back
fields-not-the-battery = the battery itself cannot be pulled
fields-not-the-battery-hint = name the fuses; without the battery there is no total
fields-each-once = name each once
fields-no-entry-yet = there is no entry yet
fields-needs = { $place } needs '{ $field }'
fields-place-entry = the entry
fields-place-usage = the usage
fields-no-field = { $place } has no field '{ $field }'
fields-did-you-mean = did you mean '{ $near }'?
fields-did-you-mean-of = did you mean '{ $near }'? It can be { $known }
fields-can-hold = it can hold { $known }
fields-can-be = it can be { $known }
fields-not-text = '{ $field }' is { $value }, not a text
fields-quotes = write it in quotes: { $field } = "…"
fields-no-moment = '{ $value }' is not a moment with date, time and zone
fields-neither-yes-nor-no = '{ $field }' is { $value }, neither yes nor no
fields-not-whole = '{ $field }' is { $value }, not a whole number
fields-not-number = '{ $field }' is { $value }, not a number
fields-example = write it such as { $field } = { $example }
fields-bare-number = '{ $field }' is the bare number { $value }
fields-unit-in-quotes = write the { $quantity } with its unit, in quotes, such as { $examples }
fields-not-a = '{ $field }' is { $value }, not a { $quantity }
fields-no-choice = '{ $value }' is no { $field }
fields-not-names = '{ $field }' is { $value }, not a list of names
fields-a-list = a list
fields-a-table = a table
fields-no-kind = '{ $kind }' is no kind of entry
fields-a-voltage = '{ $value }' is a voltage, but this instrument shows a current
fields-say-voltage = give the voltage, such as { $example }
fields-lowest-above = the lowest cell, { $low }, is above the highest, { $high }
fields-no-instrument = there is no instrument '{ $name }'
fields-known-are = known are { $known }
fields-no-node = there is no node '{ $node }'
fields-not-across-fuse = millivolts are read across a fuse, and '{ $node }' is none
fields-twice = '{ $node }' is named twice
fields-struck-already = entry { $entry } is struck out already
fields-strikes-itself = entry { $entry } cannot strike itself out
fields-no-entry-before = there is no entry { $entry } before this one
fields-name-standing = name a standing entry from 1 to { $last }
fields-age = '{ $text }' is not an age
