//! The clauses behind the rules: what is left off, what is only started, what hangs, what waits.
//! Each was found by taking the clause out of the checker and seeing that no other test minded.

mod common;

use common::{accepted, costs, cover, order, read, refused};
use lastbolt_checker::{Action, Walker, Wishes, verify};
use lastbolt_machine::Minutes;

const BRACKET: &str = r#"
fixed = ["body", "hub"]
[spot.arch]
[part."bracket"]
ways = [{ from = "arch", minutes = 1 }]
[part."caliper"]
rides = "bracket"
stays = ["hose"]
ways = [{ from = "arch", minutes = 1 }, { from = "bench", minutes = 1 }]
[tie."hose"]
joins = ["caliper", "body"]
ways = [{ from = "arch", minutes = 1 }]
[tie."bolts"]
joins = ["bracket", "hub"]
ways = [{ from = "arch", minutes = 1 }]
[job]
off = ["bracket"]
"#;

#[test]
fn what_hangs_aside_is_no_load_and_is_not_at_the_bench() {
    // With the caliper aside the bracket leaves without it; its hose holds only the caliper.
    let strip = "off caliper @arch, undo bolts @arch, off bracket @arch";
    let back = "on bracket @arch, make bolts @arch, on caliper @arch";
    costs(BRACKET, &format!("{strip} | {back}"), 6.0);
    let text = refused(BRACKET, &format!("{strip} | on caliper @bench"), "R5", Some(0));
    assert_eq!(
        text,
        "\"caliper\" still hangs in the machine, so the bench does not reach \"caliper\"."
    );
    refused(BRACKET, "undo bolts @arch, off bracket @arch", "R3", Some(1));
}

#[test]
fn a_prep_may_be_done_at_the_bench_at_any_time() {
    let file = "fixed = [\"block\"]\n[part.p]\nrides = \"q\"\nways = [{ from = \"bench\" }]\n\
                [part.q]\n[prep.cleaned]\nways = [{ from = \"bench\", minutes = 2 }]\n\
                back = [{ minutes = 0 }]\n[job]\ndo = [\"cleaned\"]";
    costs(file, "prep cleaned @bench | end cleaned", 2.0);
}

#[test]
fn what_is_left_off_holds_nothing_back() {
    let hidden = "fixed = [\"block\"]\n[part.plate]\n[tie.plug]\njoins = [\"block\"]\n\
                  hidden_by = [\"plate\"]\n[job]\noff = [\"plate\", \"plug\"]\n";
    refused(hidden, "off plate, undo plug | on plate", "R12", Some(0));
    costs(&format!("{hidden}leave_off = [\"plug\"]"), "off plate, undo plug | on plate", 3.0);
    let drained = "fixed = [\"block\"]\n[prep.drained]\nback = [{}]\n[tie.hose]\n\
                   joins = [\"block\"]\nneeds = [\"drained\"]\n[job]\noff = [\"hose\"]\n";
    let steps = "prep drained, undo hose | end drained";
    refused(drained, steps, "R11", Some(0));
    costs(&format!("{drained}leave_off = [\"hose\"]"), steps, 1.0);
    let group = "fixed = [\"block\"]\ntogether = [[\"a\", \"b\"]]\n[tie.a]\njoins = [\"block\"]\n\
                 [tie.b]\njoins = [\"block\"]\n[job]\noff = [\"a\", \"b\"]\n";
    let steps = "undo a, undo b | start a, tighten a";
    refused(group, steps, "R13", Some(1));
    costs(&format!("{group}leave_off = [\"b\"]"), steps, 3.0);
}

#[test]
fn r11_holds_a_prep_only_for_what_names_it() {
    // A prep that ends by itself does not hold the one that it needed.
    let file = "fixed = [\"block\"]\n[prep.p]\nback = [{}]\n[prep.q]\nneeds = [\"p\"]\n\
                back = \"by itself\"\n[job]\ndo = [\"q\"]";
    costs(file, "prep p, prep q | end p", 0.0);
    // Something open that names another prep, which is not in force, says nothing about this one.
    let file = "fixed = [\"block\"]\n[prep.p]\nback = [{}]\n[prep.q]\nback = [{}]\n[tie.x]\n\
                joins = [\"block\"]\nneeds = [\"q\"]\n[job]\ndo = [\"p\"]\nalready = [\"x\"]";
    refused(file, "prep p | end p, make x", "R9", Some(1));
    costs(file, "prep p, prep q | end p, make x, end q", 1.0);
}

#[test]
fn what_is_started_is_in_the_way() {
    let file = "fixed = [\"block\"]\ntogether = [[\"a\", \"b\"]]\n[tie.a]\njoins = [\"block\"]\n\
                [tie.b]\njoins = [\"block\"]\n[tie.y]\njoins = [\"block\"]\n\
                ways = [{ clear = [\"a\"], minutes = 1 }]\n[job]\noff = [\"a\", \"b\", \"y\"]";
    let strip = "undo a, undo y, undo b";
    costs(file, &format!("{strip} | make y, start a, start b, tighten a, tighten b"), 6.0);
    refused(file, &format!("{strip} | start a, make y"), "R6", Some(1));
    refused(file, &format!("{strip} | start b, make y, start a, tighten a"), "R1", None);
}

