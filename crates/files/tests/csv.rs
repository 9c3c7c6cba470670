//! Lists as spreadsheets keep them: what they say, what is wrong with them, and back again.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use std::collections::BTreeSet;

use lastbolt_files::csv::{
    COLUMNS, List, ROWS_MAX, Row, RowStands, Style, harmless, read_list, write_list,
};
use lastbolt_machine::{FileNo, Level, Minutes};
use proptest::prelude::*;

fn read(text: &str) -> List {
    read_list(text.as_bytes(), FileNo(0))
}

fn row(line: u32, part: &str, kind: &str, count: u32) -> Row {
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    Row { line, parts: some(part).into_iter().collect(), kind: some(kind), count, ..Row::default() }
}

/// The same list, as different spreadsheets save it, says the same.
#[test]
fn whatever_saved_it() {
    let expected = [
        row(2, "tray", "", 1),
        Row { minutes: Some(Minutes(2_500)), ..row(3, "tray", "nut", 3) },
        Row { place: Some("above; left".to_owned()), ..row(4, "tray", "earth", 1) },
    ];
    let comma = "Part,KIND,count,minutes,place\ntray,,,,\ntray,nut,3,2.5,\n\
                 tray,earth,,,above; left\n";
    let semicolon = "part;kind;count;minutes;place\r\ntray;part;1;;\r\ntray;nut;3,0;2,5;\r\n\
                     tray;earth;;;\"above; left\"\r\n";
    let tab = "place\tpart \tkind\tminutes\tcount\n\ttray\n\ttray\tnut\t2,5\t3\n\
               above; left\ttray\tearth";
    let marked = format!("\u{feff}{semicolon}");
    let old_mac = comma.replace('\n', "\r");
    for text in [comma, semicolon, tab, &marked, &old_mac] {
        let list = read(text);
        assert_eq!(list.problems, vec![], "{text}");
        assert_eq!(list.rows, expected, "{text}");
    }
    assert_eq!(read(comma).separator, ',');
    assert_eq!(read(semicolon).separator, ';');
    assert_eq!(read(tab).separator, '\t');
    // What a spreadsheet writes for itself before the header counts as a line.
    let said = read(&format!("sep=;\n{semicolon}"));
    assert_eq!(said.rows.iter().map(|row| row.line).collect::<Vec<_>>(), [3, 4, 5]);
}

/// What a row leaves out is settled by rules, not by chance.
#[test]
fn what_a_row_is() {
    let list = read(
        "part;kind;name;count\ntray;;;\n;;cover;\ntray;;upper screws;4\n;clip;;2\n\
         tray + cover;screw;;2\n",
    );
    assert_eq!(list.problems, vec![]);
    let named = Row { name: Some("upper screws".into()), ..row(4, "tray", "fixing", 4) };
    let both = Row { parts: vec!["tray".into(), "cover".into()], ..row(6, "", "screw", 2) };
    let expected =
        [row(2, "tray", "", 1), row(3, "cover", "", 1), named, row(5, "", "clip", 2), both];
    assert_eq!(list.rows, expected);
    // A part that is called just that is one part.
    let list = read("part;kind\nnut + bolt;\nnut + bolt;clip\n");
    assert_eq!(list.rows[1].parts, ["nut + bolt"]);
}

