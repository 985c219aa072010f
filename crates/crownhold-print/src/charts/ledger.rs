//! Past seasons, year by year: what was sprayed, what was eaten.

use std::collections::BTreeMap;

use crownhold::tactics::Bundle;
use crownhold::types::{Area, PastSeason};

use super::{PLAIN, SMALL};
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle};
use crate::wording::{count, percent};

/// One year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LedgerYear {
    /// The year of that spring.
    pub season: i16,
    /// Sprayed from the air, repeats counted; `None` where blocks were flown and no area is on record.
    pub sprayed: Option<Area>,
    /// Plain mean over the blocks observed of the share of favoured-host foliage lost; `None` where none was.
    pub defoliation: Option<f64>,
    /// Blocks in that mean.
    pub observed: usize,
}

/// The years in the records, in order.
pub fn ledger(past: &[PastSeason]) -> Vec<LedgerYear> {
    let mut years: BTreeMap<i16, Vec<&PastSeason>> = BTreeMap::new();
    for season in past {
        years.entry(season.season).or_default().push(season);
    }
    years.into_iter().map(|(season, blocks)| year(season, &blocks)).collect()
}

fn year(season: i16, blocks: &[&PastSeason]) -> LedgerYear {
    let losses: Vec<f64> = blocks.iter().filter_map(|b| b.defoliation).map(|share| share.value()).collect();
    let areas: Vec<Area> = blocks.iter().filter_map(|b| b.sprayed).collect();
    let flown = blocks.iter().any(|b| Bundle::from_key(&b.treatment).is_some_and(|bundle| bundle.flies()));
    LedgerYear {
        season,
        sprayed: (!flown || !areas.is_empty()).then(|| areas.iter().copied().sum()),
        observed: losses.len(),
        defoliation: (!losses.is_empty()).then(|| losses.iter().sum::<f64>() / losses.len() as f64),
    }
}

const ROW: f64 = 30.0;
const TOP: f64 = 40.0;
/// Room of the year in the middle, and of the figures outside.
const YEAR: f64 = 56.0;
const FIGURES: f64 = 66.0;
const NOT_RECORDED: &str = "area not recorded";

/// A line a year: area sprayed to the left, share of foliage lost to the right.
pub fn season_ledger(years: &[LedgerYear], sheet: &Sheet<'_>) -> String {
    let (width, inks, w) = (sheet.size.units(), sheet.inks, sheet.wording());
    let bottom = TOP + ROW * years.len() as f64;
    let mut svg = Svg::new(width, bottom + 8.0);
    let middle = width / 2.0;
    let reach = middle - YEAR / 2.0 - FIGURES - 8.0;
    let most = years.iter().filter_map(|year| year.sprayed).map(|area| area.as_acres()).fold(0.0, f64::max).max(1e-9);
    let head = TextStyle::new(SMALL, inks.soft);
    svg.text(
        (middle - YEAR / 2.0, 16.0),
        head.anchor(Anchor::End),
        &format!("{} {}", w.area_unit(), sheet.size.pick("sprayed from the air", "sprayed")),
    );
    svg.text(
        (middle + YEAR / 2.0, 16.0),
        head,
        sheet.size.pick("foliage lost, mean of blocks observed", "mean foliage lost"),
    );
    scale(&mut svg, sheet, middle + YEAR / 2.0, reach, bottom);
    for (i, year) in years.iter().enumerate() {
        let y = TOP + ROW * (i as f64 + 0.5);
        let figure = TextStyle::new(PLAIN, inks.ink);
        svg.text((middle, y + 4.5), figure.bold().anchor(Anchor::Middle), &year.season.to_string());
        sprayed(&mut svg, sheet, year, (middle - YEAR / 2.0, y), reach / most);
        let start = middle + YEAR / 2.0;
        let Some(lost) = year.defoliation else {
            svg.text((start + 6.0, y + 4.5), TextStyle::new(SMALL, inks.soft), "not observed");
            continue;
        };
        svg.rect((start, y - 8.0), (reach * lost, 16.0), &format!("fill=\"{}\"", inks.stages[1]));
        svg.text((start + reach * lost + 6.0, y + 4.5), figure, &percent(lost));
    }
    svg.finish_told(sheet, "Past seasons: area sprayed and foliage lost", &told(years, sheet))
}

/// The bar to the left, as long as the area; `scale` in drawing units an acre.
fn sprayed(svg: &mut Svg, sheet: &Sheet<'_>, year: &LedgerYear, (start, y): (f64, f64), scale: f64) {
    let inks = sheet.inks;
    let Some(area) = year.sprayed else {
        let style = TextStyle::new(SMALL, inks.soft).anchor(Anchor::End);
        return svg.text((start - 6.0, y + 4.5), style, NOT_RECORDED);
    };
    let long = scale * area.as_acres();
    let paint = format!("fill=\"{}\"", inks.window(crownhold::timing::WindowKind::AerialBtk));
    svg.rect((start - long, y - 8.0), (long, 16.0), &paint);
    let style = TextStyle::new(PLAIN, inks.ink).anchor(Anchor::End);
    svg.text((start - long - 6.0, y + 4.5), style, &sheet.wording().bare_area(area));
}

/// Quarters of all foliage.
fn scale(svg: &mut Svg, sheet: &Sheet<'_>, left: f64, reach: f64, bottom: f64) {
    for quarter in 0..=4 {
        let x = left + reach * f64::from(quarter) / 4.0;
        svg.line((x, TOP - 4.0), (x, bottom), sheet.inks.rule, 0.8, "");
        let style = TextStyle::new(11.0, sheet.inks.soft).anchor(Anchor::Middle);
        if quarter % 2 == 0 {
            svg.text((x, TOP - 7.0), style, &format!("{}\u{a0}%", 25 * quarter));
        }
    }
}

fn told(years: &[LedgerYear], sheet: &Sheet<'_>) -> String {
    let line = |year: &LedgerYear| {
        let lost = year.defoliation.map_or("foliage not observed".to_owned(), |lost| {
            format!("{} of foliage lost over {}", percent(lost), count(year.observed, "block", "blocks"))
        });
        let area =
            year.sprayed.map_or(NOT_RECORDED.to_owned(), |area| format!("{} sprayed", sheet.wording().area(area)));
        format!("{}: {area}, {lost}. ", year.season)
    };
    years.iter().map(line).collect()
}
