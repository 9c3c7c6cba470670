//! The machine, the job and the wishes with every name looked up, once per question.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_machine::model::{Back, Spot};
use lastbolt_machine::{At, JobSpec, Machine, Minutes, Ref, Way as WrittenWay};

use crate::change::Changes;
use crate::leak::{LEAK_LOOK, Leak};
use crate::open::{No, Open};
use crate::order::Wishes;
use crate::verdict::{Phase, Reason};

/// What sort of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Part,
    Tie,
    Prep,
}

/// One end of a tie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Fixed,
    Part(No),
}

/// One way, with its names looked up.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    pub(crate) from: Option<usize>,
    pub(crate) tool: Option<usize>,
    pub(crate) minutes: Minutes,
    pub(crate) clear: Vec<No>,
    pub(crate) needs: Vec<No>,
    pub(crate) spot_needs: Vec<No>,
    pub(crate) at: At,
}

/// A part, tie or prep.
#[derive(Clone, Debug)]
pub(crate) struct Thing {
    pub(crate) id: String,
    pub(crate) at: At,
    pub(crate) kind: Kind,
    pub(crate) ways: Vec<Way>,
    pub(crate) back: Vec<Way>,
    pub(crate) by_itself: bool,
    pub(crate) needs: Vec<No>,
    pub(crate) rides: Option<No>,
    pub(crate) riders: Vec<No>,
    pub(crate) stays: Vec<No>,
    pub(crate) joins: Vec<End>,
    /// The names of what a tie joins, fixed parts among them.
    pub(crate) joined: Vec<String>,
    pub(crate) hidden_by: Vec<No>,
    pub(crate) group: Option<usize>,
    pub(crate) wait: Minutes,
    pub(crate) sets: Minutes,
    pub(crate) bears: bool,
    pub(crate) open_minutes: Option<Minutes>,
    pub(crate) after_leak_look: bool,
    pub(crate) left_alone: bool,
}

/// Everything the rules ask about.
#[derive(Clone, Debug, Default)]
pub(crate) struct Book {
    pub(crate) things: Vec<Thing>,
    pub(crate) names: BTreeMap<String, No>,
    pub(crate) fixed: BTreeSet<String>,
    pub(crate) groups: Vec<Vec<No>>,
    pub(crate) spots: Vec<String>,
    pub(crate) bench: usize,
    pub(crate) tools: Vec<String>,
    pub(crate) spot_changes: Changes,
    pub(crate) tool_changes: Changes,
    pub(crate) targets: BTreeSet<No>,
    pub(crate) leave_off: BTreeSet<No>,
    pub(crate) open_at_start: Open,
    pub(crate) spot_at_start: Option<usize>,
    pub(crate) tool_at_start: Option<usize>,
    /// Parts that hang at the start already: not this order's doing (R23).
    pub(crate) found_hanging: Vec<No>,
    /// What waits for the leak look, and the preps that it may find in force (R28).
    pub(crate) leak: Leak,
}

impl Book {
    /// Looks every name up and works out what is open at the start and what is asked for.
    pub(crate) fn new(
        machine: &Machine,
        job: &JobSpec,
        wishes: &Wishes,
    ) -> Result<Self, Box<Reason>> {
        let mut book = Self::default();
        book.name_spots_and_tools(machine, job);
        book.fixed = machine.fixed.iter().map(|fixed| fixed.value.clone()).collect();
        book.name_things(machine);
        let wished = Wished { machine, job, wishes };
        book.write_parts(&wished)?;
        book.write_ties(&wished)?;
        book.write_preps(&wished)?;
        for group in &machine.together {
            let members = book.numbers(&group.value)?;
            for &member in &members {
                book.things[member].group = Some(book.groups.len());
            }
            book.groups.push(members);
        }
        for part in 0..book.things.len() {
            if let Some(carrier) = book.things[part].rides {
                book.things[carrier].riders.push(part);
            }
        }
        book.no_circle_of_carriers()?;
        book.start(job, wishes)?;
        let none_started = Open::none(book.things.len());
        book.found_hanging = book.hanging(&book.open_at_start, &none_started);
        book.leak = Leak::of(&book);
        Ok(book)
    }

