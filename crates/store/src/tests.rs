//! What only the inside of the store can show.

use super::*;

#[test]
fn a_step_up_copies_first_and_keeps_what_was_there() {
    let dir = tempfile::tempdir().unwrap();
    let job = file::parse("format = 1\n[vehicle]\nname = \"Bread van\"\n").unwrap();
    let id = Store::open(dir.path()).unwrap().create(&job).unwrap();

    // One step more than this version has.
    let mut steps = schema::STEPS.to_vec();
    steps.push("ALTER TABLE jobs ADD COLUMN colour TEXT");
    let (newest, next) = (schema::STEPS.len(), steps.len());
    let store = Store::over(schema::open(dir.path(), &steps).unwrap());
    assert_eq!(store.load(id).unwrap(), job);
    let version: i64 = store
        .connection
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .unwrap();
    assert_eq!(usize::try_from(version).unwrap(), next);
    drop(store);

    // The copy is a whole database of this version.
    let copy = schema::copy_name(&dir.path().join(schema::FILE), newest);
    let other = tempfile::tempdir().unwrap();
    std::fs::copy(copy, other.path().join(schema::FILE)).unwrap();
    assert_eq!(Store::open(other.path()).unwrap().load(id).unwrap(), job);

    // This version refuses what the newer one wrote and leaves it alone.
    let path = dir.path().join(schema::FILE);
    let before = std::fs::read(&path).unwrap();
    let error = Store::open(dir.path()).unwrap_err();
    assert_eq!(error.kind, StoreErrorKind::Newer);
    assert!(
        error.message.contains(&format!(
            "database version {next}, this one knows up to {newest}"
        )),
        "{error}"
    );
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn a_step_that_fails_changes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let id = Store::open(dir.path())
        .unwrap()
        .create(&Job::default())
        .unwrap();
    let mut steps = schema::STEPS.to_vec();
    steps.push("CREATE TABLE half (a); INSERT INTO nowhere VALUES (1)");
    assert!(schema::open(dir.path(), &steps).is_err());
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.load(id).unwrap(), Job::default());
    let half: i64 = store
        .connection
        .query_row(
            "SELECT count(*) FROM sqlite_schema WHERE name = 'half'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(half, 0);
}

#[test]
fn the_database_itself_refuses_to_rewrite() {
    let store = Store::in_memory().unwrap();
    let id = store.create(&Job::default()).unwrap();
    let note = "at = \"2026-03-02T20:10:00Z\"\nkind = \"note\"\ntext = \"a\"\n";
    store
        .append(id, &file::entry_from_toml(note).unwrap(), None)
        .unwrap();
    for sql in [
        "UPDATE entries SET body = ''",
        "DELETE FROM entries",
        "UPDATE headers SET body = ''",
        "DELETE FROM headers",
        "UPDATE jobs SET revision = 0",
        "DELETE FROM jobs",
    ] {
        assert!(store.connection.execute(sql, []).is_err(), "{sql}");
    }
}
