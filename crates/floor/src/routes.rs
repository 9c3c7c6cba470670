//! Which address gives what.

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::extract::{Path, Query, State};
use axum::http::header::CACHE_CONTROL;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Json, Router, middleware};
use lastbolt_job::view::{Screen, ThingLine};
use lastbolt_job::{is_taking_apart, what_holds};
use lastbolt_ledger::Event;
use maud::Markup;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::guard::{guard, too_large};
use crate::hall::Hall;
use crate::limits::BODY_BYTES_MAX;
use crate::own;
use crate::pages;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::room::{Room, Snapshot};
use crate::size_up::wishes_of;
use crate::stream;
use crate::wire::{self, VERSION};
use crate::{assets, photos, writer};

/// Gives the whole server: every address, behind the guard.
pub(crate) fn app(hall: Hall) -> Router {
    let guard = middleware::from_fn_with_state(hall.clone(), guard);
    routes().fallback(nothing_there).layer(guard).with_state(hall)
}

/// Every address, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/", get(today))
        .merge(crate::routes_take::routes())
        .merge(crate::routes_day::routes())
        .merge(crate::routes_joint::routes())
        .merge(crate::routes_stop::routes())
        .route("/job/{job}/fell", get(fell))
        .route("/job/{job}/facts", get(facts))
        .route("/job/{job}", get(job))
        .route("/job/{job}/now", get(work))
        .route("/job/{job}/list", get(list))
        .route("/job/{job}/thing", get(thing))
        .route("/job/{job}/holds", get(holds_page))
        .route("/job/{job}/plan", get(plan))
        .route("/job/{job}/record", get(record))
        .route("/job/{job}/who", get(who))
        .route("/job/{job}/photos", get(photo_list))
        .route("/job/{job}/photo", get(photo))
        .route("/job/{job}/photo/{photo}", get(photos::whole))
        .route("/job/{job}/photo/{photo}/small", get(photos::small))
        .route("/api/job/{job}/photos", post(photos::keep))
        .route("/api/job/{job}/here", get(here))
        .route("/api/job/{job}/screen", get(screen))
        .route("/api/job/{job}/holds", get(holds))
        .route("/api/job/{job}/events", post(events))
        .route("/api/job/{job}/stream", get(stream::stream))
        .route("/asset/{version}/{name}", get(assets::asset))
        .merge(crate::routes_garage::routes())
        .merge(crate::routes_phones::routes())
}

/// A thing named in an address.
#[derive(Debug, Deserialize)]
pub(crate) struct About {
    thing: Option<String>,
}

impl About {
    pub(crate) fn thing(&self) -> Result<&str, Refusal> {
        let thing = self.thing.as_deref().filter(|thing| !thing.trim().is_empty());
        thing.ok_or_else(|| Refusal::malformed("Say which thing: add ?thing=NAME."))
    }
}

/// A job as it is now, and the one thing of it that an address names.
pub(crate) struct OfThing {
    pub(crate) room: Arc<Room>,
    pub(crate) snapshot: Arc<Snapshot>,
    pub(crate) screen: Screen,
    pub(crate) line: ThingLine,
}

impl OfThing {
    /// Looks it up.
    ///
    /// # Errors
    /// Says that no thing is named, or which is not known.
    pub(crate) async fn seen(hall: &Hall, job: &str, about: &About) -> Result<Self, Refusal> {
        let asked = about.thing()?;
        let (room, snapshot) = hall.seen(job).await?;
        let screen = room.screen(&snapshot);
        let found = screen.things.iter().find(|line| line.thing == asked).cloned();
        let line = found.ok_or_else(|| unknown(asked))?;
        Ok(Self { room, snapshot, screen, line })
    }
}

fn unknown(thing: &str) -> Refusal {
    let thing: String = thing.chars().take(80).collect();
    Refusal::not_found(format!("This machine has no \"{thing}\"."))
}

pub(crate) fn page(markup: Markup) -> Response {
    ([(CACHE_CONTROL, "no-store")], own::in_texts(markup)).into_response()
}

pub(crate) fn data(value: Value) -> Response {
    ([(CACHE_CONTROL, "no-store")], Json(value)).into_response()
}

async fn nothing_there(request: axum::extract::Request) -> Response {
    let refusal = Refusal::not_found("There is nothing at this address.");
    if request.uri().path().starts_with("/api/") { refusal.json() } else { refusal.page() }
}

async fn today(
    State(hall): State<Hall>,
    Query(asked): Query<pages::today::Asked>,
) -> Result<Response, AsPage> {
    Ok(page(pages::today::page(&hall, &asked).await?))
}

