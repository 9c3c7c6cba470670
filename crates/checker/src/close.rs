//! What going back asks besides a way that holds (R10 to R13): the formal kernel's `close`.

use crate::book::{Book, End, Kind};
use crate::broken::Broken;
use crate::open::{No, Open};

impl Book {
    /// Whether a thing may be closed, whatever the way.
    pub(crate) fn may_close(&self, x: No, open: &Open, started: &Open) -> Result<(), Broken> {
        if !open.has(x) {
            return Err(Broken::NotOpen { x });
        }
        if self.leave_off.contains(&x) {
            return Err(Broken::LeftOff { x });
        }
        match self.things[x].kind {
            Kind::Part => self.hides_nothing_open(x, open),
            Kind::Prep => self.holds_nothing_open(x, open),
            Kind::Tie => self.group_is_started(x, open, started),
        }
    }

    /// Whether a tie may be started by hand (R13).
    pub(crate) fn may_start(&self, x: No, open: &Open, started: &Open) -> Result<(), Broken> {
        if !open.has(x) {
            return Err(Broken::NotOpen { x });
        }
        if self.leave_off.contains(&x) {
            return Err(Broken::LeftOff { x });
        }
        if self.things[x].group.is_none() {
            return Err(Broken::InNoGroup { x });
        }
        if started.has(x) {
            return Err(Broken::AlreadyStarted { x });
        }
        Ok(())
    }

    /// A part may not go on while an open tie is hidden by it or by anything in its load, unless
    /// the tie joins something in that load (R12).
    fn hides_nothing_open(&self, part: No, open: &Open) -> Result<(), Broken> {
        let load = self.load(part, &open.without(part));
        for tie in open.all().filter(|&thing| self.things[thing].kind == Kind::Tie) {
            let it = &self.things[tie];
            let hider = it.hidden_by.iter().copied().find(|hider| load.contains(hider));
            let in_the_load = |end: &End| matches!(end, End::Part(p) if load.contains(p));
            if let Some(hider) = hider
                && !self.leave_off.contains(&tie)
                && !it.joins.iter().any(in_the_load)
            {
                return Err(Broken::WouldHide { part, hider, tie });
            }
        }
        Ok(())
    }

    /// A prep may not end while an open thing that names it would be left without a way of
    /// opening whose needs are in force (R11).
    fn holds_nothing_open(&self, prep: No, open: &Open) -> Result<(), Broken> {
        if self.things[prep].by_itself {
            return Err(Broken::EndsByItself { prep });
        }
        for y in open.all() {
            let it = &self.things[y];
            if y == prep || self.leave_off.contains(&y) || it.by_itself {
                continue;
            }
            if self.relies_on(y, prep, open) {
                return Err(Broken::StillNeeded { prep, by: y });
            }
        }
        Ok(())
    }

    /// Whether a thing names a prep and no way of opening it would be left without that prep;
    /// a spot's needs do not count.
    pub(crate) fn relies_on(&self, y: No, prep: No, open: &Open) -> bool {
        let it = &self.things[y];
        let after = open.without(prep);
        let names_it = it.ways.iter().any(|w| it.needs.iter().chain(&w.needs).any(|&n| n == prep));
        let another_way =
            it.ways.iter().any(|w| it.needs.iter().chain(&w.needs).all(|&n| after.has(n)));
        names_it && !another_way
    }

    /// A tie of a group is tightened only when it and every open member are started (R13).
    fn group_is_started(&self, tie: No, open: &Open, started: &Open) -> Result<(), Broken> {
        let Some(group) = self.things[tie].group else { return Ok(()) };
        if !started.has(tie) {
            return Err(Broken::NotStarted { tie });
        }
        let waiting = |member: No| {
            open.has(member) && !started.has(member) && !self.leave_off.contains(&member)
        };
        match self.groups[group].iter().copied().find(|&member| waiting(member)) {
            Some(member) => Err(Broken::GroupNotStarted { tie, member }),
            None => Ok(()),
        }
    }
}
