//! From bytes to text: size, encoding, and files that are no text at all.

use std::borrow::Cow;

use lastbolt_machine::{At, FileNo, Problem};

use crate::limits::FILE_BYTES_MAX;

/// The text of a file; `None` if there is nothing to read in it.
///
/// Characters that are not UTF-8 are reported and read as `?`, one for each byte.
pub(crate) fn text_of<'a>(
    bytes: &'a [u8],
    file: FileNo,
    problems: &mut Vec<Problem>,
) -> Option<Cow<'a, str>> {
    let refused = if bytes.len() > FILE_BYTES_MAX {
        TOO_LARGE
    } else if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        UTF_16
    } else {
        match std::str::from_utf8(bytes) {
            Ok(text) if !is_binary(text) => return Some(Cow::Borrowed(text)),
            Err(_) if !is_mostly_broken(bytes) => {
                return Some(Cow::Owned(mend_encoding(bytes, file, problems)));
            }
            _ => NOT_TEXT,
        }
    };
    let (kind, message, help) = refused;
    problems.push(Problem::error(At { file, line: 1, column: 1 }, kind, message, help));
    None
}

type Refusal = (&'static str, &'static str, &'static str);
const TOO_LARGE: Refusal = (
    "too-large",
    "This file is larger than 2 MB and was not read.",
    "A machine file is a few hundred lines of text: look whether it is the right file.",
);
const UTF_16: Refusal = (
    "not-utf-8",
    "This file was saved as UTF-16 and was not read.",
    "Save it again as UTF-8 in the editor (\"Save as\", encoding).",
);
const NOT_TEXT: Refusal = (
    "not-text",
    "This is not a text file (a picture or a program, perhaps) and was not read.",
    "Name the machine file, the job file or the garage file.",
);

fn is_binary(text: &str) -> bool {
    let odd = text.bytes().filter(|b| is_odd(*b)).count();
    text.contains('\0') || odd * 50 > text.len()
}

/// Control characters that no text has.
fn is_odd(byte: u8) -> bool {
    byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0c)
}

fn is_mostly_broken(bytes: &[u8]) -> bool {
    let odd = bytes.iter().filter(|b| is_odd(**b)).count();
    let broken: usize = bytes.utf8_chunks().map(|chunk| chunk.invalid().len()).sum();
    bytes.contains(&0) || (odd + broken) * 10 > bytes.len().max(200)
}

fn mend_encoding(bytes: &[u8], file: FileNo, problems: &mut Vec<Problem>) -> String {
    let mut text = String::with_capacity(bytes.len());
    let mut places: Vec<At> = Vec::new();
    let (mut line, mut column, mut after_cr) = (1_u32, 1_u32, false);
    for chunk in bytes.utf8_chunks() {
        for c in chunk.valid().chars() {
            if c == '\r' || (c == '\n' && !after_cr) {
                (line, column) = (line + 1, 1);
            } else if c != '\n' {
                column += 1;
            }
            after_cr = c == '\r';
        }
        text.push_str(chunk.valid());
        if !chunk.invalid().is_empty() {
            let at = At { file, line, column };
            if places.last().is_none_or(|last| last.line != line) {
                places.push(at);
            }
            for _ in chunk.invalid() {
                text.push('?');
                column += 1;
            }
            after_cr = false;
        }
    }
    if let Some(first) = places.first() {
        let more = match places.len() - 1 {
            0 => String::new(),
            1 => " One other line has them too.".to_owned(),
            more => format!(" {more} other lines have them too."),
        };
        let message = format!("Here is a letter or sign that is not UTF-8.{more}");
        let help = "Save the file again as UTF-8 in the editor (\"Save as\", encoding).";
        problems.push(Problem::error(*first, "not-utf-8", message, help));
    }
    text
}
