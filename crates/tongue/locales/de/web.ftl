# Die Seite: Rahmen, Startseite, Geräte einlassen, Bericht.
web-title = { $page } · Nightdraw
web-to-content = Zum Inhalt
web-bench = Werkbank
web-all-jobs = : alle Aufträge
web-foot = Nightdraw arbeitet auf diesem Rechner und sendet nichts hinaus. Serviceunterlagen des Fahrzeugherstellers, örtliche Vorschriften und Fachleute gehen vor.
web-brightness = Helligkeit der Seite
web-language = Sprache
web-look-sun = Sonne
web-look-night = Nacht
web-look-device = Auto
web-look-again = Bitte noch einmal ansehen

web-let-in = Ein Handy einlassen
web-let-in-how = Richten Sie die Kamera des Handys auf das Quadrat, oder öffnen Sie darauf { $address } und geben Sie den Code ein. Er lässt ein Gerät ein und wechselt dann.
web-let-in-no-address = Dieser Rechner hat keine Adresse in einem Netz. Verbinden Sie ihn mit dem Werkstattnetz und öffnen Sie diese Seite noch einmal.
web-let-in-square = Quadratischer Code von { $address }
web-let-in-code = Code
web-locked = Zu viele falsche Codes wurden versucht. Die Tür ist für alle verriegelt, bis Sie sie hier öffnen.
web-unlock = Mit neuem Code wieder öffnen
web-devices = Eingelassene Geräte
web-devices-none = Es ist kein Gerät eingelassen.
web-devices-until = Ein Gerät bleibt eingelassen, bis Sie es fortschicken oder das Programm beendet wird.
web-device-since = seit { $time }
web-device-from = zuletzt gesehen unter { $address }
web-send-away = Fortschicken
web-send-away-named = { $name }, Gerät { $number }, fortschicken
web-device-unnamed = ein Gerät
web-who = Wer ist da?
web-pairing = Koppeln
web-code-label = Code, den die Werkbank zeigt
web-code-hint = Acht Ziffern. Auf dem Rechner, auf dem Nightdraw läuft: Seite „Ein Handy einlassen“ oder das Terminal.
web-let-me-in = Einlassen
web-code-wrong = Das ist nicht der Code. Er hat acht Ziffern und wechselt nach jedem Gerät.
web-code-wait = { $count ->
    [one] Zu viele falsche Codes. Warten Sie { $count } Sekunde und lesen Sie dann den neuen Code ab.
   *[other] Zu viele falsche Codes. Warten Sie { $count } Sekunden und lesen Sie dann den neuen Code ab.
}
web-code-locked = Zu viele falsche Codes. Jemand muss die Tür am Rechner selbst wieder öffnen.
web-only-here = Nur dieser Rechner
web-start-with-lan = Nightdraw wurde nur für diesen Rechner gestartet. Starten Sie es mit --lan, um ein Handy einzulassen.
web-code-only-here = Der Code wird nur auf dem Rechner gezeigt, auf dem Nightdraw läuft.
web-own-address-only = Nightdraw antwortet nur unter seiner eigenen Adresse. Öffnen Sie die Adresse, die es beim Start ausgegeben hat.
web-from-elsewhere = Diese Änderung kam von einer fremden Seite. Öffnen Sie die eigene Seite und geben Sie sie dort ein.
web-too-often = Das war zu oft. Warten Sie ein paar Sekunden und machen Sie dann weiter.
web-too-often-title = Langsam
