//! One file per place. A page asks the season or an action and says it in a template; nothing is worked out here.

mod areas;
mod evidence;
mod feed;
mod field;
mod frontier;
mod hindcast;
mod outlook;
mod papers;
mod picture;
mod plan;
mod plan_ground;
mod plan_words;
mod programme;
mod reserve;
mod solving;
mod spray_weather;
mod stress;
mod survey;
mod timing;
mod timing_samples;
mod week;
mod why;
mod worth;

use std::sync::Arc;

use axum::extract::DefaultBodyLimit;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use axum::{Router, middleware};

use super::shell::{Answer, Refused};
use super::state::Desk;

/// Every page and every change.
pub fn router() -> Router<Arc<Desk>> {
    Router::new()
        .route("/", get(week::show))
        .route("/map/city.json", get(feed::city))
        .route("/map/trees.json", get(feed::trees))
        .route("/map/squares.json", get(feed::squares))
        .route("/map/plan/{name}", get(feed::plan))
        .route("/survey", get(survey::show))
        .route("/survey/counts", get(survey::grid).post(survey::save_grid))
        .route("/survey/counts/advice", get(survey::advice))
        .route("/survey/recount", get(survey::recount::show).post(survey::recount::write))
        .route("/survey/design", get(survey::design::show).post(survey::design::write))
        .route("/survey/design/keep-off", post(survey::design::keep_off).layer(DefaultBodyLimit::disable()))
        .route("/survey/design.gpx", get(survey::design::places))
        .route("/survey/close", post(survey::close))
        .route("/survey/reopen", post(survey::reopen))
        .route("/survey/blocks/{id}", get(survey::block))
        .route("/survey/blocks/{id}/visits", post(survey::add_visit))
        .route("/survey/blocks/{id}/plots", post(survey::add_plot))
        .route("/survey/blocks/{id}/plots/{plot}/delete", post(survey::delete_plot))
        .route("/survey/visits/{id}", get(survey::visit).post(survey::correct))
        .route("/survey/visits/{id}/delete", post(survey::delete))
        .route("/timing", get(timing::show))
        .route("/timing/season.ics", get(timing::calendar))
        .route("/timing/spray-weather", get(spray_weather::show))
        .route("/timing/hindcast", get(hindcast::show).post(hindcast::judge))
        .route("/timing/samples", post(timing_samples::add))
        .route("/timing/samples/from-bands", post(timing_samples::from_bands))
        .route("/timing/samples/{id}", post(timing_samples::correct))
        .route("/timing/samples/{id}/remove", post(timing_samples::remove))
        .route("/outlook", get(outlook::show))
        .route("/evidence", get(evidence::show))
        .route("/plan", get(plan::show))
        .route("/plan/frontier", get(frontier::show).post(frontier::start))
        .route("/plan/frontier/{number}/keep", post(frontier::pick))
        .route("/plan/worth", get(worth::show).post(worth::start))
        .route("/plan/map-files/{name}", get(plan_ground::map_file))
        .route("/plan/stress", get(stress::show).post(stress::start))
        .route("/plan/reserve", get(reserve::show).post(reserve::start))
        .route("/plan/reserve/{number}/keep", post(reserve::pick))
        .route("/plan/compare", get(plan::compare))
        .route("/plan/blocks/{id}", get(plan::block))
        .route("/plan/blocks/{id}/decide", post(plan::decide))
        .route("/plan/areas", get(areas::show).post(areas::save))
        .route("/plan/areas/{id}", post(areas::change))
        .route("/plan/areas/{id}/delete", post(areas::delete))
        .route("/plan/consent", post(areas::consent))
        .route("/plan/solve", post(solving::start))
        .route("/jobs/{id}", get(solving::show))
        .route("/jobs/{id}/events", get(solving::events))
        .route("/jobs/{id}/stop", post(solving::stop))
        .route("/field", get(field::show))
        .route("/field/bands", get(field::bands::show).post(field::bands::add))
        .route("/field/bands/{id}/remove", post(field::bands::remove))
        .route("/field/trees/{block}", get(field::bands::trees))
        .route("/field/scraping", get(field::scraping::show).post(field::scraping::add))
        .route("/field/scraping/{id}/remove", post(field::scraping::remove))
        .route("/field/applications", get(field::applications::show).post(field::applications::write))
        .route("/field/applications.csv", get(field::applications::table))
        .route("/field/applications/{id}/close", post(field::applications::close))
        .route("/field/applications/{id}/amend", post(field::applications::amend))
        .route("/field/rounds", get(field::rounds::show).post(field::rounds::start))
        .route("/field/rounds/gpx/{team}", get(field::rounds::file))
        .route("/field/teams", post(field::rounds::put_team))
        .route("/field/teams/{name}/remove", post(field::rounds::remove_team))
        .route("/field/flights", get(field::flights::show))
        .route("/field/flights/{name}", get(field::flights::file))
        .route("/field/notices", get(field::notices::show).post(field::notices::add))
        .route("/field/notices/{id}/remove", post(field::notices::remove))
        .route("/field/notices/lists", post(field::mailing::cut).layer(DefaultBodyLimit::disable()))
        .route("/field/notices/lists/{id}", get(field::mailing::show))
        .route("/field/notices/lists/{id}/csv", get(field::mailing::csv))
        .route("/papers", get(papers::show))
        .route("/papers/survey-sheets", get(survey::design::sheets))
        .route("/papers/survey-summary", get(survey::design::summary))
        .route("/papers/season-dates", get(papers::season_dates))
        .route("/papers/bands", get(papers::bands))
        .route("/papers/scraping", get(papers::scraping))
        .route("/papers/ground", get(papers::ground))
        .route("/papers/rounds", get(field::rounds::sheets))
        .route("/papers/applications/{id}/{version}", get(papers::application))
        .route("/papers/flights", get(papers::flights))
        .route("/papers/letters", get(papers::letters))
        .route("/papers/season-plan/{id}", get(papers::season_plan))
        .route("/why/{id}", get(why::show))
        .merge(programme::router())
        .fallback(missing)
        .layer(middleware::map_response(in_words))
}

/// What the web framework itself refuses (an address or form that it cannot read) comes as a line of code; here it
/// becomes a page like any other refusal.
async fn in_words(answer: Response) -> Response {
    let is_plain = answer.headers().get(CONTENT_TYPE).is_some_and(|t| t.as_bytes().starts_with(b"text/plain"));
    if !answer.status().is_client_error() || !is_plain {
        return answer;
    }
    Refused::unreadable(answer.status()).into_response()
}

async fn missing() -> Answer {
    Err(Refused::missing("There is no such page."))
}
