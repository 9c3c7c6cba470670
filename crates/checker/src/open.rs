//! The one set that says it all: what is open.

/// The number of a thing in the book.
pub(crate) type No = usize;

/// A set of things.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Open(Vec<bool>);

impl Open {
    /// The empty set, for so many things.
    pub(crate) fn none(things: usize) -> Self {
        Self(vec![false; things])
    }

    pub(crate) fn has(&self, thing: No) -> bool {
        self.0[thing]
    }

    pub(crate) fn add(&mut self, thing: No) {
        self.0[thing] = true;
    }

    pub(crate) fn drop(&mut self, thing: No) {
        self.0[thing] = false;
    }

    /// The set without one thing.
    pub(crate) fn without(&self, thing: No) -> Self {
        let mut other = self.clone();
        other.drop(thing);
        other
    }

    /// The set without all of another.
    pub(crate) fn minus(&self, others: &Self) -> Self {
        let pairs = self.0.iter().zip(&others.0);
        Self(pairs.map(|(&mine, &theirs)| mine && !theirs).collect())
    }

    /// Its things, in the order of the book.
    pub(crate) fn all(&self) -> impl Iterator<Item = No> + '_ {
        self.0.iter().enumerate().filter(|(_, has)| **has).map(|(thing, _)| thing)
    }
}
