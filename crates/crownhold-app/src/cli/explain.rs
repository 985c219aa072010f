//! `crownhold explain`

use std::process::ExitCode;

use crownhold::types::Problem;
use crownhold_print::number_ids;

use super::papers::{beside, inputs};
use super::{args, say, say_json};
use crate::actions;
use crate::actions::explain::{origin, parameter_lines};
use crate::actions::figures::behind;
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Explain) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.plan, a.kept.as_deref(), &records)?;
    let (orders, flown) = beside(&made, &records)?;
    let numbers = number_ids(&inputs(&made, &records, &orders, flown)?);
    if a.number == "list" {
        numbers.iter().for_each(|n| say(&format!("{}  {}: {}", n.id, n.label, n.value_text)));
        return Ok(ExitCode::SUCCESS);
    }
    let Some(number) = numbers.iter().find(|n| n.id.eq_ignore_ascii_case(a.number.trim())) else {
        let what = format!("No printed figure has the id \"{}\".", a.number);
        return Err(Trouble::one(Problem::error("A-030", what, "List all with: crownhold explain PROGRAMME list")));
    };
    let origin = origin(&number.id);
    let parameters = parameter_lines(origin, &records.parameters);
    let behind = behind(&number.id, &made, &records);
    if a.plan.stage.json {
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
