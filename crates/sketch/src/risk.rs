//! How likely it is that one thing at home stops another from going home: guesses at first, then
//! what answers leave of them.
//!
//! The first guesses are from common practice (no source), made to be corrected by answers: what
//! came off before a thing may well have been in its way; what came off after it hardly was, but
//! may hide it or want room of its own on the way back. How often that is so in this machine is
//! learnt from the answers, place by place and handful by handful.

use crate::bits::Bits;
use crate::holders;
use crate::known::{Answer, Asked, Known};

/// What cannot be.
pub(crate) const NEVER: f64 = 100_000.0;
/// What the first guess is worth, in pairs that turned out to be so: for all pairs one way round,
/// and for one sort of them. Machines differ much.
const GUESS_WEIGHS: f64 = 1.0;
const SORT_WEIGHS: f64 = 0.8;
/// What the rest of a handful is worth once one of it is known to be in the way or not.
const MATE_STOPS: f64 = 0.45;
const MATE_IS_FREE: f64 = 0.5;
/// What it costs, in walks, to do from elsewhere what could be done where its part goes on.
const AWAY: f64 = 2.0;

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
    /// `[x][y]`: the chance that with y at home x has to be done from elsewhere.
    cramped: Vec<f64>,
    /// The share of fixings that hold what they were told with.
    pub(crate) told_with: f64,
    /// The sum of the chances of a question with which yes and no are about as likely.
    pub(crate) room: f64,
}

/// The least chance that a part that came off before another is in the way of its fixings.
const CRAMPED_LEAST: f64 = 0.15;

/// What is likelier than this is taken for sure.
const SURE: f64 = 0.999_99;

/// How often what answers say of pairs is weighed against each other.
const SWEEPS: usize = 12;

/// The chance that something cannot be reached with all at home that single answers speak of, for
/// each thing and at most.
const SPLIT: f64 = 0.02;
const SPLIT_MOST: f64 = 0.3;

/// Sorts of pairs that are learnt about together.
const SORTS: usize = 16;

impl Risk {
    pub(crate) fn of(known: &Known) -> Risk {
        let count = known.len();
        let size = count * count;
        let mut risk = Risk {
            count,
            reach: vec![0.0; size],
            holds: vec![0.0; size],
            first: vec![false; size],
            cramped: vec![0.0; size],
            told_with: 0.0,
            room: 0.0,
        };
        let parts = parts_until(known);
        let nos = open_nos(known);
        let settled: usize = known.before.iter().map(Bits::len).sum();
        risk.room = room(nos.len() + settled);
        let learnt = learn(known, &parts, &nos);
        for x in 0..count {
            for y in (0..count).filter(|&y| y != x) {
                let base = guess(known, &parts, x, y);
                let apart = known.items[x].carrier != known.items[y].carrier;
                let base = if apart && known.is_of_the_bench(x) { 0.0 } else { base };
                risk.reach[x * count + y] = (base * learnt[sort(known, x, y)]).min(0.9);
                risk.first[x * count + y] = goes_first(known, x, y);
            }
        }
        for tie in 0..count {
            if let Some(carrier) = known.crosses_out_of(tie) {
                risk.first[carrier * count + tie] = true;
            }
        }
        (risk.holds, risk.told_with) = holders::guess(known, &parts);
        risk.mates(known);
        risk.take_answers(known);
        for x in 0..count {
            let Some(part) = known.items[x].moved else { continue };
            // Where its part can be reached it can be, as far as anybody knows.
            for y in (0..count).filter(|&y| y != x && y != part && known.is_part(y)) {
                let least = if y < part { CRAMPED_LEAST } else { 0.0 };
                let chance = risk.reach(part, y);
                risk.cramped[x * count + y] = if chance > 0.0 { chance.max(least) } else { 0.0 };
            }
        }
        risk
    }

    /// The chance that `x` cannot be reached and seen with `y` at home.
    pub(crate) fn reach(&self, x: usize, y: usize) -> f64 {
        self.reach[x * self.count + y]
    }

    /// The chance that fixing `tie` holds `part`.
    pub(crate) fn holds(&self, tie: usize, part: usize) -> f64 {
        self.holds[tie * self.count + part]
    }

    /// Tells whether record or answers say that `x` goes home before `y`.
    pub(crate) fn is_first(&self, x: usize, y: usize) -> bool {
        self.first[x * self.count + y]
    }

