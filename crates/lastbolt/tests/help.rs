//! Help speaks the words of the trade.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::run;

const COMMANDS: [&str; 31] = [
    "check",
    "plan",
    "verify",
    "begin",
    "open",
    "phones",
    "took",
    "did",
    "correct",
    "fact",
    "expected",
    "leave-alone",
    "dropped",
    "found",
    "put-in",
    "taken-out",
    "all-off",
    "gate",
    "disturbed",
    "ask",
    "answer",
    "take-back",
    "next",
    "state",
    "record",
    "export",
    "import",
    "leftover",
    "photo",
    "backup",
    "restore",
];

/// Words of code and files that a person with gloves need not know.
const FORBIDDEN: [&str; 15] = [
    "tie", "spot", "prep", "ride", "wake", "target", "carrier", "fold", "event", "ledger", "doubt",
    "way", "clear", "load", "join",
];
const PAIRS: [&str; 2] = ["made blind", "open set"];

/// The first forbidden word of a text; option names and plain "way in" and "way back" are exempt.
fn forbidden(help: &str) -> Option<String> {
    let text = help.to_lowercase();
    let options = |word: &&str| !word.starts_with('-') && !word.starts_with("[-");
    let plain: Vec<&str> = text.split_whitespace().filter(options).collect();
    let plain = plain.join(" ");
    let mut plain = plain.replace("take-back", "");
    for exempt in ["ways in", "way in", "way back", "ways back"] {
        plain = plain.replace(exempt, "");
    }
    if let Some(pair) = PAIRS.iter().find(|pair| plain.contains(**pair)) {
        return Some((*pair).to_owned());
    }
    let words = plain.split(|c: char| !c.is_alphabetic());
    let is_one = |word: &&str| {
        FORBIDDEN.iter().any(|bad| word.strip_prefix(bad).is_some_and(|s| matches!(s, "" | "s")))
    };
    words.into_iter().find(is_one).map(str::to_owned)
}

/// The scan finds what it is for, and leaves alone what is exempt.
#[test]
fn the_scan_finds_them() {
    let check = |text: &str, expect: Option<&str>| {
        assert_eq!(forbidden(text).as_deref(), expect, "{text}");
    };
    check("Undoes the ties first.", Some("ties"));
    check("From which spot", Some("spot"));
    check("Lists what is made blind", Some("made blind"));
    check("--ways  Lists the other ways in, and the way back", None);
    check("--event ID", None);
    check("Lists the ways.", Some("ways"));
    check("already unready, overridden", None);
}

/// Every command is there, says what it does in one short sentence, in words of the trade.
#[test]
fn help_of_every_command() {
    let all = run(&["--help"]);
    assert_eq!(all.code, 0);
    assert_eq!(forbidden(&all.out), None, "{}", all.out);
    for command in COMMANDS {
        assert!(all.out.contains(&format!("  {command} ")), "{command}: {}", all.out);
        let help = run(&[command, "--help"]);
        assert_eq!(help.code, 0, "{command}");
        assert_eq!(forbidden(&help.out), None, "{command}:\n{}", help.out);
        let first = help.out.lines().next().unwrap();
        assert!((10..=80).contains(&first.len()), "{command}: {first}");
    }
}
