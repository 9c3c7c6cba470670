//! `docs/machine-file.md` says what the reader does: its example is clean, every key is there.

use lastbolt_files::{Source, check_all, keys, shapes};

fn document() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/machine-file.md");
    std::fs::read_to_string(path).expect("docs/machine-file.md")
}

#[test]
fn example_is_clean() {
    let document = document();
    let example = document.split("```toml\n").nth(1).and_then(|rest| rest.split("```").next());
    let example = example.expect("an example");
    assert!(example.contains("[job]"));
    assert_eq!(check_all(&[Source::new("example", example)]), []);
}

/// Every key the reader takes is in the document, and every example of the tables is read.
#[test]
fn every_key_is_named() {
    let document = document();
    for (table, keys) in keys::ALL {
        for key in *keys {
            assert!(document.contains(&format!("`{key}`")), "`{key}` of {table}");
        }
    }
}

/// The table of shapes has every key that the reader takes, once, and no other.
#[test]
fn shapes_and_keys_are_the_same() {
    let of = |table: &str| -> Vec<&str> {
        let lines = shapes::LINES.iter().filter(|(of, ..)| *of == table);
        lines.map(|(_, key, ..)| *key).collect()
    };
    let mut lines = 0;
    for (table, keys) in keys::ALL {
        let mut described = of(table);
        let mut known = keys.to_vec();
        lines += described.len();
        described.sort_unstable();
        known.sort_unstable();
        assert_eq!(described, known, "{table}");
    }
    assert_eq!(lines, shapes::LINES.len(), "no line of another table");
    for (table, key) in shapes::REQUIRED {
        assert!(of(table).contains(key), "{table}, {key}");
    }
}

/// Where the document describes a key in a table of its own, the shapes say the same.
#[test]
fn shapes_say_what_the_document_says() {
    let document = document().replace(['`', '*'], "");
    let mut said = 0;
    for (table, key, _, what) in shapes::LINES {
        let own = ["part", "spot", "prep", "way", "machine file"].contains(table);
        let is_table = matches!(
            shapes::line(table, key),
            Some((_, _, shapes::Shape::Tables(_) | shapes::Shape::Pairs, _))
                | Some((_, _, shapes::Shape::Table("job"), _))
        );
        if own && !is_table {
            let found = document.lines().any(|line| line.contains(key) && line.contains(what));
            assert!(found, "{table}, {key}: {what}");
            said += 1;
        }
    }
    assert!(said > 45, "only {said}");
}

/// The example of each line of the tables is taken as it stands.
#[test]
fn examples_of_the_tables_are_right() {
    let document = document();
    let mut head = "";
    let mut count = 0;
    for line in document.lines() {
        head = match line {
            _ if line.contains("`[spot.NAME]`") => "[spot.a]\n",
            _ if line.contains("`[between]` and") => "[between]\n",
            _ if line.contains("`[prep.NAME]`") => "[prep.a]\n",
            _ if line.contains("`[part.NAME]`") => "[part.a]\n",
            _ if line.contains("`[tie.NAME]`") => "[tie.a]\n",
            "## Job files" => "machine_file = \"m\"\n[job]\n",
            "## Garage files" => "[minutes]\n",
            "## One entry of `ways` or `back`" => "way",
            _ if line.starts_with("| in |") => "no examples",
            _ if line.starts_with("## ") => "",
            _ => head,
        };
        if head == "no examples" {
            continue;
        }
        let cells: Vec<&str> = line.split(" | ").collect();
        let Some(example) = cells.get(3).map(|cell| cell.trim_end_matches(" |").trim_matches('`'))
        else {
            continue;
        };
        if example == "example" || example.starts_with('[') || example.starts_with("decimal") {
            continue;
        }
        let text = match head {
            "way" => format!("[tie.a]\nways = [{{ {example} }}]\n"),
            _ if example.starts_with("machine_file") => format!("{example}\n[job]\n"),
            _ => format!("{head}{example}\n"),
        };
        let (_, problems) =
            lastbolt_files::read(&[Source::new("x", text.clone())], Default::default());
        assert_eq!(problems, [], "{text}");
        count += 1;
    }
    assert!(count > 60, "only {count} examples found");
}
