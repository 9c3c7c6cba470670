//! What each verb does to the state.

use crate::disagree::{Claim, Disagreement, had_seen};
use crate::log::Recorded;
use crate::state::{
    GatePass, Kept, Left, Look, Mark, Noted, Resumed, Round, Settled, Standing, State, Stated, Tick,
};
use crate::verb::Verb;

/// The most senders whose last word about one thing is remembered for disagreements.
const CLAIMS_MAX: usize = 16;

impl State {
    /// Applies one record that stands. The caller skips withdrawn ones; a take-back and a verb of
    /// a newer version change nothing here but the last number.
    pub fn apply(&mut self, recorded: &Recorded) {
        self.last_seq = recorded.seq;
        if matches!(recorded.event.verb, Verb::TakeBack | Verb::Other(_)) {
            return;
        }
        self.take_stated(recorded);
        match (&recorded.event.verb, recorded.event.thing.as_deref()) {
            (Verb::Noted | Verb::Ticked, _) => {}
            (Verb::Round, Some(joint)) => self.take_round(joint, recorded),
            (_, Some(thing)) => self.take_thing(thing, recorded),
            _ => {}
        }
        self.take_note(recorded);
        self.take_day(recorded);
        match recorded.event.verb {
            Verb::Finished => {
                self.finished = Some(recorded.seq);
                let why = recorded.event.note.as_deref().unwrap_or_default().trim();
                self.given_up = recorded.event.gives_up().then(|| why.to_owned());
            }
            Verb::Reopened => (self.finished, self.given_up) = (None, None),
            _ => {}
        }
    }

    /// What the day around the work brings: what is kept in words, answers, standing.
    fn take_day(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let (person, said_at_ms, seq) = (event.person.clone(), event.said_at_ms, recorded.seq);
        let (id, more) = (event.id.as_str().to_owned(), event.more.clone().unwrap_or_default());
        match event.verb {
            // What was split since says an entry once for each thing.
            Verb::Noted if self.kept.iter().any(|kept| kept.event == id) => {}
            Verb::Noted => self.kept.push(Kept {
                event: id,
                seq,
                kind: more.kind.clone().unwrap_or_default(),
                thing: event.thing.clone(),
                text: event.note.clone().unwrap_or_default(),
                person,
                said_at_ms,
                more,
            }),
            Verb::Ticked => {
                let point = more.point.clone().unwrap_or_default();
                let answer = event.note.clone().unwrap_or_default();
                let tick = Tick { event: id, seq, answer, person, said_at_ms, more };
                self.ticks.insert((point, event.thing.clone()), tick);
            }
            Verb::LeftStanding => {
                self.left = Some(Left { text: event.note.clone(), person, said_at_ms, seq });
            }
            Verb::Resumed => {
                if let Some(left) = self.left.take() {
                    self.resumed = Some(Resumed { left, person, said_at_ms, seq });
                }
            }
            _ => {}
        }
    }

    fn take_round(&mut self, joint: &str, recorded: &Recorded) {
        let event = &recorded.event;
        let Some(more) = &event.more else { return };
        let round = Round {
            round: more.round.unwrap_or(1),
            pieces: event.pieces,
            wrench: more.wrench.clone(),
            setting: more.setting.clone(),
            calibrated: more.calibrated.clone(),
            by_hand: more.by_hand,
            person: event.person.clone(),
            said_at_ms: event.said_at_ms,
            seq: recorded.seq,
        };
        self.rounds.entry(joint.to_owned()).or_default().push(round);
    }

    fn take_stated(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        for (place, word) in [
            (&mut self.spot, &event.spot),
            (&mut self.tool, &event.tool),
            (&mut self.person, &event.person),
        ] {
            if let Some(text) = word {
                *place = Some(Stated { text: text.clone(), seq: recorded.seq });
            }
        }
    }

    fn take_thing(&mut self, thing: &str, recorded: &Recorded) {
        let seq = recorded.seq;
        let event = &recorded.event;
        match &event.verb {
            Verb::Gate => {
                let pass =
                    GatePass { reason: event.note.clone(), person: event.person.clone(), seq };
                self.gates.insert(thing.to_owned(), pass);
                return;
            }
            Verb::Looked => {
                self.looks.insert(thing.to_owned(), Look::Looked { seq });
            }
            Verb::PassedBy => {
                self.looks.insert(thing.to_owned(), Look::PassedBy { seq });
            }
            Verb::Settled => {
                let note = event.note.clone().unwrap_or_default();
                self.settled.insert(thing.to_owned(), Settled { note, seq });
            }
            _ => {}
        }
        self.settle_disagreement(thing, recorded);
        if event.verb.sets_standing() {
            self.take_claim(thing, recorded);
            self.take_mark(thing, recorded);
        }
    }

