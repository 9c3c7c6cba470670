//! Many runs held against the bars.

use super::run::Run;

/// What has to be reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bars {
    /// Legal on the hidden machine, in percent of the runs.
    pub legal: usize,
    /// At most so much dearer than the best, in percent of the best.
    pub dearer: i64,
    /// That in so many percent of the runs.
    pub near: usize,
    /// Looks before the true cover, in percent of the hidden things.
    pub looks: usize,
    /// Questions, in hundredths a thing, over all runs of a tally and in each.
    pub questions: usize,
}

impl Default for Bars {
    /// The bars of the issue: 19 of 20, 10 % in 16 of 20, 95 %, one and a half.
    fn default() -> Self {
        Self { legal: 95, dearer: 10, near: 80, looks: 95, questions: 150 }
    }
}

/// Runs of one engine and style.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// What they are called in the table.
    pub name: String,
    /// The runs.
    pub runs: Vec<Run>,
}

impl Tally {
    /// An empty one.
    pub fn new(name: impl Into<String>) -> Self {
        Self { name: name.into(), runs: Vec::new() }
    }

    /// How many are legal.
    pub fn legal(&self) -> usize {
        self.runs.iter().filter(|run| run.is_legal()).count()
    }

    /// How many are legal and at most so many percent dearer than the best.
    pub fn near(&self, percent: i64) -> usize {
        let near = |run: &&Run| run.dearer().is_some_and(|dearer| dearer <= percent * 10);
        self.runs.iter().filter(near).count()
    }

    /// Hidden things looked at in time, and all of them.
    pub fn looks(&self) -> (usize, usize) {
        let all = || self.runs.iter().flat_map(|run| &run.looks);
        (all().filter(|look| look.in_time).count(), all().count())
    }

    /// Questions in hundredths a thing: over all, and in the run with the most.
    pub fn questions(&self) -> (usize, usize) {
        let questions: usize = self.runs.iter().map(|run| run.questions).sum();
        let things: usize = self.runs.iter().map(|run| run.things).sum();
        let most = self.runs.iter().map(|run| 100 * run.questions / run.things.max(1)).max();
        (100 * questions / things.max(1), most.unwrap_or(0))
    }

    /// Which bars are missed, in words; none means that the test is passed.
    pub fn missed(&self, bars: &Bars) -> Vec<String> {
        let (all, legal, near) = (self.runs.len(), self.legal(), self.near(bars.dearer));
        let (in_time, looks) = self.looks();
        let mut missed = Vec::new();
        if all == 0 {
            missed.push("no runs".to_owned());
        }
        if 100 * legal < bars.legal * all {
            missed.push(format!("legal {legal} of {all}"));
        }
        if 100 * near < bars.near * all {
            missed.push(format!("within {} %: {near} of {all}", bars.dearer));
        }
        if 100 * in_time < bars.looks * looks {
            missed.push(format!("looks in time {in_time} of {looks}"));
        }
        if self.questions().1 > bars.questions {
            missed.push(format!("{} questions for 100 things", self.questions().1));
        }
        let twisted = |run: &&Run| run.has_back_only_need && run.is_reverse;
        let reversed = self.runs.iter().filter(twisted).count();
        if reversed > 0 {
            missed.push(format!("plain reverse in spite of back-only needs: {reversed}"));
        }
        missed
    }

    /// The heads of the columns of [`Tally::row`].
    pub fn head() -> String {
        format!(
            "{:<28} {:>7} {:>7} {:>7} {:>9} {:>10} {:>6}",
            "", "legal", "in 10 %", "in 20 %", "looks", "questions", "most"
        )
    }

    /// One line of a table.
    pub fn row(&self) -> String {
        let all = self.runs.len();
        let (in_time, looks) = self.looks();
        let (mean, most) = self.questions();
        format!(
            "{:<28} {:>7} {:>7} {:>7} {:>9} {:>10.2} {:>6.2}",
            self.name,
            format!("{}/{all}", self.legal()),
            format!("{}/{all}", self.near(10)),
            format!("{}/{all}", self.near(20)),
            format!("{in_time}/{looks}"),
            mean as f64 / 100.0,
            most as f64 / 100.0,
        )
    }
}
