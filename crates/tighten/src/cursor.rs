//! A place in a text that is being read.

/// A text and how far it has been read.
#[derive(Clone, Debug)]
pub(crate) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    pub(crate) fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    pub(crate) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub(crate) fn at(&self) -> usize {
        self.at
    }

    pub(crate) fn go(&mut self, bytes: usize) {
        self.at = (self.at + bytes).min(self.text.len());
    }

    pub(crate) fn since(&self, from: usize) -> &'a str {
        &self.text[from..self.at]
    }

    pub(crate) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// The last character before this place.
    pub(crate) fn before(&self) -> Option<char> {
        self.text[..self.at].chars().next_back()
    }

    pub(crate) fn skip_blanks(&mut self) {
        let rest = self.rest();
        self.go(rest.len() - rest.trim_start().len());
    }

    /// Takes this character, if it is the next.
    pub(crate) fn take(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        let next = self.peek().filter(|c| wanted(*c))?;
        self.go(next.len_utf8());
        Some(next)
    }

    /// Takes one of these words, blanks before it skipped, if it stands there as a word of its own.
    pub(crate) fn take_word(&mut self, words: &[&'static str]) -> Option<&'static str> {
        let mut ahead = self.clone();
        ahead.skip_blanks();
        let rest = ahead.rest();
        let found = words.iter().filter(|word| begins_with(rest, word)).max_by_key(|w| w.len())?;
        ahead.go(found.len());
        *self = ahead;
        Some(found)
    }
}

/// Whether a text begins with a word (small letters, ASCII or signs) and the word ends there.
pub(crate) fn begins_with(text: &str, word: &str) -> bool {
    let Some(head) = text.get(..word.len()) else { return false };
    let ends_in_letter = word.chars().next_back().is_some_and(char::is_alphanumeric);
    let next = text[word.len()..].chars().next();
    head.to_lowercase() == *word && !(ends_in_letter && next.is_some_and(char::is_alphanumeric))
}
