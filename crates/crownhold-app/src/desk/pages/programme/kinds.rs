//! The kinds of data in plain words: what each is for, what is expected in it, and how its first lines look.

use crownhold_data::formats::Kind;

/// A kind of data in plain words.
pub struct KindWords {
    /// Kind.
    pub kind: Kind,
    /// What people call it.
    pub title: &'static str,
    /// What it is for.
    pub about: &'static str,
    /// What kind of file.
    pub file: &'static str,
    /// Is it a layer with positions or outlines, so that a coordinate system matters?
    pub on_map: bool,
    /// Fields: name, needed or not, meaning.
    pub fields: &'static [(&'static str, bool, &'static str)],
    /// Name of the example's file.
    pub example_name: &'static str,
    /// A small whole file as an example.
    pub example: &'static str,
}

/// The words of a kind.
pub fn words(kind: Kind) -> &'static KindWords {
    match kind {
        Kind::Blocks => &BLOCKS,
        Kind::Areas => &AREAS,
        Kind::NoSpray => &NO_SPRAY,
        Kind::Trees => &TREES,
        Kind::Plots => &PLOTS,
        Kind::Counts => &COUNTS,
        Kind::Weather => &WEATHER,
        Kind::Hourly => &HOURLY,
        Kind::Resources => &RESOURCES,
        Kind::Strata => &STRATA,
        Kind::Past => &PAST,
        Kind::Samples => &SAMPLES,
        Kind::Bands => &BANDS,
        Kind::Scraping => &SCRAPING,
        Kind::Teams => &TEAMS,
        Kind::Streets => &STREETS,
    }
}

/// The order in which a new programme wants them.
pub const ORDER: [Kind; 16] = [
    Kind::Blocks,
    Kind::Trees,
    Kind::Plots,
    Kind::Counts,
    Kind::Weather,
    Kind::Hourly,
    Kind::NoSpray,
    Kind::Resources,
    Kind::Past,
    Kind::Samples,
    Kind::Bands,
    Kind::Scraping,
    Kind::Teams,
    Kind::Streets,
    Kind::Areas,
    Kind::Strata,
];

const LAYER: &str = "A map layer of areas: GeoPackage, GeoJSON, or a shapefile with all its parts (.shp, .dbf, .shx, .prj), also zipped.";
const POINTS: &str = "A table saved as CSV with a position in it, or a map layer of points.";
const TABLE: &str = "A table saved as CSV (from a spreadsheet: Save as, CSV).";

const FACTS: [(&str, bool, &str); 15] = [
    ("id", true, "your own number or name of the block"),
    ("name", false, "name for people"),
    ("land_use", false, "residential, park, school, recreation woodland, timber or other"),
    ("canopy", false, "share of the ground under tree crowns"),
    ("susceptible", false, "share of the canopy that larvae feed on freely (oaks and the like)"),
    ("resistant", false, "share fed on by some stages, or when better hosts are bare"),
    ("immune", false, "share left alone"),
    ("dwellings", false, "number of homes"),
    ("ownership", false, "public, private or mixed"),
    ("consent", false, "may it be treated: not needed, given, pending or refused"),
    ("stratum", false, "survey stratum, where blocks are grouped for counting"),
    ("neighbourhood", false, "whose volunteers and crews work here"),
    ("elevation", false, "height above sea level"),
    ("built_up", false, "share of the ground that is built or paved; eggs hatch early there"),
    ("survey_closed", false, "day on which the egg-mass count was closed; nothing is scraped before"),
];

const BLOCKS: KindWords = KindWords {
    kind: Kind::Blocks,
    title: "Blocks",
    about: "Outlines of the areas that you decide on one by one: neighbourhoods, parks, woods. Everything else belongs to a block, so they come first.",
    file: LAYER,
    on_map: true,
    fields: &FACTS,
    example_name: "blocks.geojson",
    example: r#"{ "type": "FeatureCollection", "features": [
  { "type": "Feature",
    "properties": { "block": "A01", "name": "Mill Park", "land_use": "park", "canopy %": 55,
                    "ownership": "public", "consent": "not needed" },
    "geometry": { "type": "Polygon", "coordinates":
      [[[-87.60, 43.00], [-87.59, 43.00], [-87.59, 43.01], [-87.60, 43.01], [-87.60, 43.00]]] } }
] }
"#,
};

