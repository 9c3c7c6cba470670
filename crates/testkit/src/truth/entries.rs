//! What a person records of a strip: parts with their fixings by the handful, with kind, place and
//! count, nothing else.

use lastbolt_checker::Action;
use lastbolt_machine::{Machine, Tie};

use super::strip::{Opened, Strip};

/// In which manner it is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Each part with the fixings undone at its place just before it; those undone elsewhere
    /// before apart, by place; all in the order in which it happened.
    SinceLast,
    /// Each part with exactly the fixings that join it and were undone by then; those that hold
    /// nothing apart. What was undone early is so recorded late.
    Holding,
    /// Every fixing by itself, then the part with none.
    Alone,
    /// Each part with all fixings undone since the last one, all at the place of the part: rough.
    Rough,
}

impl Style {
    /// All styles.
    pub const ALL: [Self; 4] = [Self::SinceLast, Self::Holding, Self::Alone, Self::Rough];

    /// A word for tables and command lines.
    pub fn word(self) -> &'static str {
        match self {
            Self::SinceLast => "since",
            Self::Holding => "holding",
            Self::Alone => "alone",
            Self::Rough => "rough",
        }
    }
}

/// One fixing entry: what `--tie KIND:COUNT` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixing {
    /// The hidden name; for the harness, not for the engine.
    pub truth: String,
    /// Screw, plug, ...
    pub kind: String,
    /// How many pieces.
    pub count: u32,
}

/// One entry: what `took PART --from SPOT --tie ...` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The part that came off, by its hidden name (which says nothing), if one did.
    pub part: Option<String>,
    /// The fixings, in the order in which they were undone.
    pub ties: Vec<Fixing>,
    /// The place.
    pub spot: Option<String>,
}

/// What is recorded of a strip.
pub fn entries(machine: &Machine, strip: &Strip, style: Style) -> Vec<Entry> {
    let mut book = Book { machine, entries: Vec::new(), pending: Vec::new() };
    for opened in strip.things() {
        match (style, opened.action) {
            (Style::Alone, Action::Off) => book.entry(Some(opened), &[]),
            (Style::Alone, _) => book.entry(None, &[opened]),
            (Style::SinceLast, Action::Off) => book.since_last(opened),
            (Style::Holding, Action::Off) => book.holding(opened),
            (Style::Rough, Action::Off) => {
                let ties = std::mem::take(&mut book.pending);
                book.entry(Some(opened), &ties);
            }
            (Style::Holding, _) if !book.holds_some(opened, strip) => book.entry(None, &[opened]),
            _ => book.pending.push(opened),
        }
    }
    let rest = std::mem::take(&mut book.pending);
    book.by_place(&rest);
    book.entries
}

struct Book<'a> {
    machine: &'a Machine,
    entries: Vec<Entry>,
    pending: Vec<&'a Opened>,
}

impl<'a> Book<'a> {
    fn entry(&mut self, part: Option<&Opened>, ties: &[&Opened]) {
        let of_ties = ties.last().and_then(|opened| opened.spot.clone());
        let spot = part.and_then(|opened| opened.spot.clone()).or(of_ties);
        let ties = ties.iter().map(|opened| self.fixing(opened)).collect();
        let part = part.map(|opened| opened.thing.clone());
        self.entries.push(Entry { part, ties, spot });
    }

    /// Fixings alone, those of one place after each other in one entry.
    fn by_place(&mut self, ties: &[&Opened]) {
        for run in ties.chunk_by(|a, b| a.spot == b.spot) {
            self.entry(None, run);
        }
    }

    fn since_last(&mut self, part: &Opened) {
        let ties = std::mem::take(&mut self.pending);
        let place = place(part, &ties);
        let with = ties.iter().rev().take_while(|tie| tie.spot == place).count();
        let (before, with) = ties.split_at(ties.len() - with);
        self.by_place(before);
        self.entry(Some(part), with);
    }

    fn holding(&mut self, part: &'a Opened) {
        let pending = std::mem::take(&mut self.pending);
        let (mine, others): (Vec<_>, Vec<_>) =
            pending.into_iter().partition(|tie| self.joins(tie, &part.thing));
        self.pending = others;
        let place = place(part, &mine);
        let (here, elsewhere): (Vec<_>, Vec<_>) =
            mine.into_iter().partition(|tie| tie.spot == place);
        self.by_place(&elsewhere);
        self.entry(Some(part), &here);
    }

    fn tie(&self, opened: &Opened) -> Option<&'a Tie> {
        self.machine.ties.iter().find(|tie| tie.id.name() == opened.thing)
    }

    fn joins(&self, opened: &Opened, part: &str) -> bool {
        self.tie(opened).is_some_and(|tie| tie.joins.iter().any(|end| end.name() == part))
    }

    /// Whether a fixing holds a part that comes off.
    fn holds_some(&self, opened: &Opened, strip: &Strip) -> bool {
        let mut parts = strip.things().filter(|opened| opened.action == Action::Off);
        parts.any(|part| self.joins(opened, &part.thing))
    }

    fn fixing(&self, opened: &Opened) -> Fixing {
        let tie = self.tie(opened);
        let kind = tie.and_then(|tie| tie.kind.as_ref()).map_or("fixing", |kind| kind.name());
        let count = tie.and_then(|tie| tie.count.as_ref()).map_or(1, |count| count.value);
        Fixing { truth: opened.thing.clone(), kind: kind.to_owned(), count }
    }
}

/// A part that comes off from anywhere is recorded where the last of its fixings was undone.
fn place(part: &Opened, ties: &[&Opened]) -> Option<String> {
    part.spot.clone().or_else(|| ties.last().and_then(|tie| tie.spot.clone()))
}
