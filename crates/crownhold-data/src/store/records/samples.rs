//! Field samples of spring.

use crownhold::types::{BlockId, FieldSample, InstarCounts, LeafHost, SampleId, SampleKind, Seen, Share};

use super::super::row::{Snapshot, Table};
use super::reader::Reader;

const COUNTS: [&str; 7] = ["l1", "l2", "l3", "l4", "l5", "l6", "pupa"];

pub(super) const SAMPLES: Table = Table {
    name: "field_samples",
    key: &["id"],
    columns: &[
        "id",
        "day",
        "block",
        "place",
        "observer",
        "kind",
        "l1",
        "l2",
        "l3",
        "l4",
        "l5",
        "l6",
        "pupa",
        "leaf_host",
        "leaf_size",
        "note",
    ],
    is_layer: false,
};

pub(super) fn write_sample(sample: &FieldSample, rows: &mut Snapshot) {
    let counts = sample.seen.counts().map_or([None; 7], |counts| counts.0.map(Some));
    let leaf = match sample.seen {
        Seen::Leaf { host, size } => Some((host, size)),
        _ => None,
    };
    let [l1, l2, l3, l4, l5, l6, pupa] = counts.map(Into::into);
    rows.add(
        &SAMPLES,
        [
            ("id", sample.id.as_str().into()),
            ("day", sample.date.into()),
            ("block", sample.block.as_ref().map(BlockId::as_str).into()),
            ("place", (&sample.place).into()),
            ("observer", (&sample.observer).into()),
            ("kind", sample.seen.kind().word().into()),
            ("l1", l1),
            ("l2", l2),
            ("l3", l3),
            ("l4", l4),
            ("l5", l5),
            ("l6", l6),
            ("pupa", pupa),
            ("leaf_host", leaf.map(|(host, _)| host.word()).into()),
            ("leaf_size", leaf.map(|(_, size)| size.value()).into()),
            ("note", (&sample.note).into()),
        ],
    );
}

pub(super) fn read_sample(r: &mut Reader) -> FieldSample {
    FieldSample {
        id: SampleId::new(r.need_text("id")),
        date: r.need_day("day"),
        block: r.text("block").map(BlockId::new),
        place: r.text("place").unwrap_or_default(),
        observer: r.text("observer").unwrap_or_default(),
        seen: read_seen(r),
        note: r.text("note").unwrap_or_default(),
    }
}

fn read_seen(r: &mut Reader) -> Seen {
    match r.need_word::<SampleKind>("kind") {
        SampleKind::FirstHatch => Seen::FirstHatch,
        SampleKind::NoHatch => Seen::NoHatch,
        SampleKind::UnderBands => {
            let seen = Seen::under_bands(read_counts(r));
            if seen.is_none() {
                let expected = "larvae from the fourth instar on in l4 to l6, or pupae in pupa";
                r.fault("S-105", "l4", "The sample counts nothing that hides under bands.".to_owned(), expected);
            }
            seen.unwrap_or(Seen::UnderBands { late: 1, pupae: 0 })
        }
        SampleKind::Instars => {
            let counts = read_counts(r);
            if counts.total() == 0 {
                let expected = "at least one larva or pupa in l1 to pupa";
                r.fault("S-105", "l1", "The sample counts nothing.".to_owned(), expected);
            }
            Seen::Instars(counts)
        }
        SampleKind::Leaf => {
            let host = r.need_word::<LeafHost>("leaf_host");
            let size = r.share("leaf_size");
            if size.is_none() {
                r.fault("S-105", "leaf_size", "leaf_size is empty.".to_owned(), "a share from 0 to 1");
            }
            Seen::Leaf { host, size: size.unwrap_or(Share::clamped(0.0)) }
        }
    }
}

fn read_counts(r: &mut Reader) -> InstarCounts {
    InstarCounts(COUNTS.map(|column| r.whole(column, "a whole number, 0 or more").unwrap_or(0)))
}
