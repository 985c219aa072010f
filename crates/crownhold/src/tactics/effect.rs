//! What a tactic does to the larvae of a block.

use crate::Setting;
use crate::outlook::per_acre;
use crate::timing::{Timing, WindowKind};
use crate::types::chance::{stream, uniform};
use crate::types::draws::mean;
use crate::types::{Block, LandUse, Parameters, Tactic, Value};

/// One draw of everything that decides how well tactics work. All blocks share it: a poor batch, a bad
/// morning or a weak crew is a bad season for the whole city, so the plan must not count on luck averaging out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Luck {
    reach: f64,
    found: f64,
    rate: f64,
    bands: f64,
    ground: f64,
    aerial: f64,
    in_time: f64,
}

/// The luck of every draw.
pub fn luck(setting: &Setting) -> Vec<Luck> {
    (0..setting.draws)
        .map(|i| {
            let mut rng = stream(setting.seed, "tactics.luck", i as u64);
            let mut next = || uniform(&mut rng);
            Luck {
                reach: next(),
                found: next(),
                rate: next(),
                bands: next(),
                ground: next(),
                aerial: next(),
                in_time: next(),
            }
        })
        .collect()
}

/// What stays the same for one block over all draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// Share of masses on objects rather than large trees.
    pub on_objects: f64,
    /// Share of host crowns that ground gear reaches.
    pub ground_coverage: f64,
    /// Share of the block that may be sprayed.
    pub sprayable: f64,
    /// Expected masses per acre, which the hours of scraping are booked for.
    pub expected_per_acre: f64,
}

impl Ground {
    /// Of a block, given the share that no aircraft or ground sprayer may treat and the draws of its density
    /// (masses per hectare).
    pub fn of(block: &Block, no_spray_share: f64, density: &[f64], parameters: &Parameters) -> Self {
        let lived_in = matches!(block.land_use, LandUse::Residential | LandUse::School | LandUse::Park);
        let pick =
            |name: &str| parameters.number(&format!("{name}.{}", if lived_in { "residential" } else { "other" }));
        Self {
            on_objects: if block.land_use == LandUse::Residential {
                pick("scraping.on_objects")
            } else {
                parameters.number("scraping.on_objects.other")
            },
            ground_coverage: pick("ground.coverage"),
            sprayable: 1.0 - no_spray_share,
            expected_per_acre: per_acre(mean(density)),
        }
    }
}

/// Effect model: the parameters looked up once.
pub struct Effects {
    reach_trees: Value,
    reach_objects: Value,
    found: Value,
    kill: f64,
    bands: [(f64, Value); 3],
    banded: f64,
    rate: Value,
    /// Mean of hours per mass.
    slowness: f64,
    ground: Value,
    ground_in_time: f64,
    once: Value,
    twice: Value,
    aerial_in_time: f64,
    twice_in_time: f64,
    late: f64,
}

impl Effects {
    /// From the programme's parameters, and the dates if they are known: a spray that finds no day in its window
    /// keeps only part of its kill.
    pub fn of(p: &Parameters, timing: Option<&Timing>) -> Self {
        let has_days = |kind| {
            let window = timing.and_then(|t| t.window(kind).map(|w| w.chance_open_after(Some(t.issued))));
            window.unwrap_or(1.0)
        };
        let long_enough = timing
            .and_then(|t| t.window(WindowKind::AerialBtk))
            .map_or(1.0, |w| w.chance_of_days(p.number("aerial.interval")));
        let in_time = p.number("aerial.in_time");
        let rate = p.value("scraping.rate");
        Self {
            rate,
            slowness: (0..200).map(|i| 1.0 / rate.quantile((f64::from(i) + 0.5) / 200.0)).sum::<f64>() / 200.0,
            ground_in_time: has_days(WindowKind::GroundBtk),
            reach_trees: p.value("scraping.reach.trees"),
            reach_objects: p.value("scraping.reach.objects"),
            found: p.value("scraping.found"),
            kill: p.number("scraping.kill"),
            bands: [
                (30.0, p.value("bands.share.at_30")),
                (200.0, p.value("bands.share.at_200")),
                (1000.0, p.value("bands.share.at_1000")),
            ],
            banded: p.number("bands.trees_banded"),
            ground: p.value("ground.kill"),
            once: p.value("aerial.kill.once"),
            twice: p.value("aerial.kill.twice"),
            aerial_in_time: in_time * has_days(WindowKind::AerialBtk),
            twice_in_time: in_time * has_days(WindowKind::AerialBtk).min(long_enough),
            late: p.number("aerial.late_factor"),
        }
    }

