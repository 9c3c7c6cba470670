//! What is asked at a quiet moment: what the way back rests on and nobody has said yet.

use lastbolt_ledger::More;

use crate::Drawn;
use crate::bits::Bits;
use crate::catalogue::Notes;
use crate::commit::{commit, start};
use crate::known::{Asked, Known};
use crate::propose::{Rules, fewest_walks, might_hold};
use crate::words;

/// The most things that one question asks about at once.
const HANDFUL: usize = 8;

/// One question: a statement about the machine that is true or false.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Its id: the same for the same question.
    pub id: String,
    /// Its kind.
    pub asked: Asked,
    /// The things that would go home.
    pub these: Vec<String>,
    /// The things that are home already.
    pub those: Vec<String>,
    /// The question in words.
    pub text: String,
}

impl Question {
    /// What can be answered.
    pub const CHOICES: [&str; 3] = ["yes", "no", "unknown"];

    /// Gives what an answer to it carries.
    pub fn more(&self) -> More {
        More {
            kind: Some(self.asked.word().to_owned()),
            these: self.these.clone(),
            those: self.those.clone(),
            ..More::default()
        }
    }
}

/// Gives the open questions, the most useful first: none when all is said, or when one and a half
/// a thing have been asked.
pub fn questions(drawn: &Drawn) -> Vec<Question> {
    let known = &drawn.known;
    let asked = known.answers.len();
    let left = (known.len() * 3 / 2).saturating_sub(asked);
    let mut asker = Asker { known, list: Vec::new() };
    if left > 0 && known.len() > 1 {
        asker.about_order();
        if asker.list.is_empty() {
            asker.about_sight();
        }
    }
    let list = asker.list.into_iter().take(left);
    list.map(|asked| asked.put(&drawn.notes, known)).collect()
}

/// A question by numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Numbered {
    asked: Asked,
    these: Bits,
    those: Bits,
}

struct Asker<'a> {
    known: &'a Known,
    list: Vec<Numbered>,
}

