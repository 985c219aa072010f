//! The model of counts over space on the invented city, and what walks add to it.

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::survey::fine::fine_map;
use crownhold::survey::found::detection;
use crownhold::survey::{Density, DensityMethod, estimate};
use crownhold::types::{Count, Length, MassesPerArea, Plot, PlotMethod, Records, Substrate, Visit};
use jiff::civil::date;

fn densities(records: &Records) -> Density {
    estimate(records, &Setting { today: date(2026, 11, 25), seed: 1, draws: 300 }).unwrap()
}

/// A block without a plot leans on its neighbours, is wider than a counted one, and every figure is one.
#[test]
fn blocks_lean_on_the_plots_around_them() {
    let records = pellwood(1, 2027);
    let found = densities(&records);
    let space = found.space.unwrap();
    assert!(space.length[0] < space.length[1] && space.length[1] < space.length[2], "{space:?}");
    let width = |b: usize| (found.draws.quantile(b, 0.95) / found.draws.quantile(b, 0.05)).ln();
    let all = |own: bool| {
        let of = found.blocks.iter().enumerate().filter(|(_, (_, e))| (e.method == DensityMethod::OwnPlots) == own);
        let widths: Vec<f64> = of.map(|(b, _)| width(b)).collect();
        widths.iter().sum::<f64>() / widths.len() as f64
    };
    assert!(all(false) > all(true), "{} {}", all(false), all(true));
    assert!(found.blocks.iter().any(|(_, e)| e.method == DensityMethod::Around));
    let every = (0..found.draws.blocks()).all(|b| found.draws.block(b).iter().all(|d| d.is_finite() && *d > 0.0));
    assert!(every);
    assert_eq!(found, densities(&records), "the same seed gives the same draws");
}

/// With one plot too few, or more than half without a place, blocks lean on their stratum and that is said.
#[test]
fn without_enough_places_it_falls_back_and_says_so() {
    let mut few = pellwood(1, 2027);
    few.visits.truncate(29);
    let mut lost = pellwood(1, 2027);
    lost.plots.iter_mut().take(150).for_each(|p| p.place = None);
    for records in [few, lost] {
        let found = densities(&records);
        assert!(found.space.is_none() && found.notes.iter().any(|n| n.code == "D-107"));
        assert!(found.blocks.iter().all(|(_, e)| e.method != DensityMethod::Around));
    }
}

/// A plot without a place stands in the middle of its block: that is said, and changes the other blocks next to nothing.
#[test]
fn a_plot_without_a_place_is_no_reason_to_forget_all_others() {
    let records = pellwood(1, 2027);
    let mut lost = records.clone();
    lost.plots[0].place = None;
    let (all, one) = (densities(&records), densities(&lost));
    assert!(one.space.is_some() && one.notes.iter().any(|n| n.code == "D-109" && n.what.starts_with("1 of")));
    assert!(all.notes.iter().all(|n| n.code != "D-109"));
    let apart = |b: usize| (one.draws.quantile(b, 0.5) / all.draws.quantile(b, 0.5)).ln().abs();
    let mean = (0..all.draws.blocks()).map(apart).sum::<f64>() / all.draws.blocks() as f64;
    assert!(mean < 0.15, "{mean}");
}

/// Walks in every block, true to the plots where there are plots: a block without one follows its own walk.
#[test]
fn walks_tell_of_blocks_without_plots() {
    let mut records = pellwood(1, 2027);
    let before = densities(&records);
    let blank = (0..records.blocks.len()).find(|b| before.blocks[*b].1.method == DensityMethod::Around).unwrap();
    let walks = |b: usize, of_blank: u32| {
        if b == blank { of_blank } else { (before.draws.quantile(b, 0.5) / 40.0).round() as u32 }
    };
    for (b, block) in records.blocks.clone().into_iter().enumerate() {
        let id = format!("W{b:03}");
        records.plots.push(Plot {
            id: id.as_str().into(),
            block: block.id,
            place: None,
            method: PlotMethod::TimedWalk,
            area: None,
        });
        let found = Count { substrate: Substrate::All, dbh: None, new: walks(b, 0), old: 0, out_of_reach: 0 };
        records.visits.push(Visit {
            id: format!("V{id}").as_str().into(),
            plot: id.as_str().into(),
            date: date(2026, 10, 20),
            observer: String::new(),
            counts: vec![found],
            note: String::new(),
        });
    }
    let low = densities(&records);
    let of_blank = records.visits.iter_mut().find(|v| v.plot.as_str() == format!("W{blank:03}")).unwrap();
    of_blank.counts[0].new = 400;
    let high = densities(&records);
    let middle = |d: &Density| d.draws.quantile(blank, 0.5);
    assert!(middle(&high) > 3.0 * middle(&low), "{} {} {}", middle(&low), middle(&before), middle(&high));
    let told = high.walks.unwrap();
    assert!(told.blocks == records.blocks.len() && told.line.both < told.blocks && told.line.slope > 0.0, "{told:?}");
}

