//! A small invented town with every stage filled in, so that papers can be tried without computing anything.
//! All figures are made up by simple formulas; none is expected of a model.

use crownhold::field::{WorkOrder, WorkOrders};
use crownhold::outlook::Outlook;
use crownhold::plan::{Aims, Binding, BlockPlan, HoursUsed, Plan, Risk, RunnerUp, Status};
use crownhold::survey::{Density, DensityEstimate, DensityMethod, Dispersion, NewShare};
use crownhold::tactics::{BlockOption, BlockOptions, Bundle, Flying, Labour, Options, RuleOfThumb};
use crownhold::timing::{Event, EventDates, Timing, Window, WindowKind};
use crownhold::types::{
    Area, Block, BlockId, Consent, Draws, HostShares, Hours, LandUse, Length, MassesPerArea, Money, NoSprayArea,
    NoSprayId, NoSprayKind, Ownership, Period, Problem, Programme, Records, Resources, Share, StationId, Tactic,
    UnitSystem, Workforce,
};
use crownhold_print::SeasonPlanInputs;
use geo::{LineString, MultiPolygon, Polygon};
use jiff::ToSpan as _;
use jiff::civil::{Date, date};

/// The day every paper of the town is issued on.
pub const ISSUED: Date = date(2027, 4, 20);

const DRAWS: usize = 200;
const BUNDLES: [&str; 8] = [
    "watch",
    "scraping",
    "bands",
    "scraping + bands",
    "ground Btk",
    "aerial Btk once",
    "aerial Btk twice",
    "scraping + aerial Btk twice",
];

/// All stages of the town.
#[derive(Clone, Debug)]
pub struct Town {
    pub records: Records,
    pub density: Density,
    pub outlook: Outlook,
    pub timing: Timing,
    pub options: Options,
    pub plan: Plan,
    pub orders: WorkOrders,
    pub over_threshold: Option<RuleOfThumb>,
}

impl Town {
    /// Twelve blocks: one in two parts, one without plots, one barred from flying.
    pub fn small() -> Self {
        Self::grid(4, 3)
    }

    /// Blocks in a wobbly grid.
    pub fn grid(columns: usize, rows: usize) -> Self {
        let records = records(columns, rows);
        let n = records.blocks.len();
        let chosen: Vec<usize> = (0..n).map(choice).collect();
        let options = options(&records);
        let plan = plan(&options, &chosen);
        let orders = orders(&plan);
        Self {
            density: density(&records),
            outlook: outlook(&records),
            timing: timing(),
            over_threshold: Some(RuleOfThumb {
                flown: records.blocks.iter().map(Block::area).sum::<Area>() * 1.2,
                over_tolerance: records.blocks.iter().map(Block::area).sum::<Area>() * 0.1,
            }),
            records,
            options,
            plan,
            orders,
        }
    }

    /// Everything, borrowed.
    pub fn inputs(&self) -> SeasonPlanInputs<'_> {
        SeasonPlanInputs {
            records: &self.records,
            density: &self.density,
            outlook: &self.outlook,
            timing: &self.timing,
            options: &self.options,
            plan: &self.plan,
            orders: &self.orders,
            over_threshold: self.over_threshold,
            stress: None,
        }
    }
}

/// How heavily block `i` is attacked, 0 to 1.
fn pressure(i: usize) -> f64 {
    (i * 7 % 12) as f64 / 11.0
}

/// Position in [`BUNDLES`] of the option taken for block `i`; block 4 may not be flown.
fn choice(i: usize) -> usize {
    let by_pressure = [0, 0, 0, 1, 2, 3, 4, 5, 5, 6, 6, 7];
    if i == 4 { 4 } else { by_pressure[(pressure(i) * 11.0).round() as usize] }
}

fn records(columns: usize, rows: usize) -> Records {
    let mut records = Records::empty(Programme {
        name: "Pellwood".to_owned(),
        season: 2027,
        epsg: 26_918,
        units: UnitSystem::Us,
        invented: true,
    });
    records.blocks = (0..columns * rows).map(|i| block(i, columns)).collect();
    // A second part beyond the eastern edge.
    if let Some(b) = records.blocks.get_mut(5) {
        b.shape.0.push(cell(columns as f64 + 0.1, 0.4, 0.8, 0.7));
    }
    let area = |id: &str, kind, shape, note: &str| NoSprayArea {
        id: NoSprayId::new(id),
        kind,
        shape: MultiPolygon::new(vec![shape]),
        buffer: Some(Length::metres(30.0)),
        note: note.to_owned(),
    };
    records.no_spray = vec![
        area("N1", NoSprayKind::Water, cell(1.6, 1.2, 0.8, 0.5), "Mill Pond"),
        area("N2", NoSprayKind::OrganicFarm, cell(2.9, 0.1, 0.35, 0.5), "Hollow Farm"),
    ];
    records.resources = Resources { budget: Some(Money::dollars(90_000.0)), most_sprayed: None, hours: Vec::new() };
    records
}

