//! One stage of tightening, as its maker writes it: "40 N·m + 90°", "by hand, star", "slacken
//! again, then 20 N·m". What is not understood stays the maker's words; it is shown, never guessed.

use crate::angle::{self, Angle, Length};
use crate::cursor::Cursor;
use crate::number;
use crate::scan_torque;
use crate::torque::Torque;
use crate::trouble::{Trouble, TroubleKind, shown};

/// The longest text of a stage \[characters\].
const CHARS_MAX: usize = 2_000;

/// One stage as written, and what of it is understood.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stage {
    /// The maker's words, whole; always shown.
    pub text: String,
    /// What is done, in this order, to every screw of the joint before the next.
    pub actions: Vec<Action>,
    /// What is said about the order of the screws.
    pub patterns: Vec<Pattern>,
    /// The source asks for new screws.
    pub new_screws: bool,
    /// The source says once only.
    pub once: bool,
    /// Up to which length a screw may be used again.
    pub limit: Option<Length>,
    /// What else the maker says, in pieces: conditions, things to look at.
    pub words: Vec<String>,
    /// Sentences about what looks like a value and cannot be used: it has to be answered first.
    pub questions: Vec<Trouble>,
    /// Sentences about numbers that are shown as written and not used.
    pub notes: Vec<String>,
}

/// What is done in a stage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Action {
    /// Screwed in by hand.
    ByHand,
    /// Tightened to a torque.
    Torque(Torque),
    /// Turned further by an angle.
    Angle(Angle),
    /// Tightened to yield.
    ToYield,
    /// Slackened again, by an angle if one is given.
    Slacken(Option<Angle>),
}

/// What a maker says about the order of the screws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// Crosswise, in a star, diagonally.
    Crosswise,
    /// In opposite pairs.
    OppositePairs,
    /// From the middle outwards.
    FromTheMiddle,
    /// One after the other around the joint.
    Around,
}

impl Stage {
    /// Gives the torques of the stage, in their order.
    pub fn torques(&self) -> impl Iterator<Item = &Torque> {
        self.actions.iter().filter_map(|action| match action {
            Action::Torque(torque) => Some(torque),
            _ => None,
        })
    }

    /// Tells whether screws are turned by an angle or to yield in it.
    pub fn is_beyond_torque(&self) -> bool {
        let is = |action: &Action| matches!(action, Action::Angle(_) | Action::ToYield);
        self.actions.iter().any(is)
    }

    /// Gives everything that has to be answered before the stage can be used.
    pub fn open(&self) -> Vec<Trouble> {
        let twins = self.torques().filter_map(Torque::question);
        self.questions.iter().cloned().chain(twins).collect()
    }
}

/// Reads one stage. Nothing fails: what is not understood is among `words`, `notes`, `questions`.
///
/// ```
/// use lastbolt_tighten::{Action, Pattern, read_stage};
/// let stage = read_stage("40 N·m + 90°, crosswise, new screws");
/// assert!(matches!(stage.actions[..], [Action::Torque(_), Action::Angle(_)]));
/// assert_eq!((stage.patterns, stage.new_screws), (vec![Pattern::Crosswise], true));
/// let words = read_stage("weight on it, engine rocked");
/// assert_eq!(words.words, ["weight on it", "engine rocked"]);
/// assert!(words.actions.is_empty() && words.open().is_empty());
/// // A number that looks like a value is asked about.
/// assert_eq!(read_stage("40").open()[0].message, "\"40\" has no unit.");
/// ```
pub fn read_stage(text: &str) -> Stage {
    let whole: String = text.trim().chars().take(CHARS_MAX).collect();
    let mut reader = Reader { stage: Stage::default(), clause: String::new(), odd: 0 };
    let mut cursor = Cursor::new(&whole);
    while !cursor.rest().is_empty() {
        reader.step(&mut cursor);
    }
    reader.end_clause();
    reader.settle();
    Stage { text: text.trim().to_owned(), ..reader.stage }
}

struct Reader {
    stage: Stage,
    /// The words of this clause that nothing was made of.
    clause: String,
    /// How many torques had words before them that may name other screws.
    odd: usize,
}

const SLACKEN: [&str; 9] = [
    "slacken again",
    "slacken",
    "loosen again",
    "loosen",
    "back off",
    "undo again",
    "undo",
    "release again",
    "slackened again",
];
const BY_HAND: [&str; 6] =
    ["by hand", "finger tight", "finger-tight", "hand tight", "hand-tight", "fingertight"];