/// The page of a job that is wanted most: taking apart by the handful where no file plans it.
async fn job(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    if is_taking_apart(&snapshot) {
        return Ok(Redirect::to(&format!("/job/{}/take", room.id)).into_response());
    }
    Ok(page(pages::work::page(&room, &snapshot)))
}

async fn work(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::work::page(&room, &snapshot)))
}

async fn list(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(shown): Query<pages::list::Shown>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::list::page(&room, &room.screen(&snapshot), &shown)))
}

async fn thing(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let it = OfThing::seen(&hall, &job, &about).await?;
    Ok(page(pages::thing::page(&it.room, &it.screen, &it.line)))
}

async fn holds_page(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let asked = about.thing()?;
    let (room, snapshot) = hall.seen(&job).await?;
    let holds = what_holds(&snapshot.case, &snapshot.now, asked).ok_or_else(|| unknown(asked))?;
    Ok(page(pages::holds::page(&room, &room.screen(&snapshot), &holds)))
}

async fn plan(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let screen = room.screen(&snapshot);
    let planned = Arc::clone(&room);
    // Working out a plan may take seconds: not on a thread that answers requests.
    let case = Arc::clone(&snapshot.case);
    let wishes = wishes_of(&case, asked);
    let worked_out = tokio::task::spawn_blocking(move || planned.sized(&case, &wishes)).await;
    Ok(page(pages::plan::page(&room, &screen, worked_out.ok().as_deref())))
}

async fn facts(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let it = OfThing::seen(&hall, &job, &about).await?;
    let letter = hall.letter(&it.room).await;
    Ok(page(pages::facts::page(&it.room, &it.screen, &it.line, &letter)))
}

async fn fell(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<pages::matters::Fell>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::matters::fell_page(&room, &room.screen(&snapshot), &asked)))
}

async fn record(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let record = snapshot.record();
    let photos = lastbolt_job::photos(&snapshot);
    Ok(page(pages::record::page(&room, &room.screen(&snapshot), &record, &photos)))
}

async fn photo_list(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let all = lastbolt_job::photos(&snapshot);
    let missing = photos::missing(&hall, &room.id, &all).await;
    Ok(page(pages::photos::page(&room, &snapshot, &all, &missing, about.thing().ok())))
}

async fn photo(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<pages::photo::Asked>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let all = lastbolt_job::photos(&snapshot);
    let at = all.iter().position(|photo| photo.photo == asked.photo);
    let at = at.ok_or_else(|| Refusal::not_found("This job has no such photo."))?;
    let missing = photos::missing(&hall, &room.id, &all[at..=at]).await;
    let one = pages::photo::One { all: &all, at, is_there: missing.is_empty() };
    Ok(page(pages::photo::page(&room, &snapshot, &one, &asked)))
}

async fn who(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(page(pages::who::page(&room, &room.screen(&snapshot))))
}

/// Says that the server is there and lets whoever asks in; nothing else, so that it costs nothing.
async fn here() -> Response {
    data(json!({ "version": VERSION }))
}

async fn screen(State(hall): State<Hall>, Path(job): Path<String>) -> Result<Response, AsJson> {
    let (room, snapshot) = hall.seen(&job).await?;
    Ok(data(wire::screen::screen(&room.screen(&snapshot))))
}

async fn holds(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AsJson> {
    let asked = about.thing()?;
    let (_, snapshot) = hall.seen(&job).await?;
    let holds = what_holds(&snapshot.case, &snapshot.now, asked).ok_or_else(|| unknown(asked))?;
    Ok(data(wire::holds::holds(&holds)))
}

async fn events(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    body: Body,
) -> Result<Response, AsJson> {
    let body = to_bytes(body, BODY_BYTES_MAX).await.map_err(|_| too_large())?;
    let asked = wire::event::read(&body)?;
    let room = hall.room(&job).await?;
    let answers = append(&hall, &room, asked).await?;
    Ok(data(json!({ "version": VERSION, "answers": answers })))
}

/// Records those events that can be; the others are answered with what is wrong with them.
async fn append(
    hall: &Hall,
    room: &Room,
    asked: Vec<wire::event::Asked>,
) -> Result<Vec<Value>, Refusal> {
    let good: Vec<Event> = asked.iter().filter_map(|one| one.event.clone().ok()).collect();
    let sent = hall.writer.append(room.id.clone(), good).await;
    let mut accepted = sent.map_err(|trouble| Refusal::of(&trouble))?.into_iter();
    let mut answers = Vec::with_capacity(asked.len());
    for one in asked {
        let outcome = match one.event {
            Err(sentence) => Err(sentence),
            Ok(_) => Ok(accepted.next().ok_or_else(|| Refusal::of(&writer::Trouble::Leaving))?),
        };
        answers.push(wire::event::answer(&one.id, &outcome));
    }
    Ok(answers)
}
