//! The fixpoint against a slow search through all sets of open things, on small random machines.

use std::collections::HashSet;

use super::reach::Reach;
use crate::at::Ref;
use crate::compile::{Extra, compile};
use crate::kernel::{Kernel, Kind, ThingNo};
use crate::minutes::Minutes;
use crate::model::{Back, JobSpec, Machine, Part, Prep, Spot, Tie, Way};
use crate::set::Set;

/// A small generator with a fixed seed (xorshift), so that a failure can be repeated.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }

    fn some(&mut self, names: &[&str], not: &str, most: usize) -> Vec<Ref> {
        let count = self.below(most + 1);
        let picked: Vec<&str> = (0..count).map(|_| names[self.below(names.len())]).collect();
        picked.into_iter().filter(|name| *name != not).map(Ref::bare).collect()
    }
}

const PARTS: &[&str] = &["p1", "p2", "p3", "p4"];
const TIES: &[&str] = &["t1", "t2", "t3"];
const THINGS: &[&str] = &["p1", "p2", "p3", "p4", "t1", "t2", "t3"];

fn machine(dice: &mut Dice, riding: bool) -> Machine {
    let mut machine = Machine { fixed: vec![Ref::bare("block")], ..Machine::default() };
    machine.spots = vec![Spot { id: Ref::bare("above"), ..Spot::default() }];
    for id in ["n1", "n2"] {
        let ways = Some(vec![way(dice, id, false)]);
        let back = Back::ByItself(Default::default());
        machine.preps.push(Prep { id: Ref::bare(id), ways, back, ..Prep::default() });
    }
    for (index, id) in PARTS.iter().enumerate() {
        // Only on earlier parts, so that nothing rides in a circle.
        let rides = (riding && index > 0 && dice.below(2) == 0)
            .then(|| Ref::bare(PARTS[dice.below(index)]));
        let ways = (0..1 + dice.below(2)).map(|_| way(dice, id, riding)).collect();
        let needs = if dice.below(4) == 0 { dice.some(&["n1", "n2"], "", 1) } else { Vec::new() };
        let stays = if riding && dice.below(4) == 0 { dice.some(TIES, "", 1) } else { Vec::new() };
        let id = Ref::bare(*id);
        machine.parts.push(Part { id, rides, stays, needs, ways: Some(ways), ..Part::default() });
    }
    for id in TIES {
        let mut joins = dice.some(PARTS, "", 2);
        // A tie wholly on one part goes away with it, which is riding too.
        let loose = riding && dice.below(2) == 0;
        joins.push(Ref::bare(if loose { PARTS[dice.below(4)] } else { "block" }));
        let ways = (0..1 + dice.below(2)).map(|_| way(dice, id, riding)).collect();
        machine.ties.push(Tie { id: Ref::bare(*id), joins, ways: Some(ways), ..Tie::default() });
    }
    machine
}

fn way(dice: &mut Dice, id: &str, riding: bool) -> Way {
    let from = match dice.below(4) {
        0 if riding => Some(Ref::bare("bench")),
        1 => Some(Ref::bare("above")),
        _ => None,
    };
    let minutes = Some(crate::Sited::new(Minutes::whole(1), Default::default()));
    let clear = dice.some(THINGS, id, 2);
    let needs = if dice.below(5) == 0 { dice.some(&["n1", "n2"], id, 1) } else { Vec::new() };
    Way { from, minutes, clear, needs, ..Way::default() }
}

/// Everything that can be opened, by trying every order.
fn slowly(kernel: &Kernel) -> Set {
    let mut seen = HashSet::from([kernel.open_at_start.clone()]);
    let mut todo = vec![kernel.open_at_start.clone()];
    let mut all = kernel.open_at_start.clone();
    while let Some(open) = todo.pop() {
        for thing in kernel.all() {
            let ways = &kernel.thing(thing).ways;
            if ways.iter().any(|way| kernel.open_is_allowed(thing, way, &open)) {
                all.add(thing);
                let next = open.with(thing);
                if seen.insert(next.clone()) {
                    todo.push(next);
                }
            }
        }
    }
    all
}

/// Deliberately wrong: forgets what holds a part.
fn forgets_what_holds(kernel: &Kernel) -> Set {
    let mut kernel = kernel.clone();
    for thing in &mut kernel.things {
        thing.ties.clear();
    }
    let reach = Reach::new(&kernel);
    kernel.all().filter(|thing| reach.can_open(*thing)).collect()
}

fn kernels(count: usize, riding: bool) -> impl Iterator<Item = Kernel> {
    let mut dice = Dice(0x5eed_0001);
    (0..count).map(move |_| {
        let machine = machine(&mut dice, riding);
        compile(&machine, &JobSpec::default(), &Extra::default()).expect("names are known")
    })
}

fn fast(kernel: &Kernel) -> Set {
    let reach = Reach::new(kernel);
    kernel.all().filter(|thing| reach.can_open(*thing)).collect()
}

fn names(kernel: &Kernel, set: &Set) -> Vec<String> {
    set.iter().map(|thing| kernel.name(thing).to_owned()).collect()
}

/// Without riding and putting aside the fixpoint is exact; a twin that forgets what holds a
/// part is found out.
#[test]
fn exact_without_riding() {
    let mut twin_is_wrong = 0;
    let mut stuck = 0;
    for kernel in kernels(600, false) {
        let expect = names(&kernel, &slowly(&kernel));
        assert_eq!(names(&kernel, &fast(&kernel)), expect);
        twin_is_wrong += usize::from(names(&kernel, &forgets_what_holds(&kernel)) != expect);
        stuck += usize::from(expect.len() < kernel.things.len());
    }
    assert!(twin_is_wrong > 20, "{twin_is_wrong}");
    assert!(stuck > 100, "{stuck}");
}

/// With riding what is said to be stuck is stuck.
#[test]
fn certain_with_riding() {
    let mut stuck = 0;
    for kernel in kernels(600, true) {
        let open = slowly(&kernel);
        assert!(open.is_within(&fast(&kernel)), "{kernel:#?}");
        stuck += usize::from(fast(&kernel).len() < kernel.things.len());
    }
    assert!(stuck > 50, "{stuck}");
}

/// A reason speaks of stuck things only, follows each of them, and says nothing twice.
#[test]
fn reasons_are_whole() {
    let mut many = 0;
    for kernel in kernels(600, true) {
        let reach = Reach::new(&kernel);
        for thing in kernel.all() {
            let because = reach.because(thing);
            assert_eq!(because.is_empty(), reach.can_open(thing));
            let about: HashSet<ThingNo> = because.iter().map(|s| s.thing).collect();
            for statement in &because {
                assert!(!reach.can_open(statement.thing));
                if let Some(next) = statement.waits_for
                    && !reach.can_open(next)
                {
                    assert!(about.contains(&next), "{because:?}");
                }
                let same = because.iter().filter(|other| *other == statement).count();
                let ways = kernel.thing(statement.thing).ways.len();
                assert!(same <= ways.max(1), "{because:?}");
            }
            many += usize::from(because.len() > 2);
            let is_part = kernel.thing(thing).kind == Kind::Part;
            assert!(
                is_part || !because.iter().any(|s| s.thing == thing && s.text.contains("held"))
            );
        }
    }
    assert!(many > 20, "{many}");
}
