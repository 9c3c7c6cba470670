//! Help speaks the words of the trade.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

#[allow(dead_code, reason = "each test file uses its share of the common functions")]
mod common;

use common::run;

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
    for exempt in ["ways in", "way in", "way back", "ways back", "way-in", "way-back"] {
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

/// The commands that the program itself lists, so that a new one is not forgotten.
fn listed(help: &str) -> Vec<&str> {
    let Some((_, after)) = help.split_once("Commands:\n") else { return Vec::new() };
    let lines = after.lines().take_while(|line| line.starts_with("  "));
    let named = lines.filter(|line| !line.starts_with("   "));
    named.map(|line| line.split_whitespace().next().unwrap()).collect()
}

/// Every command says what it does in one short sentence, in words of the trade; so does its page
/// of the manual.
#[test]
fn help_of_every_command() {
    let all = run(&["--help"]);
    assert_eq!(all.code, 0);
    assert_eq!(forbidden(&all.out), None, "{}", all.out);
    let commands = listed(&all.out);
    assert!(commands.len() > 30, "{commands:?}");
    for command in commands {
        let help = run(&[command, "--help"]);
        assert_eq!(help.code, 0, "{command}");
        assert_eq!(forbidden(&help.out), None, "{command}:\n{}", help.out);
        let first = help.out.lines().next().unwrap();
        assert!((10..=80).contains(&first.len()), "{command}: {first}");
        let page = run(&["man", command]);
        assert_eq!(page.code, 0, "{command}: {}", page.err);
        assert!(page.out.contains(&format!("lastbolt\\-{}", command.replace('-', "\\-"))));
        assert!(page.out.contains("NAME") && page.out.contains("SYNOPSIS"), "{}", page.out);
        for inner in listed(&help.out).into_iter().filter(|inner| *inner != "help") {
            let help = run(&[command, inner, "--help"]);
            assert_eq!((help.code, forbidden(&help.out)), (0, None), "{command} {inner}");
        }
        let short = run(&[command, "-h"]);
        assert_eq!(forbidden(&short.out), None, "{command}:\n{}", short.out);
    }
}

/// The manual of the whole names every command; one that is not there gets a sentence.
#[test]
fn manual() {
    let whole = run(&["man"]);
    assert_eq!(whole.code, 0);
    let all = run(&["--help"]);
    for command in listed(&all.out) {
        assert!(whole.out.contains(&command.replace('-', "\\-")), "{command}");
    }
    let none = run(&["man", "fly"]);
    assert_eq!((none.code, none.out.as_str()), (2, ""));
    assert!(none.err.contains("There is no command \"fly\""), "{}", none.err);
}

/// Every shell gets a script that knows every command and its options.
#[test]
fn completions_of_every_shell() {
    let all = run(&["--help"]);
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = run(&["completions", shell]);
        assert_eq!(script.code, 0, "{shell}: {}", script.err);
        for word in listed(&all.out).into_iter().chain(["tolerance", "no-browser"]) {
            assert!(script.out.contains(word), "{shell} does not know {word}");
        }
    }
    assert_eq!(run(&["completions", "abacus"]).code, 2);
}

/// Bash itself takes the script, and completes what begins like a command.
#[test]
fn bash_completes() {
    let Ok(version) = std::process::Command::new("bash").arg("--version").output() else {
        println!("skipped: there is no bash here");
        return;
    };
    assert!(version.status.success());
    let script = run(&["completions", "bash"]).out;
    let ask = "\nCOMP_WORDS=(lastbolt take)\nCOMP_CWORD=1\n_lastbolt lastbolt take lastbolt\n\
               printf '%s\\n' \"${COMPREPLY[@]}\"\n";
    let asked = std::process::Command::new("bash")
        .args(["--norc", "-c", &format!("{script}{ask}")])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&asked.stdout);
    let all: Vec<&str> = said.lines().collect();
    assert_eq!(all, ["taken-out", "take-back"], "{}", String::from_utf8_lossy(&asked.stderr));
}
