//! The stages joined up on the invented city, whose truth is known.

use crownhold::pellwood::{pellwood, truth};
use crownhold::survey::DensityMethod;
use crownhold::types::{Count, Draws, Substrate};
use crownhold::{Setting, outlook, survey, tactics};
use geo::{BooleanOps as _, Buffer as _, MultiPolygon};
use jiff::civil::date;

fn setting(draws: usize) -> Setting {
    Setting { today: date(2026, 11, 25), seed: 11, draws }
}

/// Simulated truth: over several cities, 90 % ranges of the draws hold the true density of 84 to 96 % of blocks.
#[test]
fn draws_cover_the_truth() {
    let (mut inside, mut all) = ([0.0; 2], [0.0; 2]);
    for seed in 1..=3 {
        let city = pellwood(seed, 2027);
        let density = survey::estimate(&city, &setting(400)).unwrap();
        for (b, d) in truth(seed, &city.blocks).iter().enumerate() {
            let group = usize::from(density.blocks[b].1.method != DensityMethod::OwnPlots);
            let (low, high) = (density.draws.quantile(b, 0.05), density.draws.quantile(b, 0.95));
            all[group] += 1.0;
            if (low..=high).contains(&d.as_per_hectare()) {
                inside[group] += 1.0;
            }
        }
    }
    for (group, name) in ["own plots", "borrowed"].iter().enumerate() {
        let coverage = inside[group] / all[group];
        println!("{name}: {coverage:.3} of {}", all[group]);
        assert!((0.84..=0.965).contains(&coverage), "{name}: {coverage}");
    }
}

/// A block in which nothing was found still has an upper end above zero, and draws above zero.
#[test]
fn a_surveyed_zero_is_not_none() {
    let mut city = pellwood(2, 2027);
    let empty = city.plots[0].block.clone();
    for visit in &mut city.visits {
        if city.plots.iter().any(|p| p.id == visit.plot && p.block == empty) {
            visit.counts = vec![Count { substrate: Substrate::All, dbh: None, new: 0, old: 0, out_of_reach: 0 }];
        }
    }
    let density = survey::estimate(&city, &setting(200)).unwrap();
    let b = city.block_index(&empty).unwrap();
    let found = &density.blocks[b].1;
    assert_eq!(found.estimate.as_per_acre(), 0.0);
    assert!(found.high.as_per_acre() > 1.0);
    assert!(density.draws.block(b).iter().all(|d| *d > 0.0));
}

/// The same seed gives the same numbers to the last bit on one thread and on four.
#[test]
fn threads_do_not_matter() {
    let city = pellwood(3, 2027);
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let density = survey::estimate(&city, &setting(100)).unwrap();
            let options = tactics::options(&city, &density, None, &setting(100));
            (density, options)
        })
    };
    assert_eq!(run(1), run(4));
}

/// Better tactics never leave more foliage lost; untreated is the outlook itself.
#[test]
fn options_agree_with_the_outlook() {
    let city = pellwood(4, 2027);
    let density = survey::estimate(&city, &setting(200)).unwrap();
    let untreated = outlook::forecast(&city, &density, &setting(200)).unwrap();
    let options = tactics::options(&city, &density, None, &setting(200));
    for (b, block) in options.blocks.iter().enumerate() {
        let watch = &block.options[0];
        assert!(watch.allowed());
        assert!((watch.expected_defoliation - untreated.defoliation.mean(b)).abs() < 1e-12);
        for option in &block.options {
            assert!(option.expected_defoliation <= watch.expected_defoliation + 1e-12);
            assert!(option.chance_over <= watch.chance_over);
        }
    }
}

/// The risk measured draw by draw (residual drawn) agrees with the chances (residual integrated) within its error.
#[test]
fn risk_by_draws_agrees_with_the_chances() {
    let city = pellwood(4, 2027);
    let density = survey::estimate(&city, &setting(1_000)).unwrap();
    let options = tactics::options(&city, &density, None, &setting(1_000));
    let pick = |b: usize| &options.blocks[b].options[b % 14];
    let chosen: Vec<_> = (0..options.blocks.len()).map(|b| pick(b).bundle.clone()).collect();
    let over = tactics::host_over_tolerance(&city, &density, None, &chosen, &setting(1_000));
    let sum: f64 =
        (0..options.blocks.len()).map(|b| options.blocks[b].host_area.as_square_metres() * pick(b).chance_over).sum();
    let mean = crownhold::types::draws::mean(&over);
    let spread = (over.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / over.len() as f64).sqrt();
    assert!((mean - sum).abs() < 4.0 * spread / (over.len() as f64).sqrt(), "{mean} and {sum}");
}

/// A block without canopy or hosts is asked for, by name, and nothing is guessed.
#[test]
fn missing_hosts_are_asked_for() {
    let mut city = pellwood(5, 2027);
    city.blocks[3].canopy = None;
    city.blocks[9].hosts = None;
    let density = survey::estimate(&city, &setting(50)).unwrap();
    let problems = outlook::forecast(&city, &density, &setting(50)).unwrap_err();
    assert_eq!(problems.len(), 2);
    insta::assert_snapshot!(problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"));
}

/// More masses on every plot never give a lower estimate, nor a lower city as a whole.
#[test]
fn more_masses_are_never_less() {
    let city = pellwood(6, 2027);
    let mut worse = city.clone();
    for visit in &mut worse.visits {
        visit.counts[0].new += 5;
    }
    let before = survey::estimate(&city, &setting(200)).unwrap();
    let after = survey::estimate(&worse, &setting(200)).unwrap();
    for ((_, a), (_, c)) in before.blocks.iter().zip(&after.blocks).filter(|((_, a), _)| a.plots > 0) {
        assert!(c.estimate > a.estimate);
    }
    let city_median = |d: &Draws| (0..d.blocks()).map(|b| d.quantile(b, 0.5)).sum::<f64>();
    assert!(city_median(&after.draws) > city_median(&before.draws));
}

/// On Pellwood's ground: the turns of blocks with all their neighbours, summed up, against the outline of what they are joined.
#[test]
fn turns_of_joined_blocks() {
    let mut city = pellwood(1, 2027);
    city.no_spray.clear();
    let density = survey::estimate(&city, &setting(50)).unwrap();
    let flying = tactics::options(&city, &density, None, &setting(50)).flying;
    let swath = 0.3048 * city.parameters.number("aircraft.swath");
    let (sin, cos) = flying.turns.heading.to_radians().sin_cos();
    let across = |shape: &MultiPolygon<f64>| {
        let lines = shape.0.iter().flat_map(|p| p.exterior().lines());
        0.5 * lines.map(|l| (l.dx() * cos - l.dy() * sin).abs()).sum::<f64>()
    };
    for b in (0..city.blocks.len()).step_by(7) {
        let members: Vec<usize> = flying.around(b).iter().copied().chain([b]).collect();
        let inside = |n: usize| flying.around(n).iter().enumerate().filter(|(_, o)| members.contains(o));
        let saved = |n: usize| inside(n).map(|(at, _)| flying.turns.saved(n, at)).sum::<f64>();
        let sum: f64 = members.iter().map(|&n| flying.turns.alone(n) - 0.5 * saved(n)).sum();
        let wide = members.iter().map(|&n| city.blocks[n].shape.buffer(0.5));
        let whole = wide.fold(MultiPolygon(Vec::new()), |all, part| all.union(&part)).buffer(-0.5);
        let joined = across(&whole) / swath;
        assert!((sum / joined - 1.0).abs() < 0.05, "{}: {sum:.2} turns, joined {joined:.2}", city.blocks[b].id);
    }
}
