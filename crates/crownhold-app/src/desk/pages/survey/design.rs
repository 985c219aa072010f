//! Where to count: places for plots, and where one more plot tells the plan most.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Form, Multipart, Query};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Redirect};
use crownhold_print::maps::{PlotMark, plot_map};
use crownhold_print::wording::{chance, count, percent};
use serde::{Deserialize, Serialize};

use super::super::picture::Picture;
use crate::actions::By;
use crate::actions::design::{Aim, Design, DesignWords, KeepOff, add, design, gpx};
use crate::actions::plots::length;
use crate::actions::survey_work::{next_plots, survey_sheets_pdf, survey_summary_pdf, to_count};
use crate::clock;
use crate::desk::pages::papers::inline;
use crate::desk::sent_files::{SentFiles, input_of};
use crate::desk::shell::{Answer, Place, ProblemLine, Shell, Visit, lines, page_with};
use crate::desk::state::{Desk, Season, off};
use crate::trouble::Trouble;
use crownhold::types::Problem;
use crownhold_data::formats::Wishes;

/// Blocks listed for the next plot.
const LISTED: usize = 15;

/// What is wished, as typed.
#[derive(Deserialize, Serialize, Clone, Default)]
#[serde(default)]
pub struct Wish {
    /// "decide", "plots" or "precision"; blank: nothing asked yet.
    aim: String,
    /// Number of plots, or percent.
    number: String,
    /// Least distance.
    apart: String,
    /// Seed of the places.
    seed: String,
    /// Id of the outlines to keep off; blank: water only.
    off: String,
}

#[derive(Template)]
#[template(path = "survey_design.html")]
struct DesignPage {
    shell: Shell,
    wish: Wish,
    apart: &'static str,
    problems: Vec<ProblemLine>,
    made: Option<MadeView>,
    /// What is kept off beside water: file and number of outlines.
    off: Option<(String, usize)>,
    notes: Vec<ProblemLine>,
    waiting: usize,
    waiting_blocks: usize,
    next: Vec<NextRow>,
    next_lead: String,
}

/// A design worked out.
struct MadeView {
    lead: String,
    rows: Vec<[String; 5]>,
    picture: Picture,
    query: String,
}

struct NextRow {
    block: String,
    worth: String,
    used: String,
    over: String,
    plots: usize,
}

pub async fn show(visit: Visit, Query(wish): Query<Wish>) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let asked = wish.clone();
    let made = off(move || Ok::<_, Trouble>(work_out(&season, &desk, &asked))).await?;
    let (made, problems, status) = match made {
        None => (None, Vec::new(), StatusCode::OK),
        Some(Ok(made)) => (Some(made), Vec::new(), StatusCode::OK),
        Some(Err(trouble)) => (None, lines(&trouble.problems), StatusCode::UNPROCESSABLE_ENTITY),
    };
    render(&visit, wish, made, problems, status)
}

fn work_out(season: &Season, desk: &Desk, wish: &Wish) -> Option<Result<Design, Trouble>> {
    (!wish.aim.is_empty()).then(|| design(&season.records, &words(desk, wish)?))
}

fn render(visit: &Visit, wish: Wish, made: Option<Design>, problems: Vec<ProblemLine>, status: StatusCode) -> Answer {
    let season = &visit.season;
    let waiting = to_count(&season.records);
    page_with(
        status,
        &DesignPage {
            notes: made.as_ref().map(|d| lines(&d.notes)).unwrap_or_default(),
            made: made.map(|d| view(season, &d, &wish)),
            off: visit.desk.keep_offs.get(&wish.off).map(|o| (o.file.clone(), o.shapes.len())),
            wish,
            apart: if season.wording().is_us() { "100 ft" } else { "30 m" },
            problems,
            waiting: waiting.iter().map(|(_, plots)| plots.len()).sum(),
            waiting_blocks: waiting.len(),
            next: next(season),
            next_lead: format!(
                "Saved on average by one more plot in the block, in {} of favoured canopy: from loss beyond tolerance, or from being flown for nothing (which weighs as its accepted chance of loss).",
                season.wording().area_unit()
            ),
            shell: visit.shell(Place::Survey, "Where to count"),
        },
    )
}

