//! The search of one direction: A* over what is open, where the person stands and what is in the
//! hand, doing at once what can be done at once.

use crate::beads::{Change, NO_WINDOWS};
use crate::fail_soft::by_raising;
use crate::hash::Map;
use crate::homes::Homes;
use crate::leaf::{Act, Leaf, Open};
use crate::local::ANYWHERE;
use crate::no_worse::Expanded;
use crate::one_change::{ByOne, Needless};
use crate::relax::{NEVER, Relaxed, change};
use crate::visits::{Counted, Visits};
use crate::waiting::Waiting;

/// How many values each lower bound may remember for up to a hundred things to open.
const ROOM: usize = 400_000;

/// How many values a bound may remember: fewer on larger machines, where each takes longer.
fn room<const W: usize>(leaf: &Leaf<'_, W>) -> usize {
    let size = leaf.set.len().max(100);
    ROOM * 100 / size * 100 / size
}

/// A state of the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct State<const W: usize> {
    pub at: Open<W>,
    pub spot: u16,
    pub tool: u16,
    /// The number of the windows of sealant that are open (R24).
    pub clock: u32,
}

impl<const W: usize> State<W> {
    /// Where a direction starts.
    pub(crate) fn start(leaf: &Leaf<'_, W>) -> Self {
        let (spot, tool) = (leaf.spot_at_start, leaf.tool_at_start);
        Self { at: leaf.start, spot, tool, clock: NO_WINDOWS }
    }

    /// Minutes to another spot and tool.
    fn change(&self, leaf: &Leaf<'_, W>, (spot, tool): (u16, u16)) -> Change {
        (change(leaf.spots, self.spot, spot), change(leaf.tools, self.tool, tool))
    }

    /// The state after a legal action; `None` if some sealant would set too soon.
    pub(crate) fn after(&self, leaf: &Leaf<'_, W>, act: &Act<W>) -> Option<Self> {
        let (spot, tool) = stand(act, self);
        let clock = leaf.clock_after(act, self, self.change(leaf, (spot, tool)))?;
        Some(Self { at: leaf.after(act, &self.at), spot, tool, clock })
    }

    /// The same at another spot, with another tool.
    pub(crate) fn moved(&self, leaf: &Leaf<'_, W>, to: (u16, u16)) -> Option<Self> {
        let clock = leaf.clock_moved(self, to, self.change(leaf, to))?;
        Some(Self { at: self.at, spot: to.0, tool: to.1, clock })
    }
}

/// How a state was come to.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Via {
    Start,
    /// By going to another spot or taking another tool, where something can be done at once.
    Move,
    /// By this action.
    Act(usize),
}

#[derive(Clone, Copy, Debug)]
struct Entry<const W: usize> {
    state: State<W>,
    cost: i64,
    parent: u32,
    via: Via,
    closed: bool,
    /// The part of the bound that is soon known.
    first: i64,
    /// What comes on top of it; worked out only when the entry's turn comes, until then what its
    /// parent's leaves.
    second: i64,
    second_known: bool,
    /// What comes on top of both; worked out then too, and not left to what comes of it.
    more: i64,
}

/// A state about to be entered.
#[derive(Clone, Copy)]
struct Step<const W: usize> {
    state: State<W>,
    cost: i64,
    parent: u32,
    via: Via,
    /// The second part of its bound is no less.
    second: i64,
}

/// An order of one direction that reaches the turn.
#[derive(Clone, Debug)]
pub(crate) struct Goal {
    /// Changes and dearer ways; what every order pays is not in it.
    pub cost: i64,
    pub spot: u16,
    pub tool: u16,
    /// The windows of sealant that wait for the spot and tool at the turn.
    pub clock: u32,
    /// Numbers of the actions, in the order searched.
    pub acts: Vec<usize>,
}

/// What a search came to.
pub(crate) enum Outcome {
    /// The cheapest goal not given yet.
    Goal(Goal),
    /// There is no further goal below the limit.
    NoMore,
    /// The limits were reached; no further goal costs less than this.
    Paused(i64),
}

