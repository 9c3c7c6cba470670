//! Which wrench, set to what: by hand worked cases, and what each wrong input is told.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use lastbolt_tighten::{
    Adapter, Exact, Held, TroubleKind, WarningKind, Wrench, WrenchText, adapter_angle_error,
    choose, lever_factor, read_torque, setting,
};

fn wrench(name: &str, range: &str, class: &str, step: &str, length: &str) -> Wrench {
    let text = WrenchText {
        range: Some(range),
        unit: None,
        class: Some(class).filter(|text| !text.is_empty()),
        step: Some(step).filter(|text| !text.is_empty()),
        length: Some(length).filter(|text| !text.is_empty()),
    };
    Wrench::read(name, text).unwrap()
}

fn garage() -> Vec<Wrench> {
    vec![
        wrench("large", "40-200 N·m", "II A", "1", "500"),
        wrench("small", "5-25 N·m", "II A", "0.5", "270 mm"),
        wrench("pound", "10-150 lbf·ft", "±4 %", "1", "18 in"),
        wrench("middle", "20-100 N·m", "II A", "0,5", "400"),
    ]
}

fn held(length: &str, degrees: f64) -> Held {
    Held { adapter: Adapter::read("offset ring", Some(length)).unwrap(), degrees }
}

/// The wrench with the value well inside comes first, those at their ends behind, the others say
/// why.
#[test]
fn the_right_one() {
    let garage = garage();
    let names = |text: &str| {
        let choice = choose(&read_torque(text).unwrap(), &garage, None);
        let name = |number: usize| garage[number].name.clone();
        let fits: Vec<String> = choice.fits.iter().map(|(n, _)| name(*n)).collect();
        let refused: Vec<String> = choice.refused.iter().map(|(n, _)| name(*n)).collect();
        (fits.join(" "), refused.join(" "))
    };
    let said = |fits: &str, refused: &str| (fits.to_owned(), refused.to_owned());
    assert_eq!(names("60 N·m"), said("middle large pound", "small"));
    assert_eq!(names("10 N·m"), said("small", "large pound middle"));
    assert_eq!(names("45 N·m"), said("middle pound large", "small"));
    assert_eq!(names("300 N·m"), said("", "large small pound middle"));
}

/// Set to the nearest mark of its own scale; what the screw then gets, and the band around it.
#[test]
fn on_its_scale() {
    let torque = read_torque("40 N·m").unwrap();
    let pound = setting(&torque, &garage()[2], None).unwrap();
    // 40 N·m is 29.50249 lbf·ft, so the mark is 30: 40.675 N·m.
    assert_eq!((pound.wanted.text(5), pound.set), ("29.50249".to_owned(), Exact::whole(30)));
    assert!((pound.off_percent - 1.686).abs() < 0.001);
    let band = pound.band.unwrap();
    assert_eq!((band.0.short(3), band.1.short(3)), ("28.8".to_owned(), "31.2".to_owned()));
    // The printed twin in the wrench's own unit is taken as it is printed.
    let twin = read_torque("40 N·m / 29 lbf·ft").unwrap();
    assert!(twin.question().is_some());
    let twin = read_torque("40 N·m / 29.5 lbf·ft").unwrap();
    assert_eq!(setting(&twin, &garage()[2], None).unwrap().wanted.short(6), "29.5");
    // Halfway between two marks: the lower, less torque.
    let half = read_torque("20.25 N·m").unwrap();
    assert_eq!(setting(&half, &garage()[1], None).unwrap().set, Exact::whole(20));
    // Marks are counted from the lowest one.
    let odd = wrench("odd", "7.5-47.5 N·m", "II A", "5", "");
    assert_eq!(setting(&torque, &odd, None).unwrap().set.short(1), "37.5");
}