/// Reads the wish; every number that cannot be read is told.
fn words(desk: &Desk, wish: &Wish) -> Result<DesignWords, Trouble> {
    let mut wrong = Vec::new();
    let mut refuse = |what: String, expected: &str| {
        wrong.push(Problem::error("A-170", what, "Correct it.").expected(expected));
    };
    let number = wish.number.trim().trim_end_matches('%').trim().parse::<f64>().ok();
    let aim = match (wish.aim.as_str(), number) {
        ("plots", Some(n)) if n >= 1.0 && n.fract() == 0.0 => Aim::Plots(n as usize),
        ("precision", Some(n)) if (1.0..=100.0).contains(&n) => Aim::Precision(n / 100.0),
        ("decide", _) => Aim::Threshold,
        ("plots", _) => {
            refuse(format!("The number of plots is \"{}\".", wish.number), "a whole number such as 240");
            Aim::Threshold
        }
        _ => {
            refuse(format!("The standard error is \"{}\".", wish.number), "1 to 100 percent");
            Aim::Threshold
        }
    };
    let apart = if wish.apart.trim().is_empty() { Some(30.0) } else { length(&wish.apart).map(|l| l.as_metres()) };
    let apart = apart.filter(|m| (0.0..=5_000.0).contains(m)).unwrap_or_else(|| {
        refuse(format!("The least distance is \"{}\".", wish.apart), "a length such as 100 ft or 30 m");
        30.0
    });
    let seed = if wish.seed.trim().is_empty() { Some(1) } else { wish.seed.trim().parse::<u64>().ok() };
    let seed = seed.unwrap_or_else(|| {
        refuse(format!("The number of the draw is \"{}\".", wish.seed), "a whole number such as 1");
        1
    });
    let off = match wish.off.as_str() {
        "" => Some(Arc::default()),
        id => desk.keep_offs.get(id),
    };
    let off = off.unwrap_or_else(|| {
        let what = "The outlines to keep off are no longer at hand.";
        wrong.push(Problem::error("A-243", what, "Send the file again."));
        Arc::default()
    });
    if wrong.is_empty() {
        Ok(DesignWords { aim, seed, least: 2, spare: 1, apart, off })
    } else {
        Err(Trouble::from(wrong))
    }
}

fn view(season: &Season, d: &Design, wish: &Wish) -> MadeView {
    let w = season.wording();
    let plots = d.places.iter().filter(|p| !p.replacement).count();
    let what = match (d.per_block, d.precision) {
        (Some(n), _) => format!("{n} in each block as a fixed sample; with the stop rule mostly fewer are counted"),
        (None, Some(error)) => format!("expected standard error {} of the mean of all strata", percent(error)),
        (None, None) => String::new(),
    };
    let marks: Vec<_> = d
        .places
        .iter()
        .map(|p| (p.place, if p.replacement { PlotMark::Replacement } else { PlotMark::Wanted }))
        .collect();
    let title = format!("{} on the blocks of the city.", count(plots, "proposed plot", "proposed plots"));
    MadeView {
        lead: format!("{}: {what}.", count(plots, "plot", "plots")),
        rows: d
            .strata
            .iter()
            .map(|s| {
                let from =
                    if s.known_blocks == 0 { "assumed".to_owned() } else { count(s.known_blocks, "block", "blocks") };
                [
                    s.id.to_string(),
                    w.area(s.area),
                    format!("{} per {}", w.bare_density(s.expected), w.per_area()),
                    from,
                    if s.placed < s.plots { format!("{} of {}", s.placed, s.plots) } else { s.placed.to_string() },
                ]
            })
            .collect(),
        picture: Picture::of(season, "places", |sheet| plot_map(&season.records.blocks, &marks, &title, sheet)),
        query: serde_urlencoded(wish),
    }
}

/// The wish as an address carries it.
fn serde_urlencoded(wish: &Wish) -> String {
    let pair = |(name, value): (&str, &str)| {
        format!("{name}={}", percent_encoding::utf8_percent_encode(value, percent_encoding::NON_ALPHANUMERIC))
    };
    let pairs = [
        ("aim", &*wish.aim),
        ("number", &*wish.number),
        ("apart", &*wish.apart),
        ("seed", &*wish.seed),
        ("off", &*wish.off),
    ];
    pairs.map(pair).join("&")
}

