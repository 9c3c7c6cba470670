//! Lastbolt itself as an engine of the truth test: records, drawing, questions and the plan, as
//! the command line joins them.

use std::sync::Arc;

use lastbolt_job::view::{PlanView, StepVerb};
use lastbolt_job::{Case, JobModel, Live, plan_view, see};
use lastbolt_ledger::{Accepted, Event, EventId, Log, More, TookPart, TookTie, Verb};
use lastbolt_machine::{JobSpec, Machine, Ref};
use lastbolt_order::{Answer, Ask, plan};
use lastbolt_sketch::{Drawn, draw, questions};
use lastbolt_testkit::truth::{Choice, Engine, Entry, PutBack, Question};

/// States that the planner may look at for the way back.
const NODES: u64 = 60_000;

/// A job from nothing.
#[derive(Clone, Debug)]
pub(crate) struct Lastbolt {
    machine: Machine,
    job: JobSpec,
    log: Log,
    /// Whether taking apart is said to be over before the questions.
    pub(crate) says_all_off: bool,
}

impl Lastbolt {
    /// Begins a job with nothing.
    pub(crate) fn new() -> Self {
        let machine = Machine {
            machine: Some(Ref::bare("something")),
            fixed: vec![Ref::bare("the machine")],
            ..Machine::default()
        };
        let job = JobSpec { decided: vec![Ref::bare("all of it")], ..JobSpec::default() };
        Self { machine, job, log: Log::default(), says_all_off: true }
    }

    fn drawn(&self) -> Drawn {
        draw(&self.machine, &self.job, self.log.records())
    }

    fn say(&mut self, verb: Verb, fill: impl FnOnce(&mut Event)) -> Result<(), String> {
        let number = self.log.last_seq() + 1;
        let id = EventId::new(&format!("e{number}")).map_err(|error| error.to_string())?;
        let mut event = Event::new(id, "truth", number, number - 1, 1000 * number as i64, verb);
        fill(&mut event);
        match self.log.accept(event, 1000 * number as i64) {
            Accepted::New(_) => Ok(()),
            other => Err(format!("{other:?}")),
        }
    }

    /// The plan from where the machine is, as `lastbolt plan JOB` makes it.
    pub(crate) fn plan(&self) -> Result<PlanView, String> {
        let said = |problems: Vec<lastbolt_machine::Problem>| format!("{problems:?}");
        let (machine, job) = (self.machine.clone(), self.job.clone());
        let base = JobModel { machine, job, ..JobModel::default() };
        let (case, drawn) = see(&Arc::new(Case::new(base).map_err(said)?), self.log.records());
        let plain = drawn.as_ref().map_or(self.log.records(), |drawn| &drawn.plain);
        let live = Live::of(&case, plain);
        let open = live.open.iter().map(|thing| Ref::bare(case.kernel.name(thing)));
        let job = JobSpec {
            already: open.collect(),
            at: live.spot.map(|spot| Ref::bare(case.kernel.spots[spot.0].clone())),
            ..JobSpec::default()
        };
        let here = Case::new(JobModel { job, ..case.model.clone() }).map_err(said)?;
        match plan(&here.kernel, &Ask { nodes: NODES, ..Ask::default() }) {
            Answer::Possible(plan) => Ok(plan_view(&here.model, &here.kernel, &plan)),
            other => Err(format!("no way back: {other:?}")),
        }
    }

    /// The machine as drawn, for a look at it.
    #[allow(dead_code, reason = "for the example only")]
    pub(crate) fn machine(&self) -> Machine {
        self.drawn().machine
    }
}

impl Engine for Lastbolt {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let tie = |tie: &lastbolt_testkit::truth::Fixing| TookTie {
            kind: tie.kind.clone(),
            count: Some(tie.count),
            ..TookTie::default()
        };
        let part = entry
            .part
            .as_ref()
            .map(|name| TookPart { name: Some(name.clone()), ..Default::default() });
        let ties = entry.ties.iter().map(tie).collect();
        self.say(Verb::Took, |event| {
            event.spot.clone_from(&entry.spot);
            event.more = Some(More { part, ties, ..More::default() });
        })?;
        let notes = self.drawn().notes;
        let last = notes.entries.last().ok_or("nothing was entered")?;
        let things = last.part.iter().chain(&last.ties);
        Ok(things.map(|&thing| notes.things[thing].name.clone()).collect())
    }

    fn all_off(&mut self) -> Result<(), String> {
        if self.says_all_off { self.say(Verb::AllOff, |_| ()) } else { Ok(()) }
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        let open = questions(&self.drawn());
        let plain = |question: lastbolt_sketch::Question| Question {
            id: question.id,
            kind: question.asked.word().to_owned(),
            these: question.these,
            those: question.those,
        };
        Ok(open.into_iter().map(plain).collect())
    }

    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String> {
        self.say(Verb::Answered, |event| {
            event.thing = Some(question.id.clone());
            event.note = Some(choice.word().to_owned());
            event.more = Some(More {
                kind: Some(question.kind.clone()),
                these: question.these.clone(),
                those: question.those.clone(),
                ..More::default()
            });
        })
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        let view = self.plan()?;
        if !view.strip.is_empty() {
            return Err(format!("more comes off: {:?}", view.strip));
        }
        let closes =
            |verb: StepVerb| matches!(verb, StepVerb::On | StepVerb::Make | StepVerb::Tighten);
        let steps = view.build.iter().map(|step| &step.line).filter(|line| closes(line.verb));
        Ok(PutBack {
            order: steps.map(|line| line.thing.clone()).collect(),
            looks: view.last_looks.into_iter().map(|look| (look.of, look.before)).collect(),
        })
    }
}
