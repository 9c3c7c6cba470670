//! The words under `hazards`: what a thing is, in whatever language it is named.

/// Every word that may stand under `hazards`. What is said at each stands in the room that shows
/// it; a test holds the two together.
pub const HAZARDS: &[&str] = &[
    "high-pressure fuel",
    "fuel",
    "hydraulics",
    "refrigerant",
    "air",
    "gas",
    "pressure",
    "airbag",
    "high voltage",
    "supplies",
    "battery",
    "raised",
    "split",
    "spring",
    "hot",
    "coolant",
    "brakes",
    "dust",
    "solvent",
    "burnt seal",
    "hot work",
    "running",
];
