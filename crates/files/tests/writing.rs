//! Mistakes in the writing of a file: each is found where it is, said once, and hides nothing of
//! what follows (most cases end in an unknown key that must still be found).

use lastbolt_files::{Source, read_machine};
use lastbolt_machine::FileNo;

fn problems_of(bytes: &[u8]) -> Vec<lastbolt_machine::Problem> {
    read_machine(&[Source::new("m.toml", bytes)], FileNo(0)).1
}

/// Reads a machine file and compares all problems, as `line:column kind`.
#[track_caller]
fn check(text: &str, expect: &str) {
    let problems = problems_of(text.as_bytes());
    let found = problems.iter().map(|p| format!("{}:{} {}", p.at.line, p.at.column, p.kind));
    assert_eq!(found.collect::<Vec<_>>().join(", "), expect, "{text:?}: {problems:#?}");
}

/// Reads a machine file and gives its problems as a person sees them.
fn said(text: &str) -> String {
    let problems = problems_of(text.as_bytes());
    let lines =
        problems.iter().map(|p| format!("{}:{} {} {}", p.at.line, p.at.column, p.message, p.help));
    lines.map(|line| wrap(&line)).collect::<Vec<_>>().join("\n")
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

/// Numbers, their units and commas.
#[test]
fn numbers_and_signs() {
    check("note = 2,5\n", "1:8 decimal-comma, 1:8 wrong-type");
    check(
        "fixed = [\"x\", \"y\"\nnote = 3\n[part.c]\nkg=-2\n",
        "1:9 not-closed, 2:8 wrong-type, 4:4 bad-number",
    );
    check(
        "[tie.a]\nways = [{ from = \"a\", minutes = 2,5 }]\nb=1\n[part.c]\nq=1\n",
        "2:33 decimal-comma, 3:1 unknown-key, 5:1 unknown-key",
    );
    check("[spot.b]\nsetup = 2 min\nb=1", "2:9 unit, 3:1 unknown-key");
    check("[part.a]\nkg = 05\nb=1", "2:6 bad-number, 3:1 unknown-key");
    check("[part.a]\nkg=.5\nb=1\n", "2:4 bad-number, 3:1 unknown-key");
    check("fixed = [\"x\" \"y\"]\nb=1\n", "1:14 missing-comma, 2:1 unknown-key");
    check(
        "[part.a]\nways = [{ from = 'below', minutes = 2 min }]\nb=1\n",
        "2:37 unit, 3:1 unknown-key",
    );
    check(
        "[part.a]\nways = [\n  { from = \"x\", minutes = 1 }\n\
              { from = \"y\", minutes = 1 }\n]\nb=1",
        "4:1 missing-comma, 6:1 unknown-key",
    );
    check("[part.a]\nkg = 1,5 # heavy\nq=1", "2:6 decimal-comma, 3:1 unknown-key");
    check(
        "[between]\n\"a / b\" = 2,5\n\"c / d\" 3\nq=1\n",
        "2:11 decimal-comma, 3:9 no-equals, 4:1 bad-pair",
    );
    check("[part.a]\nkg = 99999999999999999999\nq=1", "2:6 bad-number, 3:1 unknown-key");
    check(
        "[part.a]\nkg = inf\n[spot.x]\nsetup=nan\nreach=1e9\npack=-1\n",
        "2:6 bad-number, 4:7 not-a-time, 5:7 too-many-minutes, 6:6 negative-minutes",
    );
    check("fixed = [\"a\",, \"b\"]\nb=1\n", "1:14 extra-comma, 2:1 unknown-key");
}

/// Quotes that are missing, curly or not there at all.
#[test]
fn quotes() {
    check("note = \"x\ncurrency = 3\n", "1:8 missing-quote, 2:12 wrong-type");
    check("note = “x”\nb = 3", "1:8 curly-quotes, 2:1 unknown-key");
    check("note = x y\nb = 2", "1:8 no-quotes, 2:1 unknown-key");
    check("note = \"\"\"x\nfoo\nb=1", "1:8 missing-quote");
    check(
        "[tie.a]\nbears = True\nb=1\n[tie.b]\nbears=yes",
        "2:9 bad-flag, 3:1 unknown-key, 5:7 no-quotes",
    );
    check("fixed = [\"x, \"y\"]\nb=1\n", "1:16 missing-quote, 2:1 unknown-key");
    check(
        "[tie.a]\nways = [{ from = \"a, tool = \"b\" }]\nb=1\n",
        "2:31 missing-quote, 3:1 unknown-key",
    );
    check(
        "[tie.a]\nways = [{ from = \"a, tool = \"b\" },\n{ tool = 'x' }]\nb=1\n",
        "2:31 missing-quote, 4:1 unknown-key",
    );
    check(
        "[part.a]\nways = [{ from = below, minutes = 2 }]\nb=1\n",
        "2:18 no-quotes, 3:1 unknown-key",
    );
    check("note = \"a\"b\"\nb=1", "1:12 missing-quote, 2:1 unknown-key");
    check("note = 'it's'\nb=1", "1:13 missing-quote, 2:1 unknown-key");
}

/// Brackets, lines of tables, and what is named twice.
#[test]
fn brackets_and_tables() {
    check("note = ]\ncurrency=3", "1:8 not-opened, 2:10 wrong-type");
    check("[part.a\nb=3\n[part.c]\nd=1", "1:1 bad-table-line, 2:1 unknown-key, 4:1 unknown-key");
    check("[part.\"a]\nb=3\n[part.c]\nd=1", "1:1 bad-table-line, 2:1 unknown-key, 4:1 unknown-key");
    check(
        "[part.Starter motor]\nq=2\n[part.b]\nq=1\n",
        "1:1 bad-table-line, 2:1 unknown-key, 4:1 unknown-key",
    );
    check("note='1'\nnote='2'\n[job]\nat='1'\n[job]\nq=2\n", "2:1 written-twice, 5:1 named-twice");
    check(
        "[part.a]\nways = [{ from = \"x\", minutes = 1 ]\nb=1",
        "2:9 not-closed, 3:1 unknown-key",
    );
    check(
        "[part.a]\nways = [{ from = \"x\", minutes = 1\n[part.b]\nq=1",
        "2:8 not-closed, 4:1 unknown-key",
    );
    check("[part.größe]\nq=1\n", "1:1 bad-table-line, 2:1 unknown-key");
    check("fixed = [\"a\"]]\nb=1\n", "1:14 not-opened, 2:1 unknown-key");
    check("[part.a]]\nq=1\n", "1:1 bad-table-line, 2:1 unknown-key");
    check("[part.\"a\" \"b\"]\nq=1", "1:1 bad-table-line, 2:1 unknown-key");
    check("together = [[\"a\", \"b\"]\n[part.a]\nq=1\n", "1:12 not-closed, 3:1 unknown-key");
    check("[part.a]\nrenew = [\"a\",\n\"b\",\nkg = 5\nq=1", "2:9 not-closed, 5:1 unknown-key");
}

/// Lines that are none.
#[test]
fn lines() {
    check("= 3\nb = 1", "1:1 not-understood, 2:1 unknown-key");
    check("note == '3'\nb=1", "1:6 extra-equals, 2:1 unknown-key");
    check("note = \"\\q\"\nb=1", "1:10 bad-backslash, 2:1 unknown-key");
    check("note = \"x\" \"y\"\nb=1\n", "1:12 left-over, 2:1 unknown-key");
    check("{\nb=1\n", "1:1 not-understood, 2:1 unknown-key");
    check("[part.a]\nkg = 1\n[part.a]\nkg=2\nq=1\n", "5:1 unknown-key");
    check("hello there\nb=1\n", "1:1 not-understood, 2:1 unknown-key");
    check("größe = 3\nb=1\n", "1:1 not-understood, 2:1 unknown-key");
    check("note = \"a\0b\"\n", "1:1 not-text");
    check("note = 2026-13-45\nb=1\n", "1:8 not-understood, 2:1 unknown-key");
    check("[part.a]\nkg = 1_\nq=1", "2:7 not-understood, 3:1 unknown-key");
    check("[part.a.b]\nc=1\n", "1:9 unknown-key");
    check("[[part.a.ways]]\nminutes=1\n[[part.a.ways]]\nminutes=2\nq=3\n", "5:1 unknown-key");
    check("a.b.c = 3\nb=1\n", "1:1 unknown-key, 2:1 unknown-key");
    check("[x-a]\nq=1\n[part.a]\nx-b=1\n", "");
    check("note = \"a\" # “hi”\nb=1\n", "2:1 unknown-key");
    check("note = \"it’s\"\nb=1", "2:1 unknown-key");
}

/// Values of another sort.
#[test]
fn values() {
    check("[part.a]\nkg 5\nnote = 3\n", "2:4 no-equals, 3:8 wrong-type");
    check("[part.a]\nkg: 5\nnote = 3\n", "2:3 no-equals, 3:8 wrong-type");
    check("[part.a]\nkg = \nnote = 3", "2:6 no-value, 3:8 wrong-type");
    check("note = 1\rb = 2\r", "1:8 wrong-type, 2:1 unknown-key");
    check("[[part]]\nq=1\n", "1:1 wrong-type");
    check("part = 3\nb=1\n", "1:8 wrong-type, 2:1 unknown-key");
    check("[part]\na = 3\nb=1\n", "2:1 wrong-type, 3:1 wrong-type");
}

/// Bytes that are no text, too much text, or text in another encoding: one sentence, at once.
#[test]
fn bytes() {
    let kinds = |bytes: &[u8]| {
        let problems = problems_of(bytes);
        let all = problems.iter().map(|p| format!("{}:{} {}", p.at.line, p.at.column, p.kind));
        all.collect::<Vec<_>>().join(", ")
    };
    assert_eq!(kinds(b""), "1:1 empty-file");
    assert_eq!(kinds(b"# only a remark"), "1:1 empty-file");
    assert_eq!(kinds(b"note = 'a\0b'"), "1:1 not-text");
    assert_eq!(kinds(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"), "1:1 not-text");
    assert_eq!(kinds(b"\xff\xfen\0o\0"), "1:1 not-utf-8");
    assert_eq!(kinds(b"note = 'Schl\xfcssel'\nb = 1"), "1:13 not-utf-8, 2:1 unknown-key");
    assert_eq!(kinds(&vec![b'x'; 10_000_000]), "1:1 too-large");
    assert_eq!(kinds("\u{feff}b = 1".as_bytes()), "1:1 unknown-key");
    assert_eq!(kinds(b"note = 'x'\r\nb = 1\r\n"), "2:1 unknown-key");
    assert_eq!(kinds("some prose, no file of ours\n".repeat(30).as_bytes()), "1:1 not-ours");
}

/// Very deep brackets are refused in one sentence and do not end the program.
#[test]
fn depth() {
    for deep in ["[", "{a=", "[{a="] {
        let text = format!("note = {}\nb = 1", deep.repeat(100_000));
        let problems = problems_of(text.as_bytes());
        assert_eq!(problems[0].kind, "too-deep", "{problems:#?}");
        assert!(problems.len() <= 4, "{problems:#?}");
    }
    let dotted = format!("[part.{}a]\nb = 1", "a.".repeat(100_000));
    assert!(problems_of(dotted.as_bytes()).len() <= 4);
}

/// What a mechanic reads.
#[test]
fn sentences() {
    insta::assert_snapshot!(
        said("[spot.below]\nsetup = 2,5\npack = 3 min\nreach = \"30 s\"\n\
            [part.Starter motor]\nkg = \"5 kg\"\nkg = 5\n"),
        @r#"
    2:9 2,5 has a comma in it. Write 2.5: numbers take a point here.
    3:8 "3 min" has a unit beside the number. Write pack = 3.
    4:9 `reach` takes a number of minutes, not the text "30 s". Write reach = 0.5, without
    quotes and without a unit.
    5:1 A name with spaces or other signs stands in quotes. Write [part."Starter motor"].
    6:6 `kg` takes a number of kilograms, not the text "5 kg". Write kg = 5, without quotes and
    without a unit.
    7:1 `kg` is written twice here; first at line 6. Keep one of the two.
    "#
    );
}
