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
