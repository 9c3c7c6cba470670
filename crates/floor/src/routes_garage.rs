//! Addresses of what the garage has once and for all.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};
use lastbolt_files::{Edit, typed};
use serde::Deserialize;
use serde_json::json;

use crate::guard::too_large;
use crate::hall::Hall;
use crate::learnt::offered;
use crate::limits::BODY_BYTES_MAX;
use crate::own;
use crate::pages;
use crate::reply::{AsJson, Refusal};
use crate::routes::{data, page};
use crate::wire::VERSION;

/// Every address of the garage's own things, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new().route("/garage", get(garage)).route("/api/garage", post(change))
}

async fn garage(State(hall): State<Hall>) -> Response {
    let kept = hall.own.clone();
    let read = tokio::task::spawn_blocking(move || {
        let own = kept.now(&hall.garage);
        let offered = offered(&hall.garage, &own);
        (own, offered)
    });
    let (own, offered) = read.await.unwrap_or_else(|_| (own::shown(), Vec::new()));
    page(pages::garage::page(&own, &offered))
}

/// What is sent.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    version: u64,
    #[serde(rename = "do")]
    what: What,
    path: Vec<String>,
    #[serde(default)]
    value: String,
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Add,
    Set,
    Remove,
}

const SHAPE: &str = "{\"version\": 1, \"do\": \"set\", \"path\": [\"minutes\", \"screw\"], \
                     \"value\": \"0.5\"}";

fn read(body: &[u8]) -> Result<Edit, Refusal> {
    let sent: Sent = serde_json::from_slice(body)
        .map_err(|error| Refusal::malformed(format!("What was sent is not {SHAPE}: {error}.")))?;
    if sent.version != VERSION {
        let sentence =
            format!("Version {} is not known here; send version {VERSION}.", sent.version);
        return Err(Refusal::malformed(sentence));
    }
    let path: Vec<String> = sent.path.iter().map(|word| word.trim().to_owned()).collect();
    Ok(match sent.what {
        What::Add => Edit::Add(path),
        What::Remove => Edit::Remove(path),
        What::Set => {
            let (table, key) = (path.first().cloned(), path.last().cloned());
            let (table, key) = (table.unwrap_or_default(), key.unwrap_or_default());
            let value = typed(&table, &key, &sent.value);
            Edit::Set(path, value.map_err(|error| Refusal::malformed(error.to_string()))?)
        }
    })
}

/// `POST /api/garage`: one change. The server holds the garage's lock.
async fn change(State(hall): State<Hall>, body: Body) -> Result<Response, AsJson> {
    let body = to_bytes(body, BODY_BYTES_MAX).await.map_err(|_| too_large())?;
    let edit = read(&body)?;
    let done = tokio::task::spawn_blocking(move || hall.own.change(&hall.garage, &edit)).await;
    let failed = |sentence: String| Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, sentence);
    let done = done.map_err(|_| failed("Nothing was changed; try again.".into()))?;
    done.map_err(|sentence| Refusal::new(StatusCode::CONFLICT, sentence))?;
    Ok(data(json!({ "version": VERSION, "done": true })))
}
