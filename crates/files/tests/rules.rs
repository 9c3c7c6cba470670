//! What a legal file may not say (R22): one small file for each, with the place and the kind.

use lastbolt_files::{Source, check_all};
use lastbolt_machine::{Level, Problem};

const HEAD: &str = "fixed = [\"block\"]\n[spot.above]\n[spot.below]\n";

/// Checks the text after the head; compares the errors, lines counted after the head.
#[track_caller]
fn check(text: &str, expect: &str) {
    let problems = problems(text, Level::Error);
    let all = problems.iter().map(|p| format!("{}:{} {}", p.at.line - 3, p.at.column, p.kind));
    assert_eq!(all.collect::<Vec<_>>().join(", "), expect, "{text}: {problems:#?}");
}

fn problems(text: &str, level: Level) -> Vec<Problem> {
    let all = check_all(&[Source::new("m.toml", format!("{HEAD}{text}"))]);
    all.into_iter().filter(|p| p.level == level).collect()
}

/// The only error of a file, as a person sees it.
#[track_caller]
fn said(text: &str) -> String {
    let problems = problems(text, Level::Error);
    assert_eq!(problems.len(), 1, "{problems:#?}");
    wrap(&format!("{} {}", problems[0].message, problems[0].help))
}

/// Breaks lines at 90 columns.
fn wrap(text: &str) -> String {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.last_mut().expect("one line at least");
        if last.len() + word.len() > 90 {
            lines.push(word.to_owned());
        } else {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(word);
        }
    }
    lines.join("\n")
}

#[test]
fn one_namespace() {
    check("[part.a]\n[part.a]\nkg = 1", "2:7 named-twice");
    check("[part.a]\n[tie.a]\njoins = [\"block\"]", "2:6 named-twice");
    check("[part.block]", "1:7 named-twice");
    check("[spot.pit]\npack = 1\n[prep.\"pit set up\"]\nback = \"by itself\"", "1:7 named-twice");
    insta::assert_snapshot!(
        said("[part.a]\n[tie.a]\njoins = [\"block\"]"),
        @r#"
    "a" is named twice; first at line 4, as a part, and here as a fixing or connection ([tie]).
    Give one of them another name: a name stands for one thing.
    "#
    );
}

#[test]
fn unknown_names() {
    check(
        "[part.a]\nways = [{ from = \"abov\", clear = [\"x\"], needs = [\"y\"] }]\n",
        "2:18 unknown-spot, 2:35 unknown-name, 2:50 unknown-name",
    );
    check(
        "[tie.a]\njoins = [\"blok\"]\nhidden_by = [\"q\"]",
        "2:10 unknown-name, 3:14 unknown-name",
    );
    check(
        "[part.a]\nrides = \"b\"\nstays = [\"c\"]\nneeds = [\"d\"]",
        "2:9 unknown-name, 3:10 unknown-name, 4:10 unknown-name",
    );
    check(
        "[spot.pit]\nneeds = [\"a\"]\nnot_with = [\"b\"]",
        "2:10 unknown-name, 3:13 unknown-spot",
    );
    assert_eq!(
        said("[tie.a]\njoins = [\"blok\"]"),
        "Nothing here is named \"blok\". Did you mean \"block\"?"
    );
}

#[test]
fn clear_and_needs() {
    check("[part.a]\nways = [{ clear = [\"a\"] }]", "2:20 clear-itself");
    check("[part.a]\nways = [{ clear = [\"block\"] }]", "2:20 clear-fixed");
    check(
        "[prep.p]\nback = \"by itself\"\n[part.a]\nways = [{ clear = [\"p\"] }]",
        "4:20 clear-prep",
    );
    check(
        "[part.c]\n[part.a]\nrides = \"c\"\nways = [{ from = \"bench\", clear = [\"c\"] }]",
        "4:36 clear-carrier",
    );
    check("[part.c]\n[part.a]\nrides = \"c\"\nways = [{ from = \"above\", clear = [\"c\"] }]", "");
    check(
        "[part.c]\n[part.a]\nrides = \"c\"\n[tie.t]\njoins = [\"a\", \"c\"]\n\
            ways = [{ from = \"bench\", clear = [\"c\"] }]",
        "6:36 clear-carrier",
    );
    check(
        "[part.c]\n[part.a]\nrides = \"c\"\n[tie.t]\njoins = [\"a\", \"block\"]\n\
            ways = [{ clear = [\"c\"] }]",
        "",
    );
    check("[part.a]\n[part.b]\nneeds = [\"a\"]", "3:10 wrong-sort");
    check("[prep.p]\nback = [{ needs = [\"p\"] }]", "2:20 needs-itself");
    check("[prep.p]\nways = []", "1:7 prep-without-back");
    check("[prep.p]\nback = []", "1:7 no-back");
}