/// A four-sided patch in grid cells of 600 by 450 m; its corners wobble so that no edge is straight north.
fn cell(column: f64, row: f64, width: f64, height: f64) -> Polygon<f64> {
    let corner = |x: f64, y: f64| {
        let (wx, wy) = ((x * 2.3 + y * 1.7).sin() * 70.0, (x * 1.9 - y * 2.9).cos() * 60.0);
        (500_000.0 + x * 600.0 + wx, 4_700_000.0 + y * 450.0 + wy)
    };
    let ring = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
    Polygon::new(LineString::from_iter(ring.map(|(dx, dy)| corner(column + dx, row + dy))), Vec::new())
}

fn block(i: usize, columns: usize) -> Block {
    const NAMES: [&str; 6] = ["Mill Lane", "High Common", "Oakridge", "Station Field", "Lower Green", "Ferry Bank"];
    const USES: [LandUse; 4] = [LandUse::Residential, LandUse::Park, LandUse::Woodland, LandUse::School];
    let share = |v| Share::new(v).unwrap();
    Block {
        id: BlockId::new(format!("B-{:03}", i + 1)),
        name: NAMES[i % NAMES.len()].to_owned(),
        shape: MultiPolygon::new(vec![cell((i % columns) as f64, (i / columns) as f64, 1.0, 1.0)]),
        land_use: USES[i % USES.len()],
        canopy: Some(share(0.5)),
        hosts: Some(HostShares { susceptible: share(0.6), resistant: share(0.3), immune: share(0.1) }),
        dwellings: Some(120),
        ownership: Ownership::Mixed,
        consent: if i == 4 { Consent::Refused } else { Consent::Given },
        stratum: None,
        neighbourhood: Some(if i.is_multiple_of(2) { "Northside" } else { "Southside" }.to_owned()),
        elevation: None,
        built_up: None,
        survey_closed: Some(date(2026, 12, 1)),
    }
}

fn density(records: &Records) -> Density {
    let estimate = |i: usize| {
        let centre = 40.0 + 900.0 * pressure(i);
        let none = i == 7;
        DensityEstimate {
            plots: if none { 0 } else { 4 },
            masses: if none { 0.0 } else { centre / 10.0 },
            area_square_metres: if none { 0.0 } else { 404.7 },
            estimate: MassesPerArea::per_acre(centre),
            low: MassesPerArea::per_acre(centre * if none { 0.2 } else { 0.5 }),
            high: MassesPerArea::per_acre(centre * if none { 4.0 } else { 1.9 }),
            method: if none { DensityMethod::Stratum } else { DensityMethod::OwnPlots },
        }
    };
    Density {
        blocks: records.blocks.iter().enumerate().map(|(i, b)| (b.id.clone(), estimate(i))).collect(),
        strata: Vec::new(),
        draws: draws(records.blocks.len(), |i, p| (100.0 + 2_200.0 * pressure(i)) * (0.5 + 1.4 * p)),
        level: 0.9,
        dispersion: Dispersion { k: 0.8, range: (0.4, 1.6), plots: Some(44) },
        space: None,
        walks: None,
        new_share: Some(NewShare { new: 310, old: 140, share: 0.689, low: 0.645, high: 0.73 }),
        notes: vec![Problem::notice(
            "survey-trap",
            "3 trap catches were left out.",
            "They are an index, not a density.",
        )],
    }
}

/// Draws by a formula of block and quantile; the draws run through evenly spread quantiles in a fixed order.
fn draws(blocks: usize, value: impl Fn(usize, f64) -> f64) -> Draws {
    let at = |d: usize| ((d * 77) % DRAWS) as f64 / (DRAWS - 1) as f64;
    Draws::from_blocks((0..blocks).map(|i| (0..DRAWS).map(|d| value(i, at(d))).collect()).collect(), DRAWS)
}

fn untreated(i: usize, p: f64) -> f64 {
    1.0 / (1.0 + (-(6.0 * pressure(i) - 3.0 + 2.4 * (p - 0.5))).exp())
}

fn outlook(records: &Records) -> Outlook {
    let n = records.blocks.len();
    Outlook {
        blocks: records.blocks.iter().map(|b| b.id.clone()).collect(),
        defoliation: draws(n, untreated),
        dead_trees: draws(n, |i, p| 4.0 * untreated(i, p)),
        loss: draws(n, |i, p| 9_000.0 * untreated(i, p)),
        next_density: draws(n, |i, p| 3_000.0 * untreated(i, p)),
    }
}

