//! Files sent by a form, with the words typed beside them.

use std::collections::BTreeMap;

use axum::extract::Multipart;
use axum::extract::multipart::MultipartError;
use crownhold::types::Problem;
use crownhold_data::formats::{Input, Part};

use super::shell::Refused;
use crate::trouble::Trouble;

/// What was sent.
#[derive(Debug, Default)]
pub struct SentFiles {
    /// The words typed, by field.
    pub texts: BTreeMap<String, String>,
    /// The files of the field "file".
    pub parts: Vec<Part>,
}

impl SentFiles {
    /// Reads all of it.
    ///
    /// # Errors
    /// When it did not arrive whole.
    pub async fn receive(sent: Multipart) -> Result<Self, Refused> {
        read(sent).await.map_err(cut_off)
    }
    /// What was typed in a field, without blanks around it; `None` where nothing was.
    pub fn text(&self, field: &str) -> Option<String> {
        self.texts.get(field).map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
    }
}

async fn read(mut sent: Multipart) -> Result<SentFiles, MultipartError> {
    let mut all = SentFiles::default();
    while let Some(field) = sent.next_field().await? {
        let name = field.name().unwrap_or_default().to_owned();
        if name != "file" {
            all.texts.insert(name, field.text().await?);
            continue;
        }
        let file = field.file_name().and_then(|n| n.rsplit(['/', '\\']).next()).unwrap_or_default().to_owned();
        let bytes = field.bytes().await?;
        // A browser sends a nameless file when none was chosen.
        if !file.is_empty() {
            all.parts.push(Part { name: file, bytes: bytes.to_vec() });
        }
    }
    Ok(all)
}

fn cut_off(error: MultipartError) -> Refused {
    let what = format!("The file did not arrive whole: {}.", error.body_text());
    Trouble::one(Problem::error("A-151", what, "Nothing was changed. Send it again; at most 256 MB at a time.")).into()
}

/// The input that files make up; messages call it by the .shp of a shapefile, else by the first file.
pub fn input_of(parts: Vec<Part>) -> Input {
    let shape = parts.iter().find(|p| p.name.to_lowercase().ends_with(".shp"));
    let name = shape.or(parts.first()).map(|p| p.name.clone()).unwrap_or_default();
    Input { name, parts }
}

#[cfg(test)]
mod tests {
    use super::{Part, input_of};

    fn part(name: &str) -> Part {
        Part { name: name.to_owned(), bytes: Vec::new() }
    }

    #[test]
    fn a_shapefile_goes_by_its_shp() {
        assert_eq!(input_of(vec![part("city.dbf"), part("city.SHP"), part("city.prj")]).name, "city.SHP");
        assert_eq!(input_of(vec![part("trees.csv")]).name, "trees.csv");
    }
}
