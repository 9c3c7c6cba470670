//! Every feature of the contract really occurs in random machines, and in their best orders: what
//! never occurs is tested by nothing.

mod common;

use std::collections::BTreeMap;

use common::{MACHINES, solved};
use lastbolt_checker::{Action, Step, Wishes, verify};
use lastbolt_machine::model::Back;
use lastbolt_machine::{JobSpec, Machine, Minutes, Part, Ref, Spot, Way};
use lastbolt_testkit::{Size, random_machine};

#[test]
fn every_feature_occurs() {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut solvable: BTreeMap<&str, usize> = BTreeMap::new();
    let solved: Vec<u64> = solved(MACHINES).iter().map(|(seed, ..)| *seed).collect();
    for seed in 0..MACHINES {
        let (machine, job) = random_machine(seed, &Size::default());
        for (feature, there) in features(&machine, &job) {
            *counts.entry(feature).or_default() += usize::from(there);
            *solvable.entry(feature).or_default() +=
                usize::from(there && solved.binary_search(&seed).is_ok());
        }
    }
    for (feature, count) in &counts {
        assert!(*count >= 4, "{feature}: {count} of {MACHINES}");
        assert!(solvable[feature] >= 2, "{feature}: {} solvable", solvable[feature]);
    }
    let impossible = MACHINES as usize - solved.len();
    assert!(impossible > 10, "some machines must be impossible: {impossible}");
}

/// The best orders of these machines use what the machines have: a feature that no best order
/// ever touches would be tested by nothing.
#[test]
fn best_orders_use_the_features() {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (_, machine, job, slow) in solved(MACHINES) {
        let verdict = verify(&machine, &job, &Wishes::default(), &slow.order);
        let account = verdict.account().expect("the best order passes");
        let steps: Vec<&Step> = slow.order.strip.iter().chain(&slow.order.build).collect();
        let any = |is_it: &dyn Fn(&Step) -> bool| steps.iter().any(|step| is_it(step));
        let is_named = |list: &[Ref], id: &str| list.iter().any(|name| name.name() == id);
        let rides = |part: &Part, id: &str| {
            part.rides.as_ref().is_some_and(|carrier| carrier.name() == id)
                && !account.off.contains(part.id.name())
        };
        let hangs = |part: &Part| {
            account.off.contains(part.id.name())
                && part.stays.iter().any(|tie| !account.off.contains(tie.name()))
        };
        let targets: Vec<_> = job.renew.iter().chain(&job.off).chain(&job.bring).collect();
        let asked = |id: &String| targets.iter().any(|name| name.name() == id);
        for (feature, there) in [
            ("start", any(&|s| s.action == Action::Start)),
            ("a prep ends", any(&|s| s.action == Action::End)),
            ("from the bench", any(&|s| s.from.as_deref() == Some("bench"))),
            ("a change", account.changes.iter().any(|change| *change > Minutes::ZERO)),
            ("a load moves", machine.parts.iter().any(|p| any(&|s| rides(p, &s.id)))),
            ("put aside", machine.parts.iter().any(hangs)),
            ("more off than asked for", account.off.iter().any(|id| !asked(id))),
            ("made blind", !account.made_blind.is_empty()),
            ("last look", !account.last_looks.is_empty()),
            ("waits", account.elapsed > account.minutes),
            ("left off", account.off.iter().any(|id| is_named(&job.leave_off, id))),
            ("several best sets", slow.off_sets.len() > 1),
        ] {
            *counts.entry(feature).or_default() += usize::from(there);
        }
    }
    for (feature, count) in &counts {
        assert!(*count >= 4, "{feature}: {count} of {MACHINES}");
    }
}

fn features(machine: &Machine, job: &JobSpec) -> Vec<(&'static str, bool)> {
    let mut all = of_things(machine);
    all.extend(of_ways(machine));
    all.extend(of_the_job(machine, job));
    all
}

