//! Which address gives what of the day around the work.

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use lastbolt_job::view::DayStage;

use crate::clock::now_ms;
use crate::due::due_of_machine;
use crate::hall::Hall;
use crate::pages;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::routes::{data, page};
use crate::wire;

/// Every address of the day, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/job/{job}/day", get(day))
        .route("/job/{job}/day/{stage}", get(stage))
        .route("/api/job/{job}/day", get(day_data))
}

async fn day(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let (machine, id) = (snapshot.case.model.title(), room.id.as_str().to_owned());
    let garage = hall.garage.clone();
    let read = tokio::task::spawn_blocking(move || due_of_machine(&garage, &machine, &id));
    let due = read.await.unwrap_or_default();
    let screen = room.screen(&snapshot);
    Ok(page(pages::day::page(&room, &screen, &snapshot.day(now_ms()), &due)))
}

async fn stage(
    State(hall): State<Hall>,
    Path((job, stage)): Path<(String, String)>,
) -> Result<Response, AsPage> {
    let asked = DayStage::read(&stage)
        .ok_or_else(|| Refusal::not_found("The day has no such page; go back to the day."))?;
    let (room, snapshot) = hall.seen(&job).await?;
    let day = snapshot.day(now_ms());
    let view = day.stage(asked).ok_or_else(|| Refusal::not_found("The day has no such page."))?;
    Ok(page(pages::day::stage(&room, &room.screen(&snapshot), view)))
}

async fn day_data(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsJson> {
    let (_, snapshot) = hall.seen(&job).await?;
    Ok(data(wire::day::day(&snapshot.day(now_ms()))))
}
