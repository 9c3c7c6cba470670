//! R23, R24 and R28, which only forbid orders: an order that keeps each and one that breaks it,
//! with the minutes worked by hand; and a twin that ignores them.

mod common;

use common::{accepted, costs, read, refused};
use lastbolt_checker::{Order, Verdict, Walker, Wishes, verify};
use lastbolt_machine::{JobSpec, Machine};

/// A gearbox on two screws that bear it and a dowel that does not, with a plug beside it.
const GEARBOX: &str = r#"
fixed = ["engine", "loom", "body"]
[part."gearbox"]
ways = [{ minutes = 4 }]
[tie."screws"]
joins = ["gearbox", "engine"]
bears = true
ways = [{ minutes = 3 }]
[tie."mount"]
joins = ["gearbox", "body"]
bears = true
ways = [{ minutes = 2 }]
[tie."plug"]
joins = ["loom", "body"]
ways = [{ minutes = 0.5 }]
[tie."dowel"]
joins = ["gearbox", "engine"]
ways = [{ minutes = 1 }]
[job]
off = ["gearbox", "plug"]
"#;

#[test]
fn r23_what_bears_is_undone_last_before_the_part_and_made_first_after_it() {
    // Both ways 3 + 2 + 1 + 0.5 + 4.
    let strip = "undo plug, undo screws, undo mount, undo dowel, off gearbox";
    let build = "on gearbox, make mount, make screws, make dowel, make plug";
    costs(GEARBOX, &format!("{strip} | {build}"), 21.0);
    // One screw still bears: anything may come in between.
    accepted(GEARBOX, "undo screws, undo plug, undo dowel, undo mount, off gearbox");
    let text = refused(GEARBOX, "undo screws, undo mount, undo plug", "R23", Some(2));
    assert_eq!(text, "Nothing bears \"gearbox\" any more: it comes off before \"plug\".");
    let text = refused(GEARBOX, &format!("{strip} | on gearbox, make plug"), "R23", Some(1));
    assert!(text.starts_with("Nothing bears \"gearbox\" yet:"), "{text}");
    // A tie across the same boundary may be made before one that bears.
    accepted(
        GEARBOX,
        &format!("{strip} | on gearbox, make dowel, make screws, make plug, make mount"),
    );
}

#[test]
fn r23_preps_that_those_ties_need_may_come_between_and_others_not() {
    let preps = "needs = [\"lever\"]\n[prep.lever]\nways = [{}]\nback = [{}]\n\
                 [prep.drained]\nways = [{}]\nback = [{}]\n[job]";
    let file = GEARBOX.replace("[job]", preps);
    let strip = "undo plug, undo screws, undo mount";
    accepted(&file, &format!("{strip}, prep lever, undo dowel, off gearbox"));
    refused(&file, &format!("{strip}, prep drained"), "R23", Some(3));
}

#[test]
fn r23_what_hangs_at_the_start_binds_only_going_back() {
    let file = format!("{GEARBOX}already = [\"screws\", \"mount\"]\n");
    let strip = "undo plug, undo dowel, off gearbox";
    accepted(&file, strip);
    refused(&file, &format!("{strip} | on gearbox, make plug"), "R23", Some(1));
    accepted(
        &file,
        &format!("{strip} | on gearbox, make mount, make plug, make dowel, make screws"),
    );
}

/// A fan that a strap holds to the cowl that carries it, and the cowl's clip to the body.
const FAN: &str = r#"
fixed = ["body"]
[spot.above]
[part."cowl"]
ways = [{ minutes = 2 }]
[part."fan"]
rides = "cowl"
ways = [{ minutes = 1 }]
[tie."clip"]
joins = ["cowl", "body"]
ways = [{ from = "above", minutes = 0.5 }]
[tie."strap"]
joins = ["fan", "cowl"]
bears = true
ways = [{ from = "above", minutes = 1 }, { from = "bench", minutes = 3 }]
[job]
off = ["fan", "cowl"]
"#;

