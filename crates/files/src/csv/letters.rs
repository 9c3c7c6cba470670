//! From bytes to letters: spreadsheets save in several encodings.

use lastbolt_machine::{At, FileNo, Problem};

use crate::limits::FILE_BYTES_MAX;

/// What the bytes 0x80 to 0x9f are in the old western encoding of Windows; those that it leaves
/// free stay what they are.
const WINDOWS: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}',
    '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// Gives the text of a list; none if there is nothing to read in it, with the reason.
pub(super) fn text_of(bytes: &[u8], file: FileNo, problems: &mut Vec<Problem>) -> Option<String> {
    let at = At { file, line: 1, column: 1 };
    let is_workbook = [&b"PK\x03\x04"[..], &[0xd0, 0xcf, 0x11, 0xe0]];
    let (kind, message, help) = if bytes.len() > FILE_BYTES_MAX {
        TOO_LARGE
    } else if is_workbook.iter().any(|begin| bytes.starts_with(begin)) {
        A_WORKBOOK
    } else {
        match decode(bytes) {
            Some((text, was_guessed)) if is_text(&text) => {
                if was_guessed {
                    let (kind, message, help) = OLD_LETTERS;
                    problems.push(Problem::note(at, kind, message, help));
                }
                return Some(text);
            }
            _ => NOT_TEXT,
        }
    };
    problems.push(Problem::error(at, kind, message, help));
    None
}

type Said = (&'static str, &'static str, &'static str);
const TOO_LARGE: Said = (
    "too-large",
    "This file is larger than 2 MB and was not read.",
    "A list of a machine has some hundred rows: look whether it is the right file.",
);
const A_WORKBOOK: Said = (
    "a-workbook",
    "This is a workbook, not a list of separated values.",
    "Save it from the spreadsheet as CSV (\"Save as\", CSV UTF-8), and bring that file.",
);
const NOT_TEXT: Said = (
    "not-text",
    "This is no text (a picture or a program, perhaps) and was not read.",
    "Bring a list that was saved as CSV.",
);
const OLD_LETTERS: Said = (
    "old-letters",
    "This file is not UTF-8; it was read as an old western list.",
    "Look whether letters with accents are right; else save it as CSV UTF-8.",
);

fn is_text(text: &str) -> bool {
    let is_odd = |c: &char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    !text.contains('\0') && text.chars().filter(is_odd).count() * 50 <= text.len()
}

/// The text without its byte order mark, and whether the encoding had to be guessed.
fn decode(bytes: &[u8]) -> Option<(String, bool)> {
    let wide = |from: fn([u8; 2]) -> u16, rest: &[u8]| {
        let units: Vec<u16> = rest.chunks_exact(2).map(|two| from([two[0], two[1]])).collect();
        rest.len()
            .is_multiple_of(2)
            .then(|| String::from_utf16(&units).ok())?
            .map(|text| (text, false))
    };
    if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        return wide(u16::from_le_bytes, rest);
    }
    if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        return wide(u16::from_be_bytes, rest);
    }
    let rest = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(rest) {
        Ok(text) => Some((text.to_owned(), false)),
        Err(_) => {
            let letter = |&byte: &u8| match byte {
                0x80..=0x9f => WINDOWS[usize::from(byte - 0x80)],
                byte => char::from(byte),
            };
            Some((rest.iter().map(letter).collect(), true))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The encodings that spreadsheets save in give the same letters.
    #[test]
    fn same_letters() {
        let read = |bytes: &[u8]| {
            let mut problems = Vec::new();
            (text_of(bytes, FileNo(0), &mut problems), problems)
        };
        let text = "Kühler;10 €";
        let utf16: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        for bytes in [
            text.as_bytes().to_vec(),
            [b"\xef\xbb\xbf", text.as_bytes()].concat(),
            [&[0xff, 0xfe], &utf16[..]].concat(),
        ] {
            assert_eq!(read(&bytes), (Some(text.to_owned()), vec![]));
        }
        let (old, problems) = read(b"K\xfchler;10 \x80");
        assert_eq!(old.as_deref(), Some(text));
        assert_eq!(problems[0].kind, "old-letters");
        for (bytes, kind) in [
            (&b"PK\x03\x04abc"[..], "a-workbook"),
            (b"part\0kind", "not-text"),
            (&[0xff, 0xfe, 0x41], "not-text"),
            (&vec![b'a'; FILE_BYTES_MAX + 1], "too-large"),
        ] {
            let (text, problems) = read(bytes);
            assert_eq!((text, problems[0].kind), (None, kind));
        }
    }
}
