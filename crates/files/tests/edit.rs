//! Changing a garage file: only what was meant changes, remarks stay, and what cannot be changed is
//! left alone.

use lastbolt_files::{Edit, EditError, edit_garage, typed};
use lastbolt_machine::Value;

const FILE: &str = "# our garage\n\n[person.Wren]   # since May\nnote = \"left-handed\"\n\n\
                    # small one\n[wrench.\"small, red\"]\nrange = \"5-25 N·m\" # printed\nclass = \
                    \"\"\"II\n[minutes]\n# A\"\"\"\n\n[minutes]\nscrew = 0.5\n# plugs are slow\n\
                    plug = 1\n\n# end\n";

fn path(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

fn set(text: &str, words: &[&str], value: &str) -> Result<String, EditError> {
    let value = typed(words[0], words[words.len() - 1], value)?;
    edit_garage(text, &Edit::Set(path(words), value))
}

/// One value changes, one line comes, one line goes: the rest is the same, byte for byte.
#[test]
fn the_rest_stays() {
    let changed = set(FILE, &["minutes", "screw"], "0,75").unwrap_or_default();
    assert_eq!(changed, FILE.replace("screw = 0.5", "screw = 0.75"));
    let more = set(FILE, &["minutes", "earth"], "2").unwrap_or_default();
    assert_eq!(more, FILE.replace("plug = 1\n", "plug = 1\nearth = 2\n"));
    let inside = set(FILE, &["wrench", "small, red", "step"], "1").unwrap_or_default();
    assert_eq!(inside, FILE.replace("# A\"\"\"\n", "# A\"\"\"\nstep = 1\n"));
    let gone = edit_garage(FILE, &Edit::Remove(path(&["minutes", "screw"])));
    assert_eq!(gone, Ok(FILE.replace("screw = 0.5\n", "")));
    let gone = edit_garage(FILE, &Edit::Remove(path(&["person", "Wren"])));
    let left = FILE.replace("[person.Wren]   # since May\nnote = \"left-handed\"\n", "");
    assert_eq!(gone, Ok(left));
    let windows = FILE.replace('\n', "\r\n");
    let more = set(&windows, &["minutes", "earth"], "2").unwrap_or_default();
    assert_eq!(more, windows.replace("plug = 1\r\n", "plug = 1\r\nearth = 2\r\n"));
}

/// From an empty file to everything, and names that need quotes.
#[test]
fn from_nothing() {
    let add = |text: &str, words: &[&str]| edit_garage(text, &Edit::Add(path(words)));
    let one = add("", &["person", "Ren é"]).unwrap_or_default();
    assert_eq!(one, "[person.\"Ren é\"]\n");
    assert_eq!(add(&one, &["person", "Ren é"]), Ok(one.clone()));
    let two = set(&one, &["display", "decimal"], ",").unwrap_or_default();
    assert_eq!(two, "[person.\"Ren é\"]\n\n[display]\ndecimal = \"comma\"\n");
    let three = set(&two, &["wrench", "a \"b\" \\", "range"], "20-200 N·m").unwrap_or_default();
    assert!(three.ends_with("[wrench.\"a \\\"b\\\" \\\\\"]\nrange = \"20-200 N·m\"\n"), "{three}");
    let same = edit_garage("[minutes]", &Edit::Set(path(&["minutes", "cable tie"]), two_tenths()));
    assert_eq!(same, Ok("[minutes]\n\"cable tie\" = 0.2\n".to_owned()));
}

fn two_tenths() -> Value {
    Value::Number("0.2".to_owned())
}

/// Other forms of writing are changed where that is certain, and refused where it is not.
#[test]
fn other_forms() {
    let inline = "minutes = { screw = 0.5, plug = 1 } # ours\n";
    let changed = set(inline, &["minutes", "screw"], "1").unwrap_or_default();
    assert_eq!(changed, inline.replace("0.5", "1"));
    assert_eq!(set(inline, &["minutes", "nut"], "1"), refused(inline));
    let gone = edit_garage(inline, &Edit::Remove(path(&["minutes", "screw"])));
    assert_eq!(gone, Err(EditError::OtherForm));
    let dotted = "display.decimal = \"comma\"\n[person.Wren]\n";
    assert!(set(dotted, &["display", "date"], "year-month-day").is_err());
    assert!(set(dotted, &["display", "decimal"], "point").is_ok());
}

fn refused(_: &str) -> Result<String, EditError> {
    Err(EditError::BadValue(
        "This does not fit under minutes, nut; nothing was changed.".to_owned(),
    ))
}

/// What is wrong gets its sentence, and nothing is changed.
#[test]
fn what_is_refused() {
    let broken = set("[minutes]\nscrew = \n", &["minutes", "screw"], "1");
    assert!(matches!(&broken, Err(EditError::Broken(2, _))), "{broken:?}");
    let sentence = |words: &[&str], value: &str| match set(FILE, words, value) {
        Err(error) => error.to_string(),
        Ok(_) => String::new(),
    };
    assert!(sentence(&["minute", "screw"], "1").contains("has no `minute`"));
    assert!(sentence(&["minutes", "screw"], "a while").contains("a number of minutes"));
    assert!(sentence(&["minutes", "screw"], "10001").contains("does not fit"));
    assert!(sentence(&["minutes", "screw"], "-1").contains("a number of minutes"));
    assert!(sentence(&["display", "decimal"], "dot").contains("one of: comma, point"));
    assert!(sentence(&["wrench", "small, red", "lenght"], "1").contains("has no `lenght`"));
    assert!(sentence(&["wrench", "small, red"], "1").contains("by its name"));
    assert!(sentence(&["person", "a\u{7}b", "note"], "1").contains("cannot be shown"));
    let gone = edit_garage(FILE, &Edit::Remove(path(&["person", "Finch"])));
    assert!(matches!(gone, Err(EditError::NotThere(_))));
}
