//! The best order for one settled set: both directions searched apart and joined at the turn.
//!
//! Each direction gives its cheapest orders by where they meet the turn (spot and tool). A pair
//! costs the sum and the change at the turn; pairs are taken until nothing cheaper can be left.

use lastbolt_machine::Kernel;

use crate::answer::Ask;
use crate::beam::beam;
use crate::greedy::greedy;
use crate::homes::Homes;
use crate::improve::improve;
use crate::last_use::LastUse;
use crate::leaf::Leaf;
use crate::local::{BUILD, Local, STRIP};
use crate::mask::Mask;
use crate::relax::{NEVER, change};
use crate::search::{Bounds, Goal, Outcome, Search, State};
use crate::visits::used;

/// Where less than one part in so many is open, the search itself is as soon at its end as a look
/// for a good order.
const NEAR: i64 = 200;
/// The weight of a bound beside which the cost hardly counts.
const DIVE: i64 = 1000;
/// How many orders of each length are followed where the search does not come to an end.
const WIDTH: usize = 20;

/// A whole order of a settled set.
#[derive(Clone, Debug)]
pub(crate) struct Whole {
    /// Minutes of steps and changes of both directions.
    pub minutes: i64,
    /// Thing and index of the way (in the kernel), taking apart.
    pub strip: Vec<Move>,
    /// The same putting back, in the order in which it is done.
    pub build: Vec<Move>,
}

/// One action of a whole order.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Move {
    pub thing: usize,
    pub way: usize,
    pub is_start: bool,
}

/// What came of one settled set.
pub(crate) struct Found {
    /// An order cheaper than the limit, if one was found.
    pub best: Option<Whole>,
    /// No order of this set takes less.
    pub bound: i64,
}

struct Side<'a, const W: usize> {
    leaf: Leaf<'a, W>,
    bounds: Bounds<W>,
    exact: Option<Search<W>>,
    goals: Vec<Goal>,
    /// No further goal of this direction costs less.
    next: i64,
    finished: bool,
}

/// The search of one settled set, which can be taken up again.
pub(crate) struct Settled<'a, const W: usize> {
    strip: Side<'a, W>,
    /// Not there where only the way apart is asked for.
    build: Option<Side<'a, W>>,
    base: i64,
}

/// What came of setting about a settled set.
pub(crate) struct Begun<'a, const W: usize> {
    /// An order cheaper than the limit, if one was found.
    pub best: Option<Whole>,
    /// No order of this set takes less.
    pub bound: i64,
    /// Not there where there is nothing left to search.
    pub settled: Option<Box<Settled<'a, W>>>,
}

/// Looks for an order of one settled set below `below` minutes: soon a good one, and whether there
/// can be one at all. The search itself is [`Settled::go_on`].
pub(crate) fn begin<'a, const W: usize>(
    kernel: &'a Kernel,
    local: &'a Local<W>,
    set: Mask<W>,
    below: i64,
    patience: &mut u64,
    ask: &Ask<'_>,
) -> Begun<'a, W> {
    let nothing = |bound| Begun { best: None, bound, settled: None };
    let Some(mut strip) = Leaf::new(kernel, local, STRIP, set) else { return nothing(NEVER) };
    let mut build = None;
    if !ask.strip_only {
        build = Leaf::new(kernel, local, BUILD, set);
        if build.is_none() {
            return nothing(NEVER);
        }
    }
    let base = strip.base + build.as_ref().map_or(0, |leaf| leaf.base);
    let mut pair = Pair { base, below, best: None };
    let is_first = below >= NEVER;
    let (mut first_strip, mut first_build) = (None, None);
    if is_first {
        // An order at once, before anything that takes long on a large machine.
        first_strip = greedy(&strip);
        first_build = build.as_ref().and_then(greedy);
        pair.join(first_strip.as_ref(), first_build.as_ref(), &strip, build.as_ref());
        if (ask.stop)() {
            return Begun { best: pair.best, bound: base, settled: None };
        }
    }
    // Most sets end here; what comes after is only asked of what is searched.
    meet(&mut strip, build.as_mut());
    let (apart, homes) = Bounds::soon(&strip);
    let back = build.map(|leaf| (Bounds::soon(&leaf), leaf));
    let together = back.as_ref().map_or(0, |((bound, _), _)| *bound);
    let bound = base.saturating_add(apart).saturating_add(together).min(NEVER);
    if bound >= below {
        return Begun { best: pair.best, bound, settled: None };
    }
    let strip = Side::with(strip, homes, apart);
    let bound = base.saturating_add(strip.next).saturating_add(together).min(NEVER);
    if bound >= below {
        return Begun { best: pair.best, bound, settled: None };
    }
    let build = back.map(|((bound, homes), leaf)| Side::with(leaf, homes, bound));
    let mut settled = Settled { strip, build, base };
    let bound = settled.least();
    if bound >= below.min(NEVER) {
        return Begun { best: pair.best, bound, settled: None };
    }
    if !is_first && (below - bound).saturating_mul(NEAR) < below {
        return Begun { best: pair.best, bound, settled: Some(Box::new(settled)) };
    }
    let first_strip = settled.strip.quick(first_strip, is_first, patience, ask);
    let build = settled.build.as_mut();
    let first_build = build.and_then(|build| build.quick(first_build, is_first, patience, ask));
    pair.join(first_strip.as_ref(), first_build.as_ref(), &settled.strip.leaf, settled.back());
    Begun { best: pair.best, bound, settled: Some(Box::new(settled)) }
}

