//! Accepts or refuses any order, with a reason; knows no planner. Pure.
//!
//! The rules R1 to R20 of the machine file are written here a second time, naively, from the
//! text of the contract and not from the planner's kernel: a mistake there must not be repeated
//! here. Only the machine as written and the table of minutes are shared.
//!
//! * [`verify()`] judges a whole order and recomputes its minutes;
//! * [`Walker`] goes step by step: which steps are legal next, what they cost.
//!
//! Where each rule lives: R2, R17 and R18 in `start`; R3 in `place`; R4 to R9 and R14 in `holds`;
//! R10 to R13 in `close`; R15 in `change`; R1 and R16 in `walker` and `verify`; R12's lists in
//! `looks`; waits and `sets` in `elapsed`.
//!
//! Not judged yet are the three rules that only forbid further orders. R23 (bearing) and R28
//! (leak look) are questions about a step and the open set: they belong into `Walker::may_open`
//! and `Walker::may_close`, which both [`verify()`] and [`Walker::moves`] pass through. R24 (open
//! time) also asks about minutes since a step and belongs beside `elapsed`.

mod book;
mod broken;
mod change;
mod close;
mod elapsed;
mod find;
mod holds;
mod looks;
mod open;
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
