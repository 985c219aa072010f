//! `crownhold papers`

use std::process::ExitCode;

use super::{args, say};
use crate::actions;
use crate::actions::papers::{season_dates_pdf, season_plan_pdf};
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Papers) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.plan, a.kept.as_deref(), &records)?;
    let pdf = season_plan_pdf(&made, &records)?;
    std::fs::create_dir_all(&a.out).map_err(|e| Trouble::file(&a.out, &e))?;
    let timing = made.stages.timing.as_ref().map_err(|p| Trouble::from(p.clone()))?;
    let papers = [("season-plan.pdf", pdf), ("season-dates.pdf", season_dates_pdf(timing, &records)?)];
    for (name, pdf) in papers {
        let path = a.out.join(name);
        std::fs::write(&path, pdf).map_err(|e| Trouble::file(&path, &e))?;
        say(&path.display().to_string());
    }
    Ok(ExitCode::SUCCESS)
}
