//! Published Sequential Ordering instances, within a limit of nodes: the small ones proved at their
//! published least, larger ones near it. The instances are not part of the project: the folder is
//! named by `LASTBOLT_SOP_DATA`, without it nothing is tested here and it says so.

use std::fs;
use std::path::PathBuf;

use lastbolt_order::changeover::{Found, Jobs, Limits, order};
use lastbolt_testkit::read_sequencing;

/// Name, published least cost (the folder's `best-known.csv`), whether it is proved here.
const PUBLISHED: [(&str, i64, bool); 10] = [
    ("ESC07", 2125, true),
    ("ESC11", 2075, true),
    ("ESC12", 1675, true),
    ("ESC25", 1681, true),
    ("ESC63", 62, true),
    ("br17.10", 55, false),
    ("br17.12", 55, true),
    ("p43.4", 83005, false),
    ("ft53.4", 14425, false),
    ("rbg050c", 467, false),
];

fn search(folder: &std::path::Path, name: &str) -> (Jobs, Found) {
    let text =
        fs::read_to_string(folder.join(format!("{name}.sop"))).expect("the instance can be read");
    let instance = read_sequencing(&text).expect("the instance is well formed");
    let jobs = Jobs::new(&instance.costs, &instance.befores).expect("the instance is possible");
    let found = order(&jobs, &Limits::default());
    (jobs, found)
}

/// Least costs as published, bounds never above them.
#[test]
fn published_instances() {
    let Some(folder) = std::env::var_os("LASTBOLT_SOP_DATA").map(PathBuf::from) else {
        println!("skipped: published instances, LASTBOLT_SOP_DATA names no folder");
        return;
    };
    for (name, least, proved) in PUBLISHED {
        let (jobs, found) = search(&folder, name);
        assert_eq!(jobs.cost(&found.order), Some(found.cost), "{name}");
        assert!(found.bound <= least, "{name}: the bound {} is above {least}", found.bound);
        assert!(found.cost >= least, "{name}: {} is below {least}", found.cost);
        assert!(found.cost * 100 <= least * 101, "{name}: {} is far from {least}", found.cost);
        assert!(!proved || found.proved() && found.cost == least, "{name}: not proved");
    }
}
