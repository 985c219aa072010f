//! `crownhold papers`

use std::process::ExitCode;

use crownhold::types::{BlockId, Records, Tactic};
use crownhold_print::papers::LANGUAGES;

use super::{args, say};
use crate::actions;
use crate::actions::aerial::aerial;
use crate::actions::papers::{
    beside, crew_sheets_pdf, flight_packet_pdf, ground_sheets_pdf, letter_pdf, season_dates_pdf, season_plan_pdf,
};
use crate::actions::plan::Made;
use crate::actions::survey_work::{survey_sheets_pdf, survey_summary_pdf, to_count};
use crate::trouble::Trouble;

pub(super) fn run(a: &args::Papers) -> Result<ExitCode, Trouble> {
    let records = actions::records(&a.which.plan.stage.programme)?;
    let made = super::plan::kept_or_made(&a.which, &records)?;
    let pdf = season_plan_pdf(&made, &records, None)?;
    std::fs::create_dir_all(&a.out).map_err(|e| Trouble::file(&a.out, &e))?;
    let timing = made.stages.timing.as_ref().map_err(|p| Trouble::from(p.clone()))?;
    let mut papers =
        vec![("season-plan.pdf".to_owned(), pdf), ("season-dates.pdf".to_owned(), season_dates_pdf(timing, &records)?)];
    papers.extend(crew_papers(&made, &records)?);
    papers.extend(survey_papers(&made, &records)?);
    for (name, pdf) in papers {
        let path = a.out.join(&name);
        std::fs::write(&path, pdf).map_err(|e| Trouble::file(&path, &e))?;
        say(&path.display().to_string());
    }
    Ok(ExitCode::SUCCESS)
}

/// What was counted, and sheets for the plots that wait.
fn survey_papers(made: &Made, records: &Records) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let today = made.setting.today;
    let summary = survey_summary_pdf(&made.stages.density, records, today)?;
    let mut papers = vec![("survey-summary.pdf".to_owned(), summary)];
    if !to_count(records).is_empty() {
        papers.push(("survey-sheets.pdf".to_owned(), survey_sheets_pdf(records, today)?));
    }
    Ok(papers)
}

/// Sheets for crews and letters, where the plan has work for them.
fn crew_papers(made: &Made, records: &Records) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let (today, timing) = (made.setting.today, made.stages.timing.as_ref().ok());
    let (orders, _) = beside(made, records)?;
    let work = |tactic| {
        let of_it = orders.orders.iter().filter(move |o| o.tactic == tactic);
        of_it.map(|o| (o.block.clone(), o.hours)).collect::<Vec<_>>()
    };
    let mut papers = Vec::new();
    for (tactic, name) in [(Tactic::Scraping, "scraping-sheets"), (Tactic::Bands, "band-sheets")] {
        let work = work(tactic);
        if !work.is_empty() {
            papers.push((format!("{name}.pdf"), crew_sheets_pdf(tactic, &work, records, timing, today)?));
        }
    }
    let sprayed: Vec<BlockId> = work(Tactic::GroundBtk).into_iter().map(|(block, _)| block).collect();
    if !sprayed.is_empty() {
        papers.push(("ground-sheets.pdf".to_owned(), ground_sheets_pdf(&sprayed, records, timing, today)?));
    }
    let flights = work(Tactic::AerialOnce).into_iter().chain(work(Tactic::AerialTwice));
    let flown: Vec<BlockId> = flights.map(|(block, _)| block).collect();
    for lang in LANGUAGES.iter().filter(|_| !flown.is_empty()) {
        papers.push((format!("notice-{lang}.pdf"), letter_pdf(lang, &flown, records, timing, today)?));
    }
    if !flown.is_empty() {
        let job = aerial(&made.plan, records, timing)?;
        papers.push(("aerial-job.pdf".to_owned(), flight_packet_pdf(&job, records, today)?));
    }
    Ok(papers)
}
