//! Quantities of the linear model of a joint while it is tightened.

use crate::eval::Answer;
use crate::eval::inputs::Inputs;
use crate::eval::measure::leading;
use crate::eval::registry::{Call, Raw};
use crate::interaction::{Elastic, ModelError, elastic_row, influence};
use crate::ring::ring_order;
use crate::trouble::{Trouble, TroubleKind};
use crate::vdi2230::positive;

type Found = Result<Raw, Trouble>;

/// In N, the base unit, or as shares of one.
fn scaled(numbers: &[f64], times: f64) -> Raw {
    let numbers: Vec<f64> = numbers.iter().map(|number| number * times).collect();
    let answer = match numbers[..] {
        [number] => Answer::Number(number),
        _ => Answer::Numbers(numbers),
    };
    Raw { answer, ..Raw::from(0.0) }
}

/// The inputs of the row that "same" means: the nearest of that layout before this one that has
/// them.
fn before<'a>(call: &Call<'a>) -> Option<&'a str> {
    let name = call.name();
    let layout = name.match_indices('_').nth(1).map_or(name, |(at, _)| &name[..at]);
    call.sibling(layout, "kb")
}

/// Forces, or spreads round by round, of any layout.
pub(super) fn elastic(call: &Call<'_>) -> Found {
    call.inputs.all_used();
    let unknown = || call.inputs.missing("quantity");
    let row = elastic_row(call.name(), call.inputs.text(), before(call));
    let numbers = row.unwrap_or_else(|| Err(unknown()))?;
    // Forces come in kN, spreads in percent.
    let is_spread = call.name().ends_with("range_by_pass");
    Ok(scaled(&numbers, if is_spread { 0.01 } else { 1000.0 }))
}

fn no_joint(error: ModelError) -> Trouble {
    let help = "Give kb in kN/mm, c in mm/kN above 0, rho from 0 to below 1.";
    Trouble::new(TroubleKind::OutOfRange, "inputs", format!("This is no joint: {error}."), help)
}

/// What each screw of a ring of eight would have to be tightened to, in the order of tightening (a
/// star), to carry the goal at the end: A x = T. A check of the model; it is never offered.
pub(super) fn compensated(call: &Call<'_>) -> Found {
    call.inputs.all_used();
    let own = call.inputs.text_of("kb").is_some();
    let text = if own { Some(call.inputs.text()) } else { before(call) };
    let inputs = Inputs::of(text.ok_or_else(|| call.inputs.missing("kb"))?)?;
    let count = 8;
    let number = |name: &str| -> Result<f64, Trouble> {
        let (above, rest) = leading(name, inputs.need(name)?)?;
        match rest.strip_prefix('/') {
            Some(below) => Ok(above / positive(name, leading(name, below)?.0)?),
            None => Ok(above),
        }
    };
    let stiffness = vec![number("kb")?; count];
    let apart = |i: usize, j: usize| i.abs_diff(j).min(count - i.abs_diff(j)) as f64;
    let joint = Elastic::by_distance(&stiffness, number("c")?, number("rho")?, apart);
    let matrix = joint.and_then(|joint| influence(&joint, &ring_order(count))).map_err(no_joint)?;
    let goal = positive("T", number("T")?)?;
    let mut first = vec![0.0; count];
    // Upper triangular, ones on the diagonal: from the last backwards.
    for row in (0..count).rev() {
        let later = (row + 1..count).map(|column| matrix.at(row, column) * first[column]);
        first[row] = goal - later.sum::<f64>();
    }
    Ok(scaled(&first, 1000.0))
}
