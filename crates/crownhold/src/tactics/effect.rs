//! What a tactic does to the larvae of a block.

use crate::Setting;
use crate::types::chance::{stream, uniform};
use crate::types::{Block, LandUse, Parameters, Tactic, Value};

/// One draw of everything that decides how well tactics work. All blocks share it: a poor batch, a bad
/// morning or a weak crew is a bad season for the whole city, so the plan must not count on luck averaging out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Luck {
    reach: f64,
    found: f64,
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
            Luck { reach: next(), found: next(), bands: next(), ground: next(), aerial: next(), in_time: next() }
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
}

impl Ground {
    /// Of a block, given the share that no aircraft or ground sprayer may treat.
    pub fn of(block: &Block, no_spray_share: f64, parameters: &Parameters) -> Self {
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
    ground: Value,
    once: Value,
    twice: Value,
    in_time: f64,
    late: f64,
}

impl Effects {
    /// From the programme's parameters.
    pub fn of(p: &Parameters) -> Self {
        Self {
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
            in_time: p.number("aerial.in_time"),
            late: p.number("aerial.late_factor"),
        }
    }

    /// Share of a block's larvae that a tactic removes, given density (masses per acre) and luck.
    pub fn removed(&self, tactic: Tactic, per_acre: f64, ground: &Ground, luck: &Luck) -> f64 {
        match tactic {
            Tactic::Scraping => self.reach(ground, luck.reach) * self.found.quantile(luck.found) * self.kill,
            Tactic::Bands => self.banded * self.band_share(per_acre, luck.bands),
            Tactic::GroundBtk => ground.sprayable * ground.ground_coverage * self.ground.quantile(luck.ground),
            Tactic::AerialOnce => ground.sprayable * self.in_season(self.once, luck),
            Tactic::AerialTwice => ground.sprayable * self.in_season(self.twice, luck),
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

    fn in_season(&self, kill: Value, luck: &Luck) -> f64 {
        kill.quantile(luck.aerial) * if luck.in_time < self.in_time { 1.0 } else { self.late }
    }
}

#[cfg(test)]
mod tests {
    use super::{Effects, Ground, Luck};
    use crate::types::{Parameters, Tactic};

    const MIDDLE: Luck = Luck { reach: 0.5, found: 0.5, bands: 0.5, ground: 0.5, aerial: 0.5, in_time: 0.5 };
    const GROUND: Ground = Ground { on_objects: 0.0, ground_coverage: 0.7, sprayable: 1.0 };

    /// Thorpe et al. 1995: 0.2 to 0.4 % of the larvae on outbreak trees. Ours stays below one in fifty there.
    #[test]
    fn bands_do_little_in_an_outbreak() {
        let effects = Effects::of(&Parameters::defaults());
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

    #[test]
    fn what_may_not_be_sprayed_is_not_helped() {
        let effects = Effects::of(&Parameters::defaults());
        let half = Ground { sprayable: 0.5, ..GROUND };
        for tactic in [Tactic::GroundBtk, Tactic::AerialOnce, Tactic::AerialTwice] {
            let whole = effects.removed(tactic, 500.0, &GROUND, &MIDDLE);
            assert!((effects.removed(tactic, 500.0, &half, &MIDDLE) - 0.5 * whole).abs() < 1e-12);
        }
    }
}
