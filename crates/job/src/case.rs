//! What a job is about: the machine, what was asked for, and the kernel made of both.

use lastbolt_machine::{
    CompileError, Extra, JobSpec, Kernel, Kind, Machine, MinuteTable, Part, Prep, Ref, Set, Spot,
    SpotNo, ThingNo, Tie, compile, model::Facts, model::GarageSpec,
};

use crate::pressure::{Circuit, circuits};

/// A machine, what is asked for, and the minutes for what its file leaves out.
#[derive(Clone, Debug, Default)]
pub struct JobModel {
    /// The machine as written.
    pub machine: Machine,
    /// What is asked for.
    pub job: JobSpec,
    /// Minutes by kind (R27).
    pub minutes: MinuteTable,
    /// What the garage owns: wrenches, adapters, people.
    pub garage: GarageSpec,
}

impl JobModel {
    /// Compiles the machine for the job.
    ///
    /// # Errors
    /// Every name that is not known, with its place.
    pub fn kernel(&self) -> Result<Kernel, CompileError> {
        compile(&self.machine, &self.job, &self.extra())
    }

    fn extra(&self) -> Extra {
        Extra { minutes: self.minutes.clone(), ..Extra::default() }
    }

    /// Tells what it is for: "impeller to renew; plug to undo"; where no file says so, what was
    /// said when it was begun.
    pub fn purpose(&self) -> String {
        let list = |names: &[Ref], verb: &str| {
            if names.is_empty() {
                return None;
            }
            let names: Vec<&str> = names.iter().map(Ref::name).collect();
            Some(format!("{} {verb}", names.join(", ")))
        };
        let job = &self.job;
        let all = [
            list(&job.renew, "to renew"),
            list(&job.off, "to come off"),
            list(&job.bring, "to be done"),
        ];
        let asked = all.into_iter().flatten().collect::<Vec<_>>().join("; ");
        if asked.is_empty() {
            return job.decided.iter().map(Ref::name).collect::<Vec<_>>().join(", ");
        }
        asked
    }

    /// Gives the machine in a few words.
    pub fn title(&self) -> String {
        self.machine.machine.as_ref().map_or_else(|| "machine".to_owned(), |m| m.value.clone())
    }
}

/// One thing that was asked for: it is met when all of these are open at once (R2, R18).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// The name in the job file.
    pub name: String,
    /// What has to be open.
    pub things: Set,
}

/// A job model with its kernel, compiled once.
#[derive(Clone, Debug)]
pub struct Case {
    /// The model.
    pub model: JobModel,
    /// The kernel.
    pub kernel: Kernel,
    /// What was asked for, one by one.
    pub targets: Vec<Target>,
    circuits: Vec<Circuit>,
}

impl Case {
    /// Compiles a model.
    ///
    /// # Errors
    /// Every name that is not known, with its place.
    pub fn new(model: JobModel) -> Result<Self, CompileError> {
        let kernel = model.kernel()?;
        let targets = targets_of(&model)?;
        let mut case = Self { model, kernel, targets, circuits: Vec::new() };
        case.circuits = circuits(Book::of(&case));
        Ok(case)
    }

    /// What is opened under pressure, worked out once.
    pub(crate) fn circuits(&self) -> &[Circuit] {
        &self.circuits
    }
}

/// Compiles each entry of the job file alone, so that each has its own set of things (R2).
fn targets_of(model: &JobModel) -> Result<Vec<Target>, CompileError> {
    let job = &model.job;
    let one = |spec: JobSpec, name: &Ref| {
        let kernel = compile(&model.machine, &spec, &model.extra())?;
        Ok::<_, CompileError>(Target { name: name.value.clone(), things: kernel.targets })
    };
    let fitted = &job.comes_fitted;
    let mut targets = Vec::new();
    for name in &job.renew {
        let renew = vec![name.clone()];
        let spec = JobSpec { renew, comes_fitted: fitted.clone(), ..JobSpec::default() };
        targets.push(one(spec, name)?);
    }
    for name in &job.off {
        targets.push(one(JobSpec { off: vec![name.clone()], ..JobSpec::default() }, name)?);
    }
    for name in &job.bring {
        targets.push(one(JobSpec { bring: vec![name.clone()], ..JobSpec::default() }, name)?);
    }
    Ok(targets)
}

