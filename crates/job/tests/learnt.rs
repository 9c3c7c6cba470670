//! Why: usual minutes are learnt from what was really done, robustly: a pause, a night, a walk to
//! another place, a handful tapped at once after the work must not teach anything wrong.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test: what fails here fails it")]

mod support;

use std::sync::Arc;

use lastbolt_job::{Took, learnt, took};
use lastbolt_ledger::{Event, EventId, Recorded, Verb};
use lastbolt_machine::Minutes;
use support::case;

const SECOND: i64 = 1000;
const MINUTE: i64 = 60 * SECOND;

/// Twelve clips and four screws along a rail; one more clip whose minutes the file says.
fn machine() -> String {
    let mut text = "machine = \"Curlew rail\"\nfixed = [\"body\"]\n[spot.side]\n[spot.pit]\n\
                    [part.rail]\nways = [{ from = \"side\" }]\n"
        .to_owned();
    for n in 1..=12 {
        text += &format!(
            "[tie.\"clip {n}\"]\nkind = \"clip\"\njoins = [\"rail\", \"body\"]\n\
             ways = [{{ from = \"side\" }}]\n"
        );
    }
    text += "[tie.\"old clip\"]\nkind = \"clip\"\njoins = [\"rail\", \"body\"]\n\
             ways = [{ from = \"side\", minutes = 9 }]\n\
             [tie.screws]\nkind = \"screw\"\ncount = 4\njoins = [\"rail\", \"body\"]\n\
             ways = [{ from = \"side\" }]\n[job]\noff = [\"rail\"]\n";
    text
}

#[derive(Default)]
struct Tape {
    all: Vec<Recorded>,
    ms: i64,
}

impl Tape {
    fn after(&mut self, ms: i64, verb: Verb, thing: &str) -> &mut Event {
        self.ms += ms;
        let seq = self.all.len() as u64 + 1;
        let id = EventId::new(&format!("e{seq}")).unwrap();
        let mut event = Event::new(id, "phone", seq, seq - 1, self.ms, verb);
        event.thing = Some(thing.to_owned());
        event.spot = Some("side".to_owned());
        self.all.push(Recorded { seq, recorded_at_ms: self.ms, event });
        &mut self.all.last_mut().unwrap().event
    }

    fn clips(&mut self, ms: i64) {
        for n in 1..=12 {
            self.after(ms, Verb::Undo, &format!("clip {n}"));
        }
    }

    fn took(&self) -> Vec<Took> {
        took(&Arc::new(case(&machine())), &self.all)
    }
}

fn minutes(all: &[Took], kind: &str) -> Vec<i64> {
    all.iter().filter(|one| one.kind == kind).map(|one| one.minutes.0).collect()
}

/// Eleven clips after the first one, 24 seconds each: 0.4 min. The mean as a wrong twin is carried
/// away by one phone call.
#[test]
fn the_middle_of_many_is_learnt() {
    let mut tape = Tape::default();
    tape.clips(24 * SECOND);
    tape.after(30 * MINUTE, Verb::Make, "clip 12");
    let all = tape.took();
    let learnt = learnt(&all);
    assert_eq!(learnt.len(), 1);
    assert_eq!((learnt[0].kind.as_str(), learnt[0].times), ("clip", 12));
    assert_eq!(learnt[0].minutes, Minutes(400));
    assert!(learnt[0].differs(Minutes(300)) && !learnt[0].differs(Minutes(400)));
    assert!(!learnt[0].differs(Minutes(350)), "good to half: 0.35 is no other number");
    let clips = minutes(&all, "clip");
    let mean = clips.iter().sum::<i64>() / i64::try_from(clips.len()).unwrap();
    assert!(mean > 2_000, "the wrong twin says {mean}");
}

/// Fewer than ten times teach nothing.
#[test]
fn few_times_teach_nothing() {
    let mut tape = Tape::default();
    for n in 1..=10 {
        tape.after(24 * SECOND, Verb::Undo, &format!("clip {n}"));
    }
    assert_eq!(minutes(&tape.took(), "clip").len(), 9);
    assert!(learnt(&tape.took()).is_empty());
    tape.after(24 * SECOND, Verb::Undo, "clip 11");
    assert_eq!(learnt(&tape.took()).len(), 1);
}

/// A night, another place, a tool taken up, a photo before it, something in pieces, something whose
/// minutes the file says, something taken back: none of them says what a clip takes.
#[test]
fn what_is_not_the_work_is_left_out() {
    let left_out = |what: &str, change: &dyn Fn(&mut Tape)| {
        let mut tape = Tape::default();
        tape.after(0, Verb::Undo, "clip 1");
        change(&mut tape);
        assert_eq!(minutes(&tape.took(), "clip"), [] as [i64; 0], "{what}");
    };
    left_out("a night", &|tape| {
        tape.after(600 * MINUTE, Verb::Undo, "clip 2");
    });
    left_out("another place", &|tape| {
        tape.after(MINUTE, Verb::Undo, "clip 2").spot = Some("pit".into());
    });
    left_out("another tool", &|tape| {
        tape.after(MINUTE, Verb::Undo, "clip 2").tool = Some("pliers".into());
    });
    left_out("after a photo", &|tape| {
        tape.after(MINUTE, Verb::Photo, "clip 2");
        tape.after(MINUTE, Verb::Undo, "clip 2");
    });
    left_out("in pieces", &|tape| {
        tape.after(MINUTE, Verb::Undo, "clip 2").pieces = Some(1);
    });
    left_out("the file says its minutes", &|tape| {
        tape.after(MINUTE, Verb::Undo, "old clip");
    });
    left_out("taken back", &|tape| {
        let of = tape.after(MINUTE, Verb::Undo, "clip 2").id.clone();
        let back = tape.after(MINUTE, Verb::TakeBack, "clip 2");
        back.thing = None;
        back.of = Some(of);
    });
    left_out("another hand", &|tape| {
        tape.after(MINUTE, Verb::Undo, "clip 2").person = Some("Ren".into());
    });
    // The right twin: the very same without any of that counts.
    let mut tape = Tape::default();
    tape.after(0, Verb::Undo, "clip 1");
    tape.after(MINUTE, Verb::Undo, "clip 2");
    assert_eq!(minutes(&tape.took(), "clip"), [1_000]);
}

/// Ten minutes of work tapped in at once afterwards: together they took ten minutes, one each; as
/// single gaps, the wrong twin, nine of ten took two seconds. Of two kinds at once nothing is
/// known.
#[test]
fn a_handful_tapped_at_once_is_one_time() {
    let mut tape = Tape::default();
    tape.after(0, Verb::Undo, "clip 1");
    tape.after(5 * MINUTE, Verb::Undo, "clip 2");
    for n in 3..=6 {
        tape.after(2 * SECOND, Verb::Undo, &format!("clip {n}"));
    }
    let all = minutes(&tape.took(), "clip");
    assert_eq!(all.len(), 1);
    assert!((1_000..1_100).contains(&all[0]), "{all:?}");
    tape.after(5 * MINUTE, Verb::Undo, "clip 7");
    tape.after(2 * SECOND, Verb::Undo, "screws");
    assert_eq!(minutes(&tape.took(), "clip").len(), 1);
    assert!(minutes(&tape.took(), "screw").is_empty());
    tape.after(4 * MINUTE, Verb::Make, "screws");
    assert_eq!(minutes(&tape.took(), "screw"), [1_000], "four screws, a minute each");
}
