//! From a list to a machine file.

use std::collections::BTreeSet;

use lastbolt_files::csv::Row;
use lastbolt_files::write::{quoted, tables};
use lastbolt_machine::model::Facts;
use lastbolt_machine::{At, Part, Ref, Sited, Spot, Tie, Way};

use super::{part_of, unique, usual_name};
use crate::nothing::MACHINE;

/// The place that needs something loose to work on, which a list cannot say.
const BENCH: &str = "bench";

/// Gives the machine file of a list: its parts, fixings and connections with what they hold. What
/// is in front of what, a list does not say: nothing is.
pub fn machine_of_list(machine: &str, rows: &[Row]) -> String {
    let mut taken: BTreeSet<String> = [MACHINE.to_owned()].into();
    taken.extend(rows.iter().flat_map(|row| row.parts.iter().cloned()));
    taken.extend(rows.iter().filter_map(|row| row.name.clone()));
    let mut parts: Vec<Part> = Vec::new();
    let mut ties = Vec::new();
    let mut spots: Vec<Spot> = Vec::new();
    for row in rows {
        for name in row.parts.iter().filter(|name| *name != MACHINE) {
            if !parts.iter().any(|part| part.id.name() == name) {
                parts.push(Part { id: Ref::bare(name.clone()), ..Part::default() });
            }
        }
        let place = row.place.as_ref().filter(|place| *place != BENCH);
        if let Some(place) = place.filter(|p| !spots.iter().any(|spot| spot.id.name() == *p)) {
            spots.push(Spot { id: Ref::bare(place.clone()), ..Spot::default() });
        }
        if row.is_part() {
            let own = parts.iter_mut().find(|part| Some(part.id.name()) == part_of(row));
            if let Some(part) = own {
                part.ways = Some(vec![way(row)]);
                part.facts = facts(row);
            }
        } else {
            ties.push(tie(row, &mut taken));
        }
    }
    let head = format!("machine = {}\nfixed = [{}]\n\n", quoted(machine), quoted(MACHINE));
    let remark = "# From a list: what is in front of what, and hides what, is not said here.\n\n";
    format!("{head}{remark}{}\n", tables(&spots, &parts, &ties).trim_end())
}

fn tie(row: &Row, taken: &mut BTreeSet<String>) -> Tie {
    let parts = row.parts.iter().filter(|part| *part != MACHINE);
    let mut joins: Vec<Ref> = parts.cloned().map(Ref::bare).collect();
    if joins.len() < 2 {
        joins.push(Ref::bare(MACHINE));
    }
    Tie {
        id: Ref::bare(row.name.clone().unwrap_or_else(|| unique(&usual_name(row), taken))),
        kind: row.kind.clone().map(Ref::bare),
        count: Some(Sited::new(row.count, At::default())),
        joins,
        ways: Some(vec![way(row)]),
        facts: facts(row),
        ..Tie::default()
    }
}

fn way(row: &Row) -> Way {
    Way {
        from: row.place.clone().filter(|place| place != BENCH).map(Ref::bare),
        tool: row.tool.clone().map(Ref::bare),
        minutes: row.minutes.map(|minutes| Sited::new(minutes, At::default())),
        ..Way::default()
    }
}

fn facts(row: &Row) -> Facts {
    Facts { note: row.note.clone().map(Ref::bare), ..Facts::default() }
}

#[cfg(test)]
mod tests {
    use lastbolt_files::Source;
    use lastbolt_files::csv::read_list;
    use lastbolt_machine::{FileNo, Level};

    use super::*;
    use crate::read_case;

    /// Whatever is in a list that can be read, the machine file of it can be used.
    #[test]
    fn files_that_can_be_used() {
        let list = read_list(
            "part;kind;count;name;place;tool;minutes;note\n\
             tray;;;;above;;1,5;\"says \"\"up\"\"\"\n\
             tray;nut;3;;above;socket 10;2;\n\
             tray;nut;3;;below;socket 10;2;\n\
             tray + box;clip;1;;bench;;;\n\
             ;earth;1;;;;;\n\
             the machine;plug;1;;;;;\n\
             the machine;;1;;;;;\n\
             ;tray nuts;1;;;;;\n"
                .as_bytes(),
            FileNo(0),
        );
        assert_eq!(list.problems, vec![]);
        let text = machine_of_list("Kelp \"2\"", &list.rows);
        let read = read_case(&[Source::new("m.toml", text.clone())]);
        let read = read.unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
        assert!(read.notes.iter().all(|note| note.level == Level::Note));
        let machine = &read.case.model.machine;
        let names: Vec<&str> = machine.parts.iter().map(|part| part.id.name()).collect();
        assert_eq!(names, ["tray", "box"]);
        let ties: Vec<(&str, usize)> =
            machine.ties.iter().map(|tie| (tie.id.name(), tie.joins.len())).collect();
        let expected = [
            ("tray nuts", 2),
            ("tray nuts 2", 2),
            ("tray clip", 2),
            ("earth", 1),
            ("plug", 1),
            // A kind that is spelled like another's name.
            ("tray nuts 3", 1),
        ];
        assert_eq!(ties, expected, "{text}");
        assert_eq!(machine.parts[0].facts.note.as_ref().map(Ref::name), Some("says \"up\""));
    }
}
