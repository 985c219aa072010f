//! Pellwood: an invented city, made from one seed. Nothing in it is taken from a real place.
//!
//! It stands where no city is (its coordinates lie in the open water of a great lake), has about 180 blocks,
//! 12,000 public trees, 240 plots 30 years of weather and ten springs of hours, and exists so that every command can be tried and
//! every test has a town to run on. The truth behind its counts is known: [`truth`].

mod blocks;
mod counts;
mod hours;
mod land;
mod streets;
mod trees;
mod weather;

pub use counts::truth;
pub use streets::streets;

use crate::types::{Programme, Records, UnitSystem};

/// Builds the city for a season. The same seed and season always give the same city.
pub fn pellwood(seed: u64, season: i16) -> Records {
    let mut records = Records::empty(Programme {
        name: "Pellwood (invented)".to_owned(),
        season,
        epsg: 32_616,
        units: UnitSystem::Us,
        invented: true,
    });
    records.blocks = blocks::blocks(seed, season);
    records.strata = blocks::strata();
    records.no_spray = land::no_spray(seed, &records.blocks);
    records.trees = trees::trees(seed, &records.blocks, &records.species);
    (records.plots, records.visits) = counts::survey(seed, season, &records.blocks);
    records.weather = vec![weather::station(seed, season)];
    records.hourly = vec![hours::springs(seed, season, &records.weather[0])];
    records.resources = land::resources();
    records.people = land::people();
    records.teams = land::teams(&records.blocks);
    records.past = counts::past_seasons(seed, season, &records.blocks);
    records
}

#[cfg(test)]
mod tests {
    use super::pellwood;

    #[test]
    fn the_city_has_its_size() {
        let city = pellwood(1, 2027);
        assert!((170..=190).contains(&city.blocks.len()), "{} blocks", city.blocks.len());
        assert!((11_500..=12_500).contains(&city.trees.len()), "{} trees", city.trees.len());
        assert!((230..=250).contains(&city.plots.len()), "{} plots", city.plots.len());
        assert!(city.weather[0].days.len() > 29 * 365);
        assert_eq!(city.hourly[0].hours.len(), 10 * 91 * 24);
        assert!(city.no_spray.len() > 15);
        assert!(city.past.iter().any(|p| p.sprayed.is_some()));
    }

    #[test]
    fn the_same_seed_gives_the_same_city() {
        assert_eq!(pellwood(7, 2027), pellwood(7, 2027));
        assert_ne!(pellwood(7, 2027).visits, pellwood(8, 2027).visits);
    }
}
