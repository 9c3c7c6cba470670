//! A set of small numbers.

/// A set of numbers below a fixed limit.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub(crate) struct Bits {
    words: Vec<u64>,
}

impl Bits {
    pub(crate) fn none(limit: usize) -> Self {
        Self { words: vec![0; limit.div_ceil(64)] }
    }

    pub(crate) fn of(limit: usize, all: impl IntoIterator<Item = usize>) -> Self {
        let mut set = Self::none(limit);
        for one in all {
            set.add(one);
        }
        set
    }

    pub(crate) fn add(&mut self, one: usize) {
        self.words[one / 64] |= 1 << (one % 64);
    }

    pub(crate) fn remove(&mut self, one: usize) {
        self.words[one / 64] &= !(1 << (one % 64));
    }

    pub(crate) fn has(&self, one: usize) -> bool {
        self.words[one / 64] & (1 << (one % 64)) != 0
    }

    pub(crate) fn join(&mut self, other: &Self) {
        for (word, more) in self.words.iter_mut().zip(&other.words) {
            *word |= more;
        }
    }

    pub(crate) fn minus(&self, other: &Self) -> Self {
        let words = self.words.iter().zip(&other.words).map(|(a, b)| a & !b);
        Self { words: words.collect() }
    }

    pub(crate) fn is_within(&self, other: &Self) -> bool {
        self.words.iter().zip(&other.words).all(|(a, b)| a & !b == 0)
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.words.iter().all(|&word| word == 0)
    }

    pub(crate) fn len(&self) -> usize {
        self.words.iter().map(|word| word.count_ones() as usize).sum()
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(at, &word)| {
            (0..64).filter(move |bit| word & (1 << bit) != 0).map(move |bit| at * 64 + bit)
        })
    }
}
