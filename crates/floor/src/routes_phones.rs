//! Addresses for phones: asking to be let in, and on this machine the codes and the list.

use std::net::IpAddr;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Extension, Query, State};
use axum::http::StatusCode;
use axum::http::header::{HeaderValue, SET_COOKIE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use lastbolt_store::{JobId, StoreError};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use crate::door::Pass;
use crate::guard::too_large;
use crate::hall::Hall;
use crate::limits::{BODY_BYTES_MAX, PHONE_TIME_MS, STRANGER_BYTES_MAX};
use crate::pages;
use crate::phones::{LetIn, NotIn, Phones, Scope, Shown, addresses};
use crate::qr;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::routes::{data, page};
use crate::wire::VERSION;

/// Every address for phones, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new()
        .route("/in", get(ask))
        .route("/api/in", post(let_in))
        .route("/phones", get(phones_page))
        .route("/api/phones", get(list))
        .route("/api/phones/code", post(code))
        .route("/api/phones/shut-out", post(shut_out))
}

fn phones(hall: &Hall) -> Result<Arc<Phones>, Refusal> {
    hall.phones.clone().ok_or_else(|| {
        Refusal::not_found(
            "This server serves this machine only; end it and begin it with lastbolt open JOB \
             --phones.",
        )
    })
}

/// `GET /in`: the page that a scanned code leads to.
async fn ask(Extension(pass): Extension<Pass>) -> Response {
    match pass {
        Pass::Home => Redirect::to("/phones").into_response(),
        Pass::Phone { phone, .. } => {
            let sentence = format!("This phone is let in as \"{}\".", phone.name);
            page(pages::let_in::page(&sentence, Some(&phone.first_page())))
        }
        Pass::Stranger { .. } => {
            let sentence = "Scan the code that Lastbolt shows on its own machine, or type it here.";
            page(pages::let_in::page(sentence, None))
        }
    }
}

/// What a phone sends to be let in.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Said {
    version: u64,
    code: String,
}

async fn read<T: DeserializeOwned>(body: Body, most: usize, shape: &str) -> Result<T, Refusal> {
    let body = to_bytes(body, most).await.map_err(|_| too_large())?;
    // The error of the reader may repeat what was sent, a code among it: it is not passed on.
    serde_json::from_slice(&body)
        .map_err(|_| Refusal::malformed(format!("What was sent is not {shape}.")))
}

fn of_this_version(version: u64) -> Result<(), Refusal> {
    if version == VERSION {
        return Ok(());
    }
    let sentence = format!("Version {version} is not known here; send version {VERSION}.");
    Err(Refusal::malformed(sentence))
}

fn disk(error: &StoreError) -> Refusal {
    Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, error.to_string())
}

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Refusal> {
    let failed = "The server could not do it just now; try again.";
    let done = tokio::task::spawn_blocking(work).await;
    done.map_err(|_| Refusal::new(StatusCode::SERVICE_UNAVAILABLE, failed))
}

/// `POST /api/in`: a code for a cookie.
async fn let_in(
    State(hall): State<Hall>,
    Extension(pass): Extension<Pass>,
    body: Body,
) -> Result<Response, AsJson> {
    let (from, known): (IpAddr, _) = match &pass {
        Pass::Home => {
            let sentence = "This machine needs no code.";
            return Err(Refusal::new(StatusCode::FORBIDDEN, sentence).into());
        }
        Pass::Stranger { from } => (*from, None),
        Pass::Phone { phone, from } => (*from, Some(phone.clone())),
    };
    let shape = "{\"version\": 1, \"code\": \"...\"}";
    let said: Said = read(body, STRANGER_BYTES_MAX, shape).await?;
    of_this_version(said.version)?;
    let phones = phones(&hall)?;
    let name = phones.cookie().to_owned();
    let tried = blocking(move || phones.let_in(from, &said.code, known.as_deref())).await?;
    let LetIn { phone, own, scope } = tried.map_err(|why| not_in(&why))?;
    let page = match scope {
        Scope::Job(job) => format!("/job/{job}"),
        Scope::Garage => "/".to_owned(),
    };
    let seconds = PHONE_TIME_MS / 1000;
    let cookie =
        format!("{name}={}; Max-Age={seconds}; Path=/; HttpOnly; SameSite=Strict", own.reveal());
    let mut answer = data(json!({ "version": VERSION, "name": phone.name, "page": page }));
    let cookie = HeaderValue::from_str(&cookie).map_err(|_| Refusal::not_let_in())?;
    answer.headers_mut().insert(SET_COOKIE, cookie);
    Ok(answer)
}

fn not_in(why: &NotIn) -> Refusal {
    let (status, sentence) = match why {
        NotIn::Wrong => (
            StatusCode::FORBIDDEN,
            "This code lets nobody in: it is mistyped, used already, or too old. Scan the one \
             that Lastbolt shows now.",
        ),
        NotIn::TooMany => (
            StatusCode::TOO_MANY_REQUESTS,
            "Too many wrong codes were tried; wait a minute, then scan the one that Lastbolt \
             shows now.",
        ),
        NotIn::Full => (
            StatusCode::FORBIDDEN,
            "As many phones are let in as there may be; shut some out on Lastbolt's own machine.",
        ),
        NotIn::Disk(error) => return disk(error),
    };
    Refusal::new(status, sentence)
}

/// What may stand behind the address of the page.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct For {
    job: Option<String>,
}

