//! One job as the commands use it: read from its database, and written through whoever may write:
//! the running server of the garage, else this process under the garage's lock.

use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use lastbolt_files::Source;
use lastbolt_floor::Own;
use lastbolt_job::view::{Day, DayGate, Gate, Phase, Quiet, QuietKind, Screen};
use lastbolt_job::{Case, KeptPlan, Picture, read_case};
use lastbolt_ledger::{Accepted, Event, EventId, More, Recorded, Verb};
use lastbolt_machine::Problem;
use lastbolt_machine::model::GarageSpec;
use lastbolt_store::{Garage, GarageLock, Job, KeptPlan as StoredPlan, Serving, StoreError, Who};
use serde::{Deserialize, Serialize};

use crate::context::Context;
use crate::failure::Failure;

/// The sender's name of everything that commands record.
pub(crate) const SENDER: &str = "command line";
/// Said where a job has no list of what comes off, until somebody says that all is off.
pub(crate) const MORE_MAY_COME_OFF: &str =
    "More may come off; when all is off, say so: lastbolt all-off JOB.";
/// How many states the planner may look at when the rest of a list has to be mended.
pub(crate) const NODES: u64 = 5_000;
/// The most events in one request to the running server.
const REQUEST_EVENTS_MAX: usize = 100;
/// How long the running server may take to answer.
const ANSWER_WITHIN: Duration = Duration::from_secs(20);
/// The most bytes of a server's answer.
const ANSWER_BYTES_MAX: u64 = 1 << 20;

/// One job, read.
pub(crate) struct Desk {
    pub(crate) job: Job,
    pub(crate) picture: Picture,
    /// What the garage has now.
    own: Option<Arc<GarageSpec>>,
}

