//! Hidden machines: believable, with names that mean nothing.
//!
//! Things are made from the outside in: what is made later lies deeper and is covered by what was
//! made before, so the plain machine can always be taken apart and put back. The features that
//! make it difficult come afterwards (`features`), each kept only where the machine stays sound.

use lastbolt_machine::model::PairTable;
use lastbolt_machine::{At, Machine, Minutes, Part, Ref, Sited, Spot, Tie, Way};

use crate::rng::Rng;

/// Kinds that are undone by hand.
const BY_HAND: [&str; 8] =
    ["plug", "clip", "push peg", "quick joint", "hook", "plug", "cable tie", "hose"];
/// Kinds that want a tool.
const BY_TOOL: [&str; 9] =
    ["screw", "nut", "screw", "nut", "screw", "earth", "clamp", "union", "cable"];
/// Tools; what they are called means nothing to anybody.
const TOOLS: [&str; 7] =
    ["socket 8", "socket 10", "socket 13", "hex 5", "spanner 17", "pliers", "screwdriver"];

/// What a machine is like, in percent.
#[derive(Clone, Debug)]
pub(super) struct Taste {
    /// A cover comes from another place.
    pub(super) across: usize,
    /// A cover of a part is also in the way of its fixings.
    pub(super) covered: usize,
    /// A fixing is reached from another place than its part.
    pub(super) elsewhere: usize,
    /// A fixing joins two loose parts.
    pub(super) joined: usize,
    /// A fixing is undone by hand.
    pub(super) by_hand: usize,
    /// A fixing holds no part.
    pub(super) lone: usize,
    /// A fixing has a second way.
    pub(super) second: usize,
    /// A fixing is hidden by something.
    pub(super) hidden: usize,
    /// A hidden fixing can be undone by feel.
    pub(super) feel: usize,
}

/// Makes machines.
pub(super) struct Maker {
    pub(super) rng: Rng,
    pub(super) machine: Machine,
    pub(super) spots: Vec<Ref>,
    pub(super) tools: Vec<Ref>,
    pub(super) taste: Taste,
    /// For each part, outermost first, the spot it comes off from.
    pub(super) homes: Vec<usize>,
    numbers: Vec<usize>,
}

/// Makes a hidden machine of 20 to 45 fixings; the same for the same seed.
pub fn hidden_machine(seed: u64) -> Machine {
    let mut rng = Rng::new(seed.wrapping_mul(0x9E37_79B9).wrapping_add(4));
    let taste = Taste {
        across: rng.between(10, 45),
        covered: rng.between(50, 95),
        elsewhere: rng.between(5, 30),
        joined: rng.between(8, 30),
        by_hand: rng.between(30, 40),
        lone: rng.between(5, 22),
        second: rng.between(10, 20),
        hidden: rng.between(15, 40),
        feel: rng.between(25, 60),
    };
    let mut numbers: Vec<usize> = (1..=99).collect();
    shuffle(&mut rng, &mut numbers);
    let mut maker = Maker {
        rng,
        machine: Machine::default(),
        spots: Vec::new(),
        tools: Vec::new(),
        taste,
        homes: Vec::new(),
        numbers,
    };
    maker.surroundings(seed);
    maker.parts();
    maker.ties();
    maker.features();
    maker.mix();
    maker.machine
}

/// Puts a list into a random order.
pub(super) fn shuffle<T>(rng: &mut Rng, list: &mut [T]) {
    for last in (1..list.len()).rev() {
        let other = rng.below(last + 1);
        list.swap(last, other);
    }
}

/// Minutes with their place nowhere.
pub(super) fn sited(thousandths: i64) -> Option<Sited<Minutes>> {
    Some(Sited::new(Minutes(thousandths), At::default()))
}

