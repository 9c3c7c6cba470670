//! How likely it is that one thing at home stops another from going home: guesses at first, then
//! what answers leave of them.
//!
//! The first guesses are from common practice (no source), made to be corrected by answers: what
//! came off before a thing may well have been in its way; what came off after it hardly was, but
//! may hide it or want room of its own on the way back.

use crate::bits::Bits;
use crate::known::{Asked, Known};

/// What cannot be.
const NEVER: f64 = 1000.0;
/// Two things of one place are so much likelier to be in each other's way.
const SAME_PLACE: f64 = 1.4;
/// How often a no is shared out again among what it leaves.
const SWEEPS: usize = 4;

/// For each pair the chance that it cannot be.
#[derive(Debug, Clone, Default)]
pub(crate) struct Risk {
    count: usize,
    /// `[x][y]`: x cannot be reached and seen with y at home.
    reach: Vec<f64>,
    /// `[t][p]`: fixing t holds part p, so that p has to be at home first.
    holds: Vec<f64>,
    /// `[x][y]`: known from the record or the answers: x goes home before y.
    first: Vec<bool>,
}

impl Risk {
    pub(crate) fn of(known: &Known) -> Risk {
        let count = known.len();
        let size = count * count;
        let mut risk = Risk {
            count,
            reach: vec![0.0; size],
            holds: vec![0.0; size],
            first: vec![false; size],
        };
        for x in 0..count {
            for y in (0..count).filter(|&y| y != x) {
                risk.guess(known, x, y);
            }
        }
        risk.take_answers(known);
        risk
    }

    /// The chance that `x` cannot be reached and seen with `y` at home.
    pub(crate) fn reach(&self, x: usize, y: usize) -> f64 {
        self.reach[x * self.count + y]
    }

    /// Tells whether a pair of a no is still in question.
    pub(crate) fn is_in_question(&self, asked: Asked, x: usize, y: usize) -> bool {
        let table = if asked == Asked::Reach { &self.reach } else { &self.holds };
        let chance = table[x * self.count + y];
        x != y && chance > 0.0 && chance < 1.0
    }

    /// The chance that fixing `tie` holds `part`.
    pub(crate) fn holds(&self, tie: usize, part: usize) -> f64 {
        self.holds[tie * self.count + part]
    }

    /// What it costs that `a` is home before `b`, when a mistake costs `price` walks.
    pub(crate) fn of_pair(&self, a: usize, b: usize, price: f64) -> f64 {
        if self.first[b * self.count + a] {
            return NEVER;
        }
        price * (self.reach(b, a) + self.holds(a, b))
    }

    fn guess(&mut self, known: &Known, x: usize, y: usize) {
        let at = x * self.count + y;
        let (of_x, of_y) = (&known.items[x], &known.items[y]);
        let parts_between = |from: usize, to: usize| {
            (from + 1..to).filter(|&item| known.is_part(item)).count() as f64
        };
        let place = if of_x.spot == of_y.spot { SAME_PLACE } else { 1.0 };
        let is_own = of_x.own == Some(y);
        self.reach[at] = match (known.is_part(y), y > x) {
            _ if is_own => 0.01,
            (true, true) => {
                let near = 1.0 / (1.0 + parts_between(x, y));
                let most = if known.is_part(x) { 0.006 } else { 0.008 + 0.012 * near };
                let feel = if of_x.feel { 3.0 } else { 1.0 };
                most * place * feel
            }
            (true, false) => (0.05 + 0.13 / (1.0 + parts_between(y, x))) * place,
            (false, true) => 0.0,
            (false, false) if known.is_part(x) && of_y.own.is_none() => 0.012 * place,
            (false, false) => 0.002 * place,
        };
        if !known.is_part(x) && known.is_part(y) && y > x {
            let far = parts_between(x, y);
            self.holds[at] = match of_x.own {
                Some(_) if is_own => 0.0,
                Some(_) => 0.06 / (1.0 + far),
                None => 0.3 * place / (1.0 + far),
            };
            // A fixing that was entered with its part goes home after it.
            self.first[y * self.count + x] |= is_own && !known.before[x].has(y);
        }
        // The bench is done with before what lay on it goes in.
        let y_is_outer = known.is_part(y) && y < x && of_y.carrier.is_none();
        self.first[at] |= known.before[x].has(y) || (of_x.carrier.is_some() && y_is_outer);
    }

    fn take_answers(&mut self, known: &Known) {
        let count = self.count;
        for x in 0..count {
            for y in known.free[x].iter() {
                self.reach[x * count + y] = 0.0;
            }
            for part in known.apart[x].iter() {
                self.holds[x * count + part] = 0.0;
            }
            for y in known.before[x].iter() {
                self.reach[x * count + y] = 1.0;
            }
        }
        for _ in 0..SWEEPS {
            // What a fixing holds is not in its way.
            for at in 0..count * count {
                if self.holds[at] >= 1.0 {
                    self.reach[at] = 0.0;
                } else if self.reach[at] >= 1.0 {
                    self.holds[at] = 0.0;
                }
            }
            for answer in &known.answers {
                match (answer.asked, answer.yes) {
                    (Asked::Reach, Some(false)) => {
                        share(&mut self.reach, count, &answer.these, &answer.those, 1.0);
                    }
                    (Asked::Holds, Some(true)) => {
                        share(&mut self.holds, count, &answer.these, &answer.those, 1.0);
                    }
                    _ => {}
                }
            }
        }
        // Nobody knows: it is not asked again, so it is better not to rest on it.
        for answer in known.answers.iter().filter(|answer| answer.yes.is_none()) {
            let table = match answer.asked {
                Asked::Reach => &mut self.reach,
                Asked::Holds => &mut self.holds,
                Asked::Seen => continue,
            };
            share(table, count, &answer.these, &answer.those, 0.3);
        }
    }
}

/// Raises the chances of the pairs of a no, so that it is `sure` that at least one of them holds.
fn share(table: &mut [f64], count: usize, these: &Bits, those: &Bits, sure: f64) {
    let pairs: Vec<usize> = these
        .iter()
        .flat_map(|x| those.iter().filter(move |&y| y != x).map(move |y| x * count + y))
        .filter(|&at| table[at] > 0.0)
        .collect();
    let none: f64 = pairs.iter().map(|&at| 1.0 - table[at].min(1.0)).product();
    let some = 1.0 - none;
    if some <= 0.0 || some >= sure {
        return;
    }
    for at in pairs {
        table[at] = (table[at] * sure / some).min(1.0);
    }
}
