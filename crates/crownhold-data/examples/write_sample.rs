//! Writes the small sample programme to the path given as argument; an outside validator can then look at it.

#![allow(clippy::unwrap_used, missing_docs)]

use crownhold_data::store::{ProgrammeFile, StoreError};

#[path = "../tests/it/sample.rs"]
mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("give the path of the file to write")?;
    let mut file = ProgrammeFile::create(path, &sample::programme(), sample::WHO, sample::WHEN)?;
    file.change(sample::WHO, sample::WHEN, "sample records", |records| {
        *records = sample::records();
        Ok::<_, StoreError>(())
    })?;
    file.save_plan("least spray", sample::WHO, sample::WHEN, 7, r#"{"blocks": []}"#)?;
    Ok(file.close()?)
}