const STREETS: KindWords = KindWords {
    kind: Kind::Streets,
    title: "Streets",
    about: "Middle lines of the streets, so that the ways of rounds go along them and over the bridges. A new layer replaces the one before. Streets meet where they share a corner, or where one ends beside another.",
    file: "A map layer of lines: GeoPackage, GeoJSON, or a shapefile with all its parts (.shp, .dbf, .shx, .prj), also zipped.",
    on_map: true,
    fields: &[
        ("id", false, "your own number of the stretch; without one the order of the layer counts"),
        ("name", false, "name for people"),
    ],
    example_name: "streets.geojson",
    example: r#"{ "type": "FeatureCollection", "features": [
  { "type": "Feature", "properties": { "id": 17, "name": "Mill Street" },
    "geometry": { "type": "LineString", "coordinates": [[-87.60, 43.00], [-87.595, 43.00], [-87.59, 43.001]] } }
] }
"#,
};

const AREAS: KindWords = KindWords {
    kind: Kind::Areas,
    title: "Facts about blocks",
    about: "Canopy, host mix, consents and other facts for blocks whose outlines are there already. Columns that you leave out, and blank cells, keep what is known.",
    file: TABLE,
    on_map: false,
    fields: &FACTS,
    example_name: "facts.csv",
    example: "block,canopy %,susceptible %,resistant %,immune %,dwellings,consent,neighbourhood\n\
              A01,55,60,30,10,0,given,Northside\n",
};

const NO_SPRAY: KindWords = KindWords {
    kind: Kind::NoSpray,
    title: "No-spray areas",
    about: "Water, schools, organic farms, opt-outs, habitats, beehives. Sprays keep their distance from them.",
    file: LAYER,
    on_map: true,
    fields: &[
        ("id", true, "your own number or name of the area"),
        (
            "kind",
            false,
            "water, school, organic farm, opt-out, rare species, apiary or other; it sets the usual distance",
        ),
        ("buffer", false, "distance to keep, where it is not the usual one of the kind"),
        ("note", false, "anything to remember"),
    ],
    example_name: "no-spray.geojson",
    example: r#"{ "type": "FeatureCollection", "features": [
  { "type": "Feature",
    "properties": { "id": "mill-pond", "kind": "water", "buffer_ft": 100, "note": "outlet to the creek" },
    "geometry": { "type": "Polygon", "coordinates":
      [[[-87.596, 43.004], [-87.594, 43.004], [-87.594, 43.006], [-87.596, 43.006], [-87.596, 43.004]]] } }
] }
"#,
};

const TREES: KindWords = KindWords {
    kind: Kind::Trees,
    title: "Tree inventory",
    about: "Your trees with species and position. They give blocks their host mix, and are the trees that bands and ground sprays are planned on. Species that the table does not know are kept and listed in the report, never dropped.",
    file: POINTS,
    on_map: true,
    fields: &[
        ("id", true, "the inventory's number"),
        ("species", true, "scientific or common name"),
        ("dbh", false, "trunk diameter at breast height; oaks of all sizes count, thick ones more"),
        ("public", false, "does it belong to the city: yes or no"),
        ("x", false, "longitude or easting; not needed in a layer of points"),
        ("y", false, "latitude or northing; not needed in a layer of points"),
    ],
    example_name: "trees.csv",
    example: "tree_id,species,dbh_in,lon,lat,public\n\
              1001,Quercus rubra,18.5,-87.5951,43.0052,yes\n\
              1002,sugar maple,11,-87.5948,43.0049,yes\n",
};

