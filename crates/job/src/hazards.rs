//! Hazards of the work, said at the step where they count: marked in the file or by a person, and
//! besides recognised by words.
//!
//! The sentences come from one reviewed table ([`table::TABLE`]). What the file itself says at a
//! step stays; of the table only that is added which the file does not say already.

use lastbolt_machine::kernel::BENCH;
use lastbolt_machine::{End, Kind, Ref, Spot, ThingNo};

use crate::case::{Book, Written};
use crate::view::{Caution, CautionFrom, StepVerb};
use crate::walk::Todo;

pub(crate) mod mark;
mod table;
pub(crate) mod words;

pub(crate) use table::{Hazard, Pressure, TABLE};
use words::Text;

/// Said once beside what the table says.
pub const MAKER_WINS: &str = "The maker's instructions and local rules win.";

/// Kinds that are electrical: a plug on an injector lets no fuel out.
const ELECTRIC: [&str; 3] = ["plug", "earth", "cable"];
/// Kinds through which something flows: opening one opens what it joins.
const FLOWS: [&str; 8] = [
    "union",
    "banjo",
    "hose",
    "quick joint",
    "push-in",
    "push-in pipe",
    "quick connector",
    "fitting",
];

/// Whether a caution comes from the table.
pub(crate) fn is_of_table(caution: &Caution) -> bool {
    TABLE.iter().any(|hazard| hazard.name == caution.of)
}

/// Whether something flows through fixings and connections of this kind.
pub(crate) fn flows(kind: &str) -> bool {
    FLOWS.contains(&kind)
}

/// Whether a kind is electrical.
pub(crate) fn is_electric(kind: &str) -> bool {
    ELECTRIC.contains(&kind)
}

/// The hazards that a text names.
pub(crate) fn of_text(text: &str) -> Vec<&'static Hazard> {
    let text = Text::of(text);
    TABLE.iter().filter(|hazard| hazard.is_named_by(&text)).collect()
}

impl Hazard {
    /// Whether a text names it.
    pub(crate) fn is_named_by(&self, text: &Text) -> bool {
        let rest = text.without(self.but_not);
        self.words.iter().any(|phrase| rest.has(phrase))
    }

    /// What it says and none of these texts says already; none when all is said.
    pub(crate) fn caution(&self, said: &[&str]) -> Option<String> {
        let said: Vec<Text> = said.iter().map(|text| Text::of(text)).collect();
        let is_said =
            |words: &[&str]| words.iter().any(|word| said.iter().any(|text| text.has(word)));
        let open = self.says.iter().filter(|clause| !is_said(clause.said_by));
        let open: Vec<&str> = open.map(|clause| clause.text).collect();
        let who = self.who.filter(|_| !is_said(self.who_said_by));
        let who = who.map(|who| format!("who may do it: {who}"));
        let all: Vec<&str> = open.into_iter().chain(who.as_deref()).collect();
        (!all.is_empty()).then(|| format!("{}: {}.", self.name, all.join("; ")))
    }

    /// All that it says.
    pub(crate) fn sentence(&self) -> String {
        self.caution(&[]).unwrap_or_default()
    }
}

/// Which hazards these words of a file or a person are.
pub(crate) fn marked(words: &[Ref]) -> impl Iterator<Item = &'static Hazard> {
    words.iter().filter_map(|word| TABLE.iter().find(|hazard| hazard.id == word.name()))
}

