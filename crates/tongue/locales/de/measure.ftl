# Größen, Messgeräte und was ein Anschluss mit dem Messwert macht.
measure-minutes = { $count ->
    [one] { $number } Minute
   *[other] { $number } Minuten
}
measure-hours = { $count ->
    [one] { $number } Stunde
   *[other] { $number } Stunden
}
measure-days = { $count ->
    [one] { $number } Tag
   *[other] { $number } Tage
}
measure-weeks = { $count ->
    [one] { $number } Woche
   *[other] { $number } Wochen
}
measure-years = { $count ->
    [one] { $number } Jahr
   *[other] { $number } Jahre
}
