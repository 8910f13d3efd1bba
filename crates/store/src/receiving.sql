-- What is being received just now, kept apart from the jobs so that hours of
-- pieces neither slow them down nor stay in them: once a recording has become an
-- entry of its job, its pieces go.

CREATE TABLE IF NOT EXISTS sessions (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    job     INTEGER NOT NULL,
    node    TEXT NOT NULL,
    name    TEXT NOT NULL,
    options TEXT NOT NULL,
    started TEXT NOT NULL,
    seen    TEXT NOT NULL,
    beat    INTEGER NOT NULL,
    tip     TEXT NOT NULL
) STRICT;

CREATE TABLE IF NOT EXISTS pieces (
    session INTEGER NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
    number  INTEGER NOT NULL,
    arrival REAL NOT NULL,
    bytes   BLOB NOT NULL,
    PRIMARY KEY (session, number)
) STRICT, WITHOUT ROWID;
