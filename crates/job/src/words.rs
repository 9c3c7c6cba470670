//! The words of the trade for kinds and actions.

use lastbolt_machine::Minutes;

use crate::view::{StepVerb, TagShape};

/// Words of one kind: how it comes off and goes home.
struct KindWords {
    kinds: &'static [&'static str],
    off: &'static str,
    home: &'static str,
    shape: TagShape,
}

const fn words(
    kinds: &'static [&'static str],
    off: &'static str,
    home: &'static str,
    shape: TagShape,
) -> KindWords {
    KindWords { kinds, off, home, shape }
}

/// Common practice, no source.
const KINDS: &[KindWords] = &[
    words(&["screw", "nut", "stud"], "out", "in and tight", TagShape::Square),
    words(&["plug", "earth", "cable"], "off", "home, tugged", TagShape::Triangle),
    words(&["hose"], "off", "home, tugged", TagShape::Circle),
    words(&["quick joint", "push-in", "push-in pipe"], "apart", "home, tugged", TagShape::Circle),
    words(&["union", "banjo"], "open", "tight", TagShape::Circle),
    words(&["clamp", "V-clamp"], "off", "home and tight", TagShape::Circle),
    words(&["clip", "push peg", "hook"], "open", "home, clicked", TagShape::Bar),
    words(&["circlip", "roll pin", "split pin", "pin", "key"], "out", "home", TagShape::Bar),
    words(&["dowel", "press fit", "spline", "taper"], "apart", "home", TagShape::Plain),
    words(&["ball joint"], "apart", "home and tight", TagShape::Plain),
    words(&["cable tie"], "cut", "new one on", TagShape::Bar),
    words(&["tape"], "off", "new on", TagShape::Bar),
    words(&["belt", "chain"], "off", "on", TagShape::Plain),
    words(&["spring"], "unhooked", "hooked in", TagShape::Plain),
    words(&["sealant"], "cut", "laid", TagShape::Plain),
];

fn of_kind(kind: &str) -> Option<&'static KindWords> {
    KINDS.iter().find(|words| words.kinds.contains(&kind))
}

/// The shape of a tag by kind.
pub(crate) fn shape(kind: &str) -> TagShape {
    of_kind(kind).map_or(TagShape::Plain, |words| words.shape)
}

/// Whether pieces of this kind can be put in by hand before they are tightened.
pub(crate) fn goes_in_by_hand(kind: &str) -> bool {
    matches!(kind, "screw" | "nut" | "stud" | "fixing" | "union" | "banjo")
}

/// Whether pieces of this kind can be slackened and left so.
pub(crate) fn can_be_slack(kind: &str) -> bool {
    goes_in_by_hand(kind) || matches!(kind, "hose" | "clamp" | "V-clamp" | "belt" | "chain")
}

/// The plural of a kind: "hoses", "press fits", "keys".
pub(crate) fn plural(kind: &str) -> String {
    let ends = |tail: &str| kind.ends_with(tail);
    if ends("sealant") || ends("make ready") {
        kind.to_owned()
    } else if ends("s") || ends("x") || ends("ch") || ends("sh") {
        format!("{kind}es")
    } else if let Some(stem) = kind.strip_suffix('y')
        && !stem.ends_with(['a', 'e', 'i', 'o', 'u'])
    {
        format!("{stem}ies")
    } else {
        format!("{kind}s")
    }
}

/// Gives so many of a kind in words: "1 plug", "2 hoses".
pub fn pieces(count: u32, kind: &str) -> String {
    if count == 1 { format!("1 {kind}") } else { format!("{count} {}", plural(kind)) }
}

/// A text with its first letter large.
pub fn large(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// What has happened to a fixing or connection: "2 screws out", "plug home, tugged".
pub(crate) fn done(verb: StepVerb, kind: &str, count: u32) -> String {
    let words = of_kind(kind);
    let what = match (kind, count) {
        ("fixing", 1) => String::new(),
        (_, 1) => kind.to_owned(),
        _ => pieces(count, kind),
    };
    let text = match verb {
        StepVerb::Undo | StepVerb::Off => {
            format!(
                "{what} {}",
                words.map_or(if kind == "part" { "off" } else { "undone" }, |w| w.off)
            )
        }
        StepVerb::Start => format!("{what} in by hand"),
        StepVerb::Tighten => format!("{what} tight"),
        StepVerb::Make | StepVerb::On => format!("{what} {}", words.map_or("home", |w| w.home)),
        StepVerb::Look => format!("{what} looked at"),
        StepVerb::Prep => "done".to_owned(),
        StepVerb::End => "back to normal".to_owned(),
    };
    text.trim_start().to_owned()
}

/// Minutes as a person says them: "4 min", "under a minute", "about 5 h 20".
pub fn about(minutes: Minutes) -> String {
    let whole = (minutes.0 + 500) / 1000;
    match whole {
        i64::MIN..=0 => "under a minute".to_owned(),
        1..=89 => format!("about {whole} min"),
        _ => {
            let fives = (whole + 2) / 5 * 5;
            let (hours, rest) = (fives / 60, fives % 60);
            if rest == 0 {
                format!("about {hours} h")
            } else {
                format!("about {hours} h {rest:02}")
            }
        }
    }
}

/// "a", "a and b", "a, b and c".
pub(crate) fn and(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [init @ .., last] => format!("{} and {last}", init.join(", ")),
    }
}

/// Kilograms without needless decimals.
pub(crate) fn kilograms(kg: f64) -> String {
    let tenths = (kg * 10.0).round() / 10.0;
    format!("{tenths} kg")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Buttons and counts are read with gloves on: they must sound like the trade.
    #[test]
    fn words_of_kinds() {
        assert_eq!(done(StepVerb::Undo, "screw", 2), "2 screws out");
        assert_eq!(done(StepVerb::Undo, "plug", 1), "plug off");
        assert_eq!(done(StepVerb::Make, "plug", 1), "plug home, tugged");
        assert_eq!(done(StepVerb::Undo, "whatsit", 3), "3 whatsits undone");
        assert_eq!(done(StepVerb::Undo, "fixing", 1), "undone");
        assert_eq!(done(StepVerb::Start, "nut", 4), "4 nuts in by hand");
        assert_eq!(plural("press fit"), "press fits");
        assert_eq!(plural("key"), "keys");
        assert_eq!(plural("bush"), "bushes");
        assert_eq!(plural("assembly"), "assemblies");
        assert_eq!(about(Minutes(320_000)), "about 5 h 20");
        assert_eq!(about(Minutes(400)), "under a minute");
        assert_eq!(about(Minutes(4_000)), "about 4 min");
    }
}
