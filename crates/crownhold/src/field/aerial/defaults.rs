//! Constants of the aerial job, with unit, source and how each is known.

use crate::types::parameters::{Default, Known, Value};

macro_rules! n {
    ($name:literal, $value:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Number($value), $unit, $meaning, Known::$known, $source)
    };
}

pub(crate) const DEFAULTS: &[Default] = &[
    n!(
        "aircraft.speed",
        120.0,
        "mph",
        "speed over ground while spraying",
        FromMemory,
        "agricultural aeroplanes 100 to 140, helicopters 60 to 90 (type handbooks, not read); take the contractor's"
    ),
    n!(
        "aircraft.swath",
        75.0,
        "ft",
        "width that one pass treats",
        FromMemory,
        "75 to 150 ft for agricultural aeroplanes, 50 to 100 for small helicopters (USDA Forest Service NA-TP-20, not read); take the contractor's characterisation"
    ),
    n!(
        "aircraft.rate",
        0.5,
        "gal per acre",
        "mix put out",
        Published,
        "0.5 gal per acre: Maryland 2010, Bay County, Michigan 2020; 64 fl oz in New Jersey's notices"
    ),
    n!(
        "aircraft.dose",
        38.0,
        "BIU per acre",
        "Btk put out at one application",
        Published,
        "New Jersey resident notice: 38 BIU in 64 fl oz per acre"
    ),
    n!(
        "aircraft.strength",
        76.0,
        "BIU per gal",
        "potency of the product as bought",
        FromMemory,
        "class of the forestry liquids; read the label"
    ),
    n!("aircraft.tank", 400.0, "gal", "usable tank", Assumption, "no source; take the contractor's aircraft"),
    n!("aircraft.turn", 45.0, "seconds", "one turn between passes", CommonPractice, "30 to 60; no source"),
    n!("aircraft.load", 8.0, "minutes", "filling the tank once", CommonPractice, "5 to 10; no source"),
    n!("aircraft.ferry", 10.0, "miles", "from the loading place to a spray block, one way", Assumption, "no source"),
    n!(
        "aircraft.ferry_speed",
        140.0,
        "mph",
        "speed to and from the loading place",
        FromMemory,
        "cruise of agricultural aeroplanes (type handbooks, not read)"
    ),
    n!(
        "aircraft.morning",
        3.0,
        "hours",
        "time that one suitable morning gives for flying",
        Published,
        "Maryland 2010: 06:00 to 09:00; other programmes 2 to 5 hours"
    ),
];