impl Asker<'_> {
    /// Asks what the order with fewest walks rests on: handful by handful, each with everything
    /// at home that this order has at home by then.
    fn about_order(&mut self) {
        let known = self.known;
        let rules = Rules::of(known, &self.given_up());
        let order = fewest_walks(known, &rules, start(known));
        let mut home = known.none();
        let mut these: Vec<usize> = Vec::new();
        let mut before = known.none();
        for &item in &order {
            these.push(item);
            home.add(item);
            let is_last = order.last() == Some(&item);
            if known.is_part(item) || is_last || these.len() >= HANDFUL {
                self.reach(&these, &before);
                these.clear();
                before = home.clone();
            }
            if known.is_part(item) {
                self.held_by_any(item, &home, &rules);
            }
        }
    }

    /// Pairs out of the record's order that were asked about in vain, or that are held together.
    fn given_up(&self) -> Vec<(usize, usize)> {
        let known = self.known;
        let mut blocked = Vec::new();
        for answer in &known.answers {
            for this in answer.these.iter() {
                for that in answer.those.iter() {
                    match (answer.asked, answer.yes) {
                        (Asked::Reach, None) if !known.free[this].has(that) => {
                            blocked.push((that, this));
                        }
                        (Asked::Holds, None | Some(true)) if !known.apart[this].has(that) => {
                            blocked.push((this, that));
                        }
                        _ => {}
                    }
                }
            }
        }
        blocked
    }

    /// Asks whether these can go home with those at home; after a no about less and less.
    fn reach(&mut self, these: &[usize], home: &Bits) {
        let known = self.known;
        let open: Vec<usize> = these.iter().copied().filter(|&x| !known.is_free(x, home)).collect();
        if open.is_empty() || home.is_empty() {
            return;
        }
        let who = Bits::of(known.len(), open.iter().copied());
        if !known.is_refused(&who, home) {
            return self.ask(Asked::Reach, who, home.clone());
        }
        if let [one] = open[..] {
            return self.culprit(one, home);
        }
        let (first, second) = open.split_at(open.len() / 2);
        let before = self.list.len();
        self.reach(first, home);
        if self.list.len() == before {
            self.reach(second, home);
        }
    }

    /// Asks about half of what may be in the way of one thing.
    fn culprit(&mut self, item: usize, home: &Bits) {
        let known = self.known;
        let mut rest = home.minus(&known.free[item]);
        rest.remove(item);
        let mut suspects: Vec<usize> =
            rest.iter().filter(|&other| !known.before[item].has(other)).collect();
        if suspects.len() < 2 {
            return;
        }
        suspects.sort_by_key(|&other| {
            let far = known.items[other].spot != known.items[item].spot;
            (!known.is_part(other), far, other.abs_diff(item))
        });
        let half = suspects.len().div_ceil(2).min(suspects.len() - 1);
        let mut those = Bits::of(known.len(), suspects[..half].iter().copied());
        let who = Bits::of(known.len(), [item]);
        if known.is_refused(&who, &those) {
            if half == 1 {
                return;
            }
            return self.culprit(item, &those);
        }
        if known.is_open_for_ever(Asked::Reach, &who, &those) {
            those = Bits::of(known.len(), suspects[half..].iter().copied());
        }
        self.ask(Asked::Reach, who, those);
    }

    /// Asks whether fixings that would go home before a part hold it too.
    fn held_by_any(&mut self, part: usize, home: &Bits, rules: &Rules) {
        let known = self.known;
        let early =
            |&tie: &usize| rules.place[tie] > rules.place[part] && might_hold(known, tie, part);
        let these = Bits::of(known.len(), home.iter().filter(early));
        if !these.is_empty() {
            self.ask(Asked::Holds, these, Bits::of(known.len(), [part]));
        }
    }

    /// Asks which fixings can still be seen when all is home: they want no last look.
    fn about_sight(&mut self) {
        let known = self.known;
        let commit = commit(known);
        let mut these = known.none();
        let mut those = known.none();
        for &item in &commit.order {
            if commit.hidden[item].is_empty() {
                continue;
            }
            these.add(item);
            those.join(&commit.hidden[item]);
            if these.len() >= HANDFUL {
                self.sight(&mut these, &mut those);
            }
        }
        self.sight(&mut these, &mut those);
    }

    fn sight(&mut self, these: &mut Bits, those: &mut Bits) {
        let these = std::mem::replace(these, self.known.none());
        let those = std::mem::replace(those, self.known.none());
        if !these.is_empty() {
            self.ask(Asked::Seen, these, those);
        }
    }

    fn ask(&mut self, asked: Asked, these: Bits, those: Bits) {
        let question = Numbered { asked, these, those };
        let answered =
            self.known.answers.iter().any(|a| {
                a.asked == asked && a.these == question.these && a.those == question.those
            });
        if !answered && !self.list.contains(&question) {
            self.list.push(question);
        }
    }
}

impl Numbered {
    fn put(self, notes: &Notes, known: &Known) -> Question {
        let names = |set: &Bits| -> Vec<String> {
            set.iter().map(|at| notes.things[known.items[at].thing].name.clone()).collect()
        };
        let (these, those) = (names(&self.these), names(&self.those));
        let id = id(self.asked, &these, &those);
        let text = words::question(&self.asked, &self.these, &self.those, notes, known);
        Question { id, asked: self.asked, these, those, text }
    }
}

/// An id of kind and content: 64-bit FNV-1a over the names.
fn id(asked: Asked, these: &[String], those: &[String]) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut take = |byte: u8| hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    for side in [these, those] {
        for name in side {
            name.bytes().for_each(&mut take);
            take(0);
        }
        take(1);
    }
    format!("{}-{hash:016x}", asked.word())
}
