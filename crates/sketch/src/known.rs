//! What answers have said, about the things that were entered, as statements on a machine file.

use lastbolt_ledger::{Recorded, Stands, Verb, history};

use crate::bits::Bits;
use crate::catalogue::{Notes, Sort};

/// The kinds of questions; each is a statement about a machine file that is true or false.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asked {
    /// Each of these has a back way whose `clear` names none of those, and none of these has any
    /// of those in its `hidden_by`.
    Reach,
    /// None of these has any of those in its `hidden_by`.
    Seen,
    /// Some one of these has some one of those in its `joins`.
    Holds,
    /// Each of these has a back way whose `from` is that of some back way of some one of those.
    Place,
    /// Each of these, with those and the ones before it in the list at home: it has a back way
    /// whose `clear` names none of them, what of them it does not join does not hide it, and
    /// nothing after it in the list is in its `joins`.
    InTurn,
    /// Some one of these has some one of those in its `joins`, and a back way whose `from` is that
    /// of some back way of that one.
    With,
}

impl Asked {
    /// Every kind.
    pub const ALL: [Asked; 6] =
        [Asked::Reach, Asked::Seen, Asked::Holds, Asked::Place, Asked::InTurn, Asked::With];

    /// Gives the word for it in files and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Asked::Reach => "reach",
            Asked::Seen => "seen",
            Asked::Holds => "holds",
            Asked::Place => "place",
            Asked::InTurn => "in_turn",
            Asked::With => "with",
        }
    }

    fn read(word: &str) -> Option<Asked> {
        Asked::ALL.into_iter().find(|asked| asked.word() == word)
    }
}

/// One of the things that have to go home, as the engine sees it.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    /// Its number among the things that were entered.
    pub(crate) thing: usize,
    pub(crate) sort: Sort,
    /// The place from which it goes home; a number, since names mean nothing here.
    pub(crate) spot: usize,
    /// Of which item that is the place, where it was undone from elsewhere.
    pub(crate) moved: Option<usize>,
    /// Only that place is known, not the part that it holds.
    pub(crate) is_placed: bool,
    /// Undone by feel.
    pub(crate) feel: bool,
    /// The part that it holds, as entered: for a fixing that was entered with its part.
    pub(crate) own: Option<usize>,
    /// The part that came off next, for a fixing that was entered alone (R21).
    pub(crate) next: Option<usize>,
    /// The part that it lay in when it was undone at the bench.
    pub(crate) carrier: Option<usize>,
    /// Nobody said where it came off.
    pub(crate) unsaid: bool,
}

/// An answer: about which items, and what it was.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) asked: Asked,
    pub(crate) these: Bits,
    pub(crate) those: Bits,
    /// These in the order of the question.
    pub(crate) list: Vec<usize>,
    /// None: it is not known.
    pub(crate) yes: Option<bool>,
}

impl Answer {
    /// Gives each thing with what is at home when it has to be in reach and sight.
    pub(crate) fn rows(&self) -> Vec<(usize, Bits)> {
        match self.asked {
            Asked::Reach => self.these.iter().map(|x| (x, self.those.clone())).collect(),
            Asked::InTurn => {
                let mut home = self.those.clone();
                let row = |&x: &usize| {
                    let row = (x, home.clone());
                    home.add(x);
                    row
                };
                self.list.iter().map(row).collect()
            }
            Asked::Seen | Asked::Holds | Asked::Place | Asked::With => Vec::new(),
        }
    }

    /// Gives each fixing with the parts of which it is asked whether it holds them.
    pub(crate) fn holds_rows(&self, items: &[Item]) -> Vec<(usize, Bits)> {
        let is_part = |&one: &usize| items[one].sort == Sort::Part;
        match self.asked {
            Asked::Holds => self.these.iter().map(|x| (x, self.those.clone())).collect(),
            // What it does not do with a part it may hold all the same.
            Asked::With if self.yes == Some(true) => {
                self.these.iter().map(|x| (x, self.those.clone())).collect()
            }
            Asked::InTurn => {
                let mut later = Bits::of(items.len(), []);
                let mut rows = Vec::new();
                for x in self.list.iter().rev() {
                    if is_part(x) {
                        later.add(*x);
                    } else {
                        rows.push((*x, later.clone()));
                    }
                }
                rows
            }
            Asked::Reach | Asked::Seen | Asked::Place | Asked::With => Vec::new(),
        }
    }

