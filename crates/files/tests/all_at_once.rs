//! All problems are reported at once. A reader that stops at the first one must be found out.

use lastbolt_files::{Source, check_all};

const FIVE_MISTAKES: &str = r#"
fixed = ["block"
[spot.above]
setup = 2,5
[part.a]
kgs = 3
ways = [{ from = "abov", minutes = "2" }]
"#;

/// The lines of the five mistakes.
const LINES: [u32; 4] = [2, 4, 6, 7];

fn finds_all(reader: fn(&str) -> Vec<u32>) -> bool {
    let lines = reader(FIVE_MISTAKES);
    lines.len() >= 5 && LINES.iter().all(|line| lines.contains(line))
}

fn ours(text: &str) -> Vec<u32> {
    check_all(&[Source::new("m.toml", text)]).iter().map(|p| p.at.line).collect()
}

/// Deliberately wrong: stops at the first mistake.
fn stops_at_the_first(text: &str) -> Vec<u32> {
    ours(text).into_iter().take(1).collect()
}

/// Deliberately wrong: checks names only once the writing is right.
fn stops_after_the_writing(text: &str) -> Vec<u32> {
    let all = check_all(&[Source::new("m.toml", text)]);
    let writing = ["not-closed", "decimal-comma"];
    all.iter().filter(|p| writing.contains(&p.kind)).map(|p| p.at.line).collect()
}

#[test]
fn five_of_five() {
    assert!(finds_all(ours), "{:?}", ours(FIVE_MISTAKES));
    assert!(!finds_all(stops_at_the_first));
    assert!(!finds_all(stops_after_the_writing));
}
