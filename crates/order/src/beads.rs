//! Sealant and its open time (R24) in the search backwards from the whole machine.
//!
//! Backwards the last tie of a boundary comes first: with it a *window* opens, in which minutes
//! add up until the thing that goes on with the sealant is reached. The minutes of a change belong
//! to the later of two steps in time, which is the earlier one of this search; so a window also
//! knows whether the present spot and tool were asked for inside it. Where the bead itself asks
//! for no spot or no tool, what the first change after it takes depends on what is done before it:
//! see [`Pending`].

use std::cell::RefCell;
use std::collections::HashMap;

use lastbolt_machine::{Changes, Kind};

use crate::leaf::{Act, Leaf, Open};
use crate::local::{ANYWHERE, BUILD, Pending};
use crate::mask::Mask;
use crate::search::State;

/// No window is open.
pub(crate) const NO_WINDOWS: u32 = 0;

/// A thing of the set that goes on with sealant.
#[derive(Clone, Debug)]
pub(crate) struct Bead<const W: usize> {
    thing: usize,
    allowed: i64,
    /// The ties that can be in its boundary.
    most: Mask<W>,
    /// Those of them that are surely made after the bead.
    sure: Mask<W>,
    /// Whether the boundary depends on riders that come off by themselves.
    varies: bool,
}

/// The time since a bead, seen backwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Window {
    /// Index in the beads.
    bead: usize,
    /// The tie it counts from; 0 where it is the first of a boundary that does not vary.
    tie: usize,
    minutes: i64,
    /// Whether the present spot, the present tool was asked for inside.
    spot_inside: bool,
    tool_inside: bool,
    /// Whether the bead is reached: only changes can still be added.
    laid: bool,
}

/// All sets of windows that were met, by number.
#[derive(Debug, Default)]
struct Known {
    sets: Vec<Vec<Window>>,
    numbers: HashMap<Vec<Window>, u32>,
}

/// The beads of a settled set and the windows met in its search.
#[derive(Debug, Default)]
pub(crate) struct Beads<const W: usize> {
    beads: Vec<Bead<W>>,
    known: RefCell<Known>,
}

/// Minutes of a change of spot and of tool.
pub(crate) type Change = (i64, i64);

impl<const W: usize> Beads<W> {
    /// Whether nothing goes on with sealant.
    pub(crate) fn is_empty(&self) -> bool {
        self.beads.is_empty()
    }

    /// The beads of a leaf.
    pub(crate) fn of(leaf: &Leaf<'_, W>) -> Self {
        let mut beads = Vec::new();
        let local = leaf.local;
        let acting = leaf.set.minus(&leaf.start.open);
        for &thing in local.beads.iter().filter(|&&t| leaf.direction == BUILD && acting.has(t)) {
            let it = &local.things[thing];
            let Some(allowed) = it.open_minutes else { continue };
            let full = local.load(thing, &Mask::EMPTY);
            let varies = it.kind == Kind::Part && full.without(thing).meets(&leaf.set);
            let most = if it.kind != Kind::Part {
                local.same_joint[thing]
            } else if varies {
                full.iter().flat_map(|part| local.things[part].ties.iter().copied()).collect()
            } else {
                local.crossing(thing, &Mask::EMPTY)
            };
            let most = most.and(&acting);
            let is_sure = it.kind == Kind::Part && !varies;
            let sure = if is_sure { most.minus(&it.stays) } else { Mask::EMPTY };
            beads.push(Bead { thing, allowed, most, sure, varies });
        }
        let known = Known { sets: vec![Vec::new()], numbers: HashMap::from([(Vec::new(), 0)]) };
        Self { beads, known: RefCell::new(known) }
    }

    fn windows(&self, clock: u32) -> Vec<Window> {
        self.known.borrow().sets[clock as usize].clone()
    }

    fn number(&self, mut windows: Vec<Window>) -> u32 {
        windows.sort_unstable();
        windows.dedup();
        let mut known = self.known.borrow_mut();
        if let Some(&number) = known.numbers.get(&windows) {
            return number;
        }
        let number = known.sets.len() as u32;
        known.sets.push(windows.clone());
        known.numbers.insert(windows, number);
        number
    }
}