/// An adapter ahead makes the lever longer, across nothing, back shorter; a wrong sign is found
/// out.
#[test]
fn behind_an_adapter() {
    let torque = read_torque("80 N·m").unwrap();
    let middle = &garage()[3];
    let set = |held: &Held| setting(&torque, middle, Some(held)).unwrap();
    // L = 400, E = 100: 80 * 400 / 500.
    assert_eq!(set(&held("100", 0.0)).set, Exact::whole(64));
    assert_eq!(set(&held("100", 90.0)).set, Exact::whole(80));
    assert_eq!(set(&held("100", 120.0)).wanted.short(4), "91.4286");
    assert_eq!(set(&held("100", 45.0)).wanted.text(4), "67.9823");
    let wrong_sign = 80.0 * 400.0 / (400.0 - 100.0);
    assert!((set(&held("100", 0.0)).wanted.to_f64() - wrong_sign).abs() > 40.0);
    // With the mark that was set the screw gets what the lever makes of it.
    let at = set(&held("70", 0.0));
    assert_eq!((at.set.short(2), at.applied.text(3)), ("68".to_owned(), "79.900".to_owned()));
    let angle = at.warnings.iter().find(|w| w.kind == WarningKind::AdapterAngle).unwrap();
    assert!(angle.text.contains("-10° the screw gets -0.2 %"), "{}", angle.text);
    // Across: ten degrees off are 100/400 * cos 80 = 4.3 %.
    let across = set(&held("100", 90.0));
    let angle = across.warnings.iter().find(|w| w.kind == WarningKind::AdapterAngle).unwrap();
    assert!(angle.text.contains("at 80° the screw gets +4.3 %, at 100° -4.3 %"), "{}", angle.text);
    let error = adapter_angle_error(Exact::whole(4), Exact::ONE, 90.0, 80.0).unwrap();
    assert!((error - 25.0 * 80.0_f64.to_radians().cos()).abs() < 1e-7);
}

/// It is the setting, not the torque, that has to lie within the marks.
#[test]
fn the_setting_counts() {
    let torque = read_torque("110 N·m").unwrap();
    let middle = &garage()[3];
    assert_eq!(setting(&torque, middle, None).unwrap_err().kind, TroubleKind::WrenchRange);
    assert_eq!(setting(&torque, middle, Some(&held("100", 0.0))).unwrap().set, Exact::whole(88));
    let low = read_torque("22 N·m").unwrap();
    assert!(setting(&low, middle, None).is_ok());
    let refused = setting(&low, middle, Some(&held("100", 0.0))).unwrap_err();
    assert_eq!(refused.message, "17.6 N·m lies below its lowest mark, 20 N·m.");
}

/// What is to be looked at is said.
#[test]
fn warnings() {
    let garage = garage();
    let kinds = |text: &str, wrench: &Wrench| {
        let setting = setting(&read_torque(text).unwrap(), wrench, None).unwrap();
        setting.warnings.iter().map(|warning| warning.kind).collect::<Vec<_>>()
    };
    assert_eq!(kinds("22 N·m", &garage[3]), [WarningKind::LowEnd]);
    assert_eq!(kinds("95 N·m", &garage[3]), [WarningKind::HighEnd]);
    assert_eq!(kinds("60 N·m", &garage[3]), []);
    // Above its lowest tenth, but below a fifth of its largest mark.
    let wide = wrench("wide", "1-100 N·m", "II A", "", "");
    assert_eq!(kinds("15 N·m", &wide), [WarningKind::LowEnd]);
    assert_eq!(
        kinds("60 N·m", &wrench("plain", "20-100 N·m", "", "1", "")),
        [WarningKind::NoClass]
    );
    let shows = wrench("shows", "20-100 N·m", "I B", "1", "");
    assert_eq!(kinds("60 N·m", &shows), [WarningKind::FromMemory]);
    let coarse = wrench("coarse", "20-100 N·m", "II A", "10", "");
    assert_eq!(kinds("45 N·m", &coarse), [WarningKind::Coarse]);
    assert_eq!(kinds("59-61 N·m", &garage[3]), [WarningKind::BeyondMakersRange]);
    assert_eq!(kinds("57-63 N·m", &garage[3]), []);
}

