//! The truth test: a hidden machine is taken apart at random, told by the handful with kind, place
//! and count only, asked about, and put back by what an [`Engine`] makes of that.
//!
//! * [`hidden_machine`], [`believable_machine`] and [`workshop_machine`] make the truth;
//!   [`HAND_MADE`] holds some made by hand;
//! * [`strip`] takes it apart in some legal order, [`entries`] says what a person records of it;
//! * [`Oracle`] answers questions from the truth;
//! * [`Judge`] says whether an order of putting back is legal there, what it costs at least, and
//!   whether looks stand before the true covers;
//! * [`run`] does all of that with one engine, [`Tally`] counts and holds it against [`Bars`];
//! * [`wrong`] has engines that must fail.
//!
//! The best order is brought by the caller ([`Best`]): this room knows no planner.

mod deep;
mod engine;
mod entries;
mod features;
mod hand;
mod hidden;
mod judge;
mod layered;
mod oracle;
mod plain;
mod run;
mod sound;
mod strip;
mod tally;
mod workshop;
pub mod wrong;

pub use engine::{Engine, PutBack, Question};
pub use entries::{Entry, Fixing, Style, entries};
pub use hand::HAND_MADE;
pub use hidden::hidden_machine;
pub use judge::{Best, Judge, Judged, Look};
pub use layered::believable_machine;
pub use oracle::{Choice, Oracle};
pub use plain::plain_machine;
pub use run::{Asking, Case, Run, run};
pub use sound::{has_back_only_need, is_sound};
pub use strip::{Manner, Opened, Strip, strip};
pub use tally::{Bars, Tally};
pub use workshop::workshop_machine;
