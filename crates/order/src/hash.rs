//! Maps keyed by states: the keys are made here, so a quick hash is enough.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// A map keyed by what the search makes itself.
pub(crate) type Map<K, V> = HashMap<K, V, BuildHasherDefault<Mix>>;

/// Mixes machine words; keys are made here, nobody outside chooses them.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0 ^ word).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        self.0 ^= self.0 >> 32;
    }

    fn write_u16(&mut self, word: u16) {
        self.write_u64(word.into());
    }

    fn write_u32(&mut self, word: u32) {
        self.write_u64(word.into());
    }

    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }
}

/// How many values a bound may remember, and when it may forget them all and begin anew.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    /// How many more values may be remembered; when none is left the bound becomes coarser.
    left: usize,
    full: usize,
    /// How often a value was asked for from outside since the memory was empty.
    asked: usize,
}

/// Values that one question from outside may cost on average for forgetting to be worth it.
const WORTH: usize = 64;

impl Room {
    pub(crate) fn new(full: usize) -> Self {
        Self { left: full, full, asked: 0 }
    }

    /// Takes room for one more value, if there is some.
    pub(crate) fn take(&mut self) -> bool {
        let some = self.left > 0;
        self.left = self.left.saturating_sub(1);
        some
    }

    /// Asked for a value from outside: `true` where all that is remembered is to be forgotten. The
    /// search has gone on from there; but where few questions filled the memory, more memory would
    /// only take longer.
    pub(crate) fn begins_anew(&mut self) -> bool {
        self.asked += 1;
        let anew = self.left < self.full / 4 && self.asked * WORTH >= self.full;
        if anew {
            *self = Self::new(self.full);
        }
        anew
    }
}
