//! What is asked at a quiet moment: what the way back rests on and nobody has said yet.

use lastbolt_ledger::More;

use crate::Drawn;
use crate::bits::Bits;
use crate::catalogue::Notes;
use crate::commit::{Commit, start};
use crate::known::{Answer, Asked, Known};
use crate::needs::Needs;
use crate::propose::{cheapest, toil};
use crate::risk::Risk;
use crate::words;

/// The most things that a question about sight or about all at once has.
const HANDFUL: usize = 8;
/// The most handfuls and lone fixings on each side of a question.
pub(crate) const SIDE_MAX: usize = 24;
/// The sum of the chances of a question about places: yes and no are about as likely.
const CHANCES: f64 = 0.6;
/// What may not be so but is not needed weighs so much against a place in a question.
pub(crate) const NOT_NEEDED: f64 = 2.0;
/// Pairs that are likelier than this are asked about by themselves.
const DOUBTFUL: f64 = 0.1;
/// What is not worth a question, in walks.
const LEAST: f64 = 0.2;
/// So many questions are left for what the settled order rests on.
const RESERVE: usize = 4;
/// The chance that a fixing that was undone from elsewhere can be got at from where its part
/// goes on, too.
const ALSO_THERE: f64 = 0.5;
/// A part is asked about with a fixing of its own place if it was so likely behind something that
/// came off after the fixing.
const BEHIND: f64 = 0.5;
/// With which part a fixing is done is not asked where one is so likely.
const SURE_ENOUGH: f64 = 0.9;
/// What is less likely than this is not asked.
const RISK_LEFT: f64 = 0.02;
/// The most questions that are open at once.
const LIST_MAX: usize = 12;
/// What a mistake costs, in walks, for the order that is asked about: at first, and with all
/// questions used up.
const PRICE_FIRST: f64 = 0.3;
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
    /// The question in words, with every name.
    pub text: String,
    /// The same where a long list of names ends in a count.
    pub short: String,
    /// The things that would go home in words, all of them, where `short` only counts some.
    pub asked_about: Vec<String>,
    /// What is home already in words, all of it, where `short` only counts some.
    pub home: Vec<String>,
    /// What is asked of a whole order, without the order; empty for other kinds.
    pub lead: String,
    /// The order that is asked about, one turn after the other; none for other kinds.
    pub turns: Vec<String>,
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
    let (list, followed) = (Vec::new(), Vec::new());
    let mut asker = Asker { known, commit: &drawn.commit, risk: Risk::of(known), list, followed };
    if left > 0 && known.len() > 1 {
        asker.about_bench();
        if asker.list.is_empty() {
            asker.about_order(asked, left);
        }
        if asker.list.is_empty() {
            asker.about_sight();
        }
    }
    let list = asker.list.into_iter().take(left.min(LIST_MAX));
    list.map(|question| in_words(&question, &drawn.notes, known)).collect()
}

struct Asker<'a> {
    known: &'a Known,
    commit: &'a Commit,
    risk: Risk,
    list: Vec<Answer>,
    /// Answers of which something is asked on already.
    followed: Vec<usize>,
}

