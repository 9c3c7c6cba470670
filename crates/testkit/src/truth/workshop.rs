//! Hidden machines of a third make, as somebody might write them down who takes things apart for a
//! living: a few places, covers over covers, whole rows of screws as one fixing, plugs and hoses
//! that cross what has to come off, something that goes back in another order than it came off.

use lastbolt_machine::model::Back;
use lastbolt_machine::{At, Machine, Part, Ref, Sited, Spot, Tie, Way};

use super::hidden::{shuffle, sited};
use super::sound::is_sound;
use crate::rng::Rng;

const PLACES: [&str; 4] = ["front", "top", "under", "rear"];
const TOOLS: [&str; 5] = ["socket 7", "socket 10", "bit 20", "screwdriver", "pliers"];

struct Maker {
    rng: Rng,
    machine: Machine,
    /// Parts with their place, outermost first.
    parts: Vec<(Ref, usize)>,
    places: usize,
    names: Vec<usize>,
}

/// Makes a machine of 20 to 45 fixings; the same for the same seed.
pub fn workshop_machine(seed: u64) -> Machine {
    for again in 0..50 {
        let mut maker = Maker::new(seed.wrapping_mul(0x51_7CC1_B727).wrapping_add(again));
        maker.machine.machine = Some(Ref::bare(format!("workshop machine {seed}")));
        let wanted = maker.rng.between(20, 45);
        while maker.machine.ties.len() < wanted {
            maker.part();
        }
        maker.crossings();
        maker.second_ways();
        maker.another_order();
        maker.mix();
        if is_sound(&maker.machine) {
            return maker.machine;
        }
    }
    super::hidden_machine(seed)
}

impl Maker {
    fn new(seed: u64) -> Self {
        let mut rng = Rng::new(seed);
        let mut names: Vec<usize> = (100..400).collect();
        shuffle(&mut rng, &mut names);
        let places = rng.between(1, PLACES.len());
        let mut machine =
            Machine { fixed: vec![Ref::bare("frame"), Ref::bare("loom")], ..Machine::default() };
        for place in &PLACES[..places] {
            let mut spot = Spot { id: Ref::bare(*place), ..Spot::default() };
            spot.reach = (*place == "under").then(|| sited(2500)).flatten();
            machine.spots.push(spot);
        }
        Self { rng, machine, parts: Vec::new(), places, names }
    }

    fn name(&mut self) -> Ref {
        let number = self.names.pop().unwrap_or(999);
        Ref::bare(format!("x{number}"))
    }

    /// A part under the last one or two of its place, with one or two rows of fixings and often a
    /// plug, a hose or an earth.
    fn part(&mut self) {
        let place = self.rng.below(self.places);
        let over: Vec<Ref> = {
            let here = self.parts.iter().filter(|(_, home)| *home == place);
            let here: Vec<Ref> = here.map(|(part, _)| part.clone()).collect();
            let deep = self.rng.between(0, 2).min(here.len());
            let mut over = here[here.len() - deep..].to_vec();
            if self.rng.percent(20)
                && let Some((other, _)) = self.rng.pick(&self.parts).cloned()
                && !over.contains(&other)
            {
                over.push(other);
            }
            over
        };
        let id = self.name();
        let way = self.way(place, None, &over, 1000);
        self.machine.parts.push(Part { id: id.clone(), ways: Some(vec![way]), ..Part::default() });
        for _ in 0..self.rng.between(1, 2) {
            let count = self.rng.between(2, 8) as u32;
            let (kind, tool) = match self.rng.below(3) {
                0 => ("clip", None),
                1 => ("nut", Some(0)),
                _ => ("screw", Some(self.rng.below(TOOLS.len()))),
            };
            let way = self.way(place, tool, &over, 300 * i64::from(count));
            self.tie(kind, count, vec![id.clone(), Ref::bare("frame")], way);
        }
        for _ in 0..self.rng.between(0, 2) {
            let kind = ["plug", "hose", "earth", "plug"][self.rng.below(4)];
            let elsewhere = self.rng.percent(15);
            let from = if elsewhere { self.rng.below(self.places) } else { place };
            let tool = (kind == "earth").then_some(1);
            // Some plugs can be pulled before all the covers are off.
            let clear = if self.rng.percent(25) { &over[..over.len() / 2] } else { &over[..] };
            let way = self.way(from, tool, clear, 500);
            self.tie(kind, 1, vec![id.clone(), Ref::bare("loom")], way);
            if self.rng.percent(40) {
                let cover = self.rng.pick(&over).cloned();
                if let Some(tie) = self.machine.ties.last_mut() {
                    tie.hidden_by.extend(cover);
                }
            }
        }
        self.parts.push((id, place));
    }

