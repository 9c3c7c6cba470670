//! Hidden machines made by hand (own invention), as machine files.

/// Name and text of each.
pub const HAND_MADE: [(&str, &str); 6] = [
    ("shaft before guard", include_str!("hand/shaft_before_guard.toml")),
    ("earth under the tray", include_str!("hand/earth_under_tray.toml")),
    ("two ways to the pump", include_str!("hand/two_ways_to_the_pump.toml")),
    ("boiler front", include_str!("hand/boiler_front.toml")),
    ("reel and carriage", include_str!("hand/reel_and_carriage.toml")),
    ("lower cowl", include_str!("hand/lower_cowl.toml")),
];
