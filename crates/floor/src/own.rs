//! What the garage has once and for all: people, tools, how numbers and dates are shown. Read from
//! its file whenever that has changed; one with errors is used by nothing and left as it is.

use std::fs;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

use lastbolt_files::{Display, Edit, Source, edit_garage, read_garage};
use lastbolt_job::with_twins;
use lastbolt_machine::model::GarageSpec;
use lastbolt_machine::{FileNo, Level};
use lastbolt_store::{FileRole, Garage, JobFile};
use maud::{Markup, PreEscaped};

/// What the garage file says as of now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Own {
    /// What it says; nothing where it cannot be used.
    pub spec: GarageSpec,
    /// How numbers and dates are shown.
    pub display: Display,
    /// Its text, if it is there and whole.
    pub text: Option<String>,
    /// Why it is used by nothing, if it is there and not whole.
    pub trouble: Option<String>,
}

impl Own {
    /// Reads the garage file. Touches nothing.
    pub fn read(garage: &Garage) -> Self {
        let text = match garage.own_file() {
            Ok(None) => return Self::default(),
            Ok(Some(text)) => text,
            Err(error) => return Self { trouble: Some(error.to_string()), ..Self::default() },
        };
        // One that has only remarks says nothing, and there is nothing of it to copy.
        if text.lines().all(|line| line.trim().is_empty() || line.trim().starts_with('#')) {
            return Self::default();
        }
        let name = garage.own_file_path().display().to_string();
        let (spec, problems) = read_garage(&[Source::new(&name, text.as_str())], FileNo(0));
        let first = problems.iter().find(|problem| problem.level == Level::Error);
        if let Some(first) = first {
            let trouble = format!(
                "The garage file is left as it is and used by nothing until it is mended: {name}, \
                 line {}: {} {}",
                first.at.line, first.message, first.help
            );
            return Self { trouble: Some(trouble), ..Self::default() };
        }
        Self { display: Display::of(&spec), spec, text: Some(text), trouble: None }
    }

    /// Gives the names of the people, in the order of the file.
    pub fn people(&self) -> impl Iterator<Item = &str> {
        self.spec.people.iter().map(|(name, _)| name.name())
    }

    /// Gives the copy that a new job keeps; none where there is nothing to copy.
    pub fn copy(&self) -> Option<JobFile> {
        let text = self.text.clone()?;
        Some(JobFile { name: "garage.toml".to_owned(), role: FileRole::Garage, text })
    }
}

/// Makes a change in the garage file. For the holder of the garage's lock.
///
/// # Errors
/// Says why nothing was changed.
pub fn change_own_file(garage: &Garage, edit: &Edit) -> Result<(), String> {
    let text = garage.own_file().map_err(|error| error.to_string())?.unwrap_or_default();
    let new = edit_garage(&text, edit).map_err(|error| error.to_string())?;
    if new == text {
        return Ok(());
    }
    garage.keep_own_file(&new).map_err(|error| error.to_string())
}

type Stamp = Option<(u64, SystemTime)>;

/// The garage file as it was read last.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kept {
    last: Arc<Mutex<(Stamp, Arc<Own>)>>,
    /// Held while it is changed.
    changing: Arc<Mutex<()>>,
}

impl Kept {
    /// Gives what the file says now: read again only where it has another size or time.
    pub(crate) fn now(&self, garage: &Garage) -> Arc<Own> {
        let about = fs::metadata(garage.own_file_path()).ok();
        let stamp = about.and_then(|about| Some((about.len(), about.modified().ok()?)));
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if stamp.is_none() || last.0 != stamp {
            *last = (stamp, Arc::new(Own::read(garage)));
        }
        Arc::clone(&last.1)
    }

    /// Makes a change, one at a time. Slow: not for a thread that answers requests.
    pub(crate) fn change(&self, garage: &Garage, edit: &Edit) -> Result<(), String> {
        let _one = self.changing.lock().unwrap_or_else(PoisonError::into_inner);
        let done = change_own_file(garage, edit);
        // Two changes in one tick of the clock look alike by size and time.
        self.last.lock().unwrap_or_else(PoisonError::into_inner).0 = None;
        done
    }
}

tokio::task_local! {
    /// How the page that is being drawn shows numbers and dates.
    static SHOWN: Arc<Own>;
}

/// Draws with what the garage says.
pub(crate) async fn showing<T>(own: Arc<Own>, work: impl Future<Output = T>) -> T {
    SHOWN.scope(own, work).await
}

/// Gives what the garage says, for the page that is being drawn.
pub(crate) fn shown() -> Arc<Own> {
    SHOWN.try_with(Arc::clone).unwrap_or_default()
}

/// Gives a number with this garage's decimal sign.
pub(crate) fn number(text: &str) -> String {
    shown().display.number(text)
}

/// Gives a page with this garage's decimal sign in its texts; what stands in tags stays.
pub(crate) fn in_texts(page: Markup) -> Markup {
    let display = shown().display.clone();
    if !display.comma {
        return page;
    }
    let html = page.into_string();
    let mut all = String::with_capacity(html.len());
    for piece in html.split_inclusive('>') {
        let (text, tag) = piece.split_at(piece.find('<').unwrap_or(piece.len()));
        all.push_str(&display.prose(text));
        all.push_str(tag);
    }
    PreEscaped(all)
}

/// Gives a line of facts with torques in this garage's unit behind the maker's own.
pub(crate) fn twins(text: &str) -> String {
    let display = shown().display.clone();
    with_twins(text, display.units, |number| display.number(number))
}
