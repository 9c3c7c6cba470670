//! A text with small mends in it, which still knows where everything stood before.

use std::ops::Range;

/// Mends to be made: what stands in a span is replaced.
#[derive(Debug, Default)]
pub(crate) struct Mends {
    all: Vec<(Range<usize>, String)>,
}

impl Mends {
    /// Replaces a span of the original text.
    pub(crate) fn replace(&mut self, span: Range<usize>, with: impl Into<String>) {
        self.all.push((span, with.into()));
    }

    /// Makes all mends; of two that overlap the first to begin counts.
    pub(crate) fn make(mut self, text: &str) -> Patched {
        self.all.sort_by_key(|(span, _)| span.start);
        let mut patched = String::with_capacity(text.len() + 64);
        let mut breaks = vec![(0, 0)];
        let mut done = 0;
        for (span, with) in &self.all {
            if span.start < done {
                continue;
            }
            patched.push_str(&text[done..span.start]);
            breaks.push((patched.len(), span.start));
            patched.push_str(with);
            breaks.push((patched.len(), span.end));
            done = span.end;
        }
        patched.push_str(&text[done..]);
        breaks.push((patched.len(), text.len()));
        Patched { text: patched, breaks }
    }
}

/// The mended text, and where each byte of it stood.
#[derive(Debug)]
pub(crate) struct Patched {
    pub(crate) text: String,
    /// Offsets in the mended and in the original text, both growing.
    breaks: Vec<(usize, usize)>,
}

impl Patched {
    /// Where a byte of the mended text stood in the original.
    pub(crate) fn origin(&self, offset: usize) -> usize {
        let next = self.breaks.partition_point(|(patched, _)| *patched <= offset);
        let (patched, original) = self.breaks[next.saturating_sub(1)];
        let end = self.breaks.get(next).map_or(usize::MAX, |(_, original)| *original);
        (original + (offset - patched)).min(end)
    }

    /// Wipes out the line that holds a byte, leaving spaces; says whether there was anything.
    pub(crate) fn wipe_line(&mut self, offset: usize) -> bool {
        let offset = offset.min(self.text.len());
        let bytes = self.text.as_bytes();
        let start = bytes[..offset].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let end = bytes[offset..].iter().position(|b| *b == b'\n');
        let end = end.map_or(bytes.len(), |i| offset + i);
        let any = !self.text[start..end].trim().is_empty();
        self.text.replace_range(start..end, &" ".repeat(end - start));
        any
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Places survive mends that are longer, shorter, and in the way of each other.
    #[test]
    fn keeps_places() {
        let mut mends = Mends::default();
        mends.replace(2..3, "xyz");
        mends.replace(5..8, "");
        mends.replace(6..7, "never");
        let patched = mends.make("0123456789");
        assert_eq!(patched.text, "01xyz3489");
        let origin: Vec<usize> = (0..=9).map(|o| patched.origin(o)).collect();
        assert_eq!(origin, [0, 1, 2, 3, 3, 3, 4, 8, 9, 10]);
    }

    /// Wiping takes one line and moves nothing.
    #[test]
    fn wipes_a_line() {
        let mut patched = Mends::default().make("ab\ncdé\nef");
        assert!(patched.wipe_line(4));
        assert_eq!(patched.text, "ab\n    \nef");
        assert!(!patched.wipe_line(4));
    }
}
