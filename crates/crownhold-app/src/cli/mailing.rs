//! `crownhold mailing`

use std::process::ExitCode;

use crownhold::field::flown_blocks;
use crownhold::types::{Audience, Problem, Records};
use crownhold_data::formats::Wishes;
use crownhold_print::wording::{Wording, count};

use super::{args, say, say_json, warn};
use crate::actions;
use crate::actions::import::input;
use crate::actions::mailing::{Mailing, mailing};
use crate::actions::papers::beside;
use crate::trouble::Trouble;
use crate::wire::MailingJson;

pub(super) fn run(a: &args::Mailing) -> Result<ExitCode, Trouble> {
    let stage = &a.which.plan.stage;
    let records = actions::records(&stage.programme)?;
    let audience = audience(&a.whom)?;
    let kept = super::plan::kept_or_made(&a.which, &records)?;
    let (orders, _) = beside(&kept, &records)?;
    let flown = flown_blocks(&orders.orders);
    let wishes = Wishes { crs: a.crs.clone(), layer: a.layer.clone(), ..Wishes::default() };
    let list = input(&a.addresses)?;
    let made = mailing(&records, &flown, kept.stages.timing.as_ref().ok(), audience, &list, &wishes)?;
    made.write(&a.to)?;
    if stage.json {
        say_json(&MailingJson::new(&made, &a.to.display().to_string()));
    } else {
        say(&text(&made, &records, &a.to.display().to_string()));
        made.notes.iter().for_each(warn);
    }
    Ok(ExitCode::SUCCESS)
}

fn audience(word: &str) -> Result<Audience, Trouble> {
    Audience::from_word(word).ok_or_else(|| {
        let all = Audience::ALL.iter().map(|w| w.word()).collect::<Vec<_>>().join(", ");
        Trouble::one(Problem::error("A-237", format!("--whom is \"{word}\"."), "").expected(format!("one of {all}")))
    })
}

fn text(made: &Mailing, records: &Records, to: &str) -> String {
    let w = Wording::new(records.programme.units);
    let by = made.by.map_or("There are no dates yet to count back from.".to_owned(), |day| {
        format!("The notices must be out by {}.", w.date(day))
    });
    format!(
        "{} of {} of {} lie in flown blocks ({}) or within {} of them ({}): {to}.\n{by}\n\
         Who must be told, when and how is a matter of state and local rules; they prevail.",
        count(made.told.len(), "address", "addresses"),
        count(made.given, "row", "rows"),
        made.file,
        made.inside(),
        w.distance(made.reach),
        made.told.len() - made.inside(),
    )
}