    /// Tells whether nobody knows, so that nothing of it is asked again. Of a whole order somebody
    /// may know the pieces.
    pub(crate) fn is_closed(&self) -> bool {
        self.yes.is_none() && self.asked != Asked::InTurn
    }

    /// Tells whether it is about the same question.
    pub(crate) fn is_same(&self, other: &Answer) -> bool {
        self.asked == other.asked
            && self.these == other.these
            && self.those == other.those
            && (self.asked != Asked::InTurn || self.list == other.list)
    }

    /// Tells whether it says that some one of its pairs is so that hurts.
    pub(crate) fn hurts(&self) -> bool {
        match self.asked {
            Asked::Reach | Asked::InTurn => self.yes == Some(false),
            Asked::Holds | Asked::With => self.yes == Some(true),
            Asked::Seen | Asked::Place => false,
        }
    }
}

/// The items in the order in which they were undone, and what answers say of them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Known {
    pub(crate) items: Vec<Item>,
    pub(crate) answers: Vec<Answer>,
    /// For each item what single answers say it can be reached and seen with.
    said: Vec<Vec<Bits>>,
    /// For each item everything with which at home it can still be reached and seen.
    pub(crate) free: Vec<Bits>,
    /// For each item the parts that are known not to hide it.
    pub(crate) seen: Vec<Bits>,
    /// For each item the parts that it is known not to hold.
    pub(crate) apart: Vec<Bits>,
    /// For each item what must not be home yet when it goes home.
    pub(crate) before: Vec<Bits>,
    /// For each item that goes home from where its part does: what may be in the way there, since
    /// it was undone from elsewhere.
    pub(crate) cramped: Vec<Bits>,
    /// The items of each handful.
    pub(crate) groups: Vec<Vec<usize>>,
    /// For each fixing the part that is left of a no as the one that it holds.
    left: Vec<Option<usize>>,
}

/// The name of the place where loose parts are worked on.
pub(crate) const BENCH: &str = "bench";

impl Known {
    pub(crate) fn of(notes: &Notes, records: &[Recorded]) -> Known {
        let items = items(notes);
        let count = items.len();
        let none = || vec![Bits::none(count); count];
        let mut known = Known {
            answers: answers(notes, &items, records),
            items,
            free: none(),
            seen: none(),
            apart: none(),
            before: none(),
            cramped: none(),
            groups: vec![Vec::new(); count],
            left: vec![None; count],
            said: vec![Vec::new(); count],
        };
        for item in 0..count {
            let group = known.group(item);
            known.groups[group].push(item);
        }
        known.take_answers();
        known.go_to_the_bench();
        known.move_places();
        known.find_culprits();
        known.stay_with_parts();
        known
    }

    pub(crate) fn len(&self) -> usize {
        self.items.len()
    }

    pub(crate) fn none(&self) -> Bits {
        Bits::none(self.len())
    }

    /// Tells whether questions of a kind are mostly answered with "don't know": others are asked.
    pub(crate) fn is_too_much(&self, asked: Asked) -> bool {
        let of_kind = || self.answers.iter().filter(|answer| answer.asked == asked);
        let unknown = of_kind().filter(|answer| answer.yes.is_none()).count();
        2 * unknown > of_kind().count()
    }

    /// What is counted as one thing in a question: a handful, or the fixings of one place that
    /// were entered before a part.
    pub(crate) fn bundle(&self, item: usize) -> usize {
        let of = &self.items[item];
        of.own.or(of.next.filter(|&part| self.items[part].spot == of.spot)).unwrap_or(item)
    }

    /// The handful of an item, by its part; an item by itself is its own.
    pub(crate) fn group(&self, item: usize) -> usize {
        self.items[item].own.unwrap_or(item)
    }

