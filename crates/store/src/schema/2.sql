-- Version 2: what finished jobs taught.

-- Derived from the jobs, and rewritten whenever one of them changes: the
-- counts of a job at a revision, or the word for why it teaches nothing.
-- `rules` is the version of the rules they were derived by.
CREATE TABLE lessons (
    job      INTEGER PRIMARY KEY REFERENCES jobs (id),
    revision INTEGER NOT NULL,
    rules    INTEGER NOT NULL,
    counts   TEXT,
    why      TEXT
) STRICT;

-- Jobs whose lesson the person does not want counted.
CREATE TABLE forgotten (
    job INTEGER PRIMARY KEY REFERENCES jobs (id),
    at  TEXT NOT NULL
) STRICT;

-- How the bench is set up.
CREATE TABLE settings (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
