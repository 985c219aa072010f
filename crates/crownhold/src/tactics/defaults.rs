//! Constants of the tactics, with unit, source and how each is known.

use crate::types::parameters::{Default, Known, Value};

const THORPE: &str = "Thorpe et al. 1995: 9 to 26 larvae removed from oaks that carried about 4,200 to 6,500 (0.2 to 0.4 %), no effect on crowns or defoliation; lower ends of the scale from behaviour (Lance et al. 1987; Campbell et al. 1975), no direct count";
const PRICES: &str =
    "price record of US municipal blocks 2016-2025 ($50 to $95 per acre and application); 2025 dollars";
const BUFFER: &str = "no numeric rule found for Btk; set it to the local rule";

macro_rules! n {
    ($name:literal, $value:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Number($value), $unit, $meaning, Known::$known, $source)
    };
}
macro_rules! t {
    ($name:literal, $a:literal, $b:literal, $c:literal, $unit:literal, $meaning:literal, $known:ident, $source:expr) => {
        Default($name, Value::Triangular($a, $b, $c), $unit, $meaning, Known::$known, $source)
    };
}

pub(crate) const DEFAULTS: &[Default] = &[
    t!(
        "scraping.reach.trees",
        0.10,
        0.25,
        0.50,
        "share",
        "masses on large trees that can be reached from the ground",
        Assumption,
        "no published figure; the greatest unknown of scraping. Measure it on a few trees with a lift"
    ),
    t!(
        "scraping.reach.objects",
        0.6,
        0.8,
        0.95,
        "share",
        "masses on small trees, houses and objects that can be reached",
        Assumption,
        "no published figure"
    ),
    n!(
        "scraping.on_objects.residential",
        0.26,
        "share",
        "masses on houses and objects in residential blocks",
        Published,
        "Greenbelt, Maryland: 21.6 % on man-made objects, 4.5 % on houses (Thorpe & Ridgway)"
    ),
    n!(
        "scraping.on_objects.other",
        0.05,
        "share",
        "masses on houses and objects outside residential blocks",
        Assumption,
        "few objects outside residential blocks"
    ),
    t!(
        "scraping.found",
        0.6,
        0.8,
        0.95,
        "share",
        "reachable masses found and taken off whole",
        Assumption,
        "rough bark leaves fragments (Michigan State University expert answer); size assumed"
    ),
    n!(
        "scraping.kill",
        0.98,
        "share",
        "eggs killed of those taken off, soaked 48 h in soapy water",
        Assumption,
        "48 h soak (University of Wisconsin); share assumed"
    ),
    Default(
        "scraping.rate",
        Value::Lognormal(30.0, 70.0, 150.0),
        "masses per person-hour",
        "speed of scraping",
        Known::Derived,
        "115 and 37 per person-hour from the totals of a volunteer programme, Canandaigua, New York, 2021",
    ),
    n!("scraping.materials", 1.5, "$ per person-hour", "scrapers, gloves, soap, bags", Assumption, "no source"),
    t!(
        "bands.share.at_30",
        0.25,
        0.5,
        0.75,
        "share",
        "larvae of a banded tree taken over a season of daily service at 30 masses per acre",
        Assumption,
        THORPE
    ),
    t!(
        "bands.share.at_200",
        0.05,
        0.2,
        0.4,
        "share",
        "larvae of a banded tree taken over a season at 200 masses per acre",
        Assumption,
        THORPE
    ),
    t!(
        "bands.share.at_1000",
        0.001,
        0.004,
        0.05,
        "share",
        "larvae of a banded tree taken over a season at 1,000 masses per acre and above",
        Assumption,
        THORPE
    ),
    n!(
        "bands.trees_banded",
        0.8,
        "share",
        "host trees that can be banded and serviced",
        Assumption,
        "access, private yards, very rough bark"
    ),
    n!(
        "bands.install_minutes",
        6.0,
        "minutes per tree",
        "putting a band up",
        CommonPractice,
        "range 4 to 10; no source"
    ),
    n!(
        "bands.service_minutes",
        3.0,
        "minutes per tree and visit",
        "servicing a band",
        CommonPractice,
        "range 1 to 8; no source"
    ),
    n!(
        "bands.remove_minutes",
        2.0,
        "minutes per tree",
        "taking a band down",
        CommonPractice,
        "range 1 to 4; no source"
    ),
    n!(
        "bands.visits",
        35.0,
        "visits per season",
        "daily service from the third instar to pupation",
        CommonPractice,
        "about five weeks of daily service; no source"
    ),
    n!("bands.materials", 3.0, "$ per tree", "burlap, twine, soap", CommonPractice, "$2 to $4; no source"),
    t!(
        "ground.kill",
        0.4,
        0.7,
        0.9,
        "share",
        "larvae killed in the part of the crown that the spray reaches",
        Assumption,
        "by analogy with aerial trials, less for coverage"
    ),
    n!(
        "ground.coverage.residential",
        0.7,
        "share",
        "host crowns in reach of ground gear: streets, yards, parks",
        Assumption,
        "lawn-company sprayers reach about 30 ft, hydraulic ones more"
    ),
    n!(
        "ground.coverage.other",
        0.3,
        "share",
        "host crowns in reach of ground gear in woodland",
        Assumption,
        "access and height"
    ),
    n!(
        "ground.applications",
        2.0,
        "applications",
        "ground sprays in a season",
        Published,
        "two usual, three in heavy infestations (arborist practice; Burlington, Ontario)"
    ),
    t!(
        "ground.price",
        3.0,
        10.0,
        30.0,
        "$ per tree and application",
        "municipal street run: product, truck, crew above the wage",
        Published,
        "CAD 3 per tree on a 13,900-tree street run (Regina 2017); upper end from small runs"
    ),
    n!(
        "ground.mobilisation",
        200.0,
        "$ per block and application",
        "getting the sprayer there",
        Assumption,
        "$150 to $250 per stop; contractor practice"
    ),
    n!("ground.crew_minutes", 10.0, "minutes per tree and application", "licensed crew", Assumption, "no source"),
    n!(
        "ground.most_trees",
        1500.0,
        "trees per block",
        "largest block that ground gear can finish while larvae are small",
        Assumption,
        "no source; slow work against a window of two weeks"
    ),
    t!(
        "aerial.kill.once",
        0.5,
        0.8,
        0.95,
        "share",
        "larvae killed by one application of 36 to 38 BIU per acre in time",
        Derived,
        "operations 70 to under 80 % (Pennsylvania 2009), trials 89 to 99 % (aerial trial, 30 to 90 BIU/ha)"
    ),
    t!(
        "aerial.kill.twice",
        0.7,
        0.9,
        0.98,
        "share",
        "larvae killed by two applications in time",
        Assumption,
        "from the single application and trials of 8 + 8 BIU"
    ),
    n!(
        "aerial.in_time",
        0.9,
        "chance",
        "chance that a flight meets flying weather and an aircraft on its days of leaf and instar, given that there are such days; multiplied by the share of the season's draws that have them",
        Assumption,
        "no source; windows are days wide and fit mornings few. Replace it by your own record of mornings flown"
    ),
    n!(
        "aerial.late_factor",
        0.5,
        "share of the kill",
        "what is left of the kill when it does not",
        Assumption,
        "larger larvae are harder to kill (several extension pages); size assumed"
    ),
    t!(
        "aerial.price",
        50.0,
        75.0,
        110.0,
        "$ per acre and application",
        "contract price, 200 to 5,000 acres",
        Published,
        PRICES
    ),
    n!(
        "aerial.mobilisation",
        600.0,
        "$ per spray block and application",
        "setting up and small-block surcharge within one contract",
        Assumption,
        "makes a 25-acre block cost about $102 per acre; a block contracted alone costs more ($90 to $250 per acre below 100 acres)"
    ),
    n!(
        "aerial.turn",
        12.0,
        "$ per turn",
        "a turn at the end of a pass, beside the price of the acre: ragged and small ground costs more",
        Assumption,
        "45 seconds of an aircraft at about $1,000 an hour; no source. 0 where the contract goes by the acre alone"
    ),
    n!(
        "aerial.least_plots",
        1.0,
        "plots",
        "own plots a block needs before it is flown",
        Assumption,
        "no aircraft over a block that nobody counted; a fixed decision can still fly it once it is set to 0"
    ),
    n!(
        "aerial.interval",
        7.0,
        "days",
        "days between two applications; the second is lost where the window is shorter",
        Published,
        "7 to 10 days, 7 to 14 in Illinois (programme pages of several states)"
    ),
    n!(
        "aerial.crew_hours",
        6.0,
        "hours per block and application",
        "checking leaf and instar, watching the flight, answering the telephone",
        Assumption,
        "no source"
    ),
    n!(
        "aerial.least_area",
        25.0,
        "acres",
        "smallest spray block: blocks side by side count together",
        Published,
        "10 to 50 acres in US programmes; Pennsylvania 23 to 25"
    ),
    n!(
        "aerial.least_width",
        75.0,
        "ft",
        "ground that is nowhere so wide, neighbours that may be flown included, is not flown",
        Assumption,
        "one swath (aircraft.swath): a pass needs all of it off the ground that must not be sprayed"
    ),
    n!(
        "aerial.most_gap",
        330.0,
        "ft",
        "no-spray ground this wide at most, valves shut, lies between the parts of a block that is flown",
        Assumption,
        "100 m, some two seconds of a pass; of parts further apart each is a spray block of its own"
    ),
    n!(
        "aerial.least_canopy",
        0.5,
        "share of the ground",
        "least canopy for a flight",
        Published,
        "Pennsylvania and Ohio programmes: 50 %"
    ),
    n!(
        "aerial.threshold_chance",
        0.25,
        "chance",
        "least chance that the density stands above the action threshold for a flight to be considered",
        Assumption,
        "a policy of the programme"
    ),
    n!(
        "aerial.notice_days",
        21.0,
        "days",
        "lead time of notices before a flight",
        Published,
        "New Jersey code: schools and bordering towns at least 21 days before"
    ),
    n!(
        "threshold.residential",
        250.0,
        "masses per acre",
        "action threshold",
        Published,
        "Pennsylvania, Ohio, Maryland working line"
    ),
    n!(
        "threshold.park",
        250.0,
        "masses per acre",
        "action threshold",
        Published,
        "Pennsylvania, Ohio, Maryland working line"
    ),
    n!("threshold.school", 250.0, "masses per acre", "action threshold", Published, "as residential"),
    n!(
        "threshold.woodland",
        500.0,
        "masses per acre",
        "action threshold",
        Published,
        "New Jersey: residential or recreational forest, above 500"
    ),
    n!(
        "threshold.timber",
        1000.0,
        "masses per acre",
        "action threshold",
        Published,
        "Ohio, uninhabited; Maryland's top class"
    ),
    n!(
        "threshold.other",
        500.0,
        "masses per acre",
        "action threshold",
        Assumption,
        "between inhabited and uninhabited land"
    ),
    n!(
        "buffer.water",
        50.0,
        "ft",
        "distance kept from water by aircraft",
        Assumption,
        "practice 0 to 50 ft for Btk; label and local rules prevail"
    ),
    n!(
        "buffer.school",
        50.0,
        "ft",
        "distance kept from schools",
        Published,
        "Pennsylvania: not within 50 ft of a school"
    ),
    n!("buffer.organic_farm", 200.0, "ft", "distance kept from organic farms; ask the farmer", Assumption, BUFFER),
    n!(
        "buffer.opt_out",
        200.0,
        "ft",
        "distance kept from opted-out parcels",
        Assumption,
        "0 to 600; Clare County, Michigan: 600 ft"
    ),
    n!(
        "buffer.rare_species",
        2640.0,
        "ft",
        "distance kept from rare-species habitat",
        FromMemory,
        "half a mile to a mile in Wisconsin opinions; ask the agency"
    ),
    n!(
        "buffer.apiary",
        0.0,
        "ft",
        "distance kept from beehives; tell the keeper",
        Assumption,
        "Btk is not toxic to bees; other products differ"
    ),
    n!("buffer.other", 200.0, "ft", "distance kept from other no-spray areas", Assumption, BUFFER),
    n!(
        "wage.crew",
        32.0,
        "$ per hour",
        "a crew hour, paid from the budget",
        Assumption,
        "seasonal municipal crew with overhead; put in your own"
    ),
];