fn next(season: &Season) -> Vec<NextRow> {
    let Ok(stages) = &season.stages else { return Vec::new() };
    let w = season.wording();
    let over = crownhold::types::MassesPerArea::per_acre(season.records.parameters.number("survey.prior.level"))
        .as_per_hectare();
    next_plots(&season.records, stages)
        .into_iter()
        .take(LISTED)
        .filter(|n| n.worth.as_acres() > 0.005)
        .filter_map(|n| {
            let b = season.records.block_index(&n.block)?;
            let draws = stages.density.draws.block(b);
            let used =
                |p| w.bare_density(crownhold::types::MassesPerArea::per_hectare(stages.density.draws.quantile(b, p)));
            let acres = if w.is_us() { n.worth.as_acres() } else { n.worth.as_hectares() };
            Some(NextRow {
                worth: format!("{acres:.2}"),
                used: format!("{} ({} to {})", used(0.5), used(0.05), used(0.95)),
                over: chance(crownhold::types::draws::share(draws, |d| d > over)),
                plots: stages.density.blocks[b].1.plots,
                block: n.block.to_string(),
            })
        })
        .collect()
}

/// Writes the plots of a design into the programme.
pub async fn write(visit: Visit, Form(wish): Form<Wish>) -> Answer {
    let (path, author) = (visit.desk.path().to_owned(), visit.author().to_owned());
    let (asked, desk) = (wish.clone(), Arc::clone(&visit.desk));
    let done = off(move || {
        let (_, done) = add(&path, &words(&desk, &asked)?, By::new(&author, &clock::now()))?;
        Ok::<_, Trouble>(done)
    })
    .await;
    match done {
        Ok(done) => Ok(visit.done_with(done, "/survey/design").await),
        Err(trouble) => render(&visit, wish, None, lines(&trouble.problems), StatusCode::UNPROCESSABLE_ENTITY),
    }
}

/// Takes a layer of outlines to keep off, and leads back to the places with it.
pub async fn keep_off(visit: Visit, sent: Multipart) -> Answer {
    let mut sent = SentFiles::receive(sent).await?;
    let typed = |field: &str| sent.text(field).unwrap_or_default();
    let mut wish = Wish {
        aim: typed("aim"),
        number: typed("number"),
        apart: typed("apart"),
        seed: typed("seed"),
        off: String::new(),
    };
    let wishes = Wishes { crs: sent.text("crs"), ..Wishes::default() };
    if sent.parts.is_empty() {
        let problem =
            Problem::error("A-243", "No file was chosen.", "Choose a layer of buildings or of land without access.");
        return render(&visit, wish, None, lines(&[problem]), StatusCode::UNPROCESSABLE_ENTITY);
    }
    let file = input_of(std::mem::take(&mut sent.parts));
    let season = Arc::clone(&visit.season);
    match off(move || KeepOff::read(&file, &wishes, &season.records)).await {
        Ok(read) => {
            wish.off = visit.desk.keep_offs.keep(read);
            Ok(Redirect::to(&format!("/survey/design?{}", serde_urlencoded(&wish))).into_response())
        }
        Err(trouble) => render(&visit, wish, None, lines(&trouble.problems), StatusCode::UNPROCESSABLE_ENTITY),
    }
}

/// The places of a design as GPX.
pub async fn places(visit: Visit, Query(wish): Query<Wish>) -> Answer {
    let (season, desk) = (Arc::clone(&visit.season), Arc::clone(&visit.desk));
    let bytes = off(move || gpx(&season.records, &design(&season.records, &words(&desk, &wish)?)?)).await?;
    let head = [(CONTENT_TYPE, "application/gpx+xml"), (CONTENT_DISPOSITION, "attachment; filename=\"plots.gpx\"")];
    Ok((head, bytes).into_response())
}

/// Sheets for the plots that wait.
pub async fn sheets(visit: Visit) -> Answer {
    let season = Arc::clone(&visit.season);
    let pdf = off(move || survey_sheets_pdf(&season.records, season.today)).await?;
    Ok(inline(pdf, "survey-sheets").into_response())
}

/// What was found, on paper.
pub async fn summary(visit: Visit) -> Answer {
    let season = Arc::clone(&visit.season);
    let pdf = off(move || {
        let stages = season.stages.as_ref().map_err(Clone::clone)?;
        survey_summary_pdf(&stages.density, &season.records, season.today)
    })
    .await?;
    Ok(inline(pdf, "survey-summary").into_response())
}
