//! What this job opens: what was opened so far, and what the list still opens.

use std::collections::BTreeMap;

use lastbolt_machine::{KernelWay, Kind, ThingNo};

use crate::day::Ask;
use crate::hazards;
use crate::walk::Todo;

/// What a job opens, in the order in which it is (or will be) opened, and the list from now on.
pub(crate) struct Wanted {
    pub(crate) things: Vec<ThingNo>,
    pub(crate) list: Vec<Todo>,
}

impl Wanted {
    pub(crate) fn of(ask: &Ask<'_>) -> Self {
        let (kernel, live) = (&ask.picture.case.kernel, &ask.picture.now.live);
        let list = ask.picture.now.kept.todo(kernel);
        let opened = |thing: ThingNo| {
            let mark = live.mark(kernel, thing).filter(|mark| mark.times_opened > 0);
            mark.map(|mark| (mark.disturbed_by.unwrap_or(mark.by), thing))
        };
        let mut so_far: Vec<(u64, ThingNo)> = kernel.all().filter_map(opened).collect();
        so_far.sort();
        let mut seen = kernel.no_things();
        let so_far = so_far.into_iter().map(|(_, thing)| thing);
        let later = list.iter().filter(|todo| todo.verb.opens()).map(|todo| todo.thing);
        let things = so_far.chain(later).filter(|&thing| seen.add(thing)).collect();
        Self { things, list }
    }

    /// The ways by which a thing is opened and closed: those of the list, else the cheapest.
    pub(crate) fn ways<'a>(&self, ask: &Ask<'a>, thing: ThingNo) -> Vec<&'a KernelWay> {
        let kernel = &ask.picture.case.kernel;
        let of_list = |opens: bool| {
            let todo = self.list.iter().find(|t| t.thing == thing && t.verb.opens() == opens);
            todo.and_then(|todo| todo.kernel_way(kernel))
        };
        let it = kernel.thing(thing);
        let off = of_list(true).or_else(|| it.ways.iter().min_by_key(|way| way.minutes));
        let back = of_list(false).or_else(|| it.back.iter().min_by_key(|way| way.minutes));
        off.into_iter().chain(back).collect()
    }

    /// By the id of a hazard: what it counts at, each name once.
    pub(crate) fn hazards(&self, ask: &Ask<'_>) -> BTreeMap<&'static str, Vec<String>> {
        let book = ask.book();
        let mut all: BTreeMap<&'static str, Vec<String>> = BTreeMap::new();
        let mut put = |id: &'static str, name: &str| {
            let at = all.entry(id).or_default();
            if !at.iter().any(|other| other == name) {
                at.push(name.to_owned());
            }
        };
        let mut spots = Vec::new();
        for &thing in &self.things {
            for hazard in book.hazards(thing) {
                put(hazard.id, book.kernel.name(thing));
            }
            for way in self.ways(ask, thing) {
                let tool = way.tool.map(|tool| book.kernel.tools[tool.0].as_str());
                for text in tool.into_iter().chain(way.also.iter().map(String::as_str)) {
                    for hazard in hazards::of_text(text) {
                        put(hazard.id, text);
                    }
                }
                spots.extend(way.spot.filter(|spot| !spots.contains(spot)));
            }
        }
        for spot in spots.into_iter().filter_map(|spot| book.spot(spot)) {
            for hazard in book.hazards_of_place(spot) {
                put(hazard.id, spot.id.name());
            }
        }
        all
    }

    /// Parts among them.
    pub(crate) fn parts(&self, ask: &Ask<'_>) -> Vec<ThingNo> {
        let kernel = &ask.picture.case.kernel;
        let is_part = |thing: &ThingNo| kernel.thing(*thing).kind == Kind::Part;
        self.things.iter().copied().filter(is_part).collect()
    }
}
