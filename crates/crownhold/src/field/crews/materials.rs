//! What the work needs, and what that costs.

use super::trees::{BandKind, TreeList};
use crate::types::{Length, Money, Parameters};

/// One line of a shopping list.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// What.
    pub name: &'static str,
    /// How much.
    pub amount: f64,
    /// Of what.
    pub unit: &'static str,
    /// Price of all of it.
    pub price: Money,
    /// How the amount comes about.
    pub because: String,
}

/// What bands on these trees need over a season's rounds, for the people at work at once (both parameters).
///
/// Strips are cut across the width of the cloth: as many side by side as fit. Trees that were never measured count with
/// the mean of the others, or with a trunk of 12 in where none was measured.
pub fn band_materials(lists: &[TreeList], p: &Parameters) -> Vec<Material> {
    let (people, rounds) = (p.number("bands.people"), p.number("bands.visits"));
    let trees = || lists.iter().flat_map(|list| &list.trees);
    let of_kind = |kind| trees().filter(move |t| t.kind == kind).count();
    let (strips, squares) = (of_kind(BandKind::FullStrip), of_kind(BandKind::Square));
    let yards = cloth_yards(lists, p);
    let bands = (strips + squares) as f64;
    let spoons = people * rounds * p.number("bands.bath") * p.number("bands.soap");
    let pins = squares as f64 * p.number("bands.pins");
    let line = |name, amount: f64, unit, each: f64, because| Material {
        name,
        amount,
        unit,
        price: Money::dollars(amount * each),
        because,
    };
    vec![
        line(
            "burlap",
            yards,
            "yards",
            p.number("bands.cloth_price"),
            format!(
                "{strips} full strips and {squares} square flaps, cut from cloth {:.0} in wide",
                p.number("bands.cloth_width")
            ),
        ),
        line("twine", bands, "bands", p.number("bands.twine_price"), "one tie a band".to_owned()),
        line("pins", pins, "pins", p.number("bands.pin_price"), "for square flaps".to_owned()),
        line(
            "soap",
            spoons,
            "tablespoons",
            p.number("bands.soap_price"),
            format!("{people:.0} people, {rounds:.0} rounds, {:.0} pint of bath each", p.number("bands.bath")),
        ),
        line("gloves", people, "pairs", p.number("bands.glove_price"), "one pair a person".to_owned()),
    ]
}

/// Yards of cloth off the roll.
fn cloth_yards(lists: &[TreeList], p: &Parameters) -> f64 {
    let trees = || lists.iter().flat_map(|list| &list.trees);
    let measured: Vec<f64> = trees().filter_map(|t| t.dbh).map(Length::as_inches).collect();
    let usual = if measured.is_empty() { 12.0 } else { measured.iter().sum::<f64>() / measured.len() as f64 };
    let usual = usual * std::f64::consts::PI + p.number("bands.overlap");
    let width = p.number("bands.cloth_width");
    let across = |piece: f64| (width / piece).floor().max(1.0);
    let inches = |kind: BandKind, piece: f64| {
        let all: f64 = trees().filter(|t| t.kind == kind).map(|t| t.cloth.map_or(usual, Length::as_inches)).sum();
        all / across(piece)
    };
    let strips = inches(BandKind::FullStrip, p.number("bands.strip"));
    let squares = inches(BandKind::Square, p.number("bands.square"));
    (strips + squares) / 36.0
}

/// What scraping needs, for the people at work at once (a parameter).
pub fn scraping_materials(p: &Parameters) -> Vec<Material> {
    let people = p.number("bands.people");
    vec![Material {
        name: "scraping kits",
        amount: people,
        unit: "kits",
        price: Money::dollars(people * p.number("scraping.kit_price")),
        because: "scraper, jar, gloves and eye protection for each person at work".to_owned(),
    }]
}
