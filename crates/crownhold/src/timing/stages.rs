//! From hatch to laying: a chain of stages with Erlang lengths, on the axis of larval heat.
//!
//! Each stage takes an Erlang distributed amount of heat (Manetsch 1976): `k` equal substages, mean `m`,
//! spread `m / sqrt(k)`. The heat from hatch to a molt is the sum of the stages before it. Its distribution
//! is worked out once per parameter set as a table over heat ([`Passage`]), so that a member of the ensemble
//! costs table readings, not integrals. Males have five instars, females six; the sexes part after the fourth.
//!
//! Checked: one stage against the Erlang distribution; equal stages against the Erlang distribution of their
//! sum; means and variances of sums. The stage lengths themselves are a working table, not literature
//! (see the parameter catalogue): dates of stage medians within about 4 days in the north. Field samples
//! must overrule them. Not for: starving, sick or Btk-treated larvae, which develop late.

use statrs::function::gamma::{gamma_lr, ln_gamma};

/// Table steps in the shortest stage. A stage with 45 substages then has 7 steps in its spread: sums by the
/// trapezoid rule are exact to rounding, and cubic interpolation is good to 1e-6.
const STEPS_IN_SHORTEST: f64 = 48.0;
/// The table reaches this many spreads beyond the mean of the longest way.
const SPREADS: f64 = 9.0;
/// Shares nearer to 0 or 1 than this are taken for 0 or 1.
const NOTHING: f64 = 1e-13;

/// Distribution of the heat from hatch to one molt: shares and their slopes at even steps of heat.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Passage {
    steps_per_heat: f64,
    /// Share, and its slope per step.
    table: Vec<[f64; 2]>,
    /// No one has passed before this heat.
    pub(super) earliest: f64,
    /// Everyone has passed after this heat.
    pub(super) latest: f64,
    /// Mean heat.
    pub(super) mean: f64,
    /// Variance of the heat.
    pub(super) variance: f64,
}

impl Passage {
    fn first(stage: Stage, grid: Grid) -> Self {
        let table = grid.points().map(|heat| [stage.share(heat), stage.density(heat) * grid.step]);
        Self::new(grid.step, table.collect(), stage.mean, stage.variance())
    }

    fn new(step: f64, mut table: Vec<[f64; 2]>, mean: f64, variance: f64) -> Self {
        // Rounding in the sums must not make a share fall.
        let mut so_far = 0.0_f64;
        for [share, _] in &mut table {
            so_far = so_far.max(*share).min(1.0);
            *share = so_far;
        }
        let before = table.partition_point(|[share, _]| *share < NOTHING);
        let until = table.partition_point(|[share, _]| *share < 1.0 - NOTHING);
        Self {
            steps_per_heat: 1.0 / step,
            earliest: step * before.saturating_sub(1) as f64,
            latest: step * until.min(table.len() - 1) as f64,
            table,
            mean,
            variance,
        }
    }

    /// This passage followed by one more stage.
    fn then(&self, stage: Stage, grid: Grid) -> Self {
        let (from, kernel) = stage.kernel(grid);
        let sum_to = |n: usize| {
            let reach = (n + 1).saturating_sub(from).min(kernel.len());
            let terms = kernel[..reach].iter().enumerate().map(|(i, weight)| (weight, self.table[n - from - i]));
            terms.fold([0.0; 2], |[a, b], (weight, [share, slope])| [a + weight * share, b + weight * slope])
        };
        let table = (0..self.table.len()).map(sum_to).collect();
        Self::new(grid.step, table, self.mean + stage.mean, self.variance + stage.variance())
    }

    /// Share that has passed after this much heat since hatch.
    pub(super) fn share(&self, heat: f64) -> f64 {
        self.inside(heat).map_or_else(|outside| outside, |piece| piece.share())
    }

    /// Share that has passed, and its density per degree-day.
    pub(super) fn both(&self, heat: f64) -> (f64, f64) {
        let inside = self.inside(heat);
        inside.map_or_else(|outside| (outside, 0.0), |piece| (piece.share(), piece.slope() * self.steps_per_heat))
    }

    /// The piece of the table around a heat, or the share before or behind it.
    fn inside(&self, heat: f64) -> Result<Cubic, f64> {
        if heat <= self.earliest {
            return Err(0.0);
        }
        if heat >= self.latest {
            return Err(1.0);
        }
        let at = heat * self.steps_per_heat;
        let i = (at as usize).min(self.table.len() - 2);
        let ([a, u], [b, v]) = (self.table[i], self.table[i + 1]);
        Ok(Cubic { t: at - i as f64, a, b, u, p: 3.0 * (b - a) - 2.0 * u - v, q: u + v - 2.0 * (b - a) })
    }
}

