//! Which address gives what of the day around the work.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use lastbolt_job::view::{DayGate, DayStage, DisturbedView};
use lastbolt_job::{disturbed, gate_of, leftovers};
use serde::Deserialize;

use crate::clock::now_ms;
use crate::due::due_of_machine;
use crate::hall::Hall;
use crate::pages;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::room::Snapshot;
use crate::routes::{data, page};
use crate::wire;

/// Every address of the day, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/job/{job}/day", get(day))
        .route("/job/{job}/gate", get(gate))
        .route("/job/{job}/disturbed", get(disturbed_page))
        .route("/api/job/{job}/disturbed", get(disturbed_data))
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

/// Which gate, as the address says; the one before the first start where it says nothing.
#[derive(Debug, Deserialize)]
struct Which {
    before: Option<String>,
}

async fn gate(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(which): Query<Which>,
    Query(over): Query<pages::matters::Over>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let which = match which.before.as_deref() {
        Some("road") => DayGate::Road,
        _ => DayGate::FirstStart,
    };
    let answer = over
        .asked()
        .map(|(kind, size, number)| leftovers(&snapshot.case, &snapshot.now, kind, size, number));
    let day = snapshot.day(now_ms());
    let shown = pages::gate::Shown {
        which,
        gate: &gate_of(&snapshot, which, &day),
        road: &gate_of(&snapshot, DayGate::Road, &day),
        day: &day,
        starts: &snapshot.now.live.state.first_starts,
        over: (&over, answer.as_ref()),
    };
    Ok(page(pages::gate::page(&room, &room.screen(&snapshot), &shown)))
}

/// How many states are looked at for what reaching one connection costs.
const REACH_NODES: u64 = 2_000;

/// Working it out may take a while: not on a thread that answers requests.
async fn nearest(snapshot: Arc<Snapshot>) -> DisturbedView {
    let worked_out = tokio::task::spawn_blocking(move || disturbed(&snapshot, REACH_NODES)).await;
    worked_out.unwrap_or_default()
}

async fn disturbed_page(
    State(hall): State<Hall>,
    Path(job): Path<String>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let view = nearest(snapshot.clone()).await;
    Ok(page(pages::disturbed::page(&room, &room.screen(&snapshot), &view)))
}

async fn disturbed_data(
    State(hall): State<Hall>,
    Path(job): Path<String>,
) -> Result<Response, AsJson> {
    let (_, snapshot) = hall.seen(&job).await?;
    Ok(data(pages::disturbed::data(&nearest(snapshot).await)))
}
