//! Who may ask: only pages and commands of this machine, and phones that were let in, so that no
//! page of another site can read or record anything.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{
    AUTHORIZATION, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ORIGIN, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use crate::door::{Door, Ends, Pass, door, who_from_network};
use crate::hall::Hall;
use crate::limits::{BODY_BYTES_MAX, LIST_BYTES_MAX, PHOTO_TIME, REQUEST_TIME};
use crate::own::showing;
use crate::phones::same;
use crate::reply::Refusal;

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; \
                      frame-ancestors 'none'";

/// Lets a request in or refuses it, limits how many there are and how long each takes, and puts
/// the security headers on every answer. Handlers find out who asks by the [`Pass`].
pub(crate) async fn guard(State(hall): State<Hall>, mut request: Request, next: Next) -> Response {
    let for_program = request.uri().path().starts_with("/api/");
    let shape = |refusal: Refusal| if for_program { refusal.json() } else { refusal.page() };
    // Without knowing the two ends nobody is let in.
    let ends = request.extensions().get::<ConnectInfo<Ends>>().map(|info| info.0);
    let judged = judge(&hall, ends, request.method(), request.uri().path(), request.headers());
    let sent = Sent::to(request.uri().path());
    let mut answer = match judged {
        Err(refusal) => shape(refusal),
        Ok(Judged::GoTo(page)) => Redirect::to(&page).into_response(),
        Ok(Judged::Let(pass)) => {
            let places = if matches!(pass, Pass::Stranger { .. }) {
                &hall.strangers
            } else {
                &hall.requests
            };
            match places.clone().try_acquire_owned() {
                Err(_) => shape(busy()),
                Ok(_place) => {
                    request.extensions_mut().insert(pass);
                    let own = if for_program { Arc::default() } else { hall.own.now(&hall.garage) };
                    let answer = within(sent.time(), showing(own, next.run(request))).await;
                    answer.unwrap_or_else(|| shape(too_slow()))
                }
            }
        }
    };
    protect(answer.headers_mut());
    answer
}

/// What an address takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sent {
    /// JSON, and not much of it.
    Words,
    /// One picture.
    Photo,
    /// A list from a spreadsheet.
    List,
}

impl Sent {
    fn to(path: &str) -> Self {
        match path.strip_prefix("/api/job/").and_then(|rest| rest.split_once('/')) {
            Some((_, "photos")) => Self::Photo,
            Some((_, "list")) => Self::List,
            _ => Self::Words,
        }
    }

    fn time(self) -> Duration {
        match self {
            Self::Words | Self::List => REQUEST_TIME,
            Self::Photo => PHOTO_TIME,
        }
    }

    /// Judges what is said of a body before it is read. None of these kinds can be sent by a page
    /// of another site without its browser asking here first.
    fn judge(self, headers: &HeaderMap) -> Result<(), Refusal> {
        let (fits, sentence, most) = match self {
            Self::Words => (
                is_kind(headers, |kind| kind == "application/json"),
                "What is sent must be application/json.",
                BODY_BYTES_MAX,
            ),
            Self::Photo => (
                is_kind(headers, |kind| {
                    kind.starts_with("image/") || kind == "application/octet-stream"
                }),
                "What is sent here must be one picture, as image/jpeg and the like.",
                lastbolt_photo::BYTES_MAX,
            ),
            Self::List => (
                is_kind(headers, |kind| kind == "text/csv"),
                "What is sent here must be one list, as text/csv.",
                LIST_BYTES_MAX,
            ),
        };
        if !fits {
            return Err(Refusal::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, sentence));
        }
        let length = one(headers, &CONTENT_LENGTH).and_then(|text| text.parse::<u64>().ok());
        if length.is_some_and(|length| length > most as u64) {
            return Err(match self {
                Self::Words => too_large(),
                Self::Photo => crate::photos::too_large(),
                Self::List => crate::lists::too_large(),
            });
        }
        Ok(())
    }
}

async fn within<T>(time: Duration, work: impl Future<Output = T>) -> Option<T> {
    tokio::time::timeout(time, work).await.ok()
}