/// The lower bounds of one leaf, shared by its searches.
pub(crate) enum Bounds<const W: usize> {
    /// Spot changes by themselves, and tools by their visits.
    Apart { spots: Relaxed<W>, tools: Visits<W> },
    /// Uses of tools by the places, and beside them what is left of the spot changes.
    Homes { homes: Homes<W>, beside: Relaxed<W> },
}

impl<const W: usize> Bounds<W> {
    /// The better of the two for the whole of a leaf.
    #[cfg(test)]
    pub(crate) fn new(leaf: &Leaf<'_, W>) -> Self {
        Self::with(leaf, Homes::new(leaf, &leaf.start.open, room(leaf)))
    }

    /// The better of the two for the whole of a leaf, the one by homes being begun already.
    pub(crate) fn with(leaf: &Leaf<'_, W>, homes: Homes<W>) -> Self {
        let start = State::start(leaf);
        let beside = Relaxed::beside(leaf, &homes, room(leaf));
        let mut by_homes = Self::Homes { homes, beside };
        let least = by_homes.value(leaf, &start);
        let mut tools = Visits::new(leaf, Counted::Tools, room(leaf));
        let of_tools = tools.value(leaf, &start.at.open, start.tool);
        let mut visits = Visits::new(leaf, Counted::Spots, 0);
        // Counting visits is soon done and seldom far from the exact value.
        if least >= of_tools.saturating_add(visits.value(leaf, &start.at.open, start.spot)) {
            return by_homes;
        }
        let mut apart = Self::Apart { spots: Relaxed::new(leaf, room(leaf)), tools };
        if least >= apart.value(leaf, &start) { by_homes } else { apart }
    }

    /// A bound on the whole of a leaf that is sooner worked out than the others, and what of it
    /// serves them too.
    pub(crate) fn soon(leaf: &Leaf<'_, W>) -> (i64, Homes<W>) {
        let State { at, spot, tool, .. } = State::start(leaf);
        let mut homes = Homes::new(leaf, &at.open, room(leaf));
        let uses = homes.closely(&at.open, spot, tool);
        (uses.saturating_add(homes.visits(leaf, &at.open)).min(NEVER), homes)
    }

    /// No order from this state costs less; [`NEVER`] if the turn is out of reach.
    pub(crate) fn value(&mut self, leaf: &Leaf<'_, W>, state: &State<W>) -> i64 {
        let first = self.first(leaf, state);
        if first >= NEVER {
            return NEVER;
        }
        (first + by_raising(0, NEVER, |limit| self.second(leaf, state, limit))).min(NEVER)
    }

    /// The part of the bound that is soon known.
    fn first(&mut self, leaf: &Leaf<'_, W>, state: &State<W>) -> i64 {
        match self {
            Self::Apart { spots, .. } => spots.value(leaf, &state.at.open, state.spot, (0, NEVER)),
            Self::Homes { homes, .. } => homes.value(&state.at.open, state.spot, state.tool),
        }
    }

    /// What comes on top of it and takes longer to work out, if it is no more than `limit`; else
    /// more than that, and never more than it is.
    fn second(&mut self, leaf: &Leaf<'_, W>, state: &State<W>, limit: i64) -> i64 {
        match self {
            Self::Apart { tools, .. } => tools.value(leaf, &state.at.open, state.tool),
            Self::Homes { beside, .. } => beside.beyond(leaf, &state.at.open, state.spot, limit),
        }
    }

    /// What comes on top of both parts, if that is worth working out.
    fn more(&mut self, state: &State<W>) -> i64 {
        match self {
            Self::Apart { .. } => 0,
            Self::Homes { homes, .. } => homes.more(&state.at.open, state.spot, state.tool),
        }
    }

    /// What a step leaves at least of the second part.
    fn left(&self, leaf: &Leaf<'_, W>, second: i64, (from, to, via): Between<'_, W>) -> i64 {
        let taken = match self {
            Self::Apart { .. } => change(leaf.tools, from.tool, to.tool),
            Self::Homes { beside, .. } => {
                let act = match via {
                    Via::Act(number) => Some(&leaf.acts[number]),
                    Via::Start | Via::Move => None,
                };
                beside.step(from.spot, to.spot, act.map(|act| (act.thing, act.excess)))
            }
        };
        (second - taken).max(0)
    }
}

