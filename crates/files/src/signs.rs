//! The signs of a value: quotes, brackets, and numbers with a comma.

use std::ops::Range;

use crate::limits::DEPTH_MAX;
use crate::scan::{Scan, closing};

impl Scan<'_> {
    /// Goes through (the rest of) a value on one line.
    pub(crate) fn signs(&mut self, span: Range<usize>) {
        let mut at = span.start;
        while at < span.end {
            let rest = &self.text[at..span.end];
            let Some(c) = rest.chars().next() else {
                return;
            };
            let next = at + c.len_utf8();
            at = match c {
                ' ' | '\t' => next,
                '#' => return,
                '"' | '\'' => match self.quoted(at..span.end, c) {
                    Some(after) => after,
                    None => return,
                },
                '“' | '”' | '„' | '‘' | '’' | '«' | '»' => self.curly(at..span.end, c),
                '[' | '{' => {
                    self.stack.push((c, at));
                    if self.stack.len() > DEPTH_MAX {
                        self.too_deep(at, span.end);
                        return;
                    }
                    next
                }
                ']' | '}' => {
                    self.close(at, c);
                    next
                }
                _ if self.last == '=' && matches!(c, '0'..='9' | '-' | '+') => {
                    self.number(at..span.end)
                }
                _ => next,
            };
            if !c.is_whitespace() {
                self.last = c;
            }
        }
    }

    /// Goes on in a text over several lines.
    pub(crate) fn in_text(&mut self, span: Range<usize>) {
        let Some((quotes, _)) = self.open_text else {
            return;
        };
        if let Some(found) = self.text[span.clone()].find(quotes) {
            self.open_text = None;
            self.last = '"';
            // Up to two more quotes may belong to the text itself.
            let mut after = span.start + found + quotes.len();
            while self.text[after..span.end].starts_with(&quotes[..1]) {
                after += 1;
            }
            self.signs(after..span.end);
        }
    }

    /// A text in quotes; where it ends, or `None` if it does not end on this line.
    fn quoted(&mut self, span: Range<usize>, quote: char) -> Option<usize> {
        let rest = &self.text[span.clone()];
        let quotes = if quote == '"' { "\"\"\"" } else { "'''" };
        if let Some(inner) = rest.strip_prefix(quotes) {
            self.open_text = Some((quotes, span.start));
            self.in_text(span.end - inner.len()..span.end);
            return None;
        }
        let mut escaped = false;
        for (index, c) in rest.char_indices().skip(1) {
            match c {
                _ if escaped => escaped = false,
                '\\' if quote == '"' => escaped = true,
                _ if c == quote => return Some(span.start + index + 1),
                _ => {}
            }
        }
        self.missing_quote(span);
        None
    }

    /// A quote without its fellow: mended where that can be guessed, else the statement is lost.
    fn missing_quote(&mut self, span: Range<usize>) {
        let value = self.text[self.value..span.end].trim_start();
        let value = self.text[..span.end].len() - value.len()..span.end;
        let written = self.text[value.clone()].trim_end().to_owned();
        let is_list = written.starts_with('[')
            && written.ends_with(']')
            && !written.contains(['{', '\n', '#']);
        let (help, mended) = if value.start == span.start && self.stack.is_empty() {
            let text = written.split(" #").next().unwrap_or(&written).trim_end();
            let text = text.trim_matches(['"', '\'']).replace(['"', '\\'], "");
            (format!("Write \"{text}\"."), Some(format!("\"{text}\"")))
        } else if is_list {
            let inner = &written[1..written.len() - 1];
            let names = inner.split(',').map(|n| n.trim().trim_matches(['"', '\'']).trim());
            let names: Vec<String> = names
                .filter(|n| !n.is_empty())
                .map(|n| format!("\"{}\"", n.replace(['"', '\\'], "")))
                .collect();
            let list = format!("[{}]", names.join(", "));
            (format!("Write {list}."), Some(list))
        } else {
            ("Put a quote on both sides of every text.".to_owned(), None)
        };
        self.report(span.start, "missing-quote", "A quote is missing on this line.", help);
        match mended {
            Some(mended) => self.out.mends.replace(value, mended),
            None => {
                self.out.mends.replace(self.statement..span.end, "");
                self.skipping = true;
            }
        }
        self.stack.clear();
    }

    /// Quotes as a word processor makes them.
    fn curly(&mut self, span: Range<usize>, open: char) -> usize {
        let help = "Write \"...\" with the key for straight quotes.";
        self.report(span.start, "curly-quotes", "Quotes must be straight ones.", help);
        let inner = span.start + open.len_utf8();
        let rest = &self.text[inner..span.end];
        let is_quote = |c: char| matches!(c, '“' | '”' | '‘' | '’' | '«' | '»' | '"');
        let Some(end) = rest.find(is_quote) else {
            let text = rest.trim_end().replace(['"', '\\'], "");
            self.out.mends.replace(span.clone(), format!("\"{text}\""));
            return span.end;
        };
        let close = rest[end..].chars().next().map_or(0, char::len_utf8);
        self.out.mends.replace(span.start..inner, "\"");
        self.out.mends.replace(inner + end..inner + end + close, "\"");
        inner + end + close
    }

    fn close(&mut self, at: usize, sign: char) {
        let open = if sign == ']' { '[' } else { '{' };
        if self.stack.last().is_some_and(|(top, _)| *top == open) {
            self.stack.pop();
            return;
        }
        if !self.stack.iter().any(|(one, _)| *one == open) {
            let message = format!("This {sign} closes nothing.");
            let help = format!("Take it out, or put {open} where it belongs.");
            self.report(at, "not-opened", message, help);
            self.out.mends.replace(at..at + 1, " ");
            return;
        }
        let mut close = String::new();
        while let Some((top, place)) = self.stack.pop() {
            if top == open {
                break;
            }
            let message = format!("This {top} is never closed.");
            let help = format!("Put {} before the {sign}.", closing(top));
            self.report(place, "not-closed", message, help);
            close.push(closing(top));
        }
        self.out.mends.replace(at..at, close);
    }

    fn too_deep(&mut self, at: usize, end: usize) {
        let message = format!("Brackets within brackets, more than {DEPTH_MAX} deep.");
        let help = "No key takes that; write plain lists.";
        self.report(at, "too-deep", message, help);
        self.out.mends.replace(self.statement..end, "");
        self.stack.clear();
        self.skipping = true;
    }

    /// A number after `=`: a comma in it is a decimal comma.
    fn number(&mut self, span: Range<usize>) -> usize {
        let rest = &self.text[span.clone()];
        let digits =
            |text: &str| text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let sign = usize::from(rest.starts_with(['-', '+']));
        let whole = sign + digits(&rest[sign..]);
        let after = &rest[whole..];
        let Some(fraction) = after.strip_prefix(',') else {
            return span.start + whole.max(1);
        };
        let length = digits(fraction);
        let follows = fraction[length..].trim_start();
        if whole == sign
            || length == 0
            || !(follows.is_empty() || follows.starts_with([',', '}', ']', '#']))
        {
            return span.start + whole.max(1);
        }
        let point = format!("{}.{}", &rest[..whole], &fraction[..length]);
        let message = format!("{} has a comma in it.", &rest[..whole + 1 + length]);
        let help = format!("Write {point}: numbers take a point here.");
        self.report(span.start, "decimal-comma", message, help);
        self.out.mends.replace(span.start + whole..span.start + whole + 1, ".");
        span.start + whole + 1 + length
    }
}
