//! Where a printed figure comes from.

use crownhold::types::{Known, Parameters, Problem, Records};
use crownhold_print::{NumberRef, number_ids};

use super::figures::behind;
use super::papers::{beside, inputs};
use super::plan::Made;
use crate::trouble::Trouble;

/// A printed figure with everything behind it.
pub struct Figure {
    /// Figure.
    pub number: NumberRef,
    /// How it is made.
    pub origin: &'static Origin,
    /// The values behind it, line by line.
    pub behind: Vec<String>,
    /// Name, value, how known and source of each parameter behind it.
    pub parameters: Vec<(String, String, Known, String)>,
}

/// Every figure of the season plan.
///
/// # Errors
/// When there are no dates.
pub fn numbers(made: &Made, records: &Records) -> Result<Vec<NumberRef>, Trouble> {
    let (orders, rule) = beside(made, records)?;
    Ok(number_ids(&inputs(made, records, &orders, rule)?))
}

/// One figure by its id, upper or lower case.
///
/// # Errors
/// When there is no such figure.
pub fn figure(id: &str, made: &Made, records: &Records) -> Result<Figure, Trouble> {
    let Some(number) = numbers(made, records)?.into_iter().find(|n| n.id.eq_ignore_ascii_case(id.trim())) else {
        let what = format!("No printed figure has the id \"{id}\".");
        return Err(Trouble::one(Problem::error("A-030", what, "List all with: crownhold explain PROGRAMME list")));
    };
    let origin = origin(&number.id);
    let behind = behind(&number.id, made, records);
    Ok(Figure { origin, behind, parameters: parameter_lines(origin, &records.parameters), number })
}

/// The rooms a figure's id leads to, with the formula in words and the parameters behind it.
pub struct Origin {
    /// How the figure is made, in plain words.
    pub how: &'static str,
    /// What it is made from.
    pub inputs: &'static [&'static str],
    /// Beginnings of the names of the parameters used.
    pub parameters: &'static [&'static str],
    /// Page with the formulas.
    pub page: &'static str,
}

const DENSITY: Origin = Origin {
    how: "New egg masses on the block's plots (masses out of reach taken at the new share found within reach) over the counted area. The interval is the exact negative binomial one at the common k. A block without plots takes its stratum's figure.",
    inputs: &["plots (method, area)", "visits and counts (new, old, out of reach)"],
    parameters: &["survey."],
    page: "docs/models/survey.md",
};
const UNTREATED: Origin = Origin {
    how: "Share of the draws in which the block loses more favoured foliage than its land use tolerates: each draw takes a density from the count model, a shift for the trend, and the block's own residual through the defoliation curve.",
    inputs: &["density draws", "past seasons (trend)", "land use (tolerance)"],
    parameters: &["survey.", "outlook.curve.", "outlook.trend.", "outlook.tolerance."],
    page: "docs/models/outlook.md",
};
const PLANNED: Origin = Origin {
    how: "The same draws after the chosen tactics: each removes a share of the larvae (drawn, falling with density for bands, cut by no-spray ground and lateness for sprays); the survivors go through the same curve.",
    inputs: &["density draws", "the chosen option", "no-spray areas"],
    parameters: &["scraping.", "bands.share", "ground.kill", "aerial.kill", "aerial.in_time", "outlook.curve."],
    page: "docs/models/tactics.md",
};
const COST: Origin = Origin {
    how: "Contract, product and material prices of the chosen tactics, plus the crew wage for the hours that crews work; volunteers are not paid.",
    inputs: &["block area and host trees", "expected density", "hours supplied"],
    parameters: &[
        "aerial.price",
        "aerial.mobilisation",
        "aerial.turn",
        "aircraft.swath",
        "ground.price",
        "ground.mobilisation",
        "scraping.materials",
        "bands.materials",
        "wage.crew",
    ],
    page: "docs/models/tactics.md",
};
const HOURS: Origin = Origin {
    how: "Work of the chosen tactics (masses to scrape over the speed of scraping; host trees times minutes for bands and ground sprays), shared between volunteers and crews within the hours each neighbourhood and period has.",
    inputs: &["host trees", "expected density", "hours supplied"],
    parameters: &["scraping.rate", "scraping.reach", "bands.", "ground.crew_minutes"],
    page: "docs/models/plan.md",
};
const SPRAYED: Origin = Origin {
    how: "Block area less its no-spray ground with buffers, times the number of flights.",
    inputs: &["block outline", "no-spray areas"],
    parameters: &["buffer.", "aerial.least_area"],
    page: "docs/models/tactics.md",
};
const DATES: Origin = Origin {
    how: "Quantiles over an ensemble: this year's heat so far, then the remainder of every past year, each with its own draw of the biology; windows follow from stage and leaf dates by rule.",
    inputs: &["daily weather"],
    parameters: &["timing."],
    page: "docs/models/timing.md",
};
const PLAN: Origin = Origin {
    how: "Chosen by the season plan: first the least host area beyond the accepted chance, then the least area flown, then the least money, proven to the gap stated.",
    inputs: &["options of every block", "money, hours, flight limit", "fixed decisions"],
    parameters: &["outlook.accepted_chance.", "outlook.tolerance."],
    page: "docs/models/plan.md",
};
const LOSS: Origin = Origin {
    how: "Draws of foliage lost if nothing is done; tree deaths by how hard trees are stripped this year and were last year; removal and nuisance prices.",
    inputs: &["density draws", "host trees", "dwellings", "past seasons"],
    parameters: &["outlook.mortality.", "outlook.cost.", "outlook.host_trees_per_canopy_acre", "outlook.curve."],
    page: "docs/models/outlook.md",
};

const RULE_OF_THUMB: Origin = Origin {
    how: "Not the plan: flying once over every block with plots of its own whose estimate is above the action threshold of its land use and that may be flown, and nothing else; the host area left is the sum of host area times the chance of losing more than tolerated.",
    inputs: &["density estimates", "land use (threshold, tolerance)", "no-spray areas", "consents"],
    parameters: &["threshold.", "aerial.", "buffer."],
    page: "docs/models/tactics.md",
};

/// The origin of a figure by its id.
pub fn origin(id: &str) -> &'static Origin {
    let end = id.rsplit('.').next().unwrap_or(id);
    if id.starts_with("T-") || id.starts_with("W-") {
        return &DATES;
    }
    if id.starts_with("H-") || end == "crew" || end == "volunteers" || id.contains("hours") {
        return &HOURS;
    }
    if id.starts_with("P-over-threshold") {
        return &RULE_OF_THUMB;
    }
    if id.starts_with("P-risk") {
        return &PLANNED;
    }
    match end {
        "density" | "found" | "density-range" => &DENSITY,
        "untreated" => &UNTREATED,
        "planned" => &PLANNED,
        "cost" | "P-cost" => &COST,
        "sprayed" | "P-sprayed" => &SPRAYED,
        _ if id.starts_with("O-") || end.contains("loss") || end.contains("dead") => &LOSS,
        _ => &PLAN,
    }
}

/// The parameters behind an origin, as lines.
pub fn parameter_lines(origin: &Origin, parameters: &Parameters) -> Vec<(String, String, Known, String)> {
    parameters
        .iter()
        .filter(|p| origin.parameters.iter().any(|start| p.name.starts_with(start)))
        .map(|p| (p.name.clone(), format!("{} {}", p.value, p.unit), p.known, p.source.clone()))
        .collect()
}
