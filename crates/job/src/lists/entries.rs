//! From a list to entries of a job: what came off by handfuls, and what was counted before.

use std::collections::{BTreeMap, BTreeSet};

use lastbolt_files::csv::{Row, RowStands};
use lastbolt_ledger::{KINDS_MAX, More, Stands, TookPart, TookTie};

use super::{part_of, unique, usual_name};
use crate::picture::Picture;
use crate::words;

/// One handful that came off, to be recorded as one entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Handful {
    /// The id of its entry: the same rows have the same.
    pub id: String,
    /// The lines it comes from.
    pub lines: Vec<u32>,
    /// From where.
    pub spot: Option<String>,
    /// The part and its fixings.
    pub more: More,
    /// Tools by the name of the thing.
    pub tools: Vec<(String, String)>,
    /// What is said of a thing in words, by its name.
    pub notes: Vec<(String, String)>,
    /// "Tray off: 3 nuts, 1 clip".
    pub text: String,
}

/// Pieces of a kind at a place that are still home: counted before the first bolt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountedBefore {
    /// The kind.
    pub kind: String,
    /// Where, if the list says so.
    pub spot: Option<String>,
    /// How many.
    pub pieces: u32,
}

/// Something of a list that is not recorded, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// Its line.
    pub line: u32,
    /// Why, as the end of a sentence.
    pub why: String,
}

/// What a list would record on a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entries {
    /// What came off, in the order of the list.
    pub handfuls: Vec<Handful>,
    /// What was counted before.
    pub counted: Vec<CountedBefore>,
    /// What is not recorded.
    pub left_out: Vec<LeftOut>,
}

/// Gives what a list would record on a job. Rows that say nothing of how they stand came off if
/// `all_off`; else they are home. What an earlier list has recorded is not recorded again.
pub fn entries(picture: &Picture, rows: &[Row], all_off: bool) -> Entries {
    let usual = if all_off { RowStands::Off } else { RowStands::Home };
    let stands = |row: &Row| row.stands.unwrap_or(usual);
    let off: Vec<Stood<'_>> =
        rows.iter().map(|row| (row, stands(row))).filter(|(_, s)| *s != RowStands::Home).collect();
    let mut entries = Entries::default();
    let on = still_on(rows, stands);
    let listed = Listed { picture, rows, on };
    let before = listed.recorded_before(&off);
    let mut new: Vec<Stood<'_>> = Vec::new();
    for pair in off {
        let is_before = before.contains(&pair.0.line);
        let why = is_before.then(|| "recorded from a list before".to_owned());
        match why.or_else(|| is_off_already(picture, pair.0)) {
            Some(why) => entries.left_out.push(LeftOut { line: pair.0.line, why }),
            None => new.push(pair),
        }
    }
    listed.take_off(&new, &mut entries);
    give_ids(picture, &mut entries.handfuls, |state| state.is_none());
    let left = rows.iter().filter(|row| row.is_part() && stands(row) == RowStands::Home);
    entries.left_out.extend(left.map(|row| {
        let why = "a part that is on; lastbolt begin --list keeps those".to_owned();
        LeftOut { line: row.line, why }
    }));
    let is_home = |row: &&Row| stands(row) == RowStands::Home;
    entries.counted = counted(picture, rows, &rows.iter().filter(is_home).collect::<Vec<_>>());
    entries
}

/// The parts that are on: their row says so, or they have none and not all that holds them is off:
/// what is slack or in by hand holds too.
fn still_on(rows: &[Row], stands: impl Fn(&Row) -> RowStands) -> BTreeSet<&str> {
    let said = |part: &str| rows.iter().any(|row| row.is_part() && part_of(row) == Some(part));
    let holds = rows.iter().filter(|row| stands(row) != RowStands::Off);
    let on = holds.filter_map(|row| Some((part_of(row)?, row.is_part())));
    on.filter(|(part, is_own)| *is_own || !said(part)).map(|(part, _)| part).collect()
}

/// A row with how it stands.
type Stood<'a> = (&'a Row, RowStands);

/// A list beside the job that it is for.
struct Listed<'a> {
    picture: &'a Picture,
    rows: &'a [Row],
    /// The parts that are on.
    on: BTreeSet<&'a str>,
}

