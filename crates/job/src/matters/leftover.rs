//! Pieces in hand at the end: where they may belong, by kind, size, count and bag.

use lastbolt_ledger::{Look, Standing};
use lastbolt_machine::{Kind, ThingNo};

use crate::advance::Now;
use crate::case::{Book, Case};
use crate::matters::counted::same_kind;
use crate::matters::put_back::bag;
use crate::tell::Tell;
use crate::view::{LeftoverLine, Leftovers};
use crate::words;

/// The most places that a sentence names.
const NAMED_MAX: usize = 3;
/// The most places that are listed.
const LINES_MAX: usize = 8;

/// Tells where pieces that are over may belong: to what was recorded home and is of that kind,
/// size and bag, the likeliest first. `count` is how many are over, 0 counts as 1.
pub fn leftovers(case: &Case, now: &Now, kind: &str, size: Option<&str>, count: u32) -> Leftovers {
    let tell = Tell { case, live: &now.live, kept: &now.kept };
    let over = Over { tell, now, kind, size: size.map(tidy).filter(|s| !s.is_empty()), count };
    let mut home: Vec<(i32, ThingNo)> = Vec::new();
    let mut still_off = Vec::new();
    for thing in case.kernel.all().filter(|&thing| over.is_of_that_kind(thing)) {
        if now.live.open.has(thing) || now.live.loose.has(thing) {
            still_off.push(over.line(thing));
        } else if now.live.disturbed.has(thing) {
            home.push((over.likelihood(thing), thing));
        }
    }
    home.sort_by_key(|&(likely, thing)| {
        (std::cmp::Reverse(likely), tell.tag_number(thing).unwrap_or(u32::MAX), thing)
    });
    home.truncate(LINES_MAX);
    let best = home.first().map_or(0, |&(likely, _)| likely);
    let named = home.iter().take_while(|&&(likely, _)| likely == best).count();
    let lines: Vec<LeftoverLine> = home.iter().map(|&(_, thing)| over.line(thing)).collect();
    Leftovers { text: over.sentence(&lines, named, &still_off), lines, still_off }
}

struct Over<'a> {
    tell: Tell<'a>,
    now: &'a Now,
    kind: &'a str,
    size: Option<String>,
    count: u32,
}