/// Every problem is said with its line, and says what to do.
#[test]
fn every_problem_with_its_line() {
    let long = "a".repeat(121);
    let too_many = format!("part\n{}", "x\n".repeat(ROWS_MAX + 1));
    let wide = format!("part;kind\nx;nut;{}", ";".repeat(100));
    let cases: &[(&str, &[(&str, u32)])] = &[
        ("", &[("empty-file", 1)]),
        (" \n;;\n", &[("empty-file", 1)]),
        ("part;kind\n", &[("empty-file", 1)]),
        ("what;ever\na;b\n", &[("no-header", 1)]),
        ("tray;nut;3\n", &[("no-header", 1)]),
        ("part;kind;part\na;b;c\n", &[("column-twice", 1)]),
        ("part;kinds\ntray;nut\n", &[("unknown-column", 1)]),
        ("part;kind\ntray;nut\n\ntray;nut\n", &[("double", 4)]),
        ("part;kind;count\n;;3\n", &[("says-nothing", 2)]),
        ("part;kind;count\ntray;nut;none\n", &[("bad-number", 2)]),
        ("part;kind;minutes\ntray;nut;1.234,5\n", &[("bad-number", 2)]),
        ("part,kind,minutes\ntray,nut,2,5\n", &[("too-many-cells", 2)]),
        ("part;count\nwheel;4\n", &[("several-parts", 2)]),
        ("part;kind;name\ntray;part;box\n", &[("name-twice", 2)]),
        ("kind;name;count\nnut;upper;1\nnut;upper;2\n", &[("name-twice", 3)]),
        ("part;kind;name\ntray;nut;\nbox;nut;tray\n", &[("name-twice", 3)]),
        ("part;place\ntray;\ntray;above\n", &[("name-twice", 3)]),
        ("part;kind;stands\ntray;nut;broken\n", &[("unknown-word", 2)]),
        ("part;stands\ntray;slack\n", &[("unknown-word", 2)]),
        ("part;place\ntray;left/right\n", &[("slash", 2)]),
        ("part;tool\ntray;1/2 drive\n", &[("slash", 2)]),
        ("part;note\ntray;\"never ends\nbox;\n", &[("open-quote", 2)]),
        ("part;note\ntray;\"two\nlines\"\nbox;\"a\" b\n", &[("after-quote", 4)]),
        (
            "part\nt\u{7} and more words than strange signs, so that it is a text\n",
            &[("bad-character", 2)],
        ),
        (&format!("part\n{long}\n"), &[("too-long", 2)]),
        (&too_many, &[("too-long", ROWS_MAX as u32 + 2)]),
        (&wide, &[("too-wide", 2)]),
        (
            "part;kind;count;minutes\na;nut;0;\n\nb;nut;1;-2\n",
            &[("bad-number", 2), ("bad-number", 4)],
        ),
    ];
    for (text, expected) in cases {
        let list = read(text);
        let mut found: Vec<(&str, u32)> =
            list.problems.iter().map(|problem| (problem.kind, problem.at.line)).collect();
        if text.len() > 5_000 {
            found.retain(|(kind, _)| !["double", "more-problems"].contains(kind));
        }
        let start: String = text.chars().take(60).collect();
        assert_eq!(found, *expected, "{start}");
        for problem in &list.problems {
            assert!(problem.message.ends_with('.'), "{}", problem.message);
            assert!(problem.level == Level::Note || !problem.help.is_empty(), "{start}");
        }
    }
}

/// The lines of doubles are both said, and one of them is kept.
#[test]
fn doubles() {
    let list = read("part;kind;count\ntray;nut;3\ntray; nut ;3\ntray;nut;2\n");
    assert_eq!(list.rows.len(), 2);
    assert_eq!((list.doubles[0].line, list.doubles[0].of), (3, 2));
}

/// Problems of a large bad file are no more than a person can read.
#[test]
fn problems_are_limited() {
    let list = read(&format!("part;count\n{}", "x;y\n".repeat(4_000)));
    assert!((100..=201).contains(&list.problems.len()), "{}", list.problems.len());
}

/// What would begin a formula when a spreadsheet opens it.
fn is_formula(cell: &str) -> bool {
    cell.trim_start_matches(' ').starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// No cell of a written list is a formula; a writer that forgets the apostrophe is found out.
#[test]
fn no_formulas() {
    let names = ["=1+1", "+cmd", "-2", "@sum", "\tx", "\rx", " =1", "'=1", "''@a", "plain - x"];
    for style in styles() {
        for name in names {
            let row = Row { note: Some(name.to_owned()), ..row(0, name, "nut", 1) };
            let text = write_list(&[row], style);
            let cells = cells_of(&text, style.separator);
            let bad = cells.iter().flatten().find(|cell| is_formula(cell));
            assert_eq!(bad, None, "{text}");
        }
    }
    let careless = |text: &str| text.to_owned();
    assert!(!names.iter().any(|name| is_formula(&harmless(name))));
    assert!(names.iter().any(|name| is_formula(&careless(name))));
}

/// Reads as somebody else reads it.
fn cells_of(text: &str, separator: char) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(u8::try_from(separator).unwrap())
        .has_headers(false)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let rows = reader.records().map(Result::unwrap);
    rows.map(|row| row.iter().map(str::to_owned).collect()).collect()
}

