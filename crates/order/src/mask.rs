//! A set of things as a fixed number of machine words, for use as part of a search state.

use std::hash::{Hash, Hasher};

/// A set of up to `64 * W` things.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Mask<const W: usize>([u64; W]);

impl<const W: usize> Hash for Mask<W> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.iter().for_each(|word| state.write_u64(*word));
    }
}

impl<const W: usize> Mask<W> {
    pub(crate) const EMPTY: Self = Self([0; W]);

    pub(crate) fn has(&self, thing: usize) -> bool {
        self.0[thing / 64] >> (thing % 64) & 1 == 1
    }

    pub(crate) fn add(&mut self, thing: usize) {
        self.0[thing / 64] |= 1 << (thing % 64);
    }

    pub(crate) fn remove(&mut self, thing: usize) {
        self.0[thing / 64] &= !(1 << (thing % 64));
    }

    pub(crate) fn with(mut self, thing: usize) -> Self {
        self.add(thing);
        self
    }

    pub(crate) fn without(mut self, thing: usize) -> Self {
        self.remove(thing);
        self
    }

    pub(crate) fn and(mut self, other: &Self) -> Self {
        for (a, b) in self.0.iter_mut().zip(&other.0) {
            *a &= b;
        }
        self
    }

    pub(crate) fn or(mut self, other: &Self) -> Self {
        for (a, b) in self.0.iter_mut().zip(&other.0) {
            *a |= b;
        }
        self
    }

    pub(crate) fn minus(mut self, other: &Self) -> Self {
        for (a, b) in self.0.iter_mut().zip(&other.0) {
            *a &= !b;
        }
        self
    }

    /// What of it has this number or a higher one.
    pub(crate) fn from(mut self, thing: usize) -> Self {
        let (word, bit) = (thing / 64, thing % 64);
        self.0[..word].fill(0);
        self.0[word] &= !0 << bit;
        self
    }

    pub(crate) fn is_within(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).all(|(a, b)| a & !b == 0)
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).any(|(a, b)| a & b != 0)
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.iter().all(|a| *a == 0)
    }

    pub(crate) fn len(&self) -> usize {
        self.0.iter().map(|a| a.count_ones() as usize).sum()
    }

    pub(crate) fn iter(self) -> Bits<W> {
        Bits { left: self.0, word: 0 }
    }

    pub(crate) fn words(&self) -> &[u64; W] {
        &self.0
    }
}

/// The things of a set, in the order of their numbers.
#[derive(Clone, Copy)]
pub(crate) struct Bits<const W: usize> {
    left: [u64; W],
    /// Those before are empty.
    word: usize,
}

impl<const W: usize> Iterator for Bits<W> {
    type Item = usize;

    fn next(&mut self) -> Option<usize> {
        while let Some(left) = self.left.get_mut(self.word) {
            if *left != 0 {
                let bit = left.trailing_zeros() as usize;
                *left &= *left - 1;
                return Some(self.word * 64 + bit);
            }
            self.word += 1;
        }
        None
    }
}

impl<const W: usize> FromIterator<usize> for Mask<W> {
    fn from_iter<I: IntoIterator<Item = usize>>(items: I) -> Self {
        let mut mask = Self::EMPTY;
        for item in items {
            mask.add(item);
        }
        mask
    }
}
