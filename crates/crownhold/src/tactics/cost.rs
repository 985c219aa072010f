//! Money and hours of a tactic on one block.

use super::Labour;
use super::effect::{Effects, Ground};
use crate::types::{Area, Hours, Money, Parameters, Period, Tactic};

/// The block as the costing sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Site {
    /// Ground.
    pub ground: Ground,
    /// All of the block.
    pub area: Area,
    /// The part that may be sprayed.
    pub sprayable: Area,
    /// Susceptible trees.
    pub host_trees: f64,
}

/// Money without crew wages, labour, and area flown (repeats counted).
pub(super) struct Bill {
    pub money: Money,
    pub labour: Option<Labour>,
    pub sprayed: Area,
}

pub(super) fn bill(tactic: Tactic, site: &Site, effects: &Effects, p: &Parameters) -> Bill {
    match tactic {
        Tactic::Scraping => scraping(site, effects, p),
        Tactic::Bands => bands(site, p),
        Tactic::GroundBtk => ground(site, p),
        Tactic::AerialOnce | Tactic::AerialTwice => aerial(tactic.flights(), site, p),
    }
}

/// Hours follow from the masses expected to be taken off and the time each takes.
fn scraping(site: &Site, effects: &Effects, p: &Parameters) -> Bill {
    let hours = site.area.as_acres() * effects.scraping_hours_per_acre(&site.ground);
    Bill {
        money: Money::dollars(hours * p.number("scraping.materials")),
        labour: Some(Labour { period: Period::Winter, hours: Hours::hours(hours), volunteers_may: true }),
        sprayed: Area::ZERO,
    }
}

fn bands(site: &Site, p: &Parameters) -> Bill {
    let trees = site.host_trees * p.number("bands.trees_banded");
    let minutes = p.number("bands.install_minutes")
        + p.number("bands.remove_minutes")
        + p.number("bands.service_minutes") * p.number("bands.visits");
    Bill {
        money: Money::dollars(trees * p.number("bands.materials")),
        labour: Some(Labour { period: Period::Summer, hours: Hours::minutes(trees * minutes), volunteers_may: true }),
        sprayed: Area::ZERO,
    }
}

/// Trees that ground gear sprays in a block.
pub(super) fn ground_trees(site: &Site) -> f64 {
    site.host_trees * site.ground.ground_coverage * site.ground.sprayable
}

fn ground(site: &Site, p: &Parameters) -> Bill {
    let trees = ground_trees(site);
    let applications = p.number("ground.applications");
    let money = applications * (trees * p.value("ground.price").mean() + p.number("ground.mobilisation"));
    let minutes = applications * trees * p.number("ground.crew_minutes");
    Bill {
        money: Money::dollars(money),
        labour: Some(Labour { period: Period::Spring, hours: Hours::minutes(minutes), volunteers_may: false }),
        sprayed: Area::ZERO,
    }
}

fn aerial(flights: u32, site: &Site, p: &Parameters) -> Bill {
    let flights = f64::from(flights);
    // Setting up is paid once for a spray block, whatever blocks are in it: see `Flying::set_up`.
    let money = flights * site.sprayable.as_acres() * p.value("aerial.price").mean();
    let hours = Hours::hours(flights * p.number("aerial.crew_hours"));
    let labour = Labour { period: Period::Spring, hours, volunteers_may: false };
    Bill { money: Money::dollars(money), labour: Some(labour), sprayed: site.sprayable * flights }
}
