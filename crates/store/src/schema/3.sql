-- Version 3: devices of the workshop's network that were let in.

-- A device is known by the hash of what it carries; the token itself is kept
-- nowhere. A device that was sent away stays, so that its token never counts
-- again and the bench can tell when that was.
CREATE TABLE devices (
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    name   TEXT NOT NULL,
    hash   BLOB NOT NULL UNIQUE CHECK (length(hash) = 32),
    since  TEXT NOT NULL,
    seen   TEXT NOT NULL,
    place  TEXT NOT NULL,
    away   TEXT
) STRICT;

CREATE TRIGGER devices_stay_away BEFORE UPDATE ON devices WHEN old.away IS NOT NULL
BEGIN SELECT RAISE (ABORT, 'a device that was sent away stays so'); END;
CREATE TRIGGER devices_keep BEFORE DELETE ON devices
BEGIN SELECT RAISE (ABORT, 'devices are never deleted'); END;
