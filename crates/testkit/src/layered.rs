//! Believable larger machines: corners with a home spot, covers over covers, fixings by hand and
//! by tool, riders, hidden plugs, a few preps.

use lastbolt_machine::model::{Back, Pair, PairTable};
use lastbolt_machine::{At, JobSpec, Machine, Minutes, Part, Prep, Ref, Sited, Spot, Tie, Way};

use crate::rng::Rng;

const SPOTS: [&str; 4] = ["above", "below", "left side", "right side"];
const TOOLS: [&str; 6] =
    ["socket 8", "socket 10", "socket 13", "hex 5", "long-nose pliers", "screwdriver"];

/// Makes a machine whose job takes about so many actions in each direction; the same for the same
/// seed.
pub fn layered_machine(seed: u64, actions: usize) -> (Machine, JobSpec) {
    let mut maker = Maker { rng: Rng::new(seed), machine: Machine::default(), layers: Vec::new() };
    maker.surroundings(seed);
    maker.preps();
    let goal = actions.clamp(10, 2000);
    let corners = maker.rng.between(2, SPOTS.len());
    while maker.actions() + 4 < goal {
        let corner = maker.rng.below(corners);
        maker.layer(corner, goal);
    }
    let job = maker.job();
    (maker.machine, job)
}

struct Maker {
    rng: Rng,
    machine: Machine,
    /// The innermost parts of each corner so far.
    layers: Vec<(usize, Vec<Ref>)>,
}

impl Maker {
    fn actions(&self) -> usize {
        self.machine.parts.len() + self.machine.ties.len() + self.machine.preps.len()
    }

    fn surroundings(&mut self, seed: u64) {
        self.machine.machine = Some(Ref::bare(format!("layered machine {seed}")));
        self.machine.fixed = ["block", "body", "loom"].map(Ref::bare).to_vec();
        for name in SPOTS {
            self.machine.spots.push(Spot { id: Ref::bare(name), ..Spot::default() });
        }
        self.machine.spots[1].reach = sited(3000);
        self.machine.spots[1].setup = sited(8000);
        self.machine.spots[1].pack = sited(3000);
        let pair = Pair {
            a: SPOTS[2].to_owned(),
            b: SPOTS[3].to_owned(),
            minutes: Minutes(500),
            at: At::default(),
        };
        self.machine.between = PairTable { pairs: vec![pair], ..PairTable::default() };
    }

    fn preps(&mut self) {
        let by_hand = |spot: &str, minutes| Way {
            from: Some(Ref::bare(spot)),
            minutes: sited(minutes),
            ..Way::default()
        };
        self.machine.preps.push(Prep {
            id: Ref::bare("battery isolated"),
            ways: Some(vec![by_hand("above", 1000)]),
            back: Back::Ways(vec![by_hand("above", 2000)]),
            ..Prep::default()
        });
        self.machine.preps.push(Prep {
            id: Ref::bare("coolant drained"),
            ways: Some(vec![by_hand("below", 12_000)]),
            back: Back::Ways(vec![by_hand("above", 15_000)]),
            ..Prep::default()
        });
    }

    /// One more layer in a corner: one to three parts, each with its fixings.
    fn layer(&mut self, corner: usize, goal: usize) {
        let found = self.layers.iter().position(|(c, _)| *c == corner);
        let covers = found.map(|at| self.layers[at].1.clone()).unwrap_or_default();
        let count = self.rng.between(1, 3);
        let mut layer: Vec<Ref> = Vec::new();
        for number in 0..count {
            if self.actions() + 3 > goal && number > 0 {
                break;
            }
            // Every cover is in the way of something in the next layer.
            let over: Vec<Ref> = if number == 0 { covers.clone() } else { self.one_of(&covers) };
            layer.push(self.part(corner, &over));
        }
        match found {
            Some(at) => self.layers[at].1 = layer,
            None => self.layers.push((corner, layer)),
        }
    }

    fn one_of(&mut self, covers: &[Ref]) -> Vec<Ref> {
        self.rng.pick(covers).cloned().into_iter().collect()
    }

    fn part(&mut self, corner: usize, over: &[Ref]) -> Ref {
        let id = Ref::bare(format!("part {}", self.machine.parts.len()));
        let way = Way {
            from: Some(Ref::bare(SPOTS[corner])),
            clear: over.to_vec(),
            minutes: self.halves(1, 4),
            ..Way::default()
        };
        self.machine.parts.push(Part { id: id.clone(), ways: Some(vec![way]), ..Part::default() });
        if self.rng.percent(15) {
            self.rider(&id);
        }
        let fixings = self.rng.between(1, 3);
        for _ in 0..fixings {
            let other = if self.rng.percent(25) { "loom" } else { "block" };
            self.tie(&id, other, corner, over);
        }
        id
    }

