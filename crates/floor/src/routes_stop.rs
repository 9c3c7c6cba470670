//! Which address gives what of stopping, breaking, changing and handing over.

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use lastbolt_job::view::{Phase, Sheet};
use lastbolt_job::{branches, hand_over_of, paper};

use crate::clock::now_ms;
use crate::hall::Hall;
use crate::other_jobs::others;
use crate::pages;
use crate::reply::{AsPage, Refusal};
use crate::routes::{About, OfThing, page};

/// Every address, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/job/{job}/stop", get(stop))
        .route("/job/{job}/give-up", get(give_up))
        .route("/job/{job}/broke", get(broke))
        .route("/job/{job}/broken", get(broken))
        .route("/job/{job}/hazard", get(hazard))
        .route("/job/{job}/standing", get(standing))
        .route("/job/{job}/handover", get(handover))
        .route("/job/{job}/owner", get(owner))
        .route("/job/{job}/sheet/{sheet}", get(sheet))
}

async fn stop(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let (garage, id) = (hall.garage.clone(), room.id.as_str().to_owned());
    let listed = tokio::task::spawn_blocking(move || others(&garage, &id)).await;
    // Not listed: the page of today has them too.
    let (letter, others) = listed.unwrap_or_default();
    Ok(page(pages::stop::page(&room, &room.screen(&snapshot), &letter, &others)))
}

async fn give_up(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::give_up::page(&room, &room.screen(&snapshot))))
}

async fn broke(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let it = OfThing::seen(&hall, &job, &about).await?;
    Ok(page(pages::stop::broke_page(&it.room, &it.screen, &it.line)))
}

async fn hazard(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let it = OfThing::seen(&hall, &job, &about).await?;
    Ok(page(pages::hazard::page(&it.room, &it.screen, &it.snapshot, &it.line)))
}

async fn broken(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let branches = branches(&snapshot, now_ms());
    Ok(page(pages::stop::broken_page(&room, &room.screen(&snapshot), &branches)))
}

async fn standing(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    draw(&hall, &job, Sheet::Standing).await
}

async fn handover(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    draw(&hall, &job, Sheet::HandOver).await
}

async fn owner(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    draw(&hall, &job, Sheet::Owner).await
}

async fn sheet(
    State(hall): State<Hall>,
    Path((job, sheet)): Path<(String, String)>,
) -> Result<Response, AsPage> {
    let sheet = Sheet::read(&sheet)
        .ok_or_else(|| Refusal::not_found("There is no such sheet; go back to the job."))?;
    draw(&hall, &job, sheet).await
}

async fn draw(hall: &Hall, job: &str, sheet: Sheet) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(job).await?;
    let screen = room.screen(&snapshot);
    let now = now_ms();
    let letter = hall.letter(&room).await;
    if sheet == Sheet::HandOver {
        let over = hand_over_of(&snapshot, now);
        return Ok(page(pages::stop::handover_page(&room, &screen, &over, &letter)));
    }
    let besides = match sheet {
        // A job that is over stands for good: nobody says how it is left for the night.
        Sheet::Standing if screen.phase != Phase::Finished => {
            pages::stop::standing(&snapshot.stops(now))
        }
        _ => maud::html! {},
    };
    let paper = paper(&snapshot, sheet, now);
    Ok(page(pages::paper::page(&room, &screen, &paper, &letter, &besides)))
}
