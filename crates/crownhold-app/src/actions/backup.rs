//! A whole copy of a programme, and of the photos beside it.

use std::path::{Path, PathBuf};

use crownhold_data::photos::PhotoFile;
use crownhold_data::store::{ProgrammeFile, StoreError};

use crate::trouble::Trouble;

/// Writes a copy to a file that is not there yet; where there are photos, their copy beside it. Gives the files written.
///
/// # Errors
/// When there is a file of such a name, or it cannot be written; nothing is written then.
pub fn to_file(programme: &Path, copy: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let photos = PhotoFile::open_if_there(programme)?;
    let beside = PhotoFile::beside(copy);
    if photos.is_some() && beside.exists() {
        return Err(StoreError::Exists(beside).into());
    }
    ProgrammeFile::open(programme)?.backup_to(copy)?;
    let Some(photos) = photos else { return Ok(vec![copy.to_owned()]) };
    if let Err(trouble) = photos.backup_to(&beside) {
        // Half a copy would pass for a whole one; the error that matters is the one from copying.
        let _ = std::fs::remove_file(copy);
        return Err(trouble.into());
    }
    Ok(vec![copy.to_owned(), beside])
}

/// The bytes of a copy, for a download.
///
/// # Errors
/// When the programme cannot be read.
pub fn bytes(programme: &Path) -> Result<Vec<u8>, Trouble> {
    Ok(ProgrammeFile::open(programme)?.backup_bytes()?)
}

/// The bytes of a copy of the photos; none where there are no photos.
///
/// # Errors
/// When their file cannot be read.
pub fn photo_bytes(programme: &Path) -> Result<Option<Vec<u8>>, Trouble> {
    Ok(PhotoFile::open_if_there(programme)?.map(|mut photos| photos.backup_bytes()).transpose()?)
}
