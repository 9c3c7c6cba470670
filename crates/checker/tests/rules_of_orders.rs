//! R9 to R19 and the wishes, rule by rule: an order that keeps it and one that breaks it, with
//! the minutes worked by hand.

mod common;

use common::{CALIPER, accepted, costs, cover, judge, order, read, refused};
use lastbolt_checker::{Order, Wishes, verify};
use lastbolt_machine::Minutes;

#[test]
fn r9_needs_are_in_force_both_ways_and_r11_a_prep_waits_for_the_last_of_them() {
    let file = format!("{CALIPER}[job]\noff = [\"hose\"]");
    refused(&file, "undo hose @arch", "R9", Some(0));
    costs(&file, "prep fluid out, undo hose @arch | make hose @arch, end fluid out", 14.0);
    let text = refused(&file, "prep fluid out, undo hose @arch | end fluid out", "R11", Some(0));
    assert_eq!(text, "\"hose\" is still open and needs \"fluid out\".");
    // Unless another way of opening it is left: the hose is clamped.
    let clamp =
        file.replace("[part.\"pad\"]", "[prep.clamp]\nways=[{}]\nback=[{}]\n[part.\"pad\"]");
    let clamp = clamp.replace("needs = [\"fluid out\"]\n", "").replace(
        "ways = [{ from = \"arch\", minutes = 1 }]\n[tie.\"screws\"]",
        "ways = [{ from = \"arch\", minutes = 1, needs = [\"fluid out\"] }, \
         { from = \"arch\", minutes = 1, needs = [\"clamp\"] }]\n[tie.\"screws\"]",
    );
    let strip = "prep fluid out, prep clamp, undo hose @arch";
    accepted(&clamp, &format!("{strip} | end fluid out, make hose @arch, end clamp"));
    refused(&clamp, &format!("{strip} | end fluid out, end clamp"), "R11", Some(1));
}

#[test]
fn r10_preps_end_as_stated_or_by_themselves() {
    let file = "fixed = [\"block\"]\n[prep.cold]\nback = \"by itself\"\nwait = 60\n[prep.drained]\n\
                needs = [\"cold\"]\nways = [{ minutes = 1 }]\nback = [{ minutes = 2 }]\n[job]\n\
                do = [\"drained\"]";
    let account = accepted(file, "prep cold, prep drained | end drained");
    // 60 minutes of waiting are no work but time.
    assert_eq!((account.minutes, account.elapsed), (Minutes(3000), Minutes(63_000)));
    refused(file, "prep cold, prep drained | end drained, end cold", "R10", Some(1));
    refused(file, "prep drained", "R9", Some(0));
}

const PLATE: &str = r#"
fixed = ["block", "loom"]
[spot.A]
[spot.B]
[part."plate"]
ways = [{ from = "A", minutes = 2 }]
[tie."plug"]
joins = ["loom", "block"]
ways = [{ from = "A", minutes = 1 }, { from = "B", minutes = 0.25 }]
hidden_by = ["plate"]
"#;

#[test]
fn r12_nothing_is_hidden_while_it_is_open() {
    let file = format!("{PLATE}[job]\noff = [\"plug\", \"plate\"]");
    let text =
        refused(&file, "off plate @A, undo plug @A | on plate @A, make plug @B", "R12", Some(0));
    assert_eq!(text, "\"plug\" is still undone and \"plate\" would hide it.");
    let account = accepted(&file, "off plate @A, undo plug @A | make plug @A, on plate @A");
    let look = &account.last_looks[0];
    assert_eq!((look.of.as_str(), look.before.as_str()), ("plug", "plate"));
    assert!(account.made_blind.is_empty());
    // Never uncovered: made blind, and no look is left.
    let only = format!("{PLATE}[job]\noff = [\"plug\"]");
    let account = accepted(&only, "undo plug @B | make plug @B");
    assert_eq!(account.made_blind, ["plug"]);
    assert!(account.last_looks.is_empty());
}

#[test]
fn r12_the_load_that_brings_the_cover_counts_and_what_joins_it_may_wait() {
    let file = r#"
fixed = ["block", "loom"]
[spot.A]
[part."gearbox"]
ways = [{ from = "A", minutes = 1 }]
[part."starter"]
rides = "gearbox"
ways = [{ from = "A", minutes = 1 }]
[tie."plug"]
joins = ["loom", "block"]
ways = [{ from = "A", minutes = 1 }]
hidden_by = ["starter"]
[tie."cable"]
joins = ["loom", "starter"]
ways = [{ from = "A", minutes = 1 }]
hidden_by = ["starter"]
[job]
off = ["plug", "gearbox"]
"#;
    let strip = "undo plug @A, undo cable @A, off gearbox @A";
    let late = format!("{strip} | on gearbox @A, make plug @A, make cable @A");
    let text = refused(file, &late, "R12", Some(0));
    assert_eq!(
        text,
        "\"plug\" is still undone and \"starter\", which comes with \"gearbox\", would hide it."
    );
    let account = accepted(file, &format!("{strip} | make plug @A, on gearbox @A, make cable @A"));
    assert_eq!((account.last_looks[0].of.as_str(), account.last_looks.len()), ("plug", 1));
    assert_eq!(account.last_looks[0].before, "gearbox");
    assert_eq!(account.made_blind, ["cable"]);
}

