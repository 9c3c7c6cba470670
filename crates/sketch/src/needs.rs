//! What an order rests on and nobody has said yet, pair by pair, and how it is cut into questions.

use crate::known::{Asked, Known};
use crate::questions::{NOT_NEEDED, SIDE_MAX};
use crate::risk::Risk;

/// The kinds of questions that pairs are asked about by.
const KINDS: [Asked; 2] = [Asked::Reach, Asked::Holds];

/// The chance of each pair that is in question, by what an order needs and does not need.
#[derive(Debug, Clone)]
pub(crate) struct Needs {
    count: usize,
    /// The sum of chances that a question is to have.
    room: f64,
    /// By kind, `[x][y]`: the order needs that y at home does not stop x, or that x does not hold
    /// y.
    need: [Vec<f64>; 2],
    /// By kind: in question, but the order does not need it.
    other: [Vec<f64>; 2],
}

impl Needs {
    pub(crate) fn of(known: &Known, risk: &Risk, order: &[usize]) -> Needs {
        let count = known.len();
        let none = || [vec![0.0; count * count], vec![0.0; count * count]];
        let mut needs = Needs { count, room: risk.room, need: none(), other: none() };
        let mut place = vec![0; count];
        for (at, &item) in order.iter().enumerate() {
            place[item] = at;
        }
        for (kind, asked) in KINDS.into_iter().enumerate() {
            for x in 0..count {
                for y in (0..count).filter(|&y| y != x) {
                    if !risk.is_in_question(asked, x, y) {
                        continue;
                    }
                    let needed = match asked {
                        Asked::Holds => place[x] < place[y],
                        _ => place[y] < place[x],
                    };
                    let table = if needed { &mut needs.need } else { &mut needs.other };
                    table[kind][x * count + y] = risk.of_kind(asked, x, y);
                }
            }
        }
        // What nobody knows is not asked again.
        for answer in known.answers.iter().filter(|answer| answer.is_closed()) {
            let holds = answer.holds_rows(&known.items);
            for (kind, rows) in [answer.rows(), holds].into_iter().enumerate() {
                for (x, of) in rows {
                    needs.is_said(kind, x, of.iter());
                }
            }
        }
        needs
    }

    /// The sum of the chances of all that is needed.
    pub(crate) fn sum(&self) -> f64 {
        self.need.iter().flatten().sum()
    }

    /// The pair that is needed and likeliest not to be so.
    pub(crate) fn largest(&self) -> Option<(Asked, usize, usize)> {
        let all = KINDS.into_iter().enumerate().flat_map(|(kind, asked)| {
            self.need[kind].iter().enumerate().map(move |(at, &chance)| (asked, at, chance))
        });
        let (asked, at, chance) = all.max_by(|a, b| a.2.total_cmp(&b.2))?;
        (chance > 0.0).then_some((asked, at / self.count, at % self.count))
    }

    /// The chance of a pair that is needed.
    pub(crate) fn chance(&self, (asked, x, y): (Asked, usize, usize)) -> f64 {
        let kind = KINDS.iter().position(|&one| one == asked).unwrap_or(0);
        self.need[kind][x * self.count + y]
    }

    /// Takes all pairs of a question from what is to be asked.
    pub(crate) fn is_asked(&mut self, asked: Asked, these: &[usize], those: &[usize]) {
        let Some(kind) = KINDS.iter().position(|&one| one == asked) else { return };
        for &x in these {
            self.is_said(kind, x, those.iter().copied());
        }
    }

    fn is_said(&mut self, kind: usize, x: usize, of: impl Iterator<Item = usize>) {
        for y in of {
            self.need[kind][x * self.count + y] = 0.0;
            self.other[kind][x * self.count + y] = 0.0;
        }
    }

