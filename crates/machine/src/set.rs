//! A set of thing numbers.

use crate::kernel::ThingNo;

/// A set of things of one [`crate::Kernel`], one bit a thing.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Set {
    words: Vec<u64>,
}

impl Set {
    /// An empty set with room for `count` things.
    pub fn with_room(count: usize) -> Self {
        Self { words: vec![0; count.div_ceil(64)] }
    }

    /// Whether the thing is in the set.
    pub fn has(&self, thing: ThingNo) -> bool {
        self.words.get(thing.0 / 64).is_some_and(|w| w >> (thing.0 % 64) & 1 == 1)
    }

    /// Puts a thing in; says whether it was not there before.
    pub fn add(&mut self, thing: ThingNo) -> bool {
        let word = thing.0 / 64;
        if word >= self.words.len() {
            self.words.resize(word + 1, 0);
        }
        let new = !self.has(thing);
        self.words[word] |= 1 << (thing.0 % 64);
        new
    }

    /// Takes a thing out.
    pub fn remove(&mut self, thing: ThingNo) {
        if let Some(word) = self.words.get_mut(thing.0 / 64) {
            *word &= !(1 << (thing.0 % 64));
        }
    }

    /// The same set with one thing more.
    #[must_use]
    pub fn with(&self, thing: ThingNo) -> Self {
        let mut set = self.clone();
        set.add(thing);
        set
    }

    /// The same set with one thing less.
    #[must_use]
    pub fn without(&self, thing: ThingNo) -> Self {
        let mut set = self.clone();
        set.remove(thing);
        set
    }

    /// The things of this set that are not in the other.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        let mut set = self.clone();
        for (word, out) in set.words.iter_mut().zip(&other.words) {
            *word &= !out;
        }
        set
    }

    /// Whether every thing of this set is in the other.
    pub fn is_within(&self, other: &Self) -> bool {
        self.iter().all(|thing| other.has(thing))
    }

    /// How many things are in it.
    pub fn len(&self) -> usize {
        self.words.iter().map(|w| w.count_ones() as usize).sum()
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|w| *w == 0)
    }

    /// The things in it, lowest number first.
    pub fn iter(&self) -> impl Iterator<Item = ThingNo> + '_ {
        self.words.iter().enumerate().flat_map(|(index, word)| {
            let mut rest = *word;
            std::iter::from_fn(move || {
                if rest == 0 {
                    return None;
                }
                let bit = rest.trailing_zeros() as usize;
                rest &= rest - 1;
                Some(ThingNo(index * 64 + bit))
            })
        })
    }

    /// The bits, 64 things a word.
    pub fn words(&self) -> &[u64] {
        &self.words
    }
}

impl FromIterator<ThingNo> for Set {
    fn from_iter<I: IntoIterator<Item = ThingNo>>(items: I) -> Self {
        let mut set = Self::default();
        for item in items {
            set.add(item);
        }
        set
    }
}

impl Extend<ThingNo> for Set {
    fn extend<I: IntoIterator<Item = ThingNo>>(&mut self, items: I) {
        for item in items {
            self.add(item);
        }
    }
}
