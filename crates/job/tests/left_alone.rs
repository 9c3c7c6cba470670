//! What is to be left alone and is opened all the same asks for what it needs as any other thing.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use lastbolt_ledger::Verb;
use support::{Story, case};

/// A pump behind a cover; the hose beside it needs a clamp and is to be left alone, or not.
fn rig(wish: &str) -> String {
    format!(
        r#"
machine = "rig"
fixed = ["block"]
[spot.above]
[prep.clamped]
ways = [{{ from = "above", minutes = 1 }}]
back = [{{ from = "above", minutes = 1 }}]
[part.pump]
ways = [{{ from = "above", minutes = 1 }}]
[tie.bolt]
joins = ["pump", "block"]
ways = [{{ from = "above", minutes = 1 }}]
[tie.hose]
kind = "hose"
joins = ["block"]
ways = [{{ from = "above", minutes = 1, needs = ["clamped"] }}]
[job]
off = ["pump"]
{wish}
"#
    )
}

/// Recorded open without its condition, it is remarked on whether it was to be left alone or not,
/// and the condition, once in force, stays until the hose is home.
#[test]
fn what_it_needs_is_asked_for() {
    for wish in ["", "leave_alone = [\"hose\"]"] {
        let mut story = Story::of(case(&rig(wish)));
        story.does(Verb::Undo, "hose");
        let lacks =
            |story: &Story| story.quiet().iter().any(|text| text.contains("\"clamped\" is"));
        assert!(lacks(&story), "{wish}: {:?}", story.quiet());
        story.does(Verb::Prep, "clamped");
        assert!(!lacks(&story), "{wish}: {:?}", story.quiet());
        let list = story.list();
        let at = |line: &str| list.iter().position(|one| one == line);
        let (home, ended) = (at("make hose"), at("end clamped"));
        assert!(home.is_some() && home < ended, "{wish}: {list:?}");
    }
}
