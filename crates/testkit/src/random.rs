//! Random small machines with every feature of the contract, legal by R22.
//!
//! Things have a rank, outermost first; what a way asks to be clear lies further out, so that
//! most machines can be taken apart. A few are not: that too must be found out.

use lastbolt_machine::model::{Back, Pair, PairTable};
use lastbolt_machine::{At, JobSpec, Machine, Minutes, Part, Prep, Ref, Sited, Spot, Tie, Way};

use crate::rng::Rng;

mod job;
mod pairs;

/// How large a random machine may become.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    /// Most parts, at least 1.
    pub parts: usize,
    /// Most ties, at least 1.
    pub ties: usize,
    /// Most preps besides set-ups.
    pub preps: usize,
    /// Most spots besides the bench, at least 1.
    pub spots: usize,
    /// Most tools.
    pub tools: usize,
}

impl Default for Size {
    /// Small enough for trying everything.
    fn default() -> Self {
        Self { parts: 4, ties: 5, preps: 2, spots: 3, tools: 2 }
    }
}

/// Makes a random machine and a job on it; the same for the same seed.
pub fn random_machine(seed: u64, size: &Size) -> (Machine, JobSpec) {
    let mut maker = Maker {
        rng: Rng::new(seed),
        machine: Machine {
            machine: Some(Ref::bare(format!("random machine {seed}"))),
            fixed: vec![Ref::bare("block"), Ref::bare("loom")],
            ..Machine::default()
        },
        tools: (0..size.tools).map(|tool| format!("tool {tool}")).collect(),
        ranks: Vec::new(),
    };
    maker.spots(size);
    maker.preps(size);
    let parts = maker.rng.between(size.parts.div_ceil(2).max(1), size.parts.max(1));
    let ties = maker.rng.between(size.ties.div_ceil(2).max(1), size.ties.max(1));
    maker.seats(parts);
    maker.joins(ties);
    maker.part_ways();
    maker.tie_ways();
    maker.stays();
    maker.together();
    maker.pairs();
    let job = maker.job();
    (maker.machine, job)
}

struct Maker {
    rng: Rng,
    machine: Machine,
    tools: Vec<String>,
    /// Names of parts and ties, outermost first.
    ranks: Vec<String>,
}

/// Where the way of a thing may work.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Reach {
    InPlace,
    Bench,
    Either,
}

impl Maker {
    fn half_minutes(&mut self, most_halves: usize) -> Minutes {
        Minutes(500 * self.rng.between(0, most_halves) as i64)
    }

    fn sited(&mut self, most_halves: usize) -> Option<Sited<Minutes>> {
        Some(Sited::new(self.half_minutes(most_halves), At::default()))
    }

    fn spots(&mut self, size: &Size) {
        let count = self.rng.between(1, size.spots.max(1));
        for number in 0..count {
            let mut spot = Spot { id: Ref::bare(format!("spot {number}")), ..Spot::default() };
            if self.rng.percent(20) {
                spot.reach = self.sited(8);
            }
            if self.rng.percent(12) {
                spot.setup = self.sited(6);
            }
            if self.rng.percent(8) {
                spot.pack = self.sited(4);
            }
            self.machine.spots.push(spot);
        }
        if self.rng.percent(10) {
            let mut bench = Spot { id: Ref::bare("bench"), ..Spot::default() };
            bench.reach = self.sited(6);
            self.machine.spots.push(bench);
        }
    }

    fn preps(&mut self, size: &Size) {
        let count = self.rng.between(0, size.preps);
        for number in 0..count {
            let mut prep = Prep { id: Ref::bare(format!("prep {number}")), ..Prep::default() };
            if self.rng.percent(85) {
                let alternatives = 1 + usize::from(self.rng.percent(20));
                let ways = (0..alternatives).map(|_| self.prep_way()).collect();
                prep.ways = Some(ways);
            }
            prep.back = if self.rng.percent(25) {
                Back::ByItself(At::default())
            } else {
                Back::Ways(vec![self.prep_way()])
            };
            if self.rng.percent(25) {
                prep.wait = self.sited(60);
            }
            if number > 0 && self.rng.percent(30) {
                prep.needs.push(Ref::bare("prep 0"));
            }
            self.machine.preps.push(prep);
        }
        for number in 0..self.machine.spots.len() {
            // A spot cannot need what is done from it: that would be a circle.
            let id = self.machine.spots[number].id.clone();
            let all = self.machine.preps.iter().flat_map(ways_of_prep);
            let is_free = all.filter(|way| way.from.as_ref() == Some(&id)).count() == 0;
            if count > 0 && is_free && self.rng.percent(15) {
                let needs = self.some_prep();
                self.machine.spots[number].needs = needs;
            }
        }
    }

