//! Tightening: values as entered, rounds and their order, the wrench behind an adapter,
//! plausibility, and what a joint does while it is tightened. Pure: numbers and words in, numbers
//! and words out; it knows no machines.
//!
//! Values: [`read_torque`], [`Angle::read`], [`read_stage`]; the wrench: [`choose`]; the order:
//! [`order()`], [`rounds()`], [`resume()`], [`draw`] and [`svg()`]; what the joint does meanwhile:
//! [`interaction`], of which [`how_many_here`] needs the holes only.

mod angle;
mod calibration;
mod choose;
mod class;
mod cursor;
mod drawing;
pub mod eval;
mod exact;
mod figures;
mod holes;
pub mod interaction;
mod labels;
mod number;
mod order;
mod outward;
mod plausible;
mod point;
mod resume;
mod ring;
mod ring_fit;
mod rings_order;
mod rounds;
mod scan_torque;
mod setting;
mod shape;
mod short_form;
mod stage;
mod straighten;
mod strength;
mod strip;
mod svg;
mod symmetry;
mod thread;
mod torque;
mod trouble;
mod unit;
mod vdi2230;
mod wrench;

pub use angle::{Angle, Length};
pub use calibration::Calibration;
pub use choose::{Choice, Setting, Warning, WarningKind, choose, setting};
pub use class::{Tolerance, WrenchClass};
pub use drawing::{Drawing, Head, Mark, Progress, Sheet, Stroke, TEXT_MIN, draw};
pub use exact::Exact;
pub use figures::{Published, figure, figures};
pub use holes::{HOLES_MAX, Hole, HolesError, Taken, look_over};
pub use interaction::{
    Draws, Elastic, HowMany, HowManyHere, LOSS_PUBLISHED, LOSS_STIFF_ASSUMED, Matrix, ModelError,
    PASSED_ON_ASSUMED, Plan, Pull, Random, Scatter, ScatterError, Spread, by_loss, forces,
    gasket_stiffness, how_many, how_many_here, influence, one_round, scatter, screw_stiffness,
    spread_percent,
};
pub use number::Number;
pub use order::{Order, OrderError, Why, loosening, makers_order, order, said_order};
pub use plausible::{
    MAKER_WINS, Preload, Screw, Stripping, doubtful, friction_explained, preload_band, stripping,
};
pub use resume::{Care, Resume, ResumeError, resume};
pub use ring::{PATTERN_READ, published, ring_order};
pub use rounds::{
    ACTIONS_MAX, JointFacts, JointKind, NoRepeat, Reason, Round, Rounds, RoundsError, What,
    loosening_rounds, rounds,
};
pub use scan_torque::read_torque;
pub use setting::{adapter_angle_error, lever_factor};
pub use shape::Shape;
pub use short_form::{PowerScrew, long_form_torque, short_form_torque};
pub use stage::{Action, Pattern, Stage, read_stage};
pub use strength::{Strength, strength};
pub use strip::{
    angle_preload_n, h28_min_engagement_mm, min_engagement_tapped_mm, shear_area_internal_mm,
    strip_force_internal_n,
};
pub use svg::svg;
pub use thread::Thread;
pub use torque::{Entry, Torque, convert};
pub use trouble::{Trouble, TroubleKind};
pub use unit::TorqueUnit;
pub use vdi2230::{
    HeadShape, assembly_preload_n, check_friction, preload_from_torque_n, tightening_torque_nm,
    use_of_yield,
};
pub use wrench::{Adapter, Held, Wrench, WrenchText};