const PLOTS: KindWords = KindWords {
    kind: Kind::Plots,
    title: "Survey plots",
    about: "The places where egg masses are counted, with how they are counted and on how much ground.",
    file: POINTS,
    on_map: true,
    fields: &[
        ("id", true, "your own number of the plot"),
        ("block", false, "block it lies in; needed where there is no position"),
        ("method", false, "fixed radius, square, whole lot, prism, timed walk, burlap or trap"),
        ("area", false, "counted ground; area, radius or side is needed where masses are counted on an area"),
        ("radius", false, "radius of a round plot"),
        ("side", false, "side of a square plot"),
        ("baf", false, "basal area factor of a prism plot"),
        ("x", false, "longitude or easting"),
        ("y", false, "latitude or northing"),
    ],
    example_name: "plots.csv",
    example: "plot,block,method,radius_ft,lon,lat\n\
              A01-1,A01,fixed radius,18.6,-87.5951,43.0052\n\
              A01-2,A01,fixed radius,18.6,-87.5942,43.0061\n",
};

const COUNTS: KindWords = KindWords {
    kind: Kind::Counts,
    title: "Egg-mass counts",
    about: "What was counted on which plot and when. New masses are told from old ones; a plot that was searched in vain has a 0, never a blank.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("plot", true, "plot that was counted"),
        ("date", true, "day of the visit"),
        ("new", true, "new egg masses; 0 if none were seen"),
        ("old", false, "old egg masses"),
        ("out_of_reach", false, "masses too high to tell"),
        ("substrate", false, "all, trees, structures or ground; one row each"),
        ("dbh", false, "diameter of a tree tallied with a prism"),
        ("observer", false, "who counted"),
        ("visit", false, "number of the sheet, where a plot was visited twice in a day"),
        ("note", false, "anything to remember"),
    ],
    example_name: "counts.csv",
    example: "plot,date,new,old,out_of_reach,observer\n\
              A01-1,2026-10-12,14,3,2,RH\n\
              A01-2,2026-10-12,0,1,0,RH\n",
};

const WEATHER: KindWords = KindWords {
    kind: Kind::Weather,
    title: "Daily weather",
    about: "Lowest and highest temperature of each day, this year and past years: ten or more make the dates surer. The two public daily station layouts are read as they are. Days that are there already are replaced.",
    file: "A table saved as CSV, one row for each day.",
    on_map: false,
    fields: &[
        ("date", true, "day"),
        ("min", true, "lowest temperature; say the unit in the header, as in tmin_F"),
        ("max", true, "highest temperature"),
        ("precipitation", false, "rain and melted snow"),
        ("snow", false, "depth of the snow lying on the ground, with its unit: masses under it are safe from frost"),
        ("station", false, "station; without one the file's name is taken"),
        ("name", false, "name of the station for people"),
        ("forecast", false, "is it a forecast day: yes or no"),
        ("latitude", false, "of the station"),
        ("longitude", false, "of the station"),
        ("elevation", false, "of the station, above sea level"),
    ],
    example_name: "weather.csv",
    example: "station,date,tmin_F,tmax_F,precip_in\n\
              Airfield,2026-03-01,24,41,0.00\n\
              Airfield,2026-03-02,28,44,0.12\n",
};

const HOURLY: KindWords = KindWords {
    kind: Kind::Hourly,
    title: "Hourly weather",
    about: "Hours that spraying is judged by: past springs for the chance of suitable mornings, and the forecast of a weather service for the days ahead.",
    file: TABLE,
    on_map: false,
    fields: &[
        (
            "time",
            true,
            "day and hour, in one column or in several; with the offset from universal time if the file has it",
        ),
        ("wind", true, "mean wind, with its unit in the header: mph, m/s, km/h or knots"),
        ("temperature", false, "air temperature, with its unit in the header"),
        ("humidity", false, "relative humidity, percent"),
        ("precipitation", false, "rain of the hour, with its unit in the header"),
        ("rain-chance", false, "forecast chance of rain, percent"),
        ("gust", false, "gusts, with their unit"),
        ("direction", false, "where the wind comes from, degrees"),
        ("forecast", false, "yes for hours that are forecast"),
        ("station", false, "station, where there are several"),
        ("name", false, "name of the station for people"),
        ("year", false, "year, where the time stands in several columns"),
        ("month", false, "month, beside the year"),
        ("day", false, "day of the month, beside the year"),
        ("hour", false, "hour of the day, 0 to 24, beside a day"),
        (
            "offset",
            false,
            "how far the clock is ahead of universal time, such as -04:00; without it standard time is taken",
        ),
        ("latitude", false, "degrees north; light is worked out from it"),
        ("longitude", false, "degrees east, negative in America"),
    ],
    example_name: "hours.csv",
    example: "time,temperature F,relative humidity,wind speed mph,wind gust mph,precipitation in,forecast\n\
              2027-05-10 06:00-05:00,52,78,5,,0.00,yes\n\
              2027-05-10 07:00-05:00,55,71,6,,0.00,yes\n",
};