const YIELD: [&str; 6] = [
    "to yield",
    "to the yield point",
    "until yield",
    "yield controlled",
    "torque to yield",
    "to its yield point",
];
const NEW: [&str; 12] = [
    "new screws",
    "new bolts",
    "new nuts",
    "new studs",
    "new screw",
    "new bolt",
    "new nut",
    "new every time",
    "with new screws",
    "with new bolts",
    "always new",
    "renew screws",
];
const PATTERNS: [(&str, Pattern); 18] = [
    ("crosswise", Pattern::Crosswise),
    ("cross-wise", Pattern::Crosswise),
    ("criss-cross", Pattern::Crosswise),
    ("in a cross", Pattern::Crosswise),
    ("star", Pattern::Crosswise),
    ("in a star", Pattern::Crosswise),
    ("star pattern", Pattern::Crosswise),
    ("diagonally", Pattern::Crosswise),
    ("opposite pairs", Pattern::OppositePairs),
    ("in opposite pairs", Pattern::OppositePairs),
    ("from the middle outwards", Pattern::FromTheMiddle),
    ("from the middle", Pattern::FromTheMiddle),
    ("from the centre outwards", Pattern::FromTheMiddle),
    ("from the centre", Pattern::FromTheMiddle),
    ("from the center", Pattern::FromTheMiddle),
    ("centre outwards", Pattern::FromTheMiddle),
    ("all around", Pattern::Around),
    ("one after the other", Pattern::Around),
];
const ONCE: [&str; 2] = ["once only", "once"];
const LIMIT: [&str; 12] = [
    "new above",
    "new over",
    "renew above",
    "renew over",
    "new if longer than",
    "renew if longer than",
    "replace above",
    "replace if longer than",
    "longest",
    "not longer than",
    "max length",
    "maximum length",
];
/// Behind an angle: it is how far at a time, and no angle that a screw ends with.
const AT_A_TIME: [&str; 9] = [
    "a round",
    "each round",
    "per round",
    "at a time",
    "each time",
    "a time",
    "a pass",
    "each pass",
    "per pass",
];
/// Words that say nothing beside a value.
const FILLER: [&str; 22] = [
    "tighten to",
    "tighten",
    "torque to",
    "torque",
    "turn further",
    "turn by",
    "turn",
    "further",
    "another",
    "and then",
    "then",
    "and",
    "to",
    "by",
    "all",
    "plus",
    "set to",
    "first",
    "again",
    "finally",
    "stage",
    "step",
];
/// Words that say nothing by themselves.
const ARTICLES: [&str; 5] = ["a", "an", "the", "of", "each"];
/// Units of other things that stages speak of; a number of them is no torque that went wrong.
const OTHER_UNITS: [&str; 20] = [
    "min", "minute", "minutes", "s", "seconds", "h", "hour", "hours", "km", "miles", "bar", "mm",
    "times", "screws", "bolts", "nuts", "rounds", "turns", "days", "x",
];

impl Reader {
    /// Takes the next thing from the text.
    fn step(&mut self, cursor: &mut Cursor<'_>) {
        cursor.skip_blanks();
        let begins_word = !cursor.before().is_some_and(char::is_alphanumeric);
        if cursor.rest().is_empty() || (begins_word && self.known(cursor)) {
            return;
        }
        if begins_word && is_value(cursor) {
            self.odd_number(cursor);
            return;
        }
        match cursor.take(|_| true) {
            Some(',' | ';' | '+' | '/' | '\n') => self.end_clause(),
            Some('.' | ':') if cursor.peek().is_none_or(char::is_whitespace) => self.end_clause(),
            Some(first) => self.word(first, cursor),
            None => {}
        }
    }

    /// Takes a known phrase or a value.
    fn known(&mut self, cursor: &mut Cursor<'_>) -> bool {
        if cursor.take_word(&LIMIT).is_some() {
            return self.length(cursor);
        }
        if cursor.take_word(&SLACKEN).is_some() {
            let mut ahead = cursor.clone();
            ahead.take_word(&["by", "each by", "all by", "all"]);
            ahead.skip_blanks();
            let by = angle::scan(&mut ahead).and_then(Result::ok);
            if by.is_some() {
                *cursor = ahead;
            }
            self.stage.actions.push(Action::Slacken(by));
            return true;
        }
        if cursor.take_word(&BY_HAND).is_some() {
            self.stage.actions.push(Action::ByHand);
            return true;
        }
        if cursor.take_word(&YIELD).is_some() {
            self.stage.actions.push(Action::ToYield);
            return true;
        }
        if self.value(cursor) || self.mark(cursor) {
            return true;
        }
        self.clause.trim().is_empty() && cursor.take_word(&FILLER).is_some()
    }