/// A step from one state to another.
type Between<'s, const W: usize> = (&'s State<W>, &'s State<W>, Via);

/// A search that can be taken up again for the next goal.
pub(crate) struct Search<const W: usize> {
    entries: Vec<Entry<W>>,
    known: Map<State<W>, u32>,
    waiting: Waiting,
    pub(crate) expanded: Expanded<W>,
    /// How much more the bound counts than the cost, in tenths: 10 is exact.
    weight: i64,
}

impl<const W: usize> Search<W> {
    pub(crate) fn new(leaf: &Leaf<'_, W>, bounds: &mut Bounds<W>, weight: i64) -> Self {
        let state = do_at_once(leaf, State::start(leaf), &mut |_| ());
        let mut search = Self {
            entries: Vec::new(),
            known: Map::default(),
            waiting: Waiting::default(),
            expanded: Expanded::new(),
            weight,
        };
        let whole = Step { state, cost: 0, parent: 0, via: Via::Start, second: 0 };
        search.reach(leaf, bounds, whole, NEVER);
        search
    }

    /// The next goal that costs less than `below`; each expanded state takes one from `patience`.
    pub(crate) fn next_goal(
        &mut self,
        leaf: &Leaf<'_, W>,
        bounds: &mut Bounds<W>,
        below: i64,
        patience: &mut u64,
        stop: &dyn Fn() -> bool,
    ) -> Outcome {
        let is_exact = self.weight == 10;
        while let Some(priority) = self.waiting.least() {
            if is_exact && priority >= below {
                return Outcome::NoMore;
            }
            if *patience == 0 || ((*patience).is_multiple_of(8) && stop()) {
                *patience = 0;
                return Outcome::Paused(priority);
            }
            let Some(number) = self.waiting.take(!is_exact) else { break };
            let entry = self.entries[number as usize];
            if entry.closed || entry.cost >= below {
                continue;
            }
            if !entry.second_known && !self.look_closer(leaf, bounds, number, below) {
                continue;
            }
            self.entries[number as usize].closed = true;
            if is_exact && self.expanded.has_no_worse(leaf, &entry.state, entry.cost) {
                continue;
            }
            if leaf.is_done(&entry.state.at) {
                return Outcome::Goal(self.goal(leaf, number));
            }
            *patience -= 1;
            self.expand(leaf, bounds, number, below);
        }
        Outcome::NoMore
    }

    /// Works out the second part of the bound; `false` if the entry has to wait again or is done
    /// for.
    fn look_closer(
        &mut self,
        leaf: &Leaf<'_, W>,
        bounds: &mut Bounds<W>,
        number: u32,
        below: i64,
    ) -> bool {
        let entry = &mut self.entries[number as usize];
        let (known, state) = (entry.second, entry.state);
        entry.second = bounds.second(leaf, &state, known).max(known);
        let rest = entry.first.saturating_add(entry.second);
        if entry.second == known {
            entry.second_known = true;
            if self.weight == 10 && rest < NEVER && entry.cost + rest < below {
                entry.more = bounds.more(&state);
            }
            if entry.more == 0 {
                return true;
            }
        }
        let rest = rest.saturating_add(entry.more);
        if rest < NEVER && entry.cost + rest < below {
            let priority = entry.cost + rest * self.weight / 10;
            self.waiting.add(priority, (entry.cost, state.at.open.len()), number);
        }
        false
    }

    fn expand(&mut self, leaf: &Leaf<'_, W>, bounds: &mut Bounds<W>, number: u32, below: i64) {
        let Entry { state, cost, second, .. } = self.entries[number as usize];
        for (next, more, via) in successors(leaf, &state) {
            let second = bounds.left(leaf, second, (&state, &next, via));
            let step = Step { state: next, cost: cost + more, parent: number, via, second };
            self.reach(leaf, bounds, step, below);
        }
    }