fn timing() -> Timing {
    const MIDDLES: [(i8, i8); 15] = [
        (5, 1),
        (5, 7),
        (5, 15),
        (5, 19),
        (5, 23),
        (5, 28),
        (6, 6),
        (7, 2),
        (7, 16),
        (7, 19),
        (8, 10),
        (5, 3),
        (5, 17),
        (5, 8),
        (5, 22),
    ];
    let around = |(month, day): (i8, i8)| -> Vec<Option<Date>> {
        (0..30).map(|m| Some(date(2027, month, day) + (m * 7 % 15 - 7).days())).collect()
    };
    let window = |kind, opens, closes, rule: &str| Window {
        kind,
        opens: around(opens),
        closes: around(closes),
        rule: rule.to_owned(),
    };
    let mut events: Vec<EventDates> = Event::ALL
        .iter()
        .zip(MIDDLES)
        .map(|(event, middle)| EventDates { event: *event, dates: around(middle) })
        .collect();
    // In three years of thirty the laying is not over before the year ends.
    events[10].dates[..3].fill(None);
    // In six of thirty there is no day to fly.
    let mut aerial =
        window(WindowKind::AerialBtk, (5, 18), (5, 30), "Leaves at 40 %, most larvae in the second instar.");
    aerial.opens[..6].fill(None);
    aerial.closes[..6].fill(None);
    Timing {
        season: 2027,
        issued: ISSUED,
        station: StationId::new("PWD1"),
        years: (1997..2027).collect(),
        events,
        windows: vec![
            window(WindowKind::Scraping, (1, 10), (4, 26), "From the closing of the count to the first hatch."),
            window(WindowKind::GroundBtk, (5, 16), (6, 2), "First and second instar on leaves of 40 %."),
            aerial,
            window(WindowKind::Bands, (5, 26), (7, 12), "From the third instar to pupation."),
            window(WindowKind::Survey, (8, 20), (12, 1), "From the end of laying."),
        ],
        hosts: Vec::new(),
        signs: Vec::new(),
        stages: Vec::new(),
        heat: Vec::new(),
        learned: None,
        notes: Vec::new(),
    }
}

fn options(records: &Records) -> Options {
    let of_block = |i: usize, b: &Block| BlockOptions {
        block: b.id.clone(),
        neighbourhood: b.neighbourhood.clone(),
        host_area: b.host_area().unwrap(),
        tolerance: Share::new(0.3).unwrap(),
        accepted_chance: 0.25,
        no_spray_share: if i == 4 { 1.0 } else { 0.05 },
        options: (0..BUNDLES.len()).map(|o| option(i, o, b.area())).collect(),
    };
    let blocks = records.blocks.iter().enumerate().map(|(i, b)| of_block(i, b)).collect();
    Options { blocks, flying: Flying::default(), draws: DRAWS, seed: 11 }
}

fn option(i: usize, which: usize, area: Area) -> BlockOption {
    let bundle = Bundle::from_key(BUNDLES[which]).unwrap();
    let flights: u32 = bundle.tactics().iter().map(|t| t.flights()).sum();
    let sprayed = area * (0.95 * f64::from(flights));
    let barred = if i == 4 && flights > 0 {
        vec!["The owner has refused consent to spray from the air.".to_owned()]
    } else {
        Vec::new()
    };
    let labour = bundle.tactics().iter().filter(|t| !t.is_aerial()).map(|t| labour(*t)).collect();
    // Bands do next to nothing where there is much.
    let removed =
        if which == 2 && pressure(i) > 0.5 { 0.016 } else { [0.0, 0.2, 0.15, 0.32, 0.6, 0.75, 0.92, 0.94][which] };
    BlockOption {
        cost: Money::dollars(sprayed.as_acres() * 55.0 + if bundle.has(Tactic::GroundBtk) { 4_200.0 } else { 0.0 }),
        bundle,
        barred,
        labour,
        sprayed,
        chance_over: untreated(i, 0.8) * (1.0 - removed),
        expected_defoliation: untreated(i, 0.5) * (1.0 - removed),
        larvae_removed: removed,
    }
}

fn labour(tactic: Tactic) -> Labour {
    let (period, hours) = match tactic {
        Tactic::Scraping => (Period::Winter, 38.0),
        Tactic::Bands => (Period::Summer, 64.0),
        _ => (Period::Spring, 22.0),
    };
    Labour { period, hours: Hours::hours(hours), volunteers_may: tactic != Tactic::GroundBtk }
}

