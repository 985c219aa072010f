//! What the map in the browser draws.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::response::IntoResponse as _;

use crate::desk::shell::{Answer, Refused};
use crate::desk::state::{Desk, off};
use crate::feed;

/// Blocks, areas, plots.
pub async fn city(State(desk): State<Arc<Desk>>) -> Answer {
    let season = desk.season().await?;
    let city = off(move || feed::city(&season.records, season.stages.as_deref().ok())).await?;
    Ok(Json(city).into_response())
}

/// Trees.
pub async fn trees(State(desk): State<Arc<Desk>>) -> Answer {
    let season = desk.season().await?;
    let trees = off(move || feed::trees(&season.records)).await?;
    Ok(Json(trees).into_response())
}

/// The density between the plots.
pub async fn squares(State(desk): State<Arc<Desk>>) -> Answer {
    let season = desk.season().await?;
    let squares = off(move || feed::squares(season.between_plots()?, &season.records)).await?;
    Ok(Json(squares).into_response())
}

/// One kept plan; the name is its number and ".json".
pub async fn plan(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Answer {
    let season = desk.season().await?;
    let id = name.strip_suffix(".json").and_then(|id| id.parse().ok());
    let kept = id.and_then(|id| season.kept(Some(id)));
    let kept = kept.ok_or_else(|| Refused::missing("There is no plan of that number."))?;
    let json = serde_json::to_value(&kept.plan).expect("our own shapes have string keys only");
    Ok(Json(feed::plan(&json, season.units())?).into_response())
}
