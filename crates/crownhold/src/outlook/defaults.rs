//! Constants of the outlook, with unit, source and how each is known.

use crate::types::parameters::{Default, Known, Value};

const CURVE: &str = "design choice of this program that meets the trade's anchor lines (200-250 masses per acre: moderate to heavy defoliation, Michigan State University Extension; above 250 noticeable, Ohio Department of Agriculture). Refit to local plots";
const POLICY: &str = "a policy of the programme, not a fact; set it with the council";
const KEEP_60: &str = "Michigan programme goal: keep at least 60 % of the foliage, so that trees need not refoliate";
const CT_RI: &str = "oaks of Connecticut and Rhode Island 2015-18, 3,095 trees in 29 areas, three-year mortality";

macro_rules! n {
    ($name:literal, $value:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Number($value), $unit, $meaning, Known::$known, $source)
    };
}

pub(crate) const DEFAULTS: &[Default] = &[
    n!(
        "outlook.curve.midpoint",
        600.0,
        "masses per acre",
        "density at which half the favoured foliage is lost",
        Assumption,
        CURVE
    ),
    n!(
        "outlook.curve.slope",
        1.0,
        "logits per log unit of density",
        "steepness of the defoliation curve",
        Assumption,
        CURVE
    ),
    n!(
        "outlook.curve.common_share",
        0.25,
        "share of the residual variance",
        "how much of the residual all blocks of a season share (disease, weather)",
        Assumption,
        "defoliation moves together over whole districts; the size is a guess. It widens the city's total, not a block's chance"
    ),
    n!(
        "outlook.curve.residual",
        1.2,
        "logits",
        "spread of single blocks around the curve",
        Assumption,
        "loosely consistent with r² 0.65 to 0.67 of sigmoid fits over 18 years in New Jersey (Williams et al. 1991, abstract)"
    ),
    n!(
        "outlook.trend.falling",
        -0.7,
        "logits",
        "shift where the density fell since last autumn",
        Assumption,
        "direction published (Williams et al. 1991, abstract: less defoliation in falling populations); size assumed"
    ),
    n!(
        "outlook.trend.rising",
        0.3,
        "logits",
        "shift where the density more than doubled since last autumn",
        Assumption,
        "direction published (Williams et al. 1991, abstract); size assumed"
    ),
    n!(
        "outlook.host_trees_per_canopy_acre",
        25.0,
        "trees per acre of host canopy",
        "host trees where the inventory does not hold them all",
        Assumption,
        "crowns about 14 m wide, closed canopy; count a sample"
    ),
    n!(
        "outlook.mortality.light",
        0.01,
        "share in three years",
        "oaks dying after light or no defoliation",
        Published,
        CT_RI
    ),
    n!(
        "outlook.mortality.moderate",
        0.07,
        "share in three years",
        "oaks dying after moderate defoliation",
        Published,
        CT_RI
    ),
    n!("outlook.mortality.severe", 0.36, "share in three years", "oaks dying after two severe years", Published, CT_RI),
    Default(
        "outlook.cost.removal",
        Value::Triangular(175.0, 450.0, 2000.0),
        "$ per tree",
        "taking down and removing a dead tree",
        Known::Published,
        "$175 to $2,000 in Connecticut town contracts 2018-19; medians $184 to $413 by size in four Midwest states 2011",
    ),
    n!(
        "outlook.cost.nuisance",
        60.0,
        "$ per dwelling at full defoliation",
        "complaints, cleaning, lost use of gardens",
        Assumption,
        "no figure in dollars could be read; set it to 0 to leave nuisance out"
    ),
    n!(
        "outlook.growth.usual",
        -0.186,
        "log units a year",
        "change of density to next autumn without a known phase",
        Derived,
        "median multiplier 0.83 over 32 site means, Connecticut 2017-18, a year of collapse in places (computed from published data of Pasquarella et al. 2021)"
    ),
    n!(
        "outlook.growth.spread",
        0.75,
        "log units",
        "spread of that change between sites",
        Assumption,
        "the log ratios of the same 32 sites spread by 1.077, of which about half the variance is counting error that the density draws carry already"
    ),
    n!(
        "outlook.growth.rising",
        0.8,
        "log units a year",
        "change in a rising population",
        CommonPractice,
        "rule of thumb; no source"
    ),
    n!(
        "outlook.growth.collapse",
        -1.2,
        "log units a year",
        "change after heavy defoliation",
        CommonPractice,
        "rule of thumb; central New York 1991-92 fell by a factor 0.45 in one year (Hajek 1997, abstract)"
    ),
    n!(
        "outlook.tolerance.residential",
        0.4,
        "share of favoured foliage",
        "loss held to be acceptable",
        Published,
        KEEP_60
    ),
    n!("outlook.tolerance.park", 0.4, "share of favoured foliage", "loss held to be acceptable", Published, KEEP_60),
    n!("outlook.tolerance.school", 0.4, "share of favoured foliage", "loss held to be acceptable", Published, KEEP_60),
    n!(
        "outlook.tolerance.woodland",
        0.5,
        "share of favoured foliage",
        "loss held to be acceptable",
        Published,
        "broadleaves put out new leaves above 50 to 60 % loss (Ohio Department of Agriculture); below that they need not"
    ),
    n!("outlook.tolerance.timber", 0.6, "share of favoured foliage", "loss held to be acceptable", Assumption, POLICY),
    n!("outlook.tolerance.other", 0.5, "share of favoured foliage", "loss held to be acceptable", Assumption, POLICY),
    n!(
        "outlook.accepted_chance.residential",
        0.2,
        "chance",
        "chance of losing more that is accepted",
        Assumption,
        POLICY
    ),
    n!("outlook.accepted_chance.park", 0.2, "chance", "chance of losing more that is accepted", Assumption, POLICY),
    n!("outlook.accepted_chance.school", 0.15, "chance", "chance of losing more that is accepted", Assumption, POLICY),
    n!(
        "outlook.accepted_chance.woodland",
        0.25,
        "chance",
        "chance of losing more that is accepted",
        Assumption,
        POLICY
    ),
    n!("outlook.accepted_chance.timber", 0.3, "chance", "chance of losing more that is accepted", Assumption, POLICY),
    n!("outlook.accepted_chance.other", 0.25, "chance", "chance of losing more that is accepted", Assumption, POLICY),
];
