//! From the machine as written to the [`Kernel`] of one job.

use std::collections::HashMap;

use crate::at::{At, Ref};
use crate::forbids::LEAK_LOOK;
use crate::kernel::{Changes, End, Kernel, KernelWay, Kind, SpotNo, Thing, ThingNo, ToolNo};
use crate::minutes::{MinuteTable, Minutes};
use crate::model::{Back, JobSpec, Machine, PairTable, Spot, Tie, Way};
use crate::problem::Problem;
use crate::set::Set;
use crate::targets;

/// What one person lifts close to the body at waist height (common practice, no source).
const KG_A_PERSON: f64 = 25.0;
/// Kinds of connection that leave something open when undone (common practice, no source).
const OPENINGS: [&str; 7] =
    ["hose", "line", "union", "banjo", "quick joint", "push-in", "push-in pipe"];

/// Why a machine could not be compiled: every name that is not known, with its place.
pub type CompileError = Vec<Problem>;

/// What is asked for besides the job file.
#[derive(Clone, Debug, Default)]
pub struct Extra {
    /// Further targets (parts renewed by taking off, ties undone, preps brought in force).
    pub also: Vec<String>,
    /// Things that must not be opened.
    pub leave: Vec<String>,
    /// Tools that are not there.
    pub without: Vec<String>,
    /// Minutes for what was left out.
    pub minutes: MinuteTable,
}

/// Compiles a machine and a job into numbers.
///
/// # Errors
/// Every name that is not known, with its place. A machine without errors in
/// [`crate::validate()`] has none.
pub fn compile(machine: &Machine, job: &JobSpec, extra: &Extra) -> Result<Kernel, CompileError> {
    let mut compiler = Compiler::new(machine, job, extra);
    compiler.things();
    compiler.groups();
    compiler.start();
    if !compiler.problems.is_empty() {
        return Err(compiler.problems);
    }
    let mut kernel = compiler.kernel;
    targets::set(&mut kernel, job, extra)?;
    Ok(kernel)
}

struct Compiler<'a> {
    machine: &'a Machine,
    job: &'a JobSpec,
    extra: &'a Extra,
    kernel: Kernel,
    numbers: HashMap<&'a str, ThingNo>,
    set_ups: HashMap<&'a str, ThingNo>,
    fixed: HashMap<&'a str, usize>,
    problems: Vec<Problem>,
}

impl<'a> Compiler<'a> {
    fn new(machine: &'a Machine, job: &'a JobSpec, extra: &'a Extra) -> Self {
        let spots = spot_names(machine);
        let tools = tool_names(machine, job);
        let spot_changes = spot_table(machine, &spots);
        let tool_changes = pair_table(&machine.tool_change, &tools, Minutes(500));
        let mut numbers = HashMap::new();
        let mut set_ups = HashMap::new();
        let names = machine.parts.iter().map(|p| &p.id);
        let names = names.chain(machine.ties.iter().map(|t| &t.id));
        let names = names.chain(machine.preps.iter().map(|p| &p.id));
        let mut count = 0;
        for name in names {
            numbers.insert(name.name(), ThingNo(count));
            count += 1;
        }
        for spot in machine.spots.iter().filter(|s| has_set_up(s)) {
            set_ups.insert(spot.id.name(), ThingNo(count));
            count += 1;
        }
        let fixed = machine.fixed.iter().enumerate().map(|(i, f)| (f.name(), i)).collect();
        let kernel = Kernel {
            things: Vec::with_capacity(count),
            fixed: machine.fixed.iter().map(|f| f.value.clone()).collect(),
            spots,
            tools,
            spot_changes,
            tool_changes,
            groups: Vec::new(),
            open_at_start: Set::with_room(count),
            spot_at_start: None,
            tool_at_start: None,
            targets: Set::with_room(count),
            leave_off: Set::with_room(count),
            notes: Vec::new(),
        };
        let problems = Vec::new();
        Self { machine, job, extra, kernel, numbers, set_ups, fixed, problems }
    }

