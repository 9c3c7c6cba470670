//! From a job to its list.

use lastbolt_files::csv::{Row, RowStands};
use lastbolt_ledger::Standing;
use lastbolt_machine::model::Facts;
use lastbolt_machine::{Machine, Ref, Way};

use crate::picture::Picture;

/// Gives the list of a job: each part with the fixings and connections that hold it, from where,
/// and how they stand.
pub fn rows(picture: &Picture) -> Vec<Row> {
    let machine = &picture.case.model.machine;
    let lister = Lister { picture, machine };
    let mut rows = Vec::new();
    let mut listed = vec![false; machine.ties.len()];
    for part in &machine.parts {
        rows.push(Row {
            parts: vec![part.id.name().to_owned()],
            ..lister.row(part.id.name(), part.ways.as_deref(), &part.facts)
        });
        for (number, tie) in machine.ties.iter().enumerate() {
            if !listed[number] && tie.joins.iter().any(|on| on.name() == part.id.name()) {
                rows.push(lister.tie(number));
                listed[number] = true;
            }
        }
    }
    let rest = (0..machine.ties.len()).filter(|&number| !listed[number]);
    rows.extend(rest.map(|number| lister.tie(number)));
    rows
}

struct Lister<'a> {
    picture: &'a Picture,
    machine: &'a Machine,
}

impl Lister<'_> {
    fn tie(&self, number: usize) -> Row {
        let tie = &self.machine.ties[number];
        let is_part = |on: &&Ref| self.machine.parts.iter().any(|part| part.id.name() == on.name());
        let parts = tie.joins.iter().filter(is_part);
        // In a list "part" says that a row is the part itself.
        let kind = tie.kind.as_ref().map(Ref::name).filter(|kind| kind.to_lowercase() != "part");
        Row {
            parts: parts.map(|on| on.name().to_owned()).collect(),
            kind: Some(kind.unwrap_or("fixing").to_owned()),
            count: tie.count.as_ref().map_or(1, |count| count.value),
            name: Some(tie.id.name().to_owned()),
            ..self.row(tie.id.name(), tie.ways.as_deref(), &tie.facts)
        }
    }

    fn row(&self, name: &str, ways: Option<&[Way]>, facts: &Facts) -> Row {
        let way = ways.and_then(<[Way]>::first);
        let text = |of: fn(&Way) -> Option<&Ref>| {
            way.and_then(of).map(|text| text.name().to_owned()).filter(|text| !text.is_empty())
        };
        let said = [&facts.sits, &facts.wetted, &facts.mark, &facts.label, &facts.note];
        let said: Vec<&str> = said.into_iter().flatten().map(Ref::name).collect();
        Row {
            count: 1,
            place: text(|way| way.from.as_ref()),
            tool: text(|way| way.tool.as_ref()),
            minutes: way.and_then(|way| way.minutes.as_ref()).map(|minutes| minutes.value),
            note: (!said.is_empty()).then(|| said.join("; ")),
            stands: Some(self.stands(name)),
            ..Row::default()
        }
    }

    fn stands(&self, name: &str) -> RowStands {
        let live = &self.picture.now.live;
        let kernel = &self.picture.case.kernel;
        let Some(thing) = kernel.find(name) else { return RowStands::Home };
        match live.mark(kernel, thing).map(|mark| mark.standing) {
            Some(Standing::Slack) => RowStands::Slack,
            Some(Standing::ByHand | Standing::Started) => RowStands::ByHand,
            _ if live.open.has(thing) => RowStands::Off,
            _ => RowStands::Home,
        }
    }
}