impl Desk {
    /// Reads a job given by its id, folder or database. Writes nothing.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub(crate) fn open(context: &Context, job: &str) -> Result<Self, Failure> {
        let garage = context.garage()?;
        let job = garage.open_job(job)?;
        let own = Own::read(&garage);
        Self::of(job, own.text.is_some().then(|| Arc::new(own.spec)))
    }

    fn of(job: Job, own: Option<Arc<GarageSpec>>) -> Result<Self, Failure> {
        let case = case_of(&job)?;
        let kept = job.kept_plan()?.and_then(|plan| KeptPlan::from_text(&plan.text));
        let records = job.log().records().to_vec();
        let picture = Picture::of(Arc::new(case), records, kept, NODES).in_garage(own.clone());
        Ok(Self { job, picture, own })
    }

    pub(crate) fn records(&self) -> &[Recorded] {
        self.job.log().records()
    }

    /// Gives the working screen as of now.
    pub(crate) fn screen(&self) -> Screen {
        self.picture.screen(now_ms())
    }

    /// Gives the day around the work as of now.
    pub(crate) fn day(&self) -> Day {
        self.picture.day(now_ms())
    }

    /// Gives a gate as of now.
    pub(crate) fn gate(&self, gate: DayGate) -> Gate {
        self.picture.gate(gate, now_ms())
    }

    /// Makes an event of this sender, with the next count.
    ///
    /// # Errors
    /// Fails when no id can be made, or the given one cannot be used.
    pub(crate) fn event(&self, verb: Verb, id: Option<&str>) -> Result<Event, Failure> {
        let id = match id {
            Some(id) => id.to_owned(),
            None => lastbolt_store::random_token()?,
        };
        let id = EventId::new(&id).map_err(|error| Failure::asked(error.to_string(), ""))?;
        let own = self.records().iter().filter(|r| r.event.sender == SENDER);
        let count = own.map(|r| r.event.count).max().unwrap_or(0).saturating_add(1);
        let seen = self.job.log().last_seq();
        Ok(Event::new(id, SENDER, count, seen, now_ms(), verb))
    }

    /// Records an event: the server of the garage does it if there is one, else this process
    /// under the lock. Gives the job as it is then, and whether the event was there before.
    ///
    /// # Errors
    /// Says why it was not recorded; then nothing was.
    pub(crate) fn record(self, context: &Context, event: Event) -> Result<(Self, bool), Failure> {
        let dir = context.garage_dir()?;
        let serving = match GarageLock::acquire(&dir) {
            Ok(lock) => return self.append(&lock, event),
            Err(StoreError::Held { who: Who::Server(serving), .. }) => serving,
            Err(error) => return Err(error.into()),
        };
        let same = self.post(&serving, &event)?;
        let mut job = self.job;
        job.refresh()?;
        Ok((Self::of(job, self.own)?, same))
    }

    /// Records several events in order, so many at once as a request may carry. Gives the job as it
    /// is then.
    ///
    /// # Errors
    /// Says why they were not recorded. Those of one request are recorded all or not at all.
    pub(crate) fn record_all(
        mut self,
        context: &Context,
        events: &[Event],
    ) -> Result<Self, Failure> {
        let dir = context.garage_dir()?;
        let serving = match GarageLock::acquire(&dir) {
            Ok(_lock) => {
                for some in events.chunks(lastbolt_store::BATCH_MAX) {
                    let answers = self.job.append(some, now_ms())?;
                    refused(answers.into_iter())?;
                }
                return self.with_list();
            }
            Err(StoreError::Held { who: Who::Server(serving), .. }) => serving,
            Err(error) => return Err(error.into()),
        };
        for some in events.chunks(REQUEST_EVENTS_MAX) {
            for answer in self.send(&serving, some)? {
                if !matches!(answer.accepted.as_str(), "new" | "same") {
                    return Err(Failure::asked(answer.message.unwrap_or_default(), ""));
                }
            }
        }
        self.job.refresh()?;
        Self::of(self.job, self.own)
    }

    /// Reads the job again and keeps its list.
    fn with_list(self) -> Result<Self, Failure> {
        let desk = Self::of(self.job, self.own)?;
        let (made_at, text) = (desk.picture.now.kept.seq, desk.picture.now.kept.to_text());
        // The list is derived from the record: one that is not kept is made again.
        let _ = desk.job.keep_plan(&StoredPlan { made_at, text });
        Ok(desk)
    }

    /// Writes the event and the mended list under the garage's lock.
    fn append(mut self, lock: &GarageLock, event: Event) -> Result<(Self, bool), Failure> {
        // One that cannot be kept is worked out again.
        let _ = lock.garage().keep_letter(&self.job);
        let answers = self.job.append(&[event], now_ms())?;
        let same = match answers.into_iter().next() {
            Some(Accepted::New(_)) => false,
            Some(Accepted::Same(_)) => true,
            Some(Accepted::Refused(refusal)) => {
                return Err(Failure::asked(refusal.to_string(), ""));
            }
            None => return Err(Failure::world("The entry was not recorded; try again.", "")),
        };
        Ok((self.with_list()?, same))
    }

    /// Sends an event to the running server; tells whether it had been recorded before.
    fn post(&self, serving: &Serving, event: &Event) -> Result<bool, Failure> {
        let answers = self.send(serving, std::slice::from_ref(event))?;
        let answer = answers.into_iter().next().ok_or_else(|| not_understood(serving))?;
        match answer.accepted.as_str() {
            "new" => Ok(false),
            "same" => Ok(true),
            _ => Err(Failure::asked(answer.message.unwrap_or_default(), "")),
        }
    }

    /// Sends events to the running server, which takes them whole or not; gives its answers.
    fn send(&self, serving: &Serving, events: &[Event]) -> Result<Vec<Answer>, Failure> {
        let url = format!("{}/api/job/{}/events", serving.address, self.job.id().as_str());
        let body = EventsToSend { version: 1, events: events.iter().map(Wire::of).collect() };
        let body = serde_json::to_string(&body).map_err(|error| {
            Failure::world(format!("The entry cannot be written: {error}."), "")
        })?;
        let answer = ask(serving, &url, &body)?;
        let answers: Answers =
            serde_json::from_str(&answer).map_err(|_| not_understood(serving))?;
        Ok(answers.answers)
    }

    /// Prints the quiet remarks that the last record brought about, and what comes next.
    ///
    /// # Errors
    /// Fails when it cannot be written.
    pub(crate) fn tell_next(&self, context: &mut Context) -> Result<(), Failure> {
        let screen = self.screen();
        for Quiet { text, .. } in &screen.quiet {
            context.line(&format!("note: {text}"))?;
        }
        match &screen.next {
            _ if screen.given_up.is_some() => context.line(&given_up(&screen)),
            _ if screen.more_may_come_off => context.line(MORE_MAY_COME_OFF),
            Some(card) => context.line(&format!("What next: {}", where_and_what(&card.line))),
            None => self.tell_end(&screen, context),
        }
    }

    /// Says that the list is at its end, and which command comes then.
    ///
    /// # Errors
    /// Fails when it cannot be written.
    pub(crate) fn tell_end(&self, screen: &Screen, context: &mut Context) -> Result<(), Failure> {
        let state = &self.picture.now.live.state;
        // What was handed over with something open has a remark of its own.
        let is_open = screen.quiet.iter().any(|quiet| quiet.kind == QuietKind::PassedOpen);
        if !(is_open && screen.phase == Phase::Finished) {
            context.line("Nothing is left on the list.")?;
        }
        let passed = |gate: DayGate| state.gates.contains_key(gate.name());
        let then = match screen.phase {
            Phase::Finished => "Handed over. It goes on: lastbolt did JOB --do reopened.",
            Phase::FirstStart if state.first_starts.is_empty() && !passed(DayGate::FirstStart) => {
                "Then: lastbolt gate JOB, before the first start."
            }
            Phase::FirstStart if state.first_starts.is_empty() => {
                "Then: lastbolt did JOB --do first_start --note \"how it went\"."
            }
            Phase::FirstStart if !passed(DayGate::Road) => {
                "Then: lastbolt gate JOB road, before the road."
            }
            Phase::FirstStart => "Then: lastbolt did JOB --do finished hands it over.",
            _ => return Ok(()),
        };
        context.line(then)
    }
}

