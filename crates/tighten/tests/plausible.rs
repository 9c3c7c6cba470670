//! A wrong decimal sign or unit is asked about, a usual value never; friction is explained, not
//! applied.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use lastbolt_tighten::{
    Screw, Thread, TroubleKind, doubtful, friction_explained, preload_band, read_torque, stripping,
};

fn screw<'a>(thread: &str, class: Option<&'a str>) -> Screw<'a> {
    Screw { thread: Thread::read(thread).unwrap(), class, friction: None, dkm_mm: None }
}

fn asked(torque: &str, thread: &str, class: Option<&str>) -> Option<String> {
    let question = doubtful(&read_torque(torque).unwrap(), &screw(thread, class)).unwrap();
    question.map(|trouble| trouble.to_string())
}

/// Values as makers give them for these screws are not asked about.
#[test]
fn usual_values() {
    for (torque, thread, class) in [
        ("10 N·m", "M6", Some("8.8")),
        ("7 N·m", "M6", None),
        ("25 N·m", "M8", Some("8.8")),
        ("18 lbf·ft", "M8", Some("8.8")),
        ("220 lbf·in", "M8", Some("8.8")),
        ("2,5 kgf·m", "M8", Some("8.8")),
        ("20-25 N·m", "M8", Some("10.9")),
        ("48 N·m", "M10", Some("8.8")),
        ("84 N·m", "M12", Some("8.8")),
        ("40 N·m", "M12", None),
        ("110 N·m", "M14x1.5", Some("10.9")),
    ] {
        assert_eq!(asked(torque, thread, class), None, "{torque} {thread}");
    }
}

/// A place of the decimal sign or another unit is found out, and what it may have been is named.
#[test]
fn slips() {
    for (torque, thread, class, meant) in [
        ("250 N·m", "M8", Some("8.8"), "25 N·m"),
        ("2.5 N·m", "M8", Some("8.8"), "25 N·m"),
        ("25 kgf·m", "M8", Some("8.8"), "2.5 kgf·m"),
        ("25 kgf·m", "M8", Some("8.8"), "25 N·m"),
        ("95 lbf·ft", "M6", Some("8.8"), "95 lbf·in"),
        ("480 N·m", "M10", None, "48 N·m"),
        ("840 N·m", "M12", Some("8.8"), "84 N·m"),
        ("1,2 N·m", "M8", Some("8.8"), "1.2 kgf·m"),
    ] {
        let question = asked(torque, thread, class).unwrap_or_else(|| panic!("{torque} {thread}"));
        assert!(question.contains(meant), "{torque} {thread}: {question}");
        assert!(question.contains("the maker's value holds"), "{question}");
    }
}

/// The band is ordered, narrow friction lies inside of it, a stronger class is used less.
#[test]
fn bands() {
    let band = |screw: &Screw<'_>| preload_band(25.0, screw).unwrap();
    let wide = band(&screw("M8", Some("8.8")));
    let narrow = band(&Screw { friction: Some((0.12, 0.10)), ..screw("M8", Some("8.8")) });
    assert!(wide.preload_n.0 < narrow.preload_n.0 && narrow.preload_n.1 < wide.preload_n.1);
    assert_eq!(narrow.friction, (0.10, 0.12));
    let strong = band(&screw("M8", Some("12.9")));
    assert!(strong.of_yield.unwrap().1 < wide.of_yield.unwrap().0);
    assert!(wide.of_proof.unwrap().0 > 0.5 && !wide.from_memory);
    assert!(band(&screw("M8", Some("5.6"))).from_memory);
    assert_eq!(band(&screw("M8", None)).of_yield, None);
    // Stainless screws have no proof load in their standard.
    assert_eq!(band(&screw("M8", Some("A2-70"))).of_proof, None);
    // What was taken from tables is named.
    assert_eq!(wide.assumed.len(), 3, "{:?}", wide.assumed);
}

/// Wrong by design: each has its field and its own kind.
#[test]
fn wrong_by_design() {
    let kind = |screw: Screw<'_>| {
        let trouble = preload_band(25.0, &screw).unwrap_err();
        (trouble.field, trouble.kind)
    };
    let say = |field: &str, kind| (field.to_owned(), kind);
    let m8 = screw("M8", Some("8.8"));
    let zero = Screw { friction: Some((0.0, 0.1)), ..m8 };
    assert_eq!(kind(zero), say("friction", TroubleKind::Zero));
    let much = Screw { friction: Some((0.1, 3.0)), ..m8 };
    assert_eq!(kind(much), say("friction", TroubleKind::OutOfRange));
    assert_eq!(kind(Screw { class: Some("8.9"), ..m8 }), say("class", TroubleKind::Unknown));
    assert_eq!(kind(screw("M36", None)), say("thread", TroubleKind::OutOfRange));
    assert_eq!(preload_band(-1.0, &m8).unwrap_err().kind, TroubleKind::Negative);
}

/// A thread in aluminium beside the preload of its screw; half the engagement strips at half the
/// force.
#[test]
fn threads_in_soft_material() {
    let thread = Thread::read("M8").unwrap();
    let long = stripping(&thread, 16.0, 240.0, 20_000.0).unwrap();
    let short = stripping(&thread, 8.0, 240.0, 20_000.0).unwrap();
    assert!((long.force_n - 50_670.0).abs() < 10.0);
    assert!((short.share / long.share - 2.0).abs() < 1e-9);
    assert_eq!(stripping(&thread, -1.0, 240.0, 1.0).unwrap_err().field, "Le");
}

/// The words say how much and in which direction, and that nothing is changed.
#[test]
fn friction_in_words() {
    let m8 = screw("M8", None);
    let oiled = friction_explained(&m8, 0.14, 0.10).unwrap();
    let rusty = friction_explained(&m8, 0.14, 0.24).unwrap();
    assert!(oiled.contains("% more") && rusty.contains("% less"), "{oiled} {rusty}");
    assert!(oiled.contains("is not changed here"));
    assert!(friction_explained(&m8, 0.14, 0.0).is_err());
}