impl Maker {
    fn surroundings(&mut self, seed: u64) {
        self.machine.machine = Some(Ref::bare(format!("hidden machine {seed}")));
        let fixed = self.rng.between(1, 3);
        self.machine.fixed = (1..=fixed).map(|n| Ref::bare(format!("f{n}"))).collect();
        let count = self.rng.between(2, 4);
        let mut letters: Vec<char> = "ABCDEFGH".chars().collect();
        shuffle(&mut self.rng, &mut letters);
        for letter in &letters[..count] {
            let id = Ref::bare(format!("place {letter}"));
            let reach = if self.rng.percent(60) {
                sited(500 * self.rng.between(1, 6) as i64)
            } else {
                None
            };
            self.machine.spots.push(Spot { id: id.clone(), reach, ..Spot::default() });
            self.spots.push(id);
        }
        if self.rng.percent(25) {
            let spot = self.rng.below(count);
            let setup = sited(1000 * self.rng.between(2, 8) as i64);
            let pack = sited(500 * self.rng.between(1, 6) as i64);
            self.machine.spots[spot].setup = setup;
            self.machine.spots[spot].pack = pack;
        }
        let tools = self.rng.between(3, TOOLS.len());
        self.tools = TOOLS[..tools].iter().map(|tool| Ref::bare(*tool)).collect();
        if self.rng.percent(40) {
            let default = sited(250 * self.rng.between(1, 4) as i64);
            self.machine.tool_change = PairTable { default, ..PairTable::default() };
        }
    }

    fn parts(&mut self) {
        let count = self.rng.between(6, 16);
        for _ in 0..count {
            self.part();
        }
    }

    fn part(&mut self) {
        let home = match self.homes.last() {
            Some(&last) if self.rng.percent(45) => last,
            _ => self.rng.below(self.spots.len()),
        };
        let covers = self.covers(home);
        let by_tool = self.rng.percent(8);
        let from = self.rng.percent(92);
        let way = Way {
            from: from.then(|| self.spots[home].clone()),
            tool: if by_tool { self.tool() } else { None },
            minutes: sited(250 * self.rng.between(1, 10) as i64),
            clear: covers,
            ..Way::default()
        };
        let id = self.name("p");
        self.machine.parts.push(Part { id, ways: Some(vec![way]), ..Part::default() });
        self.homes.push(home);
    }

    /// What lies over the next part: rather of the same place and near.
    fn covers(&mut self, home: usize) -> Vec<Ref> {
        let made = self.machine.parts.len();
        let same: Vec<usize> = (0..made).filter(|&p| self.homes[p] == home).collect();
        let count = match self.rng.below(100) {
            0..20 => 0,
            20..70 => 1,
            70..90 => 2,
            _ => 3,
        };
        let mut covers: Vec<Ref> = Vec::new();
        for _ in 0..count {
            let near = &same[same.len().saturating_sub(3)..];
            let across = self.rng.percent(self.taste.across);
            let found = if across || near.is_empty() {
                (made > 0).then(|| self.rng.below(made))
            } else {
                self.rng.pick(near).copied()
            };
            let cover = found.map(|part| self.machine.parts[part].id.clone());
            covers.extend(cover.filter(|cover| !covers.contains(cover)));
        }
        covers
    }

    fn ties(&mut self) {
        let parts = self.machine.parts.len();
        let wanted = self.rng.between(20, 45);
        for part in 0..parts {
            self.tie(part);
        }
        while self.machine.ties.len() < wanted {
            if self.rng.percent(self.taste.lone) {
                self.lone_tie();
            } else {
                let part = self.rng.below(parts);
                self.tie(part);
            }
        }
    }

