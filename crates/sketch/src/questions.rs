//! What is asked at a quiet moment: what the way back rests on and nobody has said yet.

use lastbolt_ledger::More;

use crate::Drawn;
use crate::bits::Bits;
use crate::catalogue::Notes;
use crate::commit::{PRICE, commit, start};
use crate::known::{Answer, Asked, Known};
use crate::propose::cheapest;
use crate::risk::Risk;
use crate::words;

/// The most things that one question asks about at once.
const HANDFUL: usize = 8;
/// A question is split where the chance of a no is larger.
const CHANCE_MAX: f64 = 0.75;
/// What is less likely than this is not asked.
const RISK_LEFT: f64 = 0.02;
/// What a mistake costs, in walks, for the order that is asked about: at first, and with all
/// questions used up.
const PRICE_FIRST: f64 = 0.5;
const PRICE_MORE: f64 = 1.0;

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
    let mut asker = Asker { known, risk: Risk::of(known), list: Vec::new(), followed: Vec::new() };
    if left > 0 && known.len() > 1 {
        asker.about_order(asked as f64 / (asked + left) as f64);
        if asker.list.is_empty() {
            asker.about_sight();
        }
    }
    let list = asker.list.into_iter().take(left);
    list.map(|weighed| weighed.question.put(&drawn.notes, known)).collect()
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
    risk: Risk,
    list: Vec<Weighed>,
    /// Answers of which something is asked on already.
    followed: Vec<usize>,
}

/// A question with the chance of the answer that would hurt.
struct Weighed {
    chance: f64,
    question: Numbered,
}

