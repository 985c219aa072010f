//! Invented cities, from a seed. Used by the tests, the bench and the example.

use crownhold::plan::Limits;
use crownhold::tactics::{BlockOption, BlockOptions, Bundle, Flying, Labour, Options, Turns};
use crownhold::types::chance::{Stream, normal, stream, uniform};
use crownhold::types::{Area, BlockId, Hours, HoursSupply, Money, Period, Share, Tactic, Workforce};

type City = (Options, Limits);

/// A city like a real one: chances, costs and hours go with host area and density.
/// 14 bundles a block, nine neighbourhoods, limits that cannot serve everybody.
pub fn realistic(seed: u64, blocks: usize) -> City {
    let mut rng = stream(seed, "city", 0);
    let all: Vec<BlockOptions> = (0..blocks).map(|i| realistic_block(&mut rng, i)).collect();
    let dearest: f64 = all.iter().map(|b| b.options[4].cost.as_dollars()).sum();
    let ground: f64 = all.iter().map(|b| b.options[4].sprayed.as_acres()).sum();
    let mut hours = Vec::new();
    for n in 0..9 {
        for (period, share) in [(Period::Winter, 4.0), (Period::Summer, 3.0)] {
            let amount = share * blocks as f64 * (0.5 + uniform(&mut rng));
            hours.push(supply(Workforce::Volunteers, period, Some(format!("N{n}")), amount));
        }
    }
    for &period in Period::ALL {
        hours.push(supply(Workforce::Crew, period, None, 9.0 * blocks as f64));
    }
    let limits = Limits {
        budget: Some(Money::dollars((0.35 * dearest).round())),
        most_sprayed: Some(Area::acres((0.4 * ground).round())),
        hours,
        crew_wage: Money::dollars(32.0),
    };
    (Options { blocks: all, flying: Flying::default(), draws: 500, seed }, limits)
}

fn supply(who: Workforce, period: Period, neighbourhood: Option<String>, hours: f64) -> HoursSupply {
    HoursSupply { who, period, neighbourhood, hours: Hours::hours(hours) }
}

fn realistic_block(rng: &mut Stream, i: usize) -> BlockOptions {
    use Tactic::{AerialOnce, AerialTwice, Bands, GroundBtk, Scraping};
    let bundles: [&[Tactic]; 14] = [
        &[],
        &[Scraping],
        &[Bands],
        &[GroundBtk],
        &[AerialOnce],
        &[AerialTwice],
        &[Scraping, Bands],
        &[Scraping, GroundBtk],
        &[Bands, GroundBtk],
        &[Scraping, AerialOnce],
        &[Bands, AerialOnce],
        &[Scraping, AerialTwice],
        &[Scraping, Bands, AerialOnce],
        &[Scraping, Bands, GroundBtk],
    ];
    let host = 3.0 + 57.0 * uniform(rng).powi(2);
    let flown = host * (1.2 + uniform(rng));
    let logit = 2.4 * normal(rng) - 0.5;
    let effect: Vec<f64> = [0.9, 0.6, 1.4, 2.2, 3.4].iter().map(|e: &f64| e * (0.2 * normal(rng)).exp()).collect();
    let no_flight = uniform(rng) < 0.12;
    let scraping_hours = (host * (1.0 + 2.5 * uniform(rng))).clamp(5.0, 200.0);
    let options = bundles
        .iter()
        .map(|tactics| {
            let bundle = Bundle::new(tactics.to_vec());
            let gain: f64 = tactics.iter().map(|&t| effect[t as usize]).sum();
            let p: f64 = 1.0 / (1.0 + (gain - logit).exp());
            option(bundle, flown, host, scraping_hours, (p * 500.0).round() / 500.0, no_flight)
        })
        .collect();
    BlockOptions {
        block: BlockId::new(format!("B{i:03}")),
        neighbourhood: (i % 20 != 19).then(|| format!("N{}", i % 9)),
        host_area: Area::acres(host),
        tolerance: Share::clamped(0.4),
        accepted_chance: [0.1, 0.2, 0.3][i % 3],
        no_spray_share: 0.0,
        options,
    }
}

fn option(bundle: Bundle, flown: f64, host: f64, scraping: f64, chance: f64, no_flight: bool) -> BlockOption {
    let flights: u32 = bundle.tactics().iter().map(|t| t.flights()).sum();
    let times = f64::from(flights);
    let mut cost = times * (250.0 + 75.0 * flown);
    let mut labour = Vec::new();
    let mut work = |period, hours: f64, volunteers_may| {
        labour.push(Labour { period, hours: Hours::hours(hours), volunteers_may });
    };
    if bundle.has(Tactic::Scraping) {
        cost += 2.0 * host;
        work(Period::Winter, 0.8 * scraping, true);
        work(Period::Winter, 0.2 * scraping, false);
    }
    if bundle.has(Tactic::Bands) {
        cost += 9.0 * host;
        work(Period::Summer, 5.0 + 2.2 * host, true);
    }
    if bundle.has(Tactic::GroundBtk) {
        cost += 300.0 + 60.0 * host;
        work(Period::Spring, 4.0 + 0.9 * host, false);
    }
    let barred = if no_flight && flights > 0 { vec!["Consent to spray was refused.".to_owned()] } else { Vec::new() };
    BlockOption {
        bundle,
        barred,
        cost: Money::dollars(cost),
        labour,
        sprayed: Area::acres(times * flown),
        chance_over: chance,
        expected_defoliation: chance,
        larvae_removed: 0.0,
    }
}

