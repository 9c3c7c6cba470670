//! Changing one thing of a garage file: every other line, remark and blank stays as it is.
//!
//! The change is made in the text and then proved: the new text is read again and must say what
//! the old one said but for this change. What cannot be changed so is left to the user's editor.

use std::collections::BTreeMap;
use std::ops::Range;

use lastbolt_machine::{FileNo, Level, Value};
use toml::de::{DeTable, DeValue};

use crate::garage::read_garage;
use crate::keys;
use crate::limits::FILE_BYTES_MAX;
use crate::shapes::{self, Shape};
use crate::source::Source;
use crate::text::Text;
use crate::tree::{Data, Entry};
use crate::write::quoted;

/// One change. A path is a table (`minutes`, `display`) and a key, or a table (`person`, `wrench`,
/// `adapter`, `tool`), a name and perhaps a key.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Makes a named table; nothing happens where it is there.
    Add(Vec<String>),
    /// Says something anew, making what is missing on the way.
    Set(Vec<String>, Value),
    /// Takes a key or a named table away.
    Remove(Vec<String>),
}

/// Why a change was not made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The file has errors: the first one, with its line.
    Broken(u32, String),
    /// There is no such place in a garage file.
    NoPlace(String),
    /// The value does not fit there.
    BadValue(String),
    /// There is nothing to take away.
    NotThere(String),
    /// It stands there in a form that is not changed here.
    OtherForm,
}

impl std::fmt::Display for EditError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Broken(line, message) => {
                write!(
                    f,
                    "The garage file has an error in line {line}, so it was left as it is: "
                )?;
                write!(f, "{message} Correct that first.")
            }
            Self::NoPlace(text) | Self::BadValue(text) | Self::NotThere(text) => f.write_str(text),
            Self::OtherForm => f.write_str(
                "The garage file has this in a form that is not changed here; change it in an \
                 editor.",
            ),
        }
    }
}

impl std::error::Error for EditError {}

/// Makes a change in the text of a garage file and gives the new text.
///
/// # Errors
/// Says why it cannot be made; the text is then as good as before.
pub fn edit_garage(text: &str, edit: &Edit) -> Result<String, EditError> {
    let (mark, text) = text.strip_prefix('\u{feff}').map_or(("", text), |rest| ("\u{feff}", rest));
    let old = whole(text)?;
    check(edit, &old)?;
    let new = match edit {
        Edit::Add(path) if old.contains_key(path) => text.to_owned(),
        Edit::Add(path) => with_table(text, path),
        Edit::Set(path, value) => set(text, path, value)?,
        Edit::Remove(path) => remove(text, path)?,
    };
    if new.len() > FILE_BYTES_MAX {
        return Err(EditError::BadValue("The garage file would be larger than 2 MB.".to_owned()));
    }
    let read = whole(&new).map_err(|_| EditError::BadValue(refused(edit)))?;
    if without_empty(read, edit) != without_empty(wanted(old, edit), edit) {
        return Err(EditError::OtherForm);
    }
    Ok(format!("{mark}{new}"))
}

fn refused(edit: &Edit) -> String {
    let (Edit::Add(path) | Edit::Set(path, _) | Edit::Remove(path)) = edit;
    format!("This does not fit under {}; nothing was changed.", path.join(", "))
}

/// Reads what somebody typed as the value of a key. A decimal comma is taken.
///
/// # Errors
/// Says what fits there.
pub fn typed(table: &str, key: &str, text: &str) -> Result<Value, EditError> {
    let text = text.trim();
    let bad = |what: &str| Err(EditError::BadValue(format!("`{key}` takes {what}.")));
    if text.is_empty() {
        return bad("something; to take it away, remove it");
    }
    if table == "minutes" {
        return number(text).map_or_else(|| bad("a number of minutes, such as 0.5"), Ok);
    }
    match shapes::line(table, key).map(|(_, _, shape, _)| *shape) {
        Some(Shape::OneOf(words)) => {
            let plain = |text: &str| text.to_lowercase().replace([' ', '·'], "");
            match words.iter().find(|word| plain(word) == plain(text)) {
                Some(word) => Ok(Value::Text((*word).to_owned())),
                None if key == "decimal" && matches!(text, "," | ".") => {
                    Ok(Value::Text(if text == "," { "comma" } else { "point" }.to_owned()))
                }
                None => bad(&format!("one of: {}", words.join(", "))),
            }
        }
        Some(Shape::Measure) => Ok(number(text).unwrap_or_else(|| Value::Text(text.to_owned()))),
        _ => Ok(Value::Text(text.to_owned())),
    }
}