impl Asker<'_> {
    /// Asks what an order with few walks rests on, by rectangles of pairs: these with those at
    /// home, each so large that yes and no are about as likely.
    fn about_order(&mut self, used: f64) {
        let known = self.known;
        let settled = cheapest(known, &self.risk, start(known), PRICE);
        self.triangle(&settled);
        if self.list.is_empty() {
            let price = PRICE_FIRST + PRICE_MORE * used * used;
            let order = cheapest(known, &self.risk, start(known), price);
            self.triangle(&order);
        }
        if self.list.is_empty() {
            self.confirm(&settled);
        }
        self.list.sort_by(|a, b| b.chance.total_cmp(&a.chance));
    }

    /// Asks about handfuls once more with everything at home that will be: where there are two
    /// ways to get at a thing, each thing in the way may be home but not both.
    fn confirm(&mut self, order: &[usize]) {
        let known = self.known;
        let mut these = Vec::new();
        let mut home = known.none();
        let mut parts = known.none();
        for (at, &item) in order.iter().enumerate() {
            if !known.is_part(item) && !known.is_said_at_once(item, &parts) && parts.len() > 1 {
                these.push(item);
            }
            let is_last = at + 1 == order.len();
            if !these.is_empty() && (known.is_part(item) || is_last) && these.len() >= HANDFUL {
                self.ask(0.0, Asked::Reach, &these, &home.iter().collect::<Vec<_>>());
                these.clear();
            }
            if known.is_part(item) {
                parts.add(item);
                if these.is_empty() {
                    home = parts.clone();
                }
            }
        }
        if !these.is_empty() && !home.is_empty() {
            self.ask(0.0, Asked::Reach, &these, &home.iter().collect::<Vec<_>>());
        }
    }

    /// Asks about all pairs of a stretch of the order.
    fn triangle(&mut self, order: &[usize]) {
        if order.len() < 2 || self.chance_within(order) < RISK_LEFT {
            return;
        }
        let (home, these) = order.split_at(order.len() / 2);
        self.reach(these, home);
        self.holds(home, these);
        self.triangle(home);
        self.triangle(these);
    }

    fn chance_within(&self, order: &[usize]) -> f64 {
        let pairs = order
            .iter()
            .enumerate()
            .flat_map(|(at, &a)| order[at + 1..].iter().map(move |&b| (a, b)));
        pairs.map(|(a, b)| self.risk.reach(b, a) + self.risk.holds(a, b)).sum()
    }

    /// Asks whether these can go home with those at home, in pieces where a no is too likely.
    fn reach(&mut self, these: &[usize], home: &[usize]) {
        let chance = |x: usize, y: usize| self.risk.reach(x, y);
        let open = |&x: &usize| home.iter().any(|&y| chance(x, y) > 0.0);
        let these: Vec<usize> = these.iter().copied().filter(open).collect();
        let seen = |&y: &usize| these.iter().any(|&x| chance(x, y) > 0.0);
        let home: Vec<usize> = home.iter().copied().filter(seen).collect();
        let all: f64 = these.iter().flat_map(|&x| home.iter().map(move |&y| chance(x, y))).sum();
        if all < RISK_LEFT {
            return;
        }
        let is_certain = these.len() == 1 && home.len() == 1;
        if all > CHANCE_MAX && !is_certain {
            return self.halves(&these, &home);
        }
        self.ask(all, Asked::Reach, &these, &home);
    }

    /// Splits by the longer side that can be split, about evenly by chance.
    fn halves(&mut self, these: &[usize], home: &[usize]) {
        let risk = &self.risk;
        if these.len() > 1 {
            let weight = |&x: &usize| home.iter().map(|&y| risk.reach(x, y)).sum();
            let (first, second) = evenly(these, weight);
            self.reach(&first, home);
            self.reach(&second, home);
        } else {
            let weight = |&y: &usize| these.iter().map(|&x| risk.reach(x, y)).sum();
            let (first, second) = evenly(home, weight);
            self.reach(these, &first);
            self.reach(these, &second);
        }
    }

    /// Asks whether fixings that would be home before parts hold them.
    fn holds(&mut self, home: &[usize], these: &[usize]) {
        let chance = |tie: usize, part: usize| self.risk.holds(tie, part);
        let parts: Vec<usize> = these
            .iter()
            .copied()
            .filter(|&part| home.iter().any(|&tie| chance(tie, part) > 0.0))
            .collect();
        let ties: Vec<usize> = home
            .iter()
            .copied()
            .filter(|&tie| parts.iter().any(|&part| chance(tie, part) > 0.0))
            .collect();
        let all: f64 = ties.iter().flat_map(|&t| parts.iter().map(move |&p| chance(t, p))).sum();
        if all < RISK_LEFT {
            return;
        }
        if all > CHANCE_MAX && ties.len() > 1 {
            let (first, second) = ties.split_at(ties.len() / 2);
            self.holds(first, &parts);
            self.holds(second, &parts);
        } else if all > CHANCE_MAX && parts.len() > 1 {
            let (first, second) = parts.split_at(parts.len() / 2);
            self.holds(&ties, first);
            self.holds(&ties, second);
        } else {
            self.ask(all, Asked::Holds, &ties, &parts);
        }
    }

    /// Asks which fixings can still be seen when all is home: they want no last look.
    fn about_sight(&mut self) {
        let known = self.known;
        let commit = commit(known);
        let (mut these, mut those) = (Vec::new(), known.none());
        for &item in &commit.order {
            if commit.hidden[item].is_empty() {
                continue;
            }
            these.push(item);
            those.join(&commit.hidden[item]);
            if these.len() >= HANDFUL || commit.order.last() == Some(&item) {
                self.ask(0.0, Asked::Seen, &these, &those.iter().collect::<Vec<_>>());
                these.clear();
                those = known.none();
            }
        }
    }

    fn ask(&mut self, chance: f64, asked: Asked, these: &[usize], those: &[usize]) {
        let set = |items: &[usize]| Bits::of(self.known.len(), items.iter().copied());
        let question = Numbered { asked, these: set(these), those: set(those) };
        let answered =
            self.known.answers.iter().any(|a| {
                a.asked == asked && a.these == question.these && a.those == question.those
            });
        if answered || self.list.iter().any(|known| known.question == question) {
            return;
        }
        // Of what one no leaves in question one thing is asked at a time: the answer to that
        // says much about the rest.
        let left = self.nos_about(&question);
        if left.iter().any(|no| self.followed.contains(no)) {
            return;
        }
        self.followed.extend(left);
        self.list.push(Weighed { chance, question });
    }
}

impl Asker<'_> {
    /// The answers that left something of a question in question.
    fn nos_about(&self, question: &Numbered) -> Vec<usize> {
        let hurts = match question.asked {
            Asked::Reach => Some(false),
            Asked::Holds => Some(true),
            Asked::Seen => return Vec::new(),
        };
        let about = |answer: &Answer| {
            let pairs = answer.these.iter().filter(|&x| question.these.has(x)).flat_map(|x| {
                let those = answer.those.iter().filter(|&y| question.those.has(y));
                those.map(move |y| (x, y))
            });
            let mut pairs = pairs;
            pairs.any(|(x, y)| self.risk.is_in_question(question.asked, x, y))
        };
        let answers = self.known.answers.iter().enumerate();
        answers
            .filter(|(_, a)| a.asked == question.asked && a.yes == hurts && about(a))
            .map(|(at, _)| at)
            .collect()
    }
}

/// Splits a list in two parts of about the same weight, none of them empty.
fn evenly(list: &[usize], weight: impl Fn(&usize) -> f64) -> (Vec<usize>, Vec<usize>) {
    let all: f64 = list.iter().map(&weight).sum();
    let mut sum = 0.0;
    let mut at = 0;
    while at + 1 < list.len() && (at == 0 || sum + weight(&list[at]) / 2.0 < all / 2.0) {
        sum += weight(&list[at]);
        at += 1;
    }
    (list[..at].to_vec(), list[at..].to_vec())
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
