# The bench page: frame, front page, letting devices in, report.
web-title = { $page } · Nightdraw
web-to-content = To the content
web-bench = Bench
web-all-jobs = : all jobs
web-foot = Nightdraw works on this machine and sends nothing out. The vehicle maker's service information, local rules and qualified people come first.
web-brightness = Brightness of the page
web-language = Language
web-look-sun = Sun
web-look-night = Night
web-look-device = Auto
web-look-again = Please look at this again

web-let-in = Let a phone in
web-let-in-how = Point the phone's camera at the square, or open { $address } on it and enter the code. It lets in one device and then changes.
web-let-in-no-address = This machine has no address in a network. Connect it to the workshop's network and open this page again.
web-let-in-square = Square code of { $address }
web-let-in-code = Code
web-locked = Too many wrong codes were tried. The door is locked, for everybody, until you open it here.
web-unlock = Open again with a new code
web-devices = Devices let in
web-devices-none = No device has been let in.
web-devices-until = A device stays let in until you send it away or the bench is closed.
web-device-since = since { $time }
web-device-from = last seen at { $address }
web-send-away = Send away
web-send-away-named = Send away { $name }, device { $number }
web-device-unnamed = a device
web-who = Who is there?
web-pairing = Pairing
web-code-label = Code shown on the bench
web-code-hint = Eight digits. On the machine that runs the bench: page “Let a phone in”, or the terminal.
web-let-me-in = Let me in
web-code-wrong = That is not the code. It has eight digits and changes after each device.
web-code-wait = { $count ->
    [one] Too many wrong codes. Wait { $count } second, then read the new code from the bench.
   *[other] Too many wrong codes. Wait { $count } seconds, then read the new code from the bench.
}
web-code-locked = Too many wrong codes. Someone has to open the door again on the bench itself.
web-only-here = Only this machine
web-start-with-lan = This bench was started for this machine alone. Start it with --lan to let a phone in.
web-code-only-here = The code is shown only on the machine that runs the bench.
web-own-address-only = This bench answers only to its own address. Open the address that it printed when it started.
web-from-elsewhere = This change was sent from another page. Open the bench's own page and enter it there.
web-too-often = That was too often. Wait a few seconds, then go on.
web-too-often-title = Slowly

