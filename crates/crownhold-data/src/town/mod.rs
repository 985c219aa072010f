//! What the public page needs and what residents send in, in a file of its own beside the programme file.
//!
//! A copied programme therefore carries no reports by residents, and they are forgotten after a time of their own.
//! Days are arguments.

mod streets;

use std::path::{Path, PathBuf};
use std::time::Duration;

use crownhold::types::BlockId;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension as _, params};

use crate::store::StoreError;
pub use streets::read_streets;

/// How the public page is set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TownSettings {
    /// Is there a public page?
    pub shown: bool,
    /// Number of the kept plan that it shows; `None`: it says that nothing is decided yet.
    pub plan: Option<i64>,
    /// Whom residents can ask: telephone, mail, office. Blank for nobody.
    pub contact: String,
    /// Days for which reports are kept.
    pub keep_days: u16,
}

impl Default for TownSettings {
    /// Hidden; reports are kept for 180 days (an assumption: from the moths to the end of the egg-mass survey).
    fn default() -> Self {
        Self { shown: false, plan: None, contact: String::new(), keep_days: 180 }
    }
}

/// A stretch of street inside a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Street {
    /// Name.
    pub name: String,
    /// House numbers as people write them; blank for the whole street.
    pub numbers: String,
    /// Block.
    pub block: BlockId,
}

impl Street {
    /// As an address is written: numbers, then name.
    pub fn written(&self) -> String {
        format!("{} {}", self.numbers, self.name).trim().to_owned()
    }
}

/// What somebody saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sighting {
    /// Its number; 0 before it is kept.
    pub id: i64,
    /// Day on which it was sent in.
    pub sent: Date,
    /// Day on which it was seen.
    pub seen: Date,
    /// What was seen, one of a fixed list of words.
    pub what: String,
    /// Block, if the street is known.
    pub block: Option<BlockId>,
    /// Where, in the sender's words.
    pub place: String,
    /// More, in the sender's words.
    pub note: String,
}

/// The open file.
#[derive(Debug)]
pub struct TownFile {
    connection: Connection,
}

impl TownFile {
    /// Where it lies: `city.town.sqlite` beside `city.gpkg`.
    pub fn beside(programme: &Path) -> PathBuf {
        programme.with_extension("town.sqlite")
    }

    /// Opens it; makes it if it is not there.
    ///
    /// # Errors
    /// When it cannot be made or is something else.
    pub fn open(programme: &Path) -> Result<Self, StoreError> {
        let path = Self::beside(programme);
        let wrong = |e: rusqlite::Error| StoreError::NotThere { path: path.clone(), why: e.to_string() };
        let connection = Connection::open(&path).map_err(wrong)?;
        connection.busy_timeout(Duration::from_secs(5))?;
        connection.pragma_update(None, "secure_delete", true)?;
        connection.execute_batch(include_str!("schema.sql")).map_err(wrong)?;
        Ok(Self { connection })
    }

    /// How the page is set; hidden where there is no file yet.
    ///
    /// # Errors
    /// When the file is something else.
    pub fn settings_of(programme: &Path) -> Result<TownSettings, StoreError> {
        if !Self::beside(programme).exists() {
            return Ok(TownSettings::default());
        }
        Self::open(programme)?.settings()
    }