    fn things(&mut self) {
        let machine = self.machine;
        for (written, part) in machine.parts.iter().enumerate() {
            let mut thing = blank(part.id.clone(), Kind::Part, written);
            let table = |way: &Way| self.extra.minutes.part(way.feel);
            thing.ways = self.ways(part.ways.as_deref(), &table);
            thing.back = self.back(&part.back, &thing.ways, &table);
            thing.needs = self.resolve(&part.needs);
            thing.rides = part.rides.as_ref().and_then(|r| self.number(r));
            thing.stays = self.resolve(&part.stays);
            thing.open_minutes = part.open_minutes.as_ref().map(|m| m.value);
            thing.after_leak_look = part.after.as_ref().is_some_and(|a| a.name() == LEAK_LOOK);
            let heavy = part.kg.as_ref().is_some_and(|kg| kg.value > KG_A_PERSON);
            thing.asks_for_two = heavy || part.people.as_ref().is_some_and(|p| p.value > 1);
            self.kernel.things.push(thing);
        }
        for (written, tie) in machine.ties.iter().enumerate() {
            let thing = self.tie(written, tie);
            self.kernel.things.push(thing);
        }
        for (written, prep) in machine.preps.iter().enumerate() {
            let mut thing = blank(prep.id.clone(), Kind::Prep, written);
            let table = |_: &Way| Minutes::ZERO;
            thing.ways = self.ways(prep.ways.as_deref(), &table);
            thing.by_itself = matches!(prep.back, Back::ByItself(_));
            thing.back = match &prep.back {
                Back::Ways(ways) => self.ways(Some(ways), &table),
                _ => Vec::new(),
            };
            thing.needs = self.resolve(&prep.needs);
            thing.wait = prep.wait.as_ref().map_or(Minutes::ZERO, |w| w.value);
            self.kernel.things.push(thing);
        }
        for (written, spot) in machine.spots.iter().enumerate() {
            if has_set_up(spot) {
                let thing = self.set_up(written, spot);
                self.kernel.things.push(thing);
            }
        }
        self.link();
    }

    fn tie(&mut self, written: usize, tie: &'a Tie) -> Thing {
        let mut thing = blank(tie.id.clone(), Kind::Tie, written);
        let kind = tie.kind.as_ref().map_or("fixing", |k| k.name());
        let count = tie.count.as_ref().map_or(1, |c| c.value);
        let table = |way: &Way| self.extra.minutes.tie(kind, count, way.feel);
        thing.ways = self.ways(tie.ways.as_deref(), &table);
        thing.back = self.back(&tie.back, &thing.ways, &table);
        thing.needs = self.resolve(&tie.needs);
        thing.hidden_by = self.resolve(&tie.hidden_by);
        thing.sets = tie.sets.as_ref().map_or(Minutes::ZERO, |s| s.value);
        thing.bears = tie.bears;
        thing.leaves_open = OPENINGS.contains(&kind);
        thing.asks_for_two = tie.people.as_ref().is_some_and(|people| people.value > 1);
        thing.open_minutes = tie.open_minutes.as_ref().map(|m| m.value);
        for end in &tie.joins {
            if let Some(&fixed) = self.fixed.get(end.name()) {
                thing.joins.push(End::Fixed(fixed));
            } else if let Some(part) = self.number(end) {
                thing.joins.push(End::Part(part));
            }
        }
        thing
    }

    /// The prep that `setup` and `pack` of a spot are shorthand for (R14).
    fn set_up(&mut self, written: usize, spot: &Spot) -> Thing {
        let name = Ref::new(format!("{} set up", spot.id.name()), spot.id.at);
        let mut thing = blank(name, Kind::Prep, written);
        thing.is_set_up = true;
        let by_hand = |minutes: &Option<crate::Sited<Minutes>>| KernelWay {
            spot: None,
            tool: None,
            minutes: minutes.as_ref().map_or(Minutes::ZERO, |m| m.value),
            guessed: false,
            clear: Vec::new(),
            needs: Vec::new(),
            spot_needs: Vec::new(),
            feel: false,
            also: Vec::new(),
            at: minutes.as_ref().map_or(spot.id.at, |m| m.at),
        };
        thing.ways = vec![by_hand(&spot.setup)];
        thing.back = vec![by_hand(&spot.pack)];
        thing.needs = self.resolve(&spot.needs);
        thing
    }

