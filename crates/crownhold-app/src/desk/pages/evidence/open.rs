//! What cannot be said yet, why, and what to record to be able to say it.

use crownhold::evidence::{Autumn, Pairs, curve_pairs, pairs};
use crownhold::types::Records;
use crownhold_print::wording::count;

/// A question the records do not answer.
pub(super) struct Question {
    pub(super) asks: &'static str,
    pub(super) why: Vec<String>,
    pub(super) record: &'static str,
    pub(super) href: &'static str,
    pub(super) link: &'static str,
}

/// All of them, with what there is so far.
pub(super) fn questions(records: &Records, counted: &[Autumn], rated: usize, log_is_empty: bool) -> Vec<Question> {
    let season = records.programme.season;
    let mut all = vec![
        Question {
            asks: "Did a treatment work here, and how well?",
            why: effects(&pairs(&records.past, counted)),
            record: "Leave some blocks untreated that are as badly infested as the treated ones, chosen before the season and by \
                     lot where you can. Count both kinds before and after, and rate both.",
            href: "/survey",
            link: "Counts",
        },
        Question {
            asks: "Is the defoliation curve right for this city?",
            why: vec![curve(curve_pairs(&records.past))],
            record: "In July, rate the foliage of every untreated block that was counted the autumn before, also of those that lost \
                     nothing.",
            href: "/programme/import",
            link: "Import ratings (past seasons)",
        },
        Question {
            asks: "Were the forecast ranges honest?",
            why: vec![honest(rated, season)],
            record: "Ratings of untreated blocks of this season: year, block, treatment “watch”, share of foliage lost.",
            href: "/programme/import",
            link: "Import ratings (past seasons)",
        },
        Question {
            asks: "Were the dates right?",
            why: vec![dates(records)],
            record: "A table of dates seen, kept over the years: year, event, date. Forecasts made from what was known then are held \
                     against it.",
            href: "/timing/hindcast",
            link: "How good forecasts would have been",
        },
    ];
    if log_is_empty {
        all.push(Question {
            asks: "What did bands, scraping and sprays take off?",
            why: vec![format!("No work of {season} is written down yet.")],
            record: "Every visit with its day, block and catch: on the phone at the tree, or under Field.",
            href: "/field",
            link: "Field",
        });
    }
    all
}

/// What the looks of this season can and cannot say of the forecast.
fn dates(records: &Records) -> String {
    let season = records.programme.season;
    match records.samples.iter().filter(|s| s.date.year() == season).count() {
        0 => format!("No look at hatch, larvae or leaves of {season} is on record."),
        n => format!(
            "By {} of {season} the forecast of its dates was bent, so that it cannot be judged by them; one season says little of \
             nine in ten in any case.",
            count(n, "look", "looks")
        ),
    }
}

/// What stands in the way of an effect, treatment by treatment.
fn effects(pairs: &[Pairs]) -> Vec<String> {
    if pairs.is_empty() {
        return vec!["No treatment of a past season is recorded, so there is nothing to compare.".to_owned()];
    }
    let mut said: Vec<String> = pairs.iter().map(effect).collect();
    said.push(
        "Treated blocks were chosen because they had many egg masses, and high counts tend to fall by themselves: a plain \
         difference between treated and other blocks would be mostly that."
            .to_owned(),
    );
    said
}

/// Fewer untreated blocks than this with as many egg masses as the treated ones are no comparison.
const FEW_ALIKE: usize = 10;

fn effect(p: &Pairs) -> String {
    let head = format!("Season {}, {}: ", p.season, p.treatment);
    if p.treated == 0 {
        return format!("{head}no treated block was counted both before and after.");
    }
    let there = format!("{head}{} counted before and after", count(p.treated, "treated block", "treated blocks"));
    let others = count(p.untreated, "untreated block", "untreated blocks");
    match (p.untreated, p.alike) {
        (0, _) => format!("{there}, but no untreated one to set against them."),
        (_, 0) => format!("{there}, but none of the {others} counted twice had as many egg masses before."),
        (_, few) if few < FEW_ALIKE => {
            format!("{there}, but only {few} of the {others} counted twice had as many egg masses before.")
        }
        (_, alike) => format!(
            "{there}; of the {others} counted twice, {alike} had as many egg masses before. They are on record, but an effect \
             with its interval is not worked out from them yet."
        ),
    }
}

fn curve(pairs: usize) -> String {
    match pairs {
        0 => "No untreated block of a past season has both a count and a rating.".to_owned(),
        n => format!(
            "{} of past seasons with both a count and a rating on record, but the curve is not fitted to them yet: \
             it is still the default, or what was entered by hand.",
            count(n, "untreated block", "untreated blocks")
        ),
    }
}

fn honest(rated: usize, season: i16) -> String {
    match rated {
        0 => format!("No untreated block of {season} has been rated."),
        n => format!(
            "{} of one season, which share its weather and disease: that the share inside is near nine in ten, or far from it, \
             can be the luck of one year. The forecast is also worked out from the records as they are now.",
            count(n, "rated block", "rated blocks")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(treated: usize, untreated: usize, alike: usize) -> Pairs {
        Pairs { season: 2026, treatment: "aerial Btk once".into(), treated, untreated, alike }
    }

    /// Whatever is on record, no sentence holds an effect.
    #[test]
    fn no_effect_is_claimed() {
        let cases = [case(0, 3, 0), case(5, 0, 0), case(5, 7, 0), case(5, 7, 2), case(15, 70, 12)];
        let said = effects(&cases).join("\n");
        assert!(!said.contains('%'), "{said}");
        insta::assert_snapshot!(said);
    }

    #[test]
    fn an_empty_record_says_so() {
        assert_eq!(effects(&[]).len(), 1);
        assert!(curve(0).starts_with("No untreated block") && honest(0, 2027).contains("2027"));
        assert!(curve(1).starts_with("1 untreated block of"));
    }
}
