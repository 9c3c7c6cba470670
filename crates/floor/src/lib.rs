//! The web server and its pages.
//!
//! * [`serve`]: serves one garage on this machine, and to phones that are let in where that is
//!   asked for, until it is told to stop;
//! * the pages are drawn on the server; small scripts record taps, keep what was not sent yet, and
//!   take over the server's pages as the job goes on;
//! * `docs/events-endpoint.md` describes the endpoint for events and the others beside it.
//!
//! Who does what: one writer thread (`writer`) owns the databases and answers after the commit;
//! one thread a job (`planner`) brings the list up to the record and publishes a [`room`] snapshot;
//! requests only read snapshots. `photos` takes pictures in, one at a time. `guard` decides
//! who may ask.
//!
//! How to add a page: 1. a file in `pages`; 2. its route in one of the `routes`. The tests that
//! look for words that must not stand on a screen, and for what is hard to read, find it there;
//! where its address has braces of its own they have to be told what to put in.

mod assets;
mod before;
mod clock;
mod door;
mod due;
mod guard;
mod hall;
mod hands;
mod learnt;
mod limits;
mod lists;
mod other_jobs;
mod own;
mod pages;
mod phones;
mod photos;
mod planner;
mod qr;
mod reply;
mod room;
mod routes;
mod routes_day;
mod routes_garage;
mod routes_joint;
mod routes_phones;
mod routes_stop;
mod routes_take;
mod serve;
mod size_up;
mod standing;
mod stream;
#[cfg(test)]
mod tests;
mod wire;
mod writer;

pub use before::{KnownMachine, known_machine};
pub use due::{Due, due, due_of_machine};
pub use hands::hands;
pub use learnt::{Offered, offered};
pub use other_jobs::letter;
pub use own::{Own, change_own_file};
pub use serve::{Ready, ReadyForPhones, Serve, ServeError, serve};
pub use standing::{Rule, from_outside, heading_of, waits_for};