    fn take_mark(&mut self, thing: &str, recorded: &Recorded) {
        let event = &recorded.event;
        let old = self.marks.get(thing);
        let standing = standing_after(&event.verb, event.pieces);
        let disturbs = disturbs(&event.verb);
        let open = opens(&event.verb, event.pieces);
        let was_open = old.is_some_and(|mark| opens(&mark.last_verb, mark.pieces));
        let times = old.map_or(0, |mark| mark.times_opened);
        let mark = Mark {
            standing,
            by: recorded.seq,
            last_verb: event.verb.clone(),
            pieces: event.pieces,
            said_at_ms: event.said_at_ms,
            person: event.person.clone(),
            disturbed_by: if disturbs {
                Some(recorded.seq)
            } else {
                old.and_then(|m| m.disturbed_by)
            },
            times_opened: times.saturating_add(u32::from(open && !was_open)),
        };
        self.marks.insert(thing.to_owned(), mark);
        if disturbs {
            self.looks.remove(thing);
            self.settled.remove(thing);
        }
        if loosens(&event.verb) {
            self.rounds.remove(thing);
        }
    }

    fn take_note(&mut self, recorded: &Recorded) {
        let event = &recorded.event;
        let Some(text) = &event.note else { return };
        let noted = Noted {
            event: event.id.as_str().to_owned(),
            thing: event.thing.clone(),
            text: text.clone(),
            person: event.person.clone(),
            said_at_ms: event.said_at_ms,
            seq: recorded.seq,
        };
        match event.verb {
            Verb::FirstStart => self.first_starts.push(noted),
            // What these say in words is kept with what they are about.
            Verb::Gate
            | Verb::Settled
            | Verb::Renamed
            | Verb::Split
            | Verb::Fact
            | Verb::Answered
            | Verb::Dropped
            | Verb::NotFound
            | Verb::PutIn
            | Verb::LeaveAlone
            | Verb::Noted
            | Verb::Ticked
            | Verb::LeftStanding
            | Verb::Round => {}
            _ => self.notes.push(noted),
        }
    }

    fn settle_disagreement(&mut self, thing: &str, recorded: &Recorded) {
        let Some(open) = self.disagreements.get(thing) else { return };
        if had_seen(recorded, open.first, &open.first_sender)
            && had_seen(recorded, open.second, &open.second_sender)
        {
            self.disagreements.remove(thing);
        }
    }

    fn take_claim(&mut self, thing: &str, recorded: &Recorded) {
        let event = &recorded.event;
        let claims = self.claims.entry(thing.to_owned()).or_default();
        let claim = Claim {
            seq: recorded.seq,
            sender: event.sender.clone(),
            verb: event.verb.clone(),
            pieces: event.pieces,
        };
        let other = claims.iter().rev().find(|old| old.sender != claim.sender);
        if let Some(other) = other
            && !had_seen(recorded, other.seq, &other.sender)
            && (&other.verb, other.pieces) != (&claim.verb, claim.pieces)
        {
            let disagreement = Disagreement {
                thing: thing.to_owned(),
                first: other.seq,
                first_sender: other.sender.clone(),
                second: claim.seq,
                second_sender: claim.sender.clone(),
            };
            self.disagreements.insert(thing.to_owned(), disagreement);
        }
        claims.retain(|old| old.sender != claim.sender);
        if claims.len() >= CLAIMS_MAX {
            claims.remove(0);
        }
        claims.push(claim);
    }
}

/// How the whole stands after a verb, done to the whole or to some pieces only: while some are
/// still made it holds, while some are still undone it is open.
fn standing_after(verb: &Verb, pieces: Option<u32>) -> Standing {
    match (verb, pieces.is_some()) {
        (Verb::Undo, true) => Standing::Closed,
        (Verb::Make, true) => Standing::Open,
        (Verb::Tighten, true) | (Verb::Start, _) => Standing::Started,
        (Verb::Off | Verb::Undo | Verb::Prep, _) => Standing::Open,
        (Verb::Slack, _) => Standing::Slack,
        (Verb::ByHand, _) => Standing::ByHand,
        (Verb::NotMeasured, _) => Standing::NotMeasured,
        _ => Standing::Closed,
    }
}

/// Tells whether a verb undoes something, wholly or partly: a look done before is then void.
fn disturbs(verb: &Verb) -> bool {
    let opens = matches!(verb, Verb::Off | Verb::Undo | Verb::Prep);
    opens || matches!(verb, Verb::Slack | Verb::ByHand | Verb::Start)
}

/// Tells whether a verb undoes what was tightened: its rounds are lost.
fn loosens(verb: &Verb) -> bool {
    matches!(verb, Verb::Off | Verb::Undo | Verb::Slack | Verb::ByHand)
}

/// Tells whether the thing is open after a verb, wholly or partly; slack is not.
fn opens(verb: &Verb, pieces: Option<u32>) -> bool {
    let partly_undone = *verb == Verb::Undo && pieces.is_some();
    partly_undone || standing_after(verb, pieces).is_open_for_planning()
}
