//! `ways` and `back`.

use lastbolt_machine::validate::nearest;
use lastbolt_machine::{Back, Ref, Way};

use crate::fields::{Fields, Found};
use crate::keys;
use crate::limits::{NAME_CHARS_MAX, WAYS_MAX};
use crate::tree::{Data, Entry, Node};

/// What a prep's `back` says where nothing has to be done.
const BY_ITSELF: &str = "by itself";

impl Fields<'_> {
    /// The ways under a key; `None` if the key is not there.
    pub(crate) fn ways(&mut self, key: &str) -> Option<Vec<Way>> {
        let node = self.node(key)?;
        Some(ways(self.found, node, key))
    }

    /// `back` of a part or tie: ways only.
    pub(crate) fn back(&mut self) -> Back {
        let Some(node) = self.node("back") else {
            return Back::Unstated;
        };
        if let Data::Text(text) = &node.data
            && nearest(text, [BY_ITSELF]).is_some()
        {
            self.found.error(
                node.at,
                "wrong-type",
                "Only a condition ([prep]) can end by itself.",
                "Write how it goes back: back = [{ minutes = 1 }], or leave `back` out.",
            );
            return Back::Unstated;
        }
        Back::Ways(ways(self.found, node, "back"))
    }

    /// `back` of a prep: ways, or "by itself".
    pub(crate) fn prep_back(&mut self) -> Back {
        let Some(node) = self.node("back") else {
            return Back::Unstated;
        };
        let Data::Text(text) = &node.data else {
            return Back::Ways(ways(self.found, node, "back"));
        };
        if text.trim() != BY_ITSELF && !node.reported {
            let message = format!("`back` cannot be \"{}\".", text.trim());
            let help = "Write back = \"by itself\", or how it is ended: \
                        back = [{ minutes = 1 }].";
            self.found.error(node.at, "bad-back", message, help);
        }
        Back::ByItself(node.at)
    }
}

fn ways(found: &mut Found, node: &Node, key: &str) -> Vec<Way> {
    let nodes = match &node.data {
        Data::List(nodes) => nodes.as_slice(),
        Data::Table(entries) => {
            let help = format!("Put square brackets round it: {key} = [{{ ... }}].");
            found.wrong_type(node, key, "a list", help);
            return vec![way(found, node, entries)];
        }
        _ => {
            let help = format!("Write {key} = [{{ from = \"...\", minutes = 1 }}].");
            found.wrong_type(node, key, "a list of { ... }", help);
            return Vec::new();
        }
    };
    if nodes.len() > WAYS_MAX {
        let message = format!("`{key}` has more than {WAYS_MAX} entries.");
        found.error(node.at, "too-many", message, "Keep those that are really used.");
    }
    let mut all = Vec::new();
    for one in nodes.iter().take(WAYS_MAX) {
        if let Data::Table(entries) = &one.data {
            all.push(way(found, one, entries));
        } else {
            let help = "Write { from = \"...\", tool = \"...\", minutes = 1 }.".to_owned();
            found.wrong_type(one, key, "entries in curly brackets", help);
        }
    }
    all
}

fn way(found: &mut Found, node: &Node, entries: &[Entry]) -> Way {
    let mut fields = Fields::new(found, "An entry of `ways` or `back`", entries, keys::WAY);
    Way {
        at: node.at,
        from: fields.name("from"),
        tool: fields.name("tool"),
        minutes: fields.minutes("minutes"),
        clear: fields.names("clear"),
        needs: fields.names("needs"),
        also: fields.texts("also"),
        feel: fields.flag("feel"),
        breaks: chance(&mut fields, "breaks"),
        note: fields.text("note"),
    }
}

/// A chance: a text such as "likely", or a number from 0 to 1, kept as written.
pub(crate) fn chance(fields: &mut Fields<'_>, key: &str) -> Option<Ref> {
    const WORDS: &[&str] = &["likely", "possible", "unlikely"];
    let node = fields.node(key)?;
    let help = || format!("Write {key} = \"likely\", \"possible\", \"unlikely\", or 0 to 1.");
    match &node.data {
        Data::Number { digits, number } => {
            if !(0.0..=1.0).contains(number) && !node.reported {
                let message = format!("`{key}` is {digits}; a chance lies between 0 and 1.");
                fields.found.error(node.at, "bad-number", message, help());
            }
            Some(Ref::new(digits.clone(), node.at))
        }
        Data::Text(_) => {
            let text = fields.found.text(node, key, NAME_CHARS_MAX)?;
            if !WORDS.contains(&text.name()) && !node.reported {
                let message = format!("`{key}` cannot be \"{}\".", text.name());
                fields.found.error(node.at, "bad-chance", message, help());
            }
            Some(text)
        }
        _ => {
            fields.found.wrong_type(node, key, "a word or a number", help());
            None
        }
    }
}