impl Listed<'_> {
    /// The lines of handfuls that stand in the record already.
    fn recorded_before(&self, off: &[Stood<'_>]) -> BTreeSet<u32> {
        let mut all = Entries::default();
        self.take_off(off, &mut all);
        give_ids(self.picture, &mut all.handfuls, |state| state != Some(false));
        let stands = |id: &str| of_id(self.picture, id) == Some(true);
        let before = all.handfuls.iter().filter(|handful| stands(&handful.id));
        before.flat_map(|handful| handful.lines.iter().copied()).collect()
    }

    /// Makes handfuls of rows.
    fn take_off(&self, off: &[Stood<'_>], entries: &mut Entries) {
        let known = self.picture.case.kernel.things.iter().map(|thing| thing.name.clone());
        let mut taken: BTreeSet<String> = known.collect();
        taken.extend(self.rows.iter().flat_map(|row| row.name.iter().chain(&row.parts)).cloned());
        let mut groups: Vec<Group> = Vec::new();
        for (row, stands) in off {
            group(&mut groups, row, *stands);
        }
        for group in groups {
            let comes_off = |part: &str| !self.on.contains(part) && !is_off(self.picture, part);
            let comes_off = group.part.is_some_and(comes_off);
            group.handfuls(entries, &mut taken, comes_off);
        }
    }
}

/// Whether an entry of that id stands; none where there is no such entry.
fn of_id(picture: &Picture, id: &str) -> Option<bool> {
    let recorded = picture.records.iter().find(|recorded| recorded.event.id.as_str() == id)?;
    Some(!picture.now.live.state.withdrawn.contains(&recorded.seq))
}

/// Gives handfuls ids that the same rows get again, out of those that may be used: what is known
/// of an id is whether its entry stands. One that was taken back does not count.
fn give_ids(picture: &Picture, handfuls: &mut [Handful], may: impl Fn(Option<bool>) -> bool) {
    let mut used: BTreeSet<String> = BTreeSet::new();
    for handful in handfuls {
        let content = format!("{:?} {:?}", handful.spot, (&handful.text, handful.lines.len()));
        let ids = (1..).map(|number: u32| format!("list-{:016x}-{number}", hash(&content)));
        let mut free = ids.filter(|id| !used.contains(id) && may(of_id(picture, id)));
        handful.id = free.next().unwrap_or_default();
        used.insert(handful.id.clone());
    }
}

/// 64-bit FNV-1a.
fn hash(text: &str) -> u64 {
    let take = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    text.bytes().fold(0xcbf2_9ce4_8422_2325, take)
}

/// What was counted before the first bolt: everything of a kind at a place, of which something is
/// still home; of a kind of which the list says no place somewhere, everything anywhere.
fn counted(picture: &Picture, rows: &[Row], home: &[&Row]) -> Vec<CountedBefore> {
    let mut all: BTreeMap<(&str, Option<&str>), u32> = BTreeMap::new();
    for row in home {
        let Some(kind) = row.kind.as_deref() else { continue };
        let place = row.place.as_deref();
        let same = rows.iter().filter(|other| {
            let is_there = place.is_none() || other.place.as_deref() == place;
            is_there && other.kind.as_deref() == Some(kind)
        });
        all.insert((kind, place), same.map(|row| row.count).sum());
    }
    let was_counted = |kind: &str, spot: Option<&str>, pieces: u32| {
        let counted = &picture.now.matters.counted;
        counted.iter().any(|c| c.kind == kind && c.spot.as_deref() == spot && c.pieces == pieces)
    };
    let new = all.into_iter().filter(|((kind, spot), pieces)| !was_counted(kind, *spot, *pieces));
    let made = new.map(|((kind, spot), pieces)| CountedBefore {
        kind: kind.to_owned(),
        spot: spot.map(str::to_owned),
        pieces,
    });
    made.collect()
}

/// What the job has off already under the name of a row.
fn is_off_already(picture: &Picture, row: &Row) -> Option<String> {
    let name = match (row.is_part(), &row.name) {
        (true, _) => part_of(row)?.to_owned(),
        (false, Some(name)) => name.clone(),
        (false, None) => usual_name(row),
    };
    is_off(picture, &name).then(|| format!("\"{name}\" is off in this job already"))
}

fn is_off(picture: &Picture, name: &str) -> bool {
    let live = &picture.now.live;
    let thing = picture.case.kernel.find(name);
    thing.is_some_and(|thing| live.open.has(thing) && !live.not_recorded.has(thing))
}

/// The rows of one part, or fixings alone that stand together.
struct Group<'a> {
    part: Option<&'a str>,
    rows: Vec<Stood<'a>>,
}

