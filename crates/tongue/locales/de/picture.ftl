# Titel, Befunde und Beschriftungen der Bilder.
picture-flow = Wohin der Strom fließt
picture-trace = Die Aufzeichnung
picture-nights = Die nächsten Nächte
picture-odds = Wie wahrscheinlich jede Ursache ist

picture-not-interpreted = Eine Aufzeichnung des Stroms über der Zeit, noch nicht ausgewertet.
picture-asleep-at = Ruhestrom { $draw }
picture-not-settled = Nicht zur Ruhe gekommen
picture-too-short = Zu kurz für eine Aussage
picture-settled-after = { $head }, { $since } nach Beginn einer Aufzeichnung von { $length }
picture-in-recording = { $head } in { $length } Aufzeichnung
picture-wake-ups = { $count ->
    [one] { $count }-mal aufgewacht
   *[other] { $count }-mal aufgewacht
}
picture-every = etwa alle { $period }
picture-each = je { $duration }
picture-nothing-recorded = In diesem Abschnitt ist nichts aufgezeichnet.
picture-recorded = Aufgezeichneter Strom
picture-long-run = auf Dauer { $draw }
picture-mean-so-far = Mittel bisher { $draw }
picture-awake = wach
picture-settling = schaltet ab
picture-asleep = Ruhe
picture-wake-up = Aufwachen
picture-unclear = unklar
picture-no-samples = keine Werte
picture-limit = Grenzwert { $limit }
picture-clock-from = Uhr der Aufzeichnung, ab { $clock }
picture-from-start = Zeit seit Beginn
picture-straight = lineare Skala
picture-logarithmic = logarithmisch über { $current }
picture-least-to-greatest = kleinster bis größter
picture-level = Stufe

picture-no-forecast = Noch keine Vorhersage
picture-no-forecast-why = Noch keine Vorhersage: { $why }.
picture-nothing-to-forecast = Es gibt nichts, woraus sich etwas vorhersagen ließe.
picture-no-crank-now = Startet jetzt nicht
picture-cranks-for = Startet noch { $time } lang
picture-cranks-long = Startet länger, als sich sagen lässt
picture-half-after = halbe Ladung: { $time }
picture-no-start = kein Start: { $time }
picture-half-charge = halbe Ladung: { $time }
picture-owner-found-dead = vom Halter leer vorgefunden: { $time }
picture-day = Tag { $number }
picture-night = Nacht { $number }
picture-no-crank-between = kein Start unter { $low } bis { $high } %
picture-no-crank-below = kein Start unter { $charge }
picture-found-dead = leer vorgefunden
picture-charge-left = Ladung über der Standzeit ab jetzt
picture-charge-left-nights = Ladung über der Standzeit ab jetzt; Nächte dunkel und gezählt
picture-middle-and-band = Mitte und 90 % des Möglichen

picture-most-probable = Wahrscheinlichste Ursache der Beanstandung: { $cause } ({ $word }, { $percent }).
picture-no-cause = Über die Ursache lässt sich noch nichts sagen.
picture-no-odds = Noch ist nichts eingetragen.