/// On Pellwood some plots are worth something, all less than the canopy at stake, and blocks under consent refused none.
#[test]
fn the_next_plot_is_worth_less_than_what_is_at_stake() {
    let records = pellwood(1, 2027);
    let density = densities(&records);
    let setting = Setting { today: date(2026, 11, 25), seed: 1, draws: 300 };
    let options = crownhold::tactics::options(&records, &density, None, &setting);
    let stakes = crownhold::tactics::stakes(&records, &density, &options);
    assert!(!stakes.is_empty() && stakes.len() < records.blocks.len());
    for stake in &stakes {
        let host = options.blocks[stake.block].host_area.as_acres();
        assert!(stake.act <= host && stake.left.iter().zip(&stake.acted).all(|(l, a)| *a <= *l && *l <= host));
    }
    let worth = crownhold::survey::next::worth(&density.draws, &stakes, 101.171, density.dispersion.k);
    let at_stake: f64 = stakes.iter().map(|s| s.act).sum();
    assert!(worth.iter().all(|w| (0.0..at_stake).contains(w)) && worth.iter().any(|w| *w > 0.02), "{worth:?}");
}

const SETTING: Setting = Setting { today: date(2026, 11, 25), seed: 1, draws: 300 };

/// The squares of a block are about as dense as the block, every block has one, and the same seed gives the same map.
#[test]
fn the_map_between_the_plots_agrees_with_the_blocks() {
    let records = pellwood(1, 2027);
    let found = densities(&records);
    let map = fine_map(&records, Some(Length::metres(90.0)), &SETTING).unwrap();
    assert_eq!(map.side, Length::metres(90.0));
    let mut apart = Vec::new();
    for b in 0..records.blocks.len() {
        let own: Vec<f64> =
            map.squares.iter().filter(|s| s.block == b).map(|s| s.quantile(0.5).as_per_hectare().ln()).collect();
        assert!(!own.is_empty(), "{}", records.blocks[b].id);
        apart.push(own.iter().sum::<f64>() / own.len() as f64 - found.draws.quantile(b, 0.5).ln());
    }
    // The mean over a block is above its typical place, a little.
    let mean = apart.iter().sum::<f64>() / apart.len() as f64;
    assert!((-0.25..0.1).contains(&mean), "{mean}");
    let square = &map.squares[0];
    assert!(square.quantile(0.05) < square.quantile(0.95));
    let at_middle = square.chance_above(square.quantile(0.5));
    assert!((at_middle - 0.5).abs() < 0.02 && square.chance_above(MassesPerArea::per_hectare(0.0)) > 0.99);
    let again = fine_map(&records, Some(Length::metres(90.0)), &SETTING).unwrap();
    assert_eq!(again.squares[5].quantile(0.3), map.squares[5].quantile(0.3));
}

/// Squares are never so many that they cannot be seen, and without places there is no map, with a word why.
#[test]
fn the_map_between_the_plots_knows_its_limits() {
    let mut records = pellwood(1, 2027);
    let map = fine_map(&records, Some(Length::metres(5.0)), &Setting { draws: 20, ..SETTING }).unwrap();
    assert!(map.squares.len() < 4_200 && map.side > Length::metres(30.0), "{}", map.squares.len());
    records.plots.iter_mut().for_each(|p| p.place = None);
    let why = fine_map(&records, None, &SETTING).unwrap_err();
    assert_eq!(why[0].code, "D-003");
}

/// Half found means twice as many, and what is not known about the half makes every range wider.
#[test]
fn what_is_not_found_is_added_and_its_doubt_is_kept() {
    let mut records = pellwood(1, 2027);
    let all = densities(&records);
    records.parameters.set("survey.detection", detection(40, 20).unwrap(), "a recount");
    let half = densities(&records);
    let (mut more, mut wider) = (0.0, 0.0);
    let blocks = all.draws.blocks();
    for b in 0..blocks {
        let at = |d: &Density, p| d.draws.quantile(b, p).ln();
        more += at(&half, 0.5) - at(&all, 0.5);
        wider += (at(&half, 0.95) - at(&half, 0.05)) / (at(&all, 0.95) - at(&all, 0.05));
    }
    let (more, wider) = (more / blocks as f64, wider / blocks as f64);
    // The prior expects what it expects: less than ln 2.
    assert!((0.45..0.75).contains(&more), "{more}");
    assert!((1.0..1.3).contains(&wider), "{wider}");
}
