//! `lastbolt garage`.

use std::path::Path;

use lastbolt_files::{Edit, typed};
use lastbolt_floor::{Offered, Own, change_own_file, offered};
use lastbolt_machine::Value;
use lastbolt_machine::minutes::KNOWN_KINDS;
use lastbolt_store::{Garage, GarageLock, Serving, StoreError, Who};
use serde_json::{Value as Json, json};

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::post;

/// Prints what the garage has once and for all, or changes one thing of it.
///
/// People, torque wrenches, adapters, tools, your own usual minutes, and how numbers and dates are
/// shown stand in garage.toml in the garage folder; every other line of it stays as it is.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(subcommand)]
    change: Option<Change>,
    /// Prints it as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Subcommand)]
enum Change {
    /// Adds a person, wrench, adapter or tool by name.
    ///
    /// For example: lastbolt garage add wrench "small, red"
    Add {
        /// One of: person, wrench, adapter, tool.
        sort: String,
        /// What it is called.
        name: String,
    },
    /// Says something anew; what is missing is added.
    ///
    /// For example: lastbolt garage set minutes screw 0.5, or: lastbolt garage set wrench "small,
    /// red" range "5-25 N·m", or: lastbolt garage set display decimal comma
    Set {
        /// Where (minutes KIND, display KEY, or person, wrench, adapter, tool NAME KEY) and what.
        #[arg(value_name = "WHERE... WHAT", num_args = 3..=4, required = true)]
        words: Vec<String>,
    },
    /// Takes something away: a person, wrench, adapter or tool by name, or one thing said of it.
    Remove {
        /// Where: minutes KIND, display KEY, or person, wrench, adapter, tool NAME [KEY].
        #[arg(value_name = "WHERE", num_args = 2..=3, required = true)]
        words: Vec<String>,
    },
}

/// Runs the command.
///
/// # Errors
/// Says why nothing was changed, or what is wrong with the file.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let Some(change) = &args.change else { return print(args.json, context) };
    let (edit, sent) = change.read()?;
    let dir = context.garage_dir()?;
    match GarageLock::acquire(&dir) {
        Ok(lock) => change_own_file(lock.garage(), &edit).map_err(|why| Failure::given(why, ""))?,
        Err(StoreError::Held { who: Who::Server(serving), .. }) => send(&serving, &sent)?,
        Err(error) => return Err(error.into()),
    }
    context.line(&said(&edit))?;
    Ok(Done::Well)
}

impl Change {
    /// The change, and how it is sent to a running server.
    fn read(&self) -> Result<(Edit, Json), Failure> {
        let trimmed = |words: &[String]| -> Vec<String> {
            words.iter().map(|word| word.trim().to_owned()).collect()
        };
        Ok(match self {
            Self::Add { sort, name } => {
                let path = trimmed(&[sort.clone(), name.clone()]);
                (Edit::Add(path.clone()), json!({ "version": 1, "do": "add", "path": path }))
            }
            Self::Remove { words } => {
                let path = trimmed(words);
                (Edit::Remove(path.clone()), json!({ "version": 1, "do": "remove", "path": path }))
            }
            Self::Set { words } => {
                let mut path = trimmed(words);
                let text = path.pop().unwrap_or_default();
                let (table, key) = (path[0].clone(), path[path.len() - 1].clone());
                let value = typed(&table, &key, &text);
                let value = value.map_err(|error| Failure::asked(error.to_string(), ""))?;
                let sent = json!({ "version": 1, "do": "set", "path": path, "value": text });
                (Edit::Set(path, value), sent)
            }
        })
    }
}

fn send(serving: &Serving, sent: &Json) -> Result<(), Failure> {
    let url = format!("{}/api/garage", serving.address);
    post(serving, &url, "application/json", sent.to_string().as_bytes()).map(|_| ())
}

fn said(edit: &Edit) -> String {
    match edit {
        Edit::Add(path) => format!("kept: {}", path.join(", ")),
        Edit::Set(path, value) => format!("kept: {}: {}", path.join(", "), plain(value)),
        Edit::Remove(path) => format!("taken away: {}", path.join(", ")),
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::Text(text) | Value::Number(text) => text.clone(),
        Value::Flag(flag) => flag.to_string(),
        Value::List(all) => all.iter().map(plain).collect::<Vec<_>>().join(", "),
        Value::Table(all) => {
            let all = all.iter().map(|(key, value)| format!("{key}: {}", plain(value)));
            all.collect::<Vec<_>>().join("; ")
        }
    }
}

fn as_json(value: &Value) -> Json {
    match value {
        Value::Text(text) => json!(text),
        Value::Number(digits) => digits.parse().map_or_else(|_| json!(digits), Json::Number),
        Value::Flag(flag) => json!(flag),
        Value::List(all) => all.iter().map(as_json).collect(),
        Value::Table(all) => {
            Json::Object(all.iter().map(|(key, value)| (key.clone(), as_json(value))).collect())
        }
    }
}

