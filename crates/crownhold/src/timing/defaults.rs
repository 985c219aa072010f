//! The parameters of this room, each with unit, source and how it is known.

use crate::types::parameters::{Default, Known, Value};

const WORKING_TABLE: &str = "working table: days at constant 25 C from general rearing experience, times 25 - 8; medians \
     tested against leaf dates at Harvard Forest 2002-2014 (0.2 days, SD 2.3). To be replaced by Casagrande et al. \
     1987, Environ. Entomol. 16:556-562";
const HARVARD: &str =
    "worked out from Harvard Forest HF001 (daily temperatures) and HF003 (leaf development), 13 springs 2002-2014";
const LARVA_UNIT: &str = "degree-days C above 8 C, single sine, horizontal cutoff 29 C";
const LEAF_UNIT: &str = "degree-days F above 50 F, single sine, from 1 January";

const fn number(
    name: &'static str,
    value: f64,
    unit: &'static str,
    meaning: &'static str,
    known: Known,
    source: &'static str,
) -> Default {
    Default(name, Value::Number(value), unit, meaning, known, source)
}
const fn stage(name: &'static str, heat: f64, meaning: &'static str) -> Default {
    number(name, heat, LARVA_UNIT, meaning, Known::FromMemory, WORKING_TABLE)
}
const fn leaf(name: &'static str, mean: f64, spread: f64, meaning: &'static str) -> Default {
    Default(name, Value::Normal(mean, spread), LEAF_UNIT, meaning, Known::Derived, HARVARD)
}

