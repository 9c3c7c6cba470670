//! The connections that were disturbed, nearest and quickest first: where to look when it does not
//! start. It stands in for a list of suspects.

use std::collections::HashMap;

use lastbolt_ledger::{Look, More, Standing, Verb};
use lastbolt_machine::{Kind, Minutes, ThingNo};
use lastbolt_order::{Ask, plan};

use crate::advance::kernel_from;
use crate::case::{Book, Written};
use crate::day::systems;
use crate::matters::inside::leaves_an_opening;
use crate::picture::Picture;
use crate::tell::Tell;
use crate::view::{DisturbedLine, DisturbedView, PointSaid, Said, Tap};
use crate::walk::covered_by;
use crate::words;

/// The id under which an answer is kept.
pub const DISTURBED: &str = "disturbed";
/// The most lines.
const LINES_MAX: usize = 60;
/// How long looking, pushing and tugging takes once it is reached (common practice, a guess).
const LOOK: Minutes = Minutes(1_000);
/// Up to these minutes it counts as equally near: then what is likelier comes first.
const NEAR: [Minutes; 4] = [Minutes(3_000), Minutes(8_000), Minutes(20_000), Minutes(45_000)];
/// Kinds that hold and carry nothing: they come last.
const ONLY_HOLDS: [&str; 16] = [
    "screw",
    "nut",
    "stud",
    "bolt",
    "clip",
    "push peg",
    "hook",
    "circlip",
    "roll pin",
    "split pin",
    "pin",
    "dowel",
    "cable tie",
    "tape",
    "press fit",
    "fixing",
];

/// Gives the list. `nodes` limits each search for what reaching something costs.
pub fn disturbed(picture: &Picture, nodes: u64) -> DisturbedView {
    let tell = Tell { case: &picture.case, live: &picture.now.live, kept: &picture.now.kept };
    let kernel = &picture.case.kernel;
    let all = tell
        .live
        .disturbed
        .iter()
        .filter(|&tie| kernel.thing(tie).kind == Kind::Tie && !kernel.leave_off.has(tie));
    let mut costs = Costs { picture, nodes, known: HashMap::new(), without: None };
    let mut lines: Vec<(Key, DisturbedLine)> = all
        .map(|tie| {
            let reach = costs.reach(tie);
            let line = line(picture, tell, tie, &reach);
            (key(tell, tie, &line), line)
        })
        .collect();
    lines.sort_by_key(|line| line.0);
    lines.truncate(LINES_MAX);
    DisturbedView { lines: lines.into_iter().map(|(_, line)| line).collect() }
}

/// In which order: what is still off, how near, how likely, how many minutes, then the file's.
type Key = (bool, usize, i32, i64, ThingNo);

fn key(tell: Tell<'_>, tie: ThingNo, line: &DisturbedLine) -> Key {
    let minutes = line.minutes.unwrap_or(Minutes(i64::MAX));
    let near = NEAR.iter().position(|most| minutes <= *most).unwrap_or(NEAR.len());
    let is_home = !(tell.live.open.has(tie) || tell.live.loose.has(tie));
    (is_home, near, -likely(tell, tie), minutes.0, tie)
}

/// What makes it likely that this one stops it: the larger the likelier. Shown as order only.
fn likely(tell: Tell<'_>, tie: ThingNo) -> i32 {
    let (kernel, live) = (&tell.case.kernel, tell.live);
    let book = Book::of(tell.case);
    let it = kernel.thing(tie);
    let kind = book.kind(tie).to_lowercase();
    let looked = matches!(live.look(kernel, tie), Some(Look::Looked { .. }));
    let standing = live.mark(kernel, tie).map(|mark| mark.standing);
    let missed = match book.written(tie) {
        Written::Tie(tie) => tie.missed.iter().filter_map(|it| it.chance.as_deref()).map(chance),
        _ => return 0,
    };
    let feels = it.ways.iter().chain(&it.back).any(|way| way.feel);
    let fuel = systems::named(&it.name) == Some(systems::System::Fuel);
    let starts = matches!(kind.as_str(), "plug" | "earth" | "cable" | "ground") || fuel;
    let holds = ONLY_HOLDS.contains(&kind.as_str());
    let points = [
        (starts, 4),
        (feels, 3),
        (!looked && (live.made_unseen.has(tie) || !it.hidden_by.is_empty()), 2),
        (standing == Some(Standing::NotMeasured), 1),
        (leaves_an_opening(&kind), 1),
        (holds, -4),
    ];
    let of = points.iter().filter(|(is, _)| *is).map(|(_, points)| points).sum::<i32>();
    of + missed.max().unwrap_or(0)
}

