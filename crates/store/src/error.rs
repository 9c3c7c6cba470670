//! What can go wrong with the garage folder, each with a sentence.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use crate::id::JobId;
use crate::lock::Who;

/// Says why the garage folder did not do what was asked.
///
/// Its text is a sentence that says what is wrong and what to do.
#[derive(Debug)]
#[non_exhaustive]
pub enum StoreError {
    /// A file or folder could not be read or written.
    Io {
        /// Which one.
        path: PathBuf,
        /// What was tried, as "read", "create".
        doing: &'static str,
        /// Why not.
        error: io::Error,
    },
    /// The file is not there.
    Missing {
        /// Which one.
        path: PathBuf,
    },
    /// A folder, or something else that is no file, stands in its place.
    NotAFile {
        /// Which one.
        path: PathBuf,
    },
    /// The file has no content.
    Empty {
        /// Which one.
        path: PathBuf,
    },
    /// The file is no database at all.
    NotADatabase {
        /// Which one.
        path: PathBuf,
        /// What it should be.
        noun: &'static str,
    },
    /// The database was made by another program, or is another kind of file of this one.
    Foreign {
        /// Which one.
        path: PathBuf,
        /// What it should be.
        noun: &'static str,
    },
    /// It is ours but damaged.
    Damaged {
        /// Which one.
        path: PathBuf,
        /// What was found.
        detail: String,
    },
    /// It was written by a newer version.
    Newer {
        /// Which one.
        path: PathBuf,
        /// Its version.
        version: i64,
        /// The newest that is known here.
        known: i32,
    },
    /// The file is larger than it may be.
    TooBig {
        /// Which one.
        path: PathBuf,
        /// How many bytes it may have.
        most: u64,
    },
    /// Somebody else is writing it all the time.
    Busy {
        /// Which one.
        path: PathBuf,
    },
    /// The disk or the job is full.
    Full {
        /// Which one.
        path: PathBuf,
    },
    /// The database refused something else.
    Sql {
        /// Which one.
        path: PathBuf,
        /// What it said.
        detail: String,
    },
    /// There is no such job.
    NoSuchJob {
        /// What was asked for.
        asked: String,
        /// Where it was looked for.
        garage: PathBuf,
    },
    /// It is no job id.
    BadJobId {
        /// What was given.
        text: String,
    },
    /// Something given is over a limit or not allowed.
    Refused {
        /// The sentence.
        sentence: String,
    },
    /// Another program of ours is writing in this garage.
    Held {
        /// The garage folder.
        garage: PathBuf,
        /// Who, as far as it says.
        who: Who,
    },
    /// No home folder is known.
    NoHome,
    /// The job that is to be restored stands in the garage.
    JobExists {
        /// Its id.
        id: JobId,
        /// The one there is another job that only has the same id.
        other_job: bool,
    },
    /// The destination of a backup is taken by something else.
    DestinationTaken {
        /// Which one.
        path: PathBuf,
    },
}

