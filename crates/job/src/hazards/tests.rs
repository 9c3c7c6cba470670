//! Why: a table that recognises nothing, or everything, is worse than none.

use super::{TABLE, of_text};

fn ids(text: &str) -> Vec<&'static str> {
    of_text(text).into_iter().map(|hazard| hazard.id).collect()
}

/// What strangers call it, and what it is.
const NAMED: [(&str, &str); 46] = [
    ("high-pressure pipe, fuel rail to injector 3", "high-pressure fuel"),
    ("Common rail feed union", "high-pressure fuel"),
    ("injection pump delivery valve", "high-pressure fuel"),
    ("petrol hose to carburettor", "fuel"),
    ("Fuel return quick joint", "fuel"),
    ("gasoline tank strap", "fuel"),
    ("hydraulic ram foot pin", "hydraulics"),
    ("bucket cylinder union", "hydraulics"),
    ("power steering pressure pipe", "hydraulics"),
    ("A/C hose to condenser", "refrigerant"),
    ("air conditioning compressor", "refrigerant"),
    ("evaporator", "refrigerant"),
    ("rear air spring line", "air"),
    ("gas bottle regulator", "gas"),
    ("LPG tank union", "gas"),
    ("driver's airbag", "airbag"),
    ("seat-belt pretensioner plug", "airbag"),
    ("traction battery service plug", "high voltage"),
    ("HV cable, orange", "high voltage"),
    ("solar regulator", "supplies"),
    ("mains hook-up socket", "supplies"),
    ("48 V starter generator", "supplies"),
    ("start-stop second battery", "supplies"),
    ("battery earth lead", "battery"),
    ("raised on the two-post lift", "raised"),
    ("front jacked up", "raised"),
    ("axle stands under the sill", "raised"),
    ("tractor split at the bell housing", "split"),
    ("clutch cover", "spring"),
    ("timing belt tensioner", "spring"),
    ("starter recoil", "spring"),
    ("left strut", "spring"),
    ("coolant drained", "coolant"),
    ("Radiator bottom hose", "coolant"),
    ("water pump", "coolant"),
    ("front brake hose", "brakes"),
    ("clutch slave cylinder", "brakes"),
    ("clutch disc", "dust"),
    ("rear brake shoes", "dust"),
    ("asbestos gasket", "dust"),
    ("faces cleaned with brake cleaner", "solvent"),
    ("burnt seal scraped out", "burnt seal"),
    ("seized nut: heat gun", "hot work"),
    ("bracket welded on", "hot work"),
    ("engine running, belt watched", "running"),
    ("water test in the tub", "running"),
];

#[test]
fn what_strangers_call_it_is_recognised() {
    let mut missed = Vec::new();
    for (text, id) in NAMED {
        if !ids(text).contains(&id) {
            missed.push(format!("{text}: wanted {id}, found {:?}", ids(text)));
        }
    }
    assert!(missed.is_empty(), "{missed:#?}");
    for hazard in TABLE.iter().filter(|hazard| !hazard.words.is_empty()) {
        assert!(NAMED.iter().any(|(_, id)| *id == hazard.id), "no word tries {}", hazard.id);
    }
}

/// Words that look like a hazard and name none of that kind.
#[test]
fn look_alikes_are_left_alone() {
    let alike = [
        ("gas spring of the lid", "gas"),
        ("exhaust gas pipe", "gas"),
        ("air cleaner", "solvent"),
        ("air cleaner", "air"),
        ("spring washer", "spring"),
        ("hose spring clamp", "spring"),
        ("fuel gauge", "fuel"),
        ("fuel filler flap", "fuel"),
        ("roof rail", "high-pressure fuel"),
        ("seat rail screws", "high-pressure fuel"),
        ("hydraulic tappet", "hydraulics"),
        ("frame screws", "hydraulics"),
        ("grams", "hydraulics"),
        ("hydrogen sensor", "hydraulics"),
        ("points condenser", "refrigerant"),
        ("battery tray", "battery"),
        ("raised edge up", "raised"),
        ("work stand", "raised"),
        ("stand still", "raised"),
        ("dust cap", "dust"),
        ("idler pulley", "running"),
        ("timing belt tensioner", "airbag"),
        ("main seal", "supplies"),
        ("welded nut", "hot work"),
        ("strut brace", "spring"),
        ("radiator fan plug", "coolant"),
        ("ignition coil", "high voltage"),
        ("drain plug", "coolant"),
    ];
    for (text, id) in alike {
        assert!(!ids(text).contains(&id), "{text} is no {id}");
    }
    for plain in ["cover screws", "gearbox", "earth strap", "tray clips", "motor plate", "lamp"] {
        assert!(ids(plain).is_empty(), "{plain}: {:?}", ids(plain));
    }
}

/// The file's own words stay; the table adds only what they do not say.
#[test]
fn nothing_is_said_twice() {
    let coolant = TABLE.iter().find(|hazard| hazard.id == "coolant").unwrap();
    let whole = coolant.caution(&[]).unwrap();
    assert!(whole.contains("cap off slowly") && whole.contains("poisonous"), "{whole}");
    let rest = coolant.caution(&["cold engine; cap off slowly"]).unwrap();
    assert!(!rest.contains("cap off slowly") && rest.contains("poisonous"), "{rest}");
    assert_eq!(coolant.caution(&["cold engine first, poisonous to animals"]), None);
    let airbag = TABLE.iter().find(|hazard| hazard.id == "airbag").unwrap();
    let said = airbag.caution(&["battery off, never probed"]).unwrap();
    assert_eq!(said, "Airbag or seat-belt tensioner: who may do it: trained people only.");
}

/// No number of ours, nothing called safe, nothing in other words than the trade's.
#[test]
fn the_table_claims_nothing() {
    for hazard in TABLE {
        let text = hazard.sentence();
        assert!(text.len() > hazard.name.len() + 10, "{}", hazard.id);
        assert!(text.chars().count() <= 330, "too long for a card: {text}");
        let words: Vec<String> =
            text.to_lowercase().split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect();
        for word in ["safe", "safely", "min", "minutes", "seconds", "event", "tie", "load", "clear"]
        {
            let load = word == "load" && hazard.id == "spring";
            assert!(load || !words.iter().any(|w| w == word), "{word}: {text}");
        }
        assert!(!text.chars().any(|c| c.is_ascii_digit()), "a number of ours: {text}");
    }
}

/// The wrong twin: a table that recognises nothing is found out by the same words.
#[test]
fn a_table_that_recognises_nothing_is_found_out() {
    let blind = |_: &str| Vec::<&str>::new();
    assert!(NAMED.iter().all(|(text, id)| !blind(text).contains(id)));
    let eager = |_: &str| TABLE.iter().map(|hazard| hazard.id).collect::<Vec<_>>();
    assert!(eager("cover screws").contains(&"gas"), "what the look-alikes refuse");
}

/// Files and people mark a row by its word: every row has one, and every word a row.
#[test]
fn every_row_can_be_marked() {
    let mut ids: Vec<&str> = TABLE.iter().map(|hazard| hazard.id).collect();
    let mut words = lastbolt_machine::HAZARDS.to_vec();
    ids.sort_unstable();
    words.sort_unstable();
    assert_eq!(ids, words);
}
