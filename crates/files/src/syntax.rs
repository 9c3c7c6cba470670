//! What the TOML reader says, in a mechanic's words.

use crate::numbers::number_without_unit;

/// A mistake in the writing: a short fixed word, what is wrong, what to do.
pub(crate) struct Said {
    pub(crate) kind: &'static str,
    pub(crate) message: String,
    pub(crate) help: String,
}

fn said(kind: &'static str, message: impl Into<String>, help: impl Into<String>) -> Said {
    Said { kind, message: message.into(), help: help.into() }
}

/// Whether what follows this mistake is not read at all.
pub(crate) fn hides_the_rest(message: &str) -> bool {
    let hiding = ["key with no value", "unclosed", "recursion limit", "cannot recurse"];
    hiding.iter().any(|h| message.contains(h)) || message.contains("unexpected end")
}

/// Puts a mistake in plain words. `written` is what stands there, `key` the key before it.
pub(crate) fn plain_words(message: &str, written: &str, key: &str) -> Said {
    let has = |part: &str| message.contains(part);
    if has("string values must be quoted") {
        return unquoted(written, key);
    }
    if has("invalid boolean") {
        let help = "Write true or false, in small letters and without quotes.";
        return said("bad-flag", format!("{written} cannot be read."), help);
    }
    if has("duplicate key") {
        let message = format!("`{written}` is written twice here.");
        return said("written-twice", message, "Keep one of the two.");
    }
    if has("missing comma") {
        return said(
            "missing-comma",
            "A comma is missing before this.",
            "Put a comma between them.",
        );
    }
    if has("extra comma") || has("extra `,`") {
        return said("extra-comma", "There is one comma too many.", "Take one out.");
    }
    if has("extra `=`") {
        return said("extra-equals", "One = is enough.", "Write key = value.");
    }
    if has("unexpected key or value") {
        let help = "One key a line; a remark begins with #.";
        return said("left-over", "Something is left over on this line.", help);
    }
    if has("leading zero") {
        return said("bad-number", "A number does not begin with 0.", "Write 5, not 05.");
    }
    if has("mantissa") || has("fraction") || has("exponent") || has("underscore") || has("number") {
        let help = "Write 5, 0.5 or 12.25: digits on both sides of the point.";
        return said("bad-number", "This number cannot be read.", help);
    }
    if has("escape") {
        let help = "Write two backslashes for one, or put the text in 'single quotes'.";
        return said("bad-backslash", "A backslash stands in this text.", help);
    }
    if has("string") || has("comment") {
        let help = "Delete it; it may not be visible in the editor.";
        return said("bad-sign", "Here is a sign that no text may have.", help);
    }
    said(
        "not-understood",
        "This line cannot be read.",
        "Write key = value, with text in quotes, lists in [ ] and entries in { }.",
    )
}

/// Something without quotes where a value belongs.
fn unquoted(written: &str, key: &str) -> Said {
    let written = written.trim();
    let key = if key.is_empty() { "key" } else { key };
    if written.is_empty() {
        let help = format!("Write {key} = and the value, or take the line out.");
        return said("no-value", "Nothing stands after the =.", help);
    }
    let short: String = written.chars().take(60).collect();
    if let Some(number) = number_without_unit(written) {
        let help = format!("Write {key} = {number}.");
        return said("unit", format!("\"{short}\" has a unit beside the number."), help);
    }
    let yes = ["yes", "on", "ja", "oui", "y"];
    let no = ["no", "off", "nein", "non", "n"];
    let low = written.to_lowercase();
    if yes.contains(&low.as_str()) || no.contains(&low.as_str()) {
        let flag = yes.contains(&low.as_str());
        let help = format!("Write {key} = {flag}, or {key} = \"{short}\" if it is text.");
        return said("no-quotes", format!("{short} stands without quotes."), help);
    }
    let help = format!("Write {key} = \"{}\".", short.replace('"', ""));
    said("no-quotes", "Text stands in quotes.", help)
}
