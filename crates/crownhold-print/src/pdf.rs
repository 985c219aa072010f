//! Typesetting: a template in Typst's language and one JSON value in, an accessible PDF (PDF/UA-1) out.
//!
//! The typesetter sees the template, `data.json` and the built-in fonts; no file system, network or clock.

use std::sync::LazyLock;

use jiff::civil::Date;
use serde_json::Value;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::PrintError;

/// Fonts picked by the build script.
const FONT_FILES: [&[u8]; 5] = [
    include_bytes!(concat!(env!("OUT_DIR"), "/regular.otf")),
    include_bytes!(concat!(env!("OUT_DIR"), "/bold.otf")),
    include_bytes!(concat!(env!("OUT_DIR"), "/italic.otf")),
    include_bytes!(concat!(env!("OUT_DIR"), "/bold-italic.otf")),
    include_bytes!(concat!(env!("OUT_DIR"), "/mono.ttf")),
];

/// Results that the typesetter has not used in this many papers are forgotten.
const KEEP_PAPERS: usize = 4;

/// What is the same for every paper.
struct Press {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    main: FileId,
    data: FileId,
}

static PRESS: LazyLock<Press> = LazyLock::new(|| {
    let fonts: Vec<Font> = FONT_FILES.iter().flat_map(|f| Font::iter(Bytes::new(*f))).collect();
    let file = |name: &str| {
        let path = VirtualPath::new(name).expect("our own file names are sound");
        RootedPath::new(VirtualRoot::Project, path).intern()
    };
    Press {
        library: LazyHash::new(Library::default()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
        main: file("paper.typ"),
        data: file("data.json"),
    }
});

/// One paper as the typesetter sees the world.
struct Paper {
    source: Source,
    data: Bytes,
}

impl World for Paper {
    fn library(&self) -> &LazyHash<Library> {
        &PRESS.library
    }
    fn book(&self) -> &LazyHash<FontBook> {
        &PRESS.book
    }
    fn main(&self) -> FileId {
        PRESS.main
    }
    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == PRESS.main { Ok(self.source.clone()) } else { Err(FileError::AccessDenied) }
    }
    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == PRESS.data { Ok(self.data.clone()) } else { Err(FileError::AccessDenied) }
    }
    fn font(&self, index: usize) -> Option<Font> {
        PRESS.fonts.get(index).cloned()
    }
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Parts that the layout looks figures up by, and does not print: two of them must not become one.
const LOOK_UPS: [&str; 2] = ["id", "figures"];

/// Stands for a character that the text type does not have.
const MISSING: char = '□';

/// Makes every text of a paper printable: PDF/UA-1 allows no character without a shape. Characters that the
/// text type does not have become "□"; control characters become blanks; marks that have no shape are dropped.
/// Says whether a "□" was put anywhere.
pub fn make_printable(data: &mut Value) -> bool {
    match data {
        Value::String(text) => {
            let printable: String = text.chars().filter_map(printable).collect();
            let replaced = printable.matches(MISSING).count() > text.matches(MISSING).count();
            *text = printable;
            replaced
        }
        Value::Array(all) => all.iter_mut().fold(false, |any, v| make_printable(v) | any),
        Value::Object(all) => all
            .iter_mut()
            .filter(|(key, _)| !LOOK_UPS.contains(&key.as_str()))
            .fold(false, |any, (_, v)| make_printable(v) | any),
        _ => false,
    }
}

fn printable(c: char) -> Option<char> {
    let shapeless = matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}');
    match c {
        '\n' | ' ' => Some(c),
        c if c.is_control() => Some(' '),
        _ if shapeless => None,
        c if has_shape(c) => Some(c),
        _ => Some(MISSING),
    }
}

/// Does it come out as text that can be read back, in every cut of the text type?
///
/// Latin, Greek and Cyrillic letters, with accents joined or apart, and symbols do. Scripts whose letters change
/// or stack, such as Arabic or pointed Hebrew, leave shapes that no longer say which letters they were.
fn has_shape(c: char) -> bool {
    let plain = matches!(c, '\u{20}'..='\u{52f}' | '\u{1e00}'..='\u{2bff}' | '\u{fb00}'..='\u{fb06}');
    let mut text_type = PRESS.fonts.iter().map(Font::info).filter(|info| info.family == "Libertinus Serif");
    plain && text_type.all(|info| info.coverage.contains(u32::from(c)))
}

/// Sets one paper.
///
/// `identity` names the paper for good (it becomes the PDF's document identifier); `issued` becomes its
/// creation date. Same arguments, same bytes.
///
/// # Errors
/// [`PrintError::Typesetting`] when the template does not hold or the result would not meet PDF/UA-1.
pub fn typeset(template: &str, data: &Value, identity: String, issued: Date) -> Result<Vec<u8>, PrintError> {
    let paper =
        Paper { source: Source::new(PRESS.main, template.to_owned()), data: Bytes::from_string(data.to_string()) };
    let document: PagedDocument = typst::compile(&paper).output.map_err(|e| refused(&e))?;
    let standards =
        PdfStandards::new(&[PdfStandard::Ua_1]).map_err(|e| PrintError::Typesetting(e.message().to_string()))?;
    let options = PdfOptions {
        ident: Smart::Custom(identity),
        creator: Smart::Custom(Some("Crownhold".to_owned())),
        timestamp: midnight(issued).map(Timestamp::new_utc),
        standards,
        ..PdfOptions::default()
    };
    let pdf = typst_pdf::pdf(&document, &options).map_err(|e| refused(&e))?;
    typst::comemo::evict(KEEP_PAPERS);
    Ok(pdf)
}

fn midnight(date: Date) -> Option<Datetime> {
    let small = |v: i8| u8::try_from(v).ok();
    Datetime::from_ymd_hms(i32::from(date.year()), small(date.month())?, small(date.day())?, 0, 0, 0)
}

fn refused(errors: &[SourceDiagnostic]) -> PrintError {
    let sentences: Vec<String> = errors
        .iter()
        .map(|e| {
            std::iter::once(e.message.to_string())
                .chain(e.hints.iter().map(|h| h.v.to_string()))
                .collect::<Vec<_>>()
                .join(" - ")
        })
        .collect();
    PrintError::Typesetting(sentences.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_chosen_fonts_are_there() {
        let families: Vec<&str> = PRESS.fonts.iter().map(|f| f.info().family.as_str()).collect();
        assert_eq!(families.iter().filter(|f| **f == "Libertinus Serif").count(), 4, "{families:?}");
        assert!(families.contains(&"DejaVu Sans Mono"), "{families:?}");
    }

    #[test]
    fn a_picture_without_words_is_refused() {
        let bare = "#set document(title: \"t\")\n#image(bytes(\"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'/>\"))";
        let error = typeset(bare, &Value::Null, "t".to_owned(), date(2027, 1, 2)).unwrap_err();
        assert!(error.to_string().contains("alt text"), "{error}");
    }

    #[test]
    fn texts_become_printable() {
        let mut data = serde_json::json!(["Łódź, Ελλάδα, Київ", {"a": "tab\there \u{0}", "b": ["山 🌳\u{200d}"]}]);
        assert!(make_printable(&mut data));
        assert_eq!(data, serde_json::json!(["Łódź, Ελλάδα, Київ", {"a": "tab here  ", "b": ["□ □"]}]));
        assert!(!make_printable(&mut data), "the second time there is nothing to replace");
    }

    #[test]
    fn nothing_outside_can_be_read() {
        let nosy = "#read(\"/etc/hostname\")";
        assert!(typeset(nosy, &Value::Null, "t".to_owned(), date(2027, 1, 2)).is_err());
    }
}