    fn prep_way(&mut self) -> Way {
        let mut way = Way { minutes: self.sited(8), ..Way::default() };
        if self.rng.percent(70) {
            // A prep may be done at the bench at any time (R5).
            let bench = self.rng.percent(5);
            way.from = if bench { Some(Ref::bare("bench")) } else { self.any_spot() };
        }
        if self.rng.percent(30) {
            way.tool = self.any_tool();
        }
        way
    }

    /// Parts and who rides on whom: always on one further out, so never in a circle.
    fn seats(&mut self, count: usize) {
        for number in 0..count {
            let mut part = Part { id: Ref::bare(format!("part {number}")), ..Part::default() };
            if number > 0 && self.rng.percent(40) {
                let carrier = self.rng.below(number);
                part.rides = Some(Ref::bare(format!("part {carrier}")));
            }
            self.machine.parts.push(part);
        }
    }

    /// Ties and what they join; each is ranked just before a part that it joins.
    fn joins(&mut self, count: usize) {
        let parts = self.machine.parts.len();
        let mut holders: Vec<Vec<String>> = vec![Vec::new(); parts + 1];
        for number in 0..count {
            let id = format!("tie {number}");
            let part = self.rng.below(parts);
            let holds_a_part = self.rng.percent(80);
            let joins = if holds_a_part { self.joined(part) } else { self.fixed_ends() };
            let rank = if holds_a_part { part } else { self.rng.below(parts + 1) };
            holders[rank].push(id.clone());
            let mut tie = Tie { id: Ref::bare(id), joins, ..Tie::default() };
            if self.rng.percent(40) {
                let kind = ["screw", "plug", "hose", "dowel"][self.rng.below(4)];
                tie.kind = Some(Ref::bare(kind));
            }
            if self.rng.percent(20) {
                tie.count = Some(Sited::new(2, At::default()));
            }
            if self.rng.percent(8) {
                tie.sets = self.sited(60);
            }
            if self.rng.percent(30) {
                let hider = self.rng.below(parts);
                tie.hidden_by.push(self.machine.parts[hider].id.clone());
            }
            self.machine.ties.push(tie);
        }
        for (number, ties) in holders.into_iter().enumerate() {
            self.ranks.extend(ties);
            if number < parts {
                self.ranks.push(format!("part {number}"));
            }
        }
    }

    fn joined(&mut self, part: usize) -> Vec<Ref> {
        let part = self.machine.parts[part].clone();
        let mut joins = vec![part.id.clone()];
        let luck = self.rng.below(100);
        match part.rides {
            Some(carrier) if luck < 60 => joins.push(carrier),
            _ if luck < 70 => joins.push(Ref::bare("block")),
            _ if luck < 80 => joins.push(Ref::bare("loom")),
            _ if luck < 95 => {
                let other = self.rng.below(self.machine.parts.len());
                let other = self.machine.parts[other].id.clone();
                if other != part.id {
                    joins.push(other);
                }
            }
            _ => {}
        }
        joins
    }

    fn fixed_ends(&mut self) -> Vec<Ref> {
        let both = self.rng.percent(60);
        let mut joins = vec![Ref::bare("block")];
        if both {
            joins.push(Ref::bare("loom"));
        }
        joins
    }

    fn part_ways(&mut self) {
        for number in 0..self.machine.parts.len() {
            let id = self.machine.parts[number].id.value.clone();
            let rides = self.machine.parts[number].rides.is_some();
            if rides && self.rng.percent(12) {
                self.machine.parts[number].ways = Some(Vec::new());
                continue;
            }
            if self.rng.percent(88) {
                let reach = if rides { Reach::Either } else { Reach::InPlace };
                self.machine.parts[number].ways = Some(self.ways(&id, reach, 15));
            }
            if self.rng.percent(25) {
                let reach = if rides { Reach::Either } else { Reach::InPlace };
                self.machine.parts[number].back = Back::Ways(self.ways(&id, reach, 15));
            }
            if self.rng.percent(10) {
                self.machine.parts[number].needs = self.some_prep();
            }
        }
    }

    fn tie_ways(&mut self) {
        for number in 0..self.machine.ties.len() {
            let tie = &self.machine.ties[number];
            let id = tie.id.value.clone();
            let fixed = |end: &Ref| self.machine.fixed.contains(end);
            let reach = if tie.joins.iter().any(fixed) { Reach::InPlace } else { Reach::Either };
            if self.rng.percent(90) {
                self.machine.ties[number].ways = Some(self.ways(&id, reach, 60));
            }
            if self.rng.percent(25) {
                self.machine.ties[number].back = Back::Ways(self.ways(&id, reach, 60));
            }
            if self.rng.percent(15) {
                self.machine.ties[number].needs = self.some_prep();
            }
        }
    }