    /// Enters a state unless it is known or hopeless.
    fn reach(&mut self, leaf: &Leaf<'_, W>, bounds: &mut Bounds<W>, step: Step<W>, below: i64) {
        let Step { state, cost, parent, via, second } = step;
        let known = self.known.get(&state).copied();
        if known.is_some_and(|number| self.entries[number as usize].cost <= cost) {
            return;
        }
        let first = bounds.first(leaf, &state);
        if first >= NEVER || cost + first + second >= below {
            return;
        }
        let number = self.entries.len() as u32;
        let entry = Entry {
            state,
            cost,
            parent,
            via,
            closed: false,
            first,
            second,
            second_known: false,
            more: 0,
        };
        self.entries.push(entry);
        if let Some(old) = self.known.insert(state, number) {
            self.entries[old as usize].closed = true;
        }
        let priority = cost + (first + second) * self.weight / 10;
        self.waiting.add(priority, (cost, state.at.open.len()), number);
    }

    /// The actions that lead to an entry, worked out again from its ancestors.
    fn goal(&self, leaf: &Leaf<'_, W>, number: u32) -> Goal {
        let mut line = Vec::new();
        let mut at = number;
        loop {
            line.push(at);
            let entry = &self.entries[at as usize];
            if matches!(entry.via, Via::Start) {
                break;
            }
            at = entry.parent;
        }
        let steps = line.iter().rev().map(|&number| &self.entries[number as usize]);
        let (state, acts) = replayed(leaf, steps.map(|entry| (entry.via, entry.state)));
        let State { spot, tool, clock, .. } = state;
        Goal { cost: self.entries[number as usize].cost, spot, tool, clock, acts }
    }
}

/// Where a line of steps from the start leads, and its actions, worked out again.
pub(crate) fn replayed<const W: usize>(
    leaf: &Leaf<'_, W>,
    steps: impl Iterator<Item = (Via, State<W>)>,
) -> (State<W>, Vec<usize>) {
    let mut acts = Vec::new();
    let mut state = State::start(leaf);
    for (via, to) in steps {
        match via {
            Via::Start => {}
            // A move keeps what is open; where it leads is in the state after it.
            Via::Move => {
                let to = (to.spot, to.tool);
                state = state.moved(leaf, to).expect("BUG: it was possible when searched");
            }
            Via::Act(index) => {
                acts.push(index);
                let next = state.after(leaf, &leaf.acts[index]);
                state = next.expect("BUG: it was possible when searched");
            }
        }
        state = do_at_once(leaf, state, &mut |act| acts.push(act));
    }
    (state, acts)
}

/// The states that can come next, with what they cost more and how they are come to.
pub(crate) fn successors<const W: usize>(
    leaf: &Leaf<'_, W>,
    state: &State<W>,
) -> Vec<(State<W>, i64, Via)> {
    successors_but(leaf, state, ByOne::leads_to)
}

/// The same without those changes of spot and tool together that need not be looked at.
pub(crate) fn successors_but<const W: usize>(
    leaf: &Leaf<'_, W>,
    state: &State<W>,
    is_needless: Needless<W>,
) -> Vec<(State<W>, i64, Via)> {
    let mut all = Vec::new();
    let mut moves: Vec<(u16, u16)> = Vec::new();
    let legal: Vec<&Act<W>> =
        leaf.remaining(&state.at).filter(|act| leaf.is_legal(act, &state.at)).collect();
    let mut known = Moves::default();
    let last = last_use(leaf, state, &legal, &mut known);
    let by_one = ByOne::of(leaf, state, &legal);
    for act in legal {
        let to = stand(act, state);
        if is_needless(&by_one, state, to)
            || last.is_some_and(|last| last.keeps_off(leaf, state, to))
        {
            continue;
        }
        let (spot, tool) = state.change(leaf, to);
        let moved = to != (state.spot, state.tool);
        let (next, more, via) = if moved && act.excess == 0 && may_be_at_once(leaf, act, state) {
            if moves.contains(&to) {
                continue;
            }
            moves.push(to);
            (known.after(leaf, state, to), spot + tool, Via::Move)
        } else {
            let next = state.after(leaf, act);
            let next = next.map(|next| do_at_once(leaf, next, &mut |_| ()));
            (next, spot + tool + act.excess, Via::Act(act.number))
        };
        all.extend(next.map(|next| (next, more, via)));
    }
    all
}