impl<'a> Book<'a> {
    /// What the file or a person says that a thing is.
    pub(crate) fn marks(self, thing: ThingNo) -> &'a [Ref] {
        match self.written(thing) {
            Written::Part(part) => &part.hazards,
            Written::Tie(tie) => &tie.hazards,
            Written::Prep(prep) => &prep.hazards,
            Written::SetUp(spot) => &spot.hazards,
        }
    }

    /// The hazards of a place: as marked, by its name and its own cautions.
    pub(crate) fn hazards_of_place(self, spot: &Spot) -> Vec<&'static Hazard> {
        let cautions = spot.cautions.iter().map(Ref::name);
        let words = std::iter::once(spot.id.name()).chain(cautions).collect::<Vec<_>>();
        let text = Text::of(&words.join(" . "));
        let is_it = |hazard: &&Hazard| {
            hazard.is_named_by(&text) || spot.hazards.iter().any(|word| word.name() == hazard.id)
        };
        TABLE.iter().filter(is_it).collect()
    }

    /// The hazards of a thing: as marked, by its name, what flows through it, and its own cautions.
    pub(crate) fn hazards(self, thing: ThingNo) -> Vec<&'static Hazard> {
        let kind = self.kind(thing);
        let own = Text::of(&self.own_words(thing));
        let said: Vec<Text> =
            self.cautions(thing).iter().map(|caution| Text::of(caution.name())).collect();
        let named = |hazard: &&Hazard| {
            let by_name = (hazard.electric || !is_electric(kind)) && hazard.is_named_by(&own);
            let by_mark = self.marks(thing).iter().any(|word| word.name() == hazard.id);
            by_mark || by_name || said.iter().any(|text| hazard.is_named_by(text))
        };
        TABLE.iter().filter(named).collect()
    }

    /// The words by which a thing is known: its name, its kind, what it joins if something flows
    /// through it; of a condition also who does it and how it is asked.
    pub(crate) fn own_words(self, thing: ThingNo) -> String {
        let it = self.kernel.thing(thing);
        let mut words = vec![self.kernel.name(thing).to_owned()];
        match self.written(thing) {
            Written::Tie(_) => {
                let kind = self.kind(thing);
                words.push(kind.to_owned());
                if flows(kind) {
                    words.extend(it.joins.iter().map(|end| match *end {
                        End::Fixed(fixed) => self.kernel.fixed[fixed].clone(),
                        End::Part(part) => self.kernel.name(part).to_owned(),
                    }));
                }
            }
            Written::Prep(prep) => {
                let more = [&prep.ask, &prep.who];
                words.extend(more.into_iter().flatten().map(|text| text.name().to_owned()));
                words.extend(prep.fluid.iter().map(|fluid| fluid.name.clone()));
            }
            Written::Part(_) | Written::SetUp(_) => {}
        }
        // A full stop keeps words of one name from running into the next.
        words.join(" . ")
    }

    /// What the table says at a step, besides what the file says there.
    pub(crate) fn table_cautions(self, todo: &Todo, said: &[Caution]) -> Vec<Caution> {
        let way = todo.kernel_way(self.kernel);
        let mut of_thing = self.hazards(todo.thing);
        let tools = way.map(|way| {
            let tool = way.tool.map(|tool| self.kernel.tools[tool.0].as_str());
            tool.into_iter().chain(way.also.iter().map(String::as_str)).collect::<Vec<_>>()
        });
        for hazard in of_text(&tools.unwrap_or_default().join(" . ")) {
            if !of_thing.iter().any(|other| other.id == hazard.id) {
                of_thing.push(hazard);
            }
        }
        let spot = way.and_then(|way| way.spot).filter(|&spot| spot != BENCH);
        let spot = spot.and_then(|spot| self.spot(spot));
        let place = spot.map(|spot| self.hazards_of_place(spot)).unwrap_or_default();
        let is_set_up = self.kernel.thing(todo.thing).is_set_up;
        let said: Vec<&str> = said.iter().map(|caution| caution.text.as_str()).collect();
        let told = |hazard: &Hazard, from| {
            let text = hazard.caution(&said)?;
            Some(Caution { text, of: hazard.name.to_owned(), from })
        };
        let thing = match self.kernel.thing(todo.thing).kind {
            Kind::Prep => CautionFrom::MakeReady,
            Kind::Part | Kind::Tie => CautionFrom::Thing,
        };
        let mut all: Vec<Caution> = of_thing.iter().filter_map(|h| told(h, thing)).collect();
        let from = if is_set_up { CautionFrom::MakeReady } else { CautionFrom::Spot };
        for hazard in place {
            if !of_thing.iter().any(|other| other.id == hazard.id) {
                all.extend(told(hazard, from));
            }
        }
        all
    }

    /// Everything that is said at a step: by the file, then by the table.
    pub(crate) fn all_cautions(self, todo: &Todo) -> Vec<Caution> {
        if todo.verb == StepVerb::Look {
            return Vec::new();
        }
        let mut all = self.cautions_at(todo);
        all.extend(self.table_cautions(todo, &all));
        all
    }
}

#[cfg(test)]
mod tests;
