//! Bearing fixings on masks (R23): while a part hangs, only its own are stepped.

use lastbolt_machine::Kind;

use crate::leaf::{Act, Leaf, Open};
use crate::local::{BUILD, Local};
use crate::mask::Mask;

impl<const W: usize> Local<W> {
    /// The parts on their seats that something is there to bear, and nothing does.
    pub(crate) fn hanging(&self, open: &Mask<W>, started: &Mask<W>) -> Mask<W> {
        let undone = self.bears.and(open).minus(started);
        let mut hanging = Mask::EMPTY;
        if undone.is_empty() {
            return hanging;
        }
        for (part, may_bear) in &self.borne {
            if open.has(*part) || !may_bear.meets(&undone) {
                continue;
            }
            let load = self.load(*part, open);
            let here = self.root(*part, open);
            let mut bearers = may_bear.iter().filter(|&tie| {
                self.crosses(tie, &load)
                    && self.is_all_at(tie, here, open)
                    && !(open.has(tie) && self.things[tie].leave_off)
            });
            let first = bearers.next();
            if first.is_some_and(|tie| undone.has(tie)) && bearers.all(|tie| undone.has(tie)) {
                hanging.add(*part);
            }
        }
        hanging
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

    /// What may still be stepped while these parts hang.
    fn left_to(&self, hanging: &Mask<W>, open: &Mask<W>) -> Mask<W> {
        let mut left = *hanging;
        for part in hanging.iter() {
            let ties = self.crossing(part, open);
            left = ties.iter().fold(left.or(&ties), |all, tie| all.or(&self.preps_of[tie]));
        }
        left
    }
}

impl<const W: usize> Leaf<'_, W> {
    /// The parts that hang and bind this direction: what was found hanging is not this order's
    /// doing.
    fn bound_hanging(&self, at: &Open<W>) -> Mask<W> {
        let hanging = self.local.hanging(&at.open, &at.started);
        if self.direction == BUILD { hanging } else { hanging.minus(&self.local.found_hanging) }
    }

    /// Whether nothing hangs that this action does not belong to, and whatever hangs after it can
    /// come off next.
    pub(crate) fn bearing_allows(&self, act: &Act<W>, at: &Open<W>) -> bool {
        if self.local.borne.is_empty() {
            return true;
        }
        let next = self.after(act, at);
        let judged = if self.direction == BUILD { &next } else { at };
        let hanging = self.bound_hanging(judged);
        if !hanging.is_empty() && !self.local.left_to(&hanging, &judged.open).has(act.thing) {
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
        let mut hanging = self.bound_hanging(at);
        if hanging.is_empty() {
            return true;
        }
        let todo = self.todo(at);
        loop {
            let left = self.local.left_to(&hanging, &at.open);
            if todo.is_within(&left) {
                return true;
            }
            let allowed = at.open.or(&left);
            let comes_off = |part: usize| {
                self.opening(part).any(|act| act.must_be_open.is_within(&allowed))
            };
            if hanging.and(&todo).iter().any(comes_off) {
                return true;
            }
            let more = self.may_hang_too(at, &hanging, &left);
            if more.is_within(&hanging) {
                return false;
            }
            hanging = hanging.or(&more);
        }
    }

    /// What else could hang before any of these is off: by their own ties, by those of parts that
    /// share a bearing tie with them, and by those of parts that stay where they are.
    fn may_hang_too(&self, at: &Open<W>, hanging: &Mask<W>, left: &Mask<W>) -> Mask<W> {
        let borne = &self.local.borne;
        let theirs = borne.iter().filter(|(part, _)| hanging.has(*part));
        let theirs = theirs.fold(Mask::EMPTY, |all, (_, ties)| all.or(ties));
        let in_play = |(part, ties): &&(usize, Mask<W>)| {
            !self.set.has(*part) || ties.meets(&theirs)
        };
        let ties = borne.iter().filter(in_play).fold(*left, |all, (_, ties)| all.or(ties));
        let ties = ties.and(&self.local.bears).and(&self.todo(at));
        let undone = Open { open: at.open.or(&ties), started: at.started.minus(&ties) };
        self.bound_hanging(&undone)
    }

    /// Whether an action may be done at once as far as bearing goes (docs/methods.md).
    pub(crate) fn bears_nothing(&self, act: &Act<W>, at: &Open<W>) -> bool {
        let local = self.local;
        if local.borne.is_empty() {
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
        let hanging = local.hanging(&at.open, &at.started);
        let after = local.hanging(&at.open.with(act.thing), &at.started);
        hanging == Mask::EMPTY.with(act.thing) && after.is_empty()
    }
}
