//! Words that must not stand on a screen: a person reads the trade's words, not the code's.

use crate::assets::scripts;

/// trade.md's list, as whole words; "made blind" and "open set" as phrases.
const FORBIDDEN: [&str; 18] = [
    "tie", "ties", "spot", "spots", "prep", "preps", "ride", "rides", "wake", "target", "targets",
    "carrier", "fold", "event", "events", "ledger", "doubt", "node",
];
const PHRASES: [&str; 2] = ["made blind", "open set"];

/// Gives the forbidden words of a text.
pub(crate) fn forbidden(text: &str) -> Vec<String> {
    // A cable tie is a thing of the trade.
    let text = text.to_lowercase().replace("cable tie", "");
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).collect();
    let mut found: Vec<String> =
        FORBIDDEN.iter().filter(|word| words.contains(word)).map(|&word| word.to_owned()).collect();
    let spaced = words.join(" ");
    found.extend(PHRASES.iter().filter(|p| spaced.contains(**p)).map(|&p| p.to_owned()));
    found
}

/// Gives what a person reads of a page: text, and the attributes that are read out or shown.
pub(crate) fn text_of(html: &str) -> String {
    let mut text = String::new();
    for piece in html.split('<').skip(1) {
        let (tag, after) = piece.split_once('>').unwrap_or((piece, ""));
        for name in ["aria-label=\"", "title=\"", "placeholder=\"", "alt=\""] {
            if let Some((_, value)) = tag.split_once(name) {
                text.push_str(value.split('"').next().unwrap_or(""));
                text.push('\n');
            }
        }
        text.push_str(after);
        text.push('\n');
    }
    text
}

/// Gives the strings of a script that have a space in them: those are sentences.
fn sentences_of(script: &str) -> Vec<String> {
    let code: String = script
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line}\n"))
        .collect();
    let mut sentences = Vec::new();
    for quote in ['\'', '`'] {
        let inside = code.split(quote).skip(1).step_by(2);
        let inside = inside.map(without_values);
        sentences.extend(inside.filter(|s| s.trim().contains(' ')));
    }
    sentences
}

/// A template without what is put into it.
fn without_values(template: &str) -> String {
    let mut pieces = template.split("${");
    let mut text = pieces.next().unwrap_or("").to_owned();
    for piece in pieces {
        text.push_str(piece.split_once('}').map_or("", |(_, after)| after));
    }
    text
}

#[test]
fn scripts_speak_the_trade() {
    for (name, script) in scripts() {
        for sentence in sentences_of(script) {
            assert_eq!(forbidden(&sentence), Vec::<String>::new(), "{name}: {sentence}");
        }
    }
}

/// The scan itself must find what it looks for.
#[test]
fn the_scan_finds_them() {
    assert_eq!(forbidden("The Tie is off"), ["tie"]);
    assert_eq!(forbidden("Made blind: 2"), ["made blind"]);
    assert_eq!(forbidden("a cable tie, a tie"), ["tie"]);
    assert!(forbidden("untied, spotless, prepared, a cable clip").is_empty());
    assert_eq!(
        text_of("<p title=\"a spot\">on <b>it</b></p>").trim().lines().next(),
        Some("a spot")
    );
    assert_eq!(sentences_of("say('the carrier is off');\n// 'a tie'"), ["the carrier is off"]);
}
