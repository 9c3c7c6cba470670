//! R1 to R8, rule by rule: an order that keeps it and one that breaks it, with the minutes worked
//! by hand. The orders are short, so that each refusal can only have the one reason.

mod common;

use common::{CALIPER, accepted, costs, cover, order, read, refused};
use lastbolt_checker::{Phase, Wishes, verify};
use lastbolt_machine::Minutes;

#[test]
fn r1_strip_only_opens_and_build_back_ends_with_nothing_open() {
    let file = cover("off = [\"x\"]");
    costs(&file, "off cover @A, undo x @A +T1 | make x @A +T1, on cover @A", 6.0);
    refused(&file, "off cover @A, on cover @A", "R1", Some(1));
    refused(&file, "undo x @B | off cover @A", "R1", Some(0));
    refused(&file, "undo x @B |", "R1", None);
    refused(&file, "undo x @B, undo x @B | make x @B", "R1", Some(1));
    refused(&file, "undo x @B | make x @B, make x @B", "R1", Some(1));
    refused(&file, "off x @B", "R1", Some(0));
    refused(&file, "prep cover", "R1", Some(0));
    refused(&file, "look cover", "R12", Some(0));
    refused(&file, "undo block", "R22", Some(0));
    refused(&file, "undo nothing", "R22", Some(0));
}

#[test]
fn r2_all_targets_hold_at_the_turn() {
    let file = cover("off = [\"x\"]");
    let (machine, job) = read(&file);
    let verdict = verify(&machine, &job, &Wishes::default(), &order("off cover @A | on cover @A"));
    let reason = verdict.reason().expect("refused");
    assert_eq!((reason.rule, reason.phase), ("R2", Phase::Turn));
    // A further wish is a further target.
    let also = Wishes { also: vec!["cover".to_owned()], ..Wishes::default() };
    let verdict = verify(&machine, &job, &also, &order("undo x @B | make x @B"));
    assert_eq!(verdict.reason().map(|reason| reason.rule), Some("R2"));
}

const COOLER: &str = r#"
fixed = ["block"]
[spot.A]
[part."cooler"]
ways = [{ from = "A", minutes = 1 }]
[part."sender"]
rides = "cooler"
ways = [{ minutes = 1 }]
[tie."screws"]
joins = ["cooler", "block"]
ways = [{ from = "A", minutes = 2 }]
[tie."thread"]
joins = ["sender", "cooler"]
ways = [{ from = "bench", minutes = 3 }]
[tie."drain"]
joins = ["cooler"]
ways = [{ minutes = 4 }]
"#;

#[test]
fn r2_renewing_moves_riders_over_unless_they_come_fitted() {
    let all = format!("{COOLER}[job]\nrenew = [\"cooler\"]");
    let strip = "undo screws @A, off cooler @A, undo drain, undo thread @bench, off sender";
    costs(&all, strip, 12.0);
    refused(&all, "undo screws @A, off cooler @A, undo drain, undo thread @bench", "R2", None);
    refused(&all, "undo screws @A, off cooler @A, undo thread @bench, off sender", "R2", None);
    let fitted = format!("{COOLER}[job]\nrenew = [\"cooler\"]\ncomes_fitted = [\"sender\"]");
    costs(&fitted, "undo screws @A, off cooler @A", 3.0);
    refused(&fitted, "off cooler @A", "R3", Some(0));
    // Only asked off: neither riders nor what is inside matter.
    let off = format!("{COOLER}[job]\noff = [\"cooler\"]");
    costs(&off, "undo screws @A, off cooler @A", 3.0);
}

#[test]
fn r3_a_load_comes_off_as_one_and_its_ties_stay_made() {
    let file = format!("{COOLER}[job]\noff = [\"cooler\"]");
    let account = accepted(&file, "undo screws @A, off cooler @A | on cooler @A, make screws @A");
    assert_eq!(account.minutes, Minutes(6000));
    assert_eq!(account.off.iter().map(String::as_str).collect::<Vec<_>>(), ["cooler", "screws"]);
    let text = refused(&file, "off cooler @A", "R3", Some(0));
    assert_eq!(text, "\"screws\" still holds \"cooler\".");
}

