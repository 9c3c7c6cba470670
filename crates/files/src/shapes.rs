//! What each key of a file takes, and what it is for: one table for editors (a schema is made of
//! it) and for whoever edits a file from a screen. The keys are those of [`crate::keys`]; a
//! test holds the two together.

/// What a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A name of up to 200 characters.
    Name,
    /// A text of up to 10,000 characters.
    Text,
    /// A list of names.
    Names,
    /// A list of texts.
    Texts,
    /// One text, or a list of them.
    TextOrTexts,
    /// Minutes: 0 to 10,000 with at most three decimals.
    Minutes,
    /// A whole number from 1 to 1,000.
    Count,
    /// Kilograms: 0 to 100,000.
    Kilograms,
    /// A number from 0.
    Amount,
    /// True or false.
    Flag,
    /// A list of ways.
    Ways,
    /// A list of ways, or "by itself".
    WaysOrByItself,
    /// "likely", "possible", "unlikely", or a number from 0 to 1.
    Chance,
    /// "leak look".
    AfterLook,
    /// A list of words of [`lastbolt_machine::HAZARDS`].
    Hazards,
    /// A number from 0, a text, or a table.
    Price,
    /// Anything.
    Anything,
    /// A table with keys of its own.
    FreeTable,
    /// A list of lists of names.
    Groups,
    /// Minutes between two: `default`, and `"A / B"`.
    Pairs,
    /// Minutes by kind.
    MinutesByKind,
    /// A text such as "20-200 N·m", or two numbers.
    Range,
    /// A number, or a text with its unit.
    Measure,
    /// One of these words; other texts are read and mean nothing.
    OneOf(&'static [&'static str]),
    /// One table, by its name in [`crate::keys::ALL`].
    Table(&'static str),
    /// Named tables of this sort.
    Tables(&'static str),
    /// A list of tables of this sort.
    List(&'static str),
}

/// One key: the table it stands in (as in [`crate::keys::ALL`]), the key, what it takes, and what
/// it is for, in the words of `docs/machine-file.md`.
pub type Line = (&'static str, &'static str, Shape, &'static str);

/// Tables that take further keys, kept as written.
pub const OPEN: &[&str] = &["person", "wrench", "adapter", "tool", "display"];

/// Keys that a table must have: the table, the key.
pub const REQUIRED: &[(&str, &str)] = &[
    ("prep", "back"),
    ("tie", "joins"),
    ("fluid", "name"),
    ("missed", "symptom"),
    ("job file", "machine_file"),
    ("job file", "job"),
];

/// Gives what a key of a table takes and what it is for.
pub fn line(table: &str, key: &str) -> Option<&'static Line> {
    LINES.iter().find(|(of, known, ..)| *of == table && *known == key)
}

/// Every key of every table.
pub const LINES: &[Line] = &[
    ("machine file", "machine", Shape::Text, "the machine in a few words"),
    ("machine file", "fixed", Shape::Names, "names of parts that never come off"),
    (
        "machine file",
        "together",
        Shape::Groups,
        "groups of fixings that are all started by hand before any is tightened",
    ),
    ("machine file", "currency", Shape::Name, "the money of prices"),
    ("machine file", "note", Shape::Text, "free text"),
    ("machine file", "spot", Shape::Tables("spot"), "the places where one works"),
    ("machine file", "between", Shape::Pairs, "minutes to get from one place to another"),
    ("machine file", "tool_change", Shape::Pairs, "minutes to change from one tool to another"),
    (
        "machine file",
        "prep",
        Shape::Tables("prep"),
        "conditions of the machine: engine cold, coolant drained",
    ),
    ("machine file", "part", Shape::Tables("part"), "what comes off in one piece"),
    (
        "machine file",
        "tie",
        Shape::Tables("tie"),
        "fixings and connections: whatever holds or joins parts",
    ),
    ("machine file", "job", Shape::Table("job"), "the job, where it stands in this file"),
    (
        "spot",
        "setup",
        Shape::Minutes,
        "minutes to make the place ready, once; it stays so while one works elsewhere",
    ),
    ("spot", "pack", Shape::Minutes, "minutes to pack it up again"),
    ("spot", "reach", Shape::Minutes, "minutes to get there from anywhere"),
    ("spot", "needs", Shape::Names, "conditions for all work there"),
    ("spot", "not_with", Shape::Names, "places where nobody else may work meanwhile"),
    ("spot", "cautions", Shape::Texts, "texts shown at every step there"),
    ("spot", "hazards", Shape::Hazards, "what the place is, by known words"),
    ("prep", "ways", Shape::Ways, "how it is done, see below"),
    (
        "prep",
        "back",
        Shape::WaysOrByItself,
        "how it is ended, or \"by itself\" if nothing has to be done; must be given",
    ),
    ("prep", "wait", Shape::Minutes, "minutes that pass unattended before it is in force"),
    ("prep", "needs", Shape::Names, "conditions it needs itself"),
    ("prep", "fluid", Shape::Table("fluid"), "name and litres of what goes back in"),
    ("prep", "who", Shape::Text, "who may do it"),
    ("prep", "cautions", Shape::Texts, "texts shown at the step"),
    ("prep", "hazards", Shape::Hazards, "what it is about, by known words"),
    ("prep", "ask", Shape::Text, "a question kept with the step"),
    ("prep", "note", Shape::Text, "free text"),
    ("fluid", "name", Shape::Name, "which fluid"),
    ("fluid", "litres", Shape::Amount, "how much, in litres"),
    ("part", "ways", Shape::Ways, "how it comes off; [] = only with the part it sits on"),
    ("part", "back", Shape::Ways, "how it goes back, only where that differs"),
    ("part", "rides", Shape::Name, "the part that it sits on and may come off with"),
    (
        "part",
        "stays",
        Shape::Names,
        "fixings and connections that may stay made: it is put aside on them",
    ),
    ("part", "needs", Shape::Names, "conditions, taking off and putting back"),
    ("part", "kg", Shape::Kilograms, "kilograms"),
    ("part", "awkward", Shape::Flag, "true if it is awkward to hold"),
    ("part", "people", Shape::Count, "how many it takes"),
    ("part", "who", Shape::Text, "who may do it"),
    ("part", "renew", Shape::Texts, "texts: what to buy each time it comes off"),
    ("part", "open_minutes", Shape::Minutes, "minutes from laying the sealant to the last fixing"),
    ("part", "after", Shape::AfterLook, "\"leak look\": it stays off until after that look"),
    ("part", "sits", Shape::Text, "how it sits"),
    ("part", "wetted", Shape::Text, "dry, or wetted with what"),
    ("part", "mark", Shape::Text, "a mark to make before it comes off"),
    ("part", "support", Shape::Text, "what carries it meanwhile"),
    ("part", "cautions", Shape::Texts, "texts shown at the step"),
    ("part", "hazards", Shape::Hazards, "what it is, by known words"),
    ("part", "note", Shape::Text, "free text"),
    ("part", "photo", Shape::Name, "a picture's name"),
    ("part", "label", Shape::Name, "what the tag says"),
    ("part", "price", Shape::Price, "a number, a text, or a table"),
    ("part", "lead_days", Shape::Amount, "days until it can be there"),
    ("part", "life", Shape::FreeTable, "usual life, early failure: a table, kept as written"),
    (
        "tie",
        "joins",
        Shape::Names,
        "the parts that it joins; one is enough for a drain plug; must be given",
    ),
    (
        "tie",
        "kind",
        Shape::Name,
        "screw, nut, plug, hose, union, clip, earth, ... or a word of your own",
    ),
    ("tie", "count", Shape::Count, "how many pieces"),
    ("tie", "ways", Shape::Ways, "how it is undone"),
    ("tie", "back", Shape::Ways, "how it is made again, only where that differs"),
    ("tie", "needs", Shape::Names, "conditions, undoing and making"),
    ("tie", "hidden_by", Shape::Names, "parts behind which it can't be seen any more"),
    ("tie", "renew", Shape::Texts, "texts: what to buy each time it is undone"),
    ("tie", "sets", Shape::Minutes, "minutes until it counts as made for filling up and starting"),
    ("tie", "open_minutes", Shape::Minutes, "minutes from laying the sealant to the last fixing"),
    ("tie", "bears", Shape::Flag, "true if it carries weight: it is undone last and made first"),
    (
        "tie",
        "tighten",
        Shape::FreeTable,
        "a table: thread, class, stages, at, lengths, ...; kept as written",
    ),
    (
        "tie",
        "missed",
        Shape::List("missed"),
        "a list of symptom and chance: what is noticed if it was forgotten",
    ),
    ("tie", "people", Shape::Count, "how many it takes"),
    ("tie", "who", Shape::Text, "who may do it"),
    ("tie", "sits", Shape::Text, "how it sits"),
    ("tie", "wetted", Shape::Text, "dry, or wetted with what"),
    ("tie", "mark", Shape::Text, "a mark to make before it is undone"),
    ("tie", "cautions", Shape::Texts, "texts shown at the step"),
    ("tie", "hazards", Shape::Hazards, "what it is, by known words"),
    ("tie", "note", Shape::Text, "free text"),
    ("tie", "photo", Shape::Name, "a picture's name"),
    ("tie", "label", Shape::Name, "what the tag says"),
    ("missed", "symptom", Shape::Text, "what is noticed if it was forgotten"),
    (
        "missed",
        "chance",
        Shape::Chance,
        "how likely that is: \"likely\", \"possible\", \"unlikely\" or a number from 0 to 1",
    ),
    ("way", "from", Shape::Name, "where one works"),
    ("way", "tool", Shape::Name, "one tool"),
    ("way", "minutes", Shape::Minutes, "for all pieces together"),
    ("way", "clear", Shape::Names, "parts that must be off and fixings that must be undone first"),
    ("way", "needs", Shape::Names, "conditions for this entry only"),
    ("way", "also", Shape::Texts, "texts: further things to have ready"),
    ("way", "feel", Shape::Flag, "true if it is done by feel"),
    (
        "way",
        "breaks",
        Shape::Chance,
        "the chance that something breaks: \"likely\", \"possible\", \"unlikely\" or a number \
         from 0 to 1",
    ),
    ("way", "note", Shape::Text, "free text"),
    ("job file", "machine_file", Shape::Text, "the machine's file, seen from this one; at the top"),
    ("job file", "job", Shape::Table("job"), "the table [job]"),
    ("job", "renew", Shape::Names, "parts and fixings to renew"),
    ("job", "off", Shape::Names, "parts and fixings that must come off; the same ones go back"),
    ("job", "do", Shape::Names, "conditions to bring about"),
    ("job", "comes_fitted", Shape::Names, "parts that the new part comes with"),
    ("job", "already", Shape::Names, "what was found open"),
    (
        "job",
        "leave_off",
        Shape::Names,
        "what is not put back; it must be under already or to come off",
    ),
    ("job", "at", Shape::Name, "where the person is at the start"),
    ("job", "holding", Shape::Name, "the tool in the hand at the start"),
    ("job", "people", Shape::Names, "who works on it"),
    ("job", "complaint", Shape::TextOrTexts, "a text or a list of texts"),
    ("job", "decided", Shape::TextOrTexts, "a text or a list of texts"),
    ("job", "proof", Shape::TextOrTexts, "a text or a list of texts"),
    ("job", "odometer", Shape::Anything, "distance or hours, as read"),
    ("job", "without_tools", Shape::Names, "tools that are not there"),
    ("job", "leave_alone", Shape::Names, "what may not be opened"),
    ("job", "not_from", Shape::Names, "places not to work from"),
    ("job", "consider", Shape::Names, "what else to renew while it is open"),
    ("garage file", "person", Shape::Tables("person"), "who works here"),
    ("garage file", "wrench", Shape::Tables("wrench"), "torque wrenches"),
    (
        "garage file",
        "adapter",
        Shape::Tables("adapter"),
        "what is put between a wrench and a fixing",
    ),
    ("garage file", "tool", Shape::Tables("tool"), "tools that are here"),
    ("garage file", "minutes", Shape::MinutesByKind, "your own minutes for one piece of a kind"),
    ("garage file", "display", Shape::Table("display"), "how numbers, dates and money are shown"),
    (
        "person",
        "may",
        Shape::TextOrTexts,
        "a text or a list of texts: what this person may do where not everybody may",
    ),
    ("person", "note", Shape::Text, "free text"),
    ("wrench", "range", Shape::Range, "lowest and largest mark, as in \"20-200 N·m\""),
    ("wrench", "unit", Shape::Text, "the unit of its scale, where the range has none"),
    ("wrench", "class", Shape::Text, "its class, or how far off it may be: \"II A\", \"±4 %\""),
    ("wrench", "step", Shape::Measure, "from mark to mark of its scale"),
    (
        "wrench",
        "length",
        Shape::Measure,
        "from the middle of the grip to the middle of the square, in mm",
    ),
    ("wrench", "calibrated", Shape::Text, "when it was calibrated: a day, or in words"),
    (
        "wrench",
        "calibrate_again",
        Shape::Text,
        "when it is calibrated again: a day, or \"12 months\"",
    ),
    ("wrench", "note", Shape::Text, "free text"),
    (
        "adapter",
        "length",
        Shape::Measure,
        "from the middle of the square to the middle of the fixing, in mm",
    ),
    ("adapter", "note", Shape::Text, "free text"),
    ("tool", "where", Shape::Text, "where it is kept"),
    ("tool", "note", Shape::Text, "free text"),
    (
        "display",
        "decimal",
        Shape::OneOf(&["comma", "point"]),
        "the decimal sign: \"comma\" or \"point\"",
    ),
    (
        "display",
        "date",
        Shape::OneOf(&["year-month-day", "day.month.year", "day/month/year", "month/day/year"]),
        "the form of dates, such as \"day.month.year\"",
    ),
    (
        "display",
        "units",
        Shape::OneOf(&["N·m", "lbf·ft"]),
        "the unit of torque on screens: \"N·m\" or \"lbf·ft\"",
    ),
    ("display", "currency", Shape::Name, "the money of prices"),
];
