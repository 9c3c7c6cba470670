//! Tightening: values as entered, rounds and their order, the wrench behind an adapter,
//! plausibility, and what a joint does while it is tightened. Pure: numbers and words in, numbers
//! and words out; it knows no machines.
//!
//! Values: [`read_torque`], [`Angle::read`], [`read_stage`]; the wrench: [`choose`]; the order:
//! [`order()`].

mod angle;
mod choose;
mod class;
mod cursor;
mod exact;
mod holes;
mod number;
mod order;
mod outward;
mod point;
mod ring;
mod ring_fit;
mod rings_order;
mod scan_torque;
mod setting;
mod shape;
mod stage;
mod straighten;
mod symmetry;
mod torque;
mod trouble;
mod unit;
mod wrench;

pub use angle::{Angle, Length};
pub use choose::{Choice, Setting, Warning, WarningKind, choose, setting};
pub use class::{Tolerance, WrenchClass};
pub use exact::Exact;
pub use holes::{HOLES_MAX, Hole, HolesError, Taken, look_over};
pub use number::Number;
pub use order::{Order, OrderError, Why, loosening, makers_order, order};
pub use ring::{published, ring_order};
pub use scan_torque::read_torque;
pub use setting::{adapter_angle_error, lever_factor};
pub use shape::Shape;
pub use stage::{Action, Pattern, Stage, read_stage};
pub use torque::{Entry, Torque, convert};
pub use trouble::{Trouble, TroubleKind};
pub use unit::TorqueUnit;
pub use wrench::{Adapter, Held, Wrench, WrenchText};
