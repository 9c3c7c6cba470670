//! Minutes to change spot or tool (R15).

use lastbolt_machine::model::PairTable;
use lastbolt_machine::{Machine, Minutes};

/// Minutes from each to each.
#[derive(Clone, Debug, Default)]
pub(crate) struct Changes {
    minutes: Vec<Vec<Minutes>>,
}

impl Changes {
    /// Between spots: the pair if stated, else the larger reach; a spot without one has the
    /// default, which is 1.
    pub(crate) fn of_spots(machine: &Machine, spots: &[String]) -> Self {
        let default = stated_default(&machine.between).unwrap_or(Minutes::whole(1));
        let reach = |name: &str| {
            let spot = machine.spots.iter().find(|spot| spot.id.name() == name);
            spot.and_then(|spot| spot.reach.as_ref()).map_or(default, |reach| reach.value)
        };
        Self::fill(spots, |a, b| {
            stated_pair(&machine.between, a, b).unwrap_or_else(|| reach(a).max(reach(b)))
        })
    }

    /// Between tools: the pair if stated, else the default, which is 0.5.
    pub(crate) fn of_tools(machine: &Machine, tools: &[String]) -> Self {
        let default = stated_default(&machine.tool_change).unwrap_or(Minutes(500));
        Self::fill(tools, |a, b| stated_pair(&machine.tool_change, a, b).unwrap_or(default))
    }

    /// The change from one (nothing yet = free) to the other (nothing wanted = free).
    pub(crate) fn cost(&self, now: Option<usize>, wanted: Option<usize>) -> Minutes {
        match (now, wanted) {
            (Some(now), Some(wanted)) => self.minutes[now][wanted],
            _ => Minutes::ZERO,
        }
    }

    fn fill(names: &[String], between: impl Fn(&str, &str) -> Minutes) -> Self {
        let row = |a: &String| {
            let cell = |b: &String| if a == b { Minutes::ZERO } else { between(a, b) };
            names.iter().map(cell).collect()
        };
        Self { minutes: names.iter().map(row).collect() }
    }
}

fn stated_default(table: &PairTable) -> Option<Minutes> {
    table.default.as_ref().map(|default| default.value)
}

fn stated_pair(table: &PairTable, a: &str, b: &str) -> Option<Minutes> {
    let is_it = |x: &str, y: &str| (x == a && y == b) || (x == b && y == a);
    table.pairs.iter().find(|pair| is_it(&pair.a, &pair.b)).map(|pair| pair.minutes)
}
