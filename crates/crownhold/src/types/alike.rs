//! Which records a stage rests on: two readings of a programme that are alike to a stage give the same stage.

use super::Records;

impl Records {
    /// Are they the same to every stage up to the plan? Streets, teams, rounds and the field log may differ: none of them
    /// reads those.
    pub fn plan_alike(&self, other: &Self) -> bool {
        // Taken apart, so that a new kind of record must be thought of here.
        let Self {
            programme,
            blocks,
            strata,
            trees,
            plots,
            visits,
            weather,
            hourly,
            no_spray,
            resources,
            decisions,
            past,
            parameters,
            species,
            people,
            samples,
            streets: _,
            teams: _,
            rounds: _,
            log: _,
        } = self;
        (programme, blocks, strata, trees, plots, visits)
            == (&other.programme, &other.blocks, &other.strata, &other.trees, &other.plots, &other.visits)
            && (weather, hourly, no_spray, resources)
                == (&other.weather, &other.hourly, &other.no_spray, &other.resources)
            && (decisions, past, parameters) == (&other.decisions, &other.past, &other.parameters)
            && (species, people, samples) == (&other.species, &other.people, &other.samples)
    }

    /// Are they the same to the densities? Weather, no-spray areas, money, decisions and the field log may differ.
    pub fn counts_alike(&self, other: &Self) -> bool {
        (&self.programme, &self.blocks, &self.strata, &self.trees, &self.species)
            == (&other.programme, &other.blocks, &other.strata, &other.trees, &other.species)
            && (&self.plots, &self.visits, &self.past, &self.parameters)
                == (&other.plots, &other.visits, &other.past, &other.parameters)
    }

    /// Are they the same to the season's dates?
    pub fn dates_alike(&self, other: &Self) -> bool {
        (&self.programme, &self.blocks, &self.weather, &self.samples, &self.parameters)
            == (&other.programme, &other.blocks, &other.weather, &other.samples, &other.parameters)
    }
}