/// A thing as written.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Written<'a> {
    /// A part.
    Part(&'a Part),
    /// A fixing or connection.
    Tie(&'a Tie),
    /// A condition.
    Prep(&'a Prep),
    /// The set-up of a spot.
    SetUp(&'a Spot),
}

/// The machine and its kernel side by side: everything that a person is told about a thing.
#[derive(Clone, Copy)]
pub(crate) struct Book<'a> {
    pub(crate) machine: &'a Machine,
    pub(crate) kernel: &'a Kernel,
}

impl<'a> Book<'a> {
    pub(crate) fn of(case: &'a Case) -> Self {
        Self { machine: &case.model.machine, kernel: &case.kernel }
    }

    pub(crate) fn written(self, thing: ThingNo) -> Written<'a> {
        let it = self.kernel.thing(thing);
        match it.kind {
            Kind::Part => Written::Part(&self.machine.parts[it.written]),
            Kind::Tie => Written::Tie(&self.machine.ties[it.written]),
            Kind::Prep if it.is_set_up => Written::SetUp(&self.machine.spots[it.written]),
            Kind::Prep => Written::Prep(&self.machine.preps[it.written]),
        }
    }

    /// How many pieces a thing has.
    pub(crate) fn count(self, thing: ThingNo) -> u32 {
        match self.written(thing) {
            Written::Tie(tie) => tie.count.as_ref().map_or(1, |c| c.value).max(1),
            _ => 1,
        }
    }

    /// The kind in the trade's word.
    pub(crate) fn kind(self, thing: ThingNo) -> &'a str {
        match self.written(thing) {
            Written::Part(_) => "part",
            Written::Tie(tie) => tie.kind.as_ref().map_or("fixing", Ref::name),
            Written::Prep(_) | Written::SetUp(_) => "make ready",
        }
    }

    pub(crate) fn facts(self, thing: ThingNo) -> Option<&'a Facts> {
        match self.written(thing) {
            Written::Part(part) => Some(&part.facts),
            Written::Tie(tie) => Some(&tie.facts),
            _ => None,
        }
    }

    pub(crate) fn cautions(self, thing: ThingNo) -> &'a [Ref] {
        match self.written(thing) {
            Written::Part(part) => &part.cautions,
            Written::Tie(tie) => &tie.cautions,
            Written::Prep(prep) => &prep.cautions,
            Written::SetUp(_) => &[],
        }
    }

    pub(crate) fn who(self, thing: ThingNo) -> Option<&'a str> {
        match self.written(thing) {
            Written::Part(part) => part.who.as_ref(),
            Written::Tie(tie) => tie.who.as_ref(),
            Written::Prep(prep) => prep.who.as_ref(),
            Written::SetUp(_) => None,
        }
        .map(Ref::name)
    }

    pub(crate) fn people(self, thing: ThingNo) -> u32 {
        match self.written(thing) {
            Written::Part(part) => part.people.as_ref(),
            Written::Tie(tie) => tie.people.as_ref(),
            _ => None,
        }
        .map_or(1, |p| p.value)
    }

    pub(crate) fn renew(self, thing: ThingNo) -> &'a [Ref] {
        match self.written(thing) {
            Written::Part(part) => &part.renew,
            Written::Tie(tie) => &tie.renew,
            _ => &[],
        }
    }

    pub(crate) fn spot(self, spot: SpotNo) -> Option<&'a Spot> {
        let name = &self.kernel.spots[spot.0];
        self.machine.spots.iter().find(|s| s.id.name() == name)
    }

    /// Kilograms of a part with all that is on it (R16), if any of it has a weight.
    pub(crate) fn kilograms(self, part: ThingNo, open: &Set) -> Option<f64> {
        if self.kernel.thing(part).kind != Kind::Part {
            return None;
        }
        let load = self.kernel.load(part, &open.without(part));
        let weight = |thing| match self.written(thing) {
            Written::Part(part) => part.kg.as_ref().map(|kg| kg.value),
            _ => None,
        };
        load.iter().filter_map(weight).reduce(|a, b| a + b)
    }
}