    /// Cuts an order into runs, one after the other: each so long that it is about as likely that
    /// all of it goes home in turn as that not. Gives where each begins and ends, and the chance.
    pub(crate) fn runs(&self, order: &[usize]) -> Vec<(usize, usize, f64)> {
        let mut runs: Vec<(usize, usize, f64)> = Vec::new();
        let mut open: Option<(usize, usize, f64)> = None;
        for at in 0..order.len() {
            // What is beyond question begins no run and ends none.
            let (from, to, sum) = open.unwrap_or((at, at, 0.0));
            let brings = self.brings(order, from, at);
            if brings <= 0.0 {
                continue;
            }
            if sum > 0.0 && sum + brings > self.room {
                runs.push((from, to, sum));
                open = Some((at, at + 1, self.brings(order, at, at)));
            } else {
                open = Some((from, at + 1, sum + brings));
            }
        }
        runs.extend(open);
        runs
    }

    /// The sum of chances that one more thing brings to a run.
    fn brings(&self, order: &[usize], from: usize, at: usize) -> f64 {
        let item = order[at];
        let reach: f64 = order[..at].iter().map(|&y| self.need[0][item * self.count + y]).sum();
        let holds: f64 =
            order[from..at].iter().map(|&tie| self.need[1][tie * self.count + item]).sum();
        reach + holds
    }

    /// Takes all pairs of a run from what is to be asked.
    pub(crate) fn run_is_asked(&mut self, order: &[usize], from: usize, to: usize) {
        for at in from..to {
            self.is_said(0, order[at], order[..at].iter().copied());
            self.is_said(1, order[at], order[at + 1..to].iter().copied());
        }
    }

    /// Grows a question from one pair: more things on either side as long as what they bring is
    /// needed and a no does not become likelier than a yes. Gives both sides.
    pub(crate) fn grow(
        &self,
        known: &Known,
        seed: (Asked, usize, usize),
    ) -> (Vec<usize>, Vec<usize>) {
        let (asked, x, y) = seed;
        let kind = KINDS.iter().position(|&one| one == asked).unwrap_or(0);
        let (need, other) = (&self.need[kind], &self.other[kind]);
        let at = |x: usize, y: usize| x * self.count + y;
        let mut sides = [vec![x], vec![y]];
        let mut sum = need[at(x, y)];
        // What each thing would bring, kept up to date: by side, needed and not needed.
        let mut brings: [Vec<(f64, f64)>; 2] = [
            (0..self.count).map(|one| (need[at(one, y)], other[at(one, y)])).collect(),
            (0..self.count).map(|one| (need[at(x, one)], other[at(x, one)])).collect(),
        ];
        loop {
            let mut best: Option<(f64, usize, usize)> = None;
            for side in 0..2 {
                for (one, &(needed, not)) in brings[side].iter().enumerate() {
                    let worth = needed - NOT_NEEDED * not;
                    if worth <= best.map_or(1e-12, |best| best.0)
                        || sum + needed + not > self.room
                        || sides.iter().any(|side| side.contains(&one))
                        || !fits(known, &sides[side], one)
                    {
                        continue;
                    }
                    best = Some((worth, side, one));
                }
            }
            let Some((_, side, one)) = best else { break };
            sum += brings[side][one].0 + brings[side][one].1;
            sides[side].push(one);
            for (on_other, brought) in brings[1 - side].iter_mut().enumerate() {
                let pair = if side == 0 { at(one, on_other) } else { at(on_other, one) };
                brought.0 += need[pair];
                brought.1 += other[pair];
            }
        }
        let [these, those] = sides;
        (these, those)
    }
}

/// Whether a question stays one about a few handfuls with one thing more.
fn fits(known: &Known, side: &[usize], one: usize) -> bool {
    let group = known.bundle(one);
    let mut groups: Vec<usize> = side.iter().map(|&item| known.bundle(item)).collect();
    groups.sort_unstable();
    groups.dedup();
    groups.contains(&group) || groups.len() < SIDE_MAX
}
