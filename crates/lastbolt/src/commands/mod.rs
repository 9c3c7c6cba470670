//! One command, one file.

pub(crate) mod answer;
pub(crate) mod ask;
pub(crate) mod backup;
pub(crate) mod begin;
pub(crate) mod check;
pub(crate) mod correct;
pub(crate) mod day;
pub(crate) mod did;
pub(crate) mod disturbed;
pub(crate) mod export;
pub(crate) mod gate;
pub(crate) mod import;
pub(crate) mod leftover;
pub(crate) mod next;
pub(crate) mod notes;
pub(crate) mod open;
pub(crate) mod phones;
pub(crate) mod photo;
pub(crate) mod plan;
pub(crate) mod record;
pub(crate) mod restore;
pub(crate) mod state;
pub(crate) mod take_back;
pub(crate) mod tick;
pub(crate) mod took;
pub(crate) mod verify;