    fn ways(&mut self, id: &str, reach: Reach, tool_percent: usize) -> Vec<Way> {
        let count = match self.rng.below(100) {
            0..60 => 1,
            60..92 => 2,
            _ => 3,
        };
        (0..count).map(|_| self.way(id, reach, tool_percent)).collect()
    }

    fn way(&mut self, id: &str, reach: Reach, tool_percent: usize) -> Way {
        let mut way = Way::default();
        let bench = reach == Reach::Bench || (reach == Reach::Either && self.rng.percent(45));
        if bench {
            way.from = Some(Ref::bare("bench"));
        } else if self.rng.percent(85) {
            way.from = self.any_spot();
        }
        if self.rng.percent(tool_percent) {
            way.tool = self.any_tool();
        }
        if self.rng.percent(93) {
            way.minutes = self.sited(8);
        }
        way.feel = self.rng.percent(5);
        if self.rng.percent(7) {
            way.needs = self.some_prep();
        }
        let outside = self.may_be_in_the_way(id);
        let wanted = [0, 0, 1, 1, 2][self.rng.below(5)];
        for _ in 0..wanted {
            if let Some(thing) = self.rng.pick(&outside).cloned()
                && !way.clear.iter().any(|clear| clear.value == thing)
            {
                way.clear.push(Ref::bare(thing));
            }
        }
        way
    }

    /// What a way of a thing may ask to be clear: what lies further out, rarely anything; never
    /// itself nor what carries it.
    fn may_be_in_the_way(&mut self, id: &str) -> Vec<String> {
        let anything = self.rng.percent(3);
        let carriers = self.carriers(id);
        let further_out = self.ranks.iter().take_while(|other| anything || *other != id);
        let all = further_out.filter(|other| *other != id && !carriers.contains(other));
        all.cloned().collect()
    }

    fn carriers(&self, id: &str) -> Vec<String> {
        let tie = self.machine.ties.iter().find(|tie| tie.id.name() == id);
        let mut carriers: Vec<String> = match tie {
            Some(tie) => tie.joins.iter().map(|end| end.value.clone()).collect(),
            None => vec![id.to_owned()],
        };
        let mut looked_at = 0;
        while looked_at < carriers.len() {
            let part = self.machine.parts.iter().find(|p| p.id.value == carriers[looked_at]);
            if let Some(carrier) = part.and_then(|part| part.rides.as_ref()) {
                carriers.push(carrier.value.clone());
            }
            looked_at += 1;
        }
        carriers
    }

    /// Parts that may be put aside on one of the ties that join them to something else.
    fn stays(&mut self) {
        for number in 0..self.machine.parts.len() {
            let id = self.machine.parts[number].id.clone();
            // A tie of the part, or of what rides on it.
            let of_the_load = |end: &Ref| self.carriers(end.name()).contains(&id.value);
            let joins_it = |tie: &&Tie| {
                tie.joins.iter().any(of_the_load) && !tie.joins.iter().all(of_the_load)
            };
            let ties: Vec<Ref> =
                self.machine.ties.iter().filter(joins_it).map(|tie| tie.id.clone()).collect();
            if self.rng.percent(22)
                && let Some(tie) = self.rng.pick(&ties).cloned()
            {
                self.machine.parts[number].stays.push(tie);
            }
        }
    }

    fn together(&mut self) {
        let ties = self.machine.ties.len();
        if ties < 2 || !self.rng.percent(25) {
            return;
        }
        let first = self.rng.below(ties);
        let second = (first + 1 + self.rng.below(ties - 1)) % ties;
        let group = [first, second].iter().map(|&tie| self.machine.ties[tie].id.clone()).collect();
        self.machine.together.push(Sited::new(group, At::default()));
    }

    fn some_prep(&mut self) -> Vec<Ref> {
        let count = self.machine.preps.len();
        if count == 0 {
            return Vec::new();
        }
        let prep = self.rng.below(count);
        vec![self.machine.preps[prep].id.clone()]
    }

    fn any_spot(&mut self) -> Option<Ref> {
        let in_place: Vec<Ref> = self.machine.spots.iter().map(|spot| spot.id.clone()).collect();
        let in_place: Vec<Ref> = in_place.into_iter().filter(|s| s.name() != "bench").collect();
        self.rng.pick(&in_place).cloned()
    }

    fn any_tool(&mut self) -> Option<Ref> {
        self.rng.pick(&self.tools).map(Ref::bare)
    }
}

fn ways_of_prep(prep: &Prep) -> impl Iterator<Item = &Way> {
    let back: &[Way] = if let Back::Ways(back) = &prep.back { back } else { &[] };
    prep.ways.iter().flatten().chain(back)
}
