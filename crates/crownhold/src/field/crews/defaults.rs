//! Constants of crews' work, with unit, source and how each is known.

use crate::types::parameters::{Default, Known, Value};

macro_rules! n {
    ($name:literal, $value:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Number($value), $unit, $meaning, Known::$known, $source)
    };
}
macro_rules! t {
    ($name:literal, $low:literal, $mode:literal, $high:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Triangular($low, $mode, $high), $unit, $meaning, Known::$known, $source)
    };
}

pub(crate) const DEFAULTS: &[Default] = &[
    n!(
        "bands.overlap",
        4.0,
        "in",
        "length of a band beyond the trunk's circumference",
        Published,
        "\"a few inches\" (University of Wisconsin extension); 4 is our reading"
    ),
    n!(
        "bands.strip",
        15.0,
        "in",
        "height of a full strip, tied at its middle, the top half folded down over the lower and slit into flaps",
        CommonPractice,
        "12 to 18; no source"
    ),
    n!(
        "bands.square",
        15.0,
        "in",
        "side of a single square flap",
        CommonPractice,
        "used on small trees or where there are many; no source for the size"
    ),
    n!(
        "bands.square_below",
        6.0,
        "in",
        "trees thinner than this get a square flap instead of a full strip",
        Assumption,
        "no source"
    ),
    n!(
        "bands.least_trunk",
        3.0,
        "in",
        "trees thinner than this are neither banded nor listed for scraping",
        Assumption,
        "no source"
    ),
    n!("bands.cloth_width", 40.0, "in", "width of the cloth as it is bought", Assumption, "usual widths 36 to 60"),
    n!(
        "bands.cloth_price",
        3.0,
        "$ per yard of cloth",
        "price of the cloth at that width",
        CommonPractice,
        "$1 to $2 a yard of 18-inch strip; no source"
    ),
    n!("bands.twine_price", 0.1, "$ per band", "twine", CommonPractice, "no source"),
    n!("bands.pins", 2.0, "pins per square flap", "pins or tacks that hold a square flap", CommonPractice, "no source"),
    n!("bands.pin_price", 0.05, "$ per pin", "pins or tacks", Assumption, "no source"),
    n!(
        "bands.people",
        4.0,
        "people",
        "people at work at once, for whom soap, gloves and kits are bought",
        Assumption,
        "no source; put your own crews in"
    ),
    n!(
        "bands.bath",
        1.0,
        "pints per person and round",
        "soap bath that larvae are brushed into",
        CommonPractice,
        "brushing into soap beats squashing for speed and disposal; no source"
    ),
    n!(
        "bands.soap",
        3.0,
        "tablespoons per pint",
        "dish soap in the bath; insecticidal soap works faster at 1 tablespoon, and costs far more",
        CommonPractice,
        "no source"
    ),
    n!("bands.soap_price", 0.12, "$ per tablespoon", "soap of that kind", Assumption, "no source"),
    n!("bands.glove_price", 4.0, "$ per pair", "gloves, one pair a person", Assumption, "no source"),
    n!(
        "scraping.kit_price",
        12.0,
        "$ per person",
        "scraper, jar, gloves, eye protection",
        Assumption,
        "one volunteer kit held gloves, glasses, scraper and jar; price no source"
    ),
    Default(
        "bands.eggs",
        Value::Lognormal(250.0, 500.0, 900.0),
        "eggs per mass",
        "eggs that one female lays, for what a catch stands for",
        Known::Published,
        "500 to 1,000 in extension pages, mean 400 to 500 (National Park Service)",
    ),
    t!(
        "bands.hatch",
        0.7,
        0.85,
        0.95,
        "share of eggs",
        "eggs that hatch",
        FromMemory,
        "Campbell & Sloan 1977; Doane & McManus 1981, not read"
    ),
    t!(
        "bands.late_survival",
        0.05,
        0.2,
        0.5,
        "share of hatched larvae",
        "larvae that live to the fourth instar, when they begin to hide under bands",
        Assumption,
        "no source; the share taken is as uncertain as this"
    ),
    n!("bands.female", 0.5, "share", "caught insects that are female", CommonPractice, "half; no source"),
    n!(
        "bands.raise",
        20.0,
        "insects per band and visit",
        "catch of a week's visits from which service should be daily",
        Assumption,
        "no source; a flap in an infestation can hide about 100"
    ),
    n!(
        "bands.thin",
        1.0,
        "insects per band and visit",
        "falling catch of a week below which every third day is enough",
        Assumption,
        "no source"
    ),
    n!(
        "bands.stop",
        0.1,
        "insects per band and visit",
        "falling catch of a week below which service no longer pays",
        Assumption,
        "no source"
    ),
    n!(
        "notices.residents_days",
        10.0,
        "days",
        "how long before the early edge of the window residents are told",
        Published,
        "New Jersey code: by mail at least 10 days before"
    ),
    n!(
        "notices.school_days",
        21.0,
        "days",
        "how long before the early edge of the window schools and day care are told",
        Published,
        "New Jersey code: schools at least 21 days before"
    ),
    n!(
        "notices.hospital_days",
        21.0,
        "days",
        "how long before the early edge of the window hospitals and care homes are told",
        Assumption,
        "as for schools; no source"
    ),
    n!(
        "notices.beekeeper_days",
        21.0,
        "days",
        "how long before the early edge of the window beekeepers are told",
        Assumption,
        "as for schools; local rules differ"
    ),
    n!(
        "notices.organic_days",
        21.0,
        "days",
        "how long before the early edge of the window organic growers are told",
        Assumption,
        "as for schools; local rules differ"
    ),
    n!(
        "notices.other_days",
        21.0,
        "days",
        "how long before the early edge of the window neighbouring cities, police, fire, airfields are told",
        Published,
        "New Jersey code: bordering towns at least 21 days before"
    ),
    n!(
        "notices.near",
        1000.0,
        "ft",
        "distance from flown blocks within which schools, bees and organic ground are told",
        Assumption,
        "no source; local rules prevail"
    ),
    n!(
        "notices.residents_near",
        200.0,
        "ft",
        "distance from flown blocks within which addresses are written to",
        Assumption,
        "no source: the ground across a street is told too; local rules prevail (New York: 150 ft for sprays of lawns and trees)"
    ),
    n!(
        "notices.permit_area",
        6400.0,
        "acres",
        "yearly area, repeats counted, from which a water permit asks for notice of intent",
        Published,
        "Clean Water Act general permit, forest canopy: notice of intent above 6,400 acres a year (Alabama); ask your state"
    ),
    n!(
        "ground.volume.at_6",
        2.0,
        "gal per tree",
        "mix that wets a tree with a 6-inch trunk to the drip",
        Assumption,
        "no stored table; +-50 %. Measure it on a few trees with your own gear"
    ),
    n!(
        "ground.volume.at_12",
        8.0,
        "gal per tree",
        "the same for a 12-inch trunk",
        Assumption,
        "no stored table; +-50 %"
    ),
    n!(
        "ground.volume.at_24",
        20.0,
        "gal per tree",
        "the same for a 24-inch trunk",
        Assumption,
        "no stored table; +-50 %"
    ),
    n!(
        "ground.dose",
        24.0,
        "BIU per 100 gal",
        "Btk in the mix; the label in hand prevails",
        FromMemory,
        "8 to 40 on labels of aqueous forestry formulations, taking 100 gal as an acre of shade trees; middle"
    ),
    n!(
        "ground.strength",
        76.0,
        "BIU per gal",
        "potency of the product as bought; the label in hand prevails",
        FromMemory,
        "as of the product that is flown; others hold 48"
    ),
    n!("ground.tank", 300.0, "gal", "usable tank of the sprayer", Assumption, "no source; take your own"),
    n!("ground.refill_minutes", 20.0, "minutes", "filling and mixing a tank", Assumption, "no source"),
    n!("ground.crews", 1.0, "crews", "licensed crews with a sprayer at work at once", Assumption, "take your own"),
    n!(
        "ground.day_hours",
        6.0,
        "hours",
        "hours of a crew's day that are spent spraying and refilling",
        Assumption,
        "no source; still hours of morning and evening"
    ),
];
