//! Draws every picture of the desk for Pellwood, wide and narrow, on a light and on a dark page, to be looked at:
//! `cargo run -p crownhold-print --example desk_pictures -- FOLDER`

use std::fmt::Write as _;
use std::path::Path;
use std::process::ExitCode;

use crownhold::Setting;
use crownhold::outlook::by_land_use;
use crownhold::pellwood::pellwood;
use crownhold::survey::{Density, DensityMethod, estimate};
use crownhold::timing::{Field, HeatAxis, Timing, Window, forecast};
use crownhold::types::{Block, DayWeather, MassesPerArea, Parameters, Problem, Records, UnitSystem, WeatherSeries};
use crownhold_print::charts::{
    CompareBar, Deadline, DensityRow, WindowBars, YearRing, bars_compare, density_dots, heat_fan, ledger,
    season_ledger, stage_areas, window_bars, year_ring,
};
use crownhold_print::palette::{Theme, declarations};
use crownhold_print::{Sheet, Size};
use jiff::civil::{Date, date};

const SEASON: i16 = 2027;

fn main() -> ExitCode {
    let Some(folder) = std::env::args().nth(1) else {
        eprintln!("usage: desk_pictures FOLDER");
        return ExitCode::FAILURE;
    };
    match write(Path::new(&folder)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn write(folder: &Path) -> Result<(), String> {
    let records = pellwood(1, SEASON);
    let autumn = Year::at(&records, date(SEASON - 1, 11, 20)).map_err(|p| said(&p))?;
    let spring = Year::at(&records, date(SEASON, 4, 20)).map_err(|p| said(&p))?;
    for size in [Size::Wide, Size::Narrow] {
        let pictures = pictures(&records, &autumn, &spring, size);
        for theme in [Theme::Light, Theme::Dark] {
            let name = format!("{size:?}-{theme:?}.html").to_lowercase();
            save(folder, &name, &page(&pictures, size, theme))?;
        }
        for (name, svg) in pictures {
            save(folder, &format!("{name}.svg"), &svg)?;
        }
    }
    Ok(())
}

fn save(folder: &Path, name: &str, text: &str) -> Result<(), String> {
    std::fs::write(folder.join(name), text).map_err(|e| format!("{name}: {e}"))
}

fn said(problems: &[Problem]) -> String {
    problems.iter().map(|p| format!("{p}\n")).collect()
}

/// What is known on a day.
struct Year {
    today: Date,
    timing: Timing,
    density: Density,
}

impl Year {
    /// Days of the season up to the day are those of ten years before, a little warmer.
    fn at(records: &Records, today: Date) -> Result<Self, Vec<Problem>> {
        let mut records = records.clone();
        records.weather.iter_mut().for_each(|series| grow(series, today));
        let setting = Setting { today, seed: 1, draws: 300 };
        let timing = forecast(&records.weather, Field::default(), &Parameters::defaults(), SEASON, &setting)?;
        Ok(Self { today, timing, density: estimate(&records, &setting)? })
    }
}

fn grow(series: &mut WeatherSeries, today: Date) {
    let back = jiff::Span::new().years(10);
    let before = series.days.clone();
    let last = before.iter().map(|day| day.date).max().unwrap_or(today);
    let later = |day: &DayWeather| {
        let date = day.date.checked_add(back).ok().filter(|date| *date > last && *date <= today)?;
        Some(DayWeather { date, min: day.min.map(|t| t + 0.8), max: day.max.map(|t| t + 0.8), ..*day })
    };
    series.days.extend(before.iter().filter_map(later));
}

fn pictures(records: &Records, autumn: &Year, spring: &Year, size: Size) -> Vec<(String, String)> {
    let tag = format!("{size:?}").to_lowercase();
    let mut all = Vec::new();
    let mut add = |name: &str, draw: &dyn Fn(&Sheet<'_>) -> String| {
        let id = format!("{name}-{tag}");
        all.push((id.clone(), draw(&Sheet::screen(&id, UnitSystem::Us, size))));
    };
    for (name, year, middle) in
        [("ring-autumn", autumn, ["23 weeks", "to hatch"]), ("ring-spring", spring, ["12 days", "to hatch"])]
    {
        let ring = YearRing { season: SEASON, today: year.today, timing: Some(&year.timing), middle };
        add(name, &|sheet| year_ring(&ring, sheet));
    }
    let bare = YearRing { season: SEASON, today: autumn.today, timing: None, middle: ["No weather", "yet"] };
    add("ring-bare", &|sheet| year_ring(&bare, sheet));
    for (name, year, axis) in [
        ("heat-egg", spring, HeatAxis::Egg),
        ("heat-egg-autumn", autumn, HeatAxis::Egg),
        ("heat-larva", spring, HeatAxis::Larva),
        ("heat-leaf", spring, HeatAxis::Leaf),
    ] {
        if let Some(fan) = year.timing.heat(axis) {
            add(name, &|sheet| heat_fan(fan, year.today, sheet));
        }
    }
    add("stages", &|sheet| stage_areas(&spring.timing.stages, spring.today, sheet));
    let windows: Vec<&Window> = spring.timing.windows.iter().collect();
    let bars = WindowBars {
        windows: &windows,
        span: (date(SEASON, 3, 1), date(SEASON, 9, 30)),
        today: spring.today,
        deadline: Some(Deadline { day: date(SEASON, 4, 28), label: "notice due" }),
    };
    add("windows", &|sheet| window_bars(&bars, sheet));
    let rows = rows(records, &autumn.density);
    add("density", &|sheet| density_dots(&rows, sheet));
    add("compare", &|sheet| bars_compare(&bars_of(), "Host area over tolerance", "acres", sheet));
    add("ledger", &|sheet| season_ledger(&ledger(&records.past), sheet));
    all
}

fn rows(records: &Records, density: &Density) -> Vec<DensityRow> {
    let row = |(i, (id, d)): (usize, &(crownhold::types::BlockId, crownhold::survey::DensityEstimate))| DensityRow {
        label: format!("{id} {}", records.blocks[i].neighbourhood.clone().unwrap_or_default()),
        href: Some(format!("/blocks/{id}")),
        estimate: d.estimate,
        interval: (d.low, d.high),
        own: d.method == DensityMethod::OwnPlots,
        threshold: threshold(&records.blocks[i]),
    };
    let mut rows: Vec<DensityRow> = density.blocks.iter().enumerate().map(row).step_by(9).collect();
    rows.sort_by(|a, b| b.estimate.as_per_acre().total_cmp(&a.estimate.as_per_acre()));
    rows
}

fn threshold(block: &Block) -> MassesPerArea {
    MassesPerArea::per_acre(by_land_use(&Parameters::defaults(), "threshold", block.land_use))
}

/// Made up: the plan is not solved here.
fn bars_of() -> Vec<CompareBar> {
    [("Nothing done", 1_240.0, true), ("Fly all over threshold", 610.0, false), ("This plan", 380.0, false)]
        .map(|(label, value, _)| CompareBar {
            label: label.to_owned(),
            value,
            range: Some((0.72 * value, 1.35 * value)),
            main: label == "This plan",
        })
        .to_vec()
}

fn page(pictures: &[(String, String)], size: Size, theme: Theme) -> String {
    let width = if size == Size::Wide { 760 } else { 360 };
    let mut html = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Pictures of the desk</title>\n<style>:root \
         {{ {} }}\nbody {{ margin: 0; background: var(--paper); color: var(--ink); font-family: system-ui, sans-serif; }}\n\
         figure {{ width: {width}px; margin: 0 0 24px; }} .ring {{ width: {}px; }} svg {{ display: block; width: 100%; \
         }}</style></head>\n<body><main>\n",
        declarations(theme),
        width.min(560),
    );
    for (name, svg) in pictures {
        let class = if name.starts_with("ring") { " class=\"ring\"" } else { "" };
        let _ = writeln!(html, "<figure{class}>{svg}</figure>");
    }
    html + "</main></body></html>\n"
}
