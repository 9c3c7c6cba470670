//! input.