    /// All ties.
    pub(crate) fn ties(&self) -> impl Iterator<Item = No> + '_ {
        (0..self.things.len()).filter(|&thing| self.things[thing].kind == Kind::Tie)
    }

    /// The name of a thing.
    pub(crate) fn id(&self, thing: No) -> &str {
        &self.things[thing].id
    }

    /// The number of a thing that a file names.
    pub(crate) fn number(&self, name: &Ref) -> Result<No, Box<Reason>> {
        if self.fixed.contains(name.name()) {
            return Err(before("R22", name.at, format!("\"{}\" is fixed.", name.name())));
        }
        self.names.get(name.name()).copied().ok_or_else(|| {
            before("R22", name.at, format!("\"{}\" is not in the machine file.", name.name()))
        })
    }

    pub(crate) fn numbers(&self, names: &[Ref]) -> Result<Vec<No>, Box<Reason>> {
        names.iter().map(|name| self.number(name)).collect()
    }

    fn name_spots_and_tools(&mut self, machine: &Machine, job: &JobSpec) {
        self.spots = machine.spots.iter().map(|spot| spot.id.value.clone()).collect();
        self.bench = self.spots.iter().position(|spot| spot == "bench").unwrap_or_else(|| {
            self.spots.push("bench".to_owned());
            self.spots.len() - 1
        });
        let used = every_way(machine).filter_map(|way| way.tool.as_ref());
        let named: BTreeSet<&str> = used.chain(&job.holding).map(Ref::name).collect();
        self.tools = named.into_iter().map(str::to_owned).collect();
        self.spot_changes = Changes::of_spots(machine, &self.spots);
        self.tool_changes = Changes::of_tools(machine, &self.tools);
    }

    fn name_things(&mut self, machine: &Machine) {
        let parts = machine.parts.iter().map(|part| (&part.id, Kind::Part));
        let ties = machine.ties.iter().map(|tie| (&tie.id, Kind::Tie));
        let preps = machine.preps.iter().map(|prep| (&prep.id, Kind::Prep));
        for (id, kind) in parts.chain(ties).chain(preps) {
            self.name_thing(id.value.clone(), id.at, kind);
        }
        for spot in machine.spots.iter().filter(|spot| has_set_up(spot)) {
            self.name_thing(set_up_of(spot.id.name()), spot.id.at, Kind::Prep);
        }
    }

    fn name_thing(&mut self, id: String, at: At, kind: Kind) {
        self.names.insert(id.clone(), self.things.len());
        self.things.push(Thing {
            id,
            at,
            kind,
            ways: Vec::new(),
            back: Vec::new(),
            by_itself: false,
            needs: Vec::new(),
            rides: None,
            riders: Vec::new(),
            stays: Vec::new(),
            joins: Vec::new(),
            joined: Vec::new(),
            hidden_by: Vec::new(),
            group: None,
            wait: Minutes::ZERO,
            sets: Minutes::ZERO,
            bears: false,
            open_minutes: None,
            after_leak_look: false,
            left_alone: false,
        });
    }

    fn write_parts(&mut self, wished: &Wished<'_>) -> Result<(), Box<Reason>> {
        for part in &wished.machine.parts {
            let left_out = |way: &WrittenWay| wished.wishes.minutes.part(way.feel);
            let x = self.number(&part.id)?;
            self.things[x].ways = self.ways(part.ways.as_deref(), wished, &left_out)?;
            self.things[x].back = self.back(x, &part.back, wished, &left_out)?;
            self.things[x].needs = self.numbers(&part.needs)?;
            self.things[x].stays = self.numbers(&part.stays)?;
            if let Some(carrier) = &part.rides {
                self.things[x].rides = Some(self.number(carrier)?);
            }
            let after = part.after.as_ref().map(Ref::name);
            self.things[x].after_leak_look = after == Some(LEAK_LOOK);
            self.things[x].open_minutes = part.open_minutes.as_ref().map(|m| m.value);
        }
        Ok(())
    }

    fn write_ties(&mut self, wished: &Wished<'_>) -> Result<(), Box<Reason>> {
        for tie in &wished.machine.ties {
            let kind = tie.kind.as_ref().map_or("fixing", Ref::name);
            let count = tie.count.as_ref().map_or(1, |count| count.value);
            let left_out = |way: &WrittenWay| wished.wishes.minutes.tie(kind, count, way.feel);
            let x = self.number(&tie.id)?;
            self.things[x].ways = self.ways(tie.ways.as_deref(), wished, &left_out)?;
            self.things[x].back = self.back(x, &tie.back, wished, &left_out)?;
            self.things[x].needs = self.numbers(&tie.needs)?;
            self.things[x].hidden_by = self.numbers(&tie.hidden_by)?;
            self.things[x].sets = tie.sets.as_ref().map_or(Minutes::ZERO, |sets| sets.value);
            self.things[x].bears = tie.bears;
            self.things[x].open_minutes = tie.open_minutes.as_ref().map(|m| m.value);
            self.things[x].joined = tie.joins.iter().map(|end| end.value.clone()).collect();
            for end in &tie.joins {
                let is_fixed = self.fixed.contains(end.name());
                let end = if is_fixed { End::Fixed } else { End::Part(self.number(end)?) };
                self.things[x].joins.push(end);
            }
        }
        Ok(())
    }

    fn write_preps(&mut self, wished: &Wished<'_>) -> Result<(), Box<Reason>> {
        let left_out = |_: &WrittenWay| Minutes::ZERO;
        for prep in &wished.machine.preps {
            let x = self.number(&prep.id)?;
            self.things[x].ways = self.ways(prep.ways.as_deref(), wished, &left_out)?;
            self.things[x].by_itself = matches!(prep.back, Back::ByItself(_));
            if let Back::Ways(back) = &prep.back {
                self.things[x].back = self.ways(Some(back), wished, &left_out)?;
            }
            self.things[x].needs = self.numbers(&prep.needs)?;
            self.things[x].wait = prep.wait.as_ref().map_or(Minutes::ZERO, |wait| wait.value);
        }
        for spot in wished.machine.spots.iter().filter(|spot| has_set_up(spot)) {
            let x = self.names[&set_up_of(spot.id.name())];
            self.things[x].ways = vec![by_hand(spot.setup.as_ref().map(|m| m.value), spot.id.at)];
            self.things[x].back = vec![by_hand(spot.pack.as_ref().map(|m| m.value), spot.id.at)];
            self.things[x].needs = self.numbers(&spot.needs)?;
        }
        Ok(())
    }

    fn ways(
        &self,
        written: Option<&[WrittenWay]>,
        wished: &Wished<'_>,
        left_out: &dyn Fn(&WrittenWay) -> Minutes,
    ) -> Result<Vec<Way>, Box<Reason>> {
        let nothing_written = [WrittenWay::default()];
        let written = written.unwrap_or(&nothing_written);
        let mut ways = Vec::new();
        for way in written.iter().filter(|way| !wished.away(way)) {
            let from = way.from.as_ref().map(|spot| self.spot(spot)).transpose()?;
            let tool = way.tool.as_ref().map(Ref::name);
            ways.push(Way {
                from,
                tool: tool.and_then(|tool| self.tools.iter().position(|known| known == tool)),
                minutes: way.minutes.as_ref().map_or_else(|| left_out(way), |m| m.value),
                clear: self.numbers(&way.clear)?,
                needs: self.numbers(&way.needs)?,
                spot_needs: self.spot_needs(wished.machine, way.from.as_ref())?,
                at: way.at,
            });
        }
        Ok(ways)
    }

    fn back(
        &self,
        x: No,
        back: &Back,
        wished: &Wished<'_>,
        left_out: &dyn Fn(&WrittenWay) -> Minutes,
    ) -> Result<Vec<Way>, Box<Reason>> {
        match back {
            Back::Ways(back) => self.ways(Some(back), wished, left_out),
            Back::Unstated | Back::ByItself(_) => Ok(self.things[x].ways.clone()),
        }
    }

    pub(crate) fn spot(&self, name: &Ref) -> Result<usize, Box<Reason>> {
        self.spots.iter().position(|spot| spot == name.name()).ok_or_else(|| {
            before("R22", name.at, format!("There is no place to work called \"{}\".", name.name()))
        })
    }

    /// What all work at a spot needs: its `needs` and that it is set up (R9, R14).
    fn spot_needs(&self, machine: &Machine, spot: Option<&Ref>) -> Result<Vec<No>, Box<Reason>> {
        let found = spot.and_then(|name| machine.spots.iter().find(|s| s.id.value == name.value));
        let Some(spot) = found else { return Ok(Vec::new()) };
        let mut needs = self.numbers(&spot.needs)?;
        needs.extend(self.names.get(&set_up_of(spot.id.name())).filter(|_| has_set_up(spot)));
        Ok(needs)
    }

    /// R3: going from carrier to carrier comes to an end.
    fn no_circle_of_carriers(&self) -> Result<(), Box<Reason>> {
        for (part, thing) in self.things.iter().enumerate() {
            let mut on = part;
            let mut passed = 0;
            while let Some(carrier) = self.things[on].rides {
                on = carrier;
                passed += 1;
                if passed > self.things.len() {
                    let text = format!("\"{}\" rides in a circle.", thing.id);
                    return Err(before("R3", thing.at, text));
                }
            }
        }
        Ok(())
    }
}

