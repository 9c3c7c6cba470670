//! Random numbers from a seed, the same on every machine.

/// SplitMix64 (Steele, Lea and Flood 2014): small, seeded, good enough for test cases.
#[derive(Clone, Debug)]
pub struct Rng(u64);

impl Rng {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `limit`; 0 if the limit is 0.
    pub fn below(&mut self, limit: usize) -> usize {
        if limit == 0 { 0 } else { (self.bits() % limit as u64) as usize }
    }

    /// A number from `least` to `most`, both included.
    pub fn between(&mut self, least: usize, most: usize) -> usize {
        least + self.below(most.saturating_sub(least) + 1)
    }

    /// True in so many of a hundred cases.
    pub fn percent(&mut self, chance: usize) -> bool {
        self.below(100) < chance
    }

    /// One of these, if there is any.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        if from.is_empty() { None } else { from.get(self.below(from.len())) }
    }
}
