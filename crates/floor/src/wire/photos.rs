//! Pictures: what is said with one, and what became of it.

use axum::http::HeaderMap;
use lastbolt_photo::Photo;
use serde_json::{Value, json};

use crate::wire::VERSION;

/// When it was taken, as far as the phone knows \[ms since 1970, UTC\].
const TAKEN_AT: &str = "x-taken-at-ms";
/// How far the phone's clock is ahead of UTC \[minutes\].
const MINUTES_EAST: &str = "x-minutes-east";
/// Times outside of these are a clock that was never set: the years 1990 to 2199.
const TIMES_MS: std::ops::Range<i64> = 631_152_000_000..7_258_118_400_000;

/// What the phone says with a picture; what is no number is as good as not said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Said {
    taken_at_ms: Option<i64>,
    minutes_east: Option<i32>,
}

impl Said {
    pub(crate) fn of(headers: &HeaderMap) -> Self {
        let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
        let taken_at_ms = text(TAKEN_AT).and_then(|text| text.parse().ok());
        let minutes_east = text(MINUTES_EAST).and_then(|text| text.parse().ok());
        Self {
            taken_at_ms: taken_at_ms.filter(|ms| TIMES_MS.contains(ms)),
            minutes_east: minutes_east.filter(|minutes| (-840..=840).contains(minutes)),
        }
    }

    /// When it was taken: by the picture, if that says it in full; else the phone is asked.
    fn taken_at_ms(&self, photo: &Photo) -> Option<i64> {
        let Some(taken) = photo.taken else { return self.taken_at_ms };
        match (taken.minutes_east, self.minutes_east, self.taken_at_ms) {
            (Some(_), _, _) => Some(taken.at_ms(0)),
            (None, Some(minutes), _) => Some(taken.at_ms(minutes)),
            (None, None, Some(said)) => Some(said),
            (None, None, None) => Some(taken.at_ms(0)),
        }
    }
}

/// What became of a picture.
pub(crate) fn answer(photo: &Photo, said: &Said, is_new: bool) -> Value {
    json!({
        "version": VERSION,
        "photo": photo.name,
        "taken_at_ms": said.taken_at_ms(photo),
        "width": photo.width,
        "height": photo.height,
        "new": is_new,
    })
}