/// "likely", "possible", "unlikely" or a share, as points.
fn chance(text: &str) -> i32 {
    match text.trim() {
        "likely" => 3,
        "possible" => 2,
        "unlikely" => 1,
        share => match share.replace(',', ".").parse::<f64>() {
            Ok(share) if share >= 0.5 => 3,
            Ok(share) if share >= 0.1 => 2,
            _ => 1,
        },
    }
}

/// What reaching something takes.
struct Reach {
    minutes: Option<Minutes>,
    comes_off: Vec<ThingNo>,
}

/// What reaching things costs from here; what wants the same open is worked out once.
struct Costs<'a> {
    picture: &'a Picture,
    nodes: u64,
    known: HashMap<Vec<ThingNo>, Option<(Minutes, Vec<ThingNo>)>>,
    without: Option<Option<Minutes>>,
}

impl Costs<'_> {
    fn reach(&mut self, tie: ThingNo) -> Reach {
        let wanted = self.wanted(tie);
        let change = self.change(tie);
        if wanted.is_empty() {
            return Reach { minutes: Some(change + LOOK), comes_off: Vec::new() };
        }
        let cost = match self.known.get(&wanted) {
            Some(known) => known.clone(),
            None => {
                let cost = self.cost(&wanted);
                self.known.insert(wanted.clone(), cost.clone());
                cost
            }
        };
        match cost {
            Some((minutes, comes_off)) => Reach { minutes: Some(minutes + LOOK), comes_off },
            None => Reach { minutes: None, comes_off: wanted },
        }
    }

    /// What has to be open for a look at it: what covers it, and what its easiest access names.
    /// A screw is seen behind its pin; what is plugged or pushed together inside is not.
    fn wanted(&self, tie: ThingNo) -> Vec<ThingNo> {
        let kernel = &self.picture.case.kernel;
        let open = &self.picture.now.live.open;
        let it = kernel.thing(tie);
        let kind = Book::of(&self.picture.case).kind(tie);
        let holds = ONLY_HOLDS.contains(&kind);
        let counts = |kind: Kind| kind == Kind::Part || (kind == Kind::Tie && !holds);
        let lacking = |parts: &[ThingNo]| -> Vec<ThingNo> {
            let parts = parts.iter().copied();
            parts.filter(|&it| counts(kernel.thing(it).kind) && !open.has(it)).collect()
        };
        let ways = it.ways.iter().chain(&it.back).map(|way| lacking(&way.clear));
        let mut wanted = ways.min_by_key(Vec::len).unwrap_or_default();
        wanted.extend(covered_by(kernel, tie, open));
        wanted.sort_unstable();
        wanted.dedup();
        wanted
    }

    /// Minutes to go where it is looked at from.
    fn change(&self, tie: ThingNo) -> Minutes {
        let kernel = &self.picture.case.kernel;
        let ways = kernel.thing(tie).ways.iter();
        let here = self.picture.now.live.spot;
        ways.map(|way| kernel.spot_change(here, way.spot)).min().unwrap_or(Minutes::ZERO)
    }

    /// The plan from here with these off as well, minus the plan without.
    fn cost(&mut self, wanted: &[ThingNo]) -> Option<(Minutes, Vec<ThingNo>)> {
        let (case, live) = (&self.picture.case, &self.picture.now.live);
        let nodes = self.nodes;
        let least = |more: &[ThingNo]| {
            let kernel = kernel_from(case, live, more.iter().copied());
            plan(&kernel, &Ask { nodes, ..Ask::default() }).plan().cloned()
        };
        let without = match self.without {
            Some(without) => without,
            None => {
                let minutes = least(&[]).map(|plan| plan.minutes);
                self.without = Some(minutes);
                minutes
            }
        }?;
        let with = least(wanted)?;
        let is_new =
            |it: &ThingNo| case.kernel.thing(*it).kind != Kind::Prep && !live.open.has(*it);
        let comes_off = with.off.iter().filter(is_new).collect();
        Some(((with.minutes - without).max(Minutes::ZERO), comes_off))
    }
}