impl Over<'_> {
    fn is_of_that_kind(&self, thing: ThingNo) -> bool {
        let book = Book::of(self.tell.case);
        let kernel = book.kernel;
        let is_kind = kernel.thing(thing).kind == Kind::Tie
            && !kernel.leave_off.has(thing)
            && same_kind(book.kind(thing), self.kind);
        // A size that is known to be another one rules a thing out.
        let fits = match (&self.size, self.size_of(thing)) {
            (Some(asked), Some(size)) => is_size(&size, asked),
            _ => true,
        };
        is_kind && fits
    }

    /// The size of a fixing as far as anybody said: on the job, or as thread in the file.
    fn size_of(&self, thing: ThingNo) -> Option<String> {
        let book = Book::of(self.tell.case);
        let said = self.now.matters.fact(book.kernel.name(thing), "size").map(tidy);
        said.or_else(|| book.sizes(thing).map(|text| tidy(&text)))
    }

    fn likelihood(&self, thing: ThingNo) -> i32 {
        let known = self.size.is_some() && self.size_of(thing).is_some();
        let all = Book::of(self.tell.case).count(thing);
        let enough = i32::from(all >= self.count.max(1));
        let reasons = i32::try_from(self.why(thing).len()).unwrap_or(0);
        10 * i32::from(known) + 3 * reasons + enough
    }

    /// What makes it likely that a piece was left out.
    fn why(&self, thing: ThingNo) -> Vec<String> {
        let (kernel, live) = (&self.tell.case.kernel, self.tell.live);
        let it = kernel.thing(thing);
        let passed = matches!(live.look(kernel, thing), Some(Look::PassedBy { .. }));
        let looked = matches!(live.look(kernel, thing), Some(Look::Looked { .. }));
        let standing = live.mark(kernel, thing).map(|mark| mark.standing);
        let all = [
            (it.ways.iter().chain(&it.back).any(|way| way.feel), "done by feel"),
            (passed, "its look was passed by"),
            (live.made_unseen.has(thing) && !looked, "done without seeing it"),
            (self.now.matters.partly.contains(&it.name), "done in parts"),
            (standing == Some(Standing::NotMeasured), "not measured"),
        ];
        all.iter().filter(|(is, _)| *is).map(|(_, why)| (*why).to_owned()).collect()
    }

    fn bag_of(&self, thing: ThingNo) -> Option<String> {
        let book = Book::of(self.tell.case);
        let said = self.now.matters.fact(book.kernel.name(thing), "bag").map(bag);
        let label = book.facts(thing).and_then(|facts| facts.label.as_ref());
        let label = label.map(|label| &label.value).filter(|it| it.to_lowercase().contains("bag"));
        said.or_else(|| label.cloned())
    }

    fn line(&self, thing: ThingNo) -> LeftoverLine {
        let bag = self.bag_of(thing);
        let text = self.tell.counted(thing);
        LeftoverLine {
            thing: self.tell.name(thing).to_owned(),
            text: match &bag {
                Some(bag) => format!("{text}, {bag}"),
                None => text,
            },
            bag,
            why: self.why(thing),
            tag: self.tell.tag(thing),
        }
    }

    /// "One M6 x 20 over: probably bag 7 or 12."
    fn sentence(&self, lines: &[LeftoverLine], named: usize, off: &[LeftoverLine]) -> String {
        let what = self.size.clone().unwrap_or_else(|| match self.count {
            0 | 1 => self.kind.to_owned(),
            _ if self.kind.ends_with('s') => self.kind.to_owned(),
            _ => words::plural(self.kind),
        });
        let number = if self.count <= 1 { "One".to_owned() } else { self.count.to_string() };
        let mut text = format!("{number} {what} over: ");
        text.push_str(&match named {
            0 => "nothing that is recorded home is of that kind. Look at what was never recorded."
                .to_owned(),
            1..=NAMED_MAX => format!("probably {}.", self.places(&lines[..named])),
            _ => format!("one of {named}, none likelier than the others: see the list."),
        });
        if !off.is_empty() {
            let names: Vec<String> = off.iter().map(|line| line.thing.clone()).collect();
            text.push_str(&format!(" Still to go home anyway: {}.", words::and(&names)));
        }
        text
    }

    /// "bag 7 or 12", "the starter screws or the shield screws".
    fn places(&self, lines: &[LeftoverLine]) -> String {
        let mut places: Vec<String> = Vec::new();
        for line in lines {
            let place = line.bag.clone().unwrap_or_else(|| format!("the {}", line.thing));
            if !places.contains(&place) {
                places.push(place);
            }
        }
        let all_bags = places.iter().all(|place| place.starts_with("bag "));
        for place in places.iter_mut().skip(1).filter(|_| all_bags) {
            *place = place.trim_start_matches("bag ").to_owned();
        }
        match places.split_last() {
            Some((last, first)) if !first.is_empty() => {
                format!("{} or {last}", first.join(", "))
            }
            _ => places.concat(),
        }
    }
}

/// Whether a size as known, perhaps several of them, is the one asked for as far as it goes:
/// "M6" is any M6, and a fixing of which only the thread is known may have any length.
fn is_size(known: &str, asked: &str) -> bool {
    let begins = |long: &str, short: &str| {
        long.strip_prefix(short).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    let mut sizes: Vec<&str> = known.split(',').map(str::trim).collect();
    let is_thread = |size: &&str| !size.contains(' ');
    if sizes.iter().any(|size| !is_thread(size)) {
        sizes.retain(|size| !is_thread(size));
    }
    sizes.iter().any(|size| begins(size, asked) || (is_thread(size) && begins(asked, size)))
}

/// "m6 × 20" and "M6x20" are the same size: "M6 x 20".
fn tidy(size: &str) -> String {
    let bare: String = size.chars().filter(|c| !c.is_whitespace()).collect();
    let bare = bare.replace(['×', 'X', '*'], "x");
    let bare = match bare.strip_prefix('m') {
        Some(rest) => format!("M{rest}"),
        None => bare,
    };
    bare.replace('x', " x ")
}

#[cfg(test)]
mod tests {
    use super::{is_size, tidy};

    #[test]
    fn sizes_are_read_as_they_are_said() {
        for text in ["M6 x 20", "m6x20", "M6 × 20", " M6 X 20 "] {
            assert_eq!(tidy(text), "M6 x 20");
        }
        assert_eq!(tidy("M8"), "M8");
        assert_ne!(tidy("M6x25"), tidy("M6x20"));
    }

    #[test]
    fn sizes_match_as_far_as_they_are_known() {
        let known = tidy("M12, M12x55, M12x80 threaded head");
        assert!(is_size(&known, "M12 x 55") && is_size(&known, "M12") && is_size("M12", "M12 x 9"));
        assert!(!is_size(&known, "M12 x 5") && !is_size(&known, "M1") && !is_size("M8", "M12"));
    }
}
