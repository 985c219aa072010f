//! Constants of rounds, with unit, source and how each is known.

use crate::types::parameters::{Default, Known, Value};

macro_rules! n {
    ($name:literal, $value:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Number($value), $unit, $meaning, Known::$known, $source)
    };
}

pub(crate) const DEFAULTS: &[Default] = &[
    n!(
        "rounds.detour",
        1.3,
        "way per straight line",
        "how much longer the way between two trees is than the straight line, where no streets were brought in",
        FromMemory,
        "about 1.2 to 1.4 in street networks; measure it on your own rounds"
    ),
    n!(
        "rounds.across",
        150.0,
        "ft",
        "straight lines up to this length are walked across lots and streets, with streets too; farther off a street is open ground",
        Assumption,
        "no source: about a lot and the street before it"
    ),
    n!("rounds.walk", 3.0, "mph", "walking from tree to tree", CommonPractice, "ordinary walking pace; no source"),
    n!(
        "rounds.walk_most",
        0.5,
        "miles",
        "ways up to this length are walked; longer ones are driven where that is quicker",
        Assumption,
        "no source"
    ),
    n!("rounds.drive", 15.0, "mph", "driving between blocks, stops counted", Assumption, "no source"),
    n!("rounds.park", 5.0, "minutes", "getting in, out and parking, for each drive", Assumption, "no source"),
    n!(
        "rounds.serve_from",
        16.0,
        "hour of the day",
        "bands are served from this hour: larvae have come down and stay until evening",
        CommonPractice,
        "late afternoon to early evening; no source"
    ),
    n!(
        "rounds.serve_to",
        20.0,
        "hour of the day",
        "work at the last band begins by this hour",
        CommonPractice,
        "late afternoon to early evening; no source"
    ),
    n!(
        "rounds.daily",
        0.3,
        "share of all insects",
        "fourth instar to pupa from which bands are served every day",
        Assumption,
        "no source"
    ),
    n!(
        "rounds.begin",
        0.02,
        "share of all insects",
        "fourth instar to pupa below which bands need no service",
        Assumption,
        "no source"
    ),
    n!("rounds.thin", 3.0, "days", "between services before and after the peak", CommonPractice, "no source"),
    n!(
        "rounds.scrape_minutes",
        10.0,
        "minutes per tree",
        "scraping a tree and what stands around it, from the ground",
        Assumption,
        "no source; the log tells your own"
    ),
    n!(
        "rounds.ladder_minutes",
        25.0,
        "minutes per tree",
        "scraping higher up, setting the ladder counted",
        Assumption,
        "no source"
    ),
];
