//! Take-apart and put-back orders, exact, with proof or bound. Pure.
