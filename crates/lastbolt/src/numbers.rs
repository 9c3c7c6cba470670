//! numbers.
