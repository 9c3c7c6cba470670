//! Every tool that is not in the hand is taken up once before it can be brought anywhere.
//!
//! Each place's problem by itself lets a tool be brought from any other place where it is still
//! used, where taking it up is charged. Of all these places one is the first in which it is used:
//! there it is taken up, or was before, where nobody is charged for it. So each such tool is barred
//! from being brought to one of its places before it was taken up there, whichever costs least
//! together.

use crate::mask::Mask;
use crate::place::Place;
use crate::relax::NEVER;

/// How many tools are shared out among their places at once; the others are left free.
const TOOLS_MAX: usize = 6;

/// A tool that is used at home in several places: these, and its number there.
pub(crate) struct Shared {
    tool: u16,
    at: Vec<(usize, usize)>,
}

impl Shared {
    /// The tools of places that are used in several of them.
    pub(crate) fn of<const W: usize>(places: &[Place<W>]) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        for (index, place) in places.iter().enumerate() {
            for (number, tool) in place.tools().enumerate().take(u64::BITS as usize) {
                match all.iter_mut().find(|shared| shared.tool == tool) {
                    Some(shared) => shared.at.push((index, number)),
                    None => all.push(Self { tool, at: vec![(index, number)] }),
                }
            }
        }
        all.retain(|shared| shared.at.len() > 1);
        all
    }
}

/// The places in one state.
pub(crate) struct FirstUses<'p, const W: usize> {
    pub places: &'p mut [Place<W>],
    /// What each place charges by itself.
    pub each: &'p [i64],
    pub shares: &'p [i64],
    pub open: &'p Mask<W>,
    /// Spot, and tool in the hand.
    pub at: (u16, u16),
}

impl<const W: usize> FirstUses<'_, W> {
    /// How much more all places charge together at least.
    pub(crate) fn more(&mut self, shared: &[Shared]) -> i64 {
        let (mut most, mut costly, in_hand) = (0, Vec::new(), self.at.1);
        for shared in shared.iter().filter(|shared| shared.tool != in_hand) {
            let least = self.least_of(shared);
            if least > 0 && least < NEVER {
                most = most.max(least);
                costly.push(shared);
            }
        }
        if costly.len() < 2 {
            return most;
        }
        costly.truncate(TOOLS_MAX);
        let mut best = NEVER;
        self.share_out(&costly, &mut vec![0; self.each.len()], 0, &mut best);
        best
    }

    /// The least that barring a tool costs in one of the places where it is still used; [`NEVER`]
    /// where it is used in none but one.
    fn least_of(&mut self, shared: &Shared) -> i64 {
        let mut least = NEVER;
        for &(place, number) in &shared.at {
            if self.places[place].shares(number, self.open) {
                least = least.min(self.value(place, 1 << number) - self.each[place]);
                if least == 0 {
                    break;
                }
            }
        }
        least
    }

    /// Bars each of the tools in one of its places, whichever costs least together.
    fn share_out(&mut self, tools: &[&Shared], barred: &mut [u64], more: i64, best: &mut i64) {
        if more >= *best {
            return;
        }
        let Some((first, rest)) = tools.split_first() else {
            *best = more;
            return;
        };
        for &(place, number) in &first.at {
            if self.places[place].shares(number, self.open) {
                let before = barred[place];
                let without = self.value(place, before);
                barred[place] |= 1 << number;
                let with = self.value(place, barred[place]);
                self.share_out(rest, barred, more + with - without, best);
                barred[place] = before;
            }
        }
    }

    fn value(&mut self, place: usize, barred: u64) -> i64 {
        if barred == 0 {
            return self.each[place];
        }
        self.places[place].value(self.shares, self.open, self.at, barred)
    }
}
