//! Accepts or refuses any order, with a reason; knows no planner. Pure.
//!
//! The rules R1 to R20, R23, R24 and R28 of the machine file are written here a second time,
//! naively, from the text of the contract and not from the planner's kernel: a mistake there must
//! not be repeated here. Only the machine as written and the table of minutes are shared.
//!
//! * [`verify()`] judges a whole order and recomputes its minutes;
//! * [`Walker`] goes step by step: which steps are legal next, what they cost.
//!
//! Where each rule lives: R2, R17 and R18 in `start`; R3 in `place`; R4 to R9 and R14 in `holds`;
//! R10 to R13 in `close`; R15 in `change`; R1 and R16 in `walker` and `verify`; R12's lists in
//! `looks`; waits and `sets` in `elapsed`.
//!
//! R23 (bearing) lives in `bearing`, R24 (open time) in `open_time`, R28 (leak look) in `leak`;
//! decision 0014 says how they are read where the text leaves room.

mod bearing;
mod book;
mod broken;
mod change;
mod close;
mod elapsed;
mod find;
mod holds;
mod leak;
mod looks;
mod open;
mod open_time;
mod order;
mod place;
mod start;
mod verdict;
mod verify;
mod walker;

pub use order::{Action, Order, Step, Wishes};
pub use verdict::{Account, LastLook, Phase, Reason, Verdict};
pub use verify::verify;
pub use walker::{Key, Move, Walker};
