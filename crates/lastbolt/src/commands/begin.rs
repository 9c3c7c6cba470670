//! `lastbolt begin`.

use std::path::{Path, PathBuf};

use lastbolt_files::{FileKind, Source, kind_of};
use lastbolt_floor::{Own, known_machine};
use lastbolt_job::{Case, FromNothing, from_known, from_nothing, read_case};
use lastbolt_store::{FileRole, Garage, JobFile, JobId};

use crate::commands::import::{machine_file, read_whole};
use crate::context::{Context, Done, aside};
use crate::failure::Failure;
use crate::input::Input;
use crate::live::{now_ms, writing};

/// Begins a job, from files or from nothing, and prints its id.
///
/// From files it keeps its own copy of them. From nothing it asks for no more than the machine in
/// a few words and what you are after; what an earlier job on that machine recorded is known then.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Machine file, job file, or folder with job.toml.
    #[arg(value_name = "FILE", required_unless_present = "machine")]
    file: Option<String>,
    /// Begins with nothing: the machine in a few words.
    #[arg(long, value_name = "TEXT", conflicts_with = "file")]
    machine: Option<String>,
    /// What you are after: what is to come off, or what is wrong.
    #[arg(long, value_name = "TEXT", requires = "machine")]
    after: Option<String>,
    /// A list from a spreadsheet (CSV) with the parts, fixings and connections that are known.
    #[arg(long, value_name = "FILE", requires = "machine")]
    list: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let (lock, garage) = writing(context)?;
    let after = args.after.as_deref().unwrap_or_default();
    let new = match (&args.file, &args.machine) {
        (Some(file), _) => NewJob::read(file, context)?,
        (None, Some(machine)) => match &args.list {
            Some(list) => NewJob::from_list(&garage, list, machine, after)?,
            None => NewJob::from_words(&garage, machine, after)?,
        },
        (None, None) => return Err(Failure::asked("Nothing was said to begin with.", "")),
    };
    if lock.is_some() {
        new.furnish(&garage)?;
    }
    let id = new.begin(&garage)?;
    context.line(id.as_str())?;
    Ok(Done::Well)
}

/// The files of a job that is to be begun.
pub(crate) struct NewJob {
    title: String,
    /// The path of the file that it is begun from.
    pub(crate) source: String,
    files: Vec<JobFile>,
    /// A garage file that stands beside them, for a garage that has none.
    brought: Option<String>,
}

impl NewJob {
    /// A job from nothing, or from what an earlier job knows of that machine; says which.
    ///
    /// # Errors
    /// Says what is wrong with the words.
    fn from_words(garage: &Garage, machine: &str, after: &str) -> Result<Self, Failure> {
        let said = |error: lastbolt_job::NothingError| Failure::asked(error.to_string(), "");
        let known = known_machine(garage, machine);
        let files = match &known {
            Some(known) => from_known(&known.text, &known.case, machine, after),
            None => from_nothing(machine, after),
        };
        let files = files.map_err(said)?;
        if let Some(known) = &known {
            say_known(known.job.as_str(), &known.case);
        }
        let mut new = Self::of(files);
        new.files.extend(own_copy(garage));
        Ok(new)
    }

    /// A job on a machine of which a list is known.
    ///
    /// # Errors
    /// Says what is wrong with the words, or with the list.
    fn from_list(garage: &Garage, list: &str, machine: &str, after: &str) -> Result<Self, Failure> {
        let list = read_whole(list)?;
        let text = machine_file(machine, &list)?;
        let read = read_case(&[Source::new("machine.toml", text.clone())]);
        let case = read.map_err(|_| Failure::given("The list makes no machine.", ""))?.case;
        let files = from_known(&text, &case, machine, after)
            .map_err(|error| Failure::asked(error.to_string(), ""))?;
        say_known("the list", &case);
        let mut new = Self::of(files);
        new.files.extend(own_copy(garage));
        Ok(new)
    }

    fn of(files: FromNothing) -> Self {
        let file = |name: &str, role, text| JobFile { name: name.to_owned(), role, text };
        Self {
            title: files.title,
            source: String::new(),
            files: vec![
                file("machine.toml", FileRole::Machine, files.machine),
                file("job.toml", FileRole::Job, files.job),
            ],
            brought: None,
        }
    }