picture-total-unmeasured = Der Gesamtstrom ist noch nicht gemessen; die Stränge zeigen, was üblich ist.
picture-nothing-known = Weder der Gesamtstrom noch ein Stromkreis ist bekannt.
picture-of-total = Von { $total } fließen etwa { $current } hierher: { $name } ({ $word }, { $percent })
picture-none-stands-out = Die Batterie gibt { $total } ab; kein Stromkreis fällt auf, der größte ist { $name } mit etwa { $current }
picture-none-listed = Die Batterie gibt { $total } ab; es sind noch keine Stromkreise aufgeführt
picture-rest-unread = { $rest } sind durch Messungen nicht erklärt
picture-leave = aus der Batterie
picture-unmeasured = Gesamtstrom nicht gemessen
picture-above = Über dem Grenzwert von { $limit }.
picture-below = Unter dem Grenzwert von { $limit }.
picture-too-close = Zu nah am Grenzwert von { $limit }.
picture-not-yet-accounted = { $rest } noch nicht durch Messungen erklärt.
picture-usual-here = Hier üblich: etwa { $current }. Die Stränge sind Schätzungen, bis gemessen ist.
picture-no-circuits = Noch keine Stromkreise. Mit der Sicherungsliste zeigt sich, wohin der Strom fließt.
picture-col-circuit = Stromkreis
picture-col-draws = zieht
picture-col-range = 5 % bis 95 %
picture-col-suspected = Verdacht
picture-no-reading-explains = nicht erklärt
picture-each-below = { $word }, je ≤ { $percent }
picture-clear-each = frei, je < 2 %
picture-at-fault = Fehler, { $percent }
picture-unexplained = { $amount } · nicht erklärt
picture-guess = schraffiert: geschätzt
picture-this-wide = so breit: { $current }
picture-unaccounted = Nicht erklärt
picture-in-no-circuit = In keinem Stromkreis
picture-circuits = { $count ->
    [one] { $count } Stromkreis
   *[other] { $count } Stromkreise
}
picture-other-fuses = { $count ->
    [one] { $count } weitere Sicherung
   *[other] { $count } weitere Sicherungen
}
picture-other-loads = { $count ->
    [one] { $count } weiterer Verbraucher
   *[other] { $count } weitere Verbraucher
}
picture-other-circuits = { $count ->
    [one] { $count } weiterer Stromkreis
   *[other] { $count } weitere Stromkreise
}

# Stromkreise des Flussbildes, gesprochen.
picture-spoken-measured = { $name }: etwa { $amount } ({ $span }), { $suspicion }, gemessen.
picture-spoken-unmeasured = { $name }: etwa { $amount } ({ $span }), { $suspicion }, nicht gemessen.
picture-unexplained-short = nicht erklärt

# Marken in einer Aufzeichnung.
picture-mark-read = { $node } gemessen
picture-mark-pulled = { $nodes } gezogen
picture-mark-back = { $nodes } wieder drin
picture-mark-unplugged = { $node } abgesteckt
picture-mark-repair = Reparatur
picture-mark-battery = Batterieprüfung
picture-mark-drop = Spannungsfall
picture-mark-charging = Ladeprüfung

# Was eine Aufzeichnung sagt.
picture-told-more = { $count ->
    [one] Und { $count } weitere bleibende Änderung.
   *[other] Und { $count } weitere bleibende Änderungen.
}
picture-told-zero-unsure = Der Nullpunkt der Stromzange wurde abgezogen; wie weit er wandert, sagt eine einzelne Ablesung nicht.
picture-told-zero-left = Der Nullpunkt der Stromzange wurde abgezogen; was davon bleibt, zählt als ± { $current }.
picture-told-at = um { $clock }
picture-told-after = { $time } nach Beginn
picture-told-to-the-second = auf die Sekunde
picture-told-give-or-take = ± { $time }
picture-told-asleep = Eingeschlafen { $time } nach Beginn ({ $exact }).
picture-told-asleep-clock = Eingeschlafen { $time } nach Beginn, { $when } ({ $exact }).
picture-told-clockwork = wie ein Uhrwerk: Suchen Sie etwas, das zeitgesteuert läuft
picture-told-roughly = ungefähr regelmäßig, die Abstände schwanken um { $share }
picture-told-irregular = unregelmäßig, die Abstände schwanken um { $share }
picture-told-woke = { $count ->
    [one] { $count }-mal aufgewacht, im Mittel alle { $period }; { $how }.
   *[other] { $count }-mal aufgewacht, im Mittel alle { $period }; { $how }.
}
picture-told-nothing = nichts hat sich geändert, auf { $current } genau
picture-told-fell = der Strom fiel um { $amount }, von { $before } auf { $after }
picture-told-rose = der Strom stieg um { $amount }, von { $before } auf { $after }
picture-told-act = { $what } { $when }: { $change }.
picture-told-act-entry = { $what } { $when } (Eintrag { $entry }): { $change }.
picture-told-no-entry = { $when }: { $change }; kein Eintrag sagt, warum