#[test]
fn r12_a_look_stands_right_before_what_hides() {
    let file = format!("{PLATE}[job]\noff = [\"plug\", \"plate\"]");
    let strip = "off plate @A, undo plug @A";
    costs(&file, &format!("{strip} | make plug @A, look plug, on plate @A"), 6.0);
    refused(&file, &format!("{strip} | look plug, make plug @A, on plate @A"), "R12", Some(0));
    refused(&file, &format!("{strip} | make plug @A, on plate @A, look plug"), "R12", Some(2));
    refused(&file, &format!("{strip}, look plug"), "R12", Some(2));
    refused(&file, &format!("{strip} | make plug @A, look plug @A, on plate @A"), "R4", Some(1));
    refused(&file, &format!("{strip} | make plug @A, look leak look"), "R28", Some(1));
    let covers = file.replace("[part.\"plate\"]", "[part.\"plate\"]\nafter = \"leak look\"");
    accepted(&covers, &format!("{strip} | make plug @A, look leak look, on plate @A"));
}

const PUMP: &str = r#"
fixed = ["block"]
together = [["upper", "lower"]]
[spot.A]
[spot.B]
[between]
"A / B" = 3
[part."pump"]
ways = [{ from = "A", minutes = 1 }]
[tie."upper"]
joins = ["pump", "block"]
ways = [{ from = "A", tool = "T", minutes = 2 }]
[tie."lower"]
joins = ["pump", "block"]
ways = [{ from = "B", tool = "T", minutes = 3 }]
[job]
renew = ["pump"]
"#;

#[test]
fn r13_a_group_is_started_before_any_is_tightened() {
    let strip = "undo lower @B +T, undo upper @A +T, off pump @A";
    let back = "on pump @A, start upper @A, start lower @B, tighten lower @B +T";
    costs(PUMP, &format!("{strip} | {back}, tighten upper @A +T"), 21.0);
    let run = |back: &str, rule, step| refused(PUMP, &format!("{strip} | {back}"), rule, step);
    run("on pump @A, start upper @A, tighten upper @A +T", "R13", Some(2));
    run("on pump @A, start upper @A, start lower @B, tighten upper @B +T", "R4", Some(3));
    run("on pump @A, make upper @A +T", "R13", Some(1));
    run("on pump @A, tighten upper @A +T", "R13", Some(1));
    run("on pump @A, start upper @A, start upper @A", "R13", Some(2));
    run("start upper @A", "R5", Some(0));
    run("on pump @A, start upper @A +T", "R4", Some(1));
    refused(PUMP, "undo lower @B +T, start upper @A", "R1", Some(1));
    let single = cover("off = [\"x\"]");
    refused(&single, "undo x @B | start x @B", "R13", Some(0));
    refused(&single, "undo x @B | tighten x @B", "R13", Some(0));
}

#[test]
fn r14_a_set_up_is_a_prep_that_the_spot_needs() {
    let file = "fixed = [\"block\"]\n[spot.below]\nsetup = 8\npack = 3\n[tie.\"x\"]\n\
                joins = [\"block\"]\nways = [{ from = \"below\", minutes = 2 }]\n[job]\n\
                off = [\"x\"]";
    costs(file, "prep below set up, undo x @below | make x @below, end below set up", 15.0);
    refused(file, "undo x @below", "R9", Some(0));
    // A spot's needs do not hold its set-up (R11); but then the way back is closed.
    let early = "prep below set up, undo x @below | end below set up, make x @below";
    refused(file, early, "R9", Some(1));
}

#[test]
fn r15_changes_by_pair_by_reach_and_by_tool() {
    let file = r#"
fixed = ["block"]
[spot.A]
[spot.B]
reach = 4
[spot.C]
reach = 2
[between]
default = 0.5
"A / B" = 1.5
[tool_change]
"T1 / T2" = 0.25
[tie."x"]
joins = ["block"]
ways = [{ from = "A", tool = "T1", minutes = 0 }]
[tie."y"]
joins = ["block"]
ways = [{ from = "B", minutes = 0 }, { from = "C", tool = "T2", minutes = 0 },
        { tool = "T3", minutes = 0 }]
[tie."z"]
joins = ["block"]
ways = [{ from = "C", tool = "T1", minutes = 0 }]
[job]
off = ["x"]
"#;
    // The first spot and tool are free; by hand the tool stays in the hand.
    costs(file, "undo x @A +T1", 0.0);
    costs(file, "undo y @B, undo x @A +T1", 1.5);
    costs(file, "undo x @A +T1, undo y @B, undo z @C +T1", 1.5 + 4.0);
    costs(file, "undo x @A +T1, undo y @C +T2", 2.25);
    costs(file, "undo x @A +T1, undo y +T3", 0.5);
    let real = file.replace("[job]", "[job]\nat = \"B\"\nholding = \"a torch\"");
    costs(&real, "undo x @A +T1", 2.0);
}