    /// The chance that a part was behind something that came off after a fixing: then the fixing
    /// is more easily done with the part than where the record has it.
    pub(crate) fn is_behind(&self, known: &Known, tie: usize, part: usize) -> f64 {
        let between = (tie + 1..part).filter(|&y| known.is_part(y));
        1.0 - between.map(|y| 1.0 - self.reach(part, y)).product::<f64>()
    }

    /// The chance for a pair of a question of this kind.
    pub(crate) fn of_kind(&self, asked: Asked, x: usize, y: usize) -> f64 {
        if asked == Asked::Holds { self.holds(x, y) } else { self.reach(x, y) }
    }

    /// Tells whether a pair of a no is still in question.
    pub(crate) fn is_in_question(&self, asked: Asked, x: usize, y: usize) -> bool {
        let chance = self.of_kind(asked, x, y);
        x != y && chance > 0.0 && chance < 1.0
    }

    /// What it costs that `a` is home before `b`, when a mistake costs `price` walks.
    pub(crate) fn of_pair(&self, a: usize, b: usize, price: f64) -> f64 {
        if self.first[b * self.count + a] {
            return NEVER;
        }
        price * (doubt(self.reach(b, a)) + doubt(self.holds(a, b))) + self.away(a, b)
    }

    /// What it costs, in walks, that `b` may have to be done from elsewhere with `a` at home.
    pub(crate) fn away(&self, a: usize, b: usize) -> f64 {
        AWAY * self.cramped[b * self.count + a]
    }

    /// What is known of one of a handful makes the same likelier for the rest of it.
    fn mates(&mut self, known: &Known) {
        let count = self.count;
        for x in 0..count {
            let group = known.group(x);
            for y in (0..count).filter(|&y| y != x && known.is_part(y)) {
                if known.free[x].has(y) || known.before[x].has(y) {
                    continue;
                }
                let mates = known.groups[group].iter().filter(|&&mate| mate != x && mate != y);
                let (mut stopped, mut free) = (0, 0);
                for &mate in mates {
                    stopped += usize::from(known.before[mate].has(y));
                    free += usize::from(known.free[mate].has(y));
                }
                let chance = &mut self.reach[x * count + y];
                if stopped > 0 {
                    *chance = chance.max(MATE_STOPS);
                } else if free > 0 {
                    *chance *= MATE_IS_FREE;
                }
            }
        }
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
                self.holds[x * count + y] = 0.0;
            }
        }
        for tie in (0..count).filter(|&tie| !known.is_part(tie)) {
            if let Some(part) = known.surely_held(tie) {
                self.holds[tie * count + part] = 1.0;
            }
        }
        self.what_is_held_is_no_cover();
        let mut table = std::mem::take(&mut self.reach);
        table.append(&mut self.holds);
        share(&mut table, count, known);
        self.holds = table.split_off(count * count);
        self.reach = table;
        self.what_is_held_is_no_cover();
        // Nobody knows: it is not asked again, so it is better not to rest on it.
        for answer in known.answers.iter().filter(|answer| answer.is_closed()) {
            for (rows, table) in [
                (answer.rows(), &mut self.reach),
                (answer.holds_rows(&known.items), &mut self.holds),
            ] {
                let pairs = pairs(table, count, &rows, 0);
                raise(table, &pairs, 0.3);
            }
        }
    }

    /// What a fixing holds is not in its way.
    fn what_is_held_is_no_cover(&mut self) {
        for (holds, reach) in self.holds.iter().zip(&mut self.reach) {
            if *holds >= 1.0 {
                *reach = 0.0;
            }
        }
    }
}

/// What a chance of being wrong weighs: such weights may be added up, and what is nearly sure to
/// be wrong weighs more than many that are merely doubtful.
fn doubt(chance: f64) -> f64 {
    -(1.0 - chance.min(SURE)).ln()
}

/// For each item how many parts came off before it.
fn parts_until(known: &Known) -> Vec<usize> {
    let mut sum = 0;
    let until = (0..known.len()).map(|item| {
        let before = sum;
        sum += usize::from(known.is_part(item));
        before
    });
    until.collect()
}

