//! Addresses of a job from nothing: begin, take apart, count, correct.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};

use crate::before;
use crate::clock::now_ms;
use crate::guard::too_large;
use crate::hall::Hall;
use crate::limits::BODY_BYTES_MAX;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::routes::{About, data, page};
use crate::wire;
use crate::{lists, pages};

/// Every address of a job from nothing, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/begin", get(begin_page))
        .route("/api/begin", post(begin))
        .route("/job/{job}/take", get(take))
        .route("/job/{job}/scribe", get(scribe))
        .route("/job/{job}/questions", get(questions))
        .route("/job/{job}/entry", get(entry))
        .route("/job/{job}/lists", get(lists_page))
        .route("/job/{job}/lists/{file}", get(lists::file))
        .route("/api/job/{job}/list", post(lists::bring))
}

async fn begin_page(State(hall): State<Hall>) -> Response {
    let garage = hall.garage.clone();
    let machines = tokio::task::spawn_blocking(move || before::machines(&garage)).await;
    page(pages::begin::page(&machines.unwrap_or_default()))
}

/// The server holds the garage's lock, so that nobody else begins a job meanwhile.
async fn begin(State(hall): State<Hall>, body: Body) -> Result<Response, AsJson> {
    let body = to_bytes(body, BODY_BYTES_MAX).await.map_err(|_| too_large())?;
    let asked = wire::begin::read(&body)?;
    let garage = hall.garage.clone();
    let begun = tokio::task::spawn_blocking(move || {
        let job = asked.files(&garage)?;
        let failed = |error: lastbolt_store::StoreError| {
            Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, error.to_string())
        };
        garage.begin(&job.title, "", &job.files, now_ms()).map_err(failed)
    });
    let failed = |sentence: String| Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, sentence);
    let begun = begun.await.map_err(|_| failed("The job could not be begun; try again.".into()))?;
    let id = begun?;
    Ok(data(wire::begin::begun(id.as_str())))
}

async fn take(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let used = hall.kinds_used().await;
    Ok(page(pages::take::page(&room, &snapshot, used)))
}

async fn scribe(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let used = hall.kinds_used().await;
    Ok(page(pages::scribe::page(&room, &snapshot, used)))
}

async fn questions(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::questions::page(&room, &snapshot)))
}

async fn lists_page(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::lists::page(&room, &snapshot)))
}

async fn entry(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let asked = about.thing()?;
    let (room, snapshot) = hall.seen(&job).await?;
    let used = hall.kinds_used().await;
    let drawn = pages::entry::page(&room, &snapshot, asked, used)
        .or_else(|| pages::entry::page_in_file(&room, &snapshot, asked, used));
    match drawn {
        Some(markup) => Ok(page(markup)),
        // Neither part nor fixing: its own sheet has what there is.
        None => Ok(Redirect::to(&pages::bits::thing_address(&room, asked)).into_response()),
    }
}
