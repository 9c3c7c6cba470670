//! What an event says was done.

use std::fmt;

/// Says what was done.
///
/// Each has a text form, which is what files, databases and requests carry.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Verb {
    /// A part came off its seat (`off`).
    Off,
    /// A part went back on (`on`).
    On,
    /// A tie was undone (`undo`).
    Undo,
    /// A tie was made (`make`).
    Make,
    /// A prep was brought into force (`prep`).
    Prep,
    /// A prep ended (`end`).
    End,
    /// A tie of a group was started by hand (`start`).
    Start,
    /// A started tie was tightened (`tighten`).
    Tighten,
    /// A made tie was slackened (`slack`).
    Slack,
    /// Screws of an undone tie are in by hand, finger-tight (`by_hand`).
    ByHand,
    /// A tie was made but its tightness not measured (`not_measured`).
    NotMeasured,
    /// The last look was done: look, push, tug (`looked`).
    Looked,
    /// The last look was passed by (`passed_by`).
    PassedBy,
    /// A person went to another spot or took another tool (`moved`).
    Moved,
    /// Somebody said how a thing that was not recorded really is (`settled`).
    Settled,
    /// A gate was passed; the thing is the gate's name, the note the reason (`gate`).
    Gate,
    /// The machine was started for the first time; the note says how it went (`first_start`).
    FirstStart,
    /// A free note, about a thing or about nothing (`said`).
    Said,
    /// An earlier event is withdrawn (`take_back`).
    TakeBack,
    /// The job is finished (`finished`).
    Finished,
    /// A finished job goes on (`reopened`).
    Reopened,
    /// A word of a newer version: kept as it is, without effect.
    Other(String),
}

impl Verb {
    /// Every verb that this version knows, in the order of the docs.
    pub const ALL: [Verb; 21] = [
        Verb::Off,
        Verb::On,
        Verb::Undo,
        Verb::Make,
        Verb::Prep,
        Verb::End,
        Verb::Start,
        Verb::Tighten,
        Verb::Slack,
        Verb::ByHand,
        Verb::NotMeasured,
        Verb::Looked,
        Verb::PassedBy,
        Verb::Moved,
        Verb::Settled,
        Verb::Gate,
        Verb::FirstStart,
        Verb::Said,
        Verb::TakeBack,
        Verb::Finished,
        Verb::Reopened,
    ];

    /// Gives the text form.
    pub fn as_str(&self) -> &str {
        match self {
            Verb::Off => "off",
            Verb::On => "on",
            Verb::Undo => "undo",
            Verb::Make => "make",
            Verb::Prep => "prep",
            Verb::End => "end",
            Verb::Start => "start",
            Verb::Tighten => "tighten",
            Verb::Slack => "slack",
            Verb::ByHand => "by_hand",
            Verb::NotMeasured => "not_measured",
            Verb::Looked => "looked",
            Verb::PassedBy => "passed_by",
            Verb::Moved => "moved",
            Verb::Settled => "settled",
            Verb::Gate => "gate",
            Verb::FirstStart => "first_start",
            Verb::Said => "said",
            Verb::TakeBack => "take_back",
            Verb::Finished => "finished",
            Verb::Reopened => "reopened",
            Verb::Other(word) => word,
        }
    }

    /// Reads the text form; an unknown word becomes [`Verb::Other`].
    pub fn read(text: &str) -> Verb {
        Verb::ALL
            .into_iter()
            .find(|verb| verb.as_str() == text)
            .unwrap_or_else(|| Verb::Other(text.to_owned()))
    }

    /// Tells whether this verb says how a thing stands (open, closed or between).
    pub fn sets_standing(&self) -> bool {
        matches!(
            self,
            Verb::Off
                | Verb::On
                | Verb::Undo
                | Verb::Make
                | Verb::Prep
                | Verb::End
                | Verb::Start
                | Verb::Tighten
                | Verb::Slack
                | Verb::ByHand
                | Verb::NotMeasured
        )
    }

    /// Tells whether this verb is about a thing of the machine, and so must name it.
    pub fn needs_thing(&self) -> bool {
        self.sets_standing() || matches!(self, Verb::Looked | Verb::PassedBy | Verb::Settled)
    }

    /// Tells whether this verb may be about some of a tie's pieces only.
    pub fn takes_pieces(&self) -> bool {
        matches!(
            self,
            Verb::Undo | Verb::Make | Verb::Start | Verb::Tighten | Verb::Slack | Verb::ByHand
        )
    }
}

impl fmt::Display for Verb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The text form is what databases keep: it must read back, and no two may be alike.
    #[test]
    fn text_form_reads_back() {
        for verb in Verb::ALL {
            assert_eq!(Verb::read(verb.as_str()), verb);
        }
        let words: std::collections::BTreeSet<_> =
            Verb::ALL.iter().map(|v| v.as_str().to_owned()).collect();
        assert_eq!(words.len(), Verb::ALL.len());
        assert_eq!(Verb::read("polish"), Verb::Other("polish".into()));
        assert_eq!(Verb::read("OFF"), Verb::Other("OFF".into()));
    }
}
