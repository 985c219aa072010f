//! Papers made of ordinary parts: headings, text, tables, drawings, cautions, lines to write on.
//!
//! One layout sets them all, so that a sheet for a crew, a letter and a record look like one programme's papers. What
//! stands on a paper is decided in its own module; here is only what a paper can be made of.

use crownhold::types::Programme;
use jiff::civil::Date;
use serde_json::{Value, json};

use crate::PrintError;
use crate::palette::LIGHT;
use crate::pdf;
use crate::wording::Wording;

/// The layout, in Typst's language.
const TEMPLATE: &str = include_str!("document.typ");

/// A paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Its title: "Season dates 2027".
    pub title: String,
    /// One line under it.
    pub lead: String,
    /// Language of its words, as in HTML: "en".
    pub lang: &'static str,
    /// What stands on it.
    pub parts: Vec<Part>,
}

/// One part of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph of remarks, smaller.
    Soft(String),
    /// Points.
    List(Vec<String>),
    /// What an act can do to people, before the act.
    Caution(String),
    /// Names with their values.
    Facts(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A drawing with its words; as wide as the page, and no higher than this share of it.
    Picture {
        /// The drawing.
        svg: String,
        /// What it shows, for those who cannot see it.
        alt: String,
        /// Share of the page's height.
        height: f64,
    },
    /// Names with a line to write on.
    Blanks(Vec<String>),
    /// The next part begins a page.
    NewPage,
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows; an empty text leaves the cell free.
    pub rows: Vec<Vec<String>>,
    /// Rows high enough to write in?
    pub to_fill_in: bool,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Figures, set to the right?
    pub figures: bool,
    /// Share of the width that is left; 0 takes what its words need.
    pub share: f64,
}

impl Column {
    /// Words as wide as they need.
    pub fn words(head: &str) -> Self {
        Self { head: head.to_owned(), figures: false, share: 0.0 }
    }
    /// Words that take a share of what is left.
    pub fn wide(head: &str, share: f64) -> Self {
        Self { head: head.to_owned(), figures: false, share }
    }
    /// Figures.
    pub fn figures(head: &str) -> Self {
        Self { head: head.to_owned(), figures: true, share: 0.0 }
    }
}

impl Part {
    /// A table of what is known.
    pub fn table(columns: Vec<Column>, rows: Vec<Vec<String>>) -> Self {
        Self::Table(Table { columns, rows, to_fill_in: false })
    }

    fn data(&self) -> Value {
        match self {
            Self::Heading(words) => json!({ "kind": "heading", "words": words }),
            Self::Text(words) => json!({ "kind": "text", "words": words }),
            Self::Soft(words) => json!({ "kind": "soft", "words": words }),
            Self::List(points) => json!({ "kind": "list", "points": points }),
            Self::Caution(words) => json!({ "kind": "caution", "words": words }),
            Self::Facts(facts) => json!({ "kind": "facts", "facts": facts }),
            Self::Table(table) => json!({
                "kind": "table",
                "heads": table.columns.iter().map(|c| &c.head).collect::<Vec<_>>(),
                "figures": table.columns.iter().map(|c| c.figures).collect::<Vec<_>>(),
                "shares": table.columns.iter().map(|c| c.share).collect::<Vec<_>>(),
                "rows": table.rows,
                "fill": table.to_fill_in,
            }),
            Self::Picture { svg, alt, height } => {
                json!({ "kind": "picture", "svg": svg, "alt": alt, "height": height })
            }
            Self::Blanks(names) => json!({ "kind": "blanks", "names": names }),
            Self::NewPage => json!({ "kind": "page" }),
        }
    }
}

impl Document {
    /// The paper as an accessible PDF (tagged, PDF/UA-1), on letter paper for acres and on A4 for hectares. The same
    /// parts and date give the same bytes.
    ///
    /// # Errors
    /// [`PrintError::Typesetting`] when the typesetter refuses, which is our own fault.
    pub fn pdf(&self, programme: &Programme, issued: Date) -> Result<Vec<u8>, PrintError> {
        let mut data = self.data(programme, issued);
        data["unprintable"] = pdf::make_printable(&mut data).into();
        let identity = format!("{}, {}, {}, {issued}", self.title, programme.name, programme.season);
        pdf::typeset(TEMPLATE, &data, identity, issued)
    }

    /// Every word and drawing, in order.
    pub fn data(&self, programme: &Programme, issued: Date) -> Value {
        let w = Wording::new(programme.units);
        let invented = programme.invented.then(|| {
            format!(
                "Invented data. {} and every figure in this paper were made up. Do not act on them.",
                programme.name
            )
        });
        json!({
            "title": self.title,
            "lead": self.lead,
            "lang": self.lang,
            "city": programme.name,
            "issued": w.date(issued),
            "issued_parts": [issued.year(), issued.month(), issued.day()],
            "paper": if w.is_us() { "us-letter" } else { "a4" },
            "invented": invented,
            "inks": {
                "ink": LIGHT.ink, "soft": LIGHT.soft, "rule": LIGHT.rule, "accent": LIGHT.accent,
                "guard": LIGHT.guard, "guard_pale": LIGHT.guard_pale,
            },
            "parts": self.parts.iter().map(Part::data).collect::<Vec<_>>(),
        })
    }
}
