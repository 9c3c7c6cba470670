//! What some entries carry besides thing, place, tool, person and words.
//!
//! Its text form (JSON) is what databases and requests carry. Reading is lenient about keys of a
//! newer version; [`More::check`] judges what is sent.

use serde::{Deserialize, Serialize};

use crate::event::{EventError, check_name, check_note};
use crate::limits::{KINDS_MAX, MINUTES_MAX, NAMED_MAX, PIECES_MAX, ROUNDS_MAX};

/// How many characters the name of a stored picture has: SHA-256 in hexadecimal digits.
const PHOTO_CHARS: usize = 64;
/// The largest place on a picture: thousandths of its width or height.
const PLACE_MAX: u16 = 1000;

/// Holds what an entry carries besides the plain fields; nothing of it must be there.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct More {
    /// The part of a handful (`took`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<TookPart>,
    /// The fixings and connections of a handful (`took`).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ties: Vec<TookTie>,
    /// Done by feel.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub feel: bool,
    /// A kind: screw, plug, rag, ...
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Which fact is said: one of [`FACTS`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fact: Option<String>,
    /// Into which thing another is merged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub into: Option<String>,
    /// What a question was about: the things that would go home (`answered`).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub these: Vec<String>,
    /// What a question was about: the things that are home already (`answered`).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub those: Vec<String>,
    /// The stored picture: SHA-256 of its bytes, in hexadecimal digits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// When the picture was taken \[ms since 1970, UTC\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_at_ms: Option<i64>,
    /// Where on the picture, from the left \[thousandths of its width\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub x: Option<u16>,
    /// Where on the picture, from the top \[thousandths of its height\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub y: Option<u16>,
    /// Which point of the day is answered (`ticked`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub point: Option<String>,
    /// The question as it was asked (`ticked`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked: Option<String>,
    /// A price, as it was written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<String>,
    /// Minutes, at least or about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    /// Minutes at most, where they are a band.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes_most: Option<u32>,
    /// When it falls due, as it was written: "after 50 km".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub due: Option<String>,
    /// By what means it was said: "by phone".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub means: Option<String>,
    /// Which round of tightening (`round`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub round: Option<u32>,
    /// With which wrench.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wrench: Option<String>,
    /// To what the wrench was set, as it reads on its scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setting: Option<String>,
    /// When that wrench was calibrated, as its owner wrote it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<String>,
    /// By hand, not measured.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub by_hand: bool,
}

/// The kind of a `finished` entry by which a job is given up, not handed over.
pub const GIVEN_UP: &str = "given up";

/// Facts that can be said of a thing, in the words of entries.
pub const FACTS: [&str; 10] =
    ["sits", "wetted", "direction", "new_or_old", "length", "mark", "size", "bag", "label", "tool"];

/// Holds a part that came off.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct TookPart {
    /// What it is called, if anybody said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Hung aside: some connections stayed made.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub aside: bool,
    /// It is what the job is after.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_it: bool,
}

/// Holds fixings or connections of one kind that were undone together.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct TookTie {
    /// The kind in the trade's word.
    pub kind: String,
    /// How many; none: one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// What they are called, if anybody said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Not out but slackened, or back in by hand.
    #[serde(skip_serializing_if = "Stands::is_off")]
    pub stands: Stands,
}

/// Says how fixings stand after a handful.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// Undone.
    #[default]
    Off,
    /// Slackened only.
    Slack,
    /// Put back in their holes by hand.
    ByHand,
}

impl Stands {
    fn is_off(&self) -> bool {
        *self == Stands::Off
    }
}

