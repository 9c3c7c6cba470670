//! Words of a text, and whether a phrase stands in it.

/// The words of a text in small letters.
#[derive(Clone, Debug)]
pub(crate) struct Text(Vec<String>);

impl Text {
    /// Takes a text to pieces; what is no letter or digit parts words, a full stop, colon, comma
    /// or semicolon parts phrases.
    pub(crate) fn of(text: &str) -> Self {
        let mut words = Vec::new();
        let mut word = String::new();
        for c in text.chars().chain(std::iter::once(' ')) {
            if c.is_alphanumeric() {
                word.extend(c.to_lowercase());
                continue;
            }
            // "seat-belt's": the ending belongs to nothing.
            if c == '\'' || c == '’' {
                continue;
            }
            if !word.is_empty() {
                words.push(std::mem::take(&mut word));
            }
            if matches!(c, '.' | ':' | ',' | ';') {
                words.push(String::new());
            }
        }
        Self(words)
    }

    /// The same without the words of these phrases: where they stood, no phrase goes on.
    pub(crate) fn without(&self, phrases: &[&str]) -> Self {
        let mut words = self.0.clone();
        for phrase in phrases {
            for at in (0..words.len()).filter(|&at| self.stands_at(at, phrase)) {
                let long = phrase.split(' ').count();
                words[at..at + long].iter_mut().for_each(String::clear);
            }
        }
        Self(words)
    }

    /// Whether a phrase stands in it: word for word, an "s" at the end of a word aside. A word of
    /// the phrase that ends with `*` stands for all that begin like it.
    pub(crate) fn has(&self, phrase: &str) -> bool {
        (0..self.0.len()).any(|at| self.stands_at(at, phrase))
    }

    fn stands_at(&self, at: usize, phrase: &str) -> bool {
        let words = &self.0[at..];
        phrase
            .split(' ')
            .enumerate()
            .all(|(n, wanted)| words.get(n).is_some_and(|word| is_word(word, wanted)))
    }
}

fn is_word(word: &str, wanted: &str) -> bool {
    match wanted.strip_suffix('*') {
        Some(begins) => word.starts_with(begins),
        None => word == wanted || word.strip_suffix('s') == Some(wanted),
    }
}

#[cfg(test)]
mod tests {
    use super::Text;

    /// A table is only as good as its reading of words.
    #[test]
    fn phrases_are_whole_words() {
        let has = |text: &str, phrase: &str| Text::of(text).has(phrase);
        assert!(has("Fuel-rail unions (4)", "fuel rail"));
        assert!(has("INJECTORS", "injector"));
        assert!(!has("grams", "ram"));
        assert!(!has("fuel, rail", "fuel rail"), "a comma parts phrases");
        assert!(has("welding near it", "weld*"));
        assert!(!has("seat", "seat belt"));
        assert!(!has("stand", "stands"), "one that is plural is wanted so");
        let text = Text::of("gas spring of the lid, gas line").without(&["gas spring"]);
        assert!(text.has("gas line") && !text.has("spring"));
        assert!(!Text::of("").has("gas"));
    }
}