fn plan(options: &Options, chosen: &[usize]) -> Plan {
    let blocks: Vec<BlockPlan> =
        options.blocks.iter().zip(chosen).enumerate().map(|(i, (b, c))| decision(i, b, *c)).collect();
    let host = |of: fn(&BlockPlan) -> f64| -> Area {
        blocks.iter().zip(&options.blocks).map(|(p, o)| o.host_area * of(p)).sum()
    };
    let (untreated, planned) = (host(|p| p.chance_over_untreated), host(|p| p.chance_over));
    let sprayed = blocks.iter().map(|b| b.sprayed).sum();
    let cost = blocks.iter().map(|b| b.cost).sum();
    let hours = |who, period, place: Option<&str>, used, available| HoursUsed {
        who,
        period,
        neighbourhood: place.map(ToOwned::to_owned),
        used: Hours::hours(used),
        available: Hours::hours(available),
    };
    Plan {
        status: Status::Optimal,
        gap: 0.0004,
        aims: Aims { host_beyond_accepted: planned * 0.5, sprayed, cost },
        risk: Risk {
            in_sample: planned,
            out_of_sample: Some(planned * 1.03),
            standard_error: Some(planned * 0.02),
            range: Some((planned * 0.6, planned * 1.7)),
            worst_tenth: Some(planned * 2.1),
            fresh_draws: 2_000,
            untreated,
        },
        binding: vec![
            Binding { limit: "money".to_owned(), available: 90_000.0, used: 89_640.0, unit: "$" },
            used_up("crew hours, winter, any neighbourhood", 120.0, 120.0),
            used_up("volunteer hours, summer, Northside", 130.0, 130.0),
            used_up("volunteer hours, summer, Southside", 90.0, 61.0),
        ],
        hours: vec![
            hours(Workforce::Crew, Period::Spring, None, 44.0, 120.0),
            hours(Workforce::Volunteers, Period::Winter, None, 114.0, 200.0),
            hours(Workforce::Volunteers, Period::Summer, Some("Northside"), 130.0, 130.0),
            hours(Workforce::Volunteers, Period::Summer, Some("Southside"), 0.0, 90.0),
        ],
        blocks,
        seed: 11,
        draws: DRAWS,
    }
}

fn used_up(limit: &str, available: f64, used: f64) -> Binding {
    Binding { limit: limit.to_owned(), available, used, unit: "hours" }
}

fn decision(i: usize, b: &BlockOptions, c: usize) -> BlockPlan {
    let o = &b.options[c];
    let by = |volunteers: bool| o.labour.iter().filter(|l| l.volunteers_may == volunteers).map(|l| l.hours).sum();
    BlockPlan {
        block: b.block.clone(),
        option: c,
        bundle: o.bundle.clone(),
        sprayed: o.sprayed,
        cost: o.cost,
        crew_hours: by(false),
        volunteer_hours: by(true),
        chance_over: o.chance_over,
        chance_over_untreated: untreated(i, 0.8),
        why: if c == 0 {
            "Few masses: the chance of bare crowns is within what is accepted.".to_owned()
        } else {
            "The least sprayed area that brings the chance of bare crowns down to what is accepted.".to_owned()
        },
        runner_up: (c > 0).then(|| RunnerUp {
            bundle: b.options[c - 1].bundle.clone(),
            why_not: "It would leave the chance above the accepted one.".to_owned(),
        }),
    }
}

fn orders(plan: &Plan) -> WorkOrders {
    let days = |t: Tactic| match t {
        Tactic::Scraping => (date(2027, 1, 10), date(2027, 4, 19)),
        Tactic::Bands => (date(2027, 5, 27), date(2027, 7, 5)),
        Tactic::GroundBtk => (date(2027, 5, 19), date(2027, 5, 29)),
        _ => (date(2027, 5, 20), date(2027, 5, 27)),
    };
    let order = |b: &BlockPlan, t: Tactic| WorkOrder {
        block: b.block.clone(),
        tactic: t,
        ready: Some(days(t).0 - 4.days()),
        from: Some(days(t).0),
        to: Some(days(t).1),
        notices_by: t.is_aerial().then(|| days(t).0 - 18.days()),
        hours: if t.is_aerial() { Hours::ZERO } else { labour(t).hours },
        caution: if t.is_aerial() || t == Tactic::GroundBtk {
            "The label is the law; licensed applicators only."
        } else {
            "Gloves and eye protection: hairs cause rashes."
        },
    };
    WorkOrders {
        orders: plan
            .blocks
            .iter()
            .flat_map(|b| b.bundle.tactics().iter().map(|t| order(b, *t)).collect::<Vec<_>>())
            .collect(),
    }
}