/// Which sort of pair it is: parts or not, came off before or after, same place or not.
fn sort(known: &Known, x: usize, y: usize) -> usize {
    let (of_x, of_y) = (&known.items[x], &known.items[y]);
    let bit = |is: bool, value: usize| if is { value } else { 0 };
    let here = of_x.spot == of_y.spot;
    bit(known.is_part(y), 1) + bit(y < x, 2) + bit(here, 4) + bit(known.is_part(x), 8)
}

/// The first guess that `x` cannot go home with `y` at home.
fn guess(known: &Known, parts: &[usize], x: usize, y: usize) -> f64 {
    let (of_x, of_y) = (&known.items[x], &known.items[y]);
    let here = of_x.spot == of_y.spot;
    let far = parts[x].abs_diff(parts[y]).saturating_sub(1) as f64;
    let near = 1.0 / (1.0 + far);
    match (known.is_part(y), y > x) {
        _ if of_x.own == Some(y) => 0.004,
        (true, true) => {
            let most = if known.is_part(x) { 0.006 } else { 0.008 + 0.012 * near };
            most * if here { 1.4 } else { 1.0 } * if of_x.feel { 3.0 } else { 1.0 }
        }
        (true, false) if here => 0.16 + 0.2 * near,
        (true, false) => 0.05 + 0.08 * near,
        // What is told with a part may have been undone before what was told before.
        (false, true) if of_y.own.is_some() || of_y.next.is_some() => 0.0006,
        (false, true) => 0.0003,
        (false, false) if of_y.own.is_none() => {
            let most = if known.is_part(x) { 0.03 } else { 0.006 };
            most * if here { 1.4 } else { 1.0 }
        }
        (false, false) => 0.003,
    }
}

/// Known from the record: `x` goes home before `y`.
fn goes_first(known: &Known, x: usize, y: usize) -> bool {
    let (of_x, of_y) = (&known.items[x], &known.items[y]);
    // The bench is done with before what was off by then goes in.
    let y_is_outer = known.is_part(y) && y < x && of_y.carrier.is_none();
    known.before[x].has(y) || (of_x.carrier.is_some() && y_is_outer)
}

/// The sum of chances with which yes and no are about as likely: more as long as nobody knows how
/// often anything is in the way on this machine, since the chances then go wrong together.
fn room(nos: usize) -> f64 {
    let weight = GUESS_WEIGHS + nos as f64;
    weight * (2.0_f64.powf(1.0 / weight) - 1.0)
}

/// The pairs of each no that is not yet put down to one of them, without those that contain
/// another one.
fn open_nos(known: &Known) -> Vec<Bits> {
    let count = known.len();
    let reach = |a: &&Answer| matches!(a.asked, Asked::Reach | Asked::InTurn) && a.hurts();
    let nos = known.answers.iter().filter(reach).map(|answer| {
        let rows = answer.rows();
        let open = rows.iter().flat_map(|(x, home)| {
            let left = home.minus(&known.free[*x]);
            left.iter().filter(|y| y != x).map(|y| x * count + y).collect::<Vec<_>>()
        });
        Bits::of(count * count, open)
    });
    let is_settled = |no: &Bits| no.iter().any(|at| known.before[at / count].has(at % count));
    let mut nos: Vec<Bits> = nos.filter(|no| !no.is_empty() && !is_settled(no)).collect();
    nos.sort_by_key(Bits::len);
    let mut least: Vec<Bits> = Vec::new();
    for no in nos {
        if !least.iter().any(|other| other.is_within(&no)) {
            least.push(no);
        }
    }
    least
}

