//! What a missing part blocks, and how far one can go without it.

use lastbolt_machine::ThingNo;

use crate::day::Ask;
use crate::day::size_up::Wanted;
use crate::view::StepVerb;
use crate::walk::Todo;

/// Longer lists are not walked for it \[steps\].
const STEPS_MAX: usize = 600;

/// What is said where something for a thing is not there yet. With `old_fits` what came off can
/// go back on meanwhile.
pub(crate) fn lines(ask: &Ask<'_>, wanted: &Wanted, thing: ThingNo, old_fits: bool) -> Vec<String> {
    if wanted.list.len() > STEPS_MAX {
        return Vec::new();
    }
    let mut all = vec![how_far(ask, wanted, thing, old_fits)];
    all.extend(blocks(ask, wanted, thing));
    all
}

/// How far taking apart can go and be undone again.
fn how_far(ask: &Ask<'_>, wanted: &Wanted, thing: ThingNo, old_fits: bool) -> String {
    let (book, live) = (ask.book(), &ask.picture.now.live);
    let opens = |todo: &&Todo| todo.verb.opens();
    let steps: Vec<&Todo> = wanted.list.iter().filter(opens).collect();
    let stays = "the machine stays apart, and where it stands, until it is there";
    if live.open.has(thing) {
        return match old_fits {
            true => format!("It is off: without the old one back on, {stays}."),
            false => format!("It is open already: {stays}."),
        };
    }
    let Some(at) = steps.iter().position(|todo| todo.thing == thing) else {
        return "It is home; nothing waits for it before it is opened again.".to_owned();
    };
    let title = |todo: &Todo| book.title(todo, None);
    let first = title(steps[at]);
    let rest = match old_fits {
        true => format!("From \"{first}\" on {stays}, unless the old one goes back on."),
        false => format!("From \"{first}\" on {stays}."),
    };
    match at {
        0 => format!("The first step needs it: before it is there, nothing is opened. {rest}"),
        1 => format!("Without it \"{}\" can be done and undone again. {rest}", title(steps[0])),
        _ => format!(
            "Without it {at} steps can be done and undone again, the last of them \"{}\". {rest}",
            title(steps[at - 1])
        ),
    }
}

/// The steps of putting back that wait for it.
fn blocks(ask: &Ask<'_>, wanted: &Wanted, thing: ThingNo) -> Option<String> {
    let (case, live) = (&ask.picture.case, &ask.picture.now.live);
    let (book, kernel) = (ask.book(), &case.kernel);
    let mut stand = live.stand(case).with_forbids(kernel);
    let (mut blocked, mut goes): (Vec<&Todo>, usize) = (Vec::new(), 0);
    for todo in &wanted.list {
        if todo.verb.opens() {
            stand.apply(kernel, todo);
            continue;
        }
        let waits = todo.thing == thing && todo.verb != StepVerb::Start;
        match stand.fit(kernel, todo).filter(|_| !waits) {
            Some(todo) => {
                stand.apply(kernel, &todo);
                goes += 1;
            }
            None => blocked.push(todo),
        }
    }
    let first = blocked.first()?;
    let first = book.title(first, None);
    Some(match (blocked.len(), goes) {
        (1, 0) => format!("It blocks \"{first}\"."),
        (1, _) => format!("It blocks \"{first}\"; {goes} other steps of putting back can be done."),
        (all, 0) => format!("It blocks all {all} steps of putting back, from \"{first}\" on."),
        (all, 1) => {
            format!("It blocks {all} steps of putting back, from \"{first}\" on; one can be done.")
        }
        (all, _) => format!(
            "It blocks {all} steps of putting back, from \"{first}\" on; {goes} can be done."
        ),
    })
}
