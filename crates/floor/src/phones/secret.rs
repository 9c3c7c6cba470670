//! Secrets: made, written, read, compared.

use std::fmt;

use lastbolt_store::{StoreError, random_token};
use sha2::{Digest, Sha256};

/// The letters of a code: no I, L, O, U, which are read as others or make words. 32 of them, so
/// each is 5 bits.
const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// How many letters a code has: 60 bits.
const CODE_LETTERS: usize = 12;
/// How many stand together where a person reads it.
const GROUP: usize = 4;
/// The most characters of what somebody types that are looked at.
const TYPED_MAX: usize = 64;

/// A secret. Its text is given on purpose only: it cannot be printed by accident.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Secret(String);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret")
    }
}

impl Secret {
    /// Makes what a phone shows from its cookie: 128 bits.
    ///
    /// # Errors
    /// Fails when there is no randomness.
    pub(crate) fn own() -> Result<Self, StoreError> {
        random_token().map(Self)
    }

    /// Makes a code: short enough to be typed where a camera is broken.
    ///
    /// # Errors
    /// Fails when there is no randomness.
    pub(crate) fn code() -> Result<Self, StoreError> {
        let token = random_token()?;
        let digits = token.as_bytes().chunks(2).take(CODE_LETTERS);
        // The low five bits of a random byte are five random bits.
        let letters = digits.map(|pair| {
            let byte = pair.iter().fold(0, |sum, digit| sum * 16 + hex(*digit));
            char::from(LETTERS[usize::from(byte % 32)])
        });
        Ok(Self(letters.collect()))
    }

    /// Reads a code as somebody typed it: small letters, groups, and letters that look like
    /// digits are taken.
    pub(crate) fn read_code(typed: &str) -> Self {
        let letters = typed.chars().take(TYPED_MAX).filter(char::is_ascii_alphanumeric);
        let same = letters.map(|letter| match letter.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            letter => letter,
        });
        Self(same.collect())
    }

    /// Gives the text: for a cookie, a code on this machine's own page, nothing else.
    pub(crate) fn reveal(&self) -> &str {
        &self.0
    }

    /// Gives the text in groups, for a person.
    pub(crate) fn in_groups(&self) -> String {
        let groups = self.0.as_bytes().chunks(GROUP).map(String::from_utf8_lossy);
        groups.collect::<Vec<_>>().join("-")
    }

    /// Gives SHA-256 of it as hexadecimal digits: all that is kept of a phone's own secret.
    pub(crate) fn hash(&self) -> String {
        hash(&self.0)
    }

    /// Compares in a time that does not tell how much of it was right.
    pub(crate) fn is(&self, other: &Self) -> bool {
        same(&self.0, &other.0)
    }
}

fn hex(digit: u8) -> u8 {
    match digit {
        b'0'..=b'9' => digit - b'0',
        _ => digit.to_ascii_lowercase().wrapping_sub(b'a').wrapping_add(10),
    }
}

/// Gives SHA-256 of a text as hexadecimal digits.
pub(crate) fn hash(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Says whether two texts are the same and not empty, in a time that depends on their lengths
/// alone.
pub(crate) fn same(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let differences = a.iter().zip(b).fold(0, |sum, (a, b)| sum | (a ^ b));
    // The compiler must not see that the outcome is known at the first difference.
    std::hint::black_box(differences) == 0 && a.len() == b.len() && !a.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a person reads off a screen and types comes back as the same code.
    #[test]
    fn a_code_survives_being_typed() {
        for _ in 0..50 {
            let code = Secret::code().unwrap();
            assert_eq!(code.reveal().len(), CODE_LETTERS);
            assert!(code.reveal().bytes().all(|letter| LETTERS.contains(&letter)));
            let typed = code.in_groups().to_lowercase().replace('0', "o").replace('1', "l");
            assert!(Secret::read_code(&format!(" {typed} ")).is(&code), "{typed}");
        }
        assert_ne!(Secret::code().unwrap(), Secret::code().unwrap());
    }

    #[test]
    fn only_the_same_is_the_same() {
        let check = |a: &str, b: &str, expect| assert_eq!(same(a, b), expect, "{a} {b}");
        check("A1", "A1", true);
        check("A1", "A2", false);
        check("A1", "A", false);
        check("A", "A1", false);
        check("", "", false);
    }

    /// FIPS 180-4's example "abc".
    #[test]
    fn the_hash_is_sha_256() {
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash("abc"), abc);
    }

    #[test]
    fn it_cannot_be_printed_by_accident() {
        assert_eq!(format!("{:?}", Secret::read_code("ABCD")), "Secret");
    }
}
