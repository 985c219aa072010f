//! What a programme still lacks, stage by stage.

use crownhold::Setting;
use crownhold::survey::DensityMethod;
use crownhold::types::{Consent, Problem, Records};

use super::chain::{Stages, dates, stages};
use crate::trouble::Trouble;

/// Every problem that stands between the records and a plan, and what would be worth a look.
pub fn check(records: &Records, setting: &Setting) -> Vec<Problem> {
    check_stages(records, setting, stages(records, setting).as_ref())
}

/// The same with stages at hand.
pub fn check_stages(records: &Records, setting: &Setting, stages: Result<&Stages, &Trouble>) -> Vec<Problem> {
    let mut problems = Vec::new();
    match stages {
        Ok(stages) => {
            let unseen = stages.density.blocks.iter().filter(|(_, d)| d.method != DensityMethod::OwnPlots).count();
            if unseen > 0 {
                problems.push(Problem::notice(
                    "C-001",
                    format!("{unseen} blocks have no plot of their own."),
                    "Their density is borrowed from their stratum and less sure.",
                ));
            }
            problems.extend(stages.density.notes.clone());
            problems.extend(match &stages.timing {
                Ok(timing) => timing.notes.clone(),
                Err(all) => all.clone(),
            });
        }
        Err(trouble) => {
            problems.extend(trouble.problems.clone());
            if let Err(all) = dates(records, setting) {
                problems.extend(all);
            }
        }
    }
    problems.extend(resources(records));
    problems.extend(consents(records));
    let unclassed = records.trees.iter().filter(|t| t.class.is_none()).count();
    if unclassed > 0 {
        problems.push(Problem::notice(
            "C-003",
            format!(
                "{unclassed} of {} trees have a species name that the species table does not know.",
                records.trees.len()
            ),
            "They are kept, and count for no host class. Class the names: Programme, Tree names, or crownhold species PROGRAMME --set NAME=CLASS --source ...",
        ));
    }
    problems
}

fn resources(records: &Records) -> Option<Problem> {
    (records.resources.budget.is_none() && records.resources.hours.is_empty()).then(|| {
        Problem::notice(
            "C-002",
            "Neither money nor hours are known.",
            "Without hours no scraping, bands or ground sprays can be planned; import resources.",
        )
    })
}

fn consents(records: &Records) -> Option<Problem> {
    let pending = records.blocks.iter().filter(|b| b.consent == Consent::Pending).count();
    (pending > 0).then(|| {
        Problem::notice(
            "C-004",
            format!("Consent is still pending in {pending} blocks."),
            "No spray is planned there until it is given; import areas with a consent column.",
        )
    })
}