/// Each wrong input has a message of its own, with the field's name.
#[test]
fn wrong_by_design() {
    let torque = read_torque("80 N·m").unwrap();
    let adapter = |text: Option<&str>| Adapter::read("ring", text).unwrap_err();
    let field = |t: lastbolt_tighten::Trouble| (t.field, t.kind);
    let say = |field: &str, kind| (field.to_owned(), kind);
    assert_eq!(field(adapter(Some("-50"))), say("length", TroubleKind::Negative));
    assert_eq!(field(adapter(Some("0"))), say("length", TroubleKind::Zero));
    assert_eq!(field(adapter(Some("long"))), say("length", TroubleKind::NotUnderstood));
    assert_eq!(field(adapter(None)), say("length", TroubleKind::Missing));
    let middle = &garage()[3];
    let back = setting(&torque, middle, Some(&held("400", 180.0))).unwrap_err();
    assert_eq!(field(back), say("angle", TroubleKind::Cancels));
    let further = setting(&torque, middle, Some(&held("500", 180.0))).unwrap_err();
    assert_eq!(further.kind, TroubleKind::Cancels);
    let unmeasured = wrench("unmeasured", "20-100 N·m", "II A", "1", "");
    let missing = setting(&torque, &unmeasured, Some(&held("50", 90.0))).unwrap_err();
    assert_eq!(field(missing), say("length", TroubleKind::Missing));
    let nan = lever_factor(Exact::ONE, Exact::ONE, f64::NAN).unwrap_err();
    assert_eq!(field(nan), say("angle", TroubleKind::OutOfRange));
    let minus = lever_factor(Exact::whole(-1), Exact::ONE, 0.0).unwrap_err();
    assert_eq!(field(minus), say("L", TroubleKind::Negative));
    let read = |text: WrenchText<'_>| {
        let troubles = Wrench::read("w", text).unwrap_err();
        troubles.into_iter().map(field).collect::<Vec<_>>()
    };
    let all = WrenchText {
        range: Some("100-20"),
        unit: Some("N·m"),
        class: Some("Q"),
        step: Some("0"),
        length: Some("-3"),
    };
    let wrong = [
        say("range", TroubleKind::Contradiction),
        say("class", TroubleKind::Unknown),
        say("step", TroubleKind::Zero),
        say("length", TroubleKind::Negative),
    ];
    assert_eq!(read(all), wrong);
    let range = |range| WrenchText { range: Some(range), ..WrenchText::default() };
    assert_eq!(read(range("20-100")), [say("unit", TroubleKind::NoUnit)]);
    assert_eq!(read(range("")), [say("range", TroubleKind::Missing)]);
    assert_eq!(read(range("much")), [say("range", TroubleKind::NotUnderstood)]);
    let other = WrenchText { range: Some("20-100 N·m"), unit: Some("lbf·ft"), ..all };
    assert_eq!(read(other)[0], say("unit", TroubleKind::Contradiction));
}

/// A torque that no wrench can do is one sentence for the plan; so is an empty garage.
#[test]
fn nothing_fits() {
    let garage = garage();
    let say = |text: &str, garage: &[Wrench]| {
        let torque = read_torque(text).unwrap();
        choose(&torque, garage, None).nothing_fits(&torque, garage)
    };
    assert_eq!(say("60 N·m", &garage), None);
    let none = say("3 N·m", &garage).unwrap();
    assert_eq!(none.kind, TroubleKind::NoWrench);
    assert!(none.message.contains("small: 3 N·m lies below its lowest mark, 5 N·m."), "{none}");
    assert_eq!(say("60 N·m", &[]).unwrap().kind, TroubleKind::NoWrench);
    assert_eq!(say("40 N·m / 50 lbf·ft", &garage).unwrap().kind, TroubleKind::TwinDisagrees);
}