    /// Takes a torque or an angle.
    fn value(&mut self, cursor: &mut Cursor<'_>) -> bool {
        let from = cursor.clone();
        let read = match scan_torque::scan(cursor) {
            Some(read) => read.map(Action::Torque),
            None => match angle::scan(cursor) {
                Some(read) => read.map(Action::Angle),
                None => return false,
            },
        };
        match read {
            // "One turn a round" says how fast, not how far.
            Ok(Action::Angle(_)) if cursor.take_word(&AT_A_TIME).is_some() => {
                self.clause.push_str(&format!(" {}", part(&from, cursor)));
            }
            Ok(action) => {
                let names_screws = !self.clause.trim().is_empty();
                self.odd += usize::from(names_screws && matches!(action, Action::Torque(_)));
                self.stage.actions.push(action);
            }
            Err(trouble) => {
                self.stage.questions.push(trouble);
                skip_number(cursor);
            }
        }
        true
    }

    /// Takes what is said about screws and their order.
    fn mark(&mut self, cursor: &mut Cursor<'_>) -> bool {
        if cursor.take_word(&NEW).is_some() {
            self.stage.new_screws = true;
        } else if let Some(found) = cursor.take_word(&PATTERNS.map(|(words, _)| words)) {
            let pattern = PATTERNS.iter().find(|(words, _)| *words == found).map(|(_, p)| *p);
            self.stage.patterns.extend(pattern);
        } else if cursor.take_word(&ONCE).is_some() {
            self.stage.once = true;
        } else {
            return false;
        }
        true
    }

    fn length(&mut self, cursor: &mut Cursor<'_>) -> bool {
        cursor.skip_blanks();
        match angle::scan_length(cursor) {
            Some(length) => self.stage.limit = Some(length),
            None => self.stage.questions.push(Trouble::new(
                TroubleKind::NotUnderstood,
                "length",
                format!(
                    "Behind the limit, \"{}\" is not understood as a length.",
                    shown(cursor.rest())
                ),
                "Write number and unit: new above 121.5 mm.",
            )),
        }
        true
    }

    /// A number that is neither torque nor angle nor length.
    fn odd_number(&mut self, cursor: &mut Cursor<'_>) {
        let is_first = self.clause.trim().is_empty();
        let from = cursor.clone();
        cursor.take(|c| matches!(c, '±' | '+'));
        cursor.take(|c| c == '/');
        let read = number::scan(cursor);
        let unit = next_word(cursor);
        let is_other =
            OTHER_UNITS.contains(&unit.as_str()) || cursor.rest().trim_start().starts_with('°');
        match read {
            Some(Ok(number)) if is_first && !is_other => {
                self.stage.questions.push(scan_torque::no_unit(&number, cursor.rest()));
            }
            Some(Err(trouble)) if is_first => self.stage.questions.push(trouble),
            _ => {
                let what = shown(&format!("{} {unit}", part(&from, cursor)));
                let note = format!("\"{what}\" is shown as written; it is no torque and no angle.");
                self.stage.notes.push(note);
            }
        }
        if cursor.at() == from.at() {
            cursor.take(|_| true);
        }
        self.clause.push_str(&format!(" {}", part(&from, cursor)));
    }

    fn word(&mut self, first: char, cursor: &mut Cursor<'_>) {
        self.clause.push(' ');
        self.clause.push(first);
        while let Some(c) = cursor.take(|c| !c.is_whitespace() && !matches!(c, ',' | ';' | '+')) {
            self.clause.push(c);
        }
    }

    fn end_clause(&mut self) {
        let clause = self.clause.split_whitespace().collect::<Vec<_>>().join(" ");
        let clause = clause.trim_matches([':', '.', '(', ')', '-', ' ']);
        let says = |word: &str| !ARTICLES.contains(&word) && !FILLER.contains(&word);
        if clause.to_lowercase().split(' ').any(|word| !word.is_empty() && says(word)) {
            self.stage.words.push(clause.to_owned());
        }
        self.clause.clear();
    }

    /// Several torques of which one has words before it may be those of different screws.
    fn settle(&mut self) {
        let count = self.stage.torques().count();
        if count > 1 && self.odd > 0 {
            self.stage.questions.push(Trouble::new(
                TroubleKind::TwoReadings,
                "stages",
                "Several torques in one stage can be one after the other, or those of different \
                screws.",
                "Write a stage for each, or a fixing of its own for the screws that get another \
                value.",
            ));
        }
    }
}

fn is_value(cursor: &Cursor<'_>) -> bool {
    let rest = cursor.rest();
    number::begins(cursor) || rest.starts_with('±') || rest.starts_with("+/-")
}

fn skip_number(cursor: &mut Cursor<'_>) {
    let from = cursor.at();
    let _ = number::scan(cursor);
    scan_torque::unit(cursor);
    if cursor.at() == from {
        cursor.take(|_| true);
    }
}

fn next_word(cursor: &Cursor<'_>) -> String {
    let rest = cursor.rest().trim_start();
    rest.chars().take_while(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect()
}

fn part(from: &Cursor<'_>, to: &Cursor<'_>) -> String {
    to.since(from.at()).to_owned()
}
