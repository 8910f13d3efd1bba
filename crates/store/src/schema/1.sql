-- Version 1. What people enter is append-only; triggers hold that, whoever
-- writes. Only the job's own row changes: its revision and when that was.

CREATE TABLE jobs (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    created  TEXT NOT NULL,
    updated  TEXT NOT NULL,
    revision INTEGER NOT NULL
) STRICT;

-- Vehicle, battery, complaint, limit, instruments and feed tree, as the text
-- of a job file without its entries. The newest version counts.
CREATE TABLE headers (
    job      INTEGER NOT NULL REFERENCES jobs (id),
    version  INTEGER NOT NULL,
    at       TEXT NOT NULL,
    name     TEXT NOT NULL,
    invented INTEGER NOT NULL,
    body     TEXT NOT NULL,
    PRIMARY KEY (job, version)
) STRICT, WITHOUT ROWID;

-- Entries, each as its text in a job file, numbered from 1 within the job.
-- `once` is whatever the sender gives so that a form sent twice counts once.
CREATE TABLE entries (
    job    INTEGER NOT NULL REFERENCES jobs (id),
    number INTEGER NOT NULL CHECK (number > 0),
    stored TEXT NOT NULL,
    body   TEXT NOT NULL,
    once   TEXT,
    PRIMARY KEY (job, number)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX entries_once ON entries (job, once) WHERE once IS NOT NULL;

CREATE TABLE recordings (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    job    INTEGER NOT NULL REFERENCES jobs (id),
    file   TEXT NOT NULL,
    stored TEXT NOT NULL,
    bytes  BLOB NOT NULL,
    UNIQUE (job, file)
) STRICT;

CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
BEGIN SELECT RAISE (ABORT, 'entries are never rewritten'); END;
CREATE TRIGGER entries_keep BEFORE DELETE ON entries
BEGIN SELECT RAISE (ABORT, 'entries are never deleted'); END;
CREATE TRIGGER headers_stay BEFORE UPDATE ON headers
BEGIN SELECT RAISE (ABORT, 'headers are never rewritten'); END;
CREATE TRIGGER headers_keep BEFORE DELETE ON headers
BEGIN SELECT RAISE (ABORT, 'headers are never deleted'); END;
CREATE TRIGGER recordings_stay BEFORE UPDATE ON recordings
BEGIN SELECT RAISE (ABORT, 'recordings are never rewritten'); END;
CREATE TRIGGER recordings_keep BEFORE DELETE ON recordings
BEGIN SELECT RAISE (ABORT, 'recordings are never deleted'); END;
CREATE TRIGGER jobs_grow BEFORE UPDATE ON jobs WHEN new.revision <= old.revision OR new.id <> old.id
BEGIN SELECT RAISE (ABORT, 'revisions only grow'); END;
CREATE TRIGGER jobs_keep BEFORE DELETE ON jobs
BEGIN SELECT RAISE (ABORT, 'jobs are never deleted'); END;
