//! Records go to rows and come back unchanged.
#![allow(clippy::unwrap_used)]

use super::super::row::{Cell, Row, Snapshot, Table};
use super::*;
use crownhold::types::*;
use geo::{LineString, MultiPolygon, Point, Polygon};
use jiff::civil::Date;
use proptest::prelude::*;

fn programme() -> Programme {
    Programme { name: "Pellwood".into(), season: 2027, epsg: 32617, units: UnitSystem::Metric, invented: true }
}

fn through_rows(change: impl FnOnce(&mut Records)) -> (Records, Records) {
    let mut records = Records::empty(programme());
    change(&mut records);
    let back = decode(&encode(&records)).unwrap();
    (records, back)
}

fn share() -> impl Strategy<Value = Share> {
    (0.0..=1.0).prop_map(|v| Share::new(v).unwrap())
}
fn maybe<T: std::fmt::Debug>(of: impl Strategy<Value = T>) -> impl Strategy<Value = Option<T>> {
    prop::option::of(of)
}
fn pick<T: Copy + std::fmt::Debug + 'static>(all: &'static [T]) -> impl Strategy<Value = T> {
    prop::sample::select(all)
}
fn day() -> impl Strategy<Value = Date> {
    (1990i16..2040, 1i8..=12, 1i8..=28).prop_map(|(y, m, d)| jiff::civil::date(y, m, d))
}
fn metres() -> impl Strategy<Value = Length> {
    (0.0..900.0).prop_map(Length::metres)
}
fn shape() -> impl Strategy<Value = MultiPolygon<f64>> {
    let corner = (0.0..1e6f64, 0.0..1e7f64);
    let polygon = prop::collection::vec(corner, 3..9).prop_map(|ring| Polygon::new(LineString::from(ring), vec![]));
    prop::collection::vec(polygon, 1..3).prop_map(MultiPolygon)
}
fn hosts() -> impl Strategy<Value = HostShares> {
    (0.0..=1.0, 0.0..=1.0f64).prop_map(|(a, b)| {
        let (susceptible, resistant) = (Share::clamped(a), Share::clamped((1.0 - a) * b));
        HostShares { susceptible, resistant, immune: Share::clamped(1.0 - susceptible.value() - resistant.value()) }
    })
}

prop_compose! {
    fn block()(
        (shape, land_use, ownership, consent) in
            (shape(), pick(LandUse::ALL), pick(Ownership::ALL), pick(Consent::ALL)),
        (canopy, hosts, built_up, elevation) in (maybe(share()), maybe(hosts()), maybe(share()), maybe(metres())),
        (dwellings, survey_closed) in (maybe(any::<u32>()), maybe(day())),
        (name, stratum, neighbourhood) in ("\\PC*[a-z]", maybe("[a-z0-9]{1,8}"), maybe("[A-Z][a-z ]*"))
    ) -> Block {
        Block {
            id: "B'1\"".into(), name, shape, land_use, canopy, hosts, dwellings, ownership, consent,
            stratum: stratum.map(StratumId::new), neighbourhood, elevation, built_up, survey_closed,
        }
    }
}

prop_compose! {
    fn visit()(
        date in day(), observer in "[A-Za-z .]{0,3}[a-z]", note in "\\PC*[a-z]",
        counts in prop::collection::vec(
            (pick(Substrate::ALL), maybe(metres()), any::<u32>(), any::<u32>(), any::<u32>())
                .prop_map(|(substrate, dbh, new, old, out_of_reach)| Count { substrate, dbh, new, old, out_of_reach }),
            0..12)
    ) -> Visit {
        Visit { id: "V1".into(), plot: "P1".into(), date, observer, counts, note }
    }
}

prop_compose! {
    fn past()(
        season in 1950i16..2100,
        density in maybe((0.0..10.0).prop_map(MassesPerArea::per_square_metre)),
        defoliation in maybe(share()),
        sprayed in maybe((0.0..1e7).prop_map(Area::square_metres))
    ) -> PastSeason {
        PastSeason { season, block: "gone".into(), density, treatment: "watch".into(), defoliation, sprayed }
    }
}