pub(crate) const DEFAULTS: &[Default] = &[
    Default(
        "timing.hatch.heat",
        Value::Normal(282.0, 29.0),
        "degree-days C above 3 C, single sine, from 1 January",
        "heat at which an egg mass hatches: mean and spread between masses",
        Known::Published,
        "Johnson et al. 1983, Environ. Entomol. 12:929-932 (abstract); the start date is our reading",
    ),
    number(
        "timing.egg.base",
        3.0,
        "degrees C",
        "temperature above which eggs develop after winter",
        Known::Published,
        "Johnson et al. 1983, Environ. Entomol. 12:929-932 (abstract)",
    ),
    number(
        "timing.hatch.error",
        40.0,
        "degree-days C above 3 C",
        "how far the heat at half hatch may be off in one spring and place (one standard deviation)",
        Known::Derived,
        "SD 5.1 days of (282 degree-days reached) minus (red oak budbreak), Harvard Forest 2002-2014, times 8 \
         degree-days per day at hatch there; budbreak has its own spread, so this is rather wide",
    ),
    number(
        "timing.hatch.warm-winter",
        2.0,
        "degrees C",
        "January and February mean of the station above which egg heat is counted from 1 March instead of 1 January",
        Known::Assumption,
        "at JFK 2012-2015 a 1 January start runs 4-16 days ahead of the daily-mean criterion above 50 F",
    ),
    number(
        "timing.weather.year-spread",
        1.5,
        "degrees C",
        "how far the mean temperature of the rest of a spring differs between years (one standard deviation); used \
         where fewer than ten past years are at hand",
        Known::Assumption,
        "1.4 for March to May, 1.0 for April alone and 2.9 for March alone at JFK 2012-2015",
    ),
    number(
        "timing.larva.base",
        8.0,
        "degrees C",
        "temperature above which larvae and pupae develop",
        Known::Assumption,
        "chosen inside the 7-10 C that field and laboratory facts allow",
    ),
    number(
        "timing.larva.upper",
        29.0,
        "degrees C",
        "temperature above which larvae and pupae develop no faster (horizontal cutoff)",
        Known::Derived,
        "optimum 29 C in eight Asian populations: Limbu et al. 2017; moves no date at Harvard Forest by over a day",
    ),
    stage("timing.stage.instar-1", 94.0, "heat of the first instar"),
    stage("timing.stage.instar-2", 77.0, "heat of the second instar"),
    stage("timing.stage.instar-3", 77.0, "heat of the third instar"),
    stage("timing.stage.instar-4", 94.0, "heat of the fourth instar"),
    stage("timing.stage.instar-5-male", 136.0, "heat of the fifth instar of males, to pupa"),
    stage("timing.stage.instar-5-female", 102.0, "heat of the fifth instar of females"),
    stage("timing.stage.instar-6-female", 136.0, "heat of the sixth instar of females, to pupa"),
    stage("timing.stage.pupa-male", 196.0, "heat of the male pupa"),
    stage("timing.stage.pupa-female", 162.0, "heat of the female pupa"),
    number(
        "timing.stage.adult-male",
        90.0,
        LARVA_UNIT,
        "heat of the life of a male moth",
        Known::Assumption,
        "about a week (extension pages) at the 13 degree-days a day of a mid-July mean of 21 C",
    ),
    number(
        "timing.stage.adult-female",
        90.0,
        LARVA_UNIT,
        "heat from emergence of a female to the end of her laying and life",
        Known::Assumption,
        "about a week (extension pages) at the 13 degree-days a day of a mid-July mean of 21 C",
    ),
    number(
        "timing.stage.substages",
        45.0,
        "substages",
        "Erlang substages of each stage: the spread of a stage's heat is its mean over the root of this",
        Known::Assumption,
        "coefficient of variation 0.15 per stage; no published figure for this insect was found",
    ),
    Default(
        "timing.stage.scale",
        Value::Normal(1.0, 0.1),
        "times",
        "factor on every stage's heat in one spring and place: mean and uncertainty",
        Known::Assumption,
        "about 4 days at the stage medians of early summer, the accuracy claimed for the working table",
    ),
    number(
        "timing.leaf.base",
        50.0,
        "degrees F",
        "temperature above which oak leaves develop",
        Known::Derived,
        HARVARD,
    ),
    leaf("timing.leaf.red-oak-budbreak", 152.0, 26.0, "heat at which half of red oak buds are open"),
    Default(
        "timing.leaf.red-oak-30",
        Value::Normal(251.0, 25.0),
        LEAF_UNIT,
        "heat at which red oak leaves have 30 % of their final size",
        Known::Derived,
        "on the straight line between the 25 % (241) and 40 % (271) marks worked out from Harvard Forest HF001 and HF003",
    ),
    leaf("timing.leaf.red-oak-40", 271.0, 24.0, "heat at which red oak leaves have 40 % of their final size"),
    leaf("timing.leaf.white-oak-budbreak", 198.0, 26.0, "heat at which half of white oak buds are open"),
    leaf("timing.leaf.white-oak-40", 331.0, 25.0, "heat at which white oak leaves have 40 % of their final size"),
    number(
        "timing.scraping.opens",
        288.0,
        "day of the year before the season",
        "first day of scraping (15 October): after the first hard frost, so that the egg parasitoid has had its time",
        Known::Published,
        "University of Wisconsin extension: mid-October to mid-April",
    ),
    number(
        "timing.scraping.margin",
        3.0,
        "days",
        "scraping ends this long before the first tenth has hatched",
        Known::Assumption,
        "first masses hatch before the tenth; the south side of the bole first",
    ),
    number(
        "timing.ground-btk.hatched",
        0.5,
        "share of all",
        "ground Btk opens, with leaves at 30 %, when this share has hatched",
        Known::Assumption,
        "Btk must be eaten; earlier than from the air is fine on small trees",
    ),
    number(
        "timing.ground-btk.third-instar",
        0.5,
        "share of all",
        "ground Btk closes when this share has reached the third instar",
        Known::CommonPractice,
        "larger larvae are slowed rather than killed (Cornell extension)",
    ),
    number(
        "timing.aerial-btk.not-past-first",
        0.25,
        "share of all",
        "aerial Btk opens, with leaves at 40 %, when no more than this share is egg or first instar",
        Known::CommonPractice,
        "second instar dominant; the share is an assumption",
    ),
    number(
        "timing.aerial-btk.third-instar",
        0.5,
        "share of all",
        "aerial Btk closes when this share has reached the third instar",
        Known::CommonPractice,
        "treat before most larvae pass the second instar: aerial trial, Dubois et al. 1988",
    ),
    number(
        "timing.bands.third-instar",
        0.25,
        "share of all",
        "bands go up when this share has reached the third instar",
        Known::Assumption,
        "larvae begin to hide by day between the third and fourth instar (Campbell et al. 1975)",
    ),
    number(
        "timing.bands.latest",
        243.0,
        "day of the year",
        "bands come down by this day (31 August) at the latest",
        Known::CommonPractice,
        "pupae and females are gone in late July to August",
    ),
    number(
        "timing.survey.leaf-fall",
        274.0,
        "day of the year",
        "day (1 October) from which enough leaves are down to count masses in crowns",
        Known::Assumption,
        "counts are made from August to December in New Jersey, October to November in Wisconsin; shift to local leaf fall",
    ),
    number(
        "timing.survey.closes",
        365.0,
        "day of the year",
        "last day of the egg-mass survey (31 December)",
        Known::CommonPractice,
        "counts are made from August to December in New Jersey",
    ),
    number(
        "timing.hindcast.mean-base",
        50.0,
        "degrees F",
        "base of the daily-mean degree-days from 1 March that the forecast is held against",
        Known::CommonPractice,
        "extension tables of the north-east count so",
    ),
];
