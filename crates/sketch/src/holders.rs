//! Which parts a fixing holds: a guess from where and when it was undone and with what it was told.
//!
//! A fixing that was told with a part mostly holds it, but some tell with a part whatever was
//! undone since the last one. Which it is shows in parts that nothing was told with, and in
//! answers. The guesses are common practice without a source, made to be corrected.

use crate::known::{Answer, Asked, Known};

/// The chance that a fixing of which one part is known that it holds, holds another one too.
const SECOND: f64 = 0.12;
/// The chance that a fixing that was entered alone holds some part.
const LONE: f64 = 0.85;
/// The chance that a fixing that was undone at the bench holds a part that came off afterwards.
const BENCH: f64 = 0.5;
/// A fixing is so much likelier to hold a part of its own place.
const HERE: f64 = 8.0;
/// It is so much likelier to hold the part with which it was told, or the next one that came off.
const NEXT: f64 = 3.0;
/// A fixing that is known not to be done with a part is so much less likely to hold it.
const NOT_THERE: f64 = 0.3;
/// A fixing that is known to hold one of some parts is so much less likely to hold another one.
const NOT_SAID: f64 = 0.05;
/// What lies on the bench and what does not hardly hold each other.
const ACROSS_THE_BENCH: f64 = 0.05;
/// Shares of fixings that hold the part with which they were told, and how likely each share is
/// before anything is known.
const SHARES: [(f64, f64); 6] =
    [(0.99, 0.55), (0.95, 0.15), (0.85, 0.1), (0.7, 0.08), (0.5, 0.07), (0.3, 0.05)];
/// The chance that nothing was told with a part, if all that is told with one holds it, and how
/// much likelier that is if none does.
const BARE: f64 = 0.1;
const BARE_MORE: f64 = 0.35;

/// Gives `[tie][part]`: the chance that a fixing holds a part; and the share of those that hold
/// what they were told with, nothing where nothing was told with a part.
pub(crate) fn guess(known: &Known, parts: &[usize]) -> (Vec<f64>, f64) {
    let count = known.len();
    let mut table = vec![0.0; count * count];
    let ties: Vec<Tie> = (0..count)
        .filter(|&tie| !known.is_part(tie))
        .map(|tie| Tie::of(known, parts, tie))
        .collect();
    let share = share(known, &ties);
    for tie in &ties {
        for &(part, _) in &tie.later {
            if !known.apart[tie.item].has(part) {
                let chance = tie.chance(known, part, share);
                table[tie.item * count + part] = chance.min(0.98);
            }
        }
    }
    let any = known.items.iter().any(|item| item.own.is_some());
    (table, if any { share } else { 0.0 })
}

/// A fixing and the parts that came off later, with how likely each is against the others.
struct Tie {
    item: usize,
    /// The part with which it was told, if that may be what it holds.
    own: Option<usize>,
    /// The part that it is known to hold.
    sure: Option<usize>,
    later: Vec<(usize, f64)>,
    some: f64,
}

impl Tie {
    fn of(known: &Known, parts: &[usize], item: usize) -> Tie {
        let of = &known.items[item];
        let not_there = known.not_done_with(item);
        let said = known.holds_one_of(item);
        let weight = |part: usize| {
            let place = if of.spot == known.items[part].spot { HERE } else { 1.0 };
            let far = (parts[part] - parts[item]) as f64;
            let is_next = of.next == Some(part) || of.own == Some(part);
            let asked = if not_there.has(part) { NOT_THERE } else { 1.0 }
                * if said.as_ref().is_some_and(|said| !said.has(part)) { NOT_SAID } else { 1.0 };
            let bench = match (of.carrier, known.items[part].carrier) {
                (Some(_), None) if !known.items[part].unsaid => ACROSS_THE_BENCH,
                (None, Some(_)) => ACROSS_THE_BENCH,
                _ => 1.0,
            };
            place * asked * bench * if is_next { NEXT } else { 1.0 } / (1.0 + far)
        };
        let later = (item + 1..known.len()).filter(|&part| known.is_part(part));
        let later = later.map(|part| (part, weight(part))).collect();
        let same_bench = |part: usize| known.items[part].carrier == of.carrier;
        let own = of.own.filter(|&part| !known.apart[item].has(part) && same_bench(part));
        let some = match said {
            Some(_) => 0.98,
            None if of.own.is_none() && of.carrier.is_some() => BENCH,
            None => LONE,
        };
        Tie { item, own, sure: known.surely_held(item), later, some }
    }