impl More {
    /// Tells whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        *self == More::default()
    }

    /// Gives the text form: a JSON object.
    pub fn to_text(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Reads the text form; keys that are not known are left out.
    ///
    /// # Errors
    /// Says what is wrong with it, in a few words.
    pub fn from_text(text: &str) -> Result<More, String> {
        // Serde reads a list as a structure too; that is none of ours.
        if !text.trim_start().starts_with('{') {
            return Err("it is no JSON object".to_owned());
        }
        serde_json::from_str(text).map_err(|error| error.to_string())
    }

    /// Checks everything that can be judged without the verb.
    ///
    /// # Errors
    /// Says the first thing that is wrong.
    pub(crate) fn check(&self) -> Result<(), EventError> {
        check_name("kind", self.kind.as_deref())?;
        check_name("into", self.into.as_deref())?;
        check_name("point", self.point.as_deref())?;
        check_note("question", self.asked.as_deref())?;
        check_name("price", self.price.as_deref())?;
        check_name("due", self.due.as_deref())?;
        check_name("means", self.means.as_deref())?;
        check_name("wrench", self.wrench.as_deref())?;
        check_name("setting", self.setting.as_deref())?;
        check_name("calibrated", self.calibrated.as_deref())?;
        check_number("round", self.round, ROUNDS_MAX)?;
        check_number("minutes", self.minutes, MINUTES_MAX)?;
        check_number("minutes", self.minutes_most, MINUTES_MAX)?;
        if let Some(part) = &self.part {
            check_name("part's name", part.name.as_deref())?;
        }
        if self.ties.len() > KINDS_MAX {
            return Err(EventError::TooManyKinds);
        }
        for tie in &self.ties {
            check_name("kind", Some(&tie.kind))?;
            check_name("name", tie.name.as_deref())?;
            if tie.count.is_some_and(|count| count == 0 || count > PIECES_MAX) {
                return Err(EventError::BadPieces);
            }
        }
        if self.these.len().max(self.those.len()) > NAMED_MAX {
            return Err(EventError::TooManyNames);
        }
        for name in self.these.iter().chain(&self.those) {
            check_name("name", Some(name))?;
        }
        if let Some(fact) = self.fact.as_deref().filter(|fact| !FACTS.contains(fact)) {
            return Err(EventError::UnknownFact { word: fact.chars().take(40).collect() });
        }
        let hex = |c: char| c.is_ascii_digit() || ('a'..='f').contains(&c);
        let is_name = |name: &str| name.len() == PHOTO_CHARS && name.chars().all(hex);
        if self.photo.as_deref().is_some_and(|name| !is_name(name)) {
            return Err(EventError::BadPhoto);
        }
        if [self.x, self.y].into_iter().flatten().any(|place| place > PLACE_MAX) {
            return Err(EventError::BadPlace);
        }
        Ok(())
    }
}

fn check_number(field: &'static str, number: Option<u32>, most: u32) -> Result<(), EventError> {
    match number {
        Some(number) if number == 0 || number > most => Err(EventError::BadNumber { field, most }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The text form is what databases keep: it must read back, and nothing empty is written.
    #[test]
    fn text_form_reads_back() {
        let more = More {
            part: Some(TookPart { name: Some("tray".into()), aside: true, is_it: false }),
            ties: vec![TookTie {
                kind: "nut".into(),
                count: Some(3),
                name: None,
                stands: Stands::Slack,
            }],
            feel: true,
            ..More::default()
        };
        let text = more.to_text();
        let wanted = concat!(
            r#"{"part":{"name":"tray","aside":true},"#,
            r#""ties":[{"kind":"nut","count":3,"stands":"slack"}],"feel":true}"#
        );
        assert_eq!(text, wanted);
        assert_eq!(More::from_text(&text), Ok(more));
        assert_eq!(More::default().to_text(), "{}");
        assert_eq!(More::from_text(r#"{"newer": 1}"#), Ok(More::default()));
        assert!(More::from_text("[]").is_err() && More::from_text("{").is_err());
    }

    /// Each of these is refused, each for its own reason.
    #[test]
    fn bad_ones_are_refused() {
        let read = |text: &str| More::from_text(text).expect("a text form").check();
        assert_eq!(read(r#"{"ties":[{"kind":"nut","count":0}]}"#), Err(EventError::BadPieces));
        assert_eq!(read(r#"{"ties":[{"count":1}]}"#), Err(EventError::Blank { field: "kind" }));
        assert_eq!(read(r#"{"photo":"../x"}"#), Err(EventError::BadPhoto));
        assert_eq!(read(r#"{"x":1001}"#), Err(EventError::BadPlace));
        let word = "colour".to_owned();
        assert_eq!(read(r#"{"fact":"colour"}"#), Err(EventError::UnknownFact { word }));
        assert_eq!(read(r#"{"fact":"sits"}"#), Ok(()));
        let bad = EventError::BadNumber { field: "round", most: ROUNDS_MAX };
        assert_eq!(read(r#"{"round":0}"#), Err(bad));
        assert_eq!(read(r#"{"point":" "}"#), Err(EventError::Blank { field: "point" }));
    }
}