impl StoreError {
    /// Wraps an input or output error.
    pub(crate) fn io(path: &Path, doing: &'static str) -> impl FnOnce(io::Error) -> StoreError {
        let path = path.to_owned();
        move |error| match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::Full { path },
            _ => StoreError::Io { path, doing, error },
        }
    }

    /// Wraps a database error.
    pub(crate) fn sql(path: &Path) -> impl Fn(rusqlite::Error) -> StoreError {
        use rusqlite::ErrorCode as Code;
        let path = path.to_owned();
        move |error| {
            let path = path.clone();
            let detail = error.to_string();
            match error.sqlite_error_code() {
                Some(Code::DiskFull) => StoreError::Full { path },
                Some(Code::DatabaseBusy | Code::DatabaseLocked) => StoreError::Busy { path },
                Some(Code::DatabaseCorrupt | Code::NotADatabase) => {
                    StoreError::Damaged { path, detail }
                }
                _ => StoreError::Sql { path, detail },
            }
        }
    }

    pub(crate) fn refused(sentence: impl Into<String>) -> StoreError {
        StoreError::Refused { sentence: sentence.into() }
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StoreError::Io { path, doing, error } => {
                write!(f, "{}: could not {doing} it: {error}.", path.display())
            }
            StoreError::Missing { path } => {
                write!(f, "{}: there is no such file; look at the path.", path.display())
            }
            StoreError::NotAFile { path } => write!(
                f,
                "{}: this is no file but a folder or something else; move it away.",
                path.display()
            ),
            StoreError::Empty { path } => write!(
                f,
                "{}: the file is empty. It was left as it is; restore the job from a backup.",
                path.display()
            ),
            StoreError::NotADatabase { path, noun } => write!(
                f,
                "{}: this is not a Lastbolt {noun}. It was left as it is.",
                path.display()
            ),
            StoreError::Foreign { path, noun } => write!(
                f,
                "{}: this file was made by another program or for another purpose; it is not a \
                 Lastbolt {noun}. It was left as it is.",
                path.display()
            ),
            StoreError::Damaged { path, detail } => write!(
                f,
                "{}: the file is damaged ({detail}). It was left as it is; restore the job from \
                 a backup.",
                path.display()
            ),
            StoreError::Newer { path, version, known } => write!(
                f,
                "{}: the file was written by a newer version of Lastbolt (its format is \
                 {version}, this one knows up to {known}). It was left as it is; use the newer \
                 version.",
                path.display()
            ),
            StoreError::TooBig { path, most } => write!(
                f,
                "{}: the file is larger than {} MiB, more than it can be. It was left as it is.",
                path.display(),
                most / (1024 * 1024)
            ),
            StoreError::Busy { path } => write!(
                f,
                "{}: another program is writing it; wait until it has ended and try again.",
                path.display()
            ),
            StoreError::Full { path } => write!(
                f,
                "{}: nothing more fits: the disk is full, or the job has reached its largest \
                 size. Nothing was recorded; make room and send it again.",
                path.display()
            ),
            StoreError::Sql { path, detail } => {
                write!(f, "{}: the database refused it: {detail}.", path.display())
            }
            _ => self.fmt_asked(f),
        }
    }
}

impl StoreError {
    /// The sentences about what was asked, rather than about a file.
    fn fmt_asked(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StoreError::NoSuchJob { asked, garage } => write!(
                f,
                "There is no job \"{asked}\" in {}; list the jobs, or give a job's folder or \
                 database.",
                garage.display()
            ),
            StoreError::BadJobId { text } => write!(
                f,
                "\"{text}\" is no job id; one has small letters, digits and dashes, as \
                 \"tarn-camper-1\"."
            ),
            StoreError::Refused { sentence } => f.write_str(sentence),
            StoreError::Held { garage, who } => match who {
                Who::Server(serving) => write!(
                    f,
                    "Lastbolt already serves {} at {} (process {}); use that one or end it.",
                    garage.display(),
                    serving.address,
                    serving.pid
                ),
                _ => write!(
                    f,
                    "Another Lastbolt is writing in {}; wait until it has ended and try again.",
                    garage.display()
                ),
            },
            StoreError::NoHome => write!(
                f,
                "No home folder is known, so the garage folder has no default place; give it \
                 with --garage."
            ),
            StoreError::JobExists { id, other_job: false } => write!(
                f,
                "The job {id} is in this garage already; restore it with --replace and the one \
                 here is kept aside."
            ),
            StoreError::JobExists { id, other_job: true } => write!(
                f,
                "Another job with the id {id} is in this garage; restore into another garage, or \
                 with --replace, which keeps the one here aside."
            ),
            StoreError::DestinationTaken { path } => write!(
                f,
                "{}: something else stands there, and only an older backup of the same job is \
                 written over; choose another name.",
                path.display()
            ),
            _ => Ok(()),
        }
    }
}

impl std::error::Error for StoreError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            StoreError::Io { error, .. } => Some(error),
            _ => None,
        }
    }
}