fn busy() -> Refusal {
    let sentence = "Too many requests at once; it is asked again in a moment.";
    Refusal::new(StatusCode::SERVICE_UNAVAILABLE, sentence)
}

fn too_slow() -> Refusal {
    let sentence = "This took too long and was given up; what was sent may still be recorded, so \
                    send it again under the same id.";
    Refusal::new(StatusCode::SERVICE_UNAVAILABLE, sentence)
}

fn protect(headers: &mut HeaderMap) {
    let fixed: [(HeaderName, &'static str); 5] = [
        (CONTENT_SECURITY_POLICY, POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        (REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
}

/// What a request that is not refused gets.
#[derive(Clone, Debug)]
pub(crate) enum Judged {
    Let(Pass),
    /// It asked for what is not its own; its own stands there.
    GoTo(String),
}

/// Decides by the two ends of the connection, the method, the path and the headers alone.
pub(crate) fn judge(
    hall: &Hall,
    ends: Option<Ends>,
    method: &Method,
    path: &str,
    headers: &HeaderMap,
) -> Result<Judged, Refusal> {
    let door = door(hall, ends, headers).ok_or_else(|| {
        forbidden(
            "This address is not one of this server's own; open the one that was printed when it \
             began.",
        )
    })?;
    let origin = origin(headers, &door);
    if origin == From::Elsewhere {
        return Err(forbidden("Pages of another address may not ask here."));
    }
    let judged = match &door {
        Door::Home { .. } => Judged::Let(Pass::Home),
        Door::Network { from, .. } => who_from_network(hall, *from, path, headers)?,
    };
    if !matches!(*method, Method::GET | Method::HEAD) {
        may_record(hall, &door, origin, path, headers)?;
    }
    Ok(judged)
}

fn forbidden(sentence: &str) -> Refusal {
    Refusal::new(StatusCode::FORBIDDEN, sentence)
}

/// What is asked of whatever changes something.
fn may_record(
    hall: &Hall,
    door: &Door,
    origin: From,
    path: &str,
    headers: &HeaderMap,
) -> Result<(), Refusal> {
    let site = site(headers);
    if site == From::Elsewhere {
        return Err(forbidden("Pages of another address may not record here."));
    }
    // The token never travels over the network.
    let has_token = matches!(door, Door::Home { .. }) && has_token(headers, &hall.token);
    if origin != From::Here && site != From::Here && !has_token {
        return Err(forbidden(
            "Only pages of this server, and commands that show its token, may record here.",
        ));
    }
    Sent::to(path).judge(headers)
}

pub(crate) fn too_large() -> Refusal {
    let sentence = format!("What is sent is larger than {} kB; send less.", BODY_BYTES_MAX / 1024);
    Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, sentence)
}

/// Where a request says that it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum From {
    /// It does not say.
    Unsaid,
    Here,
    Elsewhere,
}

/// Gives a header that stands exactly once and is plain text.
pub(crate) fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?;
    if all.next().is_some() { None } else { first.to_str().ok() }
}

fn origin(headers: &HeaderMap, door: &Door) -> From {
    if !headers.contains_key(ORIGIN) {
        return From::Unsaid;
    }
    let ours = |origin: &str| door.names().iter().any(|name| origin == format!("http://{name}"));
    if one(headers, &ORIGIN).is_some_and(ours) { From::Here } else { From::Elsewhere }
}

fn site(headers: &HeaderMap) -> From {
    let name = HeaderName::from_static("sec-fetch-site");
    if !headers.contains_key(&name) {
        return From::Unsaid;
    }
    if one(headers, &name) == Some("same-origin") { From::Here } else { From::Elsewhere }
}

/// Compares in a time that does not tell how much of it was right.
fn has_token(headers: &HeaderMap, token: &str) -> bool {
    let Some(shown) = one(headers, &AUTHORIZATION).and_then(|text| text.strip_prefix("Bearer "))
    else {
        return false;
    };
    same(shown, token)
}

fn is_kind(headers: &HeaderMap, fits: impl Fn(&str) -> bool) -> bool {
    let kind = one(headers, &CONTENT_TYPE).and_then(|text| text.split(';').next());
    kind.is_some_and(|kind| fits(&kind.trim().to_ascii_lowercase()))
}
