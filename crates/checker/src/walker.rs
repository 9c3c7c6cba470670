//! Step by step: which steps are legal next, and what they cost (R1, R16).

use std::sync::Arc;

use lastbolt_machine::{JobSpec, Machine, Minutes};

use crate::book::{Book, Kind, Way};
use crate::broken::Broken;
use crate::leak::LEAK_LOOK;
use crate::open::{No, Open};
use crate::open_time::Bead;
use crate::order::{Action, Step, Wishes};
use crate::verdict::{Phase, Reason};

/// Somebody who goes through a job one legal step at a time.
#[derive(Clone, Debug)]
pub struct Walker {
    pub(crate) book: Arc<Book>,
    pub(crate) key: Key,
    cost: Minutes,
}

/// Everything that the rules ask about: equal keys, equal futures.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    pub(crate) building: bool,
    pub(crate) open: Open,
    pub(crate) started: Open,
    pub(crate) spot: Option<usize>,
    pub(crate) tool: Option<usize>,
    /// Whether the leak look was done (R28).
    pub(crate) looked: bool,
    /// Beads of sealant that are not home yet (R24).
    pub(crate) beads: Vec<Bead>,
}

/// One legal next step, cheap to copy; only for the walker that gave it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    pub(crate) action: Action,
    pub(crate) thing: No,
    pub(crate) way: usize,
    pub(crate) spot: Option<usize>,
    pub(crate) tool: Option<usize>,
    /// Minutes of the step itself.
    pub minutes: Minutes,
    /// Minutes of the changes of spot and tool before it.
    pub change: Minutes,
}

impl Walker {
    /// Stands at the start of a job.
    ///
    /// # Errors
    /// Says which name of the machine, the job or the wishes is not known or not allowed there.
    pub fn new(machine: &Machine, job: &JobSpec, wishes: &Wishes) -> Result<Self, Box<Reason>> {
        let book = Book::new(machine, job, wishes)?;
        let key = Key {
            building: false,
            open: book.open_at_start.clone(),
            started: Open::none(book.things.len()),
            spot: book.spot_at_start,
            tool: book.tool_at_start,
            looked: false,
            beads: Vec::new(),
        };
        Ok(Self { book: Arc::new(book), key, cost: Minutes::ZERO })
    }

    /// The state, for tables of states already seen.
    pub fn key(&self) -> &Key {
        &self.key
    }

    /// The walker of the same job in a state it was in before, with what it had cost by then.
    #[must_use]
    pub fn back_at(&self, key: &Key, cost: Minutes) -> Self {
        Self { book: Arc::clone(&self.book), key: key.clone(), cost }
    }

    /// Minutes of work so far.
    pub fn cost(&self) -> Minutes {
        self.cost
    }

    /// Whether the turn is passed.
    pub fn is_building(&self) -> bool {
        self.key.building
    }

    /// What is open now, by name, in the order of the machine file.
    pub fn open(&self) -> Vec<&str> {
        self.key.open.all().map(|thing| self.book.id(thing)).collect()
    }

    /// How many things are open now.
    pub fn open_count(&self) -> usize {
        self.key.open.all().count()
    }

    /// Whether everything asked for is open (R2).
    pub fn targets_hold(&self) -> bool {
        self.book.targets.iter().all(|&target| self.key.open.has(target))
    }

    /// Whether the build back is done: nothing is open but what is left off on purpose and preps
    /// that end by themselves (R1).
    pub fn finished(&self) -> bool {
        self.key.building && self.still_open().is_none()
    }

    /// Something that has to be closed yet.
    pub(crate) fn still_open(&self) -> Option<No> {
        let stays = |x: No| self.book.leave_off.contains(&x) || self.book.things[x].by_itself;
        self.key.open.all().find(|&x| !stays(x))
    }

    /// Turns from taking apart to putting back (R1).
    ///
    /// # Errors
    /// Names a target that is not open yet, or says that the turn is passed already.
    pub fn turn(&mut self) -> Result<(), Box<Reason>> {
        if self.key.building {
            return Err(self.at_the_turn("R1", "There is only one turn.".to_owned(), None));
        }
        let missing = self.book.targets.iter().copied().find(|&x| !self.key.open.has(x));
        if let Some(x) = missing {
            let text = format!("\"{}\" was asked for and is not open.", self.book.id(x));
            return Err(self.at_the_turn("R2", text, Some(x)));
        }
        self.key.building = true;
        Ok(())
    }

    /// Every legal next step of the present phase; the turn is not among them.
    pub fn moves(&self) -> Vec<Move> {
        let mut moves = Vec::new();
        for x in 0..self.book.things.len() {
            if !self.key.building {
                if self.may_open(x).is_ok() {
                    self.add_moves(x, self.opening(x), &mut moves);
                }
                continue;
            }
            if self.may_close(x).is_ok() {
                self.add_moves(x, self.closing(x), &mut moves);
            }
            if self.may_start(x).is_ok() {
                self.add_moves(x, Action::Start, &mut moves);
            }
        }
        moves.extend(self.leak_look().ok());
        moves
    }

    /// Every legal next step of the present phase, in words.
    pub fn legal_steps(&self) -> Vec<Step> {
        self.moves().iter().map(|next| self.step(next)).collect()
    }

    /// A move in words, with its minutes.
    pub fn step(&self, next: &Move) -> Step {
        let start = next.action == Action::Start;
        let look = next.action == Action::Look;
        Step {
            action: next.action,
            id: if look { LEAK_LOOK } else { self.book.id(next.thing) }.to_owned(),
            from: next.spot.map(|spot| self.book.spots[spot].clone()),
            tool: next.tool.filter(|_| !start).map(|tool| self.book.tools[tool].clone()),
            minutes: Some(next.minutes),
            change: Some(next.change),
        }
    }

