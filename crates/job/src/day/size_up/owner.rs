//! The owner's yes: one sentence and three words, then told by, when; open first, price after.

use lastbolt_ledger::{Kept, Tick};

use crate::day::size_up::keeps;
use crate::day::{Ask, Draft, group};
use crate::photos::photos_for;
use crate::view::{Point, PointGroup};
use crate::words;

const YES: &str = "yes";
const NO: &str = "no";
const AGAIN: &str = "ask again";

/// The group.
pub(crate) fn groups(ask: &Ask<'_>) -> Vec<PointGroup> {
    let mut points = Vec::new();
    for kept in ask.kept("ask owner") {
        points.extend(question(ask, kept));
    }
    for kept in ask.kept("open first") {
        points.extend(open_first(ask, kept));
    }
    let taps = vec![
        keeps("Ask the owner", "ask owner", "One sentence: what is asked?"),
        keeps("Open first, price after", "open first", "What is opened before there is a price?"),
    ];
    vec![PointGroup { taps, ..group("The owner's yes", points) }]
}

fn three_words(draft: Draft) -> Draft {
    draft.choice("Yes", YES).choice("No", NO).choice("Ask again", AGAIN).closed_on(&[YES, NO])
}

/// A question with its answer, then by whom and by what means it was told.
fn question(ask: &Ask<'_>, kept: &Kept) -> Vec<Point> {
    let id = format!("owner.{}", kept.seq);
    let thing = kept.thing.as_deref();
    let photos = photos_for(ask.picture, &id);
    let mut draft = three_words(ask.point(&id, thing, &kept.text)).photos(photos);
    for line in besides(kept) {
        draft = draft.detail(line);
    }
    let told = told(ask, &id, thing);
    std::iter::once(draft.done()).chain(told).collect()
}

/// Told by whom, by what means; once there is a yes or no.
fn told(ask: &Ask<'_>, id: &str, thing: Option<&str>) -> Option<Point> {
    let tick = ask.tick(id, thing).filter(|tick| [YES, NO].contains(&tick.answer.as_str()))?;
    let means = means(tick);
    let draft = ask
        .point(&format!("{id}.told"), thing, "Told by whom, by what means?")
        .choice("By phone", "by phone")
        .choice("In person", "in person")
        .choice("In writing", "in writing")
        .asks("Keep it", "Or in words: by whom, by what means");
    let said = draft.is_said();
    let draft = draft.settled(said || means.is_some());
    Some(match means {
        Some(means) => draft.detail(means).done(),
        None => draft.done(),
    })
}

fn means(tick: &Tick) -> Option<String> {
    tick.more.means.as_ref().map(|means| format!("Said {means}"))
}

/// What is opened before there is a price: asked, opened and priced, agreed.
fn open_first(ask: &Ask<'_>, kept: &Kept) -> Vec<Point> {
    let id = format!("owner.open.{}", kept.seq);
    let thing = kept.thing.as_deref();
    let text = format!("Open first, price after: {}", kept.text);
    let photos = photos_for(ask.picture, &id);
    let mut draft = three_words(ask.point(&id, thing, &text)).photos(photos);
    for line in besides(kept) {
        draft = draft.detail(line);
    }
    let mut all = vec![draft.done()];
    all.extend(told(ask, &id, thing));
    let agreed = ask.tick(&id, thing).is_some_and(|tick| tick.answer == YES);
    if !agreed {
        return all;
    }
    let price_id = format!("{id}.price");
    let priced = ask
        .point(&price_id, thing, &format!("{}: opened, what was found?", words::large(&kept.text)))
        .asks("Keep it", "What was found, the price, the minutes")
        .done();
    let found = priced.said.as_ref().map(|said| said.answer.clone());
    all.push(priced);
    if let Some(found) = found {
        let price = ask.tick(&price_id, thing).and_then(|tick| tick.more.price.clone());
        let after = format!("{id}.after");
        let photos = photos_for(ask.picture, &after);
        let mut draft = three_words(ask.point(&after, thing, &words::large(&found))).photos(photos);
        if let Some(price) = price {
            draft = draft.detail(format!("Price: {price}"));
        }
        all.push(draft.done());
        all.extend(told(ask, &after, thing));
    }
    all
}

/// "180, about 40 to 60 min more".
fn besides(kept: &Kept) -> Vec<String> {
    let more = &kept.more;
    let minutes = match (more.minutes, more.minutes_most) {
        (Some(least), Some(most)) => Some(format!("{least} to {most} min more")),
        (Some(minutes), None) => Some(format!("about {minutes} min more")),
        (None, Some(most)) => Some(format!("at most {most} min more")),
        (None, None) => None,
    };
    let price = more.price.iter().map(|price| format!("Price: {price}"));
    price.chain(minutes).collect()
}
