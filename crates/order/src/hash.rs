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
