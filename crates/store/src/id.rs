//! Job ids: what names a job's folder and what people type.

use std::fmt;

use crate::error::StoreError;

/// The longest slug made of a title \[characters\].
const SLUG_CHARS_MAX: usize = 40;
/// The longest id \[characters\].
const ID_CHARS_MAX: usize = 64;

/// Identifies a job within a garage: small letters, digits and dashes, as `tarn-camper-1`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JobId(String);

impl JobId {
    /// Reads an id.
    ///
    /// # Errors
    /// Fails when it is empty, too long or has other characters: it can never lead out of the
    /// garage folder.
    pub fn new(text: &str) -> Result<JobId, StoreError> {
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
        let fits = (1..=ID_CHARS_MAX).contains(&text.len());
        if !fits || !text.bytes().all(plain) || text.starts_with('-') {
            return Err(StoreError::BadJobId { text: text.chars().take(80).collect() });
        }
        Ok(JobId(text.to_owned()))
    }

    /// Gives the text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Makes the id of the `number`th job with this slug.
    pub(crate) fn numbered(slug: &str, number: u32) -> JobId {
        JobId(format!("{slug}-{number}"))
    }

    /// Gives the number at the end if the rest is this slug.
    pub(crate) fn number_after(&self, slug: &str) -> Option<u32> {
        self.0.strip_prefix(slug)?.strip_prefix('-')?.parse().ok()
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Makes the short word of a title that begins its job's id; "job" where nothing is left of it.
pub(crate) fn slug(title: &str) -> String {
    let mut slug = String::new();
    for c in title.chars() {
        if slug.len() >= SLUG_CHARS_MAX {
            break;
        }
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "job".to_owned() } else { slug.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An id becomes a folder name: nothing may lead out of the garage.
    #[test]
    fn ids_stay_in_the_garage() {
        for bad in ["", "..", "a/b", "a\\b", "A", "-a", "a b", "ä", "a.b", &"x".repeat(65)] {
            assert!(JobId::new(bad).is_err(), "{bad:?}");
        }
        assert_eq!(JobId::new("tarn-camper-1").unwrap().as_str(), "tarn-camper-1");
    }

    #[test]
    fn slugs() {
        assert_eq!(slug("Tarn camper: gearbox out"), "tarn-camper-gearbox-out");
        assert_eq!(slug("  --Kelp!! "), "kelp");
        assert_eq!(slug("Ящик"), "job");
        assert!(JobId::new(&JobId::numbered(&slug(&"long ".repeat(50)), u32::MAX).0).is_ok());
        assert_eq!(JobId::numbered("kelp", 3).number_after("kelp"), Some(3));
        assert_eq!(JobId::numbered("kelp-two", 3).number_after("kelp"), None);
    }
}
