//! Tightening: values as entered, rounds and their order, the wrench behind an adapter, plausibility, and what a
//! joint does while it is tightened. Pure: numbers and words in, numbers and words out; it knows no machines.
//!
//! Values: [`read_torque`], [`Angle::read`], [`read_stage`]; the wrench: [`choose`].

mod angle;
mod choose;
mod class;
mod cursor;
mod exact;
mod number;
mod scan_torque;
mod setting;
mod stage;
mod torque;
mod trouble;
mod unit;
mod wrench;

pub use angle::{Angle, Length};
pub use choose::{Choice, Setting, Warning, WarningKind, choose, setting};
pub use class::{Tolerance, WrenchClass};
pub use exact::Exact;
pub use number::Number;
pub use scan_torque::read_torque;
pub use setting::{adapter_angle_error, lever_factor};
pub use stage::{Action, Pattern, Stage, read_stage};
pub use torque::{Entry, Torque, convert};
pub use trouble::{Trouble, TroubleKind};
pub use unit::TorqueUnit;
pub use wrench::{Adapter, Held, Wrench, WrenchText};
