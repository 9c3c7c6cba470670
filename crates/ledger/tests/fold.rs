//! Why: the screen, the gate and the planner all ask the fold; each verb must do what the docs
//! say and nothing else.

mod common;

use common::{bare, fold, log};
use lastbolt_ledger::{Look, Mark, Standing, State, history, steps};

#[track_caller]
fn stands(lines: &[&str], thing: &str, expect: Standing) -> Mark {
    let state = fold(lines);
    let mark = state.mark(thing).expect("recorded").clone();
    assert_eq!(mark.standing, expect);
    mark
}

#[test]
fn each_verb_leaves_its_standing() {
    for (verb, expect) in [
        ("off", Standing::Open),
        ("on", Standing::Closed),
        ("undo", Standing::Open),
        ("make", Standing::Closed),
        ("prep", Standing::Open),
        ("end", Standing::Closed),
        ("start", Standing::Started),
        ("tighten", Standing::Closed),
        ("slack", Standing::Slack),
        ("by_hand", Standing::ByHand),
        ("not_measured", Standing::NotMeasured),
    ] {
        let mark = stands(&[&format!("a {verb} x person=Ida")], "x", expect);
        assert_eq!(mark.last_verb.as_str(), verb);
        assert_eq!(mark.person.as_deref(), Some("Ida"));
        assert_eq!(mark.by, 1);
    }
}

/// Only these say how a thing stands; a thing that nobody recorded has no mark.
#[test]
fn other_verbs_leave_no_mark() {
    let state = fold(&[
        "a looked x",
        "a passed_by y",
        "a moved spot=below tool=hex_8 person=Ida",
        "a settled z note=it_is_made",
        "a gate before_cranking note=hurry",
        "a first_start note=ran_at_once",
        "a said note=cold_today",
        "a finished",
    ]);
    assert!(state.marks.is_empty());
    assert_eq!(state.looks["x"], Look::Looked { seq: 1 });
    assert_eq!(state.looks["y"], Look::PassedBy { seq: 2 });
    assert_eq!(state.spot.as_ref().map(|s| (s.text.as_str(), s.seq)), Some(("below", 3)));
    assert_eq!(state.tool.as_ref().map(|s| s.text.as_str()), Some("hex_8"));
    assert_eq!(state.person.as_ref().map(|s| s.text.as_str()), Some("Ida"));
    assert_eq!(state.settled["z"].note, "it_is_made");
    assert_eq!(state.gates["before_cranking"].reason.as_deref(), Some("hurry"));
    assert_eq!(state.first_starts[0].text, "ran_at_once");
    assert_eq!(state.notes.len(), 1);
    assert!(state.is_finished());
}

#[test]
fn finished_and_reopened() {
    assert!(!fold(&["a finished", "a reopened"]).is_finished());
    assert_eq!(fold(&["a finished", "a reopened", "a finished"]).finished, Some(3));
    assert_eq!(fold(&["a finished", "a reopened", "a take_back of=e2"]).finished, Some(1));
}

/// By hand keeps the tool: a record without a tool does not put it down.
#[test]
fn what_was_stated_last_stays() {
    let state = fold(&["a undo x spot=below tool=hex_8", "a off y"]);
    assert_eq!(state.spot.as_ref().map(|s| s.seq), Some(1));
    assert_eq!(state.tool.as_ref().map(|s| s.text.as_str()), Some("hex_8"));
}

#[test]
fn some_of_the_pieces() {
    let two_of_three = stands(&["a undo nuts pieces=2"], "nuts", Standing::Closed);
    assert_eq!(two_of_three.pieces_open(3), 2);
    assert!(two_of_three.is_unfinished(3), "the gate must not pass it");
    assert_eq!(two_of_three.standing_of(3), Standing::Closed, "one nut still holds");
    assert_eq!(two_of_three.standing_of(2), Standing::Open);

    let one_back = stands(&["a undo nuts", "a make nuts pieces=1"], "nuts", Standing::Open);
    assert_eq!(one_back.pieces_open(3), 2);
    assert_eq!(one_back.standing_of(1), Standing::Closed);
    assert_eq!(one_back.pieces_open(1), 0);

    let all_back = stands(&["a undo nuts", "a make nuts"], "nuts", Standing::Closed);
    assert_eq!(all_back.pieces_open(3), 0);
    let slack = stands(&["a slack nuts pieces=1"], "nuts", Standing::Slack);
    assert_eq!(slack.pieces_open(3), 1);
    let started = stands(&["a start nuts", "a tighten nuts pieces=2"], "nuts", Standing::Started);
    assert_eq!(started.pieces_open(3), 1);
    for verb in ["start", "by_hand", "slack", "undo"] {
        let whole = fold(&[&format!("a {verb} nuts")]).marks["nuts"].clone();
        assert_eq!(whole.pieces_open(3), 3, "{verb}");
    }
    assert!(!fold(&["a not_measured nuts"]).marks["nuts"].is_unfinished(3));
}