#[test]
fn riding_and_joining() {
    check("[part.a]\nways = [{ from = \"bench\" }]", "2:18 bench-without-rides");
    check("[part.a]\nrides = \"block\"", "2:9 wrong-rides");
    check("[part.a]\nrides = \"a\"", "2:9 wrong-rides");
    check("[part.a]\nways = []", "1:7 no-ways");
    check("[part.a]\nafter = \"leek look\"", "2:9 bad-after");
    check("[tie.t]", "1:6 no-joins");
    check("[tie.t]\njoins = [\"block\"]\n[tie.u]\njoins = [\"t\"]", "4:10 wrong-sort");
    check("[part.a]\nstays = [\"t\"]\n[tie.t]\njoins = [\"block\"]", "2:10 stays-elsewhere");
    check(
        "[part.a]\nstays = [\"t\"]\n[part.b]\nrides = \"a\"\n[tie.t]\njoins = [\"block\", \"b\"]",
        "",
    );
    check("[part.a]\n[tie.t]\njoins = [\"a\"]\nhidden_by = [\"t\"]", "4:14 wrong-sort");
    insta::assert_snapshot!(
        said("[part.a]\nrides = \"b\"\n[part.b]\nrides = \"c\"\n[part.c]\nrides = \"a\""),
        @r#"
    Parts ride in a circle: "a" rides on "b" (line 5), "b" rides on "c" (line 7), "c" rides on
    "a" (line 9). Take one `rides` out.
    "#
    );
}

#[test]
fn groups() {
    let ties = "[tie.t]\njoins = [\"block\"]\n[tie.u]\njoins = [\"block\"]\n[part.p]";
    let check_group = |group: &str, expect: &str| {
        let text = format!("together = {group}\nfixed = [\"block\"]\n{ties}");
        let all = check_all(&[Source::new("m.toml", text)]);
        let errors = all.iter().filter(|p| p.level == Level::Error);
        let errors = errors.map(|p| format!("{}:{} {}", p.at.line, p.at.column, p.kind));
        assert_eq!(errors.collect::<Vec<_>>().join(", "), expect, "{group}");
    };
    check_group("[[\"t\", \"u\"]]", "");
    check_group("[[\"t\", \"u\"], [\"u\", \"t\"]]", "1:26 two-groups, 1:31 two-groups");
    check_group("[[\"t\", \"p\"]]", "1:19 wrong-sort");
    check_group("[[\"t\"]]", "1:13 small-group");
    check_group("[[\"t\", \"x\"]]", "1:19 unknown-name");
}

