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

measure-part-accuracy = Genauigkeit des Messgeräts
measure-part-resolution = letzte angezeigte Stelle
measure-part-clamp-zero = wandernder Nullpunkt der Stromzange
measure-part-clamp-position = Lage der Leitung in der Zange
measure-part-thermal-voltage = Thermospannungen an den Messspitzen
measure-part-resistance = Widerstand der Sicherung oder des Shunts
measure-part-less-voltage = weniger Spannung am Fahrzeug

measure-not-a-quantity = „{ $text }“ ist kein Wert für: { $quantity }
measure-no-unit = „{ $text }“ hat keine Einheit
measure-not-a-unit = „{ $unit }“ ist keine Einheit für: { $quantity }
measure-too-large = „{ $text }“ ist zu groß für: { $quantity }
measure-hint-number-and-unit = Zahl und Einheit schreiben, etwa { $examples }
measure-hint-with-unit = mit Einheit schreiben ({ $quantity }), etwa { $examples }
measure-hint-such-as = zum Beispiel so: { $examples }
measure-one-or-other = { $one } oder { $other }
measure-outside = { $name } { $value } { $unit } liegt außerhalb von { $low } bis { $high } { $unit }
measure-not-this-instrument = { $word } ist etwas anderes ({ $class }), nicht { $kind }
measure-no-instrument = „{ $text }“ ist weder eine Klasse von Messgerät noch eine Spezifikation
measure-hint-instrument = eines davon schreiben: { $known }, oder die Genauigkeit, etwa 2%+5@{ $step }
measure-unknown-word = „{ $word }“ kommt nicht infrage ({ $what }); möglich sind { $known }

measure-name-current = Strom
measure-name-voltage = Spannung
measure-name-charge = Ladung
measure-name-time = Zeit
measure-name-temperature = Temperatur
measure-name-resistance = Widerstand
measure-name-share = Anteil
measure-name-capacity = Kapazität
measure-name-cranking-current = Kaltstartstrom
measure-name-draw = Strom
measure-name-normal-draw = üblicher Ruhestrom
measure-name-draw-while-parked = Strom im Stand
measure-name-limit = Grenzwert
measure-name-voltage-across-the-fuse = Spannung über der Sicherung
measure-name-fuse-rating = Nennstrom der Sicherung
measure-name-number-of-cables = Anzahl der Leitungen
measure-name-shunt-resistance = Widerstand des Shunts
measure-name-melting-integral = Schmelzintegral
measure-name-probability = Wahrscheinlichkeit
measure-name-accuracy = Genauigkeit
measure-name-resolution = kleinster Schritt
measure-name-age = Alter
measure-name-reserve = Reservekapazität
measure-name-health = Alterungszustand
measure-name-charge-used-with-the-engine-off = Ladungsverbrauch bei stehendem Motor
measure-name-current-left-over-while-driving = freier Strom beim Fahren
measure-name-number-of-trips = Anzahl der Fahrten
measure-name-length-of-a-trip = Länge einer Fahrt
measure-name-internal-resistance = Innenwiderstand
measure-name-specific-gravity = Säuredichte
measure-name-voltage-drop = Spannungsfall
measure-name-time-under-load = Zeit unter Last
measure-name-time-of-rest = Ruhezeit
measure-unit-cables = Leitungen
measure-unit-a-fraction = (ein Bruchteil)
measure-unit-digits = Digit
measure-unit-a-or-v = A oder V
measure-unit-years = Jahre
measure-unit-1-is-as-new = (1 ist wie neu)
measure-unit-ah-a-week = Ah in der Woche
measure-unit-a-week = in der Woche

measure-class-clamp-low = Gleichstromzange für kleine Ströme
measure-class-clamp-high = gewöhnliche Gleichstromzange
measure-class-ten-a-fine = Handmultimeter, 10-A-Eingang, der Milliampere zeigt
measure-class-ten-a = Handmultimeter, 10-A-Eingang
measure-class-ma = Handmultimeter, Milliampere-Eingang
measure-class-mv = Handmultimeter, Millivoltbereich
measure-class-mv-fine = Multimeter, Millivoltbereich, der 10 µV zeigt
measure-class-volt = Handmultimeter, Gleichspannung
measure-class-analyser = Batterietester

measure-name-kind-of-instrument = Art des Messgeräts
measure-name-way-to-read = Art, einen Strom abzulesen
