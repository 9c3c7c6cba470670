//! What things are called when nobody has said.

use std::collections::BTreeSet;

/// The longest name of a thing \[characters\]; longer ones are cut.
const NAME_CHARS_MAX: usize = 120;

/// Gives names that are each used once.
#[derive(Debug, Clone, Default)]
pub(crate) struct Names {
    taken: BTreeSet<String>,
}

impl Names {
    /// Marks a name as taken.
    pub(crate) fn take(&mut self, name: &str) {
        self.taken.insert(name.to_owned());
    }

    /// Gives the name if it is free, else the name with the least number that makes it so, and
    /// takes it.
    pub(crate) fn unique(&mut self, name: &str) -> String {
        let name = tidy(name);
        let name = if self.taken.contains(&name) { self.numbered(&name, 2) } else { name };
        self.take(&name);
        name
    }

    /// Gives "part 1", "part 2", ... and takes it.
    pub(crate) fn next(&mut self, stem: &str) -> String {
        let name = self.numbered(&tidy(stem), 1);
        self.take(&name);
        name
    }

    fn numbered(&self, stem: &str, from: u32) -> String {
        let free = |number: &u32| !self.taken.contains(&format!("{stem} {number}"));
        let number = (from..u32::MAX).find(free).unwrap_or(u32::MAX);
        format!("{stem} {number}")
    }
}

/// Trims a name and draws blanks together; a name has no line breaks.
pub(crate) fn tidy(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    let name: String = words.join(" ").chars().take(NAME_CHARS_MAX).collect();
    if name.is_empty() { "thing".to_owned() } else { name.trim_end().to_owned() }
}

/// Gives a kind for so many: "nut", "nuts".
pub(crate) fn of_kind(kind: &str, count: u32) -> String {
    if count == 1 {
        return kind.to_owned();
    }
    let hissing = ["s", "x", "z", "ch", "sh"].iter().any(|end| kind.ends_with(end));
    match kind.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'i', 'o', 'u']) => format!("{stem}ies"),
        _ if hissing => format!("{kind}es"),
        _ => format!("{kind}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_used_once() {
        let mut names = Names::default();
        assert_eq!(names.unique(" tray "), "tray");
        assert_eq!(names.unique("tray"), "tray 2");
        assert_eq!(names.unique("tray"), "tray 3");
        assert_eq!(names.next("part"), "part 1");
        assert_eq!(names.next("part"), "part 2");
        assert_eq!(of_kind("nut", 3), "nuts");
        assert_eq!(of_kind("press fit", 1), "press fit");
        assert_eq!(of_kind("switch", 2), "switches");
    }
}
