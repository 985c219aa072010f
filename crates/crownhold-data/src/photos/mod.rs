//! Photos of visits, in a file of its own beside the programme file, so that a copied or mailed programme stays small and
//! carries no pictures of people's yards.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crownhold::types::LogId;
use rusqlite::{Connection, MAIN_DB, OpenFlags, OptionalExtension as _, params};

use crate::store::StoreError;

const TABLE: &str = "CREATE TABLE IF NOT EXISTS photo (
    visit TEXT PRIMARY KEY, came_at TEXT NOT NULL, author TEXT NOT NULL, jpeg BLOB NOT NULL
);";

/// The open file.
#[derive(Debug)]
pub struct PhotoFile {
    connection: Connection,
}

impl PhotoFile {
    /// Where it lies: `city.photos.sqlite` beside `city.gpkg`.
    pub fn beside(programme: &Path) -> PathBuf {
        programme.with_extension("photos.sqlite")
    }

    /// Opens it; makes it if it is not there.
    ///
    /// # Errors
    /// When it cannot be made or is something else.
    pub fn open(programme: &Path) -> Result<Self, StoreError> {
        let connection = Self::connect(programme, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)?;
        connection.execute_batch(TABLE)?;
        Ok(Self { connection })
    }

    /// Opens it where there is one.
    ///
    /// # Errors
    /// When it is something else.
    pub fn open_if_there(programme: &Path) -> Result<Option<Self>, StoreError> {
        if !Self::beside(programme).exists() {
            return Ok(None);
        }
        Self::connect(programme, OpenFlags::SQLITE_OPEN_READ_ONLY).map(|connection| Some(Self { connection }))
    }

    fn connect(programme: &Path, flags: OpenFlags) -> Result<Connection, StoreError> {
        let path = Self::beside(programme);
        let wrong = |e: rusqlite::Error| StoreError::NotThere { path: path.clone(), why: e.to_string() };
        let connection = Connection::open_with_flags(&path, flags).map_err(wrong)?;
        connection.busy_timeout(Duration::from_secs(5))?;
        // Read now, so that a file that is something else is told by its name.
        let broken = |e: rusqlite::Error| StoreError::Damaged { path: path.clone(), why: e.to_string() };
        connection.query_row("SELECT count(*) FROM sqlite_master", [], |_| Ok(())).map_err(broken)?;
        Ok(connection)
    }

    /// Keeps the photo of a visit; the first one of it stays. `when` is RFC 3339.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep(&mut self, visit: &LogId, author: &str, when: &str, jpeg: &[u8]) -> Result<(), StoreError> {
        let sql = "INSERT OR IGNORE INTO photo VALUES (?1, ?2, ?3, ?4)";
        self.connection.execute(sql, params![visit.as_str(), when, author, jpeg])?;
        Ok(())
    }

    /// The photo of a visit, if there is one.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn of(&self, visit: &LogId) -> Result<Option<Vec<u8>>, StoreError> {
        let sql = "SELECT jpeg FROM photo WHERE visit = ?1";
        Ok(self.connection.query_row(sql, [visit.as_str()], |row| row.get(0)).optional()?)
    }

    /// Visits with a photo.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn visits(&self) -> Result<BTreeSet<LogId>, StoreError> {
        let mut all = self.connection.prepare("SELECT visit FROM photo")?;
        let ids = all.query_map([], |row| row.get::<_, String>(0))?.collect::<Result<Vec<_>, _>>()?;
        Ok(ids.into_iter().map(LogId::new).collect())
    }

    /// Writes a copy as of now to a file that is not there yet.
    ///
    /// # Errors
    /// [`StoreError::Exists`] when something of that name is there; none is left half-written.
    pub fn backup_to(&self, path: &Path) -> Result<(), StoreError> {
        if path.exists() {
            return Err(StoreError::Exists(path.to_owned()));
        }
        let copied = self.connection.backup(MAIN_DB, path, None::<fn(rusqlite::backup::Progress)>);
        if copied.is_err() {
            // The error that matters is the one from copying.
            let _ = std::fs::remove_file(path);
        }
        Ok(copied?)
    }

    /// The bytes of such a copy.
    ///
    /// # Errors
    /// Only when SQLite fails.
    pub fn backup_bytes(&mut self) -> Result<Vec<u8>, StoreError> {
        Ok(self.connection.serialize(MAIN_DB)?.to_vec())
    }

    /// Deletes the photos of visits that are not among these; how many.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn forget_but(&mut self, visits: &BTreeSet<LogId>) -> Result<usize, StoreError> {
        let gone: Vec<LogId> = self.visits()?.into_iter().filter(|v| !visits.contains(v)).collect();
        for visit in &gone {
            self.connection.execute("DELETE FROM photo WHERE visit = ?1", [visit.as_str()])?;
        }
        Ok(gone.len())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_file_that_is_something_else_is_told_by_its_name() {
        let dir = tempfile::tempdir().unwrap();
        let programme = dir.path().join("city.gpkg");
        std::fs::write(PhotoFile::beside(&programme), "no photos, but a text of some length").unwrap();
        for wrong in [PhotoFile::open(&programme).err(), PhotoFile::open_if_there(&programme).err()] {
            let problem = &wrong.unwrap().problems()[0];
            assert_eq!(problem.code, "S-005");
            assert!(problem.place.file.as_deref().unwrap().ends_with("city.photos.sqlite"));
        }
    }

    #[test]
    fn the_first_photo_of_a_visit_stays() {
        let dir = tempfile::tempdir().unwrap();
        let programme = dir.path().join("city.gpkg");
        assert!(PhotoFile::open_if_there(&programme).unwrap().is_none());
        let mut photos = PhotoFile::open(&programme).unwrap();
        let (one, two) = (LogId::new("1"), LogId::new("2"));
        photos.keep(&one, "Kim", "2027-06-14T16:00:00Z", b"first").unwrap();
        photos.keep(&one, "Kim", "2027-06-14T16:01:00Z", b"again").unwrap();
        photos.keep(&two, "Kim", "2027-06-14T16:02:00Z", b"other").unwrap();
        let read = PhotoFile::open_if_there(&programme).unwrap().unwrap();
        assert_eq!((read.of(&one).unwrap(), read.visits().unwrap().len()), (Some(b"first".to_vec()), 2));
        let copy = dir.path().join("copy.gpkg");
        read.backup_to(&PhotoFile::beside(&copy)).unwrap();
        assert!(matches!(read.backup_to(&PhotoFile::beside(&copy)), Err(StoreError::Exists(_))));
        assert_eq!(photos.forget_but(&[two.clone()].into()).unwrap(), 1);
        let copied = PhotoFile::open_if_there(&copy).unwrap().unwrap();
        assert_eq!(copied.of(&one).unwrap(), Some(b"first".to_vec()), "a copy is of its own");
        assert!(photos.backup_bytes().unwrap().starts_with(b"SQLite format 3"));
        assert_eq!((photos.of(&one).unwrap(), photos.visits().unwrap()), (None, [two].into()));
    }
}