    fn way(&mut self, place: usize, tool: Option<usize>, clear: &[Ref], minutes: i64) -> Way {
        let more = 250 * self.rng.between(0, 3) as i64;
        Way {
            from: Some(Ref::bare(PLACES[place])),
            tool: tool.map(|tool| Ref::bare(TOOLS[tool])),
            clear: clear.to_vec(),
            minutes: sited(minutes + more),
            ..Way::default()
        }
    }

    fn tie(&mut self, kind: &str, count: u32, joins: Vec<Ref>, way: Way) {
        let id = self.name();
        self.machine.ties.push(Tie {
            id,
            joins,
            kind: Some(Ref::bare(kind)),
            count: (count > 1).then(|| Sited::new(count, At::default())),
            ways: Some(vec![way]),
            ..Tie::default()
        });
    }

    /// Looms and hoses that hold no part but lie across one.
    fn crossings(&mut self) {
        for _ in 0..self.rng.between(0, 3) {
            let Some((across, place)) = self.rng.pick(&self.parts).cloned() else { return };
            let part = self.machine.parts.iter().position(|part| part.id == across);
            let way =
                part.and_then(|part| self.machine.parts[part].ways.as_ref()?.first().cloned());
            let clear = way.map(|way| way.clear).unwrap_or_default();
            let way = self.way(place, None, &clear, 500);
            self.tie("cable tie", 1, vec![Ref::bare("loom"), Ref::bare("frame")], way);
            let tie = self.machine.ties.last().map(|tie| tie.id.clone());
            if let (Some(part), Some(tie)) = (part, tie) {
                let ways = self.machine.parts[part].ways.iter_mut().flatten();
                ways.for_each(|way| way.clear.push(tie.clone()));
            }
        }
    }

    fn second_ways(&mut self) {
        for at in 0..self.machine.ties.len() {
            if !self.rng.percent(8) {
                continue;
            }
            let place = self.rng.below(self.places);
            let tie = &self.machine.ties[at];
            let Some(first) = tie.ways.iter().flatten().next().cloned() else { continue };
            let minutes = first.minutes.as_ref().map_or(500, |minutes| minutes.value.0) * 2;
            let mut way = self.way(place, None, &first.clear[..first.clear.len() / 2], minutes);
            way.tool = first.tool.clone();
            way.feel = true;
            self.machine.ties[at].ways.iter_mut().for_each(|ways| ways.push(way.clone()));
        }
    }

    /// In every second machine something wants more room going back: a shaft before its guard.
    fn another_order(&mut self) {
        if self.rng.percent(50) {
            return;
        }
        for _ in 0..20 {
            let before = self.machine.clone();
            let (first, then) = (
                self.rng.below(self.machine.parts.len()),
                self.rng.below(self.machine.parts.len()),
            );
            let room = self.machine.parts[then].id.clone();
            let part = &mut self.machine.parts[first];
            let mut back = part.ways.clone().unwrap_or_default();
            if first == then || back.iter().any(|way| way.clear.contains(&room)) {
                continue;
            }
            back.iter_mut().for_each(|way| way.clear.push(room.clone()));
            part.back = Back::Ways(back);
            if is_sound(&self.machine) {
                return;
            }
            self.machine = before;
        }
    }

    fn mix(&mut self) {
        shuffle(&mut self.rng, &mut self.machine.parts);
        shuffle(&mut self.rng, &mut self.machine.ties);
    }
}