#[test]
fn r4_a_way_is_named_by_spot_tool_and_minutes() {
    let file = cover("off = [\"x\"]");
    refused(&file, "undo x @A", "R4", Some(0));
    refused(&file, "undo x", "R4", Some(0));
    refused(&file, "undo x @B +T1", "R4", Some(0));
    let never = "fixed = [\"block\"]\n[part.\"p\"]\nways = []\n[tie.\"x\"]\njoins = [\"block\"]\n\
                 [job]\noff = [\"x\"]";
    refused(never, "off p", "R4", Some(0));
    // No ways written = one way by hand from anywhere; a fixing takes 1 minute (R27).
    costs(never, "undo x | make x", 2.0);
    let twice = "fixed = [\"block\"]\n[tie.\"x\"]\njoins = [\"block\"]\n\
                 ways = [{ minutes = 5 }, { minutes = 3 }]\n[job]\noff = [\"x\"]";
    costs(twice, "undo x | make x", 6.0);
}

#[test]
fn r5_what_left_with_its_carrier_is_reached_at_the_bench_only() {
    let file = format!("{COOLER}[job]\noff = [\"sender\"]");
    let strip = "undo screws @A, off cooler @A, undo thread @bench, off sender";
    let back = "on sender, make thread @bench, on cooler @A, make screws @A";
    // 2+1+(1)+3+1 and the same back with (1) from the bench to A.
    costs(&file, &format!("{strip} | {back}"), 16.0);
    refused(&file, "undo thread @bench", "R5", Some(0));
    let in_place = file.replace("from = \"bench\"", "from = \"A\"");
    costs(&in_place, "undo thread @A, off sender | on sender, make thread @A", 8.0);
    refused(&in_place, "undo screws @A, off cooler @A, undo thread @A", "R5", Some(2));
    // A rider that is off and on no carrier: what joins it to the carrier lies apart.
    let back = "make thread @bench, on sender";
    let text = refused(&file, &format!("{strip} | {back}"), "R5", Some(0));
    assert_eq!(text, "What \"thread\" joins does not lie in one place.");
}

#[test]
fn r6_what_is_to_be_clear_is_off_undone_or_elsewhere() {
    let file = cover("off = [\"x\"]");
    let text = refused(&file, "undo x @A +T1", "R6", Some(0));
    assert_eq!(text, "\"cover\" is in the way of \"x\".");
    // Gone away on a carrier is clear too.
    let carried = format!(
        "{COOLER}[tie.\"y\"]\njoins = [\"block\"]\nways = [{{ from = \"A\", clear = [\"sender\", \
         \"thread\"], minutes = 1 }}]\n[job]\noff = [\"y\"]"
    );
    refused(&carried, "undo y @A", "R6", Some(0));
    costs(&carried, "undo screws @A, off cooler @A, undo y @A", 4.0);
}

#[test]
fn r7_the_same_test_going_back() {
    let file = cover("off = [\"x\"]");
    refused(&file, "off cover @A, undo x @A +T1 | on cover @A, make x @A +T1", "R6", Some(1));
    // By the other way it still goes: nothing remembers the way it was undone by.
    costs(&file, "off cover @A, undo x @A +T1 | on cover @A, make x @B", 2.0 + 1.0 + 2.0 + 9.0);
}

#[test]
fn r8_a_part_is_put_aside_on_what_it_may_stay_on() {
    let aside = format!("{CALIPER}[job]\noff = [\"caliper\"]");
    costs(
        &aside,
        "undo screws @arch, off caliper @arch | on caliper @arch, make screws @arch",
        6.0,
    );
    // While it hangs, the bench does not reach what it carries; with the hose undone it does.
    let pad = format!("{CALIPER}[job]\noff = [\"pad\"]");
    refused(&pad, "undo screws @arch, off caliper @arch, off pad @bench", "R5", Some(2));
    let strip = "undo screws @arch, off caliper @arch, prep fluid out, undo hose @arch";
    costs(&pad, &format!("{strip}, off pad @bench"), 2.0 + 1.0 + 2.0 + 1.0 + 1.0 + 1.0);
    // Going back the hose is made before or after the caliper is on.
    let before = "on pad @bench, make hose @arch, end fluid out, on caliper @arch";
    accepted(&pad, &format!("{strip}, off pad @bench | {before}, make screws @arch"));
    let after = "on pad @bench, on caliper @arch, make hose @arch, end fluid out";
    accepted(&pad, &format!("{strip}, off pad @bench | {after}, make screws @arch"));
    // Renewing the caliper undoes the hose too.
    let renew = format!("{CALIPER}[job]\nrenew = [\"caliper\"]\ncomes_fitted = [\"pad\"]");
    refused(&renew, "undo screws @arch, off caliper @arch", "R2", None);
}
