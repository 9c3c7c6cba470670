//! Whether a way holds (R4 to R9, R14): the formal kernel's `holds`.

use crate::book::{Book, Kind, Way};
use crate::broken::Broken;
use crate::open::{No, Open};
use crate::place::Place;

impl Book {
    /// holds(x, w, O): whether a way of a thing works while these things are open; the same
    /// question for opening and for closing (R7).
    pub(crate) fn holds(&self, x: No, way: &Way, open: &Open) -> Result<(), Broken> {
        let without = open.without(x);
        let place = match self.things[x].kind {
            Kind::Part => self.root(x, &without),
            Kind::Tie => self.place(x, &without).ok_or(Broken::LiesApart { tie: x })?,
            Kind::Prep => Place::Machine,
        };
        self.spot_works(x, way, place, open, &without)?;
        for &thing in &way.clear {
            if !self.is_clear(thing, place, &without) {
                return Err(Broken::NotClear { x, in_the_way: thing, at: way.at });
            }
        }
        let needs = self.things[x].needs.iter().chain(&way.needs).chain(&way.spot_needs);
        for &prep in needs {
            if !without.has(prep) {
                return Err(Broken::NotInForce { x, prep, at: way.at });
            }
        }
        if self.things[x].kind == Kind::Part {
            self.nothing_holds(x, &without)?;
        }
        Ok(())
    }

    /// The bench is for what lies on a loose part, any other spot for what lies in the machine.
    fn spot_works(
        &self,
        x: No,
        way: &Way,
        place: Place,
        open: &Open,
        without: &Open,
    ) -> Result<(), Broken> {
        let Some(spot) = way.from else { return Ok(()) };
        if spot != self.bench {
            return match place {
                Place::Machine => Ok(()),
                Place::On(carrier) => Err(Broken::OnlyAtTheBench { x, carrier, at: way.at }),
            };
        }
        if self.things[x].kind == Kind::Prep {
            return Ok(());
        }
        match place {
            Place::Machine => Err(Broken::NotAtTheBench { x, at: way.at }),
            Place::On(part) if self.hangs(part, without) => Err(Broken::Hangs { x, part }),
            Place::On(seat)
                if self.things[x].kind == Kind::Part && self.hangs_elsewhere(x, seat, open) =>
            {
                Err(Broken::Hangs { x, part: x })
            }
            Place::On(_) => Ok(()),
        }
    }

    /// A part is clear in another place; a tie is clear undone or in another place (R6).
    fn is_clear(&self, thing: No, place: Place, without: &Open) -> bool {
        match self.things[thing].kind {
            Kind::Part => self.root(thing, without) != place,
            Kind::Tie => without.has(thing) || self.place(thing, without) != Some(place),
            Kind::Prep => false,
        }
    }

    /// A part moves when no made tie joins its load to something outside, but those it may be
    /// put aside on (R3, R8).
    fn nothing_holds(&self, part: No, without: &Open) -> Result<(), Broken> {
        let load = self.load(part, without);
        for tie in self.ties() {
            if !without.has(tie)
                && self.crosses(tie, &load)
                && !self.things[part].stays.contains(&tie)
            {
                return Err(Broken::Held { part, tie });
            }
        }
        Ok(())
    }
}