/// The scope that is meant: the job named, else what the server was opened for; with the title.
async fn scope(
    hall: &Hall,
    phones: &Phones,
    job: Option<&str>,
) -> Result<(Scope, Option<String>), Refusal> {
    let opened: Option<&JobId> = match &phones.opened {
        Scope::Job(job) => Some(job),
        Scope::Garage => None,
    };
    match job.or(opened.map(JobId::as_str)) {
        None => Ok((Scope::Garage, None)),
        Some(job) => {
            let room = hall.room(job).await?;
            Ok((Scope::Job(room.id.clone()), Some(room.title.clone())))
        }
    }
}

/// The addresses under which phones reach this server, the likeliest first.
pub(crate) fn links(phones: &Phones, port: u16) -> Vec<String> {
    let addresses = addresses();
    if addresses.is_empty() {
        return Vec::new();
    }
    let addresses = addresses.iter().map(|address| format!("http://{address}:{port}"));
    // Of the names the one that works without a server for names.
    let names = phones.names.iter().take(1).map(|name| format!("http://{name}:{port}"));
    addresses.chain(names).collect()
}

/// The link that a code carries. What stands behind `#` is never sent by a browser: it gets into
/// no log and no other site's hands.
pub(crate) fn link(address: &str, shown: &Shown) -> String {
    format!("{address}/in#{}", shown.secret.reveal())
}

async fn phones_page(
    State(hall): State<Hall>,
    Query(asked): Query<For>,
) -> Result<Response, AsPage> {
    let Some(phones) = hall.phones.clone() else { return Ok(page(pages::phones::closed())) };
    let (scope, title) = scope(&hall, &phones, asked.job.as_deref()).await?;
    let shown = phones.code(&scope, false).map_err(|error| disk(&error))?;
    let links = links(&phones, hall.port);
    let picture = links.first().map(|first| qr::on_page(&link(first, &shown)));
    let job = match &scope {
        Scope::Job(job) => Some((job.as_str(), title.as_deref().unwrap_or_default())),
        Scope::Garage => None,
    };
    let open = pages::phones::Open {
        job,
        addresses: &links,
        picture: picture.as_deref().unwrap_or_default(),
        typed: &shown.secret.in_groups(),
        minutes_left: shown.minutes_left,
        phones: &phones.list(),
    };
    Ok(page(pages::phones::page(&open)))
}

/// `GET /api/phones`: who is in. No code is among it.
async fn list(State(hall): State<Hall>) -> Result<Response, AsJson> {
    let phones = phones(&hall)?;
    let lines: Vec<Value> = phones
        .list()
        .iter()
        .map(|line| {
            json!({
                "name": line.name,
                "whole_garage": line.whole_garage,
                "jobs": line.jobs,
                "let_in_at_ms": line.let_in_at_ms,
                "heard_at_ms": line.heard_at_ms,
            })
        })
        .collect();
    let links = links(&phones, hall.port);
    Ok(data(json!({ "version": VERSION, "addresses": links, "phones": lines })))
}

/// What is sent for a code.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedForCode {
    version: u64,
    #[serde(default)]
    job: Option<String>,
    /// The code of now is not good any more.
    #[serde(default)]
    another: bool,
}

/// `POST /api/phones/code`: the code of now, drawn for a terminal.
async fn code(State(hall): State<Hall>, body: Body) -> Result<Response, AsJson> {
    let shape = "{\"version\": 1, \"job\": \"...\", \"another\": false}";
    let asked: AskedForCode = read(body, BODY_BYTES_MAX, shape).await?;
    of_this_version(asked.version)?;
    let phones = phones(&hall)?;
    let job = asked.job.as_deref().filter(|job| !job.is_empty());
    let (scope, _) = scope(&hall, &phones, job).await?;
    let shown = phones.code(&scope, asked.another).map_err(|error| disk(&error))?;
    let links = links(&phones, hall.port);
    let first = links.first().ok_or_else(|| Refusal::not_found(NO_NETWORK))?;
    let blocks = qr::in_blocks(&link(first, &shown));
    Ok(data(json!({
        "version": VERSION,
        "addresses": links,
        "on_paper": qr::on_paper(&blocks),
        "blocks": blocks,
        "minutes": shown.minutes_left,
    })))
}

/// Said where no phone could reach this machine.
pub(crate) const NO_NETWORK: &str = "This machine is on no network that a phone could reach it \
                                     by; bring it onto the garage's, or leave --phones out.";

/// What is sent to shut a phone out.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedOut {
    version: u64,
    name: String,
}

/// `POST /api/phones/shut-out`.
async fn shut_out(State(hall): State<Hall>, body: Body) -> Result<Response, AsJson> {
    let shape = "{\"version\": 1, \"name\": \"phone 1\"}";
    let asked: AskedOut = read(body, BODY_BYTES_MAX, shape).await?;
    of_this_version(asked.version)?;
    let phones = phones(&hall)?;
    let name: String = asked.name.chars().take(80).collect();
    let out = name.clone();
    let was_in = blocking(move || phones.shut_out(&out)).await?.map_err(|error| disk(&error))?;
    if !was_in {
        let sentence = format!("No phone \"{name}\" is let in; see the list of phones.");
        return Err(Refusal::not_found(sentence).into());
    }
    Ok(data(json!({ "version": VERSION, "shut_out": name })))
}
