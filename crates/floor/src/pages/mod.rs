//! The pages, drawn on the server. A script puts the newest page in place of the old one, part by
//! part (`data-part`), so that nothing is drawn twice.

pub(crate) mod begin;
pub(crate) mod bits;
pub(crate) mod day;
pub(crate) mod disturbed;
pub(crate) mod due;
pub(crate) mod entry;
pub(crate) mod facts;
pub(crate) mod garage;
pub(crate) mod gate;
pub(crate) mod hazard;
pub(crate) mod holds;
pub(crate) mod joint;
pub(crate) mod let_in;
pub(crate) mod list;
pub(crate) mod lists;
pub(crate) mod matters;
pub(crate) mod paper;
pub(crate) mod phones;
pub(crate) mod photo;
pub(crate) mod photos;
pub(crate) mod plan;
pub(crate) mod questions;
pub(crate) mod record;
pub(crate) mod refused;
pub(crate) mod scribe;
pub(crate) mod sheet;
pub(crate) mod shell;
pub(crate) mod shot;
pub(crate) mod stop;
pub(crate) mod take;
pub(crate) mod thing;
pub(crate) mod today;
pub(crate) mod who;
pub(crate) mod wishes;
pub(crate) mod work;
