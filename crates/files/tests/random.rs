//! Whatever bytes come: no panic, an answer soon, and no more problems than can be read.

use std::time::{Duration, Instant};

use lastbolt_files::{Document, Source, check_all, read};
use lastbolt_machine::{FileNo, Machine};
use proptest::prelude::*;

const VALID: &str = include_str!("data/prep_drain.toml");

/// Generous: the slowest machine of a build farm takes part in the tests as well.
const SOON: Duration = Duration::from_secs(20);

fn holds(bytes: Vec<u8>) {
    let began = Instant::now();
    let problems = check_all(&[Source::new("m.toml", bytes)]);
    assert!(problems.len() <= 401, "{}", problems.len());
    assert!(problems.iter().all(|p| !p.message.is_empty() && p.message.ends_with(['.', '?'])));
    assert!(began.elapsed() < SOON, "{:?}", began.elapsed());
}

fn token() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "[",
        "]",
        "{",
        "}",
        "\"",
        "'",
        "\"\"\"",
        "'''",
        "=",
        ",",
        ".",
        "#",
        "\n",
        "\r",
        "\r\n",
        " ",
        "\\",
        "part",
        "tie",
        "prep",
        "spot",
        "ways",
        "back",
        "a",
        "b",
        "\"a\"",
        "\"b\"",
        "joins = ",
        "ways = ",
        "clear = ",
        "rides = ",
        "[part.a]\n",
        "[part.b]\n",
        "[tie.t]\n",
        "[[part.a.ways]]\n",
        "[prep.p]\n",
        "[job]\n",
        "2,5",
        "1",
        "-1",
        "1e9",
        "nan",
        "“",
        "”",
        "true",
        "\u{feff}",
        "\u{e000}",
        "é",
        "\0",
        "minutes = ",
        "from = \"bench\"",
        "needs = [\"p\"]",
        "off = [\"a\"]",
    ])
}

fn config() -> ProptestConfig {
    ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        holds(bytes);
    }

    #[test]
    fn random_tokens(tokens in prop::collection::vec(token(), 0..80)) {
        holds(tokens.concat().into_bytes());
    }

    /// A valid file with a few bytes changed, cut out or doubled, and two lines swapped.
    #[test]
    fn mutations(
        flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        cut in any::<prop::sample::Index>(),
        length in 0..12usize,
        swap in (any::<prop::sample::Index>(), any::<prop::sample::Index>()),
    ) {
        let mut lines: Vec<&str> = VALID.lines().collect();
        let (a, b) = (swap.0.index(lines.len()), swap.1.index(lines.len()));
        lines.swap(a, b);
        let mut bytes = lines.join("\n").into_bytes();
        for (place, byte) in flips {
            let place = place.index(bytes.len());
            bytes[place] = byte;
        }
        let from = cut.index(bytes.len());
        let to = (from + length).min(bytes.len());
        bytes.drain(from..to);
        holds(bytes);
    }

    /// The order of the tables does not matter, but for places.
    #[test]
    fn order_of_tables(order in Just((0..TABLES).collect::<Vec<usize>>()).prop_shuffle()) {
        let (top, tables) = tables();
        let shuffled: Vec<&str> = order.iter().map(|index| tables[*index].as_str()).collect();
        let text = format!("{top}{}", shuffled.concat());
        prop_assert_eq!(names(&machine(&text)), names(&machine(VALID)));
        prop_assert!(check_all(&[Source::new("m", text)]).is_empty());
    }
}

const TABLES: usize = 12;

/// The lines above the first table, and each table.
fn tables() -> (String, Vec<String>) {
    let mut tables = vec![String::new()];
    for line in VALID.lines() {
        if line.starts_with('[') {
            tables.push(String::new());
        }
        let last = tables.last_mut().expect("the top");
        last.push_str(line);
        last.push('\n');
    }
    let top = tables.remove(0);
    assert_eq!(tables.len(), TABLES);
    (top, tables)
}

fn machine(text: &str) -> Machine {
    match read(&[Source::new("m.toml", text)], FileNo(0)).0 {
        Document::Machine(machine) => *machine,
        other => panic!("{other:?}"),
    }
}

/// Everything a machine says, without the places and without the order of its things.
fn names(machine: &Machine) -> Vec<String> {
    let place = |text: &str| -> String {
        let mut out = String::new();
        let mut rest = text;
        while let Some(start) = rest.find("At {") {
            out.push_str(&rest[..start]);
            let end = rest[start..].find('}').map_or(rest.len(), |end| start + end + 1);
            rest = &rest[end..];
        }
        out + rest
    };
    let mut all: Vec<String> = Vec::new();
    all.extend(machine.parts.iter().map(|p| place(&format!("{p:?}"))));
    all.extend(machine.ties.iter().map(|t| place(&format!("{t:?}"))));
    all.extend(machine.preps.iter().map(|p| place(&format!("{p:?}"))));
    all.extend(machine.spots.iter().map(|s| place(&format!("{s:?}"))));
    all.push(
        place(&format!("{:?}{:?}{:?}", machine.fixed, machine.between, machine.job))
            .replace(", file: FileNo(0)", ""),
    );
    all.sort();
    all
}

/// Large files of one thing over and over are answered soon as well.
#[test]
fn large_files() {
    for line in [
        "]x\n",
        "a = [\n",
        "[part.a]\n",
        "a = 1\n",
        "\"\n",
        "[\n",
        "a = “\n",
        "x = 2,5\n",
        "[tie.\"b\n",
        "\"\"\"",
        "a=[[[{{",
        "a 1\n",
        "[part.\"a b\"]\nrides = \"c\"\n",
        "a.b.c = 1\n",
        "[a.b]\n",
        "\r",
        "é=\n",
        "k = 1 2\n",
    ] {
        let began = Instant::now();
        holds(line.repeat(2_000_000 / line.len()).into_bytes());
        println!("{line:?} {:?}", began.elapsed());
    }
    let parts = |f: &dyn Fn(usize) -> String| (0..5_000).map(f).collect::<String>();
    // A long chain, and one fixing that names all of it again and again.
    let all: String = (0..500).map(|i| format!("\"p{i}\",")).collect();
    let heavy = format!("{{ clear = [{all}] }},").repeat(199);
    let chain = parts(&|i| format!("[part.p{i}]\nways = [{{ clear = [\"p{}\"] }}]\n", i + 1));
    holds(
        format!("{chain}[part.p5000]\n[tie.t]\njoins = [\"p0\"]\nways = [{heavy}]\n").into_bytes(),
    );
    // A chain of riding, a chain of clearing (the wrong way round), many unknown names.
    holds(parts(&|i| format!("[part.p{i}]\nrides = \"p{}\"\n", i + 1)).into_bytes());
    holds(
        parts(&|i| format!("[part.p{i}]\nways = [{{ clear = [\"p{}\"] }}]\n", i + 1)).into_bytes(),
    );
    holds(
        parts(&|i| format!("[part.p{i}]\nways = [{{ clear = [\"p{}\"] }}]\n", i * 7 % 5_000))
            .into_bytes(),
    );
    holds(
        parts(&|i| format!("[part.p{i}]\nways = [{{ clear = [\"quite another name {i}\"] }}]\n"))
            .into_bytes(),
    );
}