/// What is renewed each time is bought each time (R19): slackening is not opening, and going on
/// with an opening is not a second one.
#[test]
fn openings_are_counted() {
    let times = |lines: &[&str]| fold(lines).marks["x"].times_opened;
    assert_eq!(times(&["a make x"]), 0);
    assert_eq!(times(&["a undo x"]), 1);
    assert_eq!(times(&["a undo x", "a undo x"]), 1);
    assert_eq!(times(&["a undo x pieces=1", "a undo x"]), 1);
    assert_eq!(times(&["a undo x", "a make x pieces=1", "a undo x"]), 1);
    assert_eq!(times(&["a undo x", "a make x", "a undo x"]), 2);
    assert_eq!(times(&["a undo x", "a start x", "a tighten x"]), 1);
    assert_eq!(times(&["a slack x"]), 0);
    assert_eq!(times(&["a slack x", "a undo x"]), 1);
    assert_eq!(times(&["a undo x", "a by_hand x", "a make x"]), 1);
}

#[test]
fn opening_again_clears_the_look() {
    for again in ["off", "undo", "prep", "slack", "by_hand", "start", "undo x pieces=1"] {
        let line = if again.contains(' ') { format!("a {again}") } else { format!("a {again} x") };
        let state = fold(&["a make x", "a looked x", &line]);
        assert!(state.looks.is_empty(), "{again}");
        assert_eq!(state.marks["x"].disturbed_by, Some(3), "{again}");
    }
    for not in ["make", "tighten", "not_measured", "on", "end"] {
        let state = fold(&["a undo x", "a make x", "a passed_by x", &format!("a {not} x")]);
        assert_eq!(state.looks["x"], Look::PassedBy { seq: 3 }, "{not}");
        assert_eq!(state.marks["x"].disturbed_by, Some(1), "{not}");
    }
    let later = fold(&["a passed_by x", "a looked x"]);
    assert_eq!(later.looks["x"], Look::Looked { seq: 2 });
}

#[track_caller]
fn same(lines: &[&str], expect: &[&str]) {
    assert_eq!(bare(fold(lines)), bare(fold(expect)));
}

#[test]
fn taking_back() {
    let one = ["a undo x"];
    same(&["a undo x", "a off y", "a take_back of=e2"], &one);
    // Taken back twice is taken back; one of them taken back gives it back.
    same(&["a undo x", "a off y", "a take_back of=e2", "b take_back of=e2"], &one);
    let redone = ["a undo x", "a off y", "a take_back of=e2", "b take_back of=e2"];
    same(&[&redone[..], &["a take_back of=e3"]].concat(), &["a undo x", "a off y"]);
    // The one that had no effect gives nothing back.
    same(&[&redone[..], &["a take_back of=e4"]].concat(), &one);
    // Back and forth.
    let forth = ["a undo x", "a off y", "a take_back of=e2", "a take_back of=e3"];
    same(&forth, &["a undo x", "a off y"]);
    same(&[&forth[..], &["a take_back of=e4"]].concat(), &one);
    same(&[&forth[..], &["a take_back of=e4", "a take_back of=e5"]].concat(), &forth);
    // Withdrawing what is not the last: the rest stands as if it had never been.
    same(
        &["a make x", "a undo x", "a make x", "a take_back of=e2"],
        &["a make x", "b said note=.", "a make x", "b take_back of=e2"],
    );
}

#[test]
fn history_says_what_became_of_each() {
    let log = log(&["a undo x", "a off y", "a take_back of=e2", "a take_back of=e2"]);
    let by: Vec<_> = history(log.records()).map(|entry| entry.withdrawn_by).collect();
    assert_eq!(by, [None, Some(3), None, None]);
    let state = State::fold(log.records());
    assert_eq!(state.withdrawn.iter().copied().collect::<Vec<_>>(), [2]);
    assert_eq!(state.last_seq, 4);
}

/// A target is met from the record that first met it, as the record now stands: withdrawing that
/// record un-meets it (R18).
#[test]
fn the_first_moment_that_something_was_true() {
    let met = |state: &State| state.mark("x").is_some_and(|mark| mark.standing == Standing::Open);
    let lines = ["a undo x", "a make x", "a undo x"];
    let first = |lines: &[&str]| steps(log(lines).records()).first(met).map(|r| r.seq);
    assert_eq!(first(&lines), Some(1), "closing it again does not un-meet it");
    assert_eq!(first(&[&lines[..], &["a take_back of=e1"]].concat()), Some(3));
    assert_eq!(first(&["a undo x", "a take_back of=e1"]), None);
}

#[test]
fn a_verb_of_a_newer_version_has_no_effect() {
    let mut records = log(&["a undo x", "a make x"]).records().to_vec();
    records[1].event.verb = lastbolt_ledger::Verb::read("polish");
    records[1].event.spot = Some("attic".into());
    let state = State::fold(&records);
    assert_eq!(state.marks["x"].standing, Standing::Open);
    assert_eq!(state.spot, None);
    assert!(history(&records).nth(1).unwrap().unknown);
}
