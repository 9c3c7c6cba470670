//! The codes that are good now: one a job, each once and for a few minutes.

use std::time::{Duration, Instant};

use lastbolt_store::StoreError;

use crate::limits::{CODE_TIME, CODES_MAX};
use crate::phones::{Scope, Secret};

/// The codes that are good now.
#[derive(Debug, Default)]
pub(crate) struct Codes {
    all: Vec<Code>,
}

#[derive(Debug)]
struct Code {
    scope: Scope,
    secret: Secret,
    made: Instant,
}

impl Codes {
    /// Gives the code of a scope and how long it is still good, making one where there is none.
    ///
    /// # Errors
    /// Fails when there is no randomness.
    pub(crate) fn current(
        &mut self,
        scope: &Scope,
        now: Instant,
        another: bool,
    ) -> Result<(Secret, Duration), StoreError> {
        self.all.retain(|code| left(code, now).is_some() && !(another && code.scope == *scope));
        if let Some(code) = self.all.iter().find(|code| code.scope == *scope) {
            return Ok((code.secret.clone(), left(code, now).unwrap_or_default()));
        }
        if self.all.len() >= CODES_MAX {
            self.all.remove(0);
        }
        let secret = Secret::code()?;
        self.all.push(Code { scope: scope.clone(), secret: secret.clone(), made: now });
        Ok((secret, CODE_TIME))
    }

    /// Uses a code up and says what it was for; none where it is not good.
    pub(crate) fn use_up(&mut self, said: &Secret, now: Instant) -> Option<Scope> {
        self.all.retain(|code| left(code, now).is_some());
        // Every one is compared, so that the time does not tell which was nearly right.
        let right: Vec<bool> = self.all.iter().map(|code| code.secret.is(said)).collect();
        let at = right.iter().position(|right| *right)?;
        Some(self.all.remove(at).scope)
    }
}

fn left(code: &Code, now: Instant) -> Option<Duration> {
    CODE_TIME.checked_sub(now.saturating_duration_since(code.made)).filter(|left| !left.is_zero())
}

#[cfg(test)]
mod tests {
    use lastbolt_store::JobId;

    use super::*;

    /// Once, not twice; not when it is old; only the newest; and for its own job.
    #[test]
    fn good_once_and_for_a_while() {
        let begun = Instant::now();
        let job = Scope::Job(JobId::new("kelp-1").unwrap());
        let mut codes = Codes::default();
        let (first, left) = codes.current(&job, begun, false).unwrap();
        assert_eq!(left, CODE_TIME);
        let (same, _) = codes.current(&job, begun, false).unwrap();
        assert!(first.is(&same), "looking does not renew it");
        let (other, _) = codes.current(&Scope::Garage, begun, false).unwrap();
        assert_eq!(codes.use_up(&Secret::read_code("ABCD"), begun), None);
        assert_eq!(codes.use_up(&other, begun), Some(Scope::Garage));
        assert_eq!(codes.use_up(&first, begun), Some(job.clone()));
        assert_eq!(codes.use_up(&first, begun), None, "a photo of it lets nobody in");
        let (second, _) = codes.current(&job, begun, false).unwrap();
        assert!(!second.is(&first));
        let late = begun + CODE_TIME;
        assert_eq!(codes.use_up(&second, late), None, "too old");
        let (third, _) = codes.current(&job, late, false).unwrap();
        let (fourth, _) = codes.current(&job, late, true).unwrap();
        assert_eq!(codes.use_up(&third, late), None, "another was asked for");
        assert_eq!(codes.use_up(&fourth, late), Some(job));
    }
}