    /// Something small that may be left on the part or come off at the bench.
    fn rider(&mut self, carrier: &Ref) {
        let id = Ref::bare(format!("part {}", self.machine.parts.len()));
        let fixing = Ref::bare(format!("fixing {}", self.machine.ties.len()));
        let by_hand = Way { minutes: self.halves(0, 2), ..Way::default() };
        let at_the_bench = Way {
            from: Some(Ref::bare("bench")),
            tool: self.tool(),
            minutes: self.halves(1, 3),
            ..Way::default()
        };
        self.machine.parts.push(Part {
            id: id.clone(),
            rides: Some(carrier.clone()),
            ways: Some(vec![by_hand]),
            ..Part::default()
        });
        self.machine.ties.push(Tie {
            id: fixing,
            joins: vec![id, carrier.clone()],
            ways: Some(vec![at_the_bench]),
            ..Tie::default()
        });
    }

    fn tie(&mut self, part: &Ref, other: &str, corner: usize, over: &[Ref]) {
        let id = Ref::bare(format!("fixing {}", self.machine.ties.len()));
        let by_hand = self.rng.percent(35);
        let way = Way {
            from: Some(Ref::bare(SPOTS[corner])),
            tool: if by_hand { None } else { self.tool() },
            minutes: self.halves(1, 6),
            clear: over.to_vec(),
            ..Way::default()
        };
        let mut ways = vec![way.clone()];
        if self.rng.percent(15) {
            let elsewhere = self.rng.below(SPOTS.len());
            ways.push(Way {
                from: Some(Ref::bare(SPOTS[elsewhere])),
                minutes: self.halves(4, 10),
                clear: Vec::new(),
                ..way.clone()
            });
        }
        let mut tie = Tie {
            id,
            joins: vec![part.clone(), Ref::bare(other)],
            kind: Some(Ref::bare(if by_hand { "clip" } else { "screw" })),
            ways: Some(ways),
            ..Tie::default()
        };
        if self.rng.percent(6) {
            // Going back it wants more room than coming off: something further out in its corner.
            let outer: Vec<Ref> = over.iter().flat_map(|cover| self.covers_of(cover)).collect();
            let clear: Vec<Ref> = way.clear.iter().cloned().chain(self.one_of(&outer)).collect();
            tie.back = Back::Ways(vec![Way { clear, ..way }]);
        }
        if self.rng.percent(20) {
            tie.hidden_by = self.one_of(over);
        }
        if self.rng.percent(5) {
            let prep = self.rng.below(self.machine.preps.len());
            tie.needs.push(self.machine.preps[prep].id.clone());
        }
        self.machine.ties.push(tie);
    }

    fn covers_of(&self, cover: &Ref) -> Vec<Ref> {
        let part = self.machine.parts.iter().find(|part| part.id == *cover);
        let way = part.and_then(|part| part.ways.as_ref()).and_then(|ways| ways.first());
        way.map(|way| way.clear.clone()).unwrap_or_default()
    }

    fn job(&mut self) -> JobSpec {
        // A part in the middle that asks for the innermost layer of every corner.
        let id = Ref::bare("worn part");
        let clear: Vec<Ref> = self.layers.iter().flat_map(|(_, layer)| layer.clone()).collect();
        let way =
            Way { from: Some(Ref::bare("above")), minutes: sited(1000), clear, ..Way::default() };
        let screws = Way { tool: self.tool(), minutes: sited(3000), ..way.clone() };
        self.machine.parts.push(Part { id: id.clone(), ways: Some(vec![way]), ..Part::default() });
        self.machine.ties.push(Tie {
            id: Ref::bare("worn part screws"),
            joins: vec![id.clone(), Ref::bare("block")],
            ways: Some(vec![screws]),
            needs: vec![Ref::bare("battery isolated")],
            ..Tie::default()
        });
        JobSpec { renew: vec![id], at: Some(Ref::bare("above")), ..JobSpec::default() }
    }

    fn halves(&mut self, least: usize, most: usize) -> Option<Sited<Minutes>> {
        sited(500 * self.rng.between(least, most) as i64)
    }

    fn tool(&mut self) -> Option<Ref> {
        self.rng.pick(&TOOLS).map(|tool| Ref::bare(*tool))
    }
}

fn sited(thousandths: i64) -> Option<Sited<Minutes>> {
    Some(Sited::new(Minutes(thousandths), At::default()))
}