fn styles() -> Vec<Style> {
    let one = |separator| [false, true].map(|decimal_comma| Style { separator, decimal_comma });
    [';', ',', '\t'].into_iter().flat_map(one).collect()
}

fn word() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "tray", "nut", "=", "+", "-", "@", "'", "\"", ";", ",", "ü", "＝", " ", "5", "(", "\u{a0}",
    ]);
    prop::collection::vec(pieces, 1..6).prop_map(|pieces| {
        let text = pieces.concat();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() { "x".to_owned() } else { text }
    })
}

fn note() -> impl Strategy<Value = Option<String>> {
    prop::option::of((word(), word()).prop_map(|(a, b)| format!("{a}\n\t{b}")))
}

/// A list with a row for each part, then fixings, all with names of their own.
fn rows() -> impl Strategy<Value = Vec<Row>> {
    let parts = prop::collection::vec((word(), note()), 1..5);
    let tie = (
        prop::option::of(0..5_usize),
        word(),
        1..900_u32,
        note(),
        (prop::option::of(word()), prop::option::of(0..9_999_999_i64)),
        0..5_usize,
    );
    (parts, prop::collection::vec(tie, 0..8)).prop_map(|(parts, ties)| {
        let part = |(number, (name, note)): (usize, (String, Option<String>))| Row {
            note,
            ..row(0, &format!("{name} {number}"), "", 1)
        };
        let mut rows: Vec<Row> = parts.into_iter().enumerate().map(part).collect();
        let names: Vec<String> = rows.iter().flat_map(|row| row.parts.clone()).collect();
        for (number, tie) in ties.into_iter().enumerate() {
            let (part, kind, count, note, (place, minutes), stands) = tie;
            rows.push(Row {
                parts: part.and_then(|part| names.get(part).cloned()).into_iter().collect(),
                name: Some(format!("{kind} no. {number}")),
                place,
                minutes: minutes.map(Minutes),
                note,
                stands: RowStands::ALL.get(stands).copied(),
                ..row(0, "", &kind, count)
            });
        }
        rows
    })
}

proptest! {
    /// What is written reads back the same, here and elsewhere, whatever the names are.
    #[test]
    fn round_trip(rows in rows(), style in prop::sample::select(styles())) {
        let text = write_list(&rows, style);
        let list = read(&text);
        prop_assert_eq!(&list.problems, &vec![], "{}", text);
        prop_assert_eq!(list.separator, style.separator);
        let back: Vec<Row> = list.rows.into_iter().map(|row| Row { line: 0, ..row }).collect();
        prop_assert_eq!(&back, &rows, "{}", text);
        let cells = cells_of(&text, style.separator);
        prop_assert_eq!(cells.len(), rows.len() + 1);
        prop_assert!(cells.iter().all(|row| row.len() == COLUMNS.len()));
        prop_assert!(!cells.iter().flatten().any(|cell| is_formula(cell)), "{}", text);
    }

    /// Cells are split as the rest of the world splits them.
    #[test]
    fn splits_as_others_do(cells in prop::collection::vec((word(), word()), 1..6)) {
        let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
        let mut text = "part;kind;note\r\n".to_owned();
        for (number, (part, note)) in cells.iter().enumerate() {
            let part = quoted(&format!("p{number}{part}"));
            text.push_str(&format!("{part};nut;{}\r\n", quoted(note)));
        }
        let others: BTreeSet<Vec<String>> = cells_of(&text, ';').into_iter().skip(1).collect();
        let list = read(&text);
        let names: BTreeSet<String> = others.iter().map(|row| row[0].clone()).collect();
        let own: BTreeSet<String> = list.rows.iter().map(|row| row.parts.join(" + ")).collect();
        prop_assert_eq!(own, names);
    }

    /// Whatever bytes come: no panic, and no more problems than can be read.
    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let list = read_list(&bytes, FileNo(0));
        prop_assert!(list.problems.len() <= 201);
        let mut text = b"part;kind;count\n".to_vec();
        text.extend(bytes);
        prop_assert!(read_list(&text, FileNo(0)).problems.len() <= 201);
    }
}