/// What the ways are read with.
struct Wished<'a> {
    machine: &'a Machine,
    job: &'a JobSpec,
    wishes: &'a Wishes,
}

impl Wished<'_> {
    /// Whether a wish takes a way away: its tool is not there, or its spot is not wanted.
    fn away(&self, way: &WrittenWay) -> bool {
        let tool = way.tool.as_ref().is_some_and(|tool| {
            self.wishes.without.iter().any(|without| without == tool.name())
                || self.job.without_tools.iter().any(|without| without.name() == tool.name())
        });
        let spot = way.from.as_ref().is_some_and(|spot| {
            self.job.not_from.iter().any(|not_from| not_from.name() == spot.name())
        });
        tool || spot
    }
}

/// A reason that lies before the first step.
pub(crate) fn before(rule: &'static str, at: At, text: String) -> Box<Reason> {
    Box::new(Reason { step: None, phase: Phase::Before, rule, text, at: Some(at) })
}

fn by_hand(minutes: Option<Minutes>, at: At) -> Way {
    Way {
        from: None,
        tool: None,
        minutes: minutes.unwrap_or(Minutes::ZERO),
        clear: Vec::new(),
        needs: Vec::new(),
        spot_needs: Vec::new(),
        at,
    }
}

fn has_set_up(spot: &Spot) -> bool {
    spot.setup.is_some() || spot.pack.is_some()
}

fn set_up_of(spot: &str) -> String {
    format!("{spot} set up")
}

/// Every way that is written anywhere in a machine.
fn every_way(machine: &Machine) -> impl Iterator<Item = &WrittenWay> {
    let parts = machine.parts.iter().map(|part| (&part.ways, &part.back));
    let ties = machine.ties.iter().map(|tie| (&tie.ways, &tie.back));
    let preps = machine.preps.iter().map(|prep| (&prep.ways, &prep.back));
    parts.chain(ties).chain(preps).flat_map(|(ways, back)| {
        let back: &[WrittenWay] = if let Back::Ways(back) = back { back } else { &[] };
        ways.iter().flatten().chain(back)
    })
}
