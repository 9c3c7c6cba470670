//! `[between]` and `[tool_change]`: pairs, and detours that are cheaper (R15).

use std::collections::{HashMap, HashSet};

use super::names::Names;
use super::{Problems, things};
use crate::at::{At, Ref};
use crate::minutes::Minutes;
use crate::model::{JobSpec, Machine, Pair, PairTable};
use crate::problem::Problem;

/// The most names in the pairs of one table; the detours of more are not looked for.
const NAMES_MAX: usize = 300;

/// Looks through both tables.
pub(crate) fn look(
    machine: &Machine,
    job: Option<&JobSpec>,
    names: &Names<'_>,
    out: &mut Problems,
) {
    let spot_pairs = pairs(&machine.between, "[between]", out, &mut |name, at| {
        (!names.has_spot(name)).then(|| names.unknown_spot(&Ref::new(name.to_owned(), at)))
    });
    let held = job.and_then(|job| job.holding.as_ref()).map(Ref::name);
    let tool_pairs = pairs(&machine.tool_change, "[tool_change]", out, &mut |name, at| {
        let known = names.has_tool(name) || held == Some(name);
        (!known).then(|| names.unknown_tool(name, at))
    });
    let default = machine.between.default.as_ref().map_or(Minutes::whole(1), |d| d.value);
    let reach: HashMap<&str, Minutes> =
        machine.spots.iter().filter_map(|s| Some((s.id.name(), s.reach.as_ref()?.value))).collect();
    let reach = |name: &str| reach.get(name).copied().unwrap_or(default);
    let used: HashSet<&str> =
        things::all_ways(machine).filter_map(|w| w.from.as_ref()).map(Ref::name).collect();
    // The bench counts for detours only where some way uses it (R5), declared or not.
    let mut spots: Vec<&str> =
        machine.spots.iter().map(|s| s.id.name()).filter(|s| *s != "bench").collect();
    if used.contains("bench") {
        spots.push("bench");
    }
    detours(&spot_pairs, &spots, &reach, out);
    let default = machine.tool_change.default.as_ref().map_or(Minutes(500), |d| d.value);
    detours(&tool_pairs, &things::tools(machine), &|_: &str| default, out);
}

/// The pairs of a table that can be used; says what is wrong with the others.
fn pairs<'a>(
    table: &'a PairTable,
    title: &str,
    out: &mut Problems,
    unknown: &mut dyn FnMut(&str, At) -> Option<Problem>,
) -> Vec<&'a Pair> {
    let mut first: HashMap<(&str, &str), At> = HashMap::new();
    let mut usable = Vec::new();
    for pair in &table.pairs {
        let unknown: Vec<Problem> =
            [&pair.a, &pair.b].iter().filter_map(|name| unknown(name, pair.at)).collect();
        if pair.a == pair.b {
            let message = format!("\"{}\" is paired with itself in {title}.", pair.a);
            let help = "Take the line out: staying costs nothing.";
            out.push(Problem::error(pair.at, "pair-with-itself", message, help));
            continue;
        }
        if !unknown.is_empty() {
            out.extend(unknown);
            continue;
        }
        let key = (pair.a.as_str().min(&pair.b), pair.a.as_str().max(&pair.b));
        if let Some(before) = first.get(&key) {
            let message = format!(
                "\"{} / {}\" is in {title} twice; first at line {}.",
                pair.a, pair.b, before.line
            );
            let help = "Keep one: a pair holds in both directions.";
            out.push(Problem::error(pair.at, "pair-twice", message, help));
            continue;
        }
        first.insert(key, pair.at);
        usable.push(pair);
    }
    usable
}

/// Reports each stated pair that a detour undercuts, with the number to write.
///
/// Without a pair the minutes between two are the larger reach, and no detour is cheaper than
/// that but by pairs: so only names in pairs matter, and of the others the one nearest to all.
fn detours(pairs: &[&Pair], in_use: &[&str], reach: &dyn Fn(&str) -> Minutes, out: &mut Problems) {
    let used: HashSet<&str> = in_use.iter().copied().collect();
    let mut names: Vec<&str> = Vec::new();
    let mut seen = HashSet::new();
    for pair in pairs {
        let both = [pair.a.as_str(), pair.b.as_str()];
        names.extend(both.into_iter().filter(|n| used.contains(n) && seen.insert(*n)));
    }
    let others = in_use.iter().filter(|name| !seen.contains(*name));
    names.extend(others.min_by_key(|name| reach(name)));
    if names.len() > NAMES_MAX {
        return;
    }
    let number: HashMap<&str, usize> = names.iter().enumerate().map(|(i, n)| (*n, i)).collect();
    let count = names.len();
    let mut least: Vec<Vec<Minutes>> = (0..count)
        .map(|a| (0..count).map(|b| reach(names[a]).max(reach(names[b]))).collect())
        .collect();
    let mut via = vec![vec![None; count]; count];
    for pair in pairs {
        if let (Some(&a), Some(&b)) = (number.get(pair.a.as_str()), number.get(pair.b.as_str())) {
            least[a][b] = pair.minutes;
            least[b][a] = pair.minutes;
        }
    }
    for middle in 0..count {
        for a in 0..count {
            for b in 0..count {
                let detour = least[a][middle] + least[middle][b];
                if a != b && a != middle && b != middle && detour < least[a][b] {
                    least[a][b] = detour;
                    via[a][b] = Some(middle);
                }
            }
        }
    }
    for pair in pairs {
        let (Some(&a), Some(&b)) = (number.get(pair.a.as_str()), number.get(pair.b.as_str()))
        else {
            continue;
        };
        if let Some(middle) = via[a][b] {
            let (one, two, minutes) = (&pair.a, &pair.b, least[a][b]);
            let message = format!(
                "From \"{one}\" to \"{two}\" is {}, but by \"{}\" it is only {minutes}.",
                pair.minutes, names[middle]
            );
            let help = format!("Write \"{one} / {two}\" = {minutes}, or raise the others.");
            out.push(Problem::error(pair.at, "detour", message, help));
        }
    }
}
