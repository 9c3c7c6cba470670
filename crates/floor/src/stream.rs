//! The stream of what happens in a job: subscribe first, replay what was missed, then live.

use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::{Extension, Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Deserialize;
use serde_json::json;
use tokio::sync::{broadcast, mpsc, watch};
use tokio_stream::Stream;
use tokio_stream::wrappers::ReceiverStream;

use crate::door::Pass;
use crate::hall::Hall;
use crate::limits::STREAM_BEAT;
use crate::reply::{AsJson, Refusal};
use crate::room::{Room, Told};
use crate::wire;

/// What may stand behind the address.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Since {
    since: Option<u64>,
}

/// `GET /api/job/ID/stream`.
pub(crate) async fn stream(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<Since>,
    pass: Option<Extension<Pass>>,
    headers: HeaderMap,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, AsJson> {
    let place = hall.streams.clone().try_acquire_owned().map_err(|_| {
        let sentence = "Too many pages listen at once; close some.";
        Refusal::new(StatusCode::SERVICE_UNAVAILABLE, sentence)
    })?;
    let room = hall.room(&job).await?;
    let last = headers.get("last-event-id").and_then(|id| id.to_str().ok());
    let last = last.and_then(|id| id.trim().parse().ok());
    // Without a number only what comes from now on is told.
    let since = last.or(asked.since);
    let (sender, receiver) = mpsc::channel(16);
    let leaving = hall.leaving.clone();
    let live = room.listen();
    tokio::spawn(async move {
        // Ends with a browser that went away, one that lags behind, one that is shut out, or the
        // server.
        tokio::select! {
            _ = tell(&room, live, since, &sender, leaving) => {}
            () = shut_out(pass.map(|pass| pass.0)) => {}
        }
        drop(place);
    });
    // An event, not a remark: scripts see it, and know by its absence that the network is gone.
    let beat = Event::default().event("beat").data("{\"version\":1}");
    let beat = KeepAlive::new().interval(STREAM_BEAT).event(beat);
    Ok(Sse::new(ReceiverStream::new(receiver)).keep_alive(beat))
}

/// Waits until the phone that listens is shut out; for ever where it is none.
async fn shut_out(pass: Option<Pass>) {
    let Some(Pass::Phone { phone, .. }) = pass else { return std::future::pending().await };
    let mut out = phone.out.clone();
    // The sender is gone where the phone was let in anew: it comes back with its new secret.
    let _ = out.wait_for(|out| *out).await;
}

type Sender = mpsc::Sender<Result<Event, Infallible>>;

/// Says why a stream ended.
struct Ended;

async fn tell(
    room: &Arc<Room>,
    mut live: broadcast::Receiver<Told>,
    since: Option<u64>,
    sender: &Sender,
    mut leaving: watch::Receiver<bool>,
) -> Result<(), Ended> {
    let mut last = since.unwrap_or(u64::MAX);
    if let Some(since) = since {
        for record in room.since(since) {
            last = record.seq;
            send(sender, told_event(&Told::Record(record))).await?;
        }
    } else {
        last = room.since(0).last().map_or(0, |record| record.seq);
    }
    send(sender, told_event(&Told::screen(&room.latest()))).await?;
    loop {
        let told = tokio::select! {
            told = live.recv() => told.map_err(|_| Ended)?,
            _ = leaving.wait_for(|leaving| *leaving) => return Err(Ended),
            () = sender.closed() => return Err(Ended),
        };
        match told {
            // What was replayed already is not told twice.
            Told::Record(record) if record.seq <= last => {}
            told => {
                if let Told::Record(record) = &told {
                    last = record.seq;
                }
                send(sender, told_event(&told)).await?;
            }
        }
    }
}

async fn send(sender: &Sender, event: Event) -> Result<(), Ended> {
    sender.send(Ok(event)).await.map_err(|_| Ended)
}

fn told_event(told: &Told) -> Event {
    match told {
        Told::Record(record) => {
            let data = wire::event::recorded(record).to_string();
            Event::default().event("record").id(record.seq.to_string()).data(data)
        }
        Told::Screen(seen, may_change) => {
            let data = json!({ "version": 1, "seen": seen, "list_may_change": may_change });
            Event::default().event("screen").data(data.to_string())
        }
    }
}
