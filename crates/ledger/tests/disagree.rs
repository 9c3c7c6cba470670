//! Why: two phones out of reach of each other record different things about one thing. The later
//! accepted one is the state, and the difference is shown, never silently dropped.

mod common;

use common::fold;
use lastbolt_ledger::Standing;

#[track_caller]
fn check(lines: &[&str], expect: &[(u64, u64)]) {
    let state = fold(lines);
    let found: Vec<_> = state.disagreements().map(|d| (d.first, d.second)).collect();
    assert_eq!(found, expect, "{lines:?}");
}

#[test]
fn two_who_had_not_seen_each_other() {
    let apart = ["a undo x seen=0", "b make x seen=0"];
    check(&apart, &[(1, 2)]);
    assert_eq!(fold(&apart).marks["x"].standing, Standing::Closed, "the later accepted one");
    check(&["a undo x seen=0", "b undo x seen=0"], &[]);
    check(&["a undo x seen=0", "b make x seen=1"], &[]);
    check(&["a undo x seen=0", "a make x seen=0"], &[]);
    check(&["a undo x seen=0", "b make y seen=0"], &[]);
    check(&["a undo x pieces=1", "b undo x pieces=2 seen=0"], &[(1, 2)]);
    // A look or a note about it says nothing else.
    check(&["a undo x seen=0", "b looked x seen=0", "b said x note=hm seen=0"], &[]);
}

#[test]
fn settled_by_who_has_seen_both() {
    let apart = ["a undo x seen=0", "b make x seen=0"];
    let and = |more: &[&'static str]| [&apart[..], more].concat();
    check(&and(&["a undo x seen=1"]), &[(2, 3)]);
    check(&and(&["a undo x seen=2"]), &[]);
    check(&and(&["b make x seen=1"]), &[]);
    check(&and(&["c make x seen=1"]), &[(1, 2)]);
    check(&and(&["c said y note=hm seen=2"]), &[(1, 2)]);
    check(&and(&["c said x note=it_is_made seen=2"]), &[]);
    // A gate of that name is not the thing.
    check(&and(&["c gate x seen=2"]), &[(1, 2)]);
    // Withdrawing either ends it; giving it back brings it back.
    check(&and(&["a take_back of=e1"]), &[]);
    check(&and(&["a take_back of=e2"]), &[]);
    check(&and(&["a take_back of=e2", "a take_back of=e3"]), &[(1, 2)]);
    // The sender knows its own records without saying so.
    check(&and(&["b slack x seen=0", "b make x seen=1"]), &[]);
}

/// After a restore from an older backup a phone claims to have seen numbers that were given
/// anew: it is taken to have seen nothing, so that a difference rather shows too often.
#[test]
fn seen_numbers_that_are_not_there_yet() {
    check(&["a undo x seen=0", "b make x seen=50"], &[(1, 2)]);
    check(&["a undo x seen=0", "b make x seen=2"], &[(1, 2)]);
}
