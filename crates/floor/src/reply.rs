//! Refusals: a status, a sentence, and the shape that whoever asked can read.

use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, RETRY_AFTER};
use axum::response::{IntoResponse, Response};
use serde_json::json;

use crate::pages;
use crate::writer::Trouble;

/// Says why a request was not carried out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Refusal {
    pub(crate) status: StatusCode,
    pub(crate) sentence: String,
    /// Where the button of the page leads; none: to today's jobs.
    page: Option<String>,
    /// It is a phone that is not let in.
    not_let_in: bool,
}

impl Refusal {
    pub(crate) fn new(status: StatusCode, sentence: impl Into<String>) -> Self {
        Self { status, sentence: sentence.into(), page: None, not_let_in: false }
    }

    /// A phone asks that is not let in, or not any more.
    pub(crate) fn not_let_in() -> Self {
        let sentence = "This phone is not let in. Scan the code that Lastbolt shows on its own \
                        machine, or type it here.";
        let refusal = Self::new(StatusCode::FORBIDDEN, sentence);
        Self { not_let_in: true, ..refusal }
    }

    /// Says where the page of this refusal leads.
    pub(crate) fn leading_to(self, page: &str) -> Self {
        Self { page: Some(page.to_owned()), ..self }
    }

    pub(crate) fn not_found(sentence: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, sentence)
    }

    pub(crate) fn malformed(sentence: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, sentence)
    }

    pub(crate) fn of(trouble: &Trouble) -> Self {
        let status = match trouble {
            Trouble::NoJob(_) => StatusCode::NOT_FOUND,
            Trouble::Busy | Trouble::Leaving => StatusCode::SERVICE_UNAVAILABLE,
            Trouble::Disk(_) => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Self::new(status, trouble.sentence())
    }

    /// Gives the answer as JSON: `{"version": 1, "message": "..."}`, and `"let_in": false` for a
    /// phone that has to be let in first.
    pub(crate) fn json(&self) -> Response {
        let mut body = json!({ "version": 1, "message": self.sentence });
        if self.not_let_in {
            body["let_in"] = json!(false);
        }
        let body = body.to_string();
        let mut answer = (self.status, [(CONTENT_TYPE, "application/json")], body).into_response();
        if self.status == StatusCode::SERVICE_UNAVAILABLE {
            answer.headers_mut().insert(RETRY_AFTER, axum::http::HeaderValue::from_static("1"));
        }
        answer
    }

    /// Gives the answer as a page.
    pub(crate) fn page(&self) -> Response {
        let markup = if self.not_let_in {
            pages::let_in::page(&self.sentence, None)
        } else {
            let (address, button) = match &self.page {
                Some(page) => (page.as_str(), "To the job"),
                None => ("/", "To today's jobs"),
            };
            pages::refused::page(&self.sentence, address, button)
        };
        (self.status, [(CACHE_CONTROL, "no-store")], markup).into_response()
    }
}

/// A refusal of one of the addresses for programs.
pub(crate) struct AsJson(pub(crate) Refusal);

/// A refusal of a page.
pub(crate) struct AsPage(pub(crate) Refusal);

impl From<Refusal> for AsJson {
    fn from(refusal: Refusal) -> Self {
        Self(refusal)
    }
}

impl From<Refusal> for AsPage {
    fn from(refusal: Refusal) -> Self {
        Self(refusal)
    }
}

impl IntoResponse for AsJson {
    fn into_response(self) -> Response {
        self.0.json()
    }
}

impl IntoResponse for AsPage {
    fn into_response(self) -> Response {
        self.0.page()
    }
}
