//! Points over the unknowns, drawn where any of the questions asked of them is likely, and their weights.

use rayon::prelude::*;

use super::super::ensemble::Draw;
use super::School;
use super::likelihood::{Seeming, Spring};
use crate::types::chance::{self, Stream};

/// Points of the wide start, and how many prior spreads it is wide.
const START: usize = 768;
const WIDE: f64 = 2.0;
/// Points per round for all samples together, and for each of the other questions (shared out when there are many).
const FOR_ALL: usize = 400;
const FOR_EACH: usize = 64;
const FOR_EACH_TOGETHER: usize = 1600;
const ROUNDS: usize = 2;
/// Normals are fitted where at least so many points count, so that they are rather too wide than too narrow.
const FITTED_TO: f64 = 40.0;
/// And their variances are widened by this.
const WIDENED: f64 = 1.3;

/// Half hatch, stage lengths, leaves: in spreads from the prior mean.
type Z = [f64; 3];

/// Which samples count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    /// None.
    Prior,
    /// All, each of which may be wrong.
    All,
    /// One, taken at its word.
    Alone(usize),
    /// All but one, each of which may be wrong.
    Without(usize),
}

pub(super) struct Point {
    pub(super) z: Z,
    pub(super) year: usize,
    pub(super) seeming: Vec<Seeming>,
}

/// A normal over [`Z`].
struct Part {
    mean: Z,
    /// Lower triangle: the root of the covariance.
    root: [Z; 3],
    points: usize,
}

impl Part {
    fn log_density(&self, z: &Z) -> f64 {
        let l = &self.root;
        let a = (z[0] - self.mean[0]) / l[0][0];
        let b = (z[1] - self.mean[1] - l[1][0] * a) / l[1][1];
        let c = (z[2] - self.mean[2] - l[2][0] * a - l[2][1] * b) / l[2][2];
        log_normal(&[a, b, c]) - libm::log(l[0][0] * l[1][1] * l[2][2])
    }
    fn draw(&self, stream: &mut Stream) -> Z {
        let u: Z = std::array::from_fn(|_| chance::normal(stream));
        std::array::from_fn(|i| self.mean[i] + (0..=i).map(|j| self.root[i][j] * u[j]).sum::<f64>())
    }
}

fn log_normal(z: &Z) -> f64 {
    -0.5 * z.iter().map(|v| v * v + (2.0 * std::f64::consts::PI).ln()).sum::<f64>()
}

pub(super) struct Pool {
    pub(super) points: Vec<Point>,
    parts: Vec<Part>,
    /// Log of prior over drawing density, per point.
    log_prior: Vec<f64>,
    /// Log of each sample's likelihood if it were wrong: what the prior makes of it.
    log_if_wrong: Vec<f64>,
    wrong: f64,
}

impl Pool {
    pub(super) fn fill(school: &School<'_>) -> Self {
        let wide = Part { mean: [0.0; 3], root: diagonal(WIDE), points: START };
        let mut pool = Self {
            points: Vec::new(),
            parts: Vec::new(),
            log_prior: Vec::new(),
            log_if_wrong: Vec::new(),
            wrong: school.model.wrong,
        };
        pool.add(vec![wide], school);
        let questions = pool.questions(school.looks.len());
        let for_each = FOR_EACH.min(FOR_EACH_TOGETHER / questions.len()).max(8);
        for _ in 0..ROUNDS {
            let fit = |which: &Which| {
                let points = if *which == Which::All { FOR_ALL } else { for_each };
                pool.fit(&pool.log_weights(*which), points)
            };
            let parts = questions.iter().map(fit).collect();
            pool.add(parts, school);
        }
        pool
    }

    fn questions(&self, looks: usize) -> Vec<Which> {
        let without: &[fn(usize) -> Which] = if looks > 1 { &[Which::Alone, Which::Without] } else { &[] };
        let each = without.iter().flat_map(|which| (0..looks).map(which));
        [Which::All].into_iter().chain(each).collect()
    }

    fn add(&mut self, parts: Vec<Part>, school: &School<'_>) {
        let mut drawn: Vec<Z> = Vec::new();
        for (i, part) in parts.iter().enumerate() {
            let mut stream = chance::stream(school.seed, "timing.learning", (self.parts.len() + i) as u64);
            drawn.extend((0..part.points).map(|_| part.draw(&mut stream)));
        }
        let from = self.points.len();
        let point = |(i, z): (usize, &Z)| point(school, *z, school.turns.of(from + i));
        self.points.extend(drawn.par_iter().enumerate().map(point).collect::<Vec<_>>());
        self.parts.extend(parts);
        self.weigh(school.looks.len());
    }

    fn weigh(&mut self, looks: usize) {
        let total = self.points.len() as f64;
        let shares: Vec<f64> = self.parts.iter().map(|part| libm::log(part.points as f64 / total)).collect();
        let mix = |z: &Z| log_sum(self.parts.iter().zip(&shares).map(|(part, share)| part.log_density(z) + share));
        self.log_prior = self.points.par_iter().map(|p| log_normal(&p.z) - mix(&p.z)).collect();
        let whole = log_sum(self.log_prior.iter().copied());
        let seen = |i: usize| log_sum(self.points.iter().zip(&self.log_prior).map(|(p, l)| l + p.seeming[i].log));
        self.log_if_wrong = (0..looks).map(|i| seen(i) - whole).collect();
    }

