//! Bearing fixings on masks (R23): while a part hangs, only its own are stepped.

use std::cell::RefCell;

use lastbolt_machine::Kind;

use crate::hash::Map;
use crate::leaf::{Act, Leaf, Open};
use crate::local::{BUILD, Local};
use crate::mask::Mask;

/// Of how many states it is remembered what hangs, in machine words a set.
const KNOWN_MAX: usize = 10_000;

/// A part and the ties that may bear it.
pub(crate) type Borne<const W: usize> = (usize, Mask<W>);

impl<const W: usize> Local<W> {
    /// The parts on their seats that something is there to bear, and nothing does.
    fn hanging(&self, borne: &[Borne<W>], open: &Mask<W>, started: &Mask<W>) -> Mask<W> {
        let undone = self.bears.and(open).minus(started);
        let mut hanging = Mask::EMPTY;
        if undone.is_empty() {
            return hanging;
        }
        for (part, may_bear) in borne {
            if open.has(*part) || !may_bear.meets(&undone) {
                continue;
            }
            let bearers = self.bearers(*part, may_bear, open);
            if !bearers.is_empty() && bearers.is_within(&undone) {
                hanging.add(*part);
            }
        }
        hanging
    }

    /// Those of the ties that may bear a part which do: across its load's boundary, with all that
    /// they join in the same place, and not left undone.
    fn bearers(&self, part: usize, may_bear: &Mask<W>, open: &Mask<W>) -> Mask<W> {
        let load = self.load(part, open);
        let here = self.root(part, open);
        let bears = |&tie: &usize| {
            self.crosses(tie, &load)
                && self.is_all_at(tie, here, open)
                && !(open.has(tie) && self.things[tie].leave_off)
        };
        may_bear.iter().filter(bears).collect()
    }

    /// The parts that may hang in orders in which nothing outside the set is opened, with the ties
    /// that may bear them: those that keep something that bears them never hang.
    pub(crate) fn borne_while_only(&self, set: &Mask<W>) -> Vec<Borne<W>> {
        let keeps = |(part, may_bear): &&Borne<W>| {
            may_bear.iter().any(|tie| !set.has(tie) && self.always_bears(tie, *part, set))
        };
        self.borne.iter().filter(|borne| !keeps(borne)).copied().collect()
    }

    /// Whether a tie that nobody undoes bears a part for as long as that is on its seat: each
    /// other thing that it joins stays in the machine as the part does, or is what carries it.
    fn always_bears(&self, tie: usize, part: usize, set: &Mask<W>) -> bool {
        let it = &self.things[tie];
        let leaves = |p: usize| set.has(p) || self.things[p].chain.iter().any(|&c| set.has(c));
        let load = self.load(part, &Mask::EMPTY);
        let stands = !self.things[part].chain.iter().any(|&carrier| set.has(carrier));
        let carrier = self.things[part].chain.first();
        !self.open_at_start.has(tie)
            && it.ends.contains(&part)
            && (it.has_fixed_end || it.ends.len() > 1)
            && (!it.has_fixed_end || stands)
            && it
                .ends
                .iter()
                .filter(|&&end| end != part)
                .all(|&end| !load.has(end) && (carrier == Some(&end) || stands && !leaves(end)))
    }

    /// Whether all that a tie joins lies in one place.
    fn is_all_at(&self, tie: usize, place: Option<usize>, open: &Mask<W>) -> bool {
        let it = &self.things[tie];
        (!it.has_fixed_end || place.is_none())
            && it.ends.iter().all(|&end| self.root(end, open) == place)
    }

    /// Whether a tie has one end in a load and one outside.
    pub(crate) fn crosses(&self, tie: usize, load: &Mask<W>) -> bool {
        self.things[tie].ends.iter().any(|&end| load.has(end)) && !self.is_inside(tie, load)
    }

    /// The ties across the boundary of a part's load.
    pub(crate) fn crossing(&self, part: usize, open: &Mask<W>) -> Mask<W> {
        let load = self.load(part, open);
        let ties = load.iter().flat_map(|inner| self.things[inner].ties.iter().copied());
        ties.filter(|&tie| !self.is_inside(tie, &load)).collect()
    }

    /// What may still be stepped while these parts hang: what belongs to each of them, or to what
    /// hangs by the same tie (nobody can tell which of the two it bore), and their bearing ties.
    fn left_to(&self, hanging: &Mask<W>, open: &Mask<W>) -> Mask<W> {
        let hanging = || self.borne.iter().filter(|(part, _)| hanging.has(*part));
        let borne_by = |(part, may_bear): &Borne<W>| self.bearers(*part, may_bear, open);
        let mut left: Option<Mask<W>> = None;
        let mut bearing = Mask::EMPTY;
        for part in hanging() {
            let bearers = borne_by(part);
            let partners = hanging().filter(|other| borne_by(other).meets(&bearers));
            let own = partners.fold(Mask::EMPTY, |own, (part, _)| own.or(&self.own(*part, open)));
            left = Some(left.map_or(own, |left| left.and(&own)));
            bearing = bearing.or(&bearers);
        }
        left.unwrap_or(Mask::EMPTY).or(&bearing)
    }

    /// What belongs to a part that hangs: itself, the ties across the boundary of its load, what
    /// these need.
    fn own(&self, part: usize, open: &Mask<W>) -> Mask<W> {
        let ties = self.crossing(part, open);
        ties.iter().fold(ties.with(part), |own, tie| own.or(&self.preps_of[tie]))
    }

