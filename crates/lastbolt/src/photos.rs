//! Pictures from files: looked at, kept in the job's folder by whoever may write there, and made
//! into an entry.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use lastbolt_ledger::{Event, More, Verb};
use lastbolt_photo::{BYTES_MAX, Photo, Taken, take_in};
use lastbolt_store::{GarageLock, StoreError, Who};

use crate::context::Context;
use crate::failure::Failure;
use crate::live::{Desk, post};

/// A picture that is in the job's folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct KeptPhoto {
    /// Its name: what an entry mentions.
    pub(crate) name: String,
    /// When it was taken \[ms since 1970, UTC\], else when its file was last written.
    pub(crate) taken_at_ms: Option<i64>,
}

impl KeptPhoto {
    /// Gives what an entry carries that mentions it.
    pub(crate) fn more(&self) -> More {
        More { photo: Some(self.name.clone()), taken_at_ms: self.taken_at_ms, ..More::default() }
    }

    /// Makes the entry that mentions it, taken of a thing if one is named.
    ///
    /// # Errors
    /// Fails when no id can be made.
    pub(crate) fn event(&self, desk: &Desk, thing: Option<&str>) -> Result<Event, Failure> {
        let event = desk.event(Verb::Photo, None)?;
        let thing = thing.map(str::to_owned);
        Ok(Event { thing, more: Some(self.more()), ..event })
    }
}

/// Keeps a picture from a file in the job's folder: the running server does it if there is one,
/// else this process under the garage's lock. It is not mentioned by an entry yet.
///
/// # Errors
/// Says why it is no picture, or is not kept; then nothing was.
pub(crate) fn keep_photo(
    desk: &Desk,
    context: &Context,
    file: &Path,
) -> Result<KeptPhoto, Failure> {
    Brought::read(file)?.keep(desk, context)
}

/// A picture that was read and is good.
pub(crate) struct Brought {
    pub(crate) file: PathBuf,
    photo: Photo,
    /// When it was taken, as [`KeptPhoto::taken_at_ms`].
    pub(crate) taken_at_ms: Option<i64>,
}

impl Brought {
    /// Reads a picture.
    ///
    /// # Errors
    /// Says why it is none.
    pub(crate) fn read(file: &Path) -> Result<Self, Failure> {
        let bytes = bytes(file)?;
        let photo = take_in(&bytes)
            .map_err(|error| Failure::given(format!("{}: {error}", file.display()), ""))?;
        let taken_at_ms = photo.taken.map_or_else(|| written_at_ms(file), |t| Some(at_ms(t)));
        Ok(Self { file: file.to_owned(), photo, taken_at_ms })
    }

    /// Keeps it in the job's folder.
    ///
    /// # Errors
    /// Says why it is not kept.
    pub(crate) fn keep(&self, desk: &Desk, context: &Context) -> Result<KeptPhoto, Failure> {
        let kept = |name: &str| KeptPhoto { name: name.to_owned(), taken_at_ms: self.taken_at_ms };
        match GarageLock::acquire(&context.garage_dir()?) {
            Ok(_lock) => {
                let Photo { name, image, small, .. } = &self.photo;
                desk.job.photos().keep(name, image, small)?;
                Ok(kept(name))
            }
            Err(StoreError::Held { who: Who::Server(serving), .. }) => {
                let url = format!("{}/api/job/{}/photos", serving.address, desk.job.id().as_str());
                let answer = post(&serving, &url, "application/octet-stream", &bytes(&self.file)?)?;
                let answer: serde_json::Value = serde_json::from_str(&answer).unwrap_or_default();
                // The server may be another version, that draws another picture of it.
                let name = answer.get("photo").and_then(serde_json::Value::as_str);
                name.map(kept).ok_or_else(|| crate::live::not_understood(&serving))
            }
            Err(error) => Err(error.into()),
        }
    }
}

fn bytes(file: &Path) -> Result<Vec<u8>, Failure> {
    let failed = |error: std::io::Error| {
        let help = "Look at the spelling, and whether you may read it.";
        Failure::given(format!("{}: it cannot be read: {error}.", file.display()), help)
    };
    let mut bytes = Vec::new();
    let most = BYTES_MAX as u64 + 1;
    File::open(file).map_err(failed)?.take(most).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}

/// The camera's clock is taken for this machine's where the picture does not say otherwise.
fn at_ms(taken: Taken) -> i64 {
    let said = Timestamp::from_millisecond(taken.local_ms);
    let here = said.ok().filter(|_| taken.minutes_east.is_none()).and_then(|said| {
        let clock = said.to_zoned(TimeZone::UTC).datetime();
        TimeZone::system().to_timestamp(clock).ok()
    });
    here.map_or_else(|| taken.at_ms(0), Timestamp::as_millisecond)
}

fn written_at_ms(file: &Path) -> Option<i64> {
    let since = file.metadata().ok()?.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    i64::try_from(since.as_millis()).ok()
}
