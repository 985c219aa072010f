//! `crownhold explain`

use std::process::ExitCode;

use super::{args, say, say_json};
use crate::actions;
use crate::actions::explain::{Figure, figure, numbers};
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Explain) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.which.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.which, &records)?;
    if a.number == "list" {
        numbers(&made, &records)?.iter().for_each(|n| say(&format!("{}  {}: {}", n.id, n.label, n.value_text)));
        return Ok(ExitCode::SUCCESS);
    }
    let Figure { number, origin, behind, parameters } = figure(&a.number, &made, &records)?;
    if a.which.plan.stage.json {
        say_json(&serde_json::json!({
            "id": number.id, "label": number.label, "value": number.value_text, "how": origin.how,
            "inputs": origin.inputs, "values": behind, "draws": made.plan.draws, "seed": made.plan.seed, "page": origin.page,
            "parameters": parameters.iter().map(|(name, value, known, source)| serde_json::json!({
                "name": name, "value": value, "known": known.word(), "source": source
            })).collect::<Vec<_>>(),
        }));
        return Ok(ExitCode::SUCCESS);
    }
    say(&format!(
        "{}: {}\n{}\n\nHow: {}\nFrom: {}.\n{}Draws {}, seed {}. Formulas: {}\n\nParameters:",
        number.id,
        number.value_text,
        number.label,
        origin.how,
        origin.inputs.join("; "),
        behind.iter().map(|line| format!("  {line}\n")).collect::<String>(),
        made.plan.draws,
        made.plan.seed,
        origin.page
    ));
    for (name, value, known, source) in parameters {
        say(&format!("  {name} = {value}\n      {known}: {source}"));
    }
    Ok(ExitCode::SUCCESS)
}
