//! Events as JSON: what is sent, and what became of it.

use lastbolt_ledger::{Accepted, Event, EventId, More, Recorded, Verb};
use serde::Deserialize;
use serde_json::{Map, Value, json};

use crate::limits::EVENTS_MAX;
use crate::reply::Refusal;
use crate::wire::VERSION;

/// An event as it is sent.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    id: String,
    sender: String,
    count: u64,
    #[serde(default)]
    seen: u64,
    said_at_ms: i64,
    verb: String,
    #[serde(default)]
    thing: Option<String>,
    #[serde(default)]
    spot: Option<String>,
    #[serde(default)]
    tool: Option<String>,
    #[serde(default)]
    person: Option<String>,
    #[serde(default)]
    note: Option<String>,
    #[serde(default)]
    pieces: Option<u32>,
    #[serde(default)]
    of: Option<String>,
    #[serde(default)]
    more: Option<Value>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Body {
    version: u64,
    events: Vec<Value>,
}

/// One of the events of a request: read, or refused for what stands in it.
#[derive(Debug)]
pub(crate) struct Asked {
    /// The id as it was sent.
    pub(crate) id: String,
    /// The event, or the sentence that refuses it.
    pub(crate) event: Result<Event, String>,
}

/// Reads the body of a request.
///
/// # Errors
/// The whole request is refused where it is not of this shape: then nothing of it is recorded.
pub(crate) fn read(body: &[u8]) -> Result<Vec<Asked>, Refusal> {
    let body: Body = serde_json::from_slice(body).map_err(|error| {
        Refusal::malformed(format!(
            "What was sent is not {{\"version\": 1, \"events\": [...]}}: {error}."
        ))
    })?;
    if body.version != VERSION {
        return Err(Refusal::malformed(format!(
            "Version {} is not known here; send version {VERSION}.",
            body.version
        )));
    }
    if body.events.len() > EVENTS_MAX {
        let sentence = format!(
            "{} events were sent at once; send at most {EVENTS_MAX} at a time.",
            body.events.len()
        );
        return Err(Refusal::new(axum::http::StatusCode::PAYLOAD_TOO_LARGE, sentence));
    }
    let numbered = body.events.into_iter().enumerate();
    numbered.map(|(index, value)| read_one(index + 1, value)).collect()
}

fn read_one(number: usize, value: Value) -> Result<Asked, Refusal> {
    let sent: Sent = serde_json::from_value(value).map_err(|error| {
        Refusal::malformed(format!("Number {number} of what was sent cannot be read: {error}."))
    })?;
    let id = sent.id.clone();
    Ok(Asked { event: sent.into_event(), id })
}

impl Sent {
    fn into_event(self) -> Result<Event, String> {
        let id = EventId::new(&self.id).map_err(|error| error.to_string())?;
        let of = self.of.as_deref().map(EventId::new).transpose();
        let of = of.map_err(|error| error.to_string())?;
        let more = self.more.map(|more| More::from_text(&more.to_string())).transpose();
        let more = more
            .map_err(|error| format!("What stands under \"more\" is not understood: {error}."))?;
        let event = Event {
            id,
            sender: self.sender,
            count: self.count,
            seen: self.seen,
            said_at_ms: self.said_at_ms,
            verb: Verb::read(&self.verb),
            thing: self.thing,
            spot: self.spot,
            tool: self.tool,
            person: self.person,
            note: self.note,
            pieces: self.pieces,
            of,
            more,
        };
        event.check().map_err(|error| error.to_string())?;
        Ok(event)
    }
}

/// What became of one event.
pub(crate) fn answer(id: &str, accepted: &Result<Accepted, String>) -> Value {
    match accepted {
        Ok(Accepted::New(seq)) => json!({ "id": id, "accepted": "new", "seq": seq }),
        Ok(Accepted::Same(seq)) => json!({ "id": id, "accepted": "same", "seq": seq }),
        Ok(Accepted::Refused(refusal)) => {
            json!({ "id": id, "accepted": "refused", "message": refusal.to_string() })
        }
        Err(sentence) => json!({ "id": id, "accepted": "refused", "message": sentence }),
    }
}

/// A record as the stream tells it.
pub(crate) fn recorded(recorded: &Recorded) -> Value {
    let event = &recorded.event;
    let mut all = Map::new();
    let mut put = |key: &str, value: Value| {
        if !value.is_null() {
            all.insert(key.to_owned(), value);
        }
    };
    put("version", json!(VERSION));
    put("seq", json!(recorded.seq));
    put("recorded_at_ms", json!(recorded.recorded_at_ms));
    put("id", json!(event.id.as_str()));
    put("sender", json!(event.sender));
    put("count", json!(event.count));
    put("seen", json!(event.seen));
    put("said_at_ms", json!(event.said_at_ms));
    put("verb", json!(event.verb.as_str()));
    put("thing", json!(event.thing));
    put("spot", json!(event.spot));
    put("tool", json!(event.tool));
    put("person", json!(event.person));
    put("note", json!(event.note));
    put("pieces", json!(event.pieces));
    put("of", json!(event.of.as_ref().map(EventId::as_str)));
    put("more", json!(event.more));
    Value::Object(all)
}