/// A Hermite piece a + ut + pt2 + qt3 for t from 0 to 1: both ends meet share and density. `b` is its end.
struct Cubic {
    t: f64,
    a: f64,
    b: f64,
    u: f64,
    p: f64,
    q: f64,
}

impl Cubic {
    fn share(&self) -> f64 {
        (self.a + self.t * (self.u + self.t * (self.p + self.t * self.q))).clamp(self.a, self.b)
    }
    fn slope(&self) -> f64 {
        (self.u + self.t * (2.0 * self.p + 3.0 * self.t * self.q)).max(0.0)
    }
}

/// One stage: mean heat and number of substages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stage {
    pub(super) mean: f64,
    pub(super) substages: f64,
}

impl Stage {
    fn variance(self) -> f64 {
        self.mean * self.mean / self.substages
    }
    fn share(self, heat: f64) -> f64 {
        if heat <= 0.0 { 0.0 } else { gamma_lr(self.substages, self.substages * heat / self.mean) }
    }
    fn density(self, heat: f64) -> f64 {
        if heat <= 0.0 {
            return 0.0;
        }
        let x = self.substages * heat / self.mean;
        let log = (self.substages - 1.0) * libm::log(x) - x - ln_gamma(self.substages);
        libm::exp(log) * self.substages / self.mean
    }
    /// Weights of the trapezoid rule over the stage's density, from the first step that matters on.
    fn kernel(self, grid: Grid) -> (usize, Vec<f64>) {
        let densities: Vec<f64> = grid.points().map(|heat| self.density(heat)).collect();
        let peak = densities.iter().copied().fold(0.0, f64::max);
        let matters = |d: &f64| *d > peak * 1e-16;
        let from = densities.iter().position(matters).unwrap_or(0);
        let to = densities.iter().rposition(matters).unwrap_or(0);
        let total: f64 = densities[from..=to].iter().sum();
        (from, densities[from..=to].iter().map(|d| d / total).collect())
    }
}

#[derive(Clone, Copy)]
struct Grid {
    step: f64,
    points: usize,
}

impl Grid {
    fn points(self) -> impl Iterator<Item = f64> {
        (0..self.points).map(move |i| i as f64 * self.step)
    }
    /// Fine enough for the shortest stage and long enough for all of them one after the other.
    fn of(stages: &[f64], substages: f64) -> Self {
        let shortest = stages.iter().copied().fold(f64::INFINITY, f64::min);
        let length: f64 = stages.iter().sum();
        let spread = stages.iter().map(|m| Stage { mean: *m, substages }.variance()).sum::<f64>().sqrt();
        let step = shortest / STEPS_IN_SHORTEST;
        Self { step, points: ((length + SPREADS * spread) / step).ceil() as usize + 1 }
    }
}

/// Mean heat of every stage, degree-days C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct StageLengths {
    pub(super) instars: [f64; 4],
    pub(super) male: [f64; 3],
    pub(super) female: [f64; 4],
    pub(super) substages: f64,
}

/// A step from one stage to the next, as an index into the passages of a [`Chain`].
///
/// The first four are common to both sexes; `M` and `F` are of one sex.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Molt {
    Second,
    Third,
    Fourth,
    Fifth,
    PupaM,
    AdultM,
    SpentM,
    SixthF,
    PupaF,
    AdultF,
    SpentF,
}

/// How many kinds of molt there are.
pub(super) const MOLTS: usize = 11;

/// All passages of both sexes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chain {
    passages: [Passage; MOLTS],
}

impl Chain {
    pub(super) fn new(lengths: &StageLengths) -> Self {
        let longest = [&lengths.instars[..], &lengths.female[..]].concat();
        let other = [&lengths.instars[..], &lengths.male[..]].concat();
        let grid = {
            let (a, b) = (Grid::of(&longest, lengths.substages), Grid::of(&other, lengths.substages));
            let (step, reach) = (a.step.min(b.step), (a.step * a.points as f64).max(b.step * b.points as f64));
            Grid { step, points: (reach / step).ceil() as usize }
        };
        let stage = |mean: f64| Stage { mean, substages: lengths.substages };
        let second = Passage::first(stage(lengths.instars[0]), grid);
        let third = second.then(stage(lengths.instars[1]), grid);
        let fourth = third.then(stage(lengths.instars[2]), grid);
        let fifth = fourth.then(stage(lengths.instars[3]), grid);
        let pupa_m = fifth.then(stage(lengths.male[0]), grid);
        let adult_m = pupa_m.then(stage(lengths.male[1]), grid);
        let spent_m = adult_m.then(stage(lengths.male[2]), grid);
        let sixth_f = fifth.then(stage(lengths.female[0]), grid);
        let pupa_f = sixth_f.then(stage(lengths.female[1]), grid);
        let adult_f = pupa_f.then(stage(lengths.female[2]), grid);
        let spent_f = adult_f.then(stage(lengths.female[3]), grid);
        let passages = [second, third, fourth, fifth, pupa_m, adult_m, spent_m, sixth_f, pupa_f, adult_f, spent_f];
        Self { passages }
    }

