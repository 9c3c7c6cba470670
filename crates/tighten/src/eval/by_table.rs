//! Quantities that stand in published tables: nothing is computed, and what is not there is said.

use crate::eval::Answer;
use crate::eval::measure::leading;
use crate::eval::registry::{Call, Raw};
use crate::figures::{Published, figure};
use crate::holes::HOLES_MAX;
use crate::ring;
use crate::trouble::{Trouble, TroubleKind, shown};

type Found = Result<Raw, Trouble>;

fn raw(published: &Published) -> Raw {
    let number = leading("figure", published.figure).ok().filter(|(_, rest)| rest.is_empty());
    let answer = match number {
        Some((number, _)) => Answer::Number(number),
        None => Answer::Text(published.figure.to_owned()),
    };
    Raw {
        answer,
        assumed: Vec::new(),
        from_memory: published.from_memory,
        source: Some(published.source.to_owned()),
        unit: Some(published.unit.to_owned()),
    }
}

pub(super) fn by_class(call: &Call<'_>) -> Found {
    let class = call.inputs.need("class")?;
    Ok(raw(&figure(call.quantity.name, "class", &[class])?))
}

pub(super) fn by_method(call: &Call<'_>) -> Found {
    let method = call.inputs.need("method")?;
    Ok(raw(&figure(call.quantity.name, "method", &[method])?))
}

/// The case is the whole text of the inputs.
pub(super) fn by_text(call: &Call<'_>) -> Found {
    call.inputs.unnamed();
    Ok(raw(&figure(call.quantity.name, "inputs", &[call.inputs.text()])?))
}

pub(super) fn engagement(call: &Call<'_>) -> Found {
    let (material, bolt) = (call.inputs.need("material")?, call.inputs.need("bolt")?);
    Ok(raw(&figure(call.quantity.name, "material", &[material, bolt])?))
}

/// The table holds for one stress.
pub(super) fn pcc1(call: &Call<'_>) -> Found {
    let stress = call.inputs.need("prestress_ksi")?;
    let (ksi, _) = leading("prestress_ksi", stress)?;
    if (ksi - 50.0).abs() > 1e-9 {
        return Err(Trouble::new(
            TroubleKind::OutOfRange,
            "prestress_ksi",
            format!("The table is for 50 ksi on the root area, not \"{}\".", shown(stress)),
            "Its note says that torque goes with stress; that is not done here by itself.",
        ));
    }
    let (bolt, coating) = (call.inputs.need("bolt_in")?, call.inputs.need("coating")?);
    Ok(raw(&figure(call.quantity.name, "bolt_in", &[bolt, coating])?))
}

pub(super) fn cross_sequence(call: &Call<'_>) -> Found {
    let holes = call.inputs.need_number("n")?;
    let most = HOLES_MAX.min(32);
    let count = (3..=most).find(|count| *count as f64 == holes).ok_or_else(|| {
        let message = format!("A ring of {holes} holes has no cross pattern.");
        let help = format!("Give a whole number from 3 to {most}.");
        Trouble::new(TroubleKind::OutOfRange, "n", message, help)
    })?;
    let is_published = ring::published(count).is_some();
    let order: Vec<String> =
        ring::ring_order(count).iter().map(|place| (place + 1).to_string()).collect();
    let unpublished = format!("no published pattern for {count}: opposite pairs, far apart");
    Ok(Raw {
        answer: Answer::Text(order.join("-")),
        assumed: if is_published { Vec::new() } else { vec![unpublished] },
        from_memory: is_published && count != ring::PATTERN_READ,
        source: None,
        unit: Some("order".to_owned()),
    })
}