/// "Look at the earth, left, 2 minutes, nothing comes off".
fn line(picture: &Picture, tell: Tell<'_>, tie: ThingNo, reach: &Reach) -> DisturbedLine {
    let name = tell.name(tie);
    let stands = tell.stands(tie);
    let place = tell.place(tie).map_or(String::new(), |place| format!(", {place}"));
    let minutes = match reach.minutes {
        Some(minutes) => words::about(minutes),
        None => "how long is not known".to_owned(),
    };
    let kernel = &picture.case.kernel;
    let (parts, fixings): (Vec<ThingNo>, Vec<ThingNo>) =
        reach.comes_off.iter().partition(|&&it| kernel.thing(it).kind == Kind::Part);
    let names: Vec<String> = parts.iter().map(|&part| tell.name(part).to_owned()).collect();
    let off = match names.as_slice() {
        [] if !fixings.is_empty() => {
            let first = tell.name(fixings[0]);
            format!("{} undone for it, among them the {first}", fixings.len())
        }
        [] => "nothing comes off".to_owned(),
        [one] => format!("the {one} comes off"),
        all if all.len() <= 3 => format!("{} come off", words::and(all)),
        all => format!("{} parts come off, first the {}", all.len(), all[0]),
    };
    let open = if stands.starts_with("home") { String::new() } else { format!(" It is {stands}.") };
    let asked = format!("look at the {}{place}", tell.counted(tie));
    let key = (DISTURBED.to_owned(), Some(name.to_owned()));
    let said = tell.live.state.ticks.get(&key).map(|tick| PointSaid {
        answer: tick.answer.clone(),
        person: tick.person.clone(),
        said_at_ms: tick.said_at_ms,
        event: tick.event.clone(),
    });
    let since = tell.live.mark(&picture.case.kernel, tie).and_then(|mark| mark.disturbed_by);
    let said = said.filter(|_| tell.live.state.ticks.get(&key).map(|tick| tick.seq) > since);
    DisturbedLine {
        thing: name.to_owned(),
        text: words::large(&format!("{asked}, {minutes}, {off}.{open}")),
        minutes: reach.minutes,
        comes_off: names,
        why: why(tell, tie),
        tag: tell.tag(tie),
        said,
        taps: ["was it", "was not", "could not see"]
            .map(|answer| tap(name, &words::large(&asked), answer))
            .to_vec(),
    }
}

/// What speaks for it, in words; never a figure.
fn why(tell: Tell<'_>, tie: ThingNo) -> Vec<String> {
    let (kernel, live) = (&tell.case.kernel, tell.live);
    let it = kernel.thing(tie);
    let looked = matches!(live.look(kernel, tie), Some(Look::Looked { .. }));
    let mut all = Vec::new();
    if it.ways.iter().chain(&it.back).any(|way| way.feel) {
        all.push("done by feel".to_owned());
    }
    if !looked && !it.hidden_by.is_empty() {
        all.push("nobody has looked at it".to_owned());
    }
    if let Written::Tie(tie) = Book::of(tell.case).written(tie) {
        all.extend(tie.missed.iter().map(|missed| format!("shows as: {}", missed.symptom)));
    }
    all
}

fn tap(thing: &str, asked: &str, answer: &str) -> Tap {
    let more = More {
        point: Some(DISTURBED.to_owned()),
        asked: Some(asked.to_owned()),
        ..More::default()
    };
    let said = Said {
        thing: Some(thing.to_owned()),
        note: Some(answer.to_owned()),
        more: Some(more),
        ..Said::new(Verb::Ticked)
    };
    Tap { text: words::large(answer), said, asks: None, main: false }
}