    /// Share of a block's larvae that a tactic removes, given density (masses per acre) and luck.
    pub fn removed(&self, tactic: Tactic, per_acre: f64, ground: &Ground, luck: &Luck) -> f64 {
        match tactic {
            Tactic::Scraping => {
                let wanted = self.reach(ground, luck.reach) * self.found.quantile(luck.found);
                wanted.min(self.workable(per_acre, ground, luck)) * self.kill
            }
            Tactic::Bands => self.banded * self.band_share(per_acre, luck.bands),
            Tactic::GroundBtk => {
                let kill = self.ground.quantile(luck.ground) * self.in_season(self.ground_in_time, luck);
                ground.sprayable * ground.ground_coverage * kill
            }
            Tactic::AerialOnce => {
                ground.sprayable * self.once.quantile(luck.aerial) * self.in_season(self.aerial_in_time, luck)
            }
            // A window too short for the second flight leaves the first.
            Tactic::AerialTwice if luck.in_time >= self.twice_in_time => {
                self.removed(Tactic::AerialOnce, per_acre, ground, luck)
            }
            Tactic::AerialTwice => ground.sprayable * self.twice.quantile(luck.aerial),
        }
    }

    /// Share of the masses that can be reached.
    pub fn reach(&self, ground: &Ground, luck: f64) -> f64 {
        (1.0 - ground.on_objects) * self.reach_trees.quantile(luck)
            + ground.on_objects * self.reach_objects.quantile(luck)
    }

    /// Mean share of the masses that scraping takes off (reached and found).
    pub fn scraped(&self, ground: &Ground) -> f64 {
        let reach = (1.0 - ground.on_objects) * self.reach_trees.mean() + ground.on_objects * self.reach_objects.mean();
        reach * self.found.mean()
    }

    /// Share of a banded tree's larvae taken, between the three anchor densities on a log scale.
    fn band_share(&self, per_acre: f64, luck: f64) -> f64 {
        let [low, middle, high] = &self.bands;
        let at = |(_, v): &(f64, Value)| v.quantile(luck);
        let between = |a: &(f64, Value), b: &(f64, Value)| {
            let t = libm::log(per_acre / a.0) / libm::log(b.0 / a.0);
            at(a) + t * (at(b) - at(a))
        };
        if per_acre <= low.0 {
            at(low)
        } else if per_acre <= middle.0 {
            between(low, middle)
        } else if per_acre < high.0 {
            between(middle, high)
        } else {
            at(high)
        }
    }

    /// Hours of scraping booked per acre: the expected masses that can be taken off, at the mean time each takes.
    pub fn scraping_hours_per_acre(&self, ground: &Ground) -> f64 {
        ground.expected_per_acre * self.scraped(ground) * self.slowness
    }

    /// Share of the masses that can be taken off before the booked hours are over; where there are more masses than
    /// expected, the hours run out.
    fn workable(&self, per_acre: f64, ground: &Ground, luck: &Luck) -> f64 {
        self.scraping_hours_per_acre(ground) * self.rate.quantile(luck.rate) / per_acre.max(1e-9)
    }

    /// What is left of the kill of a spray: all of it in time, part of it when no fit day is found.
    fn in_season(&self, in_time: f64, luck: &Luck) -> f64 {
        if luck.in_time < in_time { 1.0 } else { self.late }
    }
}

#[cfg(test)]
mod tests {
    use super::{Effects, Ground, Luck};
    use crate::types::{Parameters, Tactic};

    const MIDDLE: Luck = Luck { reach: 0.5, found: 0.5, rate: 0.5, bands: 0.5, ground: 0.5, aerial: 0.5, in_time: 0.5 };
    const GROUND: Ground = Ground { on_objects: 0.0, ground_coverage: 0.7, sprayable: 1.0, expected_per_acre: 200.0 };

    /// Thorpe et al. 1995: 0.2 to 0.4 % of the larvae on outbreak trees. Ours stays below one in fifty there.
    #[test]
    fn bands_do_little_in_an_outbreak() {
        let effects = Effects::of(&Parameters::defaults(), None);
        let share = |x| effects.removed(Tactic::Bands, x, &GROUND, &MIDDLE);
        assert!(share(20.0) > 0.3);
        assert!(share(2000.0) < 0.02);
        let mut last = 1.0;
        for i in 1..200 {
            let now = share(f64::from(i) * 10.0);
            assert!(now <= last, "more masses never make bands better");
            last = now;
        }
    }

    /// Hours are booked for the expected masses; where five times as many stand, most stay.
    #[test]
    fn scraping_runs_out_of_hours() {
        let effects = Effects::of(&Parameters::defaults(), None);
        let share = |x| effects.removed(Tactic::Scraping, x, &GROUND, &MIDDLE);
        assert!((share(50.0) - share(100.0)).abs() < 1e-12);
        assert!(share(1000.0) < 0.3 * share(100.0));
    }

    #[test]
    fn what_may_not_be_sprayed_is_not_helped() {
        let effects = Effects::of(&Parameters::defaults(), None);
        let half = Ground { sprayable: 0.5, ..GROUND };
        for tactic in [Tactic::GroundBtk, Tactic::AerialOnce, Tactic::AerialTwice] {
            let whole = effects.removed(tactic, 500.0, &GROUND, &MIDDLE);
            assert!((effects.removed(tactic, 500.0, &half, &MIDDLE) - 0.5 * whole).abs() < 1e-12);
        }
    }
}
