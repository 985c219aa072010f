//! What field samples have changed, and the early and late ends of the city, in `timing --json`.

use crownhold::timing::{BlockDates, Learned, MARKED, OffsetDates, SampleVerdict, date_quantile};
use jiff::civil::Date;
use serde::Serialize;

use super::round;

/// What field samples have changed.
#[derive(Serialize, Debug)]
pub struct LearnedJson {
    /// Event dates without any sample; those of the forecast stand under `events`.
    prior: Vec<RangeJson>,
    effective_members: f64,
    samples: Vec<VerdictJson>,
}

#[derive(Serialize, Debug)]
struct RangeJson {
    event: &'static str,
    p05: Option<Date>,
    p50: Option<Date>,
    p95: Option<Date>,
}

#[derive(Serialize, Debug)]
struct VerdictJson {
    sample: String,
    /// Chance of a sample at least as far out, by the forecast without samples and beside the other samples.
    chance_beside_forecast: f64,
    chance_beside_others: Option<f64>,
    /// Chance that it is wrong as it stands.
    chance_wrong: f64,
    flag: Option<&'static str>,
    changes: Vec<ChangeJson>,
}

#[derive(Serialize, Debug)]
struct ChangeJson {
    event: &'static str,
    /// Median with all samples less the median without this one; positive is later.
    later_days: Option<f64>,
    /// If it were the only sample.
    alone: RangeJson,
}

impl From<&Learned> for LearnedJson {
    fn from(learned: &Learned) -> Self {
        let range = |e: &crownhold::timing::EventDates| {
            let at = |p| date_quantile(&e.dates, p);
            RangeJson { event: e.event.word(), p05: at(0.05), p50: at(0.5), p95: at(0.95) }
        };
        Self {
            prior: learned.prior.iter().map(range).collect(),
            effective_members: round(learned.effective_members),
            samples: learned.samples.iter().map(verdict).collect(),
        }
    }
}

fn verdict(v: &SampleVerdict) -> VerdictJson {
    let change = |m: &crownhold::timing::Moved| {
        let [p05, p50, p95] = m.alone;
        let alone = RangeJson { event: m.event.word(), p05, p50, p95 };
        ChangeJson { event: m.event.word(), later_days: m.days.map(round), alone }
    };
    VerdictJson {
        sample: v.sample.to_string(),
        chance_beside_forecast: round(v.beside_forecast),
        chance_beside_others: v.beside_others.map(round),
        chance_wrong: round(v.wrong),
        flag: v.flag.map(crownhold::timing::Flag::words),
        changes: v.moved.iter().map(change).collect(),
    }
}

/// Early and late ends of the city.
#[derive(Serialize, Debug)]
pub struct EndsJson {
    /// Blocks of which neither height nor built-up share is known.
    blocks_unknown: usize,
    /// By offset from the station, rising: late blocks first.
    offsets: Vec<OffsetJson>,
}

#[derive(Serialize, Debug)]
struct OffsetJson {
    offset_c: f64,
    blocks: Vec<String>,
    dates: Vec<RangeJson>,
}

impl From<&BlockDates> for EndsJson {
    fn from(dates: &BlockDates) -> Self {
        let range = |at: &OffsetDates, event: crownhold::timing::Event| {
            let q = |p| at.quantile(event, p);
            RangeJson { event: event.word(), p05: q(0.05), p50: q(0.5), p95: q(0.95) }
        };
        let offset = |at: &OffsetDates| OffsetJson {
            offset_c: at.offset,
            blocks: at.blocks.iter().map(ToString::to_string).collect(),
            dates: MARKED.iter().map(|event| range(at, *event)).collect(),
        };
        Self { blocks_unknown: dates.unknown, offsets: dates.at.iter().map(offset).collect() }
    }
}