impl Asker<'_> {
    /// Asks what an order with few walks rests on; when questions run short, what the settled one
    /// rests on.
    fn about_order(&mut self, asked: usize, left: usize) {
        let known = self.known;
        let used = asked as f64 / (asked + left) as f64;
        let settled = &self.commit.order;
        let needs = Needs::of(known, &self.risk, settled);
        let wanted = self.what_it_needs(&needs, settled, !known.is_too_much(Asked::InTurn));
        let is_short = left <= RESERVE + (needs.sum() / CHANCES) as usize;
        if needs.sum() <= RISK_LEFT || wanted.is_empty() && !is_short {
            if self.risk.told_with > 0.9 && known.is_too_much(Asked::With) {
                self.about_places(settled);
            }
            if self.list.is_empty() && !known.is_too_much(Asked::With) {
                self.about_what_goes_with_parts(false);
            }
            let mut price = PRICE_FIRST + PRICE_MORE * used * used;
            for _ in 0..6 {
                let order = cheapest(known, &self.risk, start(known), price);
                price /= 2.0;
                if toil(known, &self.risk, &order) >= toil(known, &self.risk, settled) - LEAST {
                    continue;
                }
                let needs = Needs::of(known, &self.risk, &order);
                let list = self.what_it_needs(&needs, &order, false);
                self.ask_all(list);
                if !self.list.is_empty() {
                    break;
                }
            }
        }
        if self.list.is_empty() {
            self.ask_all(wanted);
        }
        if self.list.is_empty() && left > 2 * RESERVE && !known.is_too_much(Asked::With) {
            self.about_what_goes_with_parts(true);
        }
        if self.list.is_empty() && !known.is_too_much(Asked::InTurn) {
            self.confirm(settled);
        }
    }

    /// What an order rests on: pair by pair, in handfuls, as long as single pairs are doubtful;
    /// then run by run.
    fn what_it_needs(&self, needs: &Needs, order: &[usize], in_runs: bool) -> Vec<Answer> {
        let mut needs = needs.clone();
        let mut list = Vec::new();
        while list.len() < LIST_MAX && needs.sum() > RISK_LEFT {
            let Some(seed) = needs.largest() else { break };
            if in_runs && needs.chance(seed) < DOUBTFUL {
                break;
            }
            let (these, mut those) = needs.grow(self.known, seed);
            needs.is_asked(seed.0, &these, &those);
            if seed.0 == Asked::Reach {
                self.with_what_is_home(order, &these, &mut those);
            }
            list.push(self.numbered(seed.0, &these, &those));
        }
        let runs = if in_runs { needs.runs(order) } else { Vec::new() };
        for (from, to, sum) in runs {
            if sum > RISK_LEFT / 4.0 {
                let question = self.in_turn(order, from, to);
                list.push(if self.is_answered(&question) {
                    self.half_of(&needs, order, from, to)
                } else {
                    question
                });
                needs.run_is_asked(order, from, to);
            }
        }
        // What a fixing of one run may hold in a later one.
        while list.len() < LIST_MAX && needs.sum() > RISK_LEFT {
            let Some(seed) = needs.largest() else { break };
            let (these, those) = needs.grow(self.known, seed);
            needs.is_asked(seed.0, &these, &those);
            list.push(self.numbered(seed.0, &these, &those));
        }
        list
    }

    /// Adds what is home by then and known to be no harm, so that one yes says it of all together.
    fn with_what_is_home(&self, order: &[usize], these: &[usize], those: &mut Vec<usize>) {
        let first = order.iter().position(|item| these.contains(item)).unwrap_or(0);
        for &y in &order[..first] {
            let is_free = these.iter().all(|&x| self.known.free[x].has(y));
            if is_free && !those.contains(&y) && !self.known.is_of_the_bench(y) {
                those.push(y);
            }
        }
    }

    /// Asks what fixings that were undone at the bench hold.
    fn about_bench(&mut self) {
        let known = self.known;
        for tie in 0..known.len() {
            if let Some(part) = known.may_cross(tie) {
                self.ask(Asked::Holds, &[tie], &[part]);
            }
            let parts = known.held_at_the_bench(tie);
            if !parts.is_empty() {
                self.ask(Asked::Holds, &[tie], &parts);
            }
        }
    }

    fn ask_all(&mut self, list: Vec<Answer>) {
        for question in list {
            self.put(question);
        }
    }

    /// Asks whether fixings that were undone from elsewhere can be got at from where their part
    /// goes on.
    fn about_places(&mut self, order: &[usize]) {
        let known = self.known;
        let places = || known.answers.iter().filter(|a| a.asked == Asked::Place);
        let no = |a: &&Answer| a.yes != Some(true);
        if places().filter(no).count() >= 2 && !places().any(|a| a.yes == Some(true)) {
            return;
        }
        let mut wanted: Vec<(usize, usize)> = Vec::new();
        for &item in order.iter().filter(|&&item| !known.is_part(item)) {
            let of = &known.items[item];
            let said = |a: &Answer| a.these.has(item) && (a.these.len() == 1 || !no(&a));
            if of.own.is_some() || of.carrier.is_some() || places().any(said) {
                continue;
            }
            let later = (item + 1..known.len()).filter(|&part| known.is_part(part));
            let likely = later
                .filter(|&part| known.items[part].carrier.is_none())
                .map(|part| (part, self.risk.holds(item, part)))
                .max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((part, chance)) = likely
                && chance > 0.2
                && known.items[part].spot != of.spot
            {
                wanted.push((part, item));
            }
        }
        wanted.sort_by_key(|&(part, item)| (known.items[part].spot, part, item));
        for same in wanted.chunk_by(|a, b| known.items[a.0].spot == known.items[b.0].spot) {
            let doubted = |item: usize| places().any(|a| no(&a) && a.these.has(item));
            let (apart, together): (Vec<_>, Vec<_>) =
                same.iter().copied().partition(|&(_, item)| doubted(item));
            for some in together.chunks(3).chain(apart.chunks(1)) {
                let these: Vec<usize> = some.iter().map(|&(_, item)| item).collect();
                self.ask(Asked::Place, &these, &[some[0].0]);
            }
        }
    }

    /// Asks for the fixings that were undone from elsewhere than they could be: those of a place
    /// together, then halved until they are found.
    fn about_what_goes_with_parts(&mut self, here_too: bool) {
        let known = self.known;
        let yes = known.answers.iter().filter(|a| a.asked == Asked::With && a.yes == Some(true));
        let mut open = known.none();
        for answer in yes {
            let left = known.left_with(answer);
            // One that was found is what that yes meant; of the others nothing is known.
            if left.len() > 1 && left.iter().any(|(tie, _)| known.items[*tie].moved.is_some()) {
                continue;
            }
            left.iter().for_each(|(tie, _)| open.add(*tie));
            if let [(tie, parts)] = &left[..] {
                self.about_its_part(*tie, parts);
            } else if left.len() > 1 {
                let half = &left[..left.len() / 2];
                let ties: Vec<usize> = half.iter().map(|(tie, _)| *tie).collect();
                let mut parts = known.none();
                half.iter().for_each(|(_, more)| parts.join(more));
                self.ask(Asked::With, &ties, &parts.iter().collect::<Vec<_>>());
            }
        }
        self.about_what_is_placed(&open);
        let mut ties: Vec<(usize, usize, Bits, f64)> = Vec::new();
        for tie in (0..known.len()).filter(|&tie| !known.is_part(tie) && !open.has(tie)) {
            let of = &known.items[tie];
            if of.carrier.is_some() || of.moved.is_some() {
                continue;
            }
            let elsewhere = (tie + 1..known.len()).filter(|&part| {
                let it = &known.items[part];
                let behind = || self.risk.is_behind(known, tie, part) > BEHIND;
                let pays = it.spot != of.spot || here_too && behind();
                let may = it.carrier.is_none() && self.risk.holds(tie, part) > 0.0;
                known.is_part(part) && may && pays
            });
            let parts = known.may_be_with(tie, &Bits::of(known.len(), elsewhere));
            let there = |part: usize| {
                if known.items[part].spot == of.spot { 1.0 } else { ALSO_THERE }
            };
            let chance: f64 =
                parts.iter().map(|part| there(part) * self.risk.holds(tie, part)).sum();
            if chance > 0.01 {
                ties.push((of.spot, tie, parts, chance));
            }
        }
        ties.sort_by_key(|&(spot, tie, ..)| (spot, tie));
        for same in ties.chunk_by(|a, b| a.0 == b.0) {
            let (mut these, mut those, mut sum) = (Vec::new(), known.none(), 0.0);
            for (_, tie, parts, chance) in same {
                if sum + chance > CHANCES && !these.is_empty() {
                    self.ask(Asked::With, &these, &those.iter().collect::<Vec<_>>());
                    (these, those, sum) = (Vec::new(), known.none(), 0.0);
                }
                these.push(*tie);
                those.join(parts);
                sum += chance;
            }
            self.ask(Asked::With, &these, &those.iter().collect::<Vec<_>>());
        }
    }

    /// Asks for the parts of fixings of which it is known from where they are done, not with which.
    fn about_what_is_placed(&mut self, but: &Bits) {
        let known = self.known;
        for tie in (0..known.len()).filter(|&tie| known.items[tie].is_placed && !but.has(tie)) {
            let of = &known.items[tie];
            let there = (tie + 1..known.len()).filter(|&part| {
                let it = &known.items[part];
                known.is_part(part) && it.spot == of.spot && it.carrier == of.carrier
            });
            let parts = known.may_be_with(tie, &Bits::of(known.len(), there));
            let likeliest = parts.iter().map(|part| self.risk.holds(tie, part)).fold(0.0, f64::max);
            if likeliest < SURE_ENOUGH {
                self.about_its_part(tie, &parts);
            }
        }
    }

    /// Asks with which of these parts a fixing is done: whether with one of the likelier half.
    fn about_its_part(&mut self, tie: usize, parts: &Bits) {
        let mut likely: Vec<usize> = parts.iter().collect();
        let chance = |part: usize| self.risk.holds(tie, part);
        likely.sort_by(|&a, &b| chance(b).total_cmp(&chance(a)));
        let all: f64 = likely.iter().map(|&part| chance(part)).sum();
        let mut sum = 0.0;
        let half = likely.iter().take_while(|&&part| {
            sum += chance(part);
            sum - chance(part) < all / 2.0
        });
        let half = half.count().clamp(1, (likely.len() - 1).max(1));
        if likely.len() > 1 {
            self.ask(Asked::With, &[tie], &likely[..half]);
        }
    }

    /// Asks about all of it once more in turn: where there are two ways to get at a thing, each
    /// thing in the way may be home but not both.
    fn confirm(&mut self, order: &[usize]) {
        let known = self.known;
        let mut home = known.none();
        let mut open = Vec::new();
        for (at, &item) in order.iter().enumerate() {
            if !known.is_whole(item, &home) {
                open.push(at);
            }
            home.add(item);
        }
        let (Some(&from), Some(&to)) = (open.first(), open.last()) else { return };
        let mut to = to + 1;
        let is_no = |to: usize| {
            known.answers.iter().any(|a| {
                let within = a.list.iter().all(|x| order[from..to].contains(x));
                a.asked == Asked::InTurn && a.yes == Some(false) && within
            })
        };
        // What is refused is halved.
        while is_no(to) && open.len() > 1 {
            open.truncate(open.len() / 2);
            to = open[open.len() - 1] + 1;
        }
        let question = self.in_turn(order, from, to);
        self.put(question);
    }

    /// Asks which fixings can still be seen when all is home: they want no last look.
    fn about_sight(&mut self) {
        let known = self.known;
        let commit = self.commit;
        let (mut these, mut those) = (Vec::new(), known.none());
        for &item in &commit.order {
            let asked = |a: &Answer| a.asked == Asked::Seen && a.these.has(item);
            if commit.hidden[item].is_empty() || known.answers.iter().any(asked) {
                continue;
            }
            these.push(item);
            those.join(&commit.hidden[item]);
            if these.len() >= HANDFUL {
                self.ask(Asked::Seen, &these, &those.iter().collect::<Vec<_>>());
                these.clear();
                those = known.none();
            }
        }
        self.ask(Asked::Seen, &these, &those.iter().collect::<Vec<_>>());
    }

    /// Asks about a run of an order in turn. What is done at the bench is done before.
    fn in_turn(&self, order: &[usize], from: usize, to: usize) -> Answer {
        let bench = |item: &usize| self.known.is_of_the_bench(*item);
        let these: Vec<usize> = order[from..to].iter().copied().filter(|i| !bench(i)).collect();
        let those: Vec<usize> = order[..from]
            .iter()
            .chain(order[from..].iter().filter(|i| bench(i)))
            .copied()
            .collect();
        self.numbered(Asked::InTurn, &these, &those)
    }

    fn numbered(&self, asked: Asked, these: &[usize], those: &[usize]) -> Answer {
        let set = |items: &[usize]| Bits::of(self.known.len(), items.iter().copied());
        let mut list = these.to_vec();
        if asked != Asked::InTurn {
            list.sort_unstable();
        }
        Answer { asked, these: set(these), those: set(those), list, yes: None }
    }

    fn ask(&mut self, asked: Asked, these: &[usize], those: &[usize]) {
        let question = self.numbered(asked, these, those);
        self.put(question);
    }

    /// Asks about half of a run that was refused; of a single thing, about half of what is at home.
    fn half_of(&self, needs: &Needs, order: &[usize], from: usize, to: usize) -> Answer {
        if to - from > 1 {
            return self.in_turn(order, from, from + (to - from) / 2);
        }
        let item = order[from];
        let chance = |&y: &usize| needs.chance((Asked::Reach, item, y));
        let mut home: Vec<usize> =
            order[..from].iter().copied().filter(|y| chance(y) > 0.0).collect();
        home.sort_by(|a, b| chance(b).total_cmp(&chance(a)));
        let all: f64 = home.iter().map(chance).sum();
        let mut sum = 0.0;
        let half = home.iter().take_while(|&y| {
            sum += chance(y);
            sum - chance(y) < all / 2.0
        });
        let half = half.count().max(1).min(home.len());
        self.numbered(Asked::Reach, &[item], &home[..half])
    }

    fn is_answered(&self, question: &Answer) -> bool {
        self.known.answers.iter().any(|answer| answer.is_same(question))
    }

    fn put(&mut self, question: Answer) {
        if question.these.is_empty() {
            return;
        }
        let is_listed = self.list.iter().any(|listed| listed.is_same(&question));
        if question.those.is_empty() && question.asked != Asked::InTurn
            || is_listed
            || self.is_answered(&question)
        {
            return;
        }
        // Of what one no leaves in question one thing is asked at a time: the answer to that
        // says much about the rest.
        let left = self.nos_about(&question);
        if left.iter().any(|no| self.followed.contains(no)) {
            return;
        }
        self.followed.extend(left);
        self.list.push(question);
    }

    /// The answers that left something of a question in question.
    fn nos_about(&self, question: &Answer) -> Vec<usize> {
        let items = &self.known.items;
        let of_question = [question.rows(), question.holds_rows(items)];
        let about = |answer: &Answer| {
            let of_answer = [answer.rows(), answer.holds_rows(items)];
            let kinds = [Asked::Reach, Asked::Holds];
            (0..2).any(|kind| {
                let meet = |(x, of): &(usize, Bits)| {
                    let same = of_question[kind].iter().filter(|(other, _)| other == x);
                    same.flat_map(|(_, those)| those.iter())
                        .filter(|&y| of.has(y))
                        .any(|y| self.risk.is_in_question(kinds[kind], *x, y))
                };
                of_answer[kind].iter().any(meet)
            })
        };
        let answers = self.known.answers.iter().enumerate();
        answers.filter(|(_, a)| a.hurts() && about(a)).map(|(at, _)| at).collect()
    }
}

fn in_words(question: &Answer, notes: &Notes, known: &Known) -> Question {
    let name = |at: usize| notes.things[known.items[at].thing].name.clone();
    let asked = question.asked;
    let these: Vec<String> = question.list.iter().map(|&at| name(at)).collect();
    let those: Vec<String> = question.those.iter().map(name).collect();
    let id = id(asked, &these, &those);
    let words::Words { text, short, asked_about, home, lead, turns } =
        words::question(&asked, &question.list, &question.those, notes, known);
    Question { id, asked, these, those, text, short, asked_about, home, lead, turns }
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