impl<const W: usize> Leaf<'_, W> {
    /// Whether some boundary alone takes longer than its sealant is open.
    pub(crate) fn sets_too_soon(&self) -> bool {
        let least = |bead: &Bead<W>| bead.sure.iter().map(|tie| self.least[tie]).sum::<i64>();
        self.beads.beads.iter().any(|bead| least(bead) > bead.allowed)
    }

    /// The windows after an action; `None` if a bead would set before its boundary is home.
    pub(crate) fn clock_after(
        &self,
        act: &Act<W>,
        state: &State<W>,
        (spot, tool): Change,
    ) -> Option<u32> {
        if self.beads.is_empty() {
            return Some(NO_WINDOWS);
        }
        let at = &state.at;
        let mut windows = Vec::new();
        for mut window in self.beads.windows(state.clock) {
            let bead = &self.beads.beads[window.bead];
            let lays = act.thing == bead.thing && !act.is_start && !window.laid;
            if !window.laid && !lays {
                window.minutes += act.minutes;
            }
            if act.spot != ANYWHERE {
                window.minutes += if window.spot_inside { spot } else { 0 };
                window.spot_inside = !window.laid && !lays;
            }
            if act.tool != ANYWHERE {
                window.minutes += if window.tool_inside { tool } else { 0 };
                window.tool_inside = !window.laid && !lays;
            }
            if lays && bead.varies && !self.is_in_boundary(bead, window.tie, at) {
                continue;
            }
            window.laid |= lays;
            if lays {
                self.settle(&mut window, state);
            }
            if window.laid && !window.spot_inside && !window.tool_inside {
                if window.minutes > bead.allowed {
                    return None;
                }
                continue;
            }
            windows.push(self.still_in_time(window, act, at)?);
        }
        self.open_windows(act, at, &mut windows);
        Some(self.beads.number(windows))
    }

    /// At the bead: what the changes to the next spot and tool count that are not known yet.
    fn settle(&self, window: &mut Window, state: &State<W>) {
        let dearest = |changes: &Changes, to: u16| {
            let to = usize::from(to);
            (0..changes.size()).map(|from| changes.between(from, to).0).max().unwrap_or(0)
        };
        match self.local.pending {
            Pending::Exact => return,
            Pending::Free => {}
            Pending::Dearest => {
                let spot = if window.spot_inside { dearest(self.spots, state.spot) } else { 0 };
                let tool = if window.tool_inside { dearest(self.tools, state.tool) } else { 0 };
                window.minutes += spot + tool;
            }
        }
        window.spot_inside = false;
        window.tool_inside = false;
    }

    /// A window that has time left for what surely belongs in it.
    fn still_in_time(&self, mut window: Window, act: &Act<W>, at: &Open<W>) -> Option<Window> {
        let bead = &self.beads.beads[window.bead];
        if bead.varies && !window.laid {
            // It may yet turn out not to count.
            window.minutes = window.minutes.min(bead.allowed + 1);
            return Some(window);
        }
        let rest = bead.sure.minus(&at.open).without(act.thing);
        let rest: i64 = rest.iter().map(|tie| self.least[tie]).sum();
        (window.minutes + rest <= bead.allowed).then_some(window)
    }

    fn open_windows(&self, act: &Act<W>, at: &Open<W>, windows: &mut Vec<Window>) {
        if act.is_start || self.local.things[act.thing].kind != Kind::Tie {
            return;
        }
        for (index, bead) in self.beads.beads.iter().enumerate() {
            let counts = bead.most.has(act.thing) && !at.open.has(bead.thing);
            let is_open = !bead.varies && windows.iter().any(|w| w.bead == index);
            if counts && !is_open {
                windows.push(Window {
                    bead: index,
                    tie: if bead.varies { act.thing } else { 0 },
                    minutes: act.minutes,
                    spot_inside: act.spot != ANYWHERE,
                    tool_inside: act.tool != ANYWHERE,
                    laid: false,
                });
            }
        }
    }

    /// Whether a tie is across the boundary of a bead that is laid here.
    fn is_in_boundary(&self, bead: &Bead<W>, tie: usize, at: &Open<W>) -> bool {
        self.local.crossing(bead.thing, &at.open).has(tie)
    }

    /// The windows after a change to where something can be done; `None` as above.
    pub(crate) fn clock_moved(
        &self,
        state: &State<W>,
        to: (u16, u16),
        (spot, tool): Change,
    ) -> Option<u32> {
        if state.clock == NO_WINDOWS {
            return Some(NO_WINDOWS);
        }
        let mut windows = Vec::new();
        for mut window in self.beads.windows(state.clock) {
            let bead = &self.beads.beads[window.bead];
            if to.0 != state.spot {
                window.minutes += if window.spot_inside { spot } else { 0 };
                window.spot_inside = false;
            }
            if to.1 != state.tool {
                window.minutes += if window.tool_inside { tool } else { 0 };
                window.tool_inside = false;
            }
            if bead.varies && !window.laid {
                window.minutes = window.minutes.min(bead.allowed + 1);
            } else if window.minutes > bead.allowed {
                return None;
            }
            if !window.laid || window.spot_inside || window.tool_inside {
                windows.push(window);
            }
        }
        Some(self.beads.number(windows))
    }

    /// Whether every bead is in time when this change stands at the turn.
    pub(crate) fn turns_in_time(&self, clock: u32, (spot, tool): Change) -> bool {
        clock == NO_WINDOWS
            || self.beads.windows(clock).iter().all(|window| {
                let spot = if window.spot_inside { spot } else { 0 };
                let tool = if window.tool_inside { tool } else { 0 };
                !window.laid
                    || window.minutes + spot + tool <= self.beads.beads[window.bead].allowed
            })
    }

    /// Whether an action may be done at once as far as open time goes (docs/methods.md): it opens
    /// no window, and belongs into every one that is open.
    pub(crate) fn keeps_time(&self, act: &Act<W>, state: &State<W>) -> bool {
        let beads = &self.beads.beads;
        if beads.is_empty() {
            return true;
        }
        let windows = self.beads.windows(state.clock);
        let fits = |window: &Window| {
            let bead = &beads[window.bead];
            let lays = act.thing == bead.thing && !act.is_start;
            window.laid
                || lays
                || (bead.sure.has(act.thing) || act.minutes == 0)
                    && (act.spot == ANYWHERE || window.spot_inside)
                    && (act.tool == ANYWHERE || window.tool_inside)
        };
        let opens = beads.iter().enumerate().any(|(index, bead)| {
            let is_open = !bead.varies && windows.iter().any(|w| w.bead == index);
            !act.is_start && !is_open && bead.most.has(act.thing) && !state.at.open.has(bead.thing)
        });
        !opens && windows.iter().all(fits)
    }

    /// Whether an action brings an open window to its end.
    pub(crate) fn is_awaited(&self, act: &Act<W>, clock: u32) -> bool {
        clock != NO_WINDOWS
            && self.beads.windows(clock).iter().any(|window| {
                let bead = &self.beads.beads[window.bead];
                !window.laid && (bead.thing == act.thing || bead.most.has(act.thing))
            })
    }
}