impl<'a, const W: usize> Settled<'a, W> {
    /// The way back, if it is asked for.
    fn back(&self) -> Option<&Leaf<'a, W>> {
        self.build.as_ref().map(|build| &build.leaf)
    }

    /// No order of this set takes less.
    fn least(&self) -> i64 {
        let build = self.build.as_ref().map_or(0, Side::least);
        self.base.saturating_add(self.strip.least()).saturating_add(build).min(NEVER)
    }

    /// Goes on searching for an order below `below` minutes.
    pub(crate) fn go_on(&mut self, below: i64, patience: &mut u64, ask: &Ask<'_>) -> Found {
        let mut pair = Pair { base: self.base, below, best: None };
        match &mut self.build {
            None => {
                let known = self.strip.goals.len();
                self.strip.prove(below - self.base, patience, ask);
                for goal in &self.strip.goals[known..] {
                    pair.join(Some(goal), None, &self.strip.leaf, None);
                }
            }
            Some(build) => pair.prove(&mut self.strip, build, patience, ask),
        }
        let open = !self.strip.finished || self.build.as_ref().is_some_and(|b| !b.finished);
        let bound = if open { self.least().min(pair.below) } else { pair.below };
        Found { bound, best: pair.best }
    }
}

/// Tells each direction the tools that the other one uses.
fn meet<const W: usize>(strip: &mut Leaf<'_, W>, mut build: Option<&mut Leaf<'_, W>>) {
    let tools = |leaf: &Leaf<'_, W>| used(leaf.acts.iter().map(|a| a.tool));
    let beyond_strip = build.as_deref().map_or_else(Vec::new, tools);
    if let Some(build) = &mut build {
        build.last_use = LastUse::new(
            build,
            &used(strip.acts.iter().map(|a| a.tool).chain([strip.tool_at_start])),
        );
    }
    strip.last_use = LastUse::new(strip, &beyond_strip);
}

impl<'a, const W: usize> Side<'a, W> {
    #[cfg(test)]
    fn new(leaf: Leaf<'a, W>) -> Self {
        let (bound, homes) = Bounds::soon(&leaf);
        Self::with(leaf, homes, bound)
    }

    /// A direction of which it is known that it costs no less than `least`.
    fn with(leaf: Leaf<'a, W>, homes: Homes<W>, least: i64) -> Self {
        let mut bounds = Bounds::with(&leaf, homes);
        let next = bounds.value(&leaf, &State::start(&leaf)).max(least);
        Self { leaf, bounds, exact: None, goals: Vec::new(), next, finished: false }
    }

    /// A good order soon: the same search with the bound counting more than the cost.
    fn quick(
        &mut self,
        first: Option<Goal>,
        is_first: bool,
        patience: &mut u64,
        ask: &Ask<'_>,
    ) -> Option<Goal> {
        let best_already = first.as_ref().is_some_and(|goal| goal.cost <= self.next);
        if best_already || *patience < 100 {
            return first;
        }
        let mut best = first;
        // Each counts the bound for less than the one before: longer, and better.
        let weights: &[i64] = if is_first { &[DIVE, 50, 20, 15, 12, 11] } else { &[12] };
        for &weight in weights {
            let mut search = Search::new(&self.leaf, &mut self.bounds, weight);
            // Where promise alone leads, it leads there soon.
            let dive = if weight == DIVE { 2 * self.leaf.set.len() as u64 } else { 1_500 };
            let mut some = (*patience / 8).max(dive).min(*patience / 2);
            let before = some;
            let outcome = search.next_goal(&self.leaf, &mut self.bounds, NEVER, &mut some, ask);
            *patience -= before - some;
            let Outcome::Goal(goal) = outcome else {
                // Too large for the search: the best few of each length are followed, and what
                // comes of it gets better by moving its steps.
                let mut some = (WIDTH * self.leaf.set.len()) as u64;
                let before = some;
                if is_first
                    && let Some(goal) = beam(&self.leaf, WIDTH, &mut some, ask.stop)
                    && best.as_ref().is_none_or(|known| goal.cost < known.cost)
                {
                    best = Some(goal);
                }
                // A first order is wanted whatever it takes; it leaves enough to go on.
                *patience -= (before - some).min(*patience / 2);
                let mut some = (*patience / 2).min(1_500);
                let before = some;
                best = best.map(|goal| improve(&self.leaf, goal, &mut some, ask.stop));
                *patience -= before - some;
                break;
            };
            if best.as_ref().is_none_or(|known| goal.cost < known.cost) {
                best = Some(goal);
            }
            if (ask.stop)() {
                break;
            }
        }
        best
    }

