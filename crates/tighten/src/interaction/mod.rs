//! What a joint does while it is tightened: tightening one screw relieves its neighbours.
//!
//! Screws and joint are linear springs. With the stiffness k of each screw and the compliance C of
//! the joint (how far it gives at hole i for a unit of force at hole j), the screws that are tight
//! carry `F = M^-1 theta`, `M = diag(1/k) + C`, where theta is how far each nut is turned home.
//! Tightening screw j to T turns theta_j alone until F_j = T, which moves the others by
//! `K_ij / K_jj` for each unit, `K = M^-1` over the screws that are tight.
//!
//! Own model, not published (docs/methods.md); it knows no gap that opens, no creep and no friction
//! but what [`scatter`] draws. It never says how much more to put on the first screws:
//! tightening beyond the maker's value is not offered.

mod how_many;
mod joint;
mod lanes;
mod matrix;
mod passes;
mod random;
mod rows;
mod scatter;
mod softness;
mod study;

pub use how_many::{HOW_MANY_MAX, HowMany, HowManyHere, how_many, how_many_here, spread_percent};
pub use joint::{Elastic, ModelError};
pub use matrix::Matrix;
pub use passes::{Pull, forces, influence, one_round};
pub use random::{Draws, Random};
pub use rows::elastic_row;
pub use scatter::{JOINTS_MAX, Plan, ROUNDS_MAX, Scatter, ScatterError, Spread, scatter};
pub use softness::{
    LOSS_PUBLISHED, LOSS_STIFF_ASSUMED, PASSED_ON_ASSUMED, by_loss, gasket_stiffness,
    screw_stiffness,
};