    /// How the page is set.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn settings(&self) -> Result<TownSettings, StoreError> {
        let row = |r: &rusqlite::Row<'_>| {
            Ok(TownSettings { shown: r.get(0)?, plan: r.get(1)?, contact: r.get(2)?, keep_days: r.get(3)? })
        };
        let found =
            self.connection.query_row("SELECT shown, plan, contact, keep_days FROM setting", [], row).optional()?;
        Ok(found.unwrap_or_default())
    }

    /// Sets the page.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn set(&mut self, s: &TownSettings) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT OR REPLACE INTO setting (one, shown, plan, contact, keep_days) VALUES (1, ?1, ?2, ?3, ?4)",
            params![s.shown, s.plan, s.contact, s.keep_days],
        )?;
        Ok(())
    }

    /// All stretches of street, by name.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn streets(&self) -> Result<Vec<Street>, StoreError> {
        let mut all = self.connection.prepare("SELECT name, numbers, block FROM street ORDER BY name, rowid")?;
        let row = |r: &rusqlite::Row<'_>| {
            Ok(Street { name: r.get(0)?, numbers: r.get(1)?, block: BlockId::new(&r.get::<_, String>(2)?) })
        };
        Ok(all.query_map([], row)?.collect::<Result<_, _>>()?)
    }

    /// Takes streets in place of those that were there.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn set_streets(&mut self, streets: &[Street]) -> Result<(), StoreError> {
        let change = self.connection.transaction()?;
        change.execute("DELETE FROM street", [])?;
        for s in streets {
            change.execute(
                "INSERT INTO street (name, numbers, block) VALUES (?1, ?2, ?3)",
                params![s.name, s.numbers, s.block.as_str()],
            )?;
        }
        Ok(change.commit()?)
    }

    /// Keeps what somebody saw; gives its number. What is older than its time is forgotten first.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn add(&mut self, s: &Sighting) -> Result<i64, StoreError> {
        self.forget(s.sent)?;
        self.connection.execute(
            "INSERT INTO sighting (sent, seen, what, block, place, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                s.sent.to_string(),
                s.seen.to_string(),
                s.what,
                s.block.as_ref().map(BlockId::as_str),
                s.place,
                s.note
            ],
        )?;
        Ok(self.connection.last_insert_rowid())
    }

    /// What was sent in and is still kept on that day, newest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn sightings(&mut self, today: Date) -> Result<Vec<Sighting>, StoreError> {
        self.forget(today)?;
        let mut all = self
            .connection
            .prepare("SELECT id, sent, seen, what, block, place, note FROM sighting ORDER BY id DESC")?;
        let day = |r: &rusqlite::Row<'_>, at| r.get::<_, String>(at).map(|d| d.parse().unwrap_or(today));
        let row = |r: &rusqlite::Row<'_>| {
            Ok(Sighting {
                id: r.get(0)?,
                sent: day(r, 1)?,
                seen: day(r, 2)?,
                what: r.get(3)?,
                block: r.get::<_, Option<String>>(4)?.map(|b| BlockId::new(&b)),
                place: r.get(5)?,
                note: r.get(6)?,
            })
        };
        Ok(all.query_map([], row)?.collect::<Result<_, _>>()?)
    }

    /// Forgets one. False when there is none of that number.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn remove(&mut self, id: i64) -> Result<bool, StoreError> {
        Ok(self.connection.execute("DELETE FROM sighting WHERE id = ?1", [id])? > 0)
    }

    fn forget(&self, today: Date) -> Result<(), StoreError> {
        let days = i64::from(self.settings()?.keep_days);
        let Ok(since) = today.checked_sub(jiff::Span::new().days(days)) else { return Ok(()) };
        self.connection.execute("DELETE FROM sighting WHERE sent < ?1", [since.to_string()])?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use crownhold::types::BlockId;
    use jiff::civil::{Date, date};

    use super::{Sighting, Street, TownFile, TownSettings};

    fn file(folder: &tempfile::TempDir) -> TownFile {
        TownFile::open(&folder.path().join("city.gpkg")).unwrap()
    }

    fn seen(on: Date) -> Sighting {
        Sighting {
            id: 0,
            sent: on,
            seen: on,
            what: "egg masses".into(),
            block: Some(BlockId::new("A01")),
            place: "behind the school".into(),
            note: String::new(),
        }
    }

    #[test]
    fn hidden_until_it_is_shown() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("city.gpkg");
        assert!(!TownFile::settings_of(&path).unwrap().shown);
        assert!(!TownFile::beside(&path).exists(), "looking makes no file");
        let wanted = TownSettings { shown: true, plan: Some(3), contact: "City Hall".into(), keep_days: 30 };
        file(&folder).set(&wanted).unwrap();
        assert_eq!(TownFile::settings_of(&path).unwrap(), wanted);
    }

    #[test]
    fn reports_are_forgotten_after_their_time() {
        let folder = tempfile::tempdir().unwrap();
        let mut town = file(&folder);
        town.set(&TownSettings { keep_days: 30, ..TownSettings::default() }).unwrap();
        town.add(&seen(date(2027, 6, 1))).unwrap();
        town.add(&seen(date(2027, 6, 20))).unwrap();
        assert_eq!(town.sightings(date(2027, 7, 1)).unwrap().len(), 2);
        assert_eq!(town.sightings(date(2027, 7, 2)).unwrap().len(), 1);
        let last = town.sightings(date(2027, 7, 2)).unwrap()[0].clone();
        assert_eq!((last.seen, last.place.as_str()), (date(2027, 6, 20), "behind the school"));
        assert!(town.remove(last.id).unwrap() && !town.remove(last.id).unwrap());
    }

    #[test]
    fn streets_replace_those_before() {
        let folder = tempfile::tempdir().unwrap();
        let mut town = file(&folder);
        let street = |name: &str| Street { name: name.into(), numbers: "1-99".into(), block: BlockId::new("A01") };
        town.set_streets(&[street("Ferry Street"), street("Cask Street")]).unwrap();
        town.set_streets(&[street("Heron Lane"), street("Egret Lane")]).unwrap();
        let names: Vec<String> = town.streets().unwrap().into_iter().map(|s| s.name).collect();
        assert_eq!(names, ["Egret Lane", "Heron Lane"]);
    }

    #[test]
    fn something_else_is_told() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("city.town.sqlite"), "not a database, but long enough to look like one")
            .unwrap();
        let error = TownFile::open(&folder.path().join("city.gpkg")).unwrap_err();
        assert!(error.to_string().contains("city.town.sqlite"), "{error}");
    }
}
