//! Circles of riding and of needing, printed as a chain of statements with their lines.

use std::collections::HashMap;

use super::Problems;
use crate::at::{At, Ref};
use crate::model::{JobSpec, Machine, Way};
use crate::problem::Problem;

/// What one name says of others, each with its place.
type Says<'a> = HashMap<&'a str, Vec<(&'a str, At)>>;

/// Reports parts that ride on each other in a circle; says how many circles there are.
pub(crate) fn rides(machine: &Machine, problems: &mut Problems) -> usize {
    let mut says = Says::new();
    for part in &machine.parts {
        let carrier = part.rides.iter().map(|r| (r.name(), r.at));
        says.entry(part.id.name()).or_default().extend(carrier);
    }
    let order = machine.parts.iter().map(|p| p.id.name());
    let circles = circles(order, &says);
    for circle in &circles {
        // Riding on itself is reported where it is written.
        if circle.len() > 1 {
            let message = format!("Parts ride in a circle: {}.", chain(circle, "rides on"));
            let help = "Take one `rides` out.";
            problems.push(Problem::error(circle[0].2, "ride-circle", message, help));
        }
    }
    circles.len()
}

/// Reports preps (and set-ups of spots) that need each other in a circle, whichever way is taken.
pub(crate) fn needs(machine: &Machine, job: Option<&JobSpec>, problems: &mut Problems) {
    let set_ups: Vec<(String, &crate::model::Spot)> = machine
        .spots
        .iter()
        .filter(|s| s.setup.is_some() || s.pack.is_some())
        .map(|s| (format!("{} set up", s.id.name()), s))
        .collect();
    let set_up_of: HashMap<&str, &str> =
        set_ups.iter().map(|(name, spot)| (spot.id.name(), name.as_str())).collect();
    let mut says = Says::new();
    for prep in &machine.preps {
        let own = says.entry(prep.id.name()).or_default();
        own.extend(prep.needs.iter().map(|n| (n.name(), n.at)));
        let ways: Vec<&Way> = prep.ways.iter().flatten().collect();
        own.extend(in_every_way(&ways, machine, &set_up_of));
        // Naming itself is reported where it is written.
        let written = |at: &At| {
            let named = prep.needs.iter().chain(ways.iter().flat_map(|way| &way.needs));
            named.into_iter().any(|need| need.at == *at)
        };
        own.retain(|(name, at)| *name != prep.id.name() || !written(at));
    }
    for (name, spot) in &set_ups {
        let needs = spot.needs.iter().map(|n| (n.name(), n.at));
        says.entry(name.as_str()).or_default().extend(needs);
    }
    let order = machine.preps.iter().map(|p| p.id.name());
    let order = order.chain(set_ups.iter().map(|(name, _)| name.as_str()));
    for circle in circles(order, &says) {
        let what = if circle.len() > 1 { "Conditions need each other" } else { "One needs itself" };
        let message = format!("{what}: {}.", chain(&circle, "needs"));
        let help = "Take one of these `needs` out.";
        // What is in force already may need itself: nobody has to bring it about.
        let already =
            |name: &str| job.is_some_and(|job| job.already.iter().any(|open| open.name() == name));
        problems.push(if circle.iter().any(|(thing, ..)| already(thing)) {
            Problem::note(circle[0].2, "need-circle", message, "")
        } else {
            Problem::error(circle[0].2, "need-circle", message, help)
        });
    }
}

/// What every one of these ways needs: named by the way, or by its spot.
fn in_every_way<'a>(
    ways: &[&'a Way],
    machine: &'a Machine,
    set_up_of: &HashMap<&str, &'a str>,
) -> Vec<(&'a str, At)> {
    let of = |way: &'a Way| -> Vec<(&'a str, At)> {
        let own = way.needs.iter().map(|n: &Ref| (n.name(), n.at));
        let from = way.from.as_ref();
        let spot = from.and_then(|f| machine.spots.iter().find(|s| s.id.name() == f.name()));
        let of_spot = spot.into_iter().flat_map(|s| s.needs.iter().map(|n| (n.name(), n.at)));
        let set_up = from.and_then(|f| Some((*set_up_of.get(f.name())?, f.at)));
        own.chain(of_spot).chain(set_up).collect()
    };
    let mut ways = ways.iter().map(|way| of(way));
    let first = ways.next().unwrap_or_default();
    ways.fold(first, |all, other| {
        all.into_iter().filter(|(name, _)| other.iter().any(|(o, _)| o == name)).collect()
    })
}

/// Every circle once, each as (who, of whom, where).
fn circles<'a>(
    order: impl Iterator<Item = &'a str>,
    says: &Says<'a>,
) -> Vec<Vec<(&'a str, &'a str, At)>> {
    let mut done: HashMap<&str, bool> = HashMap::new();
    let mut found = Vec::new();
    for start in order {
        if done.contains_key(start) {
            continue;
        }
        // A walk in depth with its own stack: (name, next thing it says).
        let mut path: Vec<(&str, usize)> = vec![(start, 0)];
        done.insert(start, false);
        while let Some((name, next)) = path.last().copied() {
            let said = says.get(name).and_then(|all| all.get(next));
            let Some(&(other, _)) = said else {
                done.insert(name, true);
                path.pop();
                continue;
            };
            if let Some(top) = path.last_mut() {
                top.1 += 1;
            }
            match done.get(other) {
                None if says.contains_key(other) => {
                    done.insert(other, false);
                    path.push((other, 0));
                }
                Some(false) => {
                    let from = path.iter().position(|(n, _)| *n == other).unwrap_or(0);
                    let link = |(name, next): &(&'a str, usize)| {
                        let (other, at) = says[name][next - 1];
                        (*name, other, at)
                    };
                    found.push(path[from..].iter().map(link).collect());
                }
                _ => {}
            }
        }
    }
    found
}

/// `"a" rides on "b" (line 3), "b" rides on "a" (line 7)`.
fn chain(circle: &[(&str, &str, At)], verb: &str) -> String {
    const MOST: usize = 12;
    let mut links: Vec<String> = circle
        .iter()
        .take(MOST)
        .map(|(who, whom, at)| format!("\"{who}\" {verb} \"{whom}\" (line {})", at.line))
        .collect();
    if circle.len() > MOST {
        links.push(format!("and {} more", circle.len() - MOST));
    }
    links.join(", ")
}