    pub(crate) fn is_part(&self, item: usize) -> bool {
        self.items[item].sort == Sort::Part
    }

    /// Tells whether an item is known to be in reach and sight with all of these at home.
    pub(crate) fn is_free(&self, item: usize, home: &Bits) -> bool {
        let rest = home.minus(&self.free[item]);
        rest.is_empty() || (rest.len() == 1 && rest.has(item))
    }

    /// Tells whether it is a fixing of the bench: nothing in the machine is in its way.
    pub(crate) fn is_of_the_bench(&self, item: usize) -> bool {
        !self.is_part(item) && self.items[item].carrier.is_some()
    }

    /// Tells whether one answer says that an item is in reach and sight with all of these at home.
    pub(crate) fn is_whole(&self, item: usize, home: &Bits) -> bool {
        let mut home = home.clone();
        home.remove(item);
        home.is_empty()
            || self.is_of_the_bench(item)
            || self.said[item].iter().any(|said| home.is_within(said))
    }

    /// Gives the pairs of rows that nobody has said to be no harm.
    fn unsaid(&self, rows: Vec<(usize, Bits)>, known: &[Bits]) -> Vec<(usize, usize)> {
        let left = rows.into_iter().flat_map(|(x, of)| {
            let mut left = of.minus(&known[x]);
            left.remove(x);
            left.iter().map(|y| (x, y)).collect::<Vec<_>>()
        });
        left.collect()
    }

    /// A part that is held by something that was undone at the bench came off there, whatever was
    /// said of its handful.
    fn go_to_the_bench(&mut self) {
        for tie in 0..self.len() {
            if self.items[tie].carrier.is_none() || self.is_part(tie) {
                continue;
            }
            let Some(part) = self.surely_held(tie) else { continue };
            // What was off when the fixing was undone is what both lie in.
            let carrier = self.items[tie].carrier;
            if self.items[part].carrier == carrier || carrier == Some(part) {
                continue;
            }
            // It carried nothing itself.
            for item in self.items.iter_mut().filter(|item| item.carrier == Some(part)) {
                item.carrier = carrier;
            }
            self.items[part].carrier = carrier;
            self.items[part].spot = self.items[tie].spot;
            self.items[part].unsaid = false;
            self.items[tie].next = Some(part);
        }
    }

    /// The part that has to be home before a fixing that holds something on it to the machine: it
    /// was told late, after the part had come off with what it holds.
    pub(crate) fn crosses_out_of(&self, tie: usize) -> Option<usize> {
        let is_here = !self.is_part(tie) && self.items[tie].carrier.is_none();
        let part = self.surely_held(tie).filter(|_| is_here)?;
        self.items[part].carrier.filter(|&carrier| carrier < tie)
    }

    /// The part of the bench that a fixing of the machine may hold, since it was told just before.
    pub(crate) fn may_cross(&self, tie: usize) -> Option<usize> {
        let of = &self.items[tie];
        let is_here = !self.is_part(tie) && of.carrier.is_none() && of.own.is_none();
        let part = of.next.filter(|_| is_here && self.surely_held(tie).is_none())?;
        let carrier = self.items[part].carrier.filter(|&carrier| carrier < tie)?;
        (carrier != tie && !self.apart[tie].has(part)).then_some(part)
    }