    /// At least what may be stepped while a part hangs, whatever else comes to hang with it.
    fn ever_left_to(&self, hanging: &Mask<W>, open: &Mask<W>) -> Mask<W> {
        let mut left: Option<Mask<W>> = None;
        for (part, may_bear) in self.borne.iter().filter(|(part, _)| hanging.has(*part)) {
            let bearers = self.bearers(*part, may_bear, open);
            let seats = bearers.iter().flat_map(|tie| self.seats(tie).iter());
            let seats = seats.filter(|&seat| !open.has(seat)).collect::<Mask<W>>().with(*part);
            let own = seats.iter().fold(Mask::EMPTY, |own, seat| own.or(&self.own(seat, open)));
            left = Some(left.map_or(own, |left| left.and(&own)));
        }
        left.unwrap_or(Mask::EMPTY)
    }
}

/// What hangs by what is open of all that can make a difference.
#[derive(Debug)]
pub(crate) struct Hung<const W: usize> {
    /// What can make a difference: parts that may hang, what bears them, rides on them, carries
    /// them or is joined to them.
    matters: Mask<W>,
    known: RefCell<Map<Open<W>, Hanging<W>>>,
}

/// What hangs in a state.
#[derive(Clone, Copy, Debug)]
struct Hanging<const W: usize> {
    /// All parts that do.
    all: Mask<W>,
    /// Those that bind a direction: what was found hanging is not this order's doing.
    bound: Mask<W>,
    /// What may be stepped while these hang.
    left: Mask<W>,
}

impl<const W: usize> Hung<W> {
    pub(crate) fn new(local: &Local<W>, borne: &[Borne<W>]) -> Self {
        let mut matters = Mask::EMPTY;
        for (part, may_bear) in borne {
            let seats = may_bear.iter().map(|tie| local.seats(tie));
            let seats = seats.fold(Mask::EMPTY.with(*part), |all, seats| all.or(&seats));
            let chain = local.things[*part].chain.iter().copied();
            let load = local.load(*part, &Mask::EMPTY);
            matters = chain.fold(matters.or(may_bear).or(&seats).or(&load), Mask::with);
        }
        Self { matters, known: RefCell::default() }
    }
}

impl<const W: usize> Leaf<'_, W> {
    fn hanging(&self, at: &Open<W>) -> Hanging<W> {
        let matters = &self.hung.matters;
        let at = Open { open: at.open.and(matters), started: at.started.and(matters) };
        let mut known = self.hung.known.borrow_mut();
        if let Some(hanging) = known.get(&at) {
            return *hanging;
        }
        let all = self.local.hanging(&self.borne, &at.open, &at.started);
        let found = if self.direction == BUILD { Mask::EMPTY } else { self.local.found_hanging };
        let bound = all.minus(&found);
        let hanging = Hanging { all, bound, left: self.local.left_to(&bound, &at.open) };
        if known.len() * W >= KNOWN_MAX {
            known.clear();
        }
        known.insert(at, hanging);
        hanging
    }

    /// Whether nothing hangs that this action does not belong to, and whatever hangs after it can
    /// come off next.
    pub(crate) fn bearing_allows(&self, act: &Act<W>, at: &Open<W>) -> bool {
        if self.borne.is_empty() {
            return true;
        }
        let next = self.after(act, at);
        let judged = if self.direction == BUILD { &next } else { at };
        let hanging = self.hanging(judged);
        if !hanging.bound.is_empty() && !hanging.left.has(act.thing) {
            return false;
        }
        !self.makes_hang(act) || self.can_go_on(&next)
    }

    /// Whether an action takes away what bears something.
    fn makes_hang(&self, act: &Act<W>) -> bool {
        let it = &self.local.things[act.thing];
        let goes_by_start = self.direction == BUILD && it.group.is_some();
        it.bears && (act.is_start || !goes_by_start)
    }

    /// Whether what hangs can come off by what may still be stepped, or nothing else is left: a
    /// quick look that never says no wrongly.
    fn can_go_on(&self, at: &Open<W>) -> bool {
        let hanging = self.hanging(at).bound;
        if hanging.is_empty() {
            return true;
        }
        let todo = self.todo(at);
        let left = if self.direction == BUILD {
            // Whatever hangs because of them, bearing ties may always be next.
            self.local.ever_left_to(&hanging, &at.open).or(&self.local.bears.and(&todo))
        } else {
            self.hanging(at).left
        };
        let allowed = at.open.or(&left);
        let comes_off = |thing: usize| {
            self.local.things[thing].kind == Kind::Part
                && self.opening(thing).any(|act| act.is_ready(&allowed))
        };
        todo.is_within(&left) || left.and(&todo).iter().any(comes_off)
    }

    /// Whether an action may be done at once as far as bearing goes (docs/methods.md).
    pub(crate) fn bears_nothing(&self, act: &Act<W>, at: &Open<W>) -> bool {
        let local = self.local;
        if self.borne.is_empty() {
            return true;
        }
        if self.makes_hang(act) {
            return false;
        }
        let it = &local.things[act.thing];
        if it.kind != Kind::Part {
            return true;
        }
        let own = it.ties.iter().any(|&tie| local.things[tie].bears);
        if !own && (it.chain.is_empty() || !it.stays.meets(&self.todo(at))) {
            return true;
        }
        let hanging = self.hanging(at).all;
        let after = self.hanging(&Open { open: at.open.with(act.thing), ..*at }).all;
        let aside = it.stays.minus(&at.open).meets(&local.bears);
        hanging == Mask::EMPTY.with(act.thing) && after.is_empty() && !aside
    }
}
