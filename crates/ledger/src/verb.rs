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
    /// A part with its fixings came off, in one entry; or fixings alone (`took`).
    Took,
    /// A part and everything that holds it went home, in one entry (`home`).
    Home,
    /// Taking apart is over; from now on it goes back together (`all_off`).
    AllOff,
    /// A thing is called otherwise; the note is the new name (`renamed`).
    Renamed,
    /// Some of a thing's pieces are a thing of their own; the note is their name (`split`).
    Split,
    /// A thing is the same as another, into which it goes (`merged`).
    Merged,
    /// A thing's count, kind or place was said wrongly (`corrected`).
    Corrected,
    /// A thing never was: it was entered twice or by mistake (`struck_out`).
    StruckOut,
    /// A fact for putting back; the note says it (`fact`).
    Fact,
    /// A question was answered; the thing is its id, the note yes, no or unknown (`answered`).
    Answered,
    /// Pieces of a kind were counted at a place before the first bolt (`expected`).
    Expected,
    /// Something is to be left alone (`leave_alone`).
    LeaveAlone,
    /// Something fell; the place is where it may be (`dropped`).
    Dropped,
    /// What had fallen was found (`found`).
    Found,
    /// What had fallen stays unfound; the note says why it may (`not_found`).
    NotFound,
    /// A rag, cap, plug or tool was put in; the thing is what left the opening (`put_in`).
    PutIn,
    /// What was put in was taken out (`taken_out`).
    TakenOut,
    /// A picture was taken (`photo`).
    Photo,
    /// A thing was marked on a picture (`pin`).
    Pin,
    /// A picture shows a plate or a face and is not exported (`private`).
    Private,
    /// Something that the job keeps in words: `more.kind` says what it is (`noted`).
    Noted,
    /// A question or check of the day was answered: `more.point` says which, the note is the
    /// answer (`ticked`).
    Ticked,
    /// The job is left standing; the note says how (`left_standing`).
    LeftStanding,
    /// A standing job is taken up again (`resumed`).
    Resumed,
    /// A round of tightening a joint; pieces: as far as it came (`round`).
    Round,
    /// A word of a newer version: kept as it is, without effect.
    Other(String),
}

impl Verb {
    /// Every verb that this version knows, in the order of the docs.
    pub const ALL: [Verb; 46] = [
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
        Verb::Took,
        Verb::Home,
        Verb::AllOff,
        Verb::Renamed,
        Verb::Split,
        Verb::Merged,
        Verb::Corrected,
        Verb::StruckOut,
        Verb::Fact,
        Verb::Answered,
        Verb::Expected,
        Verb::LeaveAlone,
        Verb::Dropped,
        Verb::Found,
        Verb::NotFound,
        Verb::PutIn,
        Verb::TakenOut,
        Verb::Photo,
        Verb::Pin,
        Verb::Private,
        Verb::Noted,
        Verb::Ticked,
        Verb::LeftStanding,
        Verb::Resumed,
        Verb::Round,
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
            Verb::Took => "took",
            Verb::Home => "home",
            Verb::AllOff => "all_off",
            Verb::Renamed => "renamed",
            Verb::Split => "split",
            Verb::Merged => "merged",
            Verb::Corrected => "corrected",
            Verb::StruckOut => "struck_out",
            Verb::Fact => "fact",
            Verb::Answered => "answered",
            Verb::Expected => "expected",
            Verb::LeaveAlone => "leave_alone",
            Verb::Dropped => "dropped",
            Verb::Found => "found",
            Verb::NotFound => "not_found",
            Verb::PutIn => "put_in",
            Verb::TakenOut => "taken_out",
            Verb::Photo => "photo",
            Verb::Pin => "pin",
            Verb::Private => "private",
            Verb::Noted => "noted",
            Verb::Ticked => "ticked",
            Verb::LeftStanding => "left_standing",
            Verb::Resumed => "resumed",
            Verb::Round => "round",
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
        self.sets_standing()
            || self.describes()
            || matches!(
                self,
                Verb::Looked
                    | Verb::PassedBy
                    | Verb::Settled
                    | Verb::Home
                    | Verb::Fact
                    | Verb::Answered
                    | Verb::Pin
                    | Verb::Round
            )
    }

    /// Tells whether this verb corrects what a thing is called or of what it consists.
    pub fn describes(&self) -> bool {
        matches!(
            self,
            Verb::Renamed | Verb::Split | Verb::Merged | Verb::Corrected | Verb::StruckOut
        )
    }

    /// Tells whether this verb must say it in words.
    pub fn needs_note(&self) -> bool {
        matches!(
            self,
            Verb::Settled
                | Verb::FirstStart
                | Verb::Said
                | Verb::Renamed
                | Verb::Fact
                | Verb::Answered
                | Verb::NotFound
                | Verb::PutIn
                | Verb::Noted
                | Verb::Ticked
        )
    }

    /// Tells whether this verb names an earlier entry.
    pub fn needs_of(&self) -> bool {
        matches!(self, Verb::TakeBack | Verb::Found | Verb::NotFound | Verb::TakenOut)
    }

    /// Tells whether this verb may carry more than the plain fields.
    pub fn takes_more(&self) -> bool {
        matches!(
            self,
            Verb::Took
                | Verb::Merged
                | Verb::Corrected
                | Verb::Fact
                | Verb::Answered
                | Verb::Expected
                | Verb::Dropped
                | Verb::PutIn
                | Verb::Photo
                | Verb::Pin
                | Verb::Private
                | Verb::Noted
                | Verb::Ticked
                | Verb::Round
                | Verb::Finished
        )
    }

    /// Tells whether this verb may give a number of pieces.
    pub fn takes_pieces(&self) -> bool {
        matches!(
            self,
            Verb::Undo
                | Verb::Make
                | Verb::Start
                | Verb::Tighten
                | Verb::Slack
                | Verb::ByHand
                | Verb::Split
                | Verb::Corrected
                | Verb::Expected
                | Verb::Round
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