    /// The parts among which is the one that a fixing of the bench most likely holds: the next one
    /// that came off there, or of which nobody said where it came off; else half of those that
    /// came off later, the next ones first. None if it is known, or none of them may be.
    pub(crate) fn held_at_the_bench(&self, tie: usize) -> Vec<usize> {
        let of = &self.items[tie];
        if of.carrier.is_none() || of.own.is_some() || self.is_part(tie) {
            return Vec::new();
        }
        let may = |part: &usize| self.is_part(*part) && !self.apart[tie].has(*part);
        let later: Vec<usize> = (tie + 1..self.len()).filter(may).collect();
        let there = |part: usize| self.items[part].unsaid || self.items[part].carrier.is_some();
        let said = |part: usize| {
            let about = |a: &Answer| a.these.has(tie) && a.those.has(part) && a.those.len() == 1;
            let yes = |a: &Answer| a.asked == Asked::Holds && a.yes == Some(true);
            self.answers.iter().any(|a| yes(a) && about(a))
        };
        if later.iter().any(|&part| said(part)) || self.surely_held(tie).is_some() {
            return Vec::new();
        }
        if let Some(next) = later.iter().copied().find(|&part| there(part))
            && self.apart[tie].len() < 3
        {
            return vec![next];
        }
        // Those that a yes leaves.
        let yes = |a: &&Answer| a.asked == Asked::Holds && a.yes == Some(true);
        let alone = |a: &&Answer| a.these.len() == 1 && a.these.has(tie);
        let left = self.answers.iter().filter(yes).filter(alone);
        let left = left.map(|a| later.iter().copied().filter(|&p| a.those.has(p)).collect());
        match left.min_by_key(|left: &Vec<usize>| left.len()) {
            Some(left) => left[..left.len().div_ceil(2)].to_vec(),
            None if later.len() > 1 => later[..later.len().div_ceil(2)].to_vec(),
            None => Vec::new(),
        }
    }

    /// The part that answers leave as the one that a fixing holds.
    pub(crate) fn surely_held(&self, tie: usize) -> Option<usize> {
        let yes =
            |a: &&Answer| matches!(a.asked, Asked::Holds | Asked::With) && a.yes == Some(true);
        let about = self.answers.iter().filter(yes).filter(|a| a.these.has(tie));
        let alone = about.filter(|a| {
            let may = |one: usize| !a.those.minus(&self.apart[one]).is_empty();
            a.these.iter().all(|one| one == tie || !may(one))
        });
        let one = alone.map(|a| a.those.minus(&self.apart[tie])).find(|left| left.len() == 1);
        one.and_then(|left| left.iter().next()).or(self.left[tie])
    }

    /// The parts among which is one that a fixing holds, as far as answers about it alone say; the
    /// fewest.
    pub(crate) fn holds_one_of(&self, tie: usize) -> Option<Bits> {
        let yes =
            |a: &&Answer| matches!(a.asked, Asked::Holds | Asked::With) && a.yes == Some(true);
        let alone = |a: &&Answer| a.these.len() == 1 && a.these.has(tie);
        let left = self.answers.iter().filter(yes).filter(alone).map(|a| match a.asked {
            Asked::With => self.may_be_with(tie, &a.those),
            _ => a.those.minus(&self.apart[tie]),
        });
        left.filter(|left| !left.is_empty()).min_by_key(Bits::len)
    }

    /// What can be got at from where its part goes on is done from there.
    fn move_places(&mut self) {
        let places = self.answers.iter().filter(|a| a.asked == Asked::Place);
        let moves: Vec<(usize, usize)> = places
            .filter(|answer| answer.yes == Some(true))
            .filter_map(|answer| Some((answer, answer.those.iter().next()?)))
            .flat_map(|(answer, to)| answer.these.iter().map(move |item| (item, to)))
            .collect();
        for (item, part) in self.done_with_parts() {
            self.items[item].moved = Some(part);
            self.items[item].spot = self.items[part].spot;
        }
        for (item, to) in moves {
            if self.items[item].moved.is_some() {
                continue;
            }
            let spot = self.items[to].spot;
            let later = item + 1..self.len();
            let mut there =
                later.filter(|&part| self.is_part(part) && self.items[part].spot == spot);
            let part = there.find(|&part| !self.apart[item].has(part)).unwrap_or(to);
            self.items[item].moved = Some(part);
            self.items[item].is_placed = self.surely_held(item).is_none();
            self.items[item].spot = spot;
        }
    }

