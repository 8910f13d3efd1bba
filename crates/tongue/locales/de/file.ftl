# Auftragsdateien im Ganzen: warum sich eine nicht lesen lässt.
file-not-toml = als TOML nicht lesbar: { $what }
file-not-toml-hint = Auftragsdateien sind TOML: [Tabellen] und schlüssel = "Wert", Größen in Anführungszeichen
file-table-unreadable = die Tabelle ist nicht lesbar
file-table-unreadable-hint = ihre Felder prüfen
file-format-hint = format = { $format } in die erste Zeile schreiben
file-no-format = die Datei sagt nicht, welches Format sie hat
file-newer = die Datei hat Format { $newer }, und diese Version liest bis { $format }
file-newer-hint = mit einer neueren Version von Nightdraw öffnen
file-unknown-format = dieses Format gibt es nicht
file-no-table = „{ $name }“ gibt es in einer Auftragsdatei nicht
file-two-instruments = zwei Messgeräte heißen „{ $id }“
file-own-id = jedem eine eigene id geben
file-at = { $place }: { $message }
file-place-numbered = Eintrag { $number }
file-place-kind = ein Eintrag „{ $kind }“
file-place-instrument = ein Messgerät
file-place-node = ein Knoten
file-place-recording = eine Aufzeichnung
file-recording-name = den Namen angeben, unter dem die Einträge sie kennen
file-export-again = den Auftrag noch einmal ausgeben
file-damaged = die Datei ist beschädigt; den Auftrag noch einmal ausgeben
file-not-base64 = die Daten von „{ $name }“ sind kein Base64
file-recording = Aufzeichnung „{ $name }“: { $error }
file-two-recordings = zwei Aufzeichnungen heißen „{ $name }“
file-own-name = jeder einen eigenen Namen geben
file-not-a-table = „{ $name }“ ist keine Tabelle
file-not-a-table-hint = [{ $name }] in eine eigene Zeile schreiben
file-not-a-list = „{ $name }“ ist keine Liste von Tabellen
file-not-a-list-hint = [[{ $name }]], in doppelten Klammern, vor jede schreiben
file-say-standard = die Norm steht beim Kaltstartstrom: en, sae, iec, din oder jis
file-say-cranking = den Strom angeben, der zur Norm gehört, etwa 540A
file-nameless-instrument = ein Messgerät braucht einen Namen
file-nameless-instrument-hint = einen kurzen geben, etwa id = "clamp"
file-instrument-kinds = möglich sind clamp, in-line, millivolt, voltmeter oder analyser
file-name-node = einen kurzen Namen geben, etwa id = "F12"
file-say-from = sagen, was ihn speist; from = "battery" ist ganz oben
file-node-kinds = möglich sind cable, fuse oder load

file-no-recording = diese Bytes sind keine Aufzeichnung
file-recording-newer = die Aufzeichnung hat Version { $version }, und dieses Programm liest bis { $most }
file-recording-damaged = die Aufzeichnung ist beschädigt oder abgeschnitten
file-recording-too-long = die Aufzeichnung hat { $samples } Werte, und höchstens { $most } werden behalten
