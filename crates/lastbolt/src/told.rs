//! told.
