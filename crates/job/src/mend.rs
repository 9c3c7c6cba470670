//! The lines of a machine file with what the record corrects of them: names, counts, kinds. Every
//! other character stays as it is.

use std::collections::BTreeMap;

use lastbolt_files::write::quoted;
use lastbolt_machine::{At, Machine};
use lastbolt_sketch::{Drawn, each_name};

/// Puts corrections into a file; `base` is what it says, with every name's place in it.
pub(crate) fn mended(text: &str, base: &Machine, drawn: &Drawn) -> String {
    let mut mends = Mends::default();
    each_name(&mut base.clone(), &mut |name| {
        let now = drawn.notes.called_in_file(&name.value);
        if let Some(now) = now.filter(|now| *now != name.value) {
            mends.replace(name.at, quoted(now));
        }
    });
    for (old, new) in base.ties.iter().zip(&drawn.machine.ties) {
        let (was, is) = (old.kind.as_ref(), new.kind.as_ref());
        if let Some(kind) = is.filter(|kind| was.is_none_or(|was| was.value != kind.value)) {
            mends.say(old.id.at, was.map(|was| was.at), "kind", quoted(&kind.value));
        }
        let (was, is) = (old.count.as_ref(), new.count.as_ref());
        if let Some(count) = is.filter(|count| was.is_none_or(|was| was.value != count.value)) {
            mends.say(old.id.at, was.map(|was| was.at), "count", count.value.to_string());
        }
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
            made.extend(rest);
            let is_head = line.trim_start().starts_with('[');
            for behind in self.behind.get(&number).into_iter().flatten().filter(|_| is_head) {
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