    /// Something that holds a part.
    fn tie(&mut self, part: usize) {
        let parts = self.machine.parts.len();
        let mut joins = vec![self.machine.parts[part].id.clone()];
        let mut outer = part;
        if self.rng.percent(self.taste.joined) {
            let other = self.rng.below(parts);
            if other != part {
                joins.push(self.machine.parts[other].id.clone());
                outer = outer.min(other);
            }
        }
        if joins.len() == 1 || self.rng.percent(10) {
            joins.extend(self.rng.pick(&self.machine.fixed).cloned());
        }
        let spot = if self.rng.percent(self.taste.elsewhere) {
            self.rng.below(self.spots.len())
        } else {
            self.homes[part]
        };
        let covers = self.machine.parts[outer].ways.iter().flatten().flat_map(|way| &way.clear);
        let covers: Vec<Ref> = covers.cloned().collect();
        let covered = self.taste.covered;
        let mut clear: Vec<Ref> =
            covers.into_iter().filter(|_| self.rng.percent(covered)).collect();
        if self.rng.percent(15) {
            let also = self.rng.below(outer.max(1));
            let also = self.machine.parts[also].id.clone();
            if outer > 0 && !clear.contains(&also) {
                clear.push(also);
            }
        }
        self.push_tie(joins, spot, clear);
    }

    /// A plug, an earth, a hose that holds no part, but may be in the way of one.
    fn lone_tie(&mut self) {
        let parts = self.machine.parts.len();
        let deep = self.rng.below(parts);
        let mut joins = self.machine.fixed.clone();
        joins.truncate(self.rng.between(1, 2));
        let spot = self.rng.below(self.spots.len());
        let mut clear = Vec::new();
        if self.rng.percent(70) {
            clear.push(self.machine.parts[deep].id.clone());
        }
        self.push_tie(joins, spot, clear);
        if self.rng.percent(50) && deep + 1 < parts {
            let asks = self.rng.between(deep + 1, parts - 1);
            let tie = self.machine.ties.last().map(|tie| tie.id.clone());
            let ways = self.machine.parts[asks].ways.iter_mut().flatten();
            ways.for_each(|way| way.clear.extend(tie.clone()));
        }
    }

    fn push_tie(&mut self, joins: Vec<Ref>, spot: usize, clear: Vec<Ref>) {
        let by_hand = self.rng.percent(self.taste.by_hand);
        let kind = self.kind(by_hand);
        let count = self.count(kind);
        let minutes = self.tie_minutes(count);
        let way = Way {
            from: Some(self.spots[spot].clone()),
            tool: if by_hand { None } else { self.tool() },
            minutes,
            clear,
            ..Way::default()
        };
        let id = self.name("t");
        self.machine.ties.push(Tie {
            id,
            joins,
            kind: Some(Ref::bare(kind)),
            count: (count > 1).then(|| Sited::new(count, At::default())),
            ways: Some(vec![way]),
            ..Tie::default()
        });
    }

    fn kind(&mut self, by_hand: bool) -> &'static str {
        // Some nuts have wings, some plugs want pliers.
        let by_hand = by_hand != self.rng.percent(8);
        let kinds: &[&'static str] = if by_hand { &BY_HAND } else { &BY_TOOL };
        self.rng.pick(kinds).copied().unwrap_or("fixing")
    }

    pub(super) fn count(&mut self, kind: &str) -> u32 {
        let most = if matches!(kind, "screw" | "nut" | "clip" | "push peg") { 6 } else { 2 };
        if self.rng.percent(40) { 1 } else { self.rng.between(1, most) as u32 }
    }

    /// Minutes for all pieces of a fixing, in steps of 0.05.
    pub(super) fn tie_minutes(&mut self, count: u32) -> Option<Sited<Minutes>> {
        let each = self.rng.between(4, 24) as i64 * 50;
        sited(each * i64::from(count))
    }

    pub(super) fn tool(&mut self) -> Option<Ref> {
        self.rng.pick(&self.tools).cloned()
    }

    /// A name whose number says nothing about depth or order.
    pub(super) fn name(&mut self, letter: &str) -> Ref {
        let number = self.numbers.pop().unwrap_or_else(|| self.rng.below(1_000_000) + 100);
        Ref::bare(format!("{letter}{number}"))
    }

    /// Neither does the order of the file.
    fn mix(&mut self) {
        shuffle(&mut self.rng, &mut self.machine.parts);
        shuffle(&mut self.rng, &mut self.machine.ties);
        let ties = &mut self.machine.ties;
        for tie in ties {
            shuffle(&mut self.rng, &mut tie.joins);
        }
    }
}
