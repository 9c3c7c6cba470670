//! Lists from and for a spreadsheet: looked at, taken in, and given out.

use axum::body::{Body, to_bytes};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use lastbolt_files::csv::{List, Style, read_list, write_list};
use lastbolt_job::lists::{Entries, entries, events, preview, rows};
use lastbolt_job::{Picture, export};
use lastbolt_ledger::{Accepted, Event, EventId};
use lastbolt_machine::{FileNo, Level};
use lastbolt_store::{BATCH_MAX, FileRole, JobId};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::clock::now_ms;
use crate::hall::Hall;
use crate::limits::LIST_BYTES_MAX;
use crate::pages;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::room::Room;
use crate::routes::data;
use crate::wire::VERSION;

/// The sender's name of everything that comes from a list.
const SENDER: &str = "list";

/// What is asked with a list.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    /// What does not say how it stands is off.
    off: Option<u8>,
    /// It is taken in, not only looked at.
    yes: Option<u8>,
    /// Who says it.
    person: Option<String>,
}

/// `POST /api/job/{job}/list`: a list as the body. It is looked at, and with `?yes=1` taken in:
/// all of it or, where something is wrong with it, nothing.
pub(crate) async fn bring(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<Asked>,
    body: Body,
) -> Result<Response, AsJson> {
    let room = hall.room(&job).await?;
    let bytes = to_bytes(body, LIST_BYTES_MAX).await.map_err(|_| too_large())?;
    let snapshot = room.current().await;
    let off = asked.off == Some(1);
    let read = tokio::task::spawn_blocking(move || {
        let list = read_list(&bytes, FileNo(0));
        let entries = entries(&snapshot, &list.rows, off);
        (list, entries, snapshot)
    });
    let (list, entries, snapshot) = read.await.map_err(|_| not_read())?;
    if asked.yes == Some(1) && is_usable(&list) {
        let person = asked.person.as_deref().filter(|person| !person.trim().is_empty());
        let events = entries_of(&snapshot, &entries, person)?;
        let recorded = take_in(&hall, &room, events).await?;
        return Ok(data(answer(&pages::lists::taken_in(&room, recorded), &entries, recorded)));
    }
    let shown = preview(&list, &entries);
    Ok(data(answer(&pages::lists::shown(&list, &shown), &entries, 0)))
}

fn answer(shown: &maud::Markup, entries: &Entries, recorded: usize) -> Value {
    json!({
        "version": VERSION,
        "shown": shown.0,
        "handfuls": entries.handfuls.len(),
        "recorded": recorded,
    })
}

/// Whether nothing is wrong with a list.
pub(crate) fn is_usable(list: &List) -> bool {
    !list.problems.iter().any(|problem| problem.level == Level::Error)
}

fn entries_of(
    picture: &Picture,
    entries: &Entries,
    person: Option<&str>,
) -> Result<Vec<Event>, Refusal> {
    let own = picture.records.iter().filter(|record| record.event.sender == SENDER);
    let count = own.map(|record| record.event.count).max().unwrap_or(0);
    let (seen, at_ms) = (picture.seen(), now_ms());
    let no_id = || {
        let sentence = "No number could be had to keep it under; try again.";
        Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, sentence)
    };
    let all = events(entries, |verb, id, before| {
        let id = match id {
            Some(id) => id.to_owned(),
            None => lastbolt_store::random_token().map_err(|_| no_id())?,
        };
        let id = EventId::new(&id).map_err(|_| no_id())?;
        let count = count.saturating_add(before).saturating_add(1);
        let mut event = Event::new(id, SENDER, count, seen, at_ms, verb);
        event.person = person.map(str::to_owned);
        Ok::<Event, Refusal>(event)
    })?;
    for event in &all {
        event.check().map_err(|error| Refusal::malformed(error.to_string()))?;
    }
    Ok(all)
}

/// Records everything, so many at once as the disk takes together; gives how many entries.
async fn take_in(hall: &Hall, room: &Room, events: Vec<Event>) -> Result<usize, Refusal> {
    let mut recorded = 0;
    for some in events.chunks(BATCH_MAX) {
        let sent = hall.writer.append(room.id.clone(), some.to_vec()).await;
        for accepted in sent.map_err(|trouble| Refusal::of(&trouble))? {
            if let Accepted::Refused(refusal) = accepted {
                let sentence = format!("{recorded} entries of the list are kept. Then: {refusal}");
                return Err(Refusal::new(StatusCode::CONFLICT, sentence));
            }
            recorded += 1;
        }
    }
    Ok(recorded)
}

/// `GET /job/{job}/lists/{file}`: the list of the job, or its machine file.
pub(crate) async fn file(
    State(hall): State<Hall>,
    Path((job, file)): Path<(String, String)>,
) -> Result<Response, AsPage> {
    let (room, snapshot) = hall.seen(&job).await?;
    let id = room.id.as_str();
    let (name, kind, text) = match file.as_str() {
        "list.csv" => {
            (format!("{id}.csv"), "text/csv", write_list(&rows(&snapshot), Style::default()))
        }
        "list-semicolons.csv" => {
            let style = Style { separator: ';', decimal_comma: true };
            (format!("{id}.csv"), "text/csv", write_list(&rows(&snapshot), style))
        }
        "machine.toml" => (
            format!("{id}.toml"),
            "application/toml",
            machine_file(&hall, &room.id, &snapshot).await?,
        ),
        _ => return Err(Refusal::not_found("There is nothing at this address.").into()),
    };
    let headers = [
        (CONTENT_TYPE, format!("{kind}; charset=utf-8")),
        (CACHE_CONTROL, "no-store".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, text).into_response())
}

async fn machine_file(hall: &Hall, id: &JobId, picture: &Picture) -> Result<String, Refusal> {
    let (garage, id) = (hall.garage.clone(), id.clone());
    let files = tokio::task::spawn_blocking(move || {
        garage.open_job(id.as_str()).and_then(|job| job.files()).map_err(|error| error.to_string())
    });
    let failed = |sentence| Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, sentence);
    let files = files.await.map_err(|_| not_read())?.map_err(failed)?;
    let own = files.into_iter().find(|file| file.role == FileRole::Machine);
    let own = own.ok_or_else(|| failed("This job keeps no machine file.".to_owned()))?;
    let (base, drawn) = (&picture.base.model.machine, picture.drawn.as_deref());
    Ok(export(&own.text, base, drawn, &picture.records))
}

fn not_read() -> Refusal {
    Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "The list could not be read.")
}

/// A list that is larger than any can be.
pub(crate) fn too_large() -> Refusal {
    let sentence =
        format!("The list is larger than {} MB; bring a part of it.", LIST_BYTES_MAX >> 20);
    Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, sentence)
}
