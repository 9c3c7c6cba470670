//! Before the road: levels cold, the road test, proof that the fault is gone.

use lastbolt_machine::Kind;

use crate::case::Written;
use crate::day::{Ask, group};
use crate::view::{DayGate, Point, PointGroup};
use crate::words;

/// The groups of the stage; there is nothing before the first start.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    if ask.picture.now.live.state.first_starts.is_empty() {
        return Vec::new();
    }
    vec![group("Levels, cold again", levels(ask)), group("Proof", proof(ask))]
}

/// What was drained in this job is looked at once more when all is cold.
fn levels(ask: &Ask<'_>) -> Vec<Point> {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let kernel = book.kernel;
    let drained = kernel.all().filter_map(|thing| {
        let Written::Prep(prep) = book.written(thing) else { return None };
        let fluid = prep.fluid.as_ref()?;
        let was = live.mark(kernel, thing).is_some_and(|mark| mark.times_opened > 0);
        let is_prep = kernel.thing(thing).kind == Kind::Prep;
        (was && is_prep).then(|| (kernel.name(thing), fluid.name.as_str()))
    });
    let point = |(name, fluid): (&str, &str)| {
        ask.point("road.level", Some(name), &format!("{}: level right, cold?", words::large(fluid)))
            .answer("Level right", "right")
            .asks("Not right", "How far off, and what was done?")
            .detail("The maker says where it is read, and whether cold or warm.")
            .caution("A hot cooling system is under pressure: wait until it is cold.")
            .before(DayGate::Road)
            .done()
    };
    drained.map(point).collect()
}

/// What was named at size-up as proof that the fault is gone.
fn proof(ask: &Ask<'_>) -> Vec<Point> {
    let written = ask.picture.case.model.job.proof.iter().map(|text| text.value.clone());
    let said = ask.kept("proof").map(|kept| kept.text.clone());
    let point = |(at, text): (usize, String)| {
        ask.point(&format!("road.proof.{at}"), None, &words::large(&text))
            .answer("Yes, proved", "yes")
            .asks("No", "What was seen instead?")
            .answer("Later", "later")
            .open_on(&["later"])
            .done()
    };
    written.chain(said).enumerate().map(point).collect()
}