fn of_things(machine: &Machine) -> Vec<(&'static str, bool)> {
    let (parts, ties) = (&machine.parts, &machine.ties);
    let rides_on_a_rider = |part: &Part| {
        let carrier = parts.iter().find(|p| Some(&p.id) == part.rides.as_ref());
        carrier.is_some_and(|carrier| carrier.rides.is_some())
    };
    let fixed = |end| machine.fixed.contains(end);
    vec![
        ("rides", parts.iter().any(|p| p.rides.is_some())),
        ("rider of a rider", parts.iter().any(rides_on_a_rider)),
        ("only with its carrier", parts.iter().any(|p| p.ways.as_deref() == Some(&[]))),
        ("no ways written", parts.iter().any(|p| p.ways.is_none())),
        ("stays", parts.iter().any(|p| !p.stays.is_empty())),
        ("part needs", parts.iter().any(|p| !p.needs.is_empty())),
        ("part back", parts.iter().any(|p| matches!(p.back, Back::Ways(_)))),
        ("tie back", ties.iter().any(|t| matches!(t.back, Back::Ways(_)))),
        ("tie needs", ties.iter().any(|t| !t.needs.is_empty())),
        ("hidden by", ties.iter().any(|t| !t.hidden_by.is_empty())),
        ("one end", ties.iter().any(|t| t.joins.len() == 1 && !fixed(&t.joins[0]))),
        ("only fixed ends", ties.iter().any(|t| t.joins.iter().all(fixed))),
        ("sets", ties.iter().any(|t| t.sets.is_some())),
        ("count", ties.iter().any(|t| t.count.is_some())),
        ("together", !machine.together.is_empty()),
        ("by itself", machine.preps.iter().any(|p| matches!(p.back, Back::ByItself(_)))),
        ("prep ends", machine.preps.iter().any(|p| matches!(p.back, Back::Ways(_)))),
        ("wait", machine.preps.iter().any(|p| p.wait.is_some())),
        ("prep needs", machine.preps.iter().any(|p| !p.needs.is_empty())),
        ("spot needs", machine.spots.iter().any(|s| !s.needs.is_empty())),
        ("setup", machine.spots.iter().any(|s| s.setup.is_some())),
        ("pack", machine.spots.iter().any(|s| s.pack.is_some())),
        ("reach", machine.spots.iter().any(|s| s.reach.is_some())),
        ("spot pair", !machine.between.pairs.is_empty()),
        ("spot default", machine.between.default.is_some()),
        ("tool pair", !machine.tool_change.pairs.is_empty()),
        ("tool default", machine.tool_change.default.is_some()),
        ("bench with reach", machine.spots.iter().any(|s| s.id.name() == "bench")),
        ("cheaper detour", has_cheaper_detour(machine)),
    ]
}

fn of_ways(machine: &Machine) -> Vec<(&'static str, bool)> {
    let ways = all_ways(machine);
    let any = |is_it: &dyn Fn(&&Way) -> bool| ways.iter().any(is_it);
    let alternatives = machine.ties.iter().filter_map(|tie| tie.ways.as_ref());
    vec![
        ("from the bench", any(&|w| w.from.as_ref().is_some_and(|s| s.name() == "bench"))),
        ("from anywhere", any(&|w| w.from.is_none())),
        ("by hand", any(&|w| w.tool.is_none())),
        ("with a tool", any(&|w| w.tool.is_some())),
        ("minutes left out", any(&|w| w.minutes.is_none())),
        ("clear", any(&|w| !w.clear.is_empty())),
        ("way needs", any(&|w| !w.needs.is_empty())),
        ("by feel", any(&|w| w.feel)),
        ("alternatives", alternatives.into_iter().any(|ways| ways.len() > 1)),
    ]
}

fn of_the_job(machine: &Machine, job: &JobSpec) -> Vec<(&'static str, bool)> {
    let is_part = |name: &Ref| machine.parts.iter().any(|p| p.id == *name);
    vec![
        ("renew a part", job.renew.iter().any(is_part)),
        ("renew a tie", job.renew.iter().any(|name| !is_part(name))),
        ("off a part", job.off.iter().any(is_part)),
        ("off a tie", job.off.iter().any(|name| !is_part(name))),
        ("do", !job.bring.is_empty()),
        ("comes fitted", !job.comes_fitted.is_empty()),
        ("already a part", job.already.iter().any(is_part)),
        ("already a tie", job.already.iter().any(|name| !is_part(name))),
        ("leave off", !job.leave_off.is_empty()),
        ("at", job.at.is_some()),
        ("holding", job.holding.is_some()),
        ("without tools", !job.without_tools.is_empty()),
        ("not from", !job.not_from.is_empty()),
        ("leave alone", !job.leave_alone.is_empty()),
    ]
}

fn all_ways(machine: &Machine) -> Vec<&Way> {
    let parts = machine.parts.iter().map(|part| (&part.ways, &part.back));
    let ties = machine.ties.iter().map(|tie| (&tie.ways, &tie.back));
    let preps = machine.preps.iter().map(|prep| (&prep.ways, &prep.back));
    let mut all = Vec::new();
    for (ways, back) in parts.chain(ties).chain(preps) {
        all.extend(ways.iter().flatten());
        if let Back::Ways(back) = back {
            all.extend(back);
        }
    }
    all
}

/// Whether some change of spot that is not stated is dearer than a detour over a third spot.
fn has_cheaper_detour(machine: &Machine) -> bool {
    let minutes = |a: usize, b: usize| {
        let (a, b) = (&machine.spots[a], &machine.spots[b]);
        let is_it = |x: &str, y: &str| x == a.id.name() && y == b.id.name();
        let pair = machine.between.pairs.iter().find(|p| is_it(&p.a, &p.b) || is_it(&p.b, &p.a));
        let default = machine.between.default.as_ref().map_or(Minutes(1000), |d| d.value);
        let reach = |spot: &Spot| spot.reach.as_ref().map_or(default, |reach| reach.value);
        pair.map_or(reach(a).max(reach(b)), |pair| pair.minutes)
    };
    let spots = 0..machine.spots.len();
    spots.clone().any(|a| {
        spots.clone().any(|b| {
            let detour =
                |via| via != a && via != b && minutes(a, via) + minutes(via, b) < minutes(a, b);
            a != b && spots.clone().any(detour)
        })
    })
}
