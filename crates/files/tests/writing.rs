//! Mistakes in the writing of a file: each is found where it is, said once, and hides nothing.

use lastbolt_files::{Source, read_machine};
use lastbolt_machine::FileNo;

fn problems(text: &str) -> String {
    let (_, problems) = read_machine(&[Source::new("m.toml", text)], FileNo(0));
    let lines = problems.iter().map(|p| format!("{}:{} {}", p.at.line, p.at.column, p.kind));
    lines.collect::<Vec<_>>().join(", ")
}

#[test]
fn dump() {
    for text in [
        "note = 2,5\n",
        "[part.a]\nkg 5\nnote = 3\n",
        "[part.a]\nkg: 5\nnote = 3\n",
        "[part.a]\nkg = \nnote = 3",
        "note = \"x\ncurrency = 3\n",
        "fixed = [\"x\", \"y\"\nnote = 3\n[part.c]\nkg=-2\n",
        "note = ]\ncurrency=3",
        "[part.a\nb=3\n[part.c]\nd=1",
        "[part.\"a]\nb=3\n[part.c]\nd=1",
        "[tie.a]\nways = [{ from = \"a\", minutes = 2,5 }]\nb=1\n[part.c]\nq=1\n",
        "note = “x”\nb = 3",
        "note = x y\nb = 2",
        "[part.Starter motor]\nq=2\n[part.b]\nq=1\n",
        "note='1'\nnote='2'\n[job]\nat='1'\n[job]\nq=2\n",
        "= 3\nb = 1",
        "note == '3'\nb=1",
        "[spot.b]\nsetup = 2 min\nb=1",
        "[part.a]\nkg = 05\nb=1",
        "[part.a]\nkg=.5\nb=1\n",
        "note = \"\"\"x\nfoo\nb=1",
        "note = 1\rb = 2\r",
        "note = \"\\q\"\nb=1",
        "[tie.a]\nbears = True\nb=1\n[tie.b]\nbears=yes",
        "note = \"x\" \"y\"\nb=1\n",
        "fixed = [\"x\" \"y\"]\nb=1\n",
        "fixed = [\"x, \"y\"]\nb=1\n",
        "[tie.a]\nways = [{ from = \"a, tool = \"b\" }]\nb=1\n",
        "[tie.a]\nways = [{ from = \"a, tool = \"b\" },\n{ tool = 'x' }]\nb=1\n",
        "[part.a]\nways = [{ from = below, minutes = 2 }]\nb=1\n",
        "[part.a]\nways = [{ from = 'below', minutes = 2 min }]\nb=1\n",
        "{\nb=1\n",
        "[part.a]\nways = [{ from = \"x\", minutes = 1 ]\nb=1",
        "[part.a]\nways = [{ from = \"x\", minutes = 1\n[part.b]\nq=1",
        "[part.a]\nkg = 1\n[part.a]\nkg=2\nq=1\n",
        "hello there\nb=1\n",
        "größe = 3\nb=1\n",
        "[part.größe]\nq=1\n",
        "note = \"a\u{0}b\"\n",
        "note = \"a\u{1}b\" #..........................................................................................\n",
        "[part.a]\nways = [\n  { from = \"x\", minutes = 1 }\n  { from = \"y\", minutes = 1 }\n]\nb=1",
        "[part.a]\nkg = 1,5 # heavy\nq=1",
        "[between]\n\"a / b\" = 2,5\n\"c / d\" 3\nq=1\n",
        "note = 2026-13-45\nb=1\n",
        "[part.a]\nkg = 1_\nq=1",
        "[part.a]\nkg = 99999999999999999999\nq=1",
        "[part.a]\nkg = inf\n[spot.x]\nsetup=nan\nreach=1e9\npack=-1\n",
        "[[part]]\nq=1\n",
        "part = 3\nb=1\n",
        "[part]\na = 3\nb=1\n",
        "[part.a.b]\nc=1\n",
        "[[part.a.ways]]\nminutes=1\n[[part.a.ways]]\nminutes=2\nq=3\n",
        "a.b.c = 3\nb=1\n",
        "[x-a]\nq=1\n[part.a]\nx-b=1\n",
        "fixed = [\"a\",, \"b\"]\nb=1\n",
        "fixed = [\"a\"]]\nb=1\n",
        "[part.a]]\nq=1\n",
        "[part.\"a\" \"b\"]\nq=1",
        "note = \"a\" # “hi”\nb=1\n",
        "note = \"it’s\"\nb=1",
        "note = \"a\"b\"\nb=1",
        "note = 'it's'\nb=1",
        "together = [[\"a\", \"b\"]\n[part.a]\nq=1\n",
        "[part.a]\nrenew = [\"a\",\n\"b\",\nkg = 5\nq=1",
    ] {
        println!("{text:?}\n   {}", problems(text));
        if std::env::var("V").is_ok() {
            for p in read_machine(&[Source::new("m.toml", text)], FileNo(0)).1 {
                println!("      {} | {}", p.message, p.help);
            }
        }
    }
}
