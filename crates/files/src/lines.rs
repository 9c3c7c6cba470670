//! From byte offsets to lines and columns.

use lastbolt_machine::{At, FileNo};

/// Where the lines of a file begin. A line ends with LF, CR LF or a lone CR.
#[derive(Debug)]
pub(crate) struct Lines {
    file: FileNo,
    starts: Vec<usize>,
}

impl Lines {
    pub(crate) fn new(text: &str, file: FileNo) -> Self {
        let bytes = text.as_bytes();
        // The byte order mark is no character of the first line.
        let mut starts = vec![if text.starts_with('\u{feff}') { 3 } else { 0 }];
        for (index, byte) in bytes.iter().enumerate() {
            let ends = match byte {
                b'\n' => true,
                b'\r' => bytes.get(index + 1) != Some(&b'\n'),
                _ => false,
            };
            if ends {
                starts.push(index + 1);
            }
        }
        Self { file, starts }
    }

    /// The line (from 0) that holds a byte.
    pub(crate) fn line(&self, offset: usize) -> usize {
        self.starts.partition_point(|start| *start <= offset).saturating_sub(1)
    }

    /// Line and column of a byte; columns count characters.
    pub(crate) fn at(&self, text: &str, offset: usize) -> At {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line = self.line(offset);
        let start = self.starts[line].min(offset);
        let column = text[start..offset].chars().count() + 1;
        let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        At { file: self.file, line: number(line + 1), column: number(column) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Columns are characters, whatever ends the lines, and a byte order mark counts nothing.
    #[test]
    fn lines_and_columns() {
        let check = |text: &str, needle: &str, expect: (u32, u32)| {
            let lines = Lines::new(text, FileNo(0));
            let at = lines.at(text, text.find(needle).expect("needle"));
            assert_eq!((at.line, at.column), expect, "{text:?}");
        };
        check("a\nbc", "c", (2, 2));
        check("a\r\nbc", "c", (2, 2));
        check("a\rbc", "c", (2, 2));
        check("a\n\r\nc", "c", (3, 1));
        check("\u{feff}ab", "b", (1, 2));
        check("é ü b", "b", (1, 5));
        check("\tb", "b", (1, 2));
    }
}
