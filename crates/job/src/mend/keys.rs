//! Where the name of a thing stands as a key: in the head of its table, of tables below it, and
//! before each key that is written with a dot.

use lastbolt_machine::At;

use super::token;

/// Gives every place in a file where the table `sort.name` is named; `file` is any place in it.
pub(super) fn places(text: &str, sort: &str, name: &str, file: At) -> Vec<At> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (mut all, mut table, mut value) = (Vec::new(), Vec::new(), Value::default());
    for (line, number) in text.lines().zip(1_u32..) {
        let line: Vec<char> = line.chars().collect();
        if value.is_open() {
            value.read(&line);
            continue;
        }
        let start = line.iter().take_while(|c| c.is_whitespace()).count();
        let is_head = line.get(start) == Some(&'[');
        let brackets = line.iter().skip(start).take_while(|c| **c == '[').count();
        let (keys, end) = keys(&line, start + brackets);
        let before = if is_head { 0 } else { table.len() };
        let whole: Vec<&str> = match is_head {
            true => keys.iter().map(|(_, key)| key.as_str()).collect(),
            false => {
                table.iter().chain(keys.iter().map(|(_, key)| key)).map(String::as_str).collect()
            }
        };
        let is_it = whole.first() == Some(&sort) && whole.get(1) == Some(&name);
        let here = 1_usize.checked_sub(before).and_then(|at| keys.get(at)).filter(|_| is_it);
        if let Some((column, _)) = here {
            let column = u32::try_from(column + 1).unwrap_or(u32::MAX);
            all.push(At { line: number, column, ..file });
        }
        if is_head {
            table = keys.into_iter().map(|(_, key)| key).collect();
        } else if line.get(end) == Some(&'=') {
            value.read(&line[end + 1..]);
        }
    }
    all
}

/// The keys that begin here, each with its column from 0, and where they end.
fn keys(line: &[char], mut at: usize) -> (Vec<(usize, String)>, usize) {
    let skip = |at: usize| at + line.iter().skip(at).take_while(|c| c.is_whitespace()).count();
    let mut all = Vec::new();
    loop {
        at = skip(at);
        let length = token(line.get(at..).unwrap_or_default());
        if length == 0 {
            return (all, at);
        }
        all.push((at, plain(&line[at..at + length])));
        at = skip(at + length);
        if line.get(at) != Some(&'.') {
            return (all, at);
        }
        at += 1;
    }
}

/// A key without its quotes.
fn plain(key: &[char]) -> String {
    let text: String = key.iter().collect();
    let inner = |quote: char| text.strip_prefix(quote).and_then(|text| text.strip_suffix(quote));
    match (inner('"'), inner('\'')) {
        (Some(text), _) => text.replace("\\\"", "\"").replace("\\\\", "\\"),
        (_, Some(text)) => text.to_owned(),
        _ => text,
    }
}

/// How far a value has been read that may go over several lines.
#[derive(Default)]
struct Value {
    /// Lists and tables that are open.
    depth: usize,
    /// The quote of a text over several lines that is open.
    text: Option<char>,
}

impl Value {
    fn is_open(&self) -> bool {
        self.depth > 0 || self.text.is_some()
    }

    fn read(&mut self, line: &[char]) {
        let mut at = 0;
        while at < line.len() {
            let three =
                |quote: char| line[at..].iter().take(3).filter(|c| **c == quote).count() == 3;
            match (self.text, line[at]) {
                (Some(quote), _) if three(quote) => {
                    self.text = None;
                    at += 2;
                }
                (Some('"'), '\\') => at += 1,
                (Some(_), _) => {}
                (None, quote @ ('"' | '\'')) if three(quote) => {
                    self.text = Some(quote);
                    at += 2;
                }
                (None, '"' | '\'') => at += token(&line[at..]) - 1,
                (None, '#') => return,
                (None, '[' | '{') => self.depth += 1,
                (None, ']' | '}') => self.depth = self.depth.saturating_sub(1),
                (None, _) => {}
            }
            at += 1;
        }
    }
}
