//! The table of cautions. Every row was reviewed against common practice of the trade; none is a
//! maker's procedure, and none has a wait in minutes.
//!
//! Files and people name a row by its `id`, whatever the thing is called and in what language;
//! words are only an additional net. A row without words is never guessed.
//!
//! A row: how the hazard is called; the phrases that name it, and those that look like it and are
//! something else; what is said, piece by piece, each with words by which a file says the same;
//! who may do it. Sources: common practice of the trade without a source where nothing stands;
//! `dust` is advised by the US EPA and OSHA for brakes and clutches; `air` and `brakes` are from
//! memory, unchecked.

/// A piece of what is said.
pub(crate) struct Clause {
    pub(crate) text: &'static str,
    /// A file that has one of these phrases says it already.
    pub(crate) said_by: &'static [&'static str],
}

/// What is let off before it is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Pressure {
    Fuel,
    Hydraulics,
    Refrigerant,
    Air,
    Gas,
    /// Something, of which only that is known.
    Other,
}

/// A row of the table.
pub(crate) struct Hazard {
    pub(crate) id: &'static str,
    pub(crate) name: &'static str,
    pub(crate) words: &'static [&'static str],
    pub(crate) but_not: &'static [&'static str],
    pub(crate) says: &'static [Clause],
    pub(crate) who: Option<&'static str>,
    pub(crate) who_said_by: &'static [&'static str],
    /// It counts at plugs and cables too.
    pub(crate) electric: bool,
    /// What flows under pressure: opening it asks how that was let off.
    pub(crate) pressure: Option<Pressure>,
}

