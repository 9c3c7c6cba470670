//! Forces after each pull of the wrench, by the plain rule.

use super::joint::{Elastic, ModelError};
use super::matrix::Matrix;

/// One pull: this screw is tightened until it carries this force.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// The screw, from 0.
    pub screw: usize,
    /// Force at which the pull ends, in any unit of force.
    pub force: f64,
}

/// One round: every screw of the order once, to one force.
#[must_use]
pub fn one_round(order: &[usize], force: f64) -> Vec<Pull> {
    order.iter().map(|screw| Pull { screw: *screw, force }).collect()
}

/// The forces in all screws after each of these rounds of pulls; a screw that was not pulled yet
/// carries none and takes no part.
///
/// # Errors
/// If a pull names a screw that the joint has not.
pub fn forces(joint: &Elastic, rounds: &[Vec<Pull>]) -> Result<Vec<Vec<f64>>, ModelError> {
    let mut force = vec![0.0; joint.screws()];
    let mut tight: Vec<usize> = Vec::new();
    // Once all screws are tight nothing changes in the springs: their columns are kept.
    let mut all: Option<Vec<Vec<f64>>> = None;
    let mut after = Vec::with_capacity(rounds.len());
    for round in rounds {
        for pull in round {
            if pull.screw >= joint.screws() {
                return Err(ModelError::NoScrew(pull.screw + 1));
            }
            tight.retain(|screw| *screw != pull.screw);
            tight.push(pull.screw);
            let more = pull.force - force[pull.screw];
            if tight.len() == joint.screws() {
                let columns = match all.take() {
                    Some(columns) => columns,
                    None => columns(joint).ok_or(ModelError::NotStable)?,
                };
                let moved = &columns[pull.screw];
                force.iter_mut().zip(moved).for_each(|(force, share)| *force += share * more);
                all = Some(columns);
            } else {
                let moved = moved_by_last(joint, &tight).ok_or(ModelError::NotStable)?;
                tight.iter().zip(&moved).for_each(|(screw, share)| force[*screw] += share * more);
            }
        }
        after.push(force.clone());
    }
    Ok(after)
}

/// For each screw, how the forces of all change for a unit more in it, when all are tight.
fn columns(joint: &Elastic) -> Option<Vec<Vec<f64>>> {
    let screws: Vec<usize> = (0..joint.screws()).collect();
    let lower = joint.springs(&screws).cholesky()?;
    let column = |screw: &usize| {
        let unit: Vec<f64> = screws.iter().map(|i| f64::from(i == screw)).collect();
        let column = lower.solve_by_cholesky(&unit);
        column.iter().map(|cell| cell / column[*screw]).collect()
    };
    Some(screws.iter().map(column).collect())
}

/// How the forces of these screws change for a unit more in the last of them: `K_ij / K_jj`.
///
/// That is a column of the inverse, and the column is the solution for a unit at the last screw.
fn moved_by_last(joint: &Elastic, tight: &[usize]) -> Option<Vec<f64>> {
    let mut unit = vec![0.0; tight.len()];
    *unit.last_mut()? = 1.0;
    let column = joint.springs(tight).cholesky()?.solve_by_cholesky(&unit);
    let own = *column.last()?;
    Some(column.iter().map(|cell| cell / own).collect())
}

/// The influence matrix A in tightening order: what is left on screw i (row) for each unit that
/// screw j (column) was tightened to, after one round on a slack joint. Unit upper triangular.
///
/// # Errors
/// If the order names a screw that the joint has not.
pub fn influence(joint: &Elastic, order: &[usize]) -> Result<Matrix, ModelError> {
    if let Some(screw) = order.iter().find(|screw| **screw >= joint.screws()) {
        return Err(ModelError::NoScrew(screw + 1));
    }
    let columns: Option<Vec<Vec<f64>>> =
        (1..=order.len()).map(|tight| moved_by_last(joint, &order[..tight])).collect();
    let columns = columns.ok_or(ModelError::NotStable)?;
    let cell = |i: usize, j: usize| columns[j].get(i).copied().unwrap_or(0.0);
    Ok(Matrix::from_cells(order.len(), cell))
}