    /// Reads and checks the files; a garage file in the garage folder comes along, for its
    /// minutes.
    ///
    /// # Errors
    /// Says the first error of the files.
    pub(crate) fn read(file: &str, context: &Context) -> Result<Self, Failure> {
        let mut input = Input::bring(file, context);
        let mut brought = None;
        if let Ok(garage) = context.garage() {
            let is_garage = |source: &Source| kind_of(source) == FileKind::Garage;
            if garage.own_file_path().exists() {
                // What this garage has counts, not what stands beside the files.
                input.sources.retain(|source| !is_garage(source));
                let copy = own_copy(&garage);
                input.sources.extend(copy.map(|file| Source::new(file.name, file.text)));
            } else {
                let beside = input.sources.iter().find(|source| is_garage(source));
                brought = beside.and_then(|source| String::from_utf8(source.bytes.clone()).ok());
            }
        }
        let (model, _) = input.model().map_err(|problems| {
            let errors: Vec<_> = problems.iter().filter(|told| told.is_error()).collect();
            let first = errors.first().map_or_else(String::new, |told| told.lines().join("\n"));
            Failure::given(
                format!("The files have errors, so no job was begun.\n{first}"),
                format!("lastbolt check {file} says everything that is wrong."),
            )
        })?;
        let files = kept(&input.sources)?;
        Ok(Self { title: model.title(), source: source_of(file), files, brought })
    }

    /// Begins the job in a garage whose lock is held.
    ///
    /// # Errors
    /// Says why there is no new job.
    pub(crate) fn begin(&self, garage: &Garage) -> Result<JobId, Failure> {
        Ok(garage.begin(&self.title, &self.source, &self.files, now_ms())?)
    }

    /// Gives a garage that has no garage file the one that stands beside the job's files, and says
    /// so. For the holder of the garage's lock.
    ///
    /// # Errors
    /// Fails when it cannot be written.
    pub(crate) fn furnish(&self, garage: &Garage) -> Result<(), Failure> {
        let Some(text) = &self.brought else { return Ok(()) };
        if garage.own_file_path().exists() {
            return Ok(());
        }
        garage.keep_own_file(text)?;
        let path = garage.own_file_path().display().to_string();
        aside(&format!("People and wrenches of the garage.toml beside it are kept in {path}."));
        Ok(())
    }
}

/// The copy of the garage file that a new job keeps; one that cannot be used is said to be so, and
/// the job begins without it.
fn own_copy(garage: &Garage) -> Option<JobFile> {
    let own = Own::read(garage);
    if let Some(trouble) = &own.trouble {
        aside(&format!("note: {trouble}"));
    }
    own.copy()
}

/// Says in one line what a job begins with.
fn say_known(from: &str, case: &Case) {
    let machine = &case.model.machine;
    let parts = u32::try_from(machine.parts.len()).unwrap_or(u32::MAX);
    let parts = lastbolt_job::pieces(parts, "part");
    let ties = machine.ties.len();
    aside(&format!("Known from {from}: {parts}, {ties} fixings and connections."));
}

/// The copies that a job keeps: each under its own name, without folders.
fn kept(sources: &[Source]) -> Result<Vec<JobFile>, Failure> {
    let mut files: Vec<JobFile> = Vec::new();
    for source in sources {
        let (role, usual) = match kind_of(source) {
            FileKind::Machine => (FileRole::Machine, "machine.toml"),
            FileKind::Job => (FileRole::Job, "job.toml"),
            FileKind::Garage => (FileRole::Garage, "garage.toml"),
        };
        let own = Path::new(&source.name).file_name().and_then(|name| name.to_str());
        let taken = |name: &str| files.iter().any(|file| file.name == name);
        let name = own.filter(|name| !taken(name)).unwrap_or(usual).to_owned();
        let text = String::from_utf8(source.bytes.clone()).map_err(|_| {
            Failure::given(
                format!("{}: the file is not plain text in UTF-8.", source.name),
                "Save it as UTF-8.",
            )
        })?;
        files.push(JobFile { name, role, text });
    }
    Ok(files)
}

/// The path that a job is found again by: absolute, and that of the file in a folder.
fn source_of(file: &str) -> String {
    let path = Path::new(file);
    let inside = ["job.toml", "machine.toml"].map(|name| path.join(name));
    let named: PathBuf = match inside.into_iter().find(|inside| inside.is_file()) {
        Some(inside) if path.is_dir() => inside,
        _ => path.to_owned(),
    };
    let full = named.canonicalize().or_else(|_| std::path::absolute(&named)).unwrap_or(named);
    full.display().to_string()
}
