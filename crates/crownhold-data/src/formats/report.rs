//! What an import did: counts, columns used, and every problem.

use std::collections::BTreeMap;

use crownhold::types::{Problem, Severity};

/// What the rows of an input are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Block outlines with whatever attributes come along.
    Blocks,
    /// Attributes for blocks that are there already.
    Areas,
    /// Areas that are not sprayed.
    NoSpray,
    /// The tree inventory.
    Trees,
    /// Survey plots.
    Plots,
    /// Egg-mass counts.
    Counts,
    /// Daily weather of one or more stations.
    Weather,
    /// Hourly weather: measured or forecast.
    Hourly,
    /// Money, hours, limits and parameter values (TOML).
    Resources,
    /// Survey strata.
    Strata,
    /// Past seasons by block.
    Past,
    /// Hatch, instars and leaves seen in spring.
    Samples,
    /// What bands caught, visit by visit.
    Bands,
    /// Egg masses scraped off.
    Scraping,
    /// Teams that go round.
    Teams,
    /// Streets that crews go along.
    Streets,
}

impl Kind {
    /// Every kind, in order.
    pub const ALL: &'static [Self] = &[
        Self::Blocks,
        Self::Areas,
        Self::NoSpray,
        Self::Trees,
        Self::Plots,
        Self::Counts,
        Self::Weather,
        Self::Hourly,
        Self::Resources,
        Self::Strata,
        Self::Past,
        Self::Samples,
        Self::Bands,
        Self::Scraping,
        Self::Teams,
        Self::Streets,
    ];

    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Blocks => "blocks",
            Self::Areas => "areas",
            Self::NoSpray => "no-spray",
            Self::Trees => "trees",
            Self::Plots => "plots",
            Self::Counts => "counts",
            Self::Weather => "weather",
            Self::Hourly => "hourly-weather",
            Self::Resources => "resources",
            Self::Strata => "strata",
            Self::Past => "past-seasons",
            Self::Samples => "samples",
            Self::Bands => "band-visits",
            Self::Scraping => "scraping",
            Self::Teams => "teams",
            Self::Streets => "streets",
        }
    }

    /// From the word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|k| k.word() == word.trim().to_lowercase())
    }
}

/// How many records an import changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Taken {
    /// Not there before.
    pub new: usize,
    /// There before, with other values.
    pub replaced: usize,
    /// There before, the same.
    pub unchanged: usize,
}

impl Taken {
    /// All of them.
    pub fn total(self) -> usize {
        self.new + self.replaced + self.unchanged
    }
}

/// A column and what it was taken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsedColumn {
    /// The field it filled.
    pub field: &'static str,
    /// Its header in the file.
    pub column: String,
    /// The unit it was read in, where it has one.
    pub unit: Option<&'static str>,
}

/// The answer to one import.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// What was asked for.
    pub kind: Kind,
    /// File name as the user gave it.
    pub file: String,
    /// Records taken; all zero when there is an error.
    pub taken: Taken,
    /// Columns used.
    pub columns: Vec<UsedColumn>,
    /// Columns of the file that were not used.
    pub unused: Vec<String>,
    /// Species names the table does not know, with how many trees have them.
    pub unknown_species: BTreeMap<String, usize>,
    /// Errors first, then repairs, then notices.
    pub problems: Vec<Problem>,
}

/// Of one code, this many are told one by one; the rest are counted.
const TOLD_PER_CODE: usize = 25;

impl Report {
    pub(super) fn new(kind: Kind, file: &str) -> Self {
        Self {
            kind,
            file: file.to_owned(),
            taken: Taken::default(),
            columns: Vec::new(),
            unused: Vec::new(),
            unknown_species: BTreeMap::new(),
            problems: Vec::new(),
        }
    }

    /// Is there an error, so that nothing was taken?
    pub fn has_errors(&self) -> bool {
        self.problems.iter().any(Problem::is_error)
    }

    /// The problems of one severity.
    pub fn of(&self, severity: Severity) -> impl Iterator<Item = &Problem> {
        self.problems.iter().filter(move |p| p.severity == severity)
    }

    /// Puts errors first and folds long runs of one code into a count.
    pub(super) fn settle(&mut self) {
        self.problems.sort_by_key(|p| p.severity);
        let mut seen: BTreeMap<&'static str, usize> = BTreeMap::new();
        let mut left_out: BTreeMap<&'static str, (Severity, usize)> = BTreeMap::new();
        self.problems.retain(|p| {
            let count = seen.entry(p.code).or_insert(0);
            *count += 1;
            if *count > TOLD_PER_CODE {
                left_out.entry(p.code).or_insert((p.severity, 0)).1 += 1;
            }
            *count <= TOLD_PER_CODE
        });
        for (code, (severity, count)) in left_out {
            let mut more = Problem::notice(code, format!("{count} more like the {TOLD_PER_CODE} above."), "");
            more.severity = severity;
            more.place.file = Some(self.file.clone());
            self.problems.push(more);
        }
        self.problems.sort_by_key(|p| p.severity);
    }
}
