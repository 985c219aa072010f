//! Zips: the parts inside one that comes in, and one that goes out.

use std::io::{Cursor, Read as _, Write as _};

use crownhold::types::Problem;

use super::job::Job;
use super::{NamedFile, Part};

/// The most a zip may unpack to; more is taken for a mistake or an attack.
const MOST_BYTES: u64 = 2_000_000_000;

/// Is it a zip?
pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The files in a zip; `None` after an error was noted.
pub(super) fn unpack(job: &mut Job<'_>, bytes: &[u8]) -> Option<Vec<Part>> {
    match parts(bytes) {
        Ok(parts) if parts.is_empty() => {
            job.note(Problem::error("I-105", "The zip has no file in it.", "Zip the layer again."));
            None
        }
        Ok(parts) => Some(parts),
        Err(why) => {
            let what = format!("The zip cannot be read: {why}.");
            let remedy = "It may be cut off; compare its size with the original and copy or download it again.";
            job.note(Problem::error("I-104", what, remedy));
            None
        }
    }
}

fn parts(bytes: &[u8]) -> Result<Vec<Part>, String> {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let mut parts = Vec::new();
    let mut room = MOST_BYTES;
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).map_err(|e| e.to_string())?;
        let path = file.name().map_err(|e| e.to_string())?.into_owned();
        let name = path.rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        // Folders, and the shadow files that some systems put beside each file.
        if file.is_dir() || name.is_empty() || name.starts_with("._") {
            continue;
        }
        let mut bytes = Vec::new();
        file.by_ref().take(room + 1).read_to_end(&mut bytes).map_err(|e| e.to_string())?;
        room = room.checked_sub(bytes.len() as u64).ok_or("it unpacks to more than 2 GB")?;
        parts.push(Part { name, bytes });
    }
    Ok(parts)
}

/// Files in one zip; the same files give the same bytes.
///
/// # Panics
/// If the files take more than 4 GB.
pub fn zipped(files: &[NamedFile]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().last_modified_time(zip::DateTime::default());
    for (name, bytes) in files {
        zip.start_file(name.as_str(), options).expect("a zip in memory takes another file");
        zip.write_all(bytes).expect("a zip in memory takes the bytes");
    }
    zip.finish().expect("a zip in memory can be closed").into_inner()
}