    /// Fills in what one thing says of another: riders, ties of a part.
    fn link(&mut self) {
        for no in 0..self.kernel.things.len() {
            let thing = ThingNo(no);
            if let Some(carrier) = self.kernel.things[no].rides {
                self.kernel.things[carrier.0].riders.push(thing);
            }
            for end in self.kernel.things[no].joins.clone() {
                if let End::Part(part) = end
                    && !self.kernel.things[part.0].ties.contains(&thing)
                {
                    self.kernel.things[part.0].ties.push(thing);
                }
            }
        }
    }

    fn ways(&mut self, ways: Option<&[Way]>, table: &dyn Fn(&Way) -> Minutes) -> Vec<KernelWay> {
        let only = [Way::default()];
        let ways = ways.unwrap_or(&only);
        let mut all = Vec::new();
        for way in ways {
            let minutes = way.minutes.as_ref().map_or_else(|| table(way), |m| m.value);
            let spot = way.from.as_ref().and_then(|s| self.spot(s));
            let compiled = KernelWay {
                spot,
                tool: way.tool.as_ref().and_then(|t| self.tool(t.name())),
                minutes,
                guessed: way.minutes.is_none(),
                clear: self.resolve(&way.clear),
                needs: self.resolve(&way.needs),
                spot_needs: way.from.as_ref().map_or_else(Vec::new, |s| self.spot_needs(s)),
                feel: way.feel,
                also: way.also.iter().map(|a| a.value.clone()).collect(),
                at: way.at,
            };
            if !self.is_wished_away(way) {
                all.push(compiled);
            }
        }
        all
    }

    fn back(
        &mut self,
        back: &Back,
        ways: &[KernelWay],
        table: &dyn Fn(&Way) -> Minutes,
    ) -> Vec<KernelWay> {
        match back {
            Back::Ways(back) => self.ways(Some(back), table),
            Back::Unstated | Back::ByItself(_) => ways.to_vec(),
        }
    }

    /// Wishes of the job: a tool that is not there, a spot not to work from.
    fn is_wished_away(&self, way: &Way) -> bool {
        let named = |list: &[Ref], name: &str| list.iter().any(|r| r.name() == name);
        way.tool.as_ref().is_some_and(|tool| {
            named(&self.job.without_tools, tool.name())
                || self.extra.without.iter().any(|t| t == tool.name())
        }) || way.from.as_ref().is_some_and(|spot| named(&self.job.not_from, spot.name()))
    }

    fn spot_needs(&mut self, spot: &Ref) -> Vec<ThingNo> {
        let Some(written) = self.machine.spots.iter().find(|s| s.id.name() == spot.name()) else {
            return Vec::new();
        };
        let mut needs = self.resolve(&written.needs);
        needs.extend(self.set_ups.get(spot.name()));
        needs
    }

    fn groups(&mut self) {
        for (number, group) in self.machine.together.iter().enumerate() {
            let members = self.resolve(&group.value);
            for member in &members {
                self.kernel.things[member.0].group = Some(number);
            }
            self.kernel.groups.push(members);
        }
    }

    fn start(&mut self) {
        self.kernel.spot_at_start = self.job.at.as_ref().and_then(|s| self.spot(s));
        self.kernel.tool_at_start = self.job.holding.as_ref().and_then(|t| self.tool(t.name()));
        let leave = self.job.leave_alone.iter().map(Ref::name);
        let leave = leave.chain(self.extra.leave.iter().map(String::as_str));
        for name in leave {
            if let Some(thing) = self.numbers.get(name) {
                self.kernel.things[thing.0].leave_alone();
            }
        }
    }

    fn resolve(&mut self, names: &[Ref]) -> Vec<ThingNo> {
        names.iter().filter_map(|name| self.number(name)).collect()
    }

    fn number(&mut self, name: &Ref) -> Option<ThingNo> {
        let found = self.numbers.get(name.name()).copied().or_else(|| {
            let spot = name.name().strip_suffix(" set up")?;
            self.set_ups.get(spot).copied()
        });
        if found.is_none() {
            self.unknown(name.at, name.name());
        }
        found
    }

