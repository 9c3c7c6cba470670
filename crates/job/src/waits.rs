//! Waits that run by themselves. A number of minutes is shown only where it is the maker's: by a
//! word of the machine file, or because somebody said so. Any other wait runs without one.

use lastbolt_ledger::{Mark, Tick};
use lastbolt_machine::{Kind, Minutes, ThingNo};

use crate::case::{Book, Written};
use crate::day::open_beads;
use crate::live::Live;
use crate::tell::Tell;
use crate::view::WaitLine;
use crate::walk::Todo;
use crate::words;

/// The point that is answered with the maker's minutes, or with [`OVER`].
pub(crate) const POINT: &str = "ready.wait";
/// The answer that ends a wait.
pub(crate) const OVER: &str = "over";
/// The most minutes that an answer may have \[min\].
const MINUTES_MAX: f64 = 10_000.0;
/// By these words a note says that the minutes of the file are the maker's.
const MAKERS: [&str; 4] = ["maker's wait", "maker’s wait", "maker's minutes", "maker’s minutes"];

/// Minutes that the file says are the maker's: its note has the words "maker's wait".
pub(crate) fn of_file(book: Book<'_>, thing: ThingNo) -> Option<Minutes> {
    let note = match book.written(thing) {
        Written::Prep(prep) => prep.note.as_ref(),
        Written::Tie(tie) => tie.facts.note.as_ref(),
        _ => None,
    }?;
    let says = MAKERS.iter().any(|words| note.name().to_lowercase().contains(words));
    let minutes = unattended(book, thing);
    (says && minutes > Minutes::ZERO).then_some(minutes)
}

/// Minutes that the file wants, whoever they are from.
pub(crate) fn unattended(book: Book<'_>, thing: ThingNo) -> Minutes {
    let it = book.kernel.thing(thing);
    match it.kind {
        Kind::Prep => it.wait,
        Kind::Tie => it.sets,
        Kind::Part => Minutes::ZERO,
    }
}

/// What is said of the wait after a step: "about 15 min, the maker's" or in words only.
pub(crate) fn after_step(book: Book<'_>, todo: &Todo) -> Option<String> {
    if book.wait(todo) == Minutes::ZERO {
        return None;
    }
    Some(match of_file(book, todo.thing) {
        Some(minutes) => format!("{}, the maker's", words::about(minutes)),
        None => "as its maker says".to_owned(),
    })
}

/// The answer to how long a wait is: "15", "7,5 min", "1 h".
pub(crate) fn minutes_said(answer: &str) -> Option<Minutes> {
    let answer = answer.trim().to_lowercase().replace(',', ".");
    let digits = answer.trim_end_matches(|c: char| c.is_alphabetic() || c == '.' || c == ' ');
    let unit = answer[digits.len()..].trim().trim_end_matches('.');
    let each = match unit {
        "" | "m" | "min" | "mins" | "minute" | "minutes" => 1.0,
        "h" | "hour" | "hours" | "hrs" | "hr" => 60.0,
        _ => return None,
    };
    let minutes = digits.trim().parse::<f64>().ok()? * each;
    let fits = minutes.is_finite() && minutes > 0.0 && minutes <= MINUTES_MAX;
    #[expect(clippy::cast_possible_truncation, reason = "at most ten million thousandths")]
    fits.then(|| Minutes((minutes * 1000.0).round() as i64))
}

/// A wait as it stands.
pub(crate) struct Wait {
    pub(crate) thing: ThingNo,
    pub(crate) from_ms: i64,
    /// The maker's minutes, where they are known.
    pub(crate) makers: Option<Minutes>,
    /// Somebody said that it is over.
    is_over: bool,
}

impl Wait {
    /// When it is over; none where nobody knows.
    pub(crate) fn until_ms(&self) -> Option<i64> {
        Some(self.from_ms.saturating_add(self.makers?.0.saturating_mul(60)))
    }

    /// Whether it runs.
    pub(crate) fn runs(&self, now_ms: i64) -> bool {
        !self.is_over && self.until_ms().is_none_or(|until_ms| until_ms > now_ms)
    }

    /// The line of it.
    pub(crate) fn line(&self, book: Book<'_>) -> WaitLine {
        let name = book.kernel.name(self.thing);
        let runs = match book.kernel.thing(self.thing).kind {
            Kind::Prep => "runs",
            _ => "sets",
        };
        let how = match self.makers {
            Some(minutes) => format!("{runs} {minutes} min, the maker's"),
            None => format!("{runs} as long as its maker says"),
        };
        WaitLine {
            thing: name.to_owned(),
            text: format!("{}: {how}", words::large(name)),
            from_ms: self.from_ms,
            until_ms: self.until_ms(),
        }
    }
}

/// The wait of a thing that is in force (or made, where it sets), over or not.
pub(crate) fn of_thing(book: Book<'_>, live: &Live, thing: ThingNo) -> Option<Wait> {
    let it = book.kernel.thing(thing);
    let mark = live.mark(book.kernel, thing)?;
    let begun = match it.kind {
        Kind::Prep => live.open.has(thing),
        Kind::Tie => !live.open.has(thing),
        Kind::Part => false,
    };
    let tick = live.state.ticks.get(&(POINT.to_owned(), Some(it.name.clone())));
    let said = tick.and_then(|tick| minutes_said(&tick.answer));
    let is_wait = unattended(book, thing) > Minutes::ZERO || said.is_some();
    (begun && is_wait).then(|| Wait {
        thing,
        from_ms: mark.said_at_ms,
        makers: said.or_else(|| of_file(book, thing)),
        is_over: tick.is_some_and(|tick| says_over(tick, mark)),
    })
}

/// "Over" counts for the time that is running, not for an earlier one.
fn says_over(tick: &Tick, mark: &Mark) -> bool {
    tick.answer == OVER && tick.seq > mark.by
}

/// All waits that run, and sealant that must be closed before it sets.
pub(crate) fn running(tell: Tell<'_>, now_ms: i64) -> Vec<WaitLine> {
    let book = Book::of(tell.case);
    let all = book.kernel.all().filter_map(|thing| of_thing(book, tell.live, thing));
    let waits = all.filter(|wait| wait.runs(now_ms)).map(|wait| wait.line(book));
    let beads = open_beads(book, tell.live).into_iter();
    waits
        .chain(beads.filter(|(_, until)| *until > now_ms).map(|bead| bead_line(book, bead)))
        .collect()
}

/// The open time of sealant, as the file has it.
fn bead_line(book: Book<'_>, (thing, until_ms): (ThingNo, i64)) -> WaitLine {
    let minutes = book.kernel.thing(thing).open_minutes.unwrap_or_default();
    let name = book.kernel.name(thing);
    WaitLine {
        thing: name.to_owned(),
        text: format!("sealant on {name}: last screw by then, no break ({minutes} min)"),
        from_ms: until_ms.saturating_sub(minutes.0.saturating_mul(60)),
        until_ms: Some(until_ms),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A wait is read from what a person types.
    #[test]
    fn minutes_are_read_as_they_are_written() {
        let said = |text: &str| minutes_said(text).map(|minutes| minutes.0);
        assert_eq!(said("15"), Some(15_000));
        assert_eq!(said(" 7,5 min"), Some(7_500));
        assert_eq!(said("1 h"), Some(60_000));
        assert_eq!(said("10 Minutes"), Some(10_000));
        for wrong in ["", "over", "ask", "0", "-3", "1e9", "nan", "inf", "15 km", "a lot", "1.2.3"]
        {
            assert_eq!(said(wrong), None, "{wrong}");
        }
    }
}