    fn weight(&self, counts: impl Fn(usize) -> bool) -> f64 {
        self.later.iter().filter(|(part, _)| counts(*part)).map(|(_, weight)| weight).sum()
    }

    /// The chance that it holds a part, when such a share of fixings hold what they were told with.
    fn chance(&self, known: &Known, part: usize, share: f64) -> f64 {
        if self.sure == Some(part) {
            return 1.0;
        }
        // What else a fixing of the bench holds is what both lie in.
        let lies_there = |item: usize| known.items[item].carrier.is_some();
        if self.sure.is_some() && lies_there(self.item) && !lies_there(part) {
            return 0.0;
        }
        let may = |other: usize| !known.apart[self.item].has(other);
        let first = self.sure.or(self.own);
        let sure = if self.sure.is_some() { 1.0 } else { share };
        let Some(first) = first else { return self.one_of(part, self.some, may) };
        let also = if part == first {
            1.0
        } else {
            self.one_of(part, SECOND, |other| other != first && may(other))
        };
        sure * also + (1.0 - sure) * self.one_of(part, self.some, may)
    }

    /// The chance that it is this part, if it is some with such a chance and those are left that
    /// may be.
    fn one_of(&self, part: usize, some: f64, may: impl Fn(usize) -> bool) -> f64 {
        let weight = |part: usize| self.weight(|one| one == part);
        let (all, left) = (self.weight(|_| true), self.weight(may));
        let no_longer = (some * left + (1.0 - some) * all).max(1e-9);
        some * weight(part) / no_longer
    }

    /// The chance that it holds some one of these, before any answer.
    fn some_of(&self, answer: &Answer, share: f64) -> f64 {
        let has = |part: usize| answer.those.has(part);
        let all = self.weight(|_| true).max(1e-9);
        let lone = self.some * self.weight(has) / all;
        let Some(own) = self.own else { return lone };
        let also = if has(own) { 1.0 } else { SECOND * self.weight(has) / all };
        share * also + (1.0 - share) * lone
    }
}

/// How many of the fixings that were told with a part hold it: as far as parts that nothing was
/// told with and answers show.
fn share(known: &Known, ties: &[Tie]) -> f64 {
    let told = |part: usize| known.groups[part].len() > 1 || (part > 0 && !known.is_part(part - 1));
    let parts = (0..known.len()).filter(|&p| known.is_part(p) && known.items[p].carrier.is_none());
    let (with, bare): (Vec<usize>, Vec<usize>) = parts.partition(|&part| told(part));
    let holds = known.answers.iter().filter(|answer| answer.asked == Asked::Holds);
    let answers: Vec<&Answer> = holds.filter(|answer| answer.yes.is_some()).collect();
    let likely = |share: f64| {
        let missing = BARE + BARE_MORE * (1.0 - share);
        let record = missing.powi(bare.len() as i32) * (1.0 - missing).powi(with.len() as i32);
        let said = answers.iter().map(|answer| {
            let about = ties.iter().filter(|tie| answer.these.has(tie.item));
            let none: f64 = about.map(|tie| 1.0 - tie.some_of(answer, share)).product();
            let is = if answer.yes == Some(true) { 1.0 - none } else { none };
            is.clamp(0.02, 1.0)
        });
        record * said.product::<f64>()
    };
    let all = SHARES.map(|(share, before)| (share, before * likely(share)));
    let sum: f64 = all.iter().map(|(_, weight)| weight).sum();
    if sum <= 0.0 { SHARES[0].0 } else { all.iter().map(|(share, w)| share * w).sum::<f64>() / sum }
}