#[test]
fn minutes_to_change() {
    check("[between]\n\"above / above\" = 1", "2:1 pair-with-itself");
    check("[between]\n\"above / bellow\" = 1", "2:1 unknown-spot");
    check("[between]\n\"above / below\" = 1\n\"below / above\" = 1", "3:1 pair-twice");
    check("[spot.pit]\n[between]\n\"above / below\" = 3", "3:1 detour");
    // The bench is a detour only where something is done there.
    check("[between]\n\"above / below\" = 3", "");
    check(
        "[between]\n\"above / below\" = 3\n[part.a]\n[part.b]\nrides = \"a\"\n\
            ways = [{ from = \"bench\" }]",
        "2:1 detour",
    );
    let tools = "[part.a]\nways = [{ tool = \"x\" }, { tool = \"y\" }, { tool = \"z\" }]";
    check(&format!("[tool_change]\n\"x / y\" = 2\n{tools}"), "2:1 detour");
    check(&format!("[tool_change]\n\"x / y\" = 1\n{tools}"), "");
    check(&format!("[tool_change]\n\"x / w\" = 1\n{tools}"), "2:1 unknown-tool");
    check("[part.a]\nways = [{ tool = \"a/b\" }]", "2:18 slash");
    insta::assert_snapshot!(said("[spot.pit]\n[between]\n\"above / below\" = 3"), @r#"
    From "above" to "below" is 3, but by "pit" it is only 2. Write "above / below" = 2, or
    raise the others.
    "#);
}

#[test]
fn jobs() {
    let machine = "[part.a]\nkg = 1\n[part.b]\nrides = \"a\"\n[tie.t]\n\
        joins = [\"a\", \"block\"]\n[prep.p]\nback = \"by itself\"\n[job]\n";
    let check_job = |job: &str, expect: &str| check(&format!("{machine}{job}"), expect);
    check_job(
        "renew = [\"a\", \"block\", \"p\", \"x\"]",
        "10:15 fixed-named, 10:24 wrong-sort, 10:29 unknown-name",
    );
    check_job("off = [\"p\"]\ndo = [\"a\"]", "10:8 wrong-sort, 11:7 wrong-sort");
    check_job("renew = [\"a\"]\ncomes_fitted = [\"b\"]", "");
    check_job("renew = [\"t\"]\ncomes_fitted = [\"b\"]", "11:17 fitted-elsewhere");
    check_job("off = [\"t\"]\nleave_off = [\"t\"]", "");
    check_job("off = [\"t\"]\nleave_off = [\"a\"]", "11:14 leave-off-elsewhere");
    check_job("already = [\"block\"]", "10:12 fixed-named");
    check_job("at = \"abov\"\nnot_from = [\"up\"]", "10:6 unknown-spot, 11:13 unknown-spot");
    check_job("without_tools = [\"hex\"]", "");
    check_job("off = [\"t\"]\nleave_alone = [\"t\"]", "10:8 never-opens, 11:16 contradiction");
}

#[test]
fn circles() {
    check(
        "[prep.p]\nneeds = [\"q\"]\nback = \"by itself\"\n[prep.q]\nneeds = [\"p\"]\n\
            back = \"by itself\"",
        "2:10 need-circle",
    );
    let pair = "[part.a]\nways = [{ clear = [\"b\"] }]\n[part.b]\nways = [{ clear = [\"a\"] }]\n";
    check(pair, "");
    assert_eq!(problems(pair, Level::Note).iter().filter(|p| p.kind == "circle").count(), 1);
    check(&format!("{pair}[job]\noff = [\"a\"]"), "6:8 circle");
    insta::assert_snapshot!(said(&format!("{pair}[job]\noff = [\"a\"]")), @r#"
    "a" can never come off: "a" needs "b" off first (line 5), "b" needs "a" off first (line 7).
    Take one of these out, or write another entry under `ways`.
    "#);
    // Another entry under `ways` opens the circle.
    check(
        "[part.a]\nways = [{ clear = [\"b\"] }, {}]\n[part.b]\n\
            ways = [{ clear = [\"a\"] }]\n[job]\noff = [\"b\"]",
        "",
    );
    // A circle is found beside other mistakes.
    check(
        &format!("{pair}ways = 1\nneeds = [\"x\"]\n[job]\noff = [\"a\"]"),
        "5:1 written-twice, 6:10 unknown-name, 8:8 circle",
    );
    // A need of the place itself.
    check(
        "[spot.pit]\nneeds = [\"p\"]\n[prep.p]\nways = [{ from = \"pit\" }]\n\
            back = \"by itself\"\n[job]\ndo = [\"p\"]",
        "2:10 need-circle, 7:7 circle",
    );
}

/// A job file is checked against the machine it names.
#[test]
fn job_beside_machine() {
    let machine = Source::new("demo/m.toml", "fixed = [\"block\"]\n[part.a]\n");
    let job = Source::new("demo/jobs/j.toml", "machine_file = \"../m.toml\"\n[job]\noff = [\"b\"]");
    let problems = check_all(&[machine, job]);
    let error = problems.iter().find(|p| p.level == Level::Error).expect("one error");
    assert_eq!((error.at.file.0, error.at.line, error.kind), (1, 3, "unknown-name"));
}
