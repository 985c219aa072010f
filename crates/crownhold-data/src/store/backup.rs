//! A whole copy of a programme, while it is open: one plain file, or its bytes.

use std::fs::{self, File};
use std::path::Path;

use rusqlite::{Connection, MAIN_DB};

use super::error::StoreError;
use super::file::ProgrammeFile;

/// Where an SQLite file says whether a write-ahead file belongs to it (file format, section 1.3: bytes 18 and 19), and
/// the value that says no.
const WRITE_AHEAD: std::ops::Range<usize> = 18..20;
const PLAIN: u8 = 1;

impl ProgrammeFile {
    /// Writes a copy as of now: one consistent file with nothing beside it. Others may go on reading and writing.
    ///
    /// # Errors
    /// [`StoreError::Exists`] when something of that name is there; [`StoreError::NotThere`] when it cannot be
    /// written. No file is left then.
    pub fn backup_to(&self, path: impl AsRef<Path>) -> Result<(), StoreError> {
        let path = path.as_ref();
        File::create_new(path).map_err(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => StoreError::Exists(path.to_owned()),
            _ => StoreError::NotThere { path: path.to_owned(), why: error.to_string() },
        })?;
        let copied = self.copy(path);
        if copied.is_err() {
            // The error that matters is the one from copying.
            let _ = fs::remove_file(path);
        }
        copied
    }

    fn copy(&self, path: &Path) -> Result<(), StoreError> {
        self.connection.backup(MAIN_DB, path, None::<fn(rusqlite::backup::Progress)>)?;
        Ok(Connection::open(path)?.pragma_update(None, "journal_mode", "delete")?)
    }

    /// The bytes of such a copy.
    ///
    /// # Errors
    /// Only when SQLite fails.
    pub fn backup_bytes(&mut self) -> Result<Vec<u8>, StoreError> {
        let mut bytes = self.connection.serialize(MAIN_DB)?.to_vec();
        if let Some(mark) = bytes.get_mut(WRITE_AHEAD) {
            mark.fill(PLAIN);
        }
        Ok(bytes)
    }
}
