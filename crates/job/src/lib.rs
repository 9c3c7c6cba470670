//! The join: recorded state and a question in, an answer out. Pure: no I/O, no clock; the time of
//! day and the planner's limits are arguments.
//!
//! How it is used:
//!
//! 1. [`Case::new`] compiles a [`JobModel`] (machine, job, minutes), once.
//! 2. After every accepted event: [`Picture::of`] draws what no file knows from the record and
//!    [`bring_up`] gives [`Now`]. The caller keeps [`Now::kept`] as
//!    text ([`KeptPlan::to_text`], [`KeptPlan::from_text`]) or gives none: then it is made again
//!    from the whole record, and comes out the same.
//! 3. [`screen`], [`what_holds`], [`gate`] and [`record`] give the views of [`view`];
//!    [`draft`] says what is recorded of a thing if nothing else is said.
//! 4. [`photos`] gives the photos of a job, [`before_photo`] the one beside a step.
//! 5. [`lists`] is about spreadsheets: a machine or entries from one, and the list of a job.
//! 6. [`plan_view`] and [`why`] are for a plan that was never begun.
//!
//! How the list stands still: what was done leaves it; if the rest is still legal from where the
//! machine really is, it stays as it is; else it is mended with the least disturbance (`repair`).

mod advance;
mod before;
mod buttons;
mod card;
mod case;
mod counts;
mod day;
mod disturbed;
mod entry_text;
mod export;
mod follows;
mod gate;
mod hazards;
mod holds;
mod joint;
mod kept;
mod learnt;
mod line;
pub mod lists;
mod live;
mod matters;
mod mend;
mod needs;
mod nothing;
mod photos;
mod picture;
mod plan_view;
mod pressure;
mod quiet;
mod read;
mod record;
mod repair;
mod screen;
mod shown;
mod stages;
mod taken;
mod tell;
mod tightness;
mod twin;
pub mod view;
mod waits;
mod walk;
mod what_if;
mod whole;
mod why;
mod words;

pub use advance::{Now, advance, begin, bring_up, kernel_from};
pub use before::{Around, around};
pub use buttons::draft;
pub use case::{Case, JobModel, Target};
pub use day::agreed::with_open;
pub use day::broke::{branches, broke_taps, broken, happens};
pub use day::day;
pub use day::hand_over::{TAKEN_OVER, hand_over_of};
pub use day::over::due_of;
pub use day::paper::paper;
pub use disturbed::{DISTURBED, disturbed};
pub use export::export;
pub use follows::follows;
pub use gate::{FIRST_START, NOTHING_CLAIMED, gate, gate_of};
pub use hazards::MAKER_WINS;
pub use hazards::mark::{HAZARD, hazard_taps, hazards_marked};
pub use holds::what_holds;
pub use joint::{HeldText, Owned, joint, joint_study, joints, no_wrench, owned, percent_band};
pub use kept::{KeptPlan, KeptStep};
pub use learnt::{Learnt, Took, learnt, took};
pub use live::Live;
pub use matters::leftover::leftovers;
pub use matters::{Counted, Dropped, LeftAlone, Matters, Opened, PutIn};
pub use nothing::{FromNothing, NothingError, from_known, from_nothing};
pub use photos::{Beside, Markable, Photo, Pin, before_photo, markable, photos};
pub use picture::{Picture, see};
pub use plan_view::plan_view;
pub use pressure::asked_first;
pub use read::{ReadCase, read_case, read_model};
pub use record::record;
pub use screen::screen;
pub use taken::{TakenLine, TakenThing, is_from_nothing, is_taking_apart, taken};
pub use twin::with_twins;
pub use what_if::{WayRow, Wishes, more_words, way_row};
pub use whole::{Whole, whole};
pub use why::why;
pub use words::{about, large, pieces};