/// Decision 0021: while a rider hangs, what carries it does not go either.
#[test]
fn r23_a_rider_is_fixed_before_what_carries_it_goes_on() {
    let strip = "undo strap @above, off fan, undo clip @above, off cowl";
    refused(FAN, "undo strap @above, undo clip @above", "R23", Some(1));
    refused(FAN, "undo clip @above, undo strap @above, off cowl", "R23", Some(2));
    let carried = "on fan, on cowl, make strap @above, make clip @above";
    let text = refused(FAN, &format!("{strip} | {carried}"), "R23", Some(1));
    assert_eq!(text, "Nothing bears \"fan\" yet: \"strap\" comes before \"cowl\".");
    // In the machine first, or fixed where it lies.
    let in_place = "on cowl, make clip @above, on fan, make strap @above";
    accepted(FAN, &format!("{strip} | {in_place}"));
    let at_the_bench = "on fan, make strap @bench, on cowl, make clip @above";
    accepted(FAN, &format!("{strip} | {at_the_bench}"));
}

/// Decision 0021: of several loads that hang by one fixing any may be the one that it bore, and
/// a part that something else still bears is not one of them.
#[test]
fn r23_of_what_hangs_by_the_same_fixing_any_goes() {
    let both = r#"
        fixed = ["body"]
        [part."shaft"]
        [part."wheel"]
        [part."lid"]
        [tie."bolt"]
        joins = ["shaft", "wheel"]
        bears = true
        [tie."dowel"]
        joins = ["wheel", "body"]
        [job]
        off = ["shaft", "wheel", "lid"]
    "#;
    accepted(both, "undo bolt, off shaft, undo dowel, off wheel, off lid");
    accepted(both, "undo bolt, undo dowel, off wheel, off shaft, off lid");
    refused(both, "undo bolt, off lid", "R23", Some(1));
    // The shaft has a bearing of its own: it is the wheel that hangs.
    let bearing = "[tie.\"bearing\"]\njoins = [\"shaft\", \"body\"]\nbears = true\n[job]";
    let one = both.replace("[job]", bearing);
    accepted(&one, "undo bolt, undo dowel, off wheel, undo bearing, off shaft, off lid");
    refused(&one, "undo bolt, undo bearing", "R23", Some(1));
    // A screw from a rider into the body holds the rider and what carries it.
    let through = FAN.replace("joins = [\"fan\", \"cowl\"]", "joins = [\"fan\", \"body\"]");
    accepted(&through, "undo strap @above, off fan, undo clip @above, off cowl");
    accepted(&through, "undo strap @above, undo clip @above, off cowl, off fan");
    // The cowl hangs on something else: only the fan goes.
    let hook = "[tie.\"hook\"]\njoins = [\"cowl\", \"body\"]\nbears = true\n[job]";
    let hooked = through.replace("[job]", hook);
    accepted(&hooked, "undo strap @above, off fan, undo clip @above, undo hook, off cowl");
    refused(&hooked, "undo strap @above, undo clip @above", "R23", Some(1));
}

/// A sump that goes on with sealant, with two rows of screws and a plug elsewhere.
const SUMP: &str = r#"
fixed = ["block", "loom"]
[spot.below]
[spot.above]
[between]
"above / below" = 2
[part."sump"]
open_minutes = 10
ways = [{ from = "below", minutes = 3 }]
[tie."left row"]
joins = ["sump", "block"]
ways = [{ from = "below", minutes = 5 }]
[tie."plug"]
joins = ["block", "loom"]
ways = [{ from = "above", minutes = 0.5 }]
[tie."right row"]
joins = ["sump", "block"]
ways = [{ from = "below", minutes = 5 }]
[job]
off = ["sump", "plug"]
"#;

#[test]
fn r24_the_last_tie_of_the_boundary_is_home_before_the_sealant_sets() {
    let strip = "undo plug @above, undo left row @below, undo right row @below, off sump @below";
    // Just in time: 5 + 5 after the sump is on. Steps 13.5 each way, the change to below once
    // and back up once.
    let build = "on sump @below, make left row @below, make right row @below, make plug @above";
    costs(SUMP, &format!("{strip} | {build}"), 31.0);
    // The plug between the rows: 5 + (2 + 0.5), then 2 + 5.
    let late = "on sump @below, make left row @below, make plug @above, make right row @below";
    let text = refused(SUMP, &format!("{strip} | {late}"), "R24", Some(3));
    assert_eq!(text, "\"right row\" ends 14.5 minutes after the bead of \"sump\"; 10 is most.");
    // A minute less of open time, and no order is in time.
    let nine = SUMP.replace("open_minutes = 10", "open_minutes = 9");
    refused(&nine, &format!("{strip} | {build}"), "R24", Some(2));
}