const RESOURCES: KindWords = KindWords {
    kind: Kind::Resources,
    title: "Money and hours",
    about: "What can be spent and worked, and the most area that may be flown; constants can stand in the same file. A file with hours replaces all hours.",
    file: "A short text file (TOML), written by hand as in the example.",
    on_map: false,
    fields: &[],
    example_name: "resources.toml",
    example: r#"budget = 180000
most_sprayed_acres = 1400

[[hours]]
who = "volunteers"           # crew or volunteers
period = "winter"            # winter, spring or summer
neighbourhood = "Northside"  # left out: anywhere
hours = 320

[parameters]
"wage.crew" = { value = 35, source = "city payroll 2026" }
"#,
};

const STRATA: KindWords = KindWords {
    kind: Kind::Strata,
    title: "Survey strata",
    about: "Names of the groups in which blocks are counted. Without any, blocks of one land use make a group.",
    file: TABLE,
    on_map: false,
    fields: &[("id", true, "its name in the data"), ("name", false, "name for people")],
    example_name: "strata.csv",
    example: "stratum,name\nriver,River woods\n",
};

const PAST: KindWords = KindWords {
    kind: Kind::Past,
    title: "Past seasons",
    about: "What was counted, done and lost in past years, block by block. It tells rising numbers from falling ones, and what earlier plans came to.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("season", true, "year of that spring"),
        ("block", true, "block"),
        ("density", false, "egg masses counted in the autumn before"),
        (
            "treatment",
            false,
            "what was done: watch, scraping, bands, ground Btk, aerial Btk once or twice, joined by +",
        ),
        ("defoliation", false, "share of the favoured foliage lost that summer"),
        ("sprayed", false, "area flown, repeats counted"),
    ],
    example_name: "past.csv",
    example: "season,block,density per acre,treatment,defoliation %,sprayed acres\n\
              2025,A01,640,aerial Btk once,15,38\n",
};

const SAMPLES: KindWords = KindWords {
    kind: Kind::Samples,
    title: "Field samples",
    about: "What was seen in spring: first hatch, larvae by instar, leaf size. They correct the dates of the season.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("id", false, "its own number; without one it is made from day, kind and place"),
        ("date", true, "day"),
        ("kind", true, "first hatch, no hatch yet, instars, or leaf"),
        ("block", false, "block"),
        ("place", false, "where, in words"),
        ("observer", false, "who looked"),
        ("l1", false, "larvae of the first instar"),
        ("l2", false, "of the second"),
        ("l3", false, "of the third"),
        ("l4", false, "of the fourth"),
        ("l5", false, "of the fifth"),
        ("l6", false, "of the sixth"),
        ("pupa", false, "pupae"),
        ("host", false, "the oak rated: red oak or white oak"),
        ("leaf", false, "leaf size against final size"),
        ("note", false, "free text"),
    ],
    example_name: "samples.csv",
    example: "date,kind,block,observer,L1,L2,L3,L4,L5,L6,pupae,oak,leaf %\n\
              2027-05-03,first hatch,A01,RK,,,,,,,,,\n\
              2027-05-21,instars,A01,RK,18,31,1,0,0,0,0,,\n\
              2027-05-22,leaf,A01,RK,,,,,,,,red oak,40\n",
};