fn value() -> impl Strategy<Value = Value> {
    let ordered = (0.1..1.0, 0.0..5.0, 0.0..5.0f64).prop_map(|(a, b, c)| (a, a + b, a + b + c));
    prop_oneof![
        (-1e6..1e6).prop_map(Value::Number),
        ordered.clone().prop_map(|(a, b, c)| Value::Triangular(a, b, c)),
        ordered.prop_map(|(a, b, c)| Value::Lognormal(a, b, c)),
        (-10.0..10.0, 0.0..5.0).prop_map(|(m, s)| Value::Normal(m, s)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn blocks_come_back(block in block()) {
        prop_assume!(block.shape.0.iter().all(|p| p.exterior().0.len() >= 4));
        let (records, back) = through_rows(|r| r.blocks = vec![block]);
        prop_assert_eq!(back, records);
    }

    #[test]
    fn visits_come_back_with_counts_in_order(visit in visit()) {
        let block = Block {
            shape: MultiPolygon(vec![Polygon::new(LineString::from(vec![(0., 0.), (1., 0.), (1., 1.)]), vec![])]),
            id: "B".into(), name: "B".into(), land_use: LandUse::Other, canopy: None, hosts: None, dwellings: None,
            ownership: Ownership::Public, consent: Consent::Given, stratum: None, neighbourhood: None,
            elevation: None, built_up: None, survey_closed: None,
        };
        let place = Some(Point::new(0.5, 0.25));
        let plot = Plot { id: "P1".into(), block: "B".into(), place, method: PlotMethod::Square, area: None };
        let (records, back) = through_rows(|r| {
            r.blocks = vec![block];
            r.plots = vec![plot];
            r.visits = vec![visit];
        });
        prop_assert_eq!(back, records);
    }

    #[test]
    fn past_seasons_come_back(past in past()) {
        let (records, back) = through_rows(|r| r.past = vec![past]);
        prop_assert_eq!(back, records);
    }

    /// Through the cells of a parameter row; the row's name does not matter for its value.
    #[test]
    fn parameter_values_come_back(value in value()) {
        let (form, [a, b, c]) = rules::value_cells(value);
        let cells = vec![Cell::from("x"), form.into(), a, b, c, "".into(), "".into()];
        let mut problems = Vec::new();
        let row = Row { fid: None, cells };
        let back = rules::value(&mut Reader::new(&rules::PARAMETERS, "x", &row, &mut problems));
        prop_assert_eq!((back, problems), (Some(value), vec![]));
    }
}

fn faults(table: &'static Table, cells: Vec<Cell>) -> Vec<String> {
    let mut rows = encode(&Records::empty(programme()));
    rows.insert(table, Row { fid: Some(12), cells });
    decode(&rows).unwrap_err().iter().map(ToString::to_string).collect()
}

/// A row typed in by hand with one fault in each column: all are reported, each with its place.
#[test]
fn every_fault_of_a_block_is_named() {
    let text = |t: &str| Cell::from(t);
    let cells = vec![
        text("B-9"),
        Cell::Null,
        text("golf course"),
        Cell::Real(62.0),
        Cell::Real(0.5),
        Cell::Real(0.4),
        Cell::Real(0.4),
        Cell::Real(3.5),
        Cell::Null,
        text("maybe"),
        Cell::Null,
        Cell::Null,
        text("high"),
        Cell::Real(-0.1),
        text("30/11/2026"),
        Cell::Blob(b"GP".to_vec()),
    ];
    insta::assert_snapshot!(faults(&land::BLOCKS, cells).join("\n"));
}

#[test]
fn a_block_typed_in_with_little_reads_well() {
    let shape = MultiPolygon(vec![Polygon::new(LineString::from(vec![(0., 0.), (9., 0.), (9., 9.)]), vec![])]);
    let mut cells = vec![Cell::Null; land::BLOCKS.columns.len()];
    let mut set = |column: &str, cell: Cell| cells[land::BLOCKS.position(column)] = cell;
    set("id", " B-9 ".into());
    set("land_use", "Recreation-Woodland".into());
    set("ownership", "PUBLIC".into());
    set("consent", "not needed".into());
    set("stratum", "".into());
    set("geom", super::super::geometry::write_shape(&shape, 32617).into());
    let mut rows: Snapshot = encode(&Records::empty(programme()));
    rows.insert(&land::BLOCKS, Row { fid: Some(1), cells });
    let block = decode(&rows).unwrap().blocks.remove(0);
    assert_eq!((block.id.as_str(), block.name.as_str(), block.stratum), ("B-9", "B-9", None));
    assert_eq!((block.land_use, block.shape), (LandUse::Woodland, shape));
}

#[test]
fn unknown_parameters_and_bad_values_are_named() {
    let row = |name: &str, form: &str, a: f64| {
        vec![name.into(), form.into(), a.into(), Cell::Null, Cell::Null, Cell::Null, "city".into()]
    };
    insta::assert_snapshot!(faults(&rules::PARAMETERS, row("timing.no_such_thing", "triangular", 3.0)).join("\n"));
}

#[test]
fn what_hangs_in_the_air_is_named() {
    let mut records = Records::empty(programme());
    records.plots =
        vec![Plot { id: "P1".into(), block: "B-404".into(), place: None, method: PlotMethod::WholeLot, area: None }];
    let rule = DecisionRule::NeverFly;
    records.decisions = vec![FixedDecision { block: "B-405".into(), rule, note: String::new() }];
    let problems: Vec<_> = decode(&encode(&records)).unwrap_err().iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(problems.join("\n"));
}

#[test]
fn two_of_one_name_are_refused() {
    let mut records = Records::empty(programme());
    records.strata =
        vec![Stratum { id: "oak".into(), name: "a".into() }, Stratum { id: " oak".into(), name: "b".into() }];
    let problems = decode(&encode(&records)).unwrap_err();
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].code, "S-106");
}

/// The page that describes the file names every table, column and code, so that it cannot fall behind.
#[test]
fn the_format_page_is_complete() {
    let page = include_str!("../../../../../docs/formats/programme-file.md");
    let mut missing = Vec::new();
    for table in TABLES.iter().copied().chain([&DEFAULTS]) {
        let line = page.lines().find(|line| line.starts_with(&format!("| `{}` |", table.name)));
        let named = |column: &&&str| line.is_some_and(|line| line.contains(&format!("`{column}`")));
        missing.extend(table.columns.iter().filter(|c| !named(c)).map(|c| format!("{}.{c}", table.name)));
    }
    assert_eq!(missing, Vec::<String>::new());
}

/// One problem for one missing cell.
#[test]
fn a_prism_plot_needs_its_factor() {
    let block = Cell::from("B-1");
    let said = faults(&survey::PLOTS, vec!["P1".into(), block, "Prism".into(), Cell::Null, Cell::Null, Cell::Null]);
    let codes: Vec<_> = said.iter().map(|line| &line[6..11]).collect();
    assert_eq!(codes, ["S-101", "S-107"], "the factor, and the block that is not there: {said:?}");
}