    /// Takes the next goal below a limit of this direction's cost; `true` if there was one.
    fn prove(&mut self, below: i64, patience: &mut u64, ask: &Ask<'_>) -> bool {
        if self.next >= below {
            self.finished = true;
            return false;
        }
        let (leaf, bounds) = (&self.leaf, &mut self.bounds);
        let search = self.exact.get_or_insert_with(|| Search::new(leaf, bounds, 10));
        match search.next_goal(leaf, bounds, below, patience, ask) {
            Outcome::Goal(goal) => {
                self.next = self.next.max(goal.cost);
                self.goals.push(goal);
                true
            }
            Outcome::NoMore => {
                self.next = self.next.max(below);
                self.finished = true;
                false
            }
            Outcome::Paused(next) => {
                self.next = self.next.max(next);
                self.finished = false;
                false
            }
        }
    }

    /// No order of this direction costs less.
    fn least(&self) -> i64 {
        self.goals.first().map_or(self.next, |goal| goal.cost)
    }
}

struct Pair {
    base: i64,
    /// Only an order below this is worth having.
    below: i64,
    best: Option<Whole>,
}

impl Pair {
    fn join<const W: usize>(
        &mut self,
        strip: Option<&Goal>,
        build: Option<&Goal>,
        strip_leaf: &Leaf<'_, W>,
        build_leaf: Option<&Leaf<'_, W>>,
    ) {
        let Some(first) = strip else { return };
        let leaf = strip_leaf;
        let mut minutes = self.base + first.cost;
        let mut back = Vec::new();
        if let Some(build_leaf) = build_leaf {
            let Some(second) = build else { return };
            let spot = change(leaf.spots, first.spot, second.spot);
            let tool = change(leaf.tools, first.tool, second.tool);
            if !build_leaf.turns_in_time(second.clock, (spot, tool)) {
                return;
            }
            minutes += second.cost + spot + tool;
            back = moves(build_leaf, second);
            back.reverse();
        }
        if minutes < self.below {
            self.below = minutes;
            self.best = Some(Whole { minutes, strip: moves(leaf, first), build: back });
        }
    }

    /// Takes goals of both directions until no pair below the best can be left.
    fn prove<const W: usize>(
        &mut self,
        strip: &mut Side<'_, W>,
        build: &mut Side<'_, W>,
        patience: &mut u64,
        ask: &Ask<'_>,
    ) {
        loop {
            let for_strip = self.below - self.base - build.least();
            // Half for each: what one direction proves helps the other.
            let mut half = patience.div_ceil(2);
            *patience -= half;
            let more_strip = strip.prove(for_strip, &mut half, ask);
            *patience += half;
            self.newest(strip, build, more_strip, false);
            if strip.goals.is_empty() && strip.finished {
                build.finished = true;
                return;
            }
            let for_build = self.below - self.base - strip.least();
            let more_build = build.prove(for_build, patience, ask);
            self.newest(strip, build, false, more_build);
            if build.goals.is_empty() && build.finished {
                strip.finished = true;
                return;
            }
            if !more_strip && !more_build {
                return;
            }
        }
    }

    fn newest<const W: usize>(
        &mut self,
        strip: &Side<'_, W>,
        build: &Side<'_, W>,
        new_strip: bool,
        new_build: bool,
    ) {
        if let (true, Some(first)) = (new_strip, strip.goals.last()) {
            for second in &build.goals {
                self.join(Some(first), Some(second), &strip.leaf, Some(&build.leaf));
            }
        }
        if let (true, Some(second)) = (new_build, build.goals.last()) {
            for first in &strip.goals {
                self.join(Some(first), Some(second), &strip.leaf, Some(&build.leaf));
            }
        }
    }
}

