//! The best order for one settled set: both directions searched apart and joined at the turn.
//!
//! Each direction gives its cheapest orders by where they meet the turn (spot and tool). A pair
//! costs the sum and the change at the turn; pairs are taken until nothing cheaper can be left.

use lastbolt_machine::Kernel;

use crate::answer::Ask;
use crate::beam::{beam, beam_by};
use crate::greedy::greedy;
use crate::homes::Homes;
use crate::improve::improve;
use crate::last_use::LastUse;
use crate::leaf::Leaf;
use crate::local::{BUILD, Local, STRIP};
use crate::mask::Mask;
#[cfg(test)]
use crate::no_worse::Expanded;
use crate::relax::{NEVER, change};
use crate::search::{Bounds, Goal, Outcome, Search, State};
use crate::side_by_side::{LARGE, Stop, both};
use crate::visits::used;

/// Where less than one part in so many is open, the search itself is as soon at its end as a look
/// for a good order.
const NEAR: i64 = 100;
/// The weight of a bound beside which the cost hardly counts.
const DIVE: i64 = 1000;
/// How much may come off for the best few orders to be followed by what the bound says of each.
const FOLLOWED: usize = 160;
/// How many states are asked for where an answer may take its time.
const PATIENT: u64 = 20_000;
/// How many states a search that ends soon takes.
const SOON: u64 = 1_000;
/// How many states each direction looks at before it is told what the other one has proved.
const ROUND: u64 = 500;
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
    /// Whether a good order is still worth looking for, if it takes long.
    is_first: bool,
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
    let by = (ask.hands, set.len() >= LARGE && build.is_some());
    let with_bound = |leaf| (Bounds::soon(&leaf), leaf);
    let (strip, back) = both(by, ask.stop, |_| with_bound(strip), |_| build.map(with_bound));
    let ((apart, _), _) = strip;
    let together = back.as_ref().map_or(0, |((bound, _), _)| *bound);
    let bound = base.saturating_add(apart).saturating_add(together).min(NEVER);
    if bound >= below {
        return Begun { best: pair.best, bound, settled: None };
    }
    let side = |((least, homes), leaf)| Side::with(leaf, homes, least);
    let (strip, build) = both(by, ask.stop, |_| side(strip), |_| back.map(side));
    let mut settled = Settled { strip, build, base, is_first };
    let bound = settled.least();
    if bound >= below.min(NEVER) {
        return Begun { best: pair.best, bound, settled: None };
    }
    if !is_first && (below - bound).saturating_mul(NEAR) < below {
        return Begun { best: pair.best, bound, settled: Some(Box::new(settled)) };
    }
    let first = (first_strip, first_build);
    let (first_strip, first_build) =
        settled.each(first, patience, ask, |side, known, some, stop| {
            side.quick(known, is_first, some, stop)
        });
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

    /// An order of each direction, each looked for from what is known with half of the states.
    fn each(
        &mut self,
        (strip, build): (Option<Goal>, Option<Goal>),
        patience: &mut u64,
        ask: &Ask<'_>,
        look: impl Fn(&mut Side<'a, W>, Option<Goal>, &mut u64, Stop<'_>) -> Option<Goal> + Sync,
    ) -> (Option<Goal>, Option<Goal>) {
        let front = &mut self.strip;
        let Some(back) = &mut self.build else {
            return (look(front, strip, patience, ask.stop), None);
        };
        let mut half = *patience / 2;
        *patience -= half;
        let found = both(
            (ask.hands, front.leaf.set.len() >= LARGE),
            ask.stop,
            |stop| look(front, strip, &mut half, stop),
            |stop| look(back, build, patience, stop),
        );
        *patience += half;
        found
    }

    fn search(&mut self, pair: &mut Pair, patience: &mut u64, ask: &Ask<'_>) {
        match &mut self.build {
            None => {
                let known = self.strip.goals.len();
                self.strip.prove(pair.below - self.base, patience, ask.stop);
                for goal in &self.strip.goals[known..] {
                    pair.join(Some(goal), None, &self.strip.leaf, None);
                }
            }
            Some(build) => pair.prove(&mut self.strip, build, patience, ask),
        }
    }

    /// Goes on searching for an order below `below` minutes.
    pub(crate) fn go_on(&mut self, below: i64, patience: &mut u64, ask: &Ask<'_>) -> Found {
        let mut pair = Pair { base: self.base, below, best: None };
        if std::mem::take(&mut self.is_first) {
            let mut some = SOON.min(*patience);
            *patience -= some;
            self.search(&mut pair, &mut some, ask);
            *patience += some;
            let is_worth_it = ask.nodes >= PATIENT && self.strip.leaf.set.len() <= FOLLOWED;
            if some == 0 && is_worth_it && !(ask.stop)() {
                let look = |side: &mut Side<'a, W>, _, some: &mut u64, stop: Stop<'_>| {
                    side.follow(some, stop)
                };
                let (strip, build) = self.each((None, None), patience, ask, look);
                pair.join(strip.as_ref(), build.as_ref(), &self.strip.leaf, self.back());
            }
        }
        self.search(&mut pair, patience, ask);
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

    #[cfg(test)]
    fn comparing_nothing(leaf: Leaf<'a, W>) -> Self {
        let mut side = Self::new(leaf);
        let mut search = Search::new(&side.leaf, &mut side.bounds, 10);
        search.expanded = Expanded::judged_by(|_, _, _| false);
        side.exact = Some(search);
        side
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
        stop: &dyn Fn() -> bool,
    ) -> Option<Goal> {
        let best_already = first.as_ref().is_some_and(|goal| goal.cost <= self.next);
        if best_already || *patience < 100 {
            return first;
        }
        let mut best = first;
        // Each counts the bound for less than the one before: longer, and better.
        let weights: &[i64] = if is_first { &[DIVE, 50, 20, 15, 12] } else { &[12] };
        for &weight in weights {
            let mut search = Search::new(&self.leaf, &mut self.bounds, weight);
            // Where promise alone leads, it leads there soon.
            let dive = if weight == DIVE { 2 * self.leaf.set.len() as u64 } else { 1_500 };
            let mut some = (*patience / 4).max(dive).min(*patience / 2);
            let before = some;
            let outcome = search.next_goal(&self.leaf, &mut self.bounds, NEVER, &mut some, stop);
            *patience -= before - some;
            let Outcome::Goal(goal) = outcome else {
                return self.roughly(best, is_first, patience, stop);
            };
            best = cheaper(best, Some(goal));
            if stop() {
                return best;
            }
        }
        best
    }

    /// The best few orders of each length as the bound judges them.
    fn follow(&mut self, patience: &mut u64, stop: &dyn Fn() -> bool) -> Option<Goal> {
        let (leaf, bounds) = (&self.leaf, &mut self.bounds);
        follow(leaf, patience, |some| {
            beam_by(leaf, WIDTH, some, stop, |state| bounds.value(leaf, state))
        })
    }

    /// The same where it is too large for the search: the best few of each length are followed, and
    /// what comes of it gets better by moving its steps.
    fn roughly(
        &mut self,
        mut best: Option<Goal>,
        is_first: bool,
        patience: &mut u64,
        stop: &dyn Fn() -> bool,
    ) -> Option<Goal> {
        let leaf = &self.leaf;
        if is_first {
            let found = follow(leaf, patience, |some| beam(leaf, WIDTH, some, stop));
            best = cheaper(best, found);
        }
        let mut some = (*patience / 2).min(1_500);
        let before = some;
        best = best.map(|goal| improve(leaf, goal, &mut some, stop));
        *patience -= before - some;
        best
    }

    /// Takes the next goal below a limit of this direction's cost; `true` if there was one.
    fn prove(&mut self, below: i64, patience: &mut u64, stop: &dyn Fn() -> bool) -> bool {
        if !self.has_work_below(below) {
            self.finished = true;
            return false;
        }
        let (leaf, bounds) = (&self.leaf, &mut self.bounds);
        let search = self.exact.get_or_insert_with(|| Search::new(leaf, bounds, 10));
        match search.next_goal(leaf, bounds, below, patience, stop) {
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

    /// Whether there may still be goals below a limit.
    fn has_work_below(&self, below: i64) -> bool {
        self.next < below
    }

    /// No order of this direction costs less.
    fn least(&self) -> i64 {
        self.goals.first().map_or(self.next, |goal| goal.cost)
    }
}

/// Follows the best few orders of each length, whatever that takes; it leaves enough to go on.
fn follow<const W: usize>(
    leaf: &Leaf<'_, W>,
    patience: &mut u64,
    few: impl FnOnce(&mut u64) -> Option<Goal>,
) -> Option<Goal> {
    let all = (WIDTH * leaf.set.len()) as u64;
    let mut some = all;
    let found = few(&mut some);
    *patience -= (all - some).min(*patience / 2);
    found
}

/// The first of two orders, unless the second is cheaper.
fn cheaper(first: Option<Goal>, second: Option<Goal>) -> Option<Goal> {
    match (first, second) {
        (Some(first), Some(second)) if second.cost < first.cost => Some(second),
        (first, second) => first.or(second),
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

    /// Takes goals of both directions until no pair below the best can be left: round by round,
    /// both at the same time, since what one direction proves helps the other.
    fn prove<const W: usize>(
        &mut self,
        strip: &mut Side<'_, W>,
        build: &mut Side<'_, W>,
        patience: &mut u64,
        ask: &Ask<'_>,
    ) {
        while *patience > 0 {
            let left = self.below - self.base;
            let (for_strip, for_build) = (left - build.least(), left - strip.least());
            let (strip_works, build_works) =
                (strip.has_work_below(for_strip), build.has_work_below(for_build));
            let half = if build_works { patience.div_ceil(2) } else { *patience };
            let mut of_strip = if strip_works { half.min(ROUND) } else { 0 };
            let mut of_build = if build_works { (*patience - of_strip).min(ROUND) } else { 0 };
            *patience -= of_strip + of_build;
            let worth = strip.leaf.set.len() >= LARGE && strip_works && build_works;
            let (more_strip, more_build) = both(
                (ask.hands, worth),
                ask.stop,
                |stop| strip.prove(for_strip, &mut of_strip, stop),
                |stop| build.prove(for_build, &mut of_build, stop),
            );
            let is_paused = strip_works && of_strip == 0 || build_works && of_build == 0;
            *patience += of_strip + of_build;
            self.newest(strip, build, more_strip, more_build);
            let none = |side: &Side<'_, W>| side.goals.is_empty() && side.finished;
            if none(strip) || none(build) {
                strip.finished = true;
                build.finished = true;
                return;
            }
            if !more_strip && !more_build && !is_paused {
                return;
            }
            if (ask.stop)() {
                *patience = 0;
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
        // By itself: what is no worse than another state saves some of the same states.
        let (strip, build) = (Side::comparing_nothing(strip), Some(Side::comparing_nothing(build)));
        let mut settled = Settled { strip, build, base, is_first: false };
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
        let layered = (0..20).map(|seed| layered_machine(seed, 60));
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
            side.prove(NEVER, &mut 50_000, &|| false);
            all.push(side.goals.first().map(|goal| goal.cost));
        }
        all
    }
}
