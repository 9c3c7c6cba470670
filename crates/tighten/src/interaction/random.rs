//! Draws that are the same everywhere: value number i of a seed needs no values before it.

/// Increment of the counter: the golden ratio's odd 64-bit fraction.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// SplitMix64 (Steele, Lea and Flood, OOPSLA 2014), addressed by place.
#[derive(Debug, Clone, Copy)]
pub struct Random {
    seed: u64,
}

impl Random {
    /// The draws of this seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { seed }
    }

    /// Bits number `at`.
    ///
    /// ```
    /// use lastbolt_tighten::Random;
    /// // The generator's usual check: seed 1234567, first value.
    /// assert_eq!(Random::new(1_234_567).bits(0), 6_457_827_717_110_365_317);
    /// ```
    #[must_use]
    pub fn bits(self, at: u64) -> u64 {
        let mut z = self.seed.wrapping_add(STEP.wrapping_mul(at.wrapping_add(1)));
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 to below 1: the upper 53 bits.
    #[must_use]
    pub fn unit(self, at: u64) -> f64 {
        (self.bits(at) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number with mean 0 and standard deviation 1, nearly normal and never beyond 3.47: the sum
    /// of four 16-bit parts of one draw.
    #[must_use]
    pub fn bell(self, at: u64) -> f64 {
        let bits = self.bits(at);
        let parts = [0, 16, 32, 48].map(|shift| (bits >> shift & 0xFFFF) as f64);
        let sum = parts.iter().sum::<f64>() / 65_536.0 + 2.0 / 65_536.0;
        (sum - 2.0) * 3.0_f64.sqrt()
    }
}

/// All draws of a study, as plain numbers, so that others can be given the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Draws {
    /// One for each joint: how soft it is, from 0 to below 1.
    pub softness: Vec<f64>,
    /// For each joint one a screw: friction, which stays with the screw.
    pub friction: Vec<f64>,
    /// For each joint and round one a screw, by number of the screw: wrench and hand.
    pub pull: Vec<f64>,
}

impl Draws {
    /// The draws of a seed: first all of softness, then of friction, then of pulls.
    #[must_use]
    pub fn new(seed: u64, joints: usize, screws: usize, rounds: usize) -> Self {
        let random = Random::new(seed);
        let (friction, pulls) = (joints * screws, joints * screws * rounds);
        let from = |at: usize| at as u64;
        Self {
            softness: (0..joints).map(|i| random.unit(from(i))).collect(),
            friction: (0..friction).map(|i| random.bell(from(joints + i))).collect(),
            pull: (0..pulls).map(|i| random.bell(from(joints + friction + i))).collect(),
        }
    }
}
