//! Why: what can hurt somebody must not hang on English words. Marked in the file, by a condition
//! or by a person, whatever it is called, no connection under pressure comes up without its
//! question. Random machines in nobody's language.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test: what fails here fails it")]

mod support;
#[path = "support/tale.rs"]
mod tale;

use lastbolt_job::view::{ActionCard, StepVerb};
use lastbolt_job::{asked_first, hazard_taps, hazards_marked};
use lastbolt_ledger::Verb;
use support::case;
use tale::Tale;

/// How the mark comes.
#[derive(Clone, Copy, Debug, PartialEq)]
enum By {
    Key,
    Condition,
    Person,
    Nobody,
}

/// A small source of numbers, the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }
}

const KINDS: [&str; 6] = ["union", "hose", "screw", "clamp", "quick joint", "banjo"];
const WORDS: [&str; 5] = ["pressure", "high-pressure fuel", "hydraulics", "air", "gas"];

/// Parts in a row, each held by one to three things of names that mean nothing anywhere.
fn machine(dice: &mut Dice, by: By) -> (String, Vec<String>) {
    let parts = 2 + dice.roll(4);
    let word = WORDS[usize::try_from(dice.roll(5)).unwrap()];
    let mut text = "machine = \"Ozvu\"\nfixed = [\"bolm\"]\n[spot.zed]\n".to_owned();
    if by == By::Condition {
        text += &format!("[prep.\"vlasni\"]\nback = \"by itself\"\nhazards = [\"{word}\"]\n");
    }
    let mut marked = Vec::new();
    for part in 0..parts {
        text += &format!("[part.\"kru{part}\"]\nways = [{{ from = \"zed\", minutes = 1 }}]\n");
        for tie in 0..=dice.roll(3) {
            let (name, kind) =
                (format!("ostr{part}{tie}"), KINDS[usize::try_from(dice.roll(6)).unwrap()]);
            let other = if part > 0 && dice.roll(2) == 0 {
                format!("kru{}", part - 1)
            } else {
                "bolm".into()
            };
            text += &format!(
                "[tie.\"{name}\"]\nkind = \"{kind}\"\njoins = [\"kru{part}\", \"{other}\"]\n\
                 ways = [{{ from = \"zed\", minutes = 1 }}]\n"
            );
            if dice.roll(3) == 0 || marked.is_empty() {
                match by {
                    By::Key => text += &format!("hazards = [\"{word}\"]\n"),
                    By::Condition => text += "needs = [\"vlasni\"]\n",
                    By::Person | By::Nobody => {}
                }
                marked.push(name);
            }
        }
    }
    text += &format!("[job]\noff = [\"kru{}\", \"kru0\"]\n", parts - 1);
    (text, marked)
}

fn next(tale: &Tale) -> Option<ActionCard> {
    tale.screen().next
}

/// Walks through taking apart, answering whatever asks; gives what was opened without a question
/// though nobody had been asked before.
fn opened_unasked(tale: &mut Tale, marked: &[String]) -> Vec<String> {
    let mut unasked = Vec::new();
    let mut answered = false;
    for _ in 0..60 {
        let Some(card) = next(tale) else { break };
        if !card.line.verb.opens() {
            break;
        }
        if let Some(point) = &card.asks_first {
            let said = point.taps[0].said.clone();
            tale.says(&said, None);
            answered = true;
            continue;
        }
        let is_marked = card.line.verb == StepVerb::Undo && marked.contains(&card.line.thing);
        if is_marked && !answered {
            unasked.push(card.line.thing.clone());
        }
        tale.presses();
    }
    unasked
}

/// However the mark comes, the question comes first. The wrong twin, which reads words only, lets
/// every one of these machines through unasked.
#[test]
fn no_marked_connection_is_reached_without_its_question() {
    let (mut asked, mut by_words_only) = (0, 0);
    for seed in 0..60 {
        for by in [By::Key, By::Condition, By::Person] {
            let (text, marked) = machine(&mut Dice(seed), by);
            let mut tale = Tale::of(case(&text));
            if by == By::Person {
                for thing in &marked {
                    let taps = hazard_taps(&tale.picture, thing);
                    let tap = taps.iter().find(|tap| tap.text == "Under pressure").unwrap();
                    let said = tap.said.clone();
                    tale.says(&said, None);
                }
            }
            for thing in &marked {
                let asked = asked_first(&tale.picture, thing);
                assert!(asked.is_some(), "{by:?} {seed}: {thing} has no question in\n{text}");
            }
            let unasked = opened_unasked(&mut tale, &marked);
            assert!(unasked.is_empty(), "{by:?} {seed}: {unasked:?} in\n{text}");
            asked += 1;
        }
        let (text, marked) = machine(&mut Dice(seed), By::Nobody);
        let mut twin = Tale::of(case(&text));
        by_words_only += usize::from(!opened_unasked(&mut twin, &marked).is_empty());
    }
    assert_eq!(asked, 180);
    assert!(by_words_only > 40, "the twin is hardly tried: {by_words_only}");
}

/// A mark says its sentence at the step, is gone when it is taken back, and one of the file stays.
#[test]
fn a_mark_is_said_and_can_be_taken_back() {
    let text = "machine = \"Ozvu\"\nfixed = [\"bolm\"]\n[part.kru]\n[tie.ostr]\njoins = [\"kru\", \
                \"bolm\"]\nkind = \"vzmet\"\n[job]\noff = [\"kru\"]\n";
    let mut tale = Tale::of(case(text));
    assert!(next(&tale).unwrap().cautions.is_empty());
    let tap =
        hazard_taps(&tale.picture, "ostr").into_iter().find(|tap| tap.text.contains("Spring"));
    let seq = tale.says(&tap.unwrap().said, None);
    let card = next(&tale).unwrap();
    assert!(card.cautions[0].text.starts_with("Spring under load"), "{:?}", card.cautions);
    assert!(card.asks_first.is_none(), "a spring is not under pressure");
    assert!(hazards_marked(&tale.picture, "ostr")[0].2.is_some());
    let offered = hazard_taps(&tale.picture, "ostr");
    assert!(offered.iter().all(|tap| !tap.text.contains("Spring")), "not twice");
    tale.takes_back(seq);
    assert!(next(&tale).unwrap().cautions.is_empty());
    // A word that is none marks nothing, and is kept all the same.
    tale.noted("hazard", Some("ostr"), "very odd");
    assert!(hazards_marked(&tale.picture, "ostr").is_empty());

    let in_file = text.replace("kind = \"vzmet\"", "kind = \"vzmet\"\nhazards = [\"spring\"]");
    let tale = Tale::of(case(&in_file));
    assert!(next(&tale).unwrap().cautions[0].text.starts_with("Spring under load"));
    assert!(hazards_marked(&tale.picture, "ostr")[0].2.is_none(), "the file says it");
}

/// What is drawn from a record without a file can be marked too, and keeps the mark when it is
/// given another name.
#[test]
fn a_mark_stays_with_a_thing_that_no_file_knows() {
    let mut tale = Tale::nothing();
    tale.took(Some("kru"), &[("hose", 1)]);
    let hose = tale.screen().things.into_iter().find(|line| line.kind == "hose").unwrap().thing;
    tale.noted("hazard", Some(&hose), "pressure");
    assert_eq!(hazards_marked(&tale.picture, &hose).len(), 1);
    let mut event = tale.event(Verb::Renamed, Some(&hose));
    event.note = Some("cev".to_owned());
    tale.accept(event);
    assert_eq!(hazards_marked(&tale.picture, "cev").len(), 1);
}
