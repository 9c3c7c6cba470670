//! The lines of a machine file with what the record corrects of them: names, counts, kinds. Every
//! other character stays as it is.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_files::write::quoted;
use lastbolt_machine::{At, Machine, Ref};
use lastbolt_sketch::{Drawn, each_name};

mod keys;

/// Puts corrections into a file; `base` is what it says, with every name's place in it, `now` what
/// is known now.
pub(crate) fn mended(text: &str, base: &Machine, now: &Machine, drawn: Option<&Drawn>) -> String {
    let mut mends = Mends::default();
    each_name(&mut base.clone(), &mut |name| {
        let now = drawn.and_then(|drawn| drawn.notes.called_in_file(&name.value));
        if let Some(now) = now.filter(|now| *now != name.value) {
            mends.replace(name.at, quoted(now));
        }
    });
    let parts = base.parts.iter().map(|it| ("part", &it.id));
    let ties = base.ties.iter().map(|it| ("tie", &it.id));
    let preps = base.preps.iter().map(|it| ("prep", &it.id));
    for (sort, id) in parts.chain(ties).chain(preps) {
        let now = drawn.and_then(|drawn| drawn.notes.called_in_file(&id.value));
        if let Some(now) = now.filter(|now| **now != id.value) {
            // A table may be named more than once: by tables below it, by keys with a dot.
            for at in keys::places(text, sort, &id.value, id.at) {
                mends.replace(at, quoted(now));
            }
        }
    }
    for (old, new) in base.ties.iter().zip(&now.ties) {
        let (was, is) = (old.kind.as_ref(), new.kind.as_ref());
        if let Some(kind) = is.filter(|kind| was.is_none_or(|was| was.value != kind.value)) {
            mends.say(old.id.at, was.map(|was| was.at), "kind", quoted(&kind.value));
        }
        let (was, is) = (old.count.as_ref(), new.count.as_ref());
        if let Some(count) = is.filter(|count| was.is_none_or(|was| was.value != count.value)) {
            mends.say(old.id.at, was.map(|was| was.at), "count", count.value.to_string());
        }
    }
    let parts = base.parts.iter().map(|it| (it.id.at, &it.hazards));
    let ties = base.ties.iter().map(|it| (it.id.at, &it.hazards));
    let preps = base.preps.iter().map(|it| (it.id.at, &it.hazards));
    let now_parts = now.parts.iter().take(base.parts.len()).map(|it| &it.hazards);
    let now_ties = now.ties.iter().take(base.ties.len()).map(|it| &it.hazards);
    let now_preps = now.preps.iter().take(base.preps.len()).map(|it| &it.hazards);
    let all = parts.chain(ties).chain(preps).zip(now_parts.chain(now_ties).chain(now_preps));
    for ((head, old), new) in all {
        mends.mark(text, head, old, new.get(old.len()..).unwrap_or_default());
    }
    mends.make(text)
}

/// What is to be replaced, by line and column, and what is said besides of the thing whose name
/// stands there.
#[derive(Default)]
struct Mends {
    replaced: BTreeMap<(u32, u32), String>,
    besides: BTreeMap<(u32, u32), Vec<String>>,
}

impl Mends {
    fn replace(&mut self, at: At, with: String) {
        if at.line > 0 {
            self.replaced.insert((at.line, at.column), with);
        }
    }

    /// Replaces a value where it is written, else writes it with the thing.
    fn say(&mut self, head: At, value: Option<At>, key: &str, with: String) {
        match value.filter(|at| at.line > 0) {
            Some(at) => self.replace(at, with),
            None => {
                let besides = self.besides.entry((head.line, head.column)).or_default();
                besides.push(format!("{key} = {with}"));
            }
        }
    }

    /// Puts marks behind those that a thing has, or writes its list.
    fn mark(&mut self, text: &str, head: At, old: &[Ref], new: &[Ref]) {
        if new.is_empty() || head.line == 0 {
            return;
        }
        let words: Vec<String> = new.iter().map(|word| quoted(word.name())).collect();
        let words = words.join(", ");
        let last = old.last().filter(|last| last.at.line > 0);
        match last.map(|last| (last.at, format!("{}, {words}", quoted(last.name())))) {
            Some((at, with)) => self.replace(at, with),
            None => match empty_list(text, head) {
                Some(at) => self.replace(at, words),
                None => self.say(head, None, "hazards", format!("[{words}]")),
            },
        }
    }

    fn make(&self, text: &str) -> String {
        if self.replaced.is_empty() && self.besides.is_empty() {
            return text.to_owned();
        }
        let mut made = String::with_capacity(text.len() + 64);
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        for (line, number) in text.split_inclusive('\n').zip(1_u32..) {
            self.line(line, number, &mut made);
        }
        made
    }