const fn says(text: &'static str, said_by: &'static [&'static str]) -> Clause {
    Clause { text, said_by }
}

/// A row that is about nothing electrical and nothing under pressure, open to everybody.
const PLAIN: Hazard = Hazard {
    id: "",
    name: "",
    words: &[],
    but_not: &[],
    says: &[],
    who: None,
    who_said_by: &[],
    electric: false,
    pressure: None,
};

/// All rows.
#[rustfmt::skip] // lists of phrases stay in a few lines
pub(crate) const TABLE: &[Hazard] = &[
    Hazard {
        id: "high-pressure fuel",
        name: "Fuel at high pressure",
        words: &[
            "common rail", "fuel rail", "rail pressure", "rail line", "rail pipe", "rail union",
            "rail banjo", "rail sensor", "pressure rail", "injector", "injection line",
            "injection pipe", "injection union", "injection pump", "injection nozzle",
            "injector line", "injector pipe", "high pressure fuel", "high pressure pump",
            "hp pump", "hp fuel", "diesel rail", "unit pump", "direct injection", "nozzle line",
            "nozzle pipe", "delivery valve",
        ],
        but_not: &[
            "injector plug", "injector loom", "injector connector", "injector wiring",
            "sandblast nozzle", "wax injection", "foam injection", "pump injector loom",
        ],
        says: &[
            says(
                "a jet as fine as a hair goes through skin, looks harmless, is an emergency: \
                  look for leaks with card, never a hand",
                &["skin", "card", "pinhole"],
            ),
            says("never slacken it while the engine turns", &["while it turns", "never slacken"]),
        ],
        who: Some("somebody who knows the maker's procedure for that system"),
        pressure: Some(Pressure::Fuel),
        ..PLAIN
    },
    Hazard {
        id: "fuel",
        name: "Fuel",
        words: &[
            "fuel", "petrol", "gasoline", "gas tank", "gas pump", "diesel line", "diesel pipe",
            "diesel hose", "diesel filter", "diesel tank", "carburettor", "carburetor", "carb",
        ],
        but_not: &[
            "fuel gauge", "fuel cap", "fuel flap", "fuel filler flap", "fuel lid", "fuel relay",
            "fuel fuse", "fuel pump relay", "fuel pump fuse", "fuel cut off relay", "fuel cell",
        ],
        says: &[
            says(
                "pressure stays in it and rises again while a hot engine stands; opening a door \
                  or turning the key can start a pump",
                &["rises again", "start a pump"],
            ),
            says(
                "rag, goggles, gloves; no flame, no hot lamp; extinguisher at hand",
                &["goggles", "no flame", "extinguisher"],
            ),
        ],
        pressure: Some(Pressure::Fuel),
        ..PLAIN
    },
    Hazard {
        id: "hydraulics",
        name: "Oil under pressure",
        words: &[
            "hydraulic*", "power steering", "steering oil", "rack pressure", "rack return", "ram",
            "valve block", "spool valve", "spool block", "accumulator", "grease gun",
            "pressure hose", "pressure line", "pressure pipe", "pressure union", "pressure banjo",
            "oil under pressure", "lift cylinder", "tilt cylinder", "boom cylinder",
            "bucket cylinder", "steering cylinder", "tipping cylinder", "slew motor",
            "slew union", "loader union", "loader hose", "loader joint", "loader line",
            "loader pipe", "lift pump line", "implement hose", "hitch pump",
        ],
        but_not: &[
            "hydraulic tappet", "hydraulic lifter", "hydraulic mount*", "hydraulic jack",
            "hydraulic press", "hydraulic lash", "ram air", "fuel pressure line",
            "air pressure line", "tyre pressure hose", "boost pressure hose",
            "boost pressure line", "pressure washer hose", "oil pressure line plug",
            "fuel accumulator",
        ],
        says: &[
            says(
                "a jet as fine as a hair goes through skin, looks harmless, is an emergency: \
                  look for leaks with card, never a hand",
                &["skin", "card", "pinhole"],
            ),
            says(
                "arms down or propped first; what hangs keeps the pressure up with the engine off",
                &["arms down", "propped"],
            ),
            says("never slackened while it turns", &["while it turns"]),
        ],
        who: Some("somebody who knows the maker's procedure for that system"),
        pressure: Some(Pressure::Hydraulics),
        ..PLAIN
    },
    Hazard {
        id: "refrigerant",
        name: "Refrigerant",
        words: &[
            "refrigerant", "air con", "aircon", "air conditioning", "air conditioner", "a c line",
            "a c hose", "a c pipe", "a c compressor", "a c condenser", "ac line", "ac hose",
            "ac pipe", "ac compressor", "ac condenser", "evaporator", "receiver drier",
            "receiver dryer", "condenser", "r134a", "r1234yf", "climate compressor",
        ],
        but_not: &["ignition condenser", "points condenser", "condenser screw of the points"],
        says: &[says(
            "under pressure, freezes skin and eyes, never let go into the air",
            &["never let go", "let go into the air", "recovered", "recovery"],
        )],
        who: Some("licensed people only"),
        who_said_by: &["licensed", "certified"],
        pressure: Some(Pressure::Refrigerant),
        ..PLAIN
    },
    Hazard {
        id: "air",
        name: "Compressed air",
        words: &[
            "air tank", "air reservoir", "air receiver", "air spring", "air bellow", "air brake",
            "compressed air", "air suspension", "brake chamber", "spring brake",
        ],
        but_not: &["compressed air dried"],
        says: &[says(
            "a tank, line or spring holds pressure with the engine off; a hose end whips \
                      and a bellows lets the vehicle drop",
            &["whips", "lets the vehicle drop"],
        )],
        pressure: Some(Pressure::Air),
        ..PLAIN
    },
    Hazard {
        id: "gas",
        name: "Gas",
        words: &["gas", "lpg", "propane", "butane"],
        but_not: &[
            "gas spring", "gas strut", "gas damper", "gas shock", "gas tight", "exhaust gas",
            "gas pedal", "gas tank", "gas pump", "gas cap", "gas mask", "shielding gas",
            "gas kit", "blow by gas", "waste gas", "gas lift",
        ],
        says: &[says(
            "bottles shut and flames out before sparks, heat or opening a line",
            &["no heat", "bottles shut", "flames", "sparks"],
        )],
        who: Some("lines and what hangs on them: a licensed gas fitter"),
        who_said_by: &["gas fitter", "licensed"],
        pressure: Some(Pressure::Gas),
        ..PLAIN
    },
    Hazard {
        id: "pressure",
        name: "Under pressure",
        says: &[says(
            "let off before it is opened, as the maker says; face and hands out of its line, never \
             slackened while it turns",
            &["out of its line", "let off"],
        )],
        electric: true,
        pressure: Some(Pressure::Other),
        ..PLAIN
    },
    Hazard {
        id: "airbag",
        name: "Airbag or seat-belt tensioner",
        words: &[
            "airbag*", "air bag", "srs", "pretensioner", "seat belt", "seatbelt", "crash sensor",
            "clock spring",
        ],
        but_not: &["suspension air bag", "air bag suspension", "suspension airbag"],
        says: &[
            says("battery off and the maker's wait first", &["battery off", "makers wait"]),
            says("never probed with a meter", &["never probe*", "no meter"]),
        ],
        who: Some("trained people only"),
        who_said_by: &["trained"],
        electric: true,
        ..PLAIN
    },
    Hazard {
        id: "high voltage",
        name: "High voltage",
        words: &[
            "high voltage", "traction battery", "drive battery", "hybrid", "hv", "orange cable",
            "service disconnect", "drive motor inverter", "traction motor",
        ],
        but_not: &[],
        says: &[
            says(
                "isolated by whom, checked by whom, before anything orange is touched",
                &["isolated by whom", "checked by whom"],
            ),
            says("a silent machine can start by itself", &["start by itself", "silent"]),
        ],
        who: Some("trained and authorised people only"),
        who_said_by: &["authorised", "authorized", "trained"],
        electric: true,
        ..PLAIN
    },
    Hazard {
        id: "supplies",
        name: "Another supply",
        words: &[
            "leisure battery", "leisure side", "second battery", "auxiliary battery",
            "house battery", "service battery", "solar", "hook up", "hookup", "shore power",
            "inverter", "start stop", "48 v", "48v", "split charge", "mains", "230 v", "240 v",
            "230v", "240v", "120 v", "110 v", "400 v", "three phase",
        ],
        but_not: &["stop start button", "drive motor inverter"],
        says: &[says(
            "live with the starter battery off: second battery, solar, mains hook-up, \
                      inverter, each isolated by itself",
            &["still live", "live from"],
        )],
        who: Some("fixed mains wiring: an electrician"),
        who_said_by: &["electrician"],
        electric: true,
        ..PLAIN
    },
    Hazard {
        id: "battery",
        name: "Battery",
        words: &["battery", "batteries"],
        but_not: &[
            "battery tray", "battery box", "battery cover", "battery carrier", "traction battery",
            "drive battery", "leisure battery", "second battery", "auxiliary battery",
            "house battery", "service battery",
        ],
        says: &[
            says("acid and hydrogen: no sparks, goggles", &["acid", "hydrogen", "no sparks"]),
            says("earth lead first off, last on", &["earth lead first", "earth first"]),
        ],
        electric: true,
        ..PLAIN
    },
    Hazard {
        id: "raised",
        name: "Raised",
        words: &[
            "raised", "jacked*", "axle stand", "jack stand", "two post", "four post", "on stands",
            "on the lift", "on a lift", "vehicle lift", "on ramps", "jack up", "lifted vehicle",
            "stands under",
        ],
        but_not: &["raised edge", "raised lip", "raised mark", "raised letter", "raised boss"],
        says: &[
            says(
                "rated stands on hard floor, never a jack alone; chocks, key out",
                &["hard floor", "never a jack", "lift arms", "two post"],
            ),
            says("taking something heavy off moves the balance", &["balance"]),
        ],
        who: Some("a lift: somebody trained on it"),
        who_said_by: &["trained"],
        ..PLAIN
    },
    Hazard {
        id: "split",
        name: "Machine parted in the middle",
        words: &[
            "tractor split", "split the tractor", "split at the bell", "halves apart",
            "front axle wedged", "splitting stand",
        ],
        but_not: &[],
        says: &[says("front axle wedged, both halves carried, no limb between", &["wedge*"])],
        ..PLAIN
    },
    Hazard {
        id: "spring",
        name: "Spring under load",
        words: &[
            "spring", "clutch cover", "pressure plate", "belt tensioner", "chain tensioner",
            "tensioner", "recoil", "rewind starter", "strut",
        ],
        but_not: &[
            "spring clip", "spring washer", "spring pin", "spring clamp", "spring band",
            "clock spring", "air spring", "strut brace", "strut bar", "pretensioner",
            "seat belt tensioner", "gas strut bracket", "hand spring",
            "spring loaded cover plate",
        ],
        says: &[says(
            "let it off step by step with what holds it meanwhile; face and hands out of \
                      its line",
            &["spring load", "spring is slack", "never opened", "out of its line"],
        )],
        ..PLAIN
    },
    Hazard {
        id: "hot",
        name: "Hot",
        says: &[says(
            "burns, and what is inside may be hot and under pressure: cold first, where the work \
             does not want it warm",
            &["hot", "cold first"],
        )],
        electric: true,
        ..PLAIN
    },
    Hazard {
        id: "coolant",
        name: "Coolant",
        words: &[
            "coolant", "radiator", "thermostat", "water pump", "expansion tank", "header tank",
            "heater hose", "antifreeze", "cooling system", "heater matrix", "water hose",
        ],
        but_not: &[
            "radiator fan", "radiator grille", "radiator cowl", "radiator guard",
            "coolant sensor loom", "washer water hose",
        ],
        says: &[
            says(
                "hot and under pressure: cold first, cap off slowly",
                &["cold engine", "hot coolant", "cap off"],
            ),
            says("sweet and poisonous to animals: caught and covered", &["poisonous", "animals"]),
        ],
        ..PLAIN
    },
    Hazard {
        id: "brakes",
        name: "Brakes",
        words: &[
            "brake fluid", "brake line", "brake pipe", "brake hose", "brake union", "brake banjo",
            "caliper", "wheel cylinder", "master cylinder", "slave cylinder", "bleed nipple",
            "brake cylinder", "clutch line",
        ],
        but_not: &["brake fluid level plug", "caliper gauge", "vernier caliper"],
        says: &[
            says(
                "the fluid harms skin, eyes and paint; no mineral oil on brake rubber",
                &["fluid on skin", "skin and paint"],
            ),
            says("some brakes hold pressure with the engine off", &["hold pressure"]),
        ],
        ..PLAIN
    },
    Hazard {
        id: "dust",
        name: "Dust",
        words: &[
            "clutch plate", "clutch disc", "clutch disk", "friction plate", "friction disc",
            "clutch cover", "brake pad", "brake shoe", "brake lining", "brake drum", "asbestos",
            "old gasket", "gasket face", "dust", "soot",
        ],
        but_not: &[
            "dust cap", "dust cover", "dust boot", "dust seal", "dust shield", "dust lip",
            "brake pad sensor", "brake shoe adjuster cover",
        ],
        says: &[says(
            "clutch, brake and old gasket dust may be asbestos: wet or filtered suction, \
                      never the air line; soot: mask",
            &["air line", "wet it", "filtered suction", "asbestos"],
        )],
        ..PLAIN
    },
    Hazard {
        id: "solvent",
        name: "Cleaning agents",
        words: &[
            "solvent", "brake cleaner", "degreas*", "parts cleaner", "acetone", "thinner",
            "cleaned with", "faces cleaned", "cleaning fluid",
        ],
        but_not: &["air cleaner"],
        says: &[says(
            "none with chlorine near flame or welding (poisonous gas); air the place, \
                      let housings dry",
            &["chlorin*", "phosgene", "ventilat*"],
        )],
        ..PLAIN
    },
    Hazard {
        id: "burnt seal",
        name: "Burnt rubber",
        words: &[
            "burnt seal", "burned seal", "fluoro*", "fkm", "viton", "after a fire",
            "fire damage*",
        ],
        but_not: &[],
        says: &[says(
            "burnt fluoro-rubber seals leave an acid that goes through skin: do not touch",
            &["do not touch", "hydrofluoric"],
        )],
        ..PLAIN
    },
    Hazard {
        id: "hot work",
        name: "Heat and sparks",
        words: &[
            "weld*", "grind*", "heat gun", "blowlamp", "blow torch", "gas torch", "brazing",
            "hot work", "induction heater", "cut off wheel", "naked flame",
        ],
        but_not: &[
            "no heat or grinding", "grinding paste", "grinding noise", "welded nut",
            "welded stud", "welds itself", "weld seam", "no welding", "hot lamp",
        ],
        says: &[says(
            "not near fuel, gas, airbags or looms; extinguisher at hand, looked at again \
                      later",
            &["extinguisher", "within reach"],
        )],
        ..PLAIN
    },
    Hazard {
        id: "running",
        name: "Running",
        words: &[
            "engine running", "engine run", "idling", "test run", "run up", "water test",
            "runs dry",
        ],
        but_not: &[],
        says: &[says(
            "fumes out of doors, hair and sleeves tied back, neutral and brake, nobody at \
                      the belt or the propeller; fans start with the key off; know how to stop it",
            &["fumes", "sleeves", "nobody at"],
        )],
        ..PLAIN
    },
];
