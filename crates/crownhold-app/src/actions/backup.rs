//! A whole copy of a programme.

use std::path::Path;

use crownhold_data::store::ProgrammeFile;

use crate::trouble::Trouble;

/// Writes a copy to a file that is not there yet.
///
/// # Errors
/// When there is a file of that name, or it cannot be written.
pub fn to_file(programme: &Path, copy: &Path) -> Result<(), Trouble> {
    Ok(ProgrammeFile::open(programme)?.backup_to(copy)?)
}

/// The bytes of a copy, for a download.
///
/// # Errors
/// When the programme cannot be read.
pub fn bytes(programme: &Path) -> Result<Vec<u8>, Trouble> {
    Ok(ProgrammeFile::open(programme)?.backup_bytes()?)
}