    /// One line with what is changed in it, before it and behind it.
    fn line(&self, line: &str, number: u32, made: &mut String) {
        let of_line = (number, 0)..(number + 1, 0);
        let replaced = self.replaced.range(of_line.clone());
        let besides = self.besides.range(of_line);
        let columns: BTreeSet<u32> =
            replaced.map(|(at, _)| at.1).chain(besides.map(|(at, _)| at.1)).collect();
        let mut rest: Vec<char> = line.chars().collect();
        let (mut before, mut behind) = (Vec::new(), Vec::new());
        // From behind, so that the places before stay where they are.
        for column in columns.into_iter().rev() {
            let from = (column as usize).saturating_sub(1);
            if from >= rest.len() {
                continue;
            }
            if let Some(with) = self.replaced.get(&(number, column)) {
                let to = from + token(&rest[from..]);
                rest.splice(from..to, with.chars());
            }
            for said in self.besides.get(&(number, column)).into_iter().flatten() {
                match Declared::at(&rest, from) {
                    Declared::Head => behind.push(said.clone()),
                    Declared::Inside(at, end) => {
                        rest.splice(at..at, format!(" {said}{end}").chars());
                    }
                    Declared::Dotted(name) if is_alone(&rest[..from]) => {
                        let start: String = rest[..from].iter().collect();
                        before.push(format!("{start}{name}.{said}"));
                    }
                    Declared::Dotted(name) => {
                        rest.splice(from..from, format!("{name}.{said}, ").chars());
                    }
                }
            }
        }
        // In the order in which it was said.
        for said in before.into_iter().rev() {
            made.push_str(&said);
            made.push('\n');
        }
        made.extend(rest);
        for said in behind {
            if !made.ends_with('\n') {
                made.push('\n');
            }
            made.push_str(&said);
            made.push('\n');
        }
    }
}

/// How a thing is declared whose name stands at a place.
enum Declared {
    /// `[part.lid]`: its keys stand in the lines below.
    Head,
    /// `lid = { ... }`: keys go in here, with this sign behind them.
    Inside(usize, &'static str),
    /// `lid.kg = 3`: a line for each key, with this name before it.
    Dotted(String),
}

impl Declared {
    fn at(line: &[char], from: usize) -> Self {
        let name = token(&line[from..]);
        let skip = |at: usize| {
            at + line.iter().skip(at).take_while(|c| c.is_whitespace() && **c != '\n').count()
        };
        let after = skip(from + name);
        match line.get(after) {
            Some('.') => Self::Dotted(line[from..from + name].iter().collect()),
            Some('=') => {
                let open = skip(after + 1);
                let inner = skip(open + 1);
                let end = if line.get(inner) == Some(&'}') { " " } else { "," };
                if line.get(open) == Some(&'{') { Self::Inside(open + 1, end) } else { Self::Head }
            }
            _ => Self::Head,
        }
    }
}

/// Whether a line says nothing but the beginning of one key: no table in one line is open here.
fn is_alone(before: &[char]) -> bool {
    let mut at = 0;
    while at < before.len() {
        match before[at] {
            '"' | '\'' => at += token(&before[at..]),
            '{' | '=' => return false,
            _ => at += 1,
        }
    }
    true
}

/// Finds where the first word of an empty list of hazards goes in the table that begins here.
fn empty_list(text: &str, head: At) -> Option<At> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first: Vec<char> = text.lines().nth(head.line as usize - 1)?.chars().collect();
    let from = (head.column as usize).saturating_sub(1);
    let (own, skip) = match Declared::at(&first, from) {
        Declared::Dotted(name) => {
            let start: String = first[..from].iter().collect();
            (format!("{}{name}.hazards", start.trim_start()), head.line as usize - 1)
        }
        _ => ("hazards".to_owned(), head.line as usize),
    };
    let lines = text.lines().zip(1_u32..).skip(skip);
    for (line, number) in lines.take_while(|(line, _)| !line.trim_start().starts_with('[')) {
        let value = line.trim_start().strip_prefix(own.as_str()).map(str::trim_start);
        if value.is_some_and(|value| value.starts_with('=')) {
            let equals = line.len() - line.trim_start().len() + own.len();
            let open = line.get(equals..)?.chars().position(|c| c == '[')?;
            let open = line.get(..equals)?.chars().count() + open;
            return Some(At { line: number, column: u32::try_from(open + 2).ok()?, ..head });
        }
    }
    None
}

/// How many characters a name or value has that begins here, quotes included.
fn token(text: &[char]) -> usize {
    match text.first() {
        Some(&quote @ ('"' | '\'')) => {
            let mut at = 1;
            while at < text.len() && text[at] != quote {
                at += if quote == '"' && text[at] == '\\' { 2 } else { 1 };
            }
            (at + 1).min(text.len())
        }
        _ => {
            let is_bare = |c: &&char| c.is_alphanumeric() || matches!(**c, '_' | '-' | '+');
            text.iter().take_while(is_bare).count()
        }
    }
}