/// How much more or less often than guessed the pairs of each sort turned out to be so: as far as
/// nothing is known of a sort, as with all that came off in the same order, in one place or not.
fn learn(known: &Known, parts: &[usize], nos: &[Bits]) -> [f64; SORTS] {
    let (mut said, mut so) = ([0.0; SORTS], [0.0; SORTS]);
    for x in 0..known.len() {
        for y in known.free[x].iter().chain(known.before[x].iter()).filter(|&y| y != x) {
            let sort = sort(known, x, y);
            said[sort] += guess(known, parts, x, y);
            so[sort] += f64::from(u8::from(known.before[x].has(y)));
        }
    }
    // A no that is not put down to a pair yet is one among all of its pairs.
    for no in nos {
        let pair = |at: usize| (at / known.len(), at % known.len());
        let guessed = |at: usize| guess(known, parts, pair(at).0, pair(at).1);
        let sum: f64 = no.iter().map(guessed).sum();
        for at in no.iter().filter(|_| sum > 0.0) {
            let sort = sort(known, pair(at).0, pair(at).1);
            said[sort] += guessed(at) / 2.0;
            so[sort] += guessed(at) / sum;
        }
    }
    let mut all = [0.0; 4];
    for (kind, all) in all.iter_mut().enumerate() {
        let of = |sums: &[f64; SORTS]| -> f64 {
            (0..SORTS).filter(|sort| (sort >> 1) & 3 == kind).map(|sort| sums[sort]).sum()
        };
        *all = (of(&so) + GUESS_WEIGHS) / (of(&said) + GUESS_WEIGHS);
    }
    std::array::from_fn(|sort| {
        let of_all = all[(sort >> 1) & 3];
        ((so[sort] + SORT_WEIGHS * of_all) / (said[sort] + SORT_WEIGHS)).clamp(0.02, 2.5)
    })
}

/// The pairs of an answer that may be meant, by their place in a table from `from` on.
fn pairs(table: &[f64], count: usize, rows: &[(usize, Bits)], from: usize) -> Vec<usize> {
    let all = rows.iter().flat_map(|(x, of)| {
        let x = *x;
        of.iter().filter(move |&y| y != x).map(move |y| from + x * count + y)
    });
    all.filter(|&at| table[at] > 0.0).collect()
}

/// Works out the chances of pairs from the answers that hurt: of each of those at least one pair
/// is so (belief propagation: what one answer says of a pair counts in all others). The table has
/// the pairs that stop each other, then those that hold each other.
fn share(table: &mut [f64], count: usize, known: &Known) {
    let answers = known.answers.iter().filter(|answer| answer.hurts());
    let sets: Vec<(Vec<usize>, f64)> = answers
        .map(|answer| {
            let rows = answer.rows();
            let mut all = pairs(table, count, &rows, 0);
            all.extend(pairs(table, count, &answer.holds_rows(&known.items), count * count));
            // What can be reached with each of two things at home, by two ways, perhaps cannot
            // be with both.
            let split = rows.iter().filter(|(x, home)| !known.is_whole(*x, home)).count();
            (all, (SPLIT * split as f64).min(SPLIT_MOST))
        })
        .filter(|(set, _)| !set.is_empty() && !set.iter().any(|&at| table[at] >= 1.0))
        .collect();
    let guessed = |at: usize| table[at].clamp(1e-6, 0.999);
    // For each set and pair: what the set says, as a factor on the odds, at least 1.
    let mut says: Vec<Vec<f64>> = sets.iter().map(|(set, _)| vec![1.0; set.len()]).collect();
    let mut odds: Vec<f64> =
        table.iter().map(|&chance| chance / (1.0 - chance.min(0.999))).collect();
    for (set, _) in &sets {
        for &at in set {
            odds[at] = guessed(at) / (1.0 - guessed(at));
        }
    }
    for _ in 0..SWEEPS {
        for ((set, split), says) in sets.iter().zip(&mut says) {
            // Without what this set itself says.
            let without: Vec<f64> =
                set.iter().zip(says.iter()).map(|(&at, said)| odds[at] / said).collect();
            let none: Vec<f64> = without.iter().map(|odds| 1.0 / (1.0 + odds)).collect();
            let all = (1.0 - split) * none.iter().product::<f64>();
            for (number, &at) in set.iter().enumerate() {
                let others = 1.0 - all / none[number];
                let new = (1.0 / others.max(1e-9)).clamp(1.0, 1e9);
                odds[at] = without[number] * new;
                says[number] = new;
            }
        }
    }
    for &at in sets.iter().flat_map(|(set, _)| set) {
        table[at] = (odds[at] / (1.0 + odds[at])).min(1.0);
        if table[at] > 0.9995 {
            table[at] = 1.0;
        }
    }
}

/// Raises the chances of pairs so that it is `sure` that at least one of them holds.
fn raise(table: &mut [f64], pairs: &[usize], sure: f64) {
    let none: f64 = pairs.iter().map(|&at| 1.0 - table[at].min(1.0)).product();
    let some = 1.0 - none;
    if some <= 0.0 || some >= sure {
        return;
    }
    for &at in pairs {
        table[at] = (table[at] * sure / some).min(1.0);
    }
}