fn moves<const W: usize>(leaf: &Leaf<'_, W>, goal: &Goal) -> Vec<Move> {
    goal.acts
        .iter()
        .map(|&number| {
            let act = &leaf.acts[number];
            let way = leaf.local.things[act.thing].ways[leaf.direction][act.way].index;
            Move { thing: act.thing, way, is_start: act.is_start }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use lastbolt_machine::{Extra, JobSpec, Machine, compile};
    use lastbolt_testkit::{Size, layered_machine, random_machine};

    use super::*;
    use crate::local::{is_metric, relevant};

    /// Changes one direction's rule of last uses.
    type Twin = fn(&mut Leaf<'_, 2>);

    /// The least minutes with everything off, and the states looked at; `None` if not all can
    /// come off, or where it takes too long.
    fn least(of: &(Machine, JobSpec), twin: Twin) -> Option<(i64, u64)> {
        let kernel = compile(&of.0, &of.1, &Extra::default()).ok()?;
        if !is_metric(&kernel) {
            return None;
        }
        let local = Local::<2>::new(&kernel, &relevant(&kernel, true), true);
        let set = (0..local.things.len()).collect();
        let mut strip = Leaf::new(&kernel, &local, STRIP, set)?;
        let mut build = Leaf::new(&kernel, &local, BUILD, set)?;
        meet(&mut strip, Some(&mut build));
        twin(&mut strip);
        twin(&mut build);
        let base = strip.base + build.base;
        let (strip, build) = (Side::new(strip), Some(Side::new(build)));
        let mut settled = Settled { strip, build, base };
        let mut patience = 50_000;
        let found = settled.go_on(NEVER, &mut patience, &Ask::default());
        let whole = found.best.filter(|whole| found.bound >= whole.minutes)?;
        Some((whole.minutes, 50_000 - patience))
    }

    fn right(_: &mut Leaf<'_, 2>) {}

    fn without_the_rule(leaf: &mut Leaf<'_, 2>) {
        leaf.last_use = LastUse::default();
    }

    /// A twin that forgets that the other direction may go on with the tool.
    fn forgets_the_turn(leaf: &mut Leaf<'_, 2>) {
        leaf.last_use = LastUse::new(leaf, &[]);
    }

    /// Taking a tool's last use first never costs a minute and saves states; the twin that also
    /// does it at the turn is dearer on some machine.
    #[test]
    fn a_last_use_comes_first_but_not_at_the_turn() {
        let layered = (0..20).map(|seed| layered_machine(seed, 40));
        let random = (0..600).map(|seed| random_machine(seed, &Size::default()));
        let (mut with, mut without, mut dearer, mut seen) = (0, 0, 0, 0);
        for machine in layered.chain(random) {
            let Some((plain, plain_states)) = least(&machine, without_the_rule) else { continue };
            let (minutes, states) = least(&machine, right).expect("it is sooner searched");
            assert_eq!(minutes, plain);
            with += states;
            without += plain_states;
            seen += 1;
            let twin = least(&machine, forgets_the_turn);
            dearer += u32::from(twin.is_none_or(|(minutes, _)| minutes > plain));
        }
        assert!(seen > 100, "only {seen} were searched to their end");
        assert!(with * 10 < without * 9, "{with} states with the rule, {without} without");
        assert!(dearer > 0, "the twin is not found out");
    }

    /// The bearing fixings of all parts.
    fn all_may_hang(leaf: &mut Leaf<'_, 2>) {
        leaf.borne.clone_from(&leaf.local.borne);
        leaf.hung = crate::bearing::Hung::new(leaf.local, &leaf.borne);
    }

    /// Parts that keep what bears them never hang: leaving them out changes no minute.
    #[test]
    fn what_keeps_a_bearing_fixing_never_hangs() {
        let mut fewer = 0;
        for seed in 0..600 {
            let of = lastbolt_testkit::ruled_machine(seed, &Size::default());
            let Ok(kernel) = compile(&of.0, &of.1, &Extra::default()) else { continue };
            let local = Local::<2>::new(&kernel, &relevant(&kernel, true), is_metric(&kernel));
            // What is asked for, and what that needs.
            let Some(set) = first_set(&kernel, &local) else { continue };
            let (kept, all) =
                (by(&kernel, &local, set, right), by(&kernel, &local, set, all_may_hang));
            assert_eq!(kept, all, "seed {seed}");
            fewer += u32::from(local.borne_while_only(&set).len() < local.borne.len());
        }
        assert!(fewer > 20, "only {fewer} machines have such a part");
    }

    fn first_set(kernel: &Kernel, local: &Local<2>) -> Option<Mask<2>> {
        let mut sets = crate::sets::Sets::new(kernel, local, &[STRIP, BUILD]);
        sets.next(NEVER, &mut 10_000, &Ask::default()).map(|node| node.inside)
    }

    /// The least minutes of each direction of a set.
    fn by(kernel: &Kernel, local: &Local<2>, set: Mask<2>, twin: Twin) -> Vec<Option<i64>> {
        let mut all = Vec::new();
        for direction in [STRIP, BUILD] {
            let Some(mut leaf) = Leaf::new(kernel, local, direction, set) else { continue };
            twin(&mut leaf);
            let mut side = Side::new(leaf);
            side.prove(NEVER, &mut 50_000, &Ask::default());
            all.push(side.goals.first().map(|goal| goal.cost));
        }
        all
    }
}
