//! The keys of every table. The reader takes no others; `docs/machine-file.md` names each.

/// At the top of a machine file.
pub const MACHINE: &[&str] = &[
    "machine",
    "fixed",
    "together",
    "currency",
    "note",
    "spot",
    "between",
    "tool_change",
    "prep",
    "part",
    "tie",
    "job",
];
/// `[spot.S]`.
pub const SPOT: &[&str] = &["setup", "pack", "reach", "needs", "not_with", "cautions", "hazards"];
/// `[prep.P]`.
pub const PREP: &[&str] =
    &["ways", "back", "wait", "needs", "fluid", "who", "cautions", "hazards", "ask", "note"];
/// `fluid = { ... }`.
pub const FLUID: &[&str] = &["name", "litres"];
/// `[part.P]`.
pub const PART: &[&str] = &[
    "ways",
    "back",
    "rides",
    "stays",
    "needs",
    "kg",
    "awkward",
    "people",
    "who",
    "renew",
    "open_minutes",
    "after",
    "sits",
    "wetted",
    "mark",
    "support",
    "cautions",
    "hazards",
    "note",
    "photo",
    "label",
    "price",
    "lead_days",
    "life",
];
/// `[tie.T]`.
pub const TIE: &[&str] = &[
    "joins",
    "kind",
    "count",
    "ways",
    "back",
    "needs",
    "hidden_by",
    "renew",
    "sets",
    "open_minutes",
    "bears",
    "tighten",
    "missed",
    "people",
    "who",
    "sits",
    "wetted",
    "mark",
    "cautions",
    "hazards",
    "note",
    "photo",
    "label",
];
/// `missed = [{ ... }]`.
pub const MISSED: &[&str] = &["symptom", "chance"];
/// One way.
pub const WAY: &[&str] =
    &["from", "tool", "minutes", "clear", "needs", "also", "feel", "breaks", "note"];
/// At the top of a job file.
pub const JOB_FILE: &[&str] = &["machine_file", "job"];
/// `[job]`.
pub const JOB: &[&str] = &[
    "renew",
    "off",
    "do",
    "comes_fitted",
    "already",
    "leave_off",
    "at",
    "holding",
    "people",
    "complaint",
    "decided",
    "proof",
    "odometer",
    "without_tools",
    "leave_alone",
    "not_from",
    "consider",
];
/// At the top of a garage file.
pub const GARAGE: &[&str] = &["person", "wrench", "adapter", "tool", "minutes", "display"];
/// `[person.NAME]`; further keys are kept as written.
pub const PERSON: &[&str] = &["may", "note"];
/// `[wrench.NAME]`; further keys are kept as written.
pub const WRENCH: &[&str] =
    &["range", "unit", "class", "step", "length", "calibrated", "calibrate_again", "note"];
/// `[adapter.NAME]`; further keys are kept as written.
pub const ADAPTER: &[&str] = &["length", "note"];
/// `[tool.NAME]`; further keys are kept as written.
pub const TOOL: &[&str] = &["where", "note"];
/// `[display]`; further keys are kept as written.
pub const DISPLAY: &[&str] = &["decimal", "date", "units", "currency"];

/// Every key of every table, for the documentation and for messages.
pub const ALL: &[(&str, &[&str])] = &[
    ("machine file", MACHINE),
    ("spot", SPOT),
    ("prep", PREP),
    ("fluid", FLUID),
    ("part", PART),
    ("tie", TIE),
    ("missed", MISSED),
    ("way", WAY),
    ("job file", JOB_FILE),
    ("job", JOB),
    ("garage file", GARAGE),
    ("person", PERSON),
    ("wrench", WRENCH),
    ("adapter", ADAPTER),
    ("tool", TOOL),
    ("display", DISPLAY),
];
