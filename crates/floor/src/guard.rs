//! Who may ask: only pages and commands of this machine, so that no page of another site can
//! read or record anything.

use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::header::{
    AUTHORIZATION, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HOST, ORIGIN,
    REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;

use crate::hall::Hall;
use crate::limits::{BODY_BYTES_MAX, PHOTO_TIME, REQUEST_TIME};
use crate::reply::Refusal;

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; \
                      frame-ancestors 'none'";

/// Lets a request in or refuses it, limits how many there are and how long each takes, and puts
/// the security headers on every answer.
pub(crate) async fn guard(State(hall): State<Hall>, request: Request, next: Next) -> Response {
    let for_program = request.uri().path().starts_with("/api/");
    let shape = |refusal: Refusal| if for_program { refusal.json() } else { refusal.page() };
    let sent = Sent::to(request.uri().path());
    let mut answer = match judge(&hall, request.method(), request.headers(), sent) {
        Err(refusal) => shape(refusal),
        Ok(()) => match hall.requests.clone().try_acquire_owned() {
            Err(_) => shape(busy()),
            Ok(_place) => match within(sent.time(), next.run(request)).await {
                Some(answer) => answer,
                None => shape(too_slow()),
            },
        },
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
}

impl Sent {
    fn to(path: &str) -> Self {
        let is_photos = path.starts_with("/api/job/") && path.ends_with("/photos");
        if is_photos { Self::Photo } else { Self::Words }
    }

    fn time(self) -> Duration {
        match self {
            Self::Words => REQUEST_TIME,
            Self::Photo => PHOTO_TIME,
        }
    }

    /// Judges what is said of a body before it is read. Neither kind can be sent by a page of
    /// another site without its browser asking here first.
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
        };
        if !fits {
            return Err(Refusal::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, sentence));
        }
        let length = one(headers, &CONTENT_LENGTH).and_then(|text| text.parse::<u64>().ok());
        if length.is_some_and(|length| length > most as u64) {
            return Err(match self {
                Self::Words => too_large(),
                Self::Photo => crate::photos::too_large(),
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

/// Decides by the method and the headers alone.
pub(crate) fn judge(
    hall: &Hall,
    method: &Method,
    headers: &HeaderMap,
    sent: Sent,
) -> Result<(), Refusal> {
    let forbidden = |sentence: &str| Err(Refusal::new(StatusCode::FORBIDDEN, sentence));
    if !host_is_ours(headers, hall.port) {
        return forbidden(
            "This address is not one of this server's own; open the one that was printed when it \
             began.",
        );
    }
    let origin = origin(headers, hall.port);
    let site = site(headers);
    if origin == From::Elsewhere {
        return forbidden("Pages of another address may not ask here.");
    }
    if matches!(*method, Method::GET | Method::HEAD) {
        return Ok(());
    }
    if site == From::Elsewhere {
        return forbidden("Pages of another address may not record here.");
    }
    if origin != From::Here && site != From::Here && !has_token(headers, &hall.token) {
        return forbidden(
            "Only pages of this server, and commands that show its token, may record here.",
        );
    }
    sent.judge(headers)
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
fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?;
    if all.next().is_some() { None } else { first.to_str().ok() }
}

fn host_is_ours(headers: &HeaderMap, port: u16) -> bool {
    one(headers, &HOST).is_some_and(|host| names(port).iter().any(|name| name == host))
}

fn names(port: u16) -> [String; 3] {
    ["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}"))
}

fn origin(headers: &HeaderMap, port: u16) -> From {
    if !headers.contains_key(ORIGIN) {
        return From::Unsaid;
    }
    let ours = |origin: &str| names(port).iter().any(|name| origin == format!("http://{name}"));
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
    let (shown, token) = (shown.as_bytes(), token.as_bytes());
    let differences = shown.iter().zip(token).fold(0, |sum, (a, b)| sum | (a ^ b));
    !token.is_empty() && shown.len() == token.len() && differences == 0
}

fn is_kind(headers: &HeaderMap, fits: impl Fn(&str) -> bool) -> bool {
    let kind = one(headers, &CONTENT_TYPE).and_then(|text| text.split(';').next());
    kind.is_some_and(|kind| fits(&kind.trim().to_ascii_lowercase()))
}
