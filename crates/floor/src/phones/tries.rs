//! Wrong codes: how many, from where, in the last minute.

use std::collections::VecDeque;
use std::net::IpAddr;
use std::time::Instant;

use crate::limits::{TRIES_FROM_ONE_MAX, TRIES_MAX, TRIES_TIME};

/// The wrong codes of the last minute, oldest first; never more than [`TRIES_MAX`].
#[derive(Debug, Default)]
pub(crate) struct Tries {
    wrong: VecDeque<(Instant, IpAddr)>,
}

impl Tries {
    /// Says whether one more code may be tried from there.
    pub(crate) fn may(&mut self, from: IpAddr, now: Instant) -> bool {
        self.wrong.retain(|(at, _)| now.saturating_duration_since(*at) < TRIES_TIME);
        let own = self.wrong.iter().filter(|(_, address)| *address == from).count();
        own < TRIES_FROM_ONE_MAX && self.wrong.len() < TRIES_MAX
    }

    /// Notes a wrong one.
    pub(crate) fn wrong(&mut self, from: IpAddr, now: Instant) {
        if self.wrong.len() < TRIES_MAX {
            self.wrong.push_back((now, from));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Who guesses has to wait; others need not, until very many guess.
    #[test]
    fn guessing_is_slow() {
        let begun = Instant::now();
        let address = |n: usize| IpAddr::from([192, 0, 2, u8::try_from(n).unwrap()]);
        let mut tries = Tries::default();
        for _ in 0..TRIES_FROM_ONE_MAX {
            assert!(tries.may(address(1), begun));
            tries.wrong(address(1), begun);
        }
        assert!(!tries.may(address(1), begun));
        assert!(tries.may(address(2), begun));
        assert!(tries.may(address(1), begun + TRIES_TIME), "a minute later again");
        let mut tries = Tries::default();
        for n in 0..TRIES_MAX {
            assert!(tries.may(address(n), begun));
            tries.wrong(address(n), begun);
        }
        assert!(!tries.may(address(200), begun));
    }
}