fn print(as_data: bool, context: &mut Context) -> Result<Done, Failure> {
    let dir = context.garage_dir()?;
    let own =
        if Path::new(&dir).is_dir() { Own::read(&Garage::open(&dir)?) } else { Own::default() };
    if let Some(trouble) = &own.trouble {
        return Err(Failure::given(trouble.clone(), "lastbolt check says everything about it."));
    }
    let learnt =
        if Path::new(&dir).is_dir() { offered(&Garage::open(&dir)?, &own) } else { Vec::new() };
    if as_data {
        data(&own, &learnt, context)?;
    } else {
        words(&own, &learnt, context)?;
    }
    Ok(Done::Well)
}

/// The key, the heading, and what stands in one of the named tables.
type Named<'a> = (&'static str, &'static str, &'a [(lastbolt_machine::Ref, Value)]);

fn tables(own: &Own) -> [Named<'_>; 4] {
    let spec = &own.spec;
    [
        ("people", "People", &spec.people),
        ("wrenches", "Torque wrenches", &spec.wrenches),
        ("adapters", "Adapters", &spec.adapters),
        ("tools", "Tools", &spec.tools),
    ]
}

/// Every kind with its minutes, and whether they are the garage's own.
fn usual(own: &Own) -> Vec<(String, String, bool)> {
    let table = &own.spec.minutes;
    let mut kinds: Vec<&str> = table.by_kind.iter().map(|(kind, _)| kind.as_str()).collect();
    let known = std::iter::once("part").chain(KNOWN_KINDS.iter().copied());
    kinds.extend(known.filter(|kind| table.by_kind.iter().all(|(own, _)| own != kind)));
    let line = |kind: &str| {
        let (minutes, is_own) = table.one(kind);
        (kind.to_owned(), minutes.to_string(), is_own)
    };
    kinds.into_iter().map(line).collect()
}

fn words(own: &Own, learnt: &[Offered], context: &mut Context) -> Result<(), Failure> {
    for (_, heading, all) in tables(own) {
        context.line(heading)?;
        for (name, value) in all {
            let more = plain(value);
            let colon = if more.is_empty() { "" } else { ": " };
            context.line(&format!("  {}{colon}{more}", name.name()))?;
        }
        if all.is_empty() {
            context.line("  none yet")?;
        }
    }
    context.line("Usual minutes for one")?;
    for (kind, minutes, is_own) in usual(own) {
        let minutes = own.display.number(&minutes);
        let mark = if is_own { "" } else { "  (not yours yet)" };
        context.line(&format!("  {kind}: {minutes}{mark}"))?;
    }
    for one in learnt {
        context.line(&format!("  {}", one.sentence(|text| own.display.number(text))))?;
        let (kind, minutes) = (&one.learnt.kind, one.learnt.minutes);
        context.line(&format!("    Use it: lastbolt garage set minutes \"{kind}\" {minutes}"))?;
    }
    let display = &own.display;
    let date = if display.date.word().is_empty() {
        "as the browser has them"
    } else {
        display.date.word()
    };
    context.line("How it is shown")?;
    context.line(&format!("  numbers: {}", display.number("2.5")))?;
    context.line(&format!("  dates: {date}"))?;
    context.line(&format!("  torque: {}", display.units.word()))?;
    context.line(&format!("  money: {}", display.currency.as_deref().unwrap_or("not said")))
}

fn data(own: &Own, learnt: &[Offered], context: &mut Context) -> Result<(), Failure> {
    let mut all = serde_json::Map::new();
    all.insert("version".into(), json!(1));
    for (key, _, table) in tables(own) {
        let named = table.iter().map(|(name, value)| (name.name().to_owned(), as_json(value)));
        all.insert(key.into(), Json::Object(named.collect()));
    }
    let minutes = usual(own).into_iter().map(|(kind, minutes, is_own)| {
        let minutes: Json = minutes.parse().map_or(Json::Null, Json::Number);
        json!({ "kind": kind, "minutes": minutes, "yours": is_own })
    });
    all.insert("minutes".into(), minutes.collect());
    let learnt = learnt.iter().map(|one| {
        json!({
            "kind": one.learnt.kind, "minutes": one.learnt.minutes.as_number(),
            "times": one.learnt.times, "low": one.learnt.low.as_number(),
            "high": one.learnt.high.as_number(), "now": one.usual.as_number(),
            "yours": one.is_own,
        })
    });
    all.insert("learnt".into(), learnt.collect());
    let display = &own.display;
    let decimal = if display.comma { "comma" } else { "point" };
    all.insert(
        "display".into(),
        json!({
            "decimal": decimal, "date": display.date.word(), "units": display.units.word(),
            "currency": display.currency,
        }),
    );
    context.json(&all)
}
