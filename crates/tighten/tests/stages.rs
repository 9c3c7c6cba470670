//! Stages as makers write them: what is understood, what is asked, what stays words.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use lastbolt_tighten::{Action, Pattern, Stage, TroubleKind, read_stage};

/// One line for a stage: its actions, then patterns, marks and words.
fn told(stage: &Stage) -> String {
    let action = |action: &Action| match action {
        Action::ByHand => "hand".to_owned(),
        Action::Torque(torque) => {
            let entry = &torque.entries()[0];
            format!("{} {}", entry.aim().short(3), entry.unit.symbol())
        }
        Action::Angle(angle) => format!("{}°", angle.low.short(2)),
        Action::ToYield => "yield".to_owned(),
        Action::Slacken(None) => "slacken".to_owned(),
        Action::Slacken(Some(angle)) => format!("slacken {}°", angle.low.short(2)),
    };
    let mut parts: Vec<String> = stage.actions.iter().map(action).collect();
    parts.extend(stage.patterns.iter().map(|pattern| {
        match pattern {
            Pattern::Crosswise => "cross",
            Pattern::OppositePairs => "pairs",
            Pattern::FromTheMiddle => "middle",
            Pattern::Around => "around",
        }
        .to_owned()
    }));
    parts.extend(stage.new_screws.then(|| "new".to_owned()));
    parts.extend(stage.once.then(|| "once".to_owned()));
    parts.extend(stage.limit.iter().map(|length| format!("to {} mm", length.millimetres.short(3))));
    parts.extend(stage.words.iter().map(|words| format!("'{words}'")));
    parts.join("; ")
}

/// Makers' stages and what is made of them; nothing of these is asked.
#[test]
fn understood() {
    for (text, expected) in [
        ("17 N·m", "17 N·m"),
        ("by hand", "hand"),
        (
            "all by hand, case tight to the leg without force",
            "hand; 'case tight to the leg without force'",
        ),
        ("12 N·m crosswise", "12 N·m; cross"),
        ("by hand, star", "hand; cross"),
        ("147 N·m on the ground", "147 N·m; 'on the ground'"),
        ("weight on it, engine rocked", "'weight on it'; 'engine rocked'"),
        ("+45°", "45°"),
        ("125 N·m, after the rear screws", "125 N·m; 'after the rear screws'"),
        ("by hand until the faces meet", "hand; 'until the faces meet'"),
        ("30 N·m opposite pairs", "30 N·m; pairs"),
        ("45 N·m once", "45 N·m; once"),
        ("45 N·m crosswise from the middle", "45 N·m; cross; middle"),
        ("40 N·m + 90°", "40 N·m; 90°"),
        ("40 N·m +90° + 90°", "40 N·m; 90°; 90°"),
        ("40 N·m then 1/4 turn", "40 N·m; 90°"),
        ("40 Nm, a further quarter turn", "40 N·m; 90°"),
        ("turn by 90 deg", "90°"),
        ("slacken again, then 20 N·m", "slacken; 20 N·m"),
        ("20 N·m, slacken by 180°, 40 N·m", "20 N·m; slacken 180°; 40 N·m"),
        ("40 N·m, then to yield, new screws", "40 N·m; yield; new"),
        ("20-25 N·m", "22.5 N·m"),
        ("1,2 kgf·m / 12 N·m, new above 121,5 mm", "1.2 kgf·m; to 121.5 mm"),
        ("Tighten to 40 N·m (30 lbf·ft).", "40 N·m"),
        ("M8 screws first", "'M8 screws first'"),
        ("90° ± 5°", "85°"),
        ("wait 5 minutes", "'wait 5 minutes'"),
        ("oil the threads, 30 ft lbs", "30 lbf·ft; 'oil the threads'"),
        ("", ""),
    ] {
        let stage = read_stage(text);
        assert_eq!(told(&stage), expected, "{text}");
        assert_eq!((stage.text.as_str(), stage.open()), (text, vec![]), "{text}");
    }
}

/// What looks like a value and is none, or two, is asked and not used.
#[test]
fn asked() {
    for (text, kind) in [
        ("40", TroubleKind::NoUnit),
        ("40 crosswise", TroubleKind::NoUnit),
        ("40 lb", TroubleKind::NoUnit),
        ("tighten to 40 quux", TroubleKind::NoUnit),
        ("1,200 lbf·in", TroubleKind::TwoReadings),
        ("-40 N·m", TroubleKind::Negative),
        ("0 N·m", TroubleKind::Zero),
        ("40 N·m / 50 lbf·ft", TroubleKind::TwinDisagrees),
        ("M8: 24 N·m, M10: 46 N·m", TroubleKind::TwoReadings),
        ("long screws 24 N·m, short screws 20 N·m", TroubleKind::TwoReadings),
        ("9000°", TroubleKind::OutOfRange),
        ("0°", TroubleKind::Zero),
        ("new above the mark", TroubleKind::NotUnderstood),
    ] {
        let stage = read_stage(text);
        let kinds: Vec<TroubleKind> = stage.open().iter().map(|trouble| trouble.kind).collect();
        assert_eq!(kinds, [kind], "{text}: {stage:?}");
    }
}

/// Numbers among the maker's words are shown as written, with a sentence, and are not used.
#[test]
fn noted() {
    for text in ["after 5 minutes", "screw 3 first", "at 20 °C", "by hand, 2 turns"] {
        let stage = read_stage(text);
        assert!(stage.torques().next().is_none() && stage.open().is_empty(), "{text}: {stage:?}");
    }
    let stage = read_stage("again after 5 minutes");
    assert_eq!(stage.notes, ["\"5 minutes\" is shown as written; it is no torque and no angle."]);
}

/// Noise never ends the program and never becomes a value without digits.
#[test]
fn noise() {
    let signs = [
        "40", "N·m", "/", "(", "±", "-", ",", ".", "°", "½", "1/", " ", "x", "+", "\u{0}", "ß",
        "鉄", "to",
    ];
    let mut seed = 7_u64;
    for _ in 0..20_000 {
        let mut text = String::new();
        for _ in 0..8 {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            text.push_str(signs[usize::try_from(seed >> 40).unwrap() % signs.len()]);
        }
        let stage = read_stage(&text);
        for torque in stage.torques() {
            assert!(torque.text.chars().any(|c| c.is_ascii_digit() || c == '½'), "{text}");
        }
    }
}

/// "One turn a round" says how fast a cover is drawn down; it turns no screw by an angle, after
/// which it would have to be new. "90°" behind a hand-tight screw is an angle all the same.
#[test]
fn how_far_at_a_time_is_no_angle() {
    for text in [
        "by hand, crosswise one turn a round until it sits on its dowels",
        "by hand, half a turn at a time",
        "by hand, 1/2 turn each round",
    ] {
        let stage = read_stage(text);
        assert_eq!(stage.actions, [Action::ByHand], "{text}");
        assert!(!stage.words.is_empty() && stage.open().is_empty(), "{text}: {stage:?}");
    }
    for text in ["by hand, then 1/2 turn", "by hand, 90°", "one turn"] {
        assert!(read_stage(text).is_beyond_torque(), "{text}");
    }
}