#[test]
fn r16_stated_minutes_are_held_against_the_recomputed_ones() {
    let (machine, job) = read(&cover("off = [\"x\"]"));
    let mut stated = order("off cover @A, undo x @A +T1 | make x @A +T1, on cover @A");
    stated.strip[0].minutes = Some(Minutes(2000));
    stated.strip[0].change = Some(Minutes(0));
    assert!(verify(&machine, &job, &Wishes::default(), &stated).account().is_some());
    stated.strip[0].minutes = Some(Minutes(2001));
    let rule = |order: &Order| {
        verify(&machine, &job, &Wishes::default(), order).reason().map(|reason| reason.rule)
    };
    assert_eq!(rule(&stated), Some("R16"));
    stated.strip[0].minutes = None;
    stated.strip[0].change = Some(Minutes(500));
    assert_eq!(rule(&stated), Some("R15"));
}

#[test]
fn r17_what_was_found_open_goes_back_unless_it_is_left_off() {
    let job = "off = [\"x\"]\nalready = [\"cover\"]";
    costs(&cover(job), "undo x @A +T1 | make x @A +T1, on cover @A", 4.0);
    refused(&cover(job), "undo x @A +T1 | make x @A +T1", "R1", None);
    let left = format!("{job}\nleave_off = [\"cover\"]");
    costs(&cover(&left), "undo x @A +T1 | make x @A +T1", 2.0);
    refused(&cover(&left), "undo x @A +T1 | make x @A +T1, on cover @A", "R17", Some(1));
    let neither = "off = [\"x\"]\nleave_off = [\"cover\"]";
    refused(&cover(neither), "", "R17", None);
    // A part that is off takes the ties across the boundary of its load with it, not `stays`.
    let caliper = format!("{CALIPER}[job]\noff = [\"screws\"]\nalready = [\"caliper\"]");
    costs(&caliper, "| on caliper @arch, make screws @arch", 3.0);
}

#[test]
fn r19_what_sets_holds_back_the_end_of_preps_in_time_not_in_minutes() {
    let file = "fixed = [\"block\"]\n[prep.dry]\nways = [{ minutes = 1 }]\n\
                back = [{ minutes = 1 }]\n\
                [tie.\"seam\"]\njoins = [\"block\"]\nneeds = [\"dry\"]\nsets = 60\n\
                ways = [{ minutes = 1 }]\n[job]\noff = [\"seam\"]";
    let account = accepted(file, "prep dry, undo seam | make seam, end dry");
    assert_eq!((account.minutes, account.elapsed), (Minutes(4000), Minutes(64_000)));
}

#[test]
fn wishes_take_ways_away() {
    let (machine, job) = read(&cover("off = [\"x\"]"));
    let strip = order("off cover @A, undo x @A +T1");
    let rule = |wishes: &Wishes| verify(&machine, &job, wishes, &strip).reason().map(|r| r.rule);
    let named = |name: &str| vec![name.to_owned()];
    assert_eq!(rule(&Wishes::default()), None);
    assert_eq!(rule(&Wishes { without: named("T1"), ..Wishes::default() }), Some("R4"));
    assert_eq!(rule(&Wishes { leave: named("cover"), ..Wishes::default() }), Some("wish"));
    assert_eq!(rule(&Wishes { leave: named("nothing"), ..Wishes::default() }), Some("R22"));
    for (wish, expected) in [
        ("without_tools = [\"T1\"]", "R4"),
        ("not_from = [\"A\"]", "R4"),
        ("leave_alone = [\"cover\"]", "wish"),
    ] {
        let file = cover(&format!("off = [\"x\"]\n{wish}"));
        let verdict = judge(&file, "off cover @A, undo x @A +T1");
        assert_eq!(verdict.reason().map(|reason| reason.rule), Some(expected), "{wish}");
    }
}

/// A refusal says where in the file the statement stands that it rests on.
#[test]
fn a_refusal_names_the_statement() {
    let file = cover("off = [\"x\"]");
    let verdict = judge(&file, "undo x @A +T1");
    let at = verdict.reason().and_then(|reason| reason.at).expect("a place");
    let line = file.lines().nth(at.line as usize - 1).expect("that line");
    assert!(line.contains("clear = [\"cover\"]"), "{line}");
}