    /// Does a move that [`Walker::moves`] gave for this very state.
    pub fn take(&mut self, next: &Move) {
        match next.action {
            Action::Off | Action::Undo | Action::Prep => self.key.open.add(next.thing),
            Action::Start => self.key.started.add(next.thing),
            Action::Look => self.key.looked = true,
            _ => {
                self.key.open.drop(next.thing);
                self.key.started.drop(next.thing);
            }
        }
        if self.key.building && next.action != Action::Look {
            let closes = next.action != Action::Start;
            let (beads, open) = (&self.key.beads, &self.key.open);
            self.key.beads = self.book.beads_after(beads, next, closes, open);
        }
        self.key.spot = next.spot.or(self.key.spot);
        self.key.tool = next.tool.or(self.key.tool);
        self.cost += next.minutes + next.change;
    }

    /// Does a step given in words, by the cheapest way that is meant and holds.
    ///
    /// # Errors
    /// Says what is wrong with it; the walker stays where it was.
    pub fn apply(&mut self, step: &Step) -> Result<Move, Box<Reason>> {
        let next = self.find(step)?;
        self.take(&next);
        Ok(next)
    }

    /// The rules of opening besides the way.
    pub(crate) fn may_open(&self, x: No) -> Result<(), Broken> {
        if self.key.open.has(x) {
            return Err(Broken::AlreadyOpen { x });
        }
        if self.book.things[x].left_alone {
            return Err(Broken::LeftAlone { x });
        }
        self.book.bearing_allows(x, &self.key.open, &self.key.started, false)
    }

    /// The rules of closing besides the way.
    pub(crate) fn may_close(&self, x: No) -> Result<(), Broken> {
        self.book.may_close(x, &self.key.open, &self.key.started)?;
        self.may_step_back(x)
    }

    /// The rules of starting besides the way.
    pub(crate) fn may_start(&self, x: No) -> Result<(), Broken> {
        self.book.may_start(x, &self.key.open, &self.key.started)?;
        self.may_step_back(x)
    }

    fn may_step_back(&self, x: No) -> Result<(), Broken> {
        self.book.bearing_allows(x, &self.key.open, &self.key.started, true)?;
        self.book.leak_look_allows(x, &self.key.open, self.key.looked)
    }

    /// The leak look as a move: once, when only covers and what they need are left (R28).
    ///
    /// # Errors
    /// Says in a sentence why it does not stand here.
    pub(crate) fn leak_look(&self) -> Result<Move, String> {
        let waits = self.book.waits_for_look(&self.key.open);
        let Some(thing) = waits.filter(|_| self.key.building && !self.key.looked) else {
            return Err("Nothing waits for a leak look here.".to_owned());
        };
        if let Some(open) = self.book.open_before_look(&self.key.open) {
            let open = self.book.id(open);
            return Err(format!("\"{open}\" is still open, so it is too early for the leak look."));
        }
        let (minutes, change) = (Minutes::ZERO, Minutes::ZERO);
        Ok(Move { action: Action::Look, thing, way: 0, spot: None, tool: None, minutes, change })
    }

    /// The action that opens a thing.
    pub(crate) fn opening(&self, x: No) -> Action {
        match self.book.things[x].kind {
            Kind::Part => Action::Off,
            Kind::Tie => Action::Undo,
            Kind::Prep => Action::Prep,
        }
    }

    /// The action that closes a thing.
    pub(crate) fn closing(&self, x: No) -> Action {
        match self.book.things[x].kind {
            Kind::Part => Action::On,
            Kind::Tie if self.book.things[x].group.is_some() => Action::Tighten,
            Kind::Tie => Action::Make,
            Kind::Prep => Action::End,
        }
    }

    /// The ways that serve an action.
    pub(crate) fn ways(&self, x: No, action: Action) -> &[Way] {
        let opens = matches!(action, Action::Off | Action::Undo | Action::Prep);
        if opens { &self.book.things[x].ways } else { &self.book.things[x].back }
    }

    /// Whether a way holds now; a started tie counts as made for it, so it is in the way.
    pub(crate) fn holds(&self, x: No, way: &Way) -> Result<(), Broken> {
        self.book.holds(x, way, &self.key.open.minus(&self.key.started))
    }

    /// What an action by a way would cost from here.
    pub(crate) fn priced(&self, x: No, action: Action, number: usize) -> Move {
        let way = &self.ways(x, action)[number];
        let start = action == Action::Start;
        let tool = if start { None } else { way.tool };
        let spot_change = self.book.spot_changes.cost(self.key.spot, way.from);
        let tool_change = self.book.tool_changes.cost(self.key.tool, tool);
        Move {
            action,
            thing: x,
            way: number,
            spot: way.from,
            tool,
            minutes: if start { Minutes::ZERO } else { way.minutes },
            change: spot_change + tool_change,
        }
    }

    fn add_moves(&self, x: No, action: Action, moves: &mut Vec<Move>) {
        for (number, way) in self.ways(x, action).iter().enumerate() {
            if self.holds(x, way).is_err() {
                continue;
            }
            let next = self.priced(x, action, number);
            if self.book.in_time(&self.key.beads, &next).is_err() {
                continue;
            }
            // A start is by hand in no time: ways from the same spot are one start.
            let same = |m: &Move| m.action == Action::Start && m.thing == x && m.spot == next.spot;
            if action != Action::Start || !moves.iter().any(same) {
                moves.push(next);
            }
        }
    }

    fn at_the_turn(&self, rule: &'static str, text: String, x: Option<No>) -> Box<Reason> {
        let at = x.map(|x| self.book.things[x].at);
        Box::new(Reason { step: None, phase: Phase::Turn, rule, text, at })
    }
}
