//! FILE as the user names it: a machine file, a job file, a folder, or a job of the garage.
//!
//! The result is always the same: the files with their bytes, and a sentence for each that could
//! not be read.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use lastbolt_files::{Document, FileKind, Source, beside, kind_of, read};
use lastbolt_job::{JobModel, read_model};
use lastbolt_ledger::Recorded;
use lastbolt_machine::{FileNo, Level, Problem, Ref};
use lastbolt_store::{Garage, Job, JobId};

use crate::context::Context;
use crate::from_here::from_here;
use crate::told::Told;

/// How much of a file is read: more than a file may have, so that what reads it can say so.
const READ_BYTES_MAX: u64 = 3 * 1024 * 1024;
/// What a garage file is called.
const GARAGE: &str = "garage.toml";
/// How a database begins.
const DATABASE: &[u8] = b"SQLite format 3\0";

/// The files of one FILE, in the order machine, job, garage as far as they are there.
#[derive(Debug, Default)]
pub(crate) struct Input {
    pub(crate) sources: Vec<Source>,
    /// What could not be read, or is missing.
    pub(crate) problems: Vec<Told>,
    /// What was recorded, where FILE is a job that has begun.
    records: Vec<Recorded>,
    /// FILE is a job that has begun.
    is_database: bool,
}

impl Input {
    /// Brings the files of one FILE.
    pub(crate) fn bring(file: &str, context: &Context) -> Self {
        let mut input = Self::default();
        input.name(file, context);
        input.machine_of_job();
        input.garage(context);
        input
    }

    /// Says whether it is a machine that can be planned, and not a garage file alone.
    pub(crate) fn has_machine(&self) -> bool {
        self.sources.iter().any(|source| kind_of(source) != FileKind::Garage)
    }

    /// Gives the machine and what is asked for, from where it really is if the job has begun, with
    /// things to know about the files.
    ///
    /// # Errors
    /// Every problem of the files, errors and notes.
    pub(crate) fn model(&self) -> Result<(JobModel, Vec<Told>), Vec<Told>> {
        let told = |problems: Vec<Problem>| -> Vec<Told> {
            problems.iter().map(|problem| Told::of(problem, &self.sources)).collect()
        };
        if !self.problems.is_empty() {
            let mut all = self.problems.clone();
            all.extend(told(self.each_by_itself()));
            return Err(all);
        }
        let is_machine = |source: &Source| kind_of(source) == FileKind::Machine;
        let own = self.each_by_itself();
        if !self.sources.iter().any(is_machine) && own.iter().any(|p| p.level == Level::Error) {
            return Err(told(own));
        }
        match read_model(&self.sources) {
            Ok((model, notes)) => match from_here(model, &self.records) {
                Ok(model) => Ok((model, told(notes))),
                Err(problems) => Err(told(problems)),
            },
            Err(problems) => Err(told(problems)),
        }
    }

    /// The problems of each file by itself.
    pub(crate) fn each_by_itself(&self) -> Vec<Problem> {
        let count = u16::try_from(self.sources.len()).unwrap_or(u16::MAX);
        (0..count).flat_map(|file| read(&self.sources, FileNo(file)).1).collect()
    }

    fn name(&mut self, file: &str, context: &Context) {
        if file.is_empty() {
            return self.job("\"\"", context);
        }
        let path = Path::new(file);
        if path.is_dir() {
            return self.folder(file, path);
        }
        match fs::metadata(path) {
            Ok(_) => self.file(file),
            Err(error) if error.kind() == io::ErrorKind::NotFound => self.job(file, context),
            Err(error) => self.problems.push(unreadable(file, &error)),
        }
    }

    fn folder(&mut self, name: &str, path: &Path) {
        let inside = |file: &str| path.join(file).is_file();
        let full = |file: &str| format!("{}/{file}", name.trim_end_matches(['/', '\\']));
        if inside("job.toml") {
            self.file(&full("job.toml"));
        } else if inside("machine.toml") {
            self.file(&full("machine.toml"));
        } else if inside("job.db") {
            self.database(name, &path.join("job.db"));
        } else {
            self.problems.push(Told::error(
                name,
                "nothing-in-folder",
                "There is no job.toml and no machine.toml in this folder.".to_owned(),
                "Name the machine file or the job file itself.",
            ));
        }
    }

    fn file(&mut self, name: &str) {
        match read_file(name) {
            Ok(bytes) if bytes.starts_with(DATABASE) => self.database(name, Path::new(name)),
            Ok(bytes) => self.sources.push(Source::new(name, bytes)),
            Err(error) => self.problems.push(unreadable(name, &error)),
        }
    }