    /// The passage to one molt.
    pub(super) fn passage(&self, molt: Molt) -> &Passage {
        &self.passages[molt as usize]
    }
    /// Every passage, in the order of [`Molt`].
    pub(super) fn passages(&self) -> &[Passage; MOLTS] {
        &self.passages
    }
}

/// Shares of the ten stages from the share hatched and the shares past each molt; half of all are male.
/// The terms telescope, so that they sum to 1 whatever the shares are.
pub(super) fn stage_shares(hatched: f64, past: &[f64; MOLTS]) -> [f64; 10] {
    let p = |molt: Molt| past[molt as usize];
    let half = |male: Molt, female: Molt| 0.5 * (p(male) + p(female));
    let pupated = half(Molt::PupaM, Molt::PupaF);
    let emerged = half(Molt::AdultM, Molt::AdultF);
    let spent = half(Molt::SpentM, Molt::SpentF);
    let fifth_over = 0.5 * (p(Molt::PupaM) + p(Molt::SixthF));
    let shares = [
        1.0 - hatched,
        hatched - p(Molt::Second),
        p(Molt::Second) - p(Molt::Third),
        p(Molt::Third) - p(Molt::Fourth),
        p(Molt::Fourth) - p(Molt::Fifth),
        p(Molt::Fifth) - fifth_over,
        0.5 * (p(Molt::SixthF) - p(Molt::PupaF)),
        pupated - emerged,
        emerged - spent,
        spent,
    ];
    // Interpolation may leave a hair below zero.
    shares.map(|share| share.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lengths(all: f64, substages: f64) -> StageLengths {
        StageLengths { instars: [all; 4], male: [all; 3], female: [all; 4], substages }
    }

    /// phenology.md 10.3 oracle 11, by hand from the Erlang distribution: k = 25, mean 100.
    #[test]
    fn one_stage_is_erlang() {
        let stage = Stage { mean: 100.0, substages: 25.0 };
        for (heat, share) in [(80.0, 0.157), (100.0, 0.527), (120.0, 0.843)] {
            assert!((stage.share(heat) - share).abs() < 0.001, "{heat}");
        }
    }

    /// The table against the distribution it stands for, between its points (statrs' incomplete gamma).
    #[test]
    fn the_table_reads_as_the_distribution() {
        let lengths = lengths(77.0, 45.0);
        let chain = Chain::new(&lengths);
        for i in 1..400 {
            let heat = f64::from(i) * 0.37;
            let exact = Stage { mean: 77.0, substages: 45.0 }.share(heat);
            assert!((chain.passage(Molt::Second).share(heat) - exact).abs() < 1e-6, "{heat}");
        }
    }

    /// Identity: n stages of k substages each with the same mean are one Erlang with n k substages.
    #[test]
    fn equal_stages_add_up_to_one_erlang() {
        let chain = Chain::new(&lengths(90.0, 45.0));
        let path = [Molt::Second, Molt::Third, Molt::Fourth, Molt::Fifth, Molt::SixthF, Molt::PupaF, Molt::AdultF];
        for (n, molt) in (1..).zip(path) {
            let sum = Stage { mean: 90.0 * f64::from(n), substages: 45.0 * f64::from(n) };
            for i in 1..60 {
                let heat = sum.mean * (0.5 + f64::from(i) / 60.0);
                assert!((chain.passage(molt).share(heat) - sum.share(heat)).abs() < 1e-6, "{molt:?} {heat}");
            }
        }
    }

    /// Identity: means and variances of independent stages add; here by the trapezoid rule over the table.
    #[test]
    fn means_and_variances_add() {
        let lengths = StageLengths {
            instars: [94.0, 77.0, 77.0, 94.0],
            male: [136.0, 196.0, 90.0],
            female: [102.0, 136.0, 162.0, 90.0],
            substages: 45.0,
        };
        let spent = Chain::new(&lengths).passage(Molt::SpentF).clone();
        let moment = |power: i32, about: f64| -> f64 {
            let points = spent.table.iter().enumerate();
            points.map(|(i, [_, slope])| slope * (i as f64 / spent.steps_per_heat - about).powi(power)).sum()
        };
        let stages = [94.0, 77.0, 77.0, 94.0, 102.0, 136.0, 162.0, 90.0];
        let variance: f64 = stages.iter().map(|m| m * m / 45.0).sum();
        assert!((moment(0, 0.0) - 1.0).abs() < 1e-9);
        assert!((moment(1, 0.0) - 832.0).abs() < 1e-6);
        assert!((moment(2, 832.0) - variance).abs() < 1e-5 && (spent.variance - variance).abs() < 1e-9);
    }
}