/// Plain digits with a point or a comma.
fn number(text: &str) -> Option<Value> {
    let text = text.replace(',', ".");
    let (whole, decimals) = text.split_once('.').unwrap_or((&text, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let fits = digits(whole) && digits(decimals) && text.len() < 20;
    let whole = whole.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    fits.then(|| match text.split_once('.') {
        Some(_) => Value::Number(format!("{whole}.{decimals}")),
        None => Value::Number(whole.to_owned()),
    })
}

/// Everything that a text says, by path; a table counts by itself.
type Whole = BTreeMap<Vec<String>, Value>;

fn whole(text: &str) -> Result<Whole, EditError> {
    let source = [Source::new("garage.toml", text)];
    let (_, problems) = read_garage(&source, FileNo(0));
    if let Some(first) = problems.iter().find(|problem| problem.level == Level::Error) {
        return Err(EditError::Broken(first.at.line, first.message.clone()));
    }
    let mut all = Whole::new();
    spread(&Text::read(&source[0], FileNo(0)).root, &mut Vec::new(), &mut all);
    Ok(all)
}

fn spread(entries: &[Entry], path: &mut Vec<String>, all: &mut Whole) {
    for entry in entries {
        path.push(entry.key.clone());
        if let Data::Table(inner) = &entry.node.data {
            all.insert(path.clone(), Value::Table(Vec::new()));
            spread(inner, path, all);
        } else {
            all.insert(path.clone(), entry.node.value());
        }
        path.pop();
    }
}

/// What the new text must say.
fn wanted(mut all: Whole, edit: &Edit) -> Whole {
    let (Edit::Add(path) | Edit::Set(path, _) | Edit::Remove(path)) = edit;
    if let Edit::Remove(path) = edit {
        all.retain(|one, _| !one.starts_with(path));
        return all;
    }
    for length in 1..=path.len() {
        all.entry(path[..length].to_vec()).or_insert(Value::Table(Vec::new()));
    }
    if let Edit::Set(path, value) = edit {
        all.insert(path.clone(), value.clone());
    }
    all
}

/// What a removal empties may be gone with it: a table that stood only in the heads of others.
fn without_empty(mut all: Whole, edit: &Edit) -> Whole {
    let Edit::Remove(path) = edit else { return all };
    for length in (1..path.len()).rev() {
        let table = &path[..length];
        let is_empty = !all.keys().any(|one| one.len() > length && one.starts_with(table));
        if is_empty {
            all.remove(table);
        }
    }
    all
}

fn check(edit: &Edit, old: &Whole) -> Result<(), EditError> {
    let (Edit::Add(path) | Edit::Set(path, _) | Edit::Remove(path)) = edit;
    let table = path.first().map_or("", String::as_str);
    let no_place = |text: String| Err(EditError::NoPlace(text));
    if !keys::GARAGE.contains(&table) {
        let known = keys::GARAGE.join(", ");
        return no_place(format!("A garage file has no `{table}`. Known: {known}."));
    }
    let flat = matches!(table, "minutes" | "display");
    let fits = match edit {
        Edit::Add(_) => !flat && path.len() == 2,
        Edit::Set(..) => path.len() == if flat { 2 } else { 3 },
        Edit::Remove(_) => path.len() == 2 || (!flat && path.len() == 3),
    };
    if !fits || path.iter().any(|word| word.trim().is_empty() || word.trim() != word) {
        return no_place(if flat {
            format!("Say which of `{table}` is meant: one word after it.")
        } else {
            format!("Say which of `{table}` is meant by its name, and then which key.")
        });
    }
    if path.iter().flat_map(|word| word.chars()).any(char::is_control) {
        return no_place("A name may have no signs that cannot be shown.".to_owned());
    }
    let known = || shapes::LINES.iter().filter(|(of, ..)| *of == table).map(|(_, key, ..)| *key);
    if let Edit::Set(path, _) = edit
        && table != "minutes"
        && let Some(key) = path.last()
        && !known().any(|one| one == key)
        && !key.starts_with("x-")
    {
        let known: Vec<&str> = known().collect();
        return no_place(format!("`{table}` has no `{key}`. Known: {}.", known.join(", ")));
    }
    if matches!(edit, Edit::Remove(_)) && !old.contains_key(path) {
        let what = format!("There is no {} in the garage file.", path.join(", "));
        return Err(EditError::NotThere(what));
    }
    Ok(())
}

fn written(value: &Value) -> String {
    match value {
        Value::Text(text) => quoted(text),
        Value::Number(digits) => digits.clone(),
        Value::Flag(flag) => flag.to_string(),
        Value::List(all) => format!("[{}]", all.iter().map(written).collect::<Vec<_>>().join(", ")),
        Value::Table(all) => {
            let all = all.iter().map(|(key, value)| format!("{} = {}", bare(key), written(value)));
            format!("{{ {} }}", all.collect::<Vec<_>>().join(", "))
        }
    }
}

/// A key, in quotes where it needs them.
fn bare(key: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    if key.chars().all(plain) { key.to_owned() } else { quoted(key) }
}

fn head(path: &[String]) -> String {
    format!("[{}]", path.iter().map(|word| bare(word)).collect::<Vec<_>>().join("."))
}

fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

fn with_table(text: &str, path: &[String]) -> String {
    let end = line_end(text);
    let mut new = text.to_owned();
    if !new.is_empty() && !new.ends_with('\n') {
        new.push_str(end);
    }
    if !new.trim().is_empty() && !new.ends_with(&format!("{end}{end}")) {
        new.push_str(end);
    }
    new + &head(path) + end
}

fn set(text: &str, path: &[String], value: &Value) -> Result<String, EditError> {
    let layout = Layout::of(text)?;
    if let Some(leaf) = layout.leaves.iter().find(|leaf| leaf.path == path) {
        let mut new = text.to_owned();
        new.replace_range(leaf.value.clone(), &written(value));
        return Ok(new);
    }
    let (key, table) = path.split_last().ok_or(EditError::OtherForm)?;
    let line = format!("{} = {}", bare(key), written(value));
    match layout.sections.iter().rposition(|section| section.path == table) {
        Some(at) => {
            let end = layout.content_end(text, at);
            let mut new = text.to_owned();
            let before = if text[..end].ends_with('\n') { "" } else { line_end(text) };
            new.insert_str(end, &format!("{before}{line}{}", line_end(text)));
            Ok(new)
        }
        None => Ok(with_table(text, table) + &line + line_end(text)),
    }
}

fn remove(text: &str, path: &[String]) -> Result<String, EditError> {
    let layout = Layout::of(text)?;
    let mut spans: Vec<Range<usize>> = Vec::new();
    for (at, section) in layout.sections.iter().enumerate() {
        if section.path.starts_with(path) {
            spans.push(section.start..layout.content_end(text, at));
        }
    }
    if let Some(leaf) = layout.leaves.iter().find(|leaf| leaf.path == path) {
        let start = text[..leaf.key].rfind('\n').map_or(0, |at| at + 1);
        if !text[start..leaf.key].trim().is_empty() {
            return Err(EditError::OtherForm);
        }
        let end =
            text[leaf.value.end..].find('\n').map_or(text.len(), |at| leaf.value.end + at + 1);
        spans.push(start..end);
    }
    let mut new = text.to_owned();
    for span in spans.into_iter().rev() {
        new.replace_range(span, "");
    }
    Ok(new)
}

/// Where the lines of tables and the values stand in a text.
struct Layout {
    sections: Vec<Section>,
    leaves: Vec<Leaf>,
}

/// From one table's line to the next one's.
struct Section {
    path: Vec<String>,
    start: usize,
    end: usize,
}

struct Leaf {
    path: Vec<String>,
    key: usize,
    value: Range<usize>,
}

impl Layout {
    fn of(text: &str) -> Result<Self, EditError> {
        let table = DeTable::parse(text).map_err(|_| EditError::OtherForm)?;
        let mut leaves = Vec::new();
        leaves_of(table.get_ref(), &mut Vec::new(), &mut leaves);
        let inside = |at: usize| leaves.iter().any(|leaf| leaf.value.contains(&at));
        let mut sections: Vec<Section> = Vec::new();
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let is_head = line.trim_start().starts_with('[') && !inside(start);
            if let Some(path) = is_head.then(|| head_path(line)).flatten() {
                if let Some(last) = sections.last_mut() {
                    last.end = start;
                }
                sections.push(Section { path, start, end: text.len() });
            }
            start += line.len();
        }
        Ok(Self { sections, leaves })
    }

    /// Where the last line of a section ends that says something; remarks and blanks after it may
    /// belong to what follows.
    fn content_end(&self, text: &str, section: usize) -> usize {
        let section = &self.sections[section];
        let inside = |from: usize, to: usize| {
            self.leaves.iter().any(|leaf| leaf.value.start < to && leaf.value.end > from)
        };
        let (mut at, mut end) = (section.start, section.start);
        for line in text[section.start..section.end].split_inclusive('\n') {
            let says = !line.trim().is_empty() && !line.trim_start().starts_with('#');
            let next = at + line.len();
            if says || inside(at, next) {
                end = next;
            }
            at = next;
        }
        end
    }
}

fn leaves_of(table: &DeTable<'_>, path: &mut Vec<String>, all: &mut Vec<Leaf>) {
    for (key, value) in table {
        path.push(key.get_ref().to_string());
        if let DeValue::Table(inner) = value.get_ref() {
            leaves_of(inner, path, all);
        } else {
            all.push(Leaf { path: path.clone(), key: key.span().start, value: value.span() });
        }
        path.pop();
    }
}

/// The path in a table's line.
fn head_path(line: &str) -> Option<Vec<String>> {
    let parsed = DeTable::parse(line).ok()?;
    let mut path = Vec::new();
    let mut table = parsed.get_ref();
    while let Some((key, value)) = table.iter().next() {
        path.push(key.get_ref().to_string());
        let DeValue::Table(inner) = value.get_ref() else { return None };
        table = inner;
    }
    Some(path)
}