/// "This job was given up: no housing to be had."; empty for any other.
pub(crate) fn given_up(screen: &Screen) -> String {
    match screen.given_up.as_deref().map(|why| why.trim_end_matches('.')) {
        None => String::new(),
        Some("") => "This job was given up.".to_owned(),
        Some(why) => format!("This job was given up: {why}."),
    }
}

/// Says the first refusal.
fn refused(mut answers: impl Iterator<Item = Accepted>) -> Result<(), Failure> {
    match answers.find_map(|answer| match answer {
        Accepted::Refused(refusal) => Some(refusal),
        _ => None,
    }) {
        Some(refusal) => Err(Failure::asked(refusal.to_string(), "")),
        None => Ok(()),
    }
}

/// "Starter screws: 2 screws out (from below, socket 13)".
pub(crate) fn where_and_what(line: &lastbolt_job::view::StepLine) -> String {
    let from = line.from.as_ref().map(|from| match from.as_str() {
        "bench" => "at the bench".to_owned(),
        from => format!("from {from}"),
    });
    let all: Vec<String> = from.into_iter().chain(line.tool.clone()).collect();
    if all.is_empty() { line.text.clone() } else { format!("{} ({})", line.text, all.join(", ")) }
}

/// Reads the case of a job from the files that it keeps.
///
/// # Errors
/// Says the first error of those files.
pub(crate) fn case_of(job: &Job) -> Result<Case, Failure> {
    let sources = job.sources()?;
    read_case(&sources).map(|read| read.case).map_err(|problems| in_files(job, &sources, &problems))
}

fn in_files(job: &Job, sources: &[Source], problems: &[Problem]) -> Failure {
    let errors = problems.iter().filter(|p| p.level == lastbolt_machine::Level::Error);
    let Some(first) = errors.clone().next() else {
        return Failure::world(format!("{}: its files cannot be read.", job.path().display()), "");
    };
    let name = sources.get(usize::from(first.at.file.0)).map_or("files", |s| s.name.as_str());
    let more = match errors.count() {
        0 | 1 => String::new(),
        count => format!(" ({} more)", count - 1),
    };
    Failure::given(
        format!("{}, {name}, line {}: {}{more}", job.id().as_str(), first.at.line, first.message),
        first.help.clone(),
    )
}

/// The time of day in milliseconds since 1970, UTC.
pub(crate) fn now_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(0)
}

/// Takes the lock of the garage for a command that no server can do for it.
///
/// # Errors
/// Says who has it.
pub(crate) fn lock(context: &Context) -> Result<(Option<GarageLock>, Garage), Failure> {
    let lock = GarageLock::acquire(&context.garage_dir()?)?;
    let garage = lock.garage().clone();
    Ok((Some(lock), garage))
}

