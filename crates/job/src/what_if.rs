//! What ifs in the words of the trade: wishes by name, "and that too", the ways in as rows.

use std::collections::BTreeSet;

use lastbolt_machine::model::Back;
use lastbolt_machine::{At, Kernel, Kind, Machine, Minutes, Ref, SpotNo, ThingNo, ToolNo, Way};
use lastbolt_order::{Action, More, Plan, WayIn, Wish};

use crate::case::JobModel;
use crate::plan_view::plan_view;
use crate::words::about;

/// Wishes by name, as a person gives them besides the job file.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Wishes {
    /// Things to leave alone.
    pub leave: Vec<String>,
    /// Tools that are not there.
    pub without: Vec<String>,
    /// Places not to work from.
    pub not_from: Vec<String>,
}

impl Wishes {
    /// Says whether nothing is wished.
    pub fn is_empty(&self) -> bool {
        self.leave.is_empty() && self.without.is_empty() && self.not_from.is_empty()
    }
}

impl JobModel {
    /// Gives the same job without the wishes of its file.
    #[must_use]
    pub fn free(&self) -> Self {
        let mut model = self.clone();
        model.job.leave_alone.clear();
        model.job.without_tools.clear();
        model.job.not_from.clear();
        model
    }

    /// Gives the same job with these renewed too (a condition is brought about).
    #[must_use]
    pub fn with_also(&self, names: &[String]) -> Self {
        let mut model = self.clone();
        for name in names {
            let is_condition = model.machine.preps.iter().any(|prep| prep.id.name() == name)
                || name.ends_with(" set up");
            let job = &mut model.job;
            let list = if is_condition { &mut job.bring } else { &mut job.renew };
            if !list.iter().any(|known| known.name() == name) {
                list.push(Ref::bare(name.clone()));
            }
        }
        model
    }

    /// Gives the wishes of the job file, then those given besides, each with its place in the
    /// file (line 0 where it stands in none). Names that the machine has not are left out: they
    /// rule nothing out.
    pub fn wishes(&self, kernel: &Kernel, besides: &Wishes) -> Vec<(Wish, At)> {
        let bare = |names: &[String]| names.iter().map(Ref::bare).collect::<Vec<_>>();
        let leave = self.job.leave_alone.iter().cloned().chain(bare(&besides.leave));
        let without = self.job.without_tools.iter().cloned().chain(bare(&besides.without));
        let not_from = self.job.not_from.iter().cloned().chain(bare(&besides.not_from));
        let tool = |name: &str| kernel.tools.iter().position(|t| t == name).map(ToolNo);
        let spot = |name: &str| kernel.spots.iter().position(|s| s == name).map(SpotNo);
        let leave =
            leave.filter_map(|name| Some((Wish::Leave(kernel.find(name.name())?), name.at)));
        let without = without.filter_map(|name| Some((Wish::Without(tool(name.name())?), name.at)));
        let not_from =
            not_from.filter_map(|name| Some((Wish::NotFrom(spot(name.name())?), name.at)));
        leave.chain(without).chain(not_from).collect()
    }
}

/// One way in, as a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayRow {
    /// The places that it works from, in the order of use.
    pub from: Vec<String>,
    /// Minutes of the whole job by it.
    pub minutes: Minutes,
    /// Whether no quicker order by it is left.
    pub proved: bool,
    /// Nothing by it can take fewer minutes than this.
    pub bound: Minutes,
    /// The parts that come off.
    pub off: Vec<String>,
    /// What may break, with the words of the file: "tray clips (likely)".
    pub breaks: Vec<String>,
    /// What has to be bought new.
    pub renews: Vec<String>,
    /// Cautions on the way, each once.
    pub cautions: Vec<String>,
    /// What was ruled out to find it; nothing for the best.
    pub without: Wishes,
}

