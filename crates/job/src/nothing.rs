//! The files that a job from nothing keeps: what was said in answer to two questions.

use std::fmt;

use lastbolt_machine::Kind;

use crate::case::Case;

/// The most characters of each answer.
const ANSWER_CHARS_MAX: usize = 90;
/// What everything hangs on that never comes off.
pub(crate) const MACHINE: &str = "the machine";

/// The files of a job that begins with nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromNothing {
    /// The title of the job: "Bramble saw: spindle bearing".
    pub title: String,
    /// The text of `machine.toml`.
    pub machine: String,
    /// The text of `job.toml`.
    pub job: String,
}

/// Says why there is no job of these words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NothingError {
    /// The machine was not said.
    NoMachine,
    /// An answer is too long.
    TooLong {
        /// Which one: "machine", "what it is after".
        which: &'static str,
    },
    /// An answer has characters that cannot be shown.
    ControlCharacter {
        /// Which one.
        which: &'static str,
    },
}

impl fmt::Display for NothingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoMachine => f.write_str(
                "The machine is not said; write it in a few words, whatever you call it.",
            ),
            Self::TooLong { which } => {
                write!(f, "The {which} is longer than {ANSWER_CHARS_MAX} characters; shorten it.")
            }
            Self::ControlCharacter { which } => {
                write!(f, "The {which} has characters that cannot be shown; remove them.")
            }
        }
    }
}

impl std::error::Error for NothingError {}

/// Gives the files of a job on a machine that no file knows. `after` says what the job is after,
/// and may be blank.
///
/// # Errors
/// Says what is wrong with the words.
pub fn from_nothing(machine: &str, after: &str) -> Result<FromNothing, NothingError> {
    let machine = said("machine", machine)?;
    let after = said("what it is after", after)?;
    if machine.is_empty() {
        return Err(NothingError::NoMachine);
    }
    let title = if after.is_empty() { machine.clone() } else { format!("{machine}: {after}") };
    let decided =
        if after.is_empty() { String::new() } else { format!("decided = {}\n", quoted(&after)) };
    Ok(FromNothing {
        title,
        machine: format!("machine = {}\nfixed = [{}]\n", quoted(&machine), quoted(MACHINE)),
        job: format!("machine_file = \"machine.toml\"\n\n[job]\n{decided}"),
    })
}

/// Gives the files of a job on a machine that an earlier job knows: `text` is its machine file,
/// `case` what that says. Where `after` names a part or fixing of it, that is to come off.
///
/// # Errors
/// Says what is wrong with the words.
pub fn from_known(
    text: &str,
    case: &Case,
    machine: &str,
    after: &str,
) -> Result<FromNothing, NothingError> {
    let mut files = from_nothing(machine, after)?;
    let after = said("what it is after", after)?.to_lowercase();
    let things = case.kernel.things.iter().filter(|thing| thing.kind != Kind::Prep);
    let mut named = things.filter(|thing| thing.name.to_lowercase() == after);
    if let Some(thing) = named.next() {
        files.job.push_str(&format!("off = [{}]\n", quoted(&thing.name)));
    }
    files.machine = text.to_owned();
    Ok(files)
}

/// An answer with its blanks drawn together.
fn said(which: &'static str, text: &str) -> Result<String, NothingError> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.chars().count() > ANSWER_CHARS_MAX {
        return Err(NothingError::TooLong { which });
    }
    if text.chars().any(char::is_control) {
        return Err(NothingError::ControlCharacter { which });
    }
    Ok(text)
}

/// A text as TOML writes it; control characters were refused before.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use lastbolt_files::Source;

    use super::*;
    use crate::{Case, read_case};

    fn read_back(files: &FromNothing) -> Case {
        let sources = [
            Source::new("machine.toml", files.machine.clone()),
            Source::new("job.toml", files.job.clone()),
        ];
        read_case(&sources).expect("files that can be read").case
    }

    /// Whatever a person calls a machine, the files say just that when they are read again.
    #[test]
    fn files_read_back() {
        for (machine, after) in [
            ("Bramble saw", "spindle bearing"),
            ("the \"old\" one \\ grey", "noise = \"bad\"\n[part.x]"),
            ("Möhre  β\t2", ""),
        ] {
            let files = from_nothing(machine, after).expect("plain words");
            let case = read_back(&files);
            let tidy = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(case.model.title(), tidy(machine));
            let decided: Vec<String> =
                case.model.job.decided.iter().map(|text| text.value.clone()).collect();
            let wanted = if after.is_empty() { vec![] } else { vec![tidy(after)] };
            assert_eq!(decided, wanted);
            assert!(case.model.machine.parts.is_empty());
            assert!(case.targets.is_empty());
        }
    }

    /// Each of these is refused for its own reason; nothing is half begun.
    #[test]
    fn what_is_refused() {
        assert_eq!(from_nothing("  \n ", "x"), Err(NothingError::NoMachine));
        let long = "a".repeat(91);
        let which = "what it is after";
        assert_eq!(from_nothing("m", &long), Err(NothingError::TooLong { which }));
        let which = "machine";
        assert_eq!(from_nothing("m\u{7}", ""), Err(NothingError::ControlCharacter { which }));
    }
}