    /// The fixings that answers leave as those that go home from where a part does that they hold,
    /// each with such a part.
    fn done_with_parts(&self) -> Vec<(usize, usize)> {
        let yes = self.answers.iter().filter(|a| a.asked == Asked::With && a.yes == Some(true));
        let found = yes.filter_map(|answer| {
            let left = self.left_with(answer);
            let &[(tie, ref parts)] = &left[..] else { return None };
            let part = parts.iter().next()?;
            let spot = self.items[part].spot;
            parts.iter().all(|other| self.items[other].spot == spot).then_some((tie, part))
        });
        let mut found: Vec<(usize, usize)> = found.collect();
        // What is known to hold a part of its own place is best done with that part.
        for tie in (0..self.len()).filter(|&tie| !self.is_part(tie)) {
            let of = &self.items[tie];
            let Some(part) = self.surely_held(tie).filter(|&part| part > tie) else { continue };
            let same = of.carrier.is_none() && of.spot == self.items[part].spot;
            if same && of.own != Some(part) && !found.iter().any(|(known, _)| *known == tie) {
                found.push((tie, part));
            }
        }
        found
    }

    /// What is left of an answer about fixings that are done with parts, after every no.
    pub(crate) fn left_with(&self, answer: &Answer) -> Vec<(usize, Bits)> {
        let left = answer.these.iter().map(|tie| (tie, self.may_be_with(tie, &answer.those)));
        left.filter(|(_, parts)| !parts.is_empty()).collect()
    }

    /// The parts of these of which nobody has said that a fixing is not done with them.
    pub(crate) fn may_be_with(&self, tie: usize, parts: &Bits) -> Bits {
        parts.minus(&self.apart[tie]).minus(&self.not_done_with(tie))
    }

    /// The parts of which somebody has said that a fixing does not hold them, or not from where
    /// they go on.
    pub(crate) fn not_done_with(&self, tie: usize) -> Bits {
        let no = self.answers.iter().filter(|a| a.asked == Asked::With && a.yes == Some(false));
        let mut all = self.none();
        no.filter(|answer| answer.these.has(tie)).for_each(|answer| all.join(&answer.those));
        all
    }

    /// What goes home from where its part does is done with the rest of that handful: what is not
    /// known to leave those free may be in its way there.
    fn stay_with_parts(&mut self) {
        for item in 0..self.len() {
            let Some(part) = self.items[item].moved else { continue };
            let mates = &self.groups[part];
            let first = mates.iter().copied().min().unwrap_or(part);
            let earlier = (0..first).filter(|&y| self.is_part(y) && y != item);
            let cramped: Vec<usize> =
                earlier.filter(|&y| !mates.iter().any(|&mate| self.free[mate].has(y))).collect();
            self.cramped[item] = Bits::of(self.len(), cramped);
        }
    }

    fn take_answers(&mut self) {
        for answer in self.answers.clone() {
            let sets = match (answer.asked, answer.yes) {
                (Asked::Reach | Asked::InTurn, Some(true)) => {
                    for (item, home) in answer.rows() {
                        self.free[item].join(&home);
                        self.said[item].push(home);
                    }
                    for (tie, parts) in answer.holds_rows(&self.items) {
                        self.apart[tie].join(&parts);
                    }
                    continue;
                }
                (Asked::Seen, Some(true)) => &mut self.seen,
                (Asked::Holds, Some(false)) => &mut self.apart,
                _ => continue,
            };
            for item in answer.these.iter() {
                sets[item].join(&answer.those);
            }
        }
        self.either_or();
    }

    /// Where two things may each be at home but not both, one of the answers is kept to: the one
    /// that leaves most free.
    fn either_or(&mut self) {
        let yes: Vec<(usize, Bits)> =
            self.answers.iter().filter(|a| a.yes == Some(true)).flat_map(Answer::rows).collect();
        for no in self.answers.iter().filter(|answer| answer.hurts()) {
            let rows = no.rows();
            let holds = no.holds_rows(&self.items);
            if rows.is_empty()
                || !rows.iter().all(|(x, home)| self.is_free(*x, home))
                || !holds.iter().all(|(tie, parts)| parts.is_within(&self.apart[*tie]))
            {
                continue;
            }
            for (item, home) in rows {
                let about = || yes.iter().filter(|(x, _)| *x == item).map(|(_, free)| free);
                if about().any(|free| home.is_within(free)) {
                    continue;
                }
                if let Some(most) = about().max_by_key(|free| free.len()) {
                    self.free[item] = most.clone();
                }
            }
        }
    }

