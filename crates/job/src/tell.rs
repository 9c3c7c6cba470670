//! Short texts about one thing: its name with its pieces, how it stands, where it is, its tag.

use lastbolt_ledger::{Look, Standing};
use lastbolt_machine::{End, Kind, ThingNo};

use crate::case::{Book, Case};
use crate::kept::KeptPlan;
use crate::live::Live;
use crate::view::{OpenLine, Tag, TagFill, TagShape, ThingRef, ThingSort};
use crate::walk::covered_by;
use crate::words;

/// Tells about things of a case as they stand.
#[derive(Clone, Copy)]
pub(crate) struct Tell<'a> {
    pub(crate) case: &'a Case,
    pub(crate) live: &'a Live,
    pub(crate) kept: &'a KeptPlan,
}

impl<'a> Tell<'a> {
    pub(crate) fn name(self, thing: ThingNo) -> &'a str {
        self.case.kernel.name(thing)
    }

    pub(crate) fn sort(self, thing: ThingNo) -> ThingSort {
        match self.case.kernel.thing(thing).kind {
            Kind::Part => ThingSort::Part,
            Kind::Tie => ThingSort::Fixing,
            Kind::Prep => ThingSort::MakeReady,
        }
    }

    /// "cowl", "cowl latches (2 clips)"; a single piece needs no number.
    pub(crate) fn counted(self, thing: ThingNo) -> String {
        let book = Book::of(self.case);
        let (name, count) = (self.name(thing), book.count(thing));
        if count == 1 {
            name.to_owned()
        } else {
            format!("{name} ({})", words::pieces(count, book.kind(thing)))
        }
    }

    /// The word for open: "off" for parts, "undone" for fixings, "in force" for conditions.
    pub(crate) fn open_word(self, thing: ThingNo) -> &'static str {
        match self.case.kernel.thing(thing).kind {
            Kind::Part => "off",
            Kind::Tie => "undone",
            Kind::Prep => "in force",
        }
    }

    /// How a thing stands, in a word or two.
    pub(crate) fn stands(self, thing: ThingNo) -> &'static str {
        let (kernel, live) = (&self.case.kernel, self.live);
        let kind = kernel.thing(thing).kind;
        if live.not_recorded.has(thing) {
            return "not recorded";
        }
        let standing =
            live.mark(kernel, thing).map(|m| m.standing_of(Book::of(self.case).count(thing)));
        match (standing, live.open.has(thing)) {
            (Some(Standing::ByHand), _) => "in by hand",
            (Some(Standing::Started), _) => "started",
            (Some(Standing::Slack), _) => "slack",
            _ if live.loose.has(thing) => "partly out",
            (_, true) if kind == Kind::Prep => "in force",
            (_, true) if kind == Kind::Part && self.hangs(thing) => "hung aside",
            (_, true) => "off",
            _ if kind == Kind::Prep => "not in force",
            (Some(Standing::NotMeasured), _) => "home, not measured",
            _ => "home",
        }
    }

    /// Whether a part that is off still hangs on something (R8).
    pub(crate) fn hangs(self, part: ThingNo) -> bool {
        let stays = &self.case.kernel.thing(part).stays;
        stays.iter().any(|&tie| !self.live.open.has(tie))
    }

    /// Where a thing is, in words.
    pub(crate) fn place(self, thing: ThingNo) -> Option<String> {
        let kernel = &self.case.kernel;
        let it = kernel.thing(thing);
        let mut parts = Vec::new();
        if it.kind == Kind::Tie {
            let ends: Vec<String> = it
                .joins
                .iter()
                .map(|end| match *end {
                    End::Fixed(fixed) => kernel.fixed[fixed].clone(),
                    End::Part(part) => kernel.name(part).to_owned(),
                })
                .collect();
            match ends.len() {
                0 => {}
                1 => parts.push(format!("on {}", ends[0])),
                _ => parts.push(format!("between {}", words::and(&ends))),
            }
        } else if let Some(carrier) = it.rides {
            parts.push(format!("on {}", kernel.name(carrier)));
        }
        let best = it.ways.iter().min_by_key(|way| way.minutes);
        if let Some(spot) = best.and_then(|way| way.spot) {
            parts.push(match kernel.spots[spot.0].as_str() {
                "bench" => "at the bench".to_owned(),
                name => format!("from {name}"),
            });
        }
        let covers = covered_by(kernel, thing, &self.live.open);
        if let Some(&cover) = covers.first() {
            parts.push(format!("behind {}", kernel.name(cover)));
        }
        (!parts.is_empty()).then(|| parts.join(", "))
    }

    pub(crate) fn tag_number(self, thing: ThingNo) -> Option<u32> {
        self.kept.tags.get(self.name(thing)).copied()
    }

    pub(crate) fn tag(self, thing: ThingNo) -> Option<Tag> {
        let number = self.tag_number(thing)?;
        let shape = match self.case.kernel.thing(thing).kind {
            Kind::Tie => words::shape(Book::of(self.case).kind(thing)),
            _ => TagShape::Plain,
        };
        Some(Tag { number, shape, fill: self.fill(thing) })
    }

    fn fill(self, thing: ThingNo) -> TagFill {
        let kernel = &self.case.kernel;
        if self.live.open.has(thing) || self.live.loose.has(thing) {
            return TagFill::Hollow;
        }
        let to_look_at = !kernel.thing(thing).hidden_by.is_empty()
            && self.live.disturbed.has(thing)
            && !self.live.made_unseen.has(thing);
        let looked = matches!(self.live.look(kernel, thing), Some(Look::Looked { .. }));
        if to_look_at && !looked { TagFill::Half } else { TagFill::Filled }
    }

    /// "cowl", with its tag, so that it can be tapped.
    pub(crate) fn reference(self, thing: ThingNo) -> ThingRef {
        ThingRef {
            thing: self.name(thing).to_owned(),
            text: self.counted(thing),
            tag: self.tag_number(thing),
        }
    }

    /// A line of what is open.
    pub(crate) fn open_line(self, thing: ThingNo, stands: &str) -> OpenLine {
        let pieces = self.live.pieces_open(self.case, thing);
        let count = Book::of(self.case).count(thing);
        let of = if pieces > 0 && pieces < count {
            format!(" ({pieces} of {count})")
        } else {
            String::new()
        };
        OpenLine {
            thing: self.name(thing).to_owned(),
            text: format!("{}: {stands}{of}", self.counted(thing)),
            stands: stands.to_owned(),
            place: self.place(thing),
            pieces,
            tag: self.tag(thing),
        }
    }
}
