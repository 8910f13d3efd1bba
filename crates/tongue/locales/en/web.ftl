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
web-devices-until = A device stays let in until you send it away, even when the bench is closed and opened again.
web-device-since = since { $time }
web-device-from = last seen { $time } at { $address }
web-device-away = sent away { $time }
web-sent-away = { $count ->
    [one] { $count } device was sent away
   *[other] { $count } devices were sent away
}
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


# Front page.
web-jobs = Jobs
web-start = Start a job
web-open-demo = Open the demo job
web-practise = Practise against the clock
web-taught = What finished jobs taught
web-demo-invented = The demo is invented: a van, its fuses and a night's recording, to try everything on.
web-no-jobs = No job on this bench yet. Start one with the vehicle, its battery and what the owner says; everything else can come later.
web-invented = invented
web-not-looked-at = Not looked at since the program started.
web-entries = { $count ->
    [one] { $count } entry
   *[other] { $count } entries
}
web-last-change = last change { $time }

# Times.
web-seconds = { $count ->
    [one] { $count } second
   *[other] { $count } seconds
}
web-minutes = { $count ->
    [one] { $count } minute
   *[other] { $count } minutes
}

# What the script says.
web-unsent = Not sent yet.
web-unsent-how = It is kept on this device and goes out by itself once the bench answers.
web-script-look = It needs a look
web-script-discard = Discard
web-script-updated = Brought up to date from another screen.
web-script-changed = This job has changed on another screen.
web-script-show = Show it (what you typed here is lost)
web-script-lost = No connection to the bench just now; what you see may be out of date.
web-script-pad = Keypad
web-script-delete = Delete
web-script-decimal = Decimal sign
web-script-minus = Minus
web-script-enter = Enter it

# What went wrong.
web-to-jobs = To the jobs
web-back-to-job = Back to the job
web-back-to = Back to { $name }
web-unnamed = job { $number }
web-nothing-here = Nothing here
web-no-such-page = There is no such page. The job may be under another number.
web-no-such-job = No such job
web-no-job-number = There is no job number { $number } on this bench.
web-unreadable = That could not be read
web-not-whole = The form did not arrive whole. Go back and send it once more.
web-too-large-title = That file is too large
web-too-large = A log may have up to { $limit } MB here. Compress it with gzip or zstd, or cut it to the night in question.
web-not-from-here = Not from here
web-not-worked = That did not work
web-stumbled = The bench stumbled over this job. What was entered is kept; please report it.
web-not-entered = That could not be entered
web-no-entry = That is no entry.
web-no-such-entry = There is no such entry to strike out.
web-oddly-far = { $now }? The last reading here was { $last }.
web-look-again-at = Please look again: { $page }
web-no-van = No virtual van here
web-no-van-stream = Only the demo job has a virtual van; pipe your own meter into nightdraw listen.
web-no-van-answer = Only the demo job has a virtual van that answers; enter what your own meter shows.
web-van-silent-title = The virtual van cannot answer that
web-van-silent = It has no such place, or its meters cannot be used there in this way. Choose another place or way, or type a number.
web-demo-unreadable = The demo cannot be read: { $why }
web-demo-night-unreadable = The demo's recording cannot be read: { $why }
web-keep-nothing = Nothing to keep
web-keep-already = That stream is an entry of the job already, or is still coming in.
web-keep-unreadable = Nothing was received that could be read.
web-stream-already = A stream is coming in already
web-stream-wait = Wait for its end, or keep what was cut off; then start another.
web-stream-no-place = No place for a stream
web-stream-no-folder = This bench keeps nothing; start it with a data folder.
web-no-such-place = No such place
web-no-place-called = There is no '{ $node }' in this job.
web-no-such-recording = No such recording
web-entry-no-recording = Entry { $entry } of this job is no recording that is kept here.
web-cannot-be-done = That cannot be done
web-use-the-buttons = Go back to what finished jobs taught and use its buttons.
web-file-gone = That file is no longer here
web-file-once-more = Please choose the log file once more.
web-file-not-kept = The file could not be kept while reading it: { $why }.
web-file-not-back = The file could not be read back: { $why }.
web-zero-not-taken = The clamp's zero could not be taken out
web-zero-times = { $message }. Give each time with the clamp off the cable as FROM..TO, such as 22:10..22:12, and send the file again.
web-file-none = No recording arrived
web-file-empty = Choose a log file that is not empty, then send it.
web-file-about = About this recording
web-file-column = Column that holds the current
web-file-unit = Unit of that column
web-file-unit-own = as the file says
web-file-interval = Time between two samples
web-file-read-so = Read it like this
web-file-above-zero = The time between samples must be above zero.

# Opening the page, as the terminal says it.
web-port-in-use = port { $port } is in use by another program
web-port-in-use-hint = give another port with --port, or leave --port out to take a free one; perhaps the page is already open
web-port = port { $port } cannot be opened: { $why }
web-port-below-hint = ports below 1024 need special rights; choose a higher one
web-port-hint = give another port with --port
web-stopped = the page stopped answering: { $why }
web-stopped-hint = start it again; what was entered is kept
