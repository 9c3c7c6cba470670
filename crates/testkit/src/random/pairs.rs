//! Minutes between spots and tools such that no detour is cheaper than a stated pair (R15).

use super::*;

impl Maker {
    pub(super) fn pairs(&mut self) {
        let mut spots: Vec<String> =
            self.machine.spots.iter().map(|spot| spot.id.value.clone()).collect();
        let bench_is_used = uses_the_bench(&self.machine);
        spots.retain(|spot| spot != "bench");
        if bench_is_used {
            spots.push("bench".to_owned());
        } else {
            self.machine.spots.retain(|spot| spot.id.name() != "bench");
        }
        let mut between = self.table(&spots, 8);
        let reach: Vec<Minutes> =
            spots.iter().map(|spot| reach(&self.machine, spot, &between)).collect();
        lower_to_detours(&mut between, &spots, |a, b| reach[a].max(reach[b]));
        self.machine.between = between;
        let used = tools_in_use(&self.machine);
        let tools: Vec<String> =
            self.tools.iter().filter(|tool| used.contains(tool)).cloned().collect();
        let mut change = self.table(&tools, 4);
        let default = change.default.as_ref().map_or(Minutes(500), |default| default.value);
        lower_to_detours(&mut change, &tools, |_, _| default);
        self.machine.tool_change = change;
    }

    fn table(&mut self, names: &[String], most_halves: usize) -> PairTable {
        let mut table = PairTable::default();
        if self.rng.percent(40) {
            table.default = self.sited(4);
        }
        for (number, a) in names.iter().enumerate() {
            for b in &names[number + 1..] {
                if self.rng.percent(40) {
                    let minutes = self.half_minutes(most_halves);
                    let (a, b) = (a.clone(), b.clone());
                    table.pairs.push(Pair { a, b, minutes, at: At::default() });
                }
            }
        }
        table
    }
}

fn reach(machine: &Machine, name: &str, between: &PairTable) -> Minutes {
    let default = between.default.as_ref().map_or(Minutes::whole(1), |default| default.value);
    let spot = machine.spots.iter().find(|spot| spot.id.name() == name);
    spot.and_then(|spot| spot.reach.as_ref()).map_or(default, |reach| reach.value)
}

/// Writes into each stated pair what the cheapest detour costs, until no detour is cheaper.
/// Pairs that are not stated may keep a cheaper detour: that is legal.
fn lower_to_detours(
    table: &mut PairTable,
    names: &[String],
    unstated: impl Fn(usize, usize) -> Minutes,
) {
    let count = names.len();
    let mut least = vec![vec![Minutes::ZERO; count]; count];
    for a in 0..count {
        for b in (0..count).filter(|&b| b != a) {
            let (x, y) = (&names[a], &names[b]);
            let is_it = |p: &&Pair| (&p.a == x && &p.b == y) || (&p.a == y && &p.b == x);
            least[a][b] = table.pairs.iter().find(is_it).map_or(unstated(a, b), |p| p.minutes);
        }
    }
    for via in 0..count {
        for a in 0..count {
            for b in 0..count {
                least[a][b] = least[a][b].min(least[a][via] + least[via][b]);
            }
        }
    }
    let number = |name: &str| names.iter().position(|known| known == name);
    for pair in &mut table.pairs {
        if let (Some(a), Some(b)) = (number(&pair.a), number(&pair.b)) {
            pair.minutes = least[a][b];
        }
    }
}

fn uses_the_bench(machine: &Machine) -> bool {
    let from_bench = |way: &&Way| way.from.as_ref().is_some_and(|spot| spot.name() == "bench");
    every_way(machine).iter().any(from_bench)
}

fn tools_in_use(machine: &Machine) -> Vec<String> {
    let tools = every_way(machine).into_iter().filter_map(|way| way.tool.as_ref());
    tools.map(|tool| tool.value.clone()).collect()
}

fn every_way(machine: &Machine) -> Vec<&Way> {
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
