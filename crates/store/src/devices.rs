//! Devices of the workshop's network that were let in, and those sent away again.

use jiff::Timestamp;
use rusqlite::{Row, params};

use crate::{Store, StoreError, rows::moment};

/// A device that was let in once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its number, never used again.
    pub number: u64,
    /// What it said it is.
    pub name: String,
    /// When it was let in.
    pub since: Timestamp,
    /// When it last asked for something, to the minute or so.
    pub seen: Timestamp,
    /// The address it asked from; empty before it has.
    pub place: String,
    /// When it was sent away; `None` for one that is let in.
    pub away: Option<Timestamp>,
}

impl Store {
    /// Lets a device in that is known by the hash of its token; gives its number.
    ///
    /// # Errors
    /// When there is a device of that hash already, or writing fails.
    pub fn let_in(&self, name: &str, hash: &[u8; 32], at: Timestamp) -> Result<u64, StoreError> {
        let change = self.change()?;
        change.execute(
            "INSERT INTO devices (name, hash, since, seen, place) VALUES (?1, ?2, ?3, ?3, '')",
            params![name, hash.as_slice(), at.to_string()],
        )?;
        let number = change.last_insert_rowid().unsigned_abs();
        change.commit()?;
        Ok(number)
    }

    /// Notes when and from where a device asked; nothing for one that was sent away.
    ///
    /// # Errors
    /// When writing fails.
    pub fn device_seen(&self, number: u64, at: Timestamp, place: &str) -> Result<(), StoreError> {
        self.on_device(
            "UPDATE devices SET seen = ?2, place = ?3 WHERE number = ?1 AND away IS NULL",
            params![key(number), at.to_string(), place],
        )
    }

    /// Sends a device away for good; nothing for one that is away, or unknown.
    ///
    /// # Errors
    /// When writing fails; then the device is still let in.
    pub fn send_away(&self, number: u64, at: Timestamp) -> Result<(), StoreError> {
        self.on_device(
            "UPDATE devices SET away = ?2 WHERE number = ?1 AND away IS NULL",
            params![key(number), at.to_string()],
        )
    }

    /// Every device that was ever let in with the hash of its token, oldest first.
    ///
    /// # Errors
    /// When reading fails.
    pub fn devices(&self) -> Result<Vec<(Device, [u8; 32])>, StoreError> {
        let mut query = self.connection.prepare_cached(
            "SELECT number, name, since, seen, place, away, hash FROM devices ORDER BY number",
        )?;
        let mut rows = query.query([])?;
        let mut devices = Vec::new();
        while let Some(row) = rows.next()? {
            devices.push((device(row)?, row.get(6)?));
        }
        Ok(devices)
    }

    fn on_device(&self, sql: &str, values: &[&dyn rusqlite::ToSql]) -> Result<(), StoreError> {
        let change = self.change()?;
        change.execute(sql, values)?;
        change.commit()?;
        Ok(())
    }
}

/// A number as the table has it; one that no table can hold names no device.
fn key(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(-1)
}

fn device(row: &Row<'_>) -> Result<Device, StoreError> {
    let at =
        |index: usize| -> Result<Timestamp, StoreError> { moment(&row.get::<_, String>(index)?) };
    let away: Option<String> = row.get(5)?;
    Ok(Device {
        number: row.get::<_, i64>(0)?.unsigned_abs(),
        name: row.get(1)?,
        since: at(2)?,
        seen: at(3)?,
        place: row.get(4)?,
        away: away.as_deref().map(moment).transpose()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[test]
    fn devices_and_those_sent_away_are_there_after_opening_again() {
        let dir = tempfile::tempdir().unwrap();
        let (one, two) = ([1; 32], [2; 32]);
        {
            let store = Store::open(dir.path()).unwrap();
            let first = store
                .let_in("phone", &one, at("2026-03-02T20:10:00Z"))
                .unwrap();
            let second = store
                .let_in("tablet", &two, at("2026-03-02T20:11:00Z"))
                .unwrap();
            assert_eq!((first, second), (1, 2));
            store
                .device_seen(2, at("2026-03-02T21:00:00Z"), "192.168.1.9")
                .unwrap();
            store.send_away(1, at("2026-03-02T22:00:00Z")).unwrap();
        }
        let store = Store::open(dir.path()).unwrap();
        let devices = store.devices().unwrap();
        let (phone, hash) = &devices[0];
        assert_eq!((phone.name.as_str(), *hash), ("phone", one));
        assert_eq!(phone.away, Some(at("2026-03-02T22:00:00Z")));
        let tablet = &devices[1].0;
        assert_eq!((tablet.away, tablet.place.as_str()), (None, "192.168.1.9"));
        assert_eq!(tablet.seen, at("2026-03-02T21:00:00Z"));
        assert_eq!(tablet.since, at("2026-03-02T20:11:00Z"));
    }

    #[test]
    fn who_was_sent_away_stays_so_and_no_number_comes_again() {
        let store = Store::in_memory().unwrap();
        let now = at("2026-03-02T20:10:00Z");
        store.let_in("phone", &[1; 32], now).unwrap();
        store.send_away(1, now).unwrap();
        // Said again, and seen afterwards, changes nothing.
        store.send_away(1, at("2026-03-03T20:10:00Z")).unwrap();
        store
            .device_seen(1, at("2026-03-03T20:10:00Z"), "x")
            .unwrap();
        let kept = &store.devices().unwrap()[0].0;
        assert_eq!((kept.away, kept.seen), (Some(now), now));
        for sql in ["UPDATE devices SET away = NULL", "DELETE FROM devices"] {
            assert!(store.connection.execute(sql, []).is_err(), "{sql}");
        }
        assert!(
            store.let_in("other", &[1; 32], now).is_err(),
            "one hash, one device"
        );
        assert_eq!(store.let_in("other", &[3; 32], now).unwrap(), 2);
        store.send_away(u64::MAX, now).unwrap();
    }
}