    fn spot(&mut self, name: &Ref) -> Option<SpotNo> {
        let found = self.kernel.spots.iter().position(|s| s == name.name()).map(SpotNo);
        if found.is_none() {
            self.unknown(name.at, name.name());
        }
        found
    }

    fn tool(&self, name: &str) -> Option<ToolNo> {
        self.kernel.tools.iter().position(|t| t == name).map(ToolNo)
    }

    fn unknown(&mut self, at: At, name: &str) {
        self.problems.push(Problem::error(
            at,
            "unknown-name",
            format!("\"{name}\" is not known."),
            "Write it in the machine file, or correct the name.",
        ));
    }
}

/// Whether a spot has to be set up or packed up.
fn has_set_up(spot: &Spot) -> bool {
    spot.setup.is_some() || spot.pack.is_some()
}

fn blank(id: Ref, kind: Kind, written: usize) -> Thing {
    Thing {
        name: id.value,
        kind,
        at: id.at,
        written,
        is_set_up: false,
        ways: Vec::new(),
        back: Vec::new(),
        left_alone: Vec::new(),
        by_itself: false,
        needs: Vec::new(),
        rides: None,
        riders: Vec::new(),
        stays: Vec::new(),
        joins: Vec::new(),
        ties: Vec::new(),
        hidden_by: Vec::new(),
        group: None,
        wait: Minutes::ZERO,
        sets: Minutes::ZERO,
        bears: false,
        open_minutes: None,
        after_leak_look: false,
        leaves_open: false,
        asks_for_two: false,
    }
}

/// The bench first, then the spots of the file.
fn spot_names(machine: &Machine) -> Vec<String> {
    let mut names = vec!["bench".to_owned()];
    let declared = machine.spots.iter().map(|s| s.id.value.clone());
    names.extend(declared.filter(|name| name != "bench"));
    names
}

fn all_ways(machine: &Machine) -> impl Iterator<Item = &Way> {
    fn of<'a>(ways: &'a Option<Vec<Way>>, back: &'a Back) -> impl Iterator<Item = &'a Way> {
        let back = match back {
            Back::Ways(ways) => ways.as_slice(),
            _ => &[],
        };
        ways.as_deref().unwrap_or(&[]).iter().chain(back)
    }
    let parts = machine.parts.iter().flat_map(|p| of(&p.ways, &p.back));
    let ties = machine.ties.iter().flat_map(|t| of(&t.ways, &t.back));
    let preps = machine.preps.iter().flat_map(|p| of(&p.ways, &p.back));
    parts.chain(ties).chain(preps)
}

fn tool_names(machine: &Machine, job: &JobSpec) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let mut seen = std::collections::HashSet::new();
    let used = all_ways(machine).filter_map(|w| w.tool.as_ref()).map(|t| t.value.clone());
    let held = job.holding.iter().map(|t| t.value.clone());
    for name in used.chain(held) {
        if seen.insert(name.clone()) {
            names.push(name);
        }
    }
    names
}

/// Minutes between spots: the pair if stated, else the larger reach (R15).
fn spot_table(machine: &Machine, spots: &[String]) -> Changes {
    let default = machine.between.default.as_ref().map_or(Minutes::whole(1), |d| d.value);
    let reach: Vec<Minutes> = spots
        .iter()
        .map(|name| {
            let spot = machine.spots.iter().find(|s| s.id.name() == name);
            spot.and_then(|s| s.reach.as_ref()).map_or(default, |r| r.value)
        })
        .collect();
    Changes::from_fn(spots.len(), |a, b| {
        pair(&machine.between, &spots[a], &spots[b]).unwrap_or(reach[a].max(reach[b]))
    })
}

fn pair_table(table: &PairTable, names: &[String], default: Minutes) -> Changes {
    let default = table.default.as_ref().map_or(default, |d| d.value);
    Changes::from_fn(names.len(), |a, b| pair(table, &names[a], &names[b]).unwrap_or(default))
}

fn pair(table: &PairTable, a: &str, b: &str) -> Option<Minutes> {
    table.pairs.iter().find(|p| (p.a == a && p.b == b) || (p.a == b && p.b == a)).map(|p| p.minutes)
}