/// Where changes of spot and tool lead from one state, with all that is done there at once.
#[derive(Default)]
struct Moves<const W: usize>(Vec<((u16, u16), Option<State<W>>)>);

impl<const W: usize> Moves<W> {
    fn after(&mut self, leaf: &Leaf<'_, W>, state: &State<W>, to: (u16, u16)) -> Option<State<W>> {
        if let Some((_, next)) = self.0.iter().find(|(known, _)| *known == to) {
            return *next;
        }
        let next = state.moved(leaf, to).map(|next| do_at_once(leaf, next, &mut |_| ()));
        self.0.push((to, next));
        next
    }
}

/// A tool that is used for the last time here before any other is taken up.
#[derive(Clone, Copy)]
struct Last {
    tool: u16,
}

impl Last {
    /// Whether nothing is lost by not going there from this state.
    fn keeps_off<const W: usize>(
        self,
        leaf: &Leaf<'_, W>,
        state: &State<W>,
        (spot, tool): (u16, u16),
    ) -> bool {
        tool != state.tool
            && (spot, tool) != (state.spot, self.tool)
            && leaf.last_use.is_no_dearer(leaf.tools, self.tool, state.tool, tool)
    }
}

/// A tool all of whose remaining uses can be done at once where the person stands.
fn last_use<const W: usize>(
    leaf: &Leaf<'_, W>,
    state: &State<W>,
    legal: &[&Act<W>],
    moves: &mut Moves<W>,
) -> Option<Last> {
    if state.clock != NO_WINDOWS {
        return None;
    }
    let mut tried: Vec<u16> = Vec::new();
    for act in legal.iter().filter(|act| act.excess == 0) {
        let (spot, tool) = stand(act, state);
        if spot != state.spot || tool == state.tool || tried.contains(&tool) {
            continue;
        }
        if !may_be_at_once(leaf, act, state) {
            continue;
        }
        tried.push(tool);
        let Some(next) = moves.after(leaf, state, (spot, tool)) else { continue };
        if leaf.last_use.is_last(leaf, tool, &state.at, &next.at) {
            return Some(Last { tool });
        }
    }
    None
}

/// Whether an action that keeps spot and tool, or the change to where it is done, may be taken
/// without looking at any other.
pub(crate) fn may_be_at_once<const W: usize>(
    leaf: &Leaf<'_, W>,
    act: &Act<W>,
    state: &State<W>,
) -> bool {
    leaf.is_harmless(act, &state.at) && leaf.keeps_time(act, state)
}

/// Where the person stands and what is in the hand after an action.
pub(crate) fn stand<const W: usize>(act: &Act<W>, state: &State<W>) -> (u16, u16) {
    let spot = if act.spot == ANYWHERE { state.spot } else { act.spot };
    let tool = if act.tool == ANYWHERE { state.tool } else { act.tool };
    (spot, tool)
}

/// Does all that can be done without a change and is never worse done now.
pub(crate) fn do_at_once<const W: usize>(
    leaf: &Leaf<'_, W>,
    mut state: State<W>,
    done: &mut dyn FnMut(usize),
) -> State<W> {
    // All that comes after it was looked at since it was done.
    let mut last = None;
    loop {
        for (number, act) in leaf.acts_at_once(state.spot, state.tool).enumerate() {
            if last == Some(number) {
                return state;
            }
            let may = leaf.is_wanted(act, &state.at)
                && leaf.is_legal(act, &state.at)
                && may_be_at_once(leaf, act, &state);
            if may && let Some(next) = state.after(leaf, act) {
                done(act.number);
                state = next;
                last = Some(number);
            }
        }
        if last.is_none() {
            return state;
        }
    }
}