# Eine Woche Fahren und Stehen.
picture-week = Eine Woche Fahren und Stehen
picture-week-finding = Eine Woche nimmt { $taken }, das Fahren gibt bei drei Vierteln Ladung { $given }; die Batterie pendelt sich bei etwa { $level } ein (5 bis 95 %: { $low } bis { $high }).
picture-week-takes = Eine Woche nimmt { $amount }
picture-week-gives = Fahren gibt { $amount } bei 75 % Ladung
picture-week-parked = Ruhestrom
picture-week-self-discharge = Selbstentladung
picture-week-starts = Starts
picture-week-engine-off = Motor aus
picture-week-settles = Pendelt sich bei etwa { $level } ein
picture-week-band = Schattiert: 9 von 10 Fällen, { $low } bis { $high }
picture-week-runs-empty = Läuft mit der Zeit leer
picture-week-empty = leer
picture-week-full = voll
picture-week-keep-above = über 75 % halten

# Ein Schritt des Anschließens.
picture-hook-up = Der Anschluss nach diesem Schritt
picture-hook-finding = Jetzt: { $cable }; { $fed }.
picture-hook-finding-bypass = Jetzt: { $cable }, { $bypass }; { $fed }.
picture-hook-finding-tool = Jetzt: { $cable }, { $tool }; { $fed }.
picture-hook-finding-both = Jetzt: { $cable }, { $bypass }, { $tool }; { $fed }.
picture-hook-cable-on = die Polklemme sitzt auf dem Pol
picture-hook-cable-off = die Polklemme ist vom Pol abgenommen
picture-hook-cable-touching = die Polklemme berührt den Pol
picture-hook-bypass-on = die abgesicherte Überbrückung verbindet Pol und Klemme
picture-hook-bypass-open = die Überbrückung ist an einem Ende offen
picture-hook-clamp-beside = die Stromzange hängt neben dem Kabel
picture-hook-clamp-around = die Stromzange liegt um das Kabel
picture-hook-clamp-turned = die Stromzange liegt umgekehrt um das Kabel
picture-hook-tips-together = die Prüfspitzen sind zusammengehalten
picture-hook-tips-on = die Prüfspitzen liegen an den Prüfpunkten der Sicherung
picture-hook-tips-swapped = die Prüfspitzen liegen vertauscht an den Prüfpunkten der Sicherung
picture-hook-meter-ready = das Messgerät liegt bereit
picture-hook-meter-between = das Messgerät verbindet Pol und Klemme
picture-hook-shunt-between = der Shunt verbindet Pol und Klemme
picture-hook-fed-own = das Fahrzeug wird über sein eigenes Kabel versorgt
picture-hook-fed-bypass = das Fahrzeug wird über die Überbrückung versorgt
picture-hook-fed-meter = das Fahrzeug wird durch das Messgerät versorgt
picture-hook-fed-shunt = das Fahrzeug wird durch den Shunt versorgt
picture-hook-battery = Batterie
picture-hook-vehicle = Fahrzeug
picture-hook-off = ab
picture-hook-touches = berührt
picture-hook-fused-bypass = Überbrückung
picture-hook-set-to-zero = auf 0 stellen
picture-hook-turned-round = umgedreht
picture-hook-around-cable = um das Kabel
picture-hook-not-connected = nicht verbunden
picture-hook-carries-all = führt alles
picture-hook-carries-part = führt einen Teil
picture-hook-sense-wires = Shunt, Messleitungen
picture-hook-fuse-in-place = Sicherung, an ihrem Platz
picture-hook-tips-short = Spitzen zusammen
picture-hook-swapped = vertauscht
picture-hook-own-cable = Versorgt über das eigene Kabel
picture-hook-by-bypass = Versorgt über die Überbrückung
picture-hook-through-meter = Versorgt durch das Messgerät: nichts wecken
picture-hook-through-shunt = Versorgt durch den Shunt