#[test]
fn a_start_is_one_step_for_all_ways_from_one_spot() {
    let file = "fixed = [\"block\"]\ntogether = [[\"a\", \"b\"]]\n[spot.A]\n[spot.B]\n[tie.a]\n\
                joins = [\"block\"]\nways = [{ from = \"A\", tool = \"T\" }, { from = \"A\" }, \
                { from = \"B\" }]\n[tie.b]\njoins = [\"block\"]\n[job]\nalready = [\"a\"]";
    let (machine, job) = read(file);
    let mut walker = Walker::new(&machine, &job, &Wishes::default()).expect("legal");
    walker.turn().expect("nothing is asked for");
    let starts: Vec<_> =
        walker.legal_steps().into_iter().filter(|s| s.action == Action::Start).collect();
    let from: Vec<_> = starts.iter().map(|step| step.from.as_deref()).collect();
    assert_eq!(from, [Some("A"), Some("B")]);
    assert!(starts.iter().all(|step| step.tool.is_none() && step.minutes == Some(Minutes(0))));
}

#[test]
fn a_set_up_has_the_needs_of_its_spot() {
    let file = "fixed = [\"block\"]\n[prep.\"gas shut\"]\nback = [{}]\nwait = 30\n[spot.below]\n\
                setup = 8\nneeds = [\"gas shut\"]\n[tie.x]\njoins = [\"block\"]\n\
                ways = [{ from = \"below\", minutes = 2 }]\n[job]\noff = [\"x\"]";
    refused(file, "prep below set up", "R9", Some(0));
    let strip = "prep gas shut, prep below set up, undo x @below";
    let back = "make x @below, end below set up, end gas shut";
    let account = accepted(file, &format!("{strip} | {back}"));
    assert_eq!((account.minutes, account.elapsed), (Minutes(12_000), Minutes(42_000)));
    refused(file, &format!("{strip} | make x @below, end gas shut"), "R11", Some(1));
}

#[test]
fn elapsed_waits_for_a_spots_needs_for_targets_and_for_what_sets() {
    let spot = "fixed = [\"block\"]\n[prep.aired]\nback = \"by itself\"\nwait = 30\n[spot.pit]\n\
                needs = [\"aired\"]\n[tie.x]\njoins = [\"block\"]\n\
                ways = [{ from = \"pit\", minutes = 2 }]\n[job]\noff = [\"x\"]";
    assert_eq!(accepted(spot, "prep aired, undo x @pit").elapsed, Minutes(32_000));
    let target = "fixed = [\"block\"]\n[prep.cured]\nback = \"by itself\"\nwait = 45\n[job]\n\
                  do = [\"cured\"]";
    assert_eq!(accepted(target, "prep cured |").elapsed, Minutes(45_000));
    let seam = "fixed = [\"block\"]\n[tie.seam]\njoins = [\"block\"]\nsets = 60\n[job]\n\
                off = [\"seam\"]";
    assert_eq!(accepted(seam, "undo seam | make seam").elapsed, Minutes(62_000));
    assert_eq!(accepted(seam, "undo seam").elapsed, Minutes(1000));
}

#[test]
fn only_what_was_disturbed_is_looked_at_and_leaks_once() {
    let file = "fixed = [\"block\"]\n[part.plate]\nafter = \"leak look\"\n[tie.plug]\n\
                joins = [\"block\"]\nhidden_by = [\"plate\"]\n[job]\noff = [\"plate\"]";
    refused(file, "off plate | look plug, on plate", "R12", Some(0));
    costs(file, "off plate | look leak look, on plate", 2.0);
    refused(file, "off plate | look leak look, look leak look, on plate", "R28", Some(1));
    refused(file, "off plate, look leak look", "R28", Some(1));
}

/// Of several ways with the same spot and tool the cheapest that holds is meant; stated minutes
/// say which.
#[test]
fn several_ways_from_one_spot() {
    let file = "fixed = [\"block\"]\n[part.c]\n[tie.x]\njoins = [\"block\"]\nways = [\
                { clear = [\"c\"], minutes = 1 }, { minutes = 4 }]\n[job]\noff = [\"x\"]";
    costs(file, "undo x | make x", 8.0);
    costs(file, "off c, undo x | make x, on c", 4.0);
    let (machine, job) = read(file);
    let mut stated = order("off c, undo x | make x, on c");
    stated.strip[1].minutes = Some(Minutes(4000));
    let verdict = verify(&machine, &job, &Wishes::default(), &stated);
    assert_eq!(verdict.account().map(|account| account.minutes), Some(Minutes(7000)));
    stated.strip.remove(0);
    stated.build.pop();
    stated.strip[0].minutes = Some(Minutes(1000));
    let verdict = verify(&machine, &job, &Wishes::default(), &stated);
    assert_eq!(verdict.reason().map(|reason| reason.rule), Some("R6"));
    let unread =
        verify(&machine, &read(&cover("off = [\"cover\"]")).1, &Wishes::default(), &stated);
    assert_eq!(unread.reason().map(|reason| reason.rule), Some("R22"));
}
