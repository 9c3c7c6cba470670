//! Spots, preps, parts and ties.

use lastbolt_machine::model::{Facts, Fluid, Missed};
use lastbolt_machine::{Part, Prep, Ref, Spot, Tie, Value};

use crate::fields::{Fields, Found};
use crate::keys;
use crate::limits::LIST_MAX;
use crate::tree::{Data, Entry};
use crate::ways::chance;

pub(crate) fn spot(found: &mut Found, id: Ref, entries: &[Entry]) -> Spot {
    let whose = format!("The place \"{}\" ([spot])", id.name());
    let mut fields = Fields::new(found, &whose, entries, keys::SPOT);
    Spot {
        setup: fields.minutes("setup"),
        pack: fields.minutes("pack"),
        reach: fields.minutes("reach"),
        needs: fields.names("needs"),
        not_with: fields.names("not_with"),
        cautions: fields.texts("cautions"),
        hazards: fields.names("hazards"),
        id,
    }
}

pub(crate) fn prep(found: &mut Found, id: Ref, entries: &[Entry]) -> Prep {
    let whose = format!("The condition \"{}\" ([prep])", id.name());
    let mut fields = Fields::new(found, &whose, entries, keys::PREP);
    Prep {
        ways: fields.ways("ways"),
        back: fields.prep_back(),
        wait: fields.minutes("wait"),
        needs: fields.names("needs"),
        fluid: fluid(&mut fields),
        who: fields.text("who"),
        cautions: fields.texts("cautions"),
        hazards: fields.names("hazards"),
        ask: fields.text("ask"),
        note: fields.text("note"),
        id,
    }
}

pub(crate) fn part(found: &mut Found, id: Ref, entries: &[Entry]) -> Part {
    let whose = format!("The part \"{}\"", id.name());
    let mut fields = Fields::new(found, &whose, entries, keys::PART);
    Part {
        ways: fields.ways("ways"),
        back: fields.back(),
        rides: fields.name("rides"),
        stays: fields.names("stays"),
        needs: fields.names("needs"),
        kg: fields.kg("kg"),
        awkward: fields.flag("awkward"),
        people: fields.count("people"),
        who: fields.text("who"),
        renew: fields.texts("renew"),
        open_minutes: fields.minutes("open_minutes"),
        after: fields.name("after"),
        facts: facts(&mut fields, true),
        cautions: fields.texts("cautions"),
        hazards: fields.names("hazards"),
        price: fields.price("price"),
        lead_days: fields.amount("lead_days"),
        life: fields.table("life"),
        id,
    }
}

pub(crate) fn tie(found: &mut Found, id: Ref, entries: &[Entry]) -> Tie {
    let whose = format!("The fixing \"{}\" ([tie])", id.name());
    let mut fields = Fields::new(found, &whose, entries, keys::TIE);
    Tie {
        joins: fields.names("joins"),
        kind: fields.name("kind"),
        count: fields.count("count"),
        ways: fields.ways("ways"),
        back: fields.back(),
        needs: fields.names("needs"),
        hidden_by: fields.names("hidden_by"),
        renew: fields.texts("renew"),
        sets: fields.minutes("sets"),
        open_minutes: fields.minutes("open_minutes"),
        bears: fields.flag("bears"),
        tighten: fields.table("tighten"),
        missed: missed(&mut fields),
        people: fields.count("people"),
        who: fields.text("who"),
        facts: facts(&mut fields, false),
        cautions: fields.texts("cautions"),
        hazards: fields.names("hazards"),
        id,
    }
}

fn facts(fields: &mut Fields<'_>, of_a_part: bool) -> Facts {
    Facts {
        sits: fields.text("sits"),
        wetted: fields.text("wetted"),
        mark: fields.text("mark"),
        support: if of_a_part { fields.text("support") } else { None },
        note: fields.text("note"),
        photo: fields.name("photo"),
        label: fields.name("label"),
    }
}

fn fluid(fields: &mut Fields<'_>) -> Option<Fluid> {
    let node = fields.node("fluid")?;
    let Data::Table(entries) = &node.data else {
        let help = match &node.data {
            Data::Text(text) => format!("Write fluid = {{ name = \"{}\", litres = 1 }}.", text),
            _ => "Write fluid = { name = \"coolant\", litres = 7.5 }.".to_owned(),
        };
        fields.found.wrong_type(node, "fluid", "a name and litres in curly brackets", help);
        return None;
    };
    let mut inner = Fields::new(fields.found, "`fluid`", entries, keys::FLUID);
    let name = inner.name("name");
    let litres = inner.amount("litres");
    if inner.node("name").is_none() {
        let help = "Write fluid = { name = \"coolant\", litres = 7.5 }.";
        inner.found.error(node.at, "missing-key", "This fluid has no `name`.", help);
    }
    let litres = match litres {
        Some(Value::Number(digits)) => digits,
        _ => String::new(),
    };
    Some(Fluid { name: name?.value, litres, at: node.at })
}

fn missed(fields: &mut Fields<'_>) -> Vec<Missed> {
    let help = || "Write missed = [{ symptom = \"...\", chance = \"likely\" }].".to_owned();
    let Some(node) = fields.node("missed") else {
        return Vec::new();
    };
    let Data::List(nodes) = &node.data else {
        fields.found.wrong_type(node, "missed", "a list of { ... }", help());
        return Vec::new();
    };
    let mut all = Vec::new();
    for one in nodes.iter().take(LIST_MAX) {
        let Data::Table(entries) = &one.data else {
            fields.found.wrong_type(one, "missed", "entries in curly brackets", help());
            continue;
        };
        let mut inner = Fields::new(fields.found, "An entry of `missed`", entries, keys::MISSED);
        let symptom = inner.text("symptom");
        let chance = chance(&mut inner, "chance").map(|c| c.value);
        if inner.node("symptom").is_none() {
            inner.found.error(one.at, "missing-key", "This entry has no `symptom`.", help());
        }
        if let Some(symptom) = symptom {
            all.push(Missed { symptom: symptom.value, chance, at: one.at });
        }
    }
    all
}