    /// Log likelihood of a sample that may be wrong, and the chance that it is.
    fn robust(&self, point: &Point, sample: usize) -> (f64, f64) {
        let right = libm::log(1.0 - self.wrong) + point.seeming[sample].log;
        let wrong = libm::log(self.wrong) + self.log_if_wrong[sample];
        let both = log_sum([right, wrong].into_iter());
        (both, libm::exp(wrong - both))
    }

    fn log_weights(&self, which: Which) -> Vec<f64> {
        let of = |point: &Point| -> f64 {
            let samples = 0..point.seeming.len();
            match which {
                Which::Prior => 0.0,
                Which::Alone(i) => point.seeming[i].log,
                Which::All => samples.map(|i| self.robust(point, i).0).sum(),
                Which::Without(out) => samples.filter(|i| *i != out).map(|i| self.robust(point, i).0).sum(),
            }
        };
        self.points.iter().zip(&self.log_prior).map(|(point, prior)| prior + of(point)).collect()
    }

    /// Weights of the points for a question; they sum to 1.
    pub(super) fn weights(&self, which: Which) -> Vec<f64> {
        normalised(&self.log_weights(which), 1.0)
    }

    /// Chance that a sample is wrong, given all.
    pub(super) fn chance_wrong(&self, sample: usize, weights: &[f64]) -> f64 {
        self.points.iter().zip(weights).map(|(point, w)| w * self.robust(point, sample).1).sum()
    }

    /// A normal around where a question is likely.
    fn fit(&self, log_weights: &[f64], points: usize) -> Part {
        let mut weights = normalised(log_weights, 1.0);
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..20 {
            if effective(&weights) >= FITTED_TO && high >= 1.0 {
                break;
            }
            let power = 0.5 * (low + high);
            weights = normalised(log_weights, power);
            if effective(&weights) >= FITTED_TO { low = power } else { high = power }
        }
        let sum = |f: &dyn Fn(&Z) -> f64| self.points.iter().zip(&weights).map(|(p, w)| w * f(&p.z)).sum::<f64>();
        let mean: Z = std::array::from_fn(|i| sum(&|z| z[i]));
        let covariance = |i: usize, j: usize| {
            let ridge = if i == j { 1e-4 } else { 0.0 };
            WIDENED * sum(&|z| (z[i] - mean[i]) * (z[j] - mean[j])) + ridge
        };
        Part { mean, root: root(covariance), points }
    }

    /// Members that stand for the weighted points: systematic resampling, with the seed.
    pub(super) fn resample(&self, weights: &[f64], draws: usize, school: &School<'_>) -> Vec<Draw> {
        let start = chance::uniform(&mut chance::stream(school.seed, "timing.resampling", 0));
        let (mut at, mut reached) = (0, weights[0]);
        let member = |i: usize| {
            let wanted = (i as f64 + start) / draws as f64;
            while reached < wanted && at + 1 < weights.len() {
                at += 1;
                reached += weights[at];
            }
            let point = &self.points[at];
            // Where the samples say nothing of the past year, every year keeps its fair share.
            let year = if school.one_past() { school.turns.of(i) } else { point.year };
            Draw { year, hatch_z: point.z[0], stage_z: point.z[1], leaf_z: point.z[2] }
        };
        (0..draws).map(member).collect()
    }
}

fn point(school: &School<'_>, z: Z, year: usize) -> Point {
    let draw = Draw { year, hatch_z: z[0], stage_z: z[1], leaf_z: z[2] };
    let (hatch, scale) = (draw.hatch(school.biology), draw.scale(school.biology));
    let seeming = |look: &super::Look| {
        let years = school.years_at((look.offset * 10.0).round() / 10.0);
        let year = &years[year % years.len()];
        school.model.seeming(look, &Spring { biology: school.biology, year, hatch, scale, leaf_z: z[2] })
    };
    Point { z, year, seeming: school.looks.iter().map(seeming).collect() }
}

fn diagonal(v: f64) -> [Z; 3] {
    [[v, 0.0, 0.0], [0.0, v, 0.0], [0.0, 0.0, v]]
}

/// Lower triangular root of a covariance (Cholesky).
fn root(c: impl Fn(usize, usize) -> f64) -> [Z; 3] {
    let mut l = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..=i {
            let so_far: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            l[i][j] = if i == j { (c(i, i) - so_far).max(1e-6).sqrt() } else { (c(i, j) - so_far) / l[j][j] };
        }
    }
    l
}

fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    most + libm::log(logs.map(|l| libm::exp(l - most)).sum::<f64>())
}

fn normalised(logs: &[f64], power: f64) -> Vec<f64> {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|l| libm::exp(power * (l - most))).collect();
    let sum: f64 = weights.iter().sum();
    weights.into_iter().map(|w| w / sum).collect()
}

/// How many equal points weighted ones are worth (Kish).
pub(super) fn effective(weights: &[f64]) -> f64 {
    1.0 / weights.iter().map(|w| w * w).sum::<f64>()
}