/// Gives a way in as a row; `model` is what its kernel was compiled from, but for wishes.
pub fn way_row(model: &JobModel, way: &WayIn) -> WayRow {
    let (kernel, plan) = (&way.kernel, &way.plan);
    let view = plan_view(model, kernel, plan);
    let steps = || view.strip.iter().chain(&view.build);
    let is_part = |&thing: &ThingNo| {
        kernel.thing(thing).kind == Kind::Part && !kernel.open_at_start.has(thing)
    };
    let mut without = Wishes::default();
    for wish in &way.ruled_out {
        match *wish {
            Wish::Leave(thing) => without.leave.push(kernel.name(thing).to_owned()),
            Wish::Without(tool) => without.without.push(kernel.tools[tool.0].clone()),
            Wish::NotFrom(spot) => without.not_from.push(kernel.spots[spot.0].clone()),
        }
    }
    WayRow {
        from: once(steps().filter_map(|step| step.line.from.clone())),
        minutes: plan.minutes,
        proved: plan.proved,
        bound: plan.bound,
        off: plan.off.iter().filter(is_part).map(|t| kernel.name(t).to_owned()).collect(),
        breaks: breaks(&model.machine, kernel, plan),
        renews: once(view.to_buy.iter().map(|buy| buy.what.clone())),
        cautions: once(steps().flat_map(|step| &step.cautions).map(|c| c.text.clone())),
        without,
    }
}

/// What may break in a plan, each once: "tray clips (likely)".
fn breaks(machine: &Machine, kernel: &Kernel, plan: &Plan) -> Vec<String> {
    let steps = plan.strip.iter().chain(&plan.build);
    once(steps.filter_map(|step| {
        let thing = kernel.thing(step.thing);
        let opens = matches!(step.action, Action::Off | Action::Undo | Action::Prep);
        let way = if opens { &thing.ways } else { &thing.back }.get(step.way)?;
        let chance = breaks_of(machine, way.at)?;
        let chance = match chance.parse::<f64>() {
            Ok(share) => format!("about {} in 100", (share * 100.0).round()),
            Err(_) => chance.to_owned(),
        };
        Some(format!("{} ({chance})", thing.name))
    }))
}

/// What the file says of breaking at the place where a manner of working is written.
fn breaks_of(machine: &Machine, at: At) -> Option<&str> {
    let parts = machine.parts.iter().flat_map(|part| written(&part.ways, &part.back));
    let ties = machine.ties.iter().flat_map(|tie| written(&tie.ways, &tie.back));
    parts.chain(ties).find(|way| way.at == at && at.line > 0)?.breaks.as_ref().map(Ref::name)
}

fn written<'a>(ways: &'a Option<Vec<Way>>, back: &'a Back) -> impl Iterator<Item = &'a Way> {
    let back = match back {
        Back::Ways(back) => back.as_slice(),
        _ => &[],
    };
    ways.iter().flatten().chain(back)
}

fn once(texts: impl Iterator<Item = String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    texts.filter(|text| seen.insert(text.clone())).collect()
}

/// What something adds, in words: "about 20 min more", "nothing more", "between 0 and 1 h more".
pub fn more_words(more: &More) -> String {
    let plain = |minutes: Minutes| match about(minutes).strip_prefix("about ") {
        Some(plain) => plain.to_owned(),
        None => "nothing".to_owned(),
    };
    let adds = |minutes: Minutes| match minutes {
        Minutes::ZERO => "nothing more".to_owned(),
        minutes => format!("{} more", about(minutes)),
    };
    match (more.minutes, more.at_most) {
        (Some(minutes), _) if more.proved => adds(minutes),
        (Some(minutes), Some(most)) => format!(
            "{} by the best found (between {} and {} more)",
            adds(minutes),
            plain(more.at_least),
            plain(most)
        ),
        _ if more.at_least == Minutes::ZERO => "not known; no order was found yet".to_owned(),
        _ => format!("at least {} more; no order was found yet", plain(more.at_least)),
    }
}