    /// Where only one thing and one other are left of a no, that is the culprit.
    fn find_culprits(&mut self) {
        for answer in self.answers.clone().iter().filter(|answer| answer.hurts()) {
            let holds = self.unsaid(answer.holds_rows(&self.items), &self.apart);
            let rows = answer.rows().into_iter();
            let rows: Vec<_> = rows.filter(|(x, home)| !self.is_whole(*x, home)).collect();
            match (&rows[..], &holds[..]) {
                ([], [(tie, part)]) => self.left[*tie] = Some(*part),
                ([(item, home)], []) => {
                    let left = self.unsaid(rows.clone(), &self.free);
                    let &[(_, other)] = &left[..] else { continue };
                    let mut rest = home.clone();
                    rest.remove(other);
                    if self.is_whole(*item, &rest) {
                        self.before[*item].add(other);
                    }
                }
                _ => {}
            }
        }
    }
}

fn items(notes: &Notes) -> Vec<Item> {
    let mut things: Vec<usize> = Vec::new();
    for entry in &notes.entries {
        things.extend(entry.ties.iter().chain(&entry.part).copied());
    }
    things.retain(|&at| !notes.things[at].is_gone && notes.things[at].stands != Stands::Slack);
    let place = |thing: usize| things.iter().position(|&one| one == thing);
    let mut spots: Vec<Option<&str>> = Vec::new();
    let mut carrier = None;
    let mut items = Vec::with_capacity(things.len());
    for &at in &things {
        let thing = &notes.things[at];
        let spot = thing.spot.as_deref();
        let number = spots.iter().position(|known| *known == spot).unwrap_or_else(|| {
            spots.push(spot);
            spots.len() - 1
        });
        let entry = &notes.entries[thing.entry];
        let is_tie = thing.sort == Sort::Tie;
        let own = entry.part.filter(|_| is_tie).and_then(place);
        let is_alone = is_tie && own.is_none() && entry.known_part.is_none();
        let next = is_alone.then(|| next_part(notes, thing.entry)).flatten().and_then(place);
        let at_bench = spot == Some(BENCH);
        items.push(Item {
            thing: at,
            sort: thing.sort,
            spot: number,
            moved: None,
            is_placed: false,
            feel: thing.feel,
            own,
            next,
            carrier: carrier.filter(|_| at_bench).and_then(place),
            unsaid: entry.spot.is_none(),
        });
        if thing.sort == Sort::Part && !at_bench {
            carrier = Some(at);
        }
    }
    items
}

/// The part of the next handful that has one.
fn next_part(notes: &Notes, entry: usize) -> Option<usize> {
    let parts = notes.entries[entry..].iter().filter_map(|entry| entry.part);
    parts.into_iter().find(|&part| !notes.things[part].is_gone)
}

fn answers(notes: &Notes, items: &[Item], records: &[Recorded]) -> Vec<Answer> {
    let mut all: Vec<Answer> = Vec::new();
    for entry in history(records).filter(|entry| entry.withdrawn_by.is_none()) {
        let event = &entry.recorded.event;
        let (Verb::Answered, Some(more)) = (&event.verb, &event.more) else { continue };
        let Some(asked) = more.kind.as_deref().and_then(Asked::read) else { continue };
        let seq = entry.recorded.seq;
        let places = |names: &[String]| -> Vec<usize> {
            let things = names.iter().filter_map(|name| notes.find(name, seq));
            things.filter_map(|at| items.iter().position(|item| item.thing == at)).collect()
        };
        let set = |names: &[String]| Bits::of(items.len(), places(names));
        let yes = match event.note.as_deref() {
            Some("yes") => Some(true),
            Some("no") => Some(false),
            _ => None,
        };
        let (these, those) = (set(&more.these), set(&more.those));
        let list = places(&more.these);
        let answer = Answer { asked, these, those, list, yes };
        // The last word about the same question counts.
        all.retain(|old| !old.is_same(&answer));
        all.push(answer);
    }
    all
}