    /// A name that is no path: the id of a job in the garage.
    fn job(&mut self, name: &str, context: &Context) {
        let garage = context.garage_dir().ok().filter(|dir| dir.is_dir());
        let database: Option<PathBuf> = garage
            .filter(|_| JobId::new(name).is_ok())
            .and_then(|dir| Garage::open(&dir).ok()?.find_job(name).ok());
        match database {
            Some(path) => self.database(name, &path),
            None => self.problems.push(Told::error(
                name,
                "no-such-file",
                "There is no such file, folder or job.".to_owned(),
                "Look at the spelling, and at the folder you are in.",
            )),
        }
    }

    fn database(&mut self, name: &str, path: &Path) {
        let job = Job::open(path).and_then(|job| Ok((job.files()?, job)));
        match job {
            Ok((files, job)) => {
                let source = |file: lastbolt_store::JobFile| Source::new(file.name, file.text);
                self.sources.extend(files.into_iter().map(source));
                self.records = job.log().records().to_vec();
                self.is_database = true;
            }
            Err(error) => self.problems.push(Told::error(name, "job", error.to_string(), "")),
        }
    }

    /// Brings the machine file that a job file names, and puts it first.
    fn machine_of_job(&mut self) {
        let [source] = self.sources.as_slice() else { return };
        if kind_of(source) != FileKind::Job {
            return;
        }
        let (Document::Job(job), _) = read(&self.sources, FileNo(0)) else { return };
        let job_name = source.name.clone();
        // A job file that names none is an error of that file, found when it is read.
        let Some(named) = job.machine_file else { return };
        let name = beside(&job_name, named.name());
        match read_file(&name) {
            Ok(bytes) => self.sources.insert(0, Source::new(name, bytes)),
            Err(error) => self.problems.push(not_beside(&job_name, &name, &named, &error)),
        }
    }

    /// Brings a garage file where no copy of one is there: that of `--garage`, else one that stands
    /// beside the job file.
    fn garage(&mut self, context: &Context) {
        if self.sources.iter().any(|source| kind_of(source) == FileKind::Garage) {
            return;
        }
        let asked = context.garage_asked().map(|dir| dir.join(GARAGE).display().to_string());
        let asked = asked.filter(|name| Path::new(name).is_file());
        let of_job = self.sources.iter().find(|source| kind_of(source) == FileKind::Job);
        let beside =
            of_job.filter(|_| !self.is_database).map(|source| beside(&source.name, GARAGE));
        let Some(name) = asked.or(beside.filter(|name| Path::new(name).is_file())) else { return };
        match read_file(&name) {
            // One that has only remarks says nothing: it is no file that something is wrong with.
            Ok(bytes) if says_nothing(&bytes) => {}
            Ok(bytes) => self.sources.push(Source::new(name, bytes)),
            Err(error) => self.problems.push(unreadable(&name, &error)),
        }
    }
}

fn says_nothing(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.lines().map(str::trim).all(|line| line.is_empty() || line.starts_with('#'))
}

pub(crate) fn read_file(name: &str) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(name)?.take(READ_BYTES_MAX).read_to_end(&mut bytes)?;
    Ok(bytes)
}

pub(crate) fn unreadable(name: &str, error: &io::Error) -> Told {
    let (message, help) = reason(error);
    Told::error(name, "cannot-read", message, help)
}

/// The machine file of a job that cannot be read: said where the job names it.
fn not_beside(job: &str, name: &str, named: &Ref, error: &io::Error) -> Told {
    let (message, help) = reason(error);
    let message = format!("The machine file {name} cannot be used. {message}");
    let help = if error.kind() == io::ErrorKind::NotFound {
        "Write machine_file as seen from the folder of the job file."
    } else {
        help
    };
    let told = Told::error(job, "cannot-read", message, help);
    Told { line: named.at.line, column: named.at.column, ..told }
}

fn reason(error: &io::Error) -> (String, &'static str) {
    match error.kind() {
        io::ErrorKind::NotFound => {
            ("There is no such file.".to_owned(), "Look at the spelling, and at the folder.")
        }
        io::ErrorKind::PermissionDenied => (
            "This file may not be read by you.".to_owned(),
            "Ask its owner, or change who may read it.",
        ),
        io::ErrorKind::IsADirectory => {
            ("This is a folder, not a file.".to_owned(), "Name the file in it.")
        }
        _ => (format!("This file could not be read: {error}."), "Look at the disk, or try again."),
    }
}