#[test]
fn r24_sealant_that_is_a_tie_counts_to_the_last_tie_of_its_joint() {
    let file = SUMP.replace("open_minutes = 10\n", "").replace(
        "[tie.\"plug\"]",
        "[tie.\"bead\"]\njoins = [\"sump\", \"block\"]\nopen_minutes = 10\n\
         ways = [{ from = \"below\", minutes = 1 }]\n[tie.\"plug\"]",
    );
    let strip = "undo plug @above, undo left row @below, undo right row @below, \
                 undo bead @below, off sump @below";
    let on = "on sump @below, make bead @below, make left row @below";
    accepted(&file, &format!("{strip} | {on}, make right row @below, make plug @above"));
    let late = format!("{strip} | {on}, make plug @above, make right row @below");
    refused(&file, &late, "R24", Some(4));
}

/// An undertray that waits for the leak look, a drain plug above it (it goes back by feel),
/// and a wheel elsewhere.
const TRAY: &str = r#"
fixed = ["body", "sump", "hub"]
[spot.below]
setup = 4
pack = 1
[part."tray"]
after = "leak look"
ways = [{ from = "below", minutes = 1 }]
[part."wheel"]
ways = [{ minutes = 2 }]
[tie."tray clips"]
joins = ["tray", "body"]
ways = [{ from = "below", minutes = 2 }]
[tie."drain plug"]
joins = ["sump"]
ways = [{ from = "below", clear = ["tray"], minutes = 3 }]
back = [{ from = "below", minutes = 3 }]
[job]
off = ["drain plug", "wheel"]
"#;

#[test]
fn r28_covers_wait_for_the_look_and_all_else_comes_before_it() {
    let strip = "prep below set up, undo tray clips @below, off tray @below, \
                 undo drain plug @below, off wheel";
    let before = format!("{strip} | make drain plug @below, on wheel");
    let covers = "on tray @below, make tray clips @below, end below set up";
    // 4 + 1 + 2 * (1 + 2 + 2 + 3); the set-up of the covers' own place may end after them.
    costs(TRAY, &format!("{before}, look leak look, {covers}"), 21.0);
    let text = refused(TRAY, &format!("{before}, {covers}"), "R28", Some(2));
    assert_eq!(text, "The leak look comes before \"tray\".");
    let early = format!("{strip} | make drain plug @below, look leak look, {covers}, on wheel");
    refused(TRAY, &early, "R28", Some(1));
    let early = format!("{strip} | make drain plug @below, on tray @below");
    let text = refused(TRAY, &early, "R28", Some(1));
    assert_eq!(text, "\"wheel\" is still open, and \"tray\" waits for the leak look.");
    // Once, and only where something waits for it.
    let twice = format!("{before}, look leak look, look leak look, {covers}");
    refused(TRAY, &twice, "R28", Some(3));
    let bare = TRAY.replace("after = \"leak look\"\n", "");
    refused(&bare, &format!("{before}, look leak look, {covers}"), "R28", Some(2));
    accepted(&bare, &format!("{before}, {covers}"));
}

/// Goes to the end by the rules of a machine that has forgotten these three: always the first
/// legal step that is left.
fn careless(machine: &Machine, job: &JobSpec) -> Option<Order> {
    let mut machine = machine.clone();
    for tie in &mut machine.ties {
        (tie.bears, tie.open_minutes) = (false, None);
    }
    for part in &mut machine.parts {
        (part.open_minutes, part.after) = (None, None);
    }
    let mut walker = Walker::new(&machine, job, &Wishes::default()).ok()?;
    let mut order = Order { strip: Vec::new(), build: Vec::new(), strip_only: false };
    while !walker.finished() {
        if !walker.is_building() && walker.targets_hold() {
            walker.turn().ok()?;
        }
        let next = *walker.moves().first()?;
        let step = walker.step(&next);
        walker.take(&next);
        if walker.is_building() { &mut order.build } else { &mut order.strip }.push(step);
    }
    Some(order)
}

#[test]
fn a_twin_that_ignores_these_rules_is_refused_by_each_of_them() {
    for (file, rule) in [(GEARBOX, "R23"), (SUMP, "R24"), (TRAY, "R28")] {
        let (machine, job) = read(file);
        let order = careless(&machine, &job).expect("it finds an order");
        match verify(&machine, &job, &Wishes::default(), &order) {
            Verdict::Refused(reason) => assert_eq!(reason.rule, rule, "{}", reason.text),
            Verdict::Accepted(_) => panic!("{rule}: {order:?} is accepted"),
        }
    }
}
