//! Every limit of a file, in one place.

/// The largest file that is read, in bytes.
pub(crate) const FILE_BYTES_MAX: usize = 2 * 1024 * 1024;
/// The most problems reported for one file; a last one says how many more there are.
pub(crate) const PROBLEMS_MAX: usize = 200;
/// The deepest nesting of lists and tables.
pub(crate) const DEPTH_MAX: usize = 20;
/// The most things of one sort (parts, fixings, conditions, spots) in a file.
pub(crate) const THINGS_MAX: usize = 5_000;
/// The most ways of one thing, each direction.
pub(crate) const WAYS_MAX: usize = 200;
/// The most entries of one list.
pub(crate) const LIST_MAX: usize = 5_000;
/// The longest name, in characters.
pub(crate) const NAME_CHARS_MAX: usize = 200;
/// The longest free text, in characters.
pub(crate) const TEXT_CHARS_MAX: usize = 10_000;
/// The largest number of pieces or people.
pub(crate) const COUNT_MAX: u32 = 1_000;
/// How many times a file is read again after a mistake that hides what follows it.
pub(crate) const ROUNDS_MAX: usize = 50;
/// How many bytes all those rounds may read together.
pub(crate) const ROUNDS_BYTES_MAX: usize = 40 * 1024 * 1024;
