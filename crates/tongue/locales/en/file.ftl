# Job files as a whole: why one cannot be read.
file-not-toml = { $what }
file-not-toml-hint = job files are TOML: [tables], and key = "value" with amounts in quotes
file-table-unreadable = the table cannot be read
file-table-unreadable-hint = check its fields
file-format-hint = write format = { $format } in its first line
file-no-format = the file does not say which format it is
file-newer = the file is of format { $newer }, and this version reads up to { $format }
file-newer-hint = open it with a newer version of Nightdraw
file-unknown-format = there is no such format
file-no-table = a job file has no '{ $name }'
file-two-instruments = two instruments are called '{ $id }'
file-own-id = give each its own id
file-at = { $place }: { $message }
file-place-numbered = entry { $number }
file-place-kind = an entry of kind { $kind }
file-place-instrument = an instrument
file-place-node = a node
file-place-recording = a recording
file-recording-name = give it the name that entries know it by
file-export-again = export the job again
file-damaged = the file is damaged; export the job again
file-not-base64 = the data of '{ $name }' is not base64
file-recording = recording '{ $name }': { $error }
file-two-recordings = two recordings are called '{ $name }'
file-own-name = give each its own name
file-not-a-table = '{ $name }' is not a table
file-not-a-table-hint = write [{ $name }] on a line of its own
file-not-a-list = '{ $name }' is not a list of tables
file-not-a-list-hint = write [[{ $name }]], in double brackets, before each
file-say-standard = it stands beside the cranking current: en, sae, iec, din or jis
file-say-cranking = give the current that belongs to the standard, such as 540A
file-nameless-instrument = an instrument needs a name
file-nameless-instrument-hint = give it a short one, such as id = "clamp"
file-instrument-kinds = it can be clamp, in-line, millivolt, voltmeter or analyser
file-name-node = give it a short name, such as id = "F12"
file-say-from = say what feeds it; from = "battery" is the top
file-node-kinds = it can be cable, fuse or load

file-no-recording = these bytes are no recording
file-recording-newer = the recording is of version { $version }, and this program reads up to { $most }
file-recording-damaged = the recording is damaged or cut short
file-recording-too-long = the recording holds { $samples } samples, and at most { $most } are kept