fn group<'a>(groups: &mut Vec<Group<'a>>, row: &'a Row, stands: RowStands) {
    let part = part_of(row);
    let last = groups.len().saturating_sub(1);
    let mut all = groups.iter_mut().enumerate();
    let own = all.find(|(number, group)| match part {
        Some(_) => group.part == part,
        None => group.part.is_none() && *number == last && group.rows[0].0.place == row.place,
    });
    match own {
        Some((_, group)) => group.rows.push((row, stands)),
        None => groups.push(Group { part, rows: vec![(row, stands)] }),
    }
}

impl Group<'_> {
    /// One entry for each place: the last one has the part, those before it its other fixings.
    fn handfuls(&self, entries: &mut Entries, taken: &mut BTreeSet<String>, comes_off: bool) {
        let part = self.part.filter(|_| comes_off);
        let of_part = self.rows.iter().find(|(row, _)| row.is_part());
        let mut placed = of_part.into_iter().chain(&self.rows);
        let main = placed.find_map(|(row, _)| row.place.clone());
        let spot = |row: &Row| row.place.clone().or_else(|| main.clone());
        let mut by_place: Vec<(Option<String>, Vec<&Stood<'_>>)> = Vec::new();
        for pair in self.rows.iter().filter(|(row, _)| !row.is_part()) {
            let spot = spot(pair.0);
            match by_place.iter_mut().find(|(known, rows)| *known == spot && rows.len() < KINDS_MAX)
            {
                Some((_, rows)) => rows.push(pair),
                None => by_place.push((spot, vec![pair])),
            }
        }
        let own = by_place.iter().rposition(|(spot, _)| *spot == main);
        let own = own.map(|at| by_place.remove(at).1).unwrap_or_default();
        for (spot, rows) in by_place {
            entries.handfuls.push(handful(None, spot, &rows, taken));
        }
        for (row, _) in &self.rows {
            if row.parts.len() > 1 {
                let why = format!("that it holds the {} as well", row.parts[1..].join(" and the "));
                entries.left_out.push(LeftOut { line: row.line, why });
            }
            if row.minutes.is_some() {
                let why = "the minutes; lastbolt begin --list keeps those".to_owned();
                entries.left_out.push(LeftOut { line: row.line, why });
            }
        }
        if part.is_some() || !own.is_empty() {
            let mut last = handful(part, main.clone(), &own, taken);
            if let Some((row, _)) = of_part {
                last.lines.insert(0, row.line);
                last.say(row, part.unwrap_or_default());
            }
            entries.handfuls.push(last);
        }
    }
}

impl Handful {
    fn say(&mut self, row: &Row, name: &str) {
        self.tools.extend(row.tool.iter().map(|tool| (name.to_owned(), tool.clone())));
        self.notes.extend(row.note.iter().map(|note| (name.to_owned(), note.clone())));
    }
}

fn handful(
    part: Option<&str>,
    spot: Option<String>,
    rows: &[&Stood<'_>],
    taken: &mut BTreeSet<String>,
) -> Handful {
    let mut handful = Handful { spot, ..Handful::default() };
    let mut kinds = Vec::new();
    for (row, stands) in rows {
        handful.lines.push(row.line);
        // What a tool or words are said of has to have a name; else it gets the usual one.
        let is_said = row.tool.is_some() || row.note.is_some();
        let name = row.name.clone().or_else(|| is_said.then(|| unique(&usual_name(row), taken)));
        if let Some(name) = &name {
            handful.say(row, name);
        }
        let kind = row.kind.clone().unwrap_or_else(|| "fixing".to_owned());
        let named = row.name.as_ref().map_or(String::new(), |name| format!(" ({name})"));
        let (stands, word) = match stands {
            RowStands::Slack => (Stands::Slack, " slack"),
            RowStands::ByHand => (Stands::ByHand, " in by hand"),
            _ => (Stands::Off, ""),
        };
        kinds.push(format!("{}{word}{named}", words::pieces(row.count, &kind)));
        let count = (row.count != 1).then_some(row.count);
        handful.more.ties.push(TookTie { kind, count, name, stands });
    }
    let named = part.map(|part| TookPart { name: Some(part.to_owned()), ..TookPart::default() });
    handful.more.part = named;
    let kinds = kinds.join(", ");
    handful.text = match (part, kinds.as_str()) {
        (Some(part), "") => format!("{} off", words::large(part)),
        (Some(part), kinds) => format!("{} off: {kinds}", words::large(part)),
        (None, kinds) => format!("Undone: {kinds}"),
    };
    handful
}