/// A small city without rhyme or reason, to try the corners: up to `blocks` blocks of up to `options`
/// options, any limit may be missing, zero or tight. Watching is always allowed and needs nothing.
pub fn wild(seed: u64, blocks: usize, options: usize) -> City {
    let mut rng = stream(seed, "wild", 0);
    let count = 1 + (uniform(&mut rng) * blocks as f64) as usize;
    let all: Vec<BlockOptions> = (0..count).map(|i| wild_block(&mut rng, i, options)).collect();
    let mut hours = Vec::new();
    for _ in 0..8 {
        let who = Workforce::ALL[pick(&mut rng, 2)];
        let period = Period::ALL[pick(&mut rng, 3)];
        let amount = uniform(&mut rng) * 60.0;
        hours.push(supply(
            who,
            period,
            [None, Some("N0".to_owned()), Some("N1".to_owned())][pick(&mut rng, 3)].clone(),
            amount,
        ));
    }
    let maybe = |rng: &mut Stream, most: f64| (uniform(rng) < 0.8).then(|| (uniform(rng) * most).round());
    let limits = Limits {
        budget: maybe(&mut rng, 3_000.0 * count as f64).map(Money::dollars),
        most_sprayed: maybe(&mut rng, 40.0 * count as f64).map(Area::acres),
        hours,
        crew_wage: Money::dollars([0.0, 20.0, 35.5][pick(&mut rng, 3)]),
    };
    (Options { blocks: all, flying: Flying::default(), draws: 100, seed }, limits)
}

/// The same with ground: blocks in rows, most neighbours joined, spray blocks of at least so many acres that each cost
/// something to set up, and something for every turn.
pub fn on_the_ground((mut options, limits): City, seed: u64, [least, set_up, turn]: [f64; 3]) -> City {
    let mut rng = stream(seed, "ground", 0);
    let count = options.blocks.len();
    let wide = (count as f64).sqrt().ceil() as usize;
    let mut neighbours = vec![Vec::new(); count];
    for i in 0..count {
        let right = (i % wide + 1 < wide).then_some(i + 1);
        for j in [right, Some(i + wide)].into_iter().flatten().filter(|&j| j < count) {
            if uniform(&mut rng) < 0.9 {
                neighbours[i].push(j);
                neighbours[j].push(i);
            }
        }
    }
    neighbours.iter_mut().for_each(|n| n.sort_unstable());
    // By itself a block has 8 to 12 turns; flown with the next one in its row it saves up to 4.
    let mut saved: Vec<Vec<f64>> = neighbours.iter().map(|n| vec![0.0; n.len()]).collect();
    for (i, around) in neighbours.iter().enumerate() {
        for (at, &j) in around.iter().enumerate().filter(|&(_, &j)| j > i) {
            saved[i][at] = if j == i + 1 { 4.0 * uniform(&mut rng) } else { 0.2 };
            let back = neighbours[j].binary_search(&i).unwrap_or_default();
            saved[j][back] = saved[i][at];
        }
    }
    let alone = (0..count).map(|_| 8.0 + 4.0 * uniform(&mut rng)).collect();
    let turns = Turns { heading: 0.0, alone, saved, price: Money::dollars(turn) };
    options.flying = Flying { neighbours, least: Area::acres(least), set_up: Money::dollars(set_up), turns };
    (options, limits)
}

fn pick(rng: &mut Stream, of: usize) -> usize {
    ((uniform(rng) * of as f64) as usize).min(of - 1)
}

fn wild_block(rng: &mut Stream, i: usize, options: usize) -> BlockOptions {
    let bundles =
        [vec![], vec![Tactic::Scraping], vec![Tactic::AerialOnce], vec![Tactic::Bands], vec![Tactic::AerialTwice]];
    let all = bundles.into_iter().take(options).map(|tactics| {
        let bundle = Bundle::new(tactics);
        let watch = bundle.tactics().is_empty();
        let flights: u32 = bundle.tactics().iter().map(|t| t.flights()).sum();
        let labour = (0..if watch { 0 } else { pick(rng, 4) })
            .map(|_| Labour {
                period: Period::ALL[pick(rng, 3)],
                hours: Hours::hours((uniform(rng) * 40.0).round()),
                volunteers_may: uniform(rng) < 0.6,
            })
            .collect();
        BlockOption {
            barred: if !watch && uniform(rng) < 0.2 { vec!["Barred by chance.".to_owned()] } else { Vec::new() },
            bundle,
            cost: Money::dollars(if watch { 0.0 } else { (uniform(rng) * 3_000.0).round() }),
            labour,
            sprayed: Area::acres(f64::from(flights) * (uniform(rng) * 30.0).round()),
            chance_over: (uniform(rng) * 100.0).round() / 100.0,
            expected_defoliation: 0.0,
            larvae_removed: 0.0,
        }
    });
    BlockOptions {
        block: BlockId::new(format!("B{i}")),
        options: all.collect(),
        neighbourhood: [None, Some("N0".to_owned()), Some("N1".to_owned()), Some("N2".to_owned())][pick(rng, 4)]
            .clone(),
        host_area: Area::acres((uniform(rng) * 30.0).round()),
        tolerance: Share::clamped(0.4),
        accepted_chance: [0.0, 0.1, 0.3][pick(rng, 3)],
        no_spray_share: 0.0,
    }
}
