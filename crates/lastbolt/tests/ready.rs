//! Size up and make ready by commands alone: what the owner said, what proves it cured, what is
//! there, and the question before the pressure side is opened.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::well;

/// Invented: the lift of a forwarder, by somebody who writes other words than the demos.
const BOOM: &str = r#"
machine = "Godwit forwarder"
fixed = ["frame"]
[prep."oil tank vented"]
back = [{ minutes = 1 }]
wait = 9
[part."slew motor"]
kg = 18
ways = [{ minutes = 3 }]
[tie."slew feed"]
kind = "hose"
joins = ["slew motor", "frame"]
needs = ["oil tank vented"]
renew = ["bonded washer"]
ways = [{ tool = "spanner 27", minutes = 2 }]
[tie."flange screws"]
kind = "screw"
count = 4
joins = ["slew motor", "frame"]
ways = [{ tool = "flange puller", minutes = 2 }]
[job]
off = ["slew motor"]
"#;

#[test]
fn sized_up_and_made_ready() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("boom.toml"), BOOM).unwrap();
    let job = well(folder, &["begin", "boom.toml"]).trim().to_owned();

    let sized = well(folder, &["day", &job, "size-up"]);
    for wanted in [
        "What will prove it cured?",
        "Bonded washer, for slew feed",
        "Flange puller",
        "Oil under pressure",
        "The maker's instructions and local rules win.",
        "can be done and undone again",
    ] {
        assert!(sized.contains(wanted), "{wanted}: {sized}");
    }
    well(folder, &["tick", &job, "size.proof", "turns both ways under weight"]);
    let road = well(folder, &["day", &job, "size-up"]);
    assert!(road.contains("turns both ways under weight"), "{road}");
    assert!(!road.contains("What will prove it cured?"), "{road}");
    let washer = ["tick", &job, "buy bonded washer", "here", "--thing", "slew feed"];
    well(folder, &washer);

    well(folder, &["did", &job, "oil tank vented"]);
    let next = well(folder, &["next", &job]);
    assert!(next.contains("runs as long as its maker says"), "no minutes of ours: {next}");
    assert!(!next.contains("9 min"), "{next}");
    // What has happened is recorded, and stays asked.
    well(folder, &["did", &job, "slew feed"]);
    let next = well(folder, &["next", &job]);
    assert!(next.contains("not answered:"), "{next}");
    let question = well(folder, &["day", &job, "make-ready"]);
    let id = if question.contains("ready.pressure") { "ready.pressure" } else { "ready.how" };
    let thing = if id == "ready.how" { "oil tank vented" } else { "slew feed" };
    well(folder, &["tick", &job, id, "lever to and fro, Ines", "--thing", thing]);
    let next = well(folder, &["next", &job]);
    assert!(!next.contains("not answered:"), "{next}");
    well(folder, &["tick", &job, "ready.wait", "over", "--thing", "oil tank vented"]);
    let next = well(folder, &["next", &job]);
    assert!(!next.contains("runs as long"), "{next}");
}
