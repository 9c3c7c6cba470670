//! The lines of a machine file with what the record corrects of them: names, counts, kinds. Every
//! other character stays as it is.

use std::collections::BTreeMap;

use lastbolt_files::write::quoted;
use lastbolt_machine::{At, Machine, Ref};
use lastbolt_sketch::{Drawn, each_name};

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

/// What is to be replaced, by line and column, and lines to be put behind others.
#[derive(Default)]
struct Mends {
    replaced: BTreeMap<(u32, u32), String>,
    behind: BTreeMap<u32, Vec<String>>,
}

impl Mends {
    fn replace(&mut self, at: At, with: String) {
        if at.line > 0 {
            self.replaced.insert((at.line, at.column), with);
        }
    }

    /// Replaces a value where it is written, else writes it behind the head of its table.
    fn say(&mut self, head: At, value: Option<At>, key: &str, with: String) {
        match value.filter(|at| at.line > 0) {
            Some(at) => self.replace(at, with),
            None => self.behind.entry(head.line).or_default().push(format!("{key} = {with}")),
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
        if self.replaced.is_empty() && self.behind.is_empty() {
            return text.to_owned();
        }
        let mut made = String::with_capacity(text.len() + 64);
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        for (line, number) in text.split_inclusive('\n').zip(1_u32..) {
            let here = self.replaced.range((number, 0)..(number + 1, 0));
            let mut rest: Vec<char> = line.chars().collect();
            // From behind, so that the places before stay where they are.
            for ((_, column), with) in here.rev() {
                let from = (*column as usize).saturating_sub(1);
                if from < rest.len() {
                    let to = from + token(&rest[from..]);
                    rest.splice(from..to, with.chars());
                }
            }
            let behind = self.behind.get(&number).map(Vec::as_slice).unwrap_or_default();
            let is_head = line.trim_start().starts_with('[');
            if !is_head && !behind.is_empty() {
                put_inside(&mut rest, &behind.join(", "));
            }
            made.extend(rest);
            for behind in behind.iter().filter(|_| is_head) {
                if !made.ends_with('\n') {
                    made.push('\n');
                }
                made.push_str(behind);
                made.push('\n');
            }
        }
        made
    }
}

/// Finds where the first word of an empty list of hazards goes in the table that begins here.
fn empty_list(text: &str, head: At) -> Option<At> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = text.lines().zip(1_u32..).skip(head.line as usize);
    for (line, number) in lines.take_while(|(line, _)| !line.trim_start().starts_with('[')) {
        let value = line.trim_start().strip_prefix("hazards").map(str::trim_start);
        if value.is_some_and(|value| value.starts_with('=')) {
            let open = line.chars().position(|c| c == '[')?;
            return Some(At { line: number, column: u32::try_from(open + 2).ok()?, ..head });
        }
    }
    None
}

/// Puts keys into a table that is written in one line: `lid = { ways = [...] }`.
fn put_inside(line: &mut Vec<char>, keys: &str) {
    let mut at = 0;
    // A name in quotes may have any sign in it.
    while at < line.len() && line[at] != '=' {
        at += if matches!(line[at], '"' | '\'') { token(&line[at..]) } else { 1 };
    }
    let Some(open) = line.iter().skip(at + 1).position(|c| !c.is_whitespace()) else { return };
    let open = at + 1 + open;
    if line[open] != '{' {
        return;
    }
    let rest = line[open + 1..].iter().find(|c| !c.is_whitespace());
    let end = if rest == Some(&'}') { " " } else { "," };
    line.splice(open + 1..open + 1, format!(" {keys}{end}").chars());
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
