//! The model of counts over space on the invented city, and what walks add to it.

use crownhold::Setting;
use crownhold::pellwood::pellwood;
use crownhold::survey::{Density, DensityMethod, estimate};
use crownhold::types::{Count, Plot, PlotMethod, Records, Substrate, Visit};
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

/// With one plot too few, or one plot without a place, blocks lean on their stratum and that is said.
#[test]
fn without_enough_places_it_falls_back_and_says_so() {
    let mut few = pellwood(1, 2027);
    few.visits.truncate(29);
    let mut lost = pellwood(1, 2027);
    lost.plots[0].place = None;
    for records in [few, lost] {
        let found = densities(&records);
        assert!(found.space.is_none() && found.notes.iter().any(|n| n.code == "D-107"));
        assert!(found.blocks.iter().all(|(_, e)| e.method != DensityMethod::Around));
    }
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
