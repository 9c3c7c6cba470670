//! The join: recorded state and a question in, an answer out. Pure.