const BANDS: KindWords = KindWords {
    kind: Kind::Bands,
    title: "Band visits",
    about: "What was found and taken off under burlap bands, one row a visit. It gives the season's catch, and tells when service stops paying.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("id", false, "its own number; without one it is made from day, block and tree"),
        ("date", true, "day"),
        ("block", true, "block"),
        ("tree", false, "tree, where the row is of one band"),
        ("work", false, "looked under (also where blank), put up or taken down"),
        ("bands", false, "bands it was done at; a blank is one"),
        ("small", false, "larvae with black heads (first to third instar)"),
        ("large", false, "larvae with mottled yellow heads (fourth instar on)"),
        ("pupae", false, "pupae"),
        ("masses", false, "new egg masses"),
        ("fungus", false, "dead by the fungus"),
        ("virus", false, "dead by the virus"),
        ("minutes", false, "minutes of all together"),
        ("who", false, "who"),
        ("note", false, "free text"),
    ],
    example_name: "bands.csv",
    example: "date,block,tree,bands,small,large,pupae,masses,fungus,virus,minutes,who\n\
              2027-06-14,A01,T2,1,3,41,0,0,2,0,4,RK\n\
              2027-06-15,A01,,38,10,212,1,0,5,1,95,street group\n",
};

const SCRAPING: KindWords = KindWords {
    kind: Kind::Scraping,
    title: "Scraping",
    about: "Egg masses scraped off in winter, one row a block and day, after the count was closed.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("id", false, "its own number; without one it is made from day and block"),
        ("date", true, "day"),
        ("block", true, "block"),
        ("tree", false, "tree, where the row is of one"),
        ("low", false, "masses taken off from the ground"),
        ("high", false, "masses taken off with pole or ladder"),
        ("left", false, "masses seen and left, out of reach"),
        ("trees", false, "trees and objects gone over"),
        ("hours", false, "hours of all together"),
        ("who", false, "who"),
        ("note", false, "free text"),
    ],
    example_name: "scraping.csv",
    example: "date,block,low,high,left,trees,hours,who\n\
              2027-01-16,A01,212,30,64,17,6.5,street group\n",
};

const TEAMS: KindWords = KindWords {
    kind: Kind::Teams,
    title: "Teams",
    about: "Who goes round: crews and volunteers, with their hours and where they may work. Rounds are made for them.",
    file: TABLE,
    on_map: false,
    fields: &[
        ("name", true, "name of the team"),
        ("who", false, "crew or volunteers; a blank is volunteers"),
        ("people", false, "how many go together; a blank is one"),
        ("neighbourhood", false, "where it stays, as the blocks have it; a blank is anywhere"),
        ("starts", false, "block where its rounds begin; a blank is at the first tree"),
        ("ends", false, "block where they end; a blank is at the last tree"),
        ("from", false, "not before this time; a blank is 16:00"),
        ("to", false, "done by this time; a blank is 20:00"),
        ("ladder", false, "yes for crews trained for ladders"),
        ("most", false, "most trees a day that it has material for"),
        ("note", false, "free text"),
    ],
    example_name: "teams.csv",
    example: "team,who,people,starts,from,to,ladder\n\
              Street group,volunteers,2,A01,16:30,19:30,no\n\
              City crew,crew,2,A01,7 am,3 pm,yes\n",
};

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crownhold::types::{Programme, Records, UnitSystem};
    use crownhold_data::formats::{Input, Kind, Wishes, headings, import};

    use super::{ORDER, words};

    /// In the order shown each example can be taken over as it stands, and all of its columns are used.
    #[test]
    fn examples_are_taken_as_they_stand() {
        let programme =
            Programme { name: "Newtown".into(), season: 2027, epsg: 32616, units: UnitSystem::Us, invented: true };
        let mut records = Records::empty(programme);
        for kind in ORDER {
            let w = words(kind);
            let report = import(kind, &Input::single(w.example_name, w.example), &Wishes::default(), &mut records);
            assert!(!report.has_errors(), "{}: {:?}", w.title, report.problems);
            assert!(report.taken.new + report.taken.replaced > 0, "{} takes nothing", w.title);
            assert!(report.unused.is_empty(), "{}: {:?}", w.title, report.unused);
        }
    }

    #[test]
    fn every_field_is_explained() {
        for kind in Kind::ALL {
            assert!(ORDER.contains(kind), "{} is not offered", kind.word());
            let looked_for: BTreeSet<&str> = headings(*kind).iter().map(|h| h.field).collect();
            let explained: BTreeSet<&str> = words(*kind).fields.iter().map(|f| f.0).collect();
            assert_eq!(looked_for, explained, "{}", kind.word());
        }
    }
}
