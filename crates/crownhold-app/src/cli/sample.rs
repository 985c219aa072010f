//! `crownhold sample`

use std::process::ExitCode;

use crownhold::types::{BlockId, FieldSample, InstarCounts, LeafHost, Problem, SampleId, SampleKind, Seen, Share};

use super::table::{row, table};
use super::{args, say, say_json};
use crate::actions::{self, By, samples};
use crate::clock;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Sample) -> Result<ExitCode, Trouble> {
    let (author, when) = (actions::author(a.author.as_deref()), clock::now());
    let by = By::new(&author, &when);
    let done = match (&a.kind, &a.correct, &a.remove) {
        (_, _, Some(id)) => samples::remove(&a.programme, &SampleId::new(id), by)?,
        (Some(kind), Some(id), None) => samples::correct(&a.programme, &sample(a, kind, id)?, by)?,
        (Some(kind), None, None) => samples::add(&a.programme, &sample(a, kind, "")?, by)?,
        (None, _, None) => return list(a),
    };
    say(&format!("Done: {}.", done.what));
    Ok(ExitCode::SUCCESS)
}

fn sample(a: &args::Sample, kind: &str, id: &str) -> Result<FieldSample, Trouble> {
    let wrong = |what: String, expected: &str| Trouble::one(Problem::error("A-164", what, "").expected(expected));
    let kind = SampleKind::from_word(kind).ok_or_else(|| {
        let all = SampleKind::ALL.iter().map(|k| k.word()).collect::<Vec<_>>().join(", ");
        wrong(format!("\"{kind}\" is not a kind of sample."), &all)
    })?;
    let date = a.on.ok_or_else(|| wrong("The day is missing.".to_owned(), "--on 2027-05-14"))?;
    let seen = match kind {
        SampleKind::FirstHatch => Seen::FirstHatch,
        SampleKind::NoHatch => Seen::NoHatch,
        SampleKind::Instars => Seen::Instars(counts(&a.counts).ok_or_else(|| {
            let what = format!("\"{}\" are no counts.", a.counts.join(","));
            wrong(what, "up to seven whole numbers: L1,L2,L3,L4,L5,L6,pupae, such as --counts 18,31,1")
        })?),
        SampleKind::UnderBands => counts(&a.counts).and_then(Seen::under_bands).ok_or_else(|| {
            let what = format!("\"{}\" counts nothing that hides under bands.", a.counts.join(","));
            wrong(what, "late larvae at L4 to L6 and pupae last, such as --counts 0,0,0,31,0,0,4")
        })?,
        SampleKind::Leaf => {
            let host = a.oak.as_deref().and_then(LeafHost::from_word);
            let size = a.leaf.and_then(|percent| Share::new(percent / 100.0));
            let both = host.zip(size).map(|(host, size)| Seen::Leaf { host, size });
            both.ok_or_else(|| wrong("The leaf rating is not whole.".to_owned(), "--oak \"red oak\" --leaf 40"))?
        }
    };
    Ok(FieldSample {
        id: SampleId::new(id),
        date,
        block: a.block.as_deref().map(BlockId::new),
        place: a.place.clone(),
        observer: actions::author(a.author.as_deref()),
        seen,
        note: a.note.clone(),
    })
}

fn counts(cells: &[String]) -> Option<InstarCounts> {
    let mut counts = [0; 7];
    if cells.is_empty() || cells.len() > counts.len() {
        return None;
    }
    for (count, cell) in counts.iter_mut().zip(cells) {
        *count = cell.trim().parse().ok()?;
    }
    Some(InstarCounts(counts))
}

fn list(a: &args::Sample) -> Result<ExitCode, Trouble> {
    let all = actions::records(&a.programme)?.samples;
    let block = |s: &FieldSample| s.block.as_ref().map(ToString::to_string).unwrap_or_default();
    if a.json {
        let json = |s: &FieldSample| {
            serde_json::json!({
                "sample": s.id.as_str(), "date": s.date, "kind": s.seen.kind().word(), "block": s.block.as_ref().map(BlockId::as_str),
                "place": s.place, "observer": s.observer, "seen": samples::words(s), "note": s.note,
            })
        };
        say_json(&all.iter().map(json).collect::<Vec<_>>());
        return Ok(ExitCode::SUCCESS);
    }
    let mut rows = vec![row(["sample", "date", "block", "place", "seen", "observer"])];
    let line = |s: &FieldSample| {
        vec![s.id.to_string(), s.date.to_string(), block(s), s.place.clone(), samples::words(s), s.observer.clone()]
    };
    rows.extend(all.iter().map(line));
    say(&table(&rows, "llllll"));
    Ok(ExitCode::SUCCESS)
}