/// Opens the garage for a command that adds a whole new job: under the lock, or beside a running
/// server, which holds it so that nobody sweeps away what is half made; a new job then gets its
/// name in one step.
///
/// # Errors
/// Says who else has the garage.
pub(crate) fn writing(context: &Context) -> Result<(Option<GarageLock>, Garage), Failure> {
    let dir = context.garage_dir()?;
    match GarageLock::acquire(&dir) {
        Ok(lock) => {
            let garage = lock.garage().clone();
            Ok((Some(lock), garage))
        }
        Err(StoreError::Held { who: Who::Server(_), .. }) => Ok((None, Garage::open(&dir)?)),
        Err(error) => Err(error.into()),
    }
}

fn ask(serving: &Serving, url: &str, body: &str) -> Result<String, Failure> {
    post(serving, url, "application/json", body.as_bytes())
}

/// Sends something to the running server and gives its answer.
///
/// # Errors
/// Fails when it does not answer, or says no.
pub(crate) fn post(
    serving: &Serving,
    url: &str,
    kind: &str,
    body: &[u8],
) -> Result<String, Failure> {
    let sent = agent()
        .post(url)
        .header("content-type", kind)
        .header("authorization", format!("Bearer {}", serving.token))
        .send(body);
    read(serving, sent, "record it")
}

/// Asks the running server for something.
///
/// # Errors
/// Fails when it does not answer, or says no.
pub(crate) fn get(serving: &Serving, url: &str) -> Result<String, Failure> {
    read(serving, agent().get(url).call(), "say")
}

fn agent() -> ureq::Agent {
    let config = ureq::Agent::config_builder()
        .timeout_global(Some(ANSWER_WITHIN))
        .http_status_as_error(false)
        .proxy(None)
        .build();
    config.into()
}

fn read(
    serving: &Serving,
    sent: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
    did_not: &str,
) -> Result<String, Failure> {
    let failed = |error: ureq::Error| {
        Failure::world(
            format!("The running server at {} did not answer: {error}.", serving.address),
            "Look whether it still runs; end it and try again.",
        )
    };
    let mut answer = sent.map_err(failed)?;
    let text = answer.body_mut().with_config().limit(ANSWER_BYTES_MAX).read_to_string();
    let text = text.map_err(failed)?;
    if answer.status().is_success() {
        return Ok(text);
    }
    let said: Result<Refused, _> = serde_json::from_str(&text);
    let said = said.map_or_else(|_| format!("answer {}", answer.status()), |r| r.message);
    Err(Failure::world(format!("The running server did not {did_not}: {said}"), ""))
}

pub(crate) fn not_understood(serving: &Serving) -> Failure {
    Failure::world(
        format!(
            "The running server at {} (version {}) gave an answer that is not understood.",
            serving.address, serving.version
        ),
        "Run the same version of lastbolt as the server.",
    )
}

/// What is sent to the endpoint for events.
#[derive(Serialize)]
struct EventsToSend<'a> {
    version: u32,
    events: Vec<Wire<'a>>,
}

/// An event as JSON.
#[derive(Serialize)]
struct Wire<'a> {
    id: &'a str,
    sender: &'a str,
    count: u64,
    seen: u64,
    said_at_ms: i64,
    verb: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    thing: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spot: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tool: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    person: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pieces: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    of: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    more: Option<&'a More>,
}

impl<'a> Wire<'a> {
    fn of(event: &'a Event) -> Self {
        Self {
            id: event.id.as_str(),
            sender: &event.sender,
            count: event.count,
            seen: event.seen,
            said_at_ms: event.said_at_ms,
            verb: event.verb.as_str(),
            thing: event.thing.as_deref(),
            spot: event.spot.as_deref(),
            tool: event.tool.as_deref(),
            person: event.person.as_deref(),
            note: event.note.as_deref(),
            pieces: event.pieces,
            of: event.of.as_ref().map(EventId::as_str),
            more: event.more.as_ref(),
        }
    }
}

/// The endpoint's answers, in the order of the events.
#[derive(Deserialize)]
struct Answers {
    answers: Vec<Answer>,
}

#[derive(Deserialize)]
struct Answer {
    /// `new`, `same` or `refused`.
    accepted: String,
    /// Why it was refused.
    message: Option<String>,
}

#[derive(Deserialize)]
struct Refused {
    message: String,
}
