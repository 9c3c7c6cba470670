//! `lastbolt phones`.

use lastbolt_store::{GarageLock, KeptPhones, Serving, StoreError, Who};
use serde::{Deserialize, Serialize};

use crate::context::{Context, Done, is_terminal};
use crate::failure::Failure;
use crate::live::{get, not_understood, post};

/// Shows the code that lets the next phone in; lists phones, shuts one out.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The job that the phone is let in to [default: what the server was opened for].
    #[arg(value_name = "JOB", conflicts_with_all = ["list", "shut_out"])]
    job: Option<String>,
    /// Makes another code; the one shown before lets nobody in any more.
    #[arg(long, conflicts_with_all = ["list", "shut_out"])]
    another: bool,
    /// Lists the phones that are let in.
    #[arg(long, conflicts_with = "shut_out")]
    list: bool,
    /// Shuts a phone out, at once.
    #[arg(long, value_name = "PHONE")]
    shut_out: Option<String>,
    /// Prints the list as JSON.
    #[arg(long, requires = "list")]
    json: bool,
}

/// A phone that is let in.
#[derive(Debug, Serialize, Deserialize)]
struct Phone {
    name: String,
    whole_garage: bool,
    jobs: Vec<String>,
    let_in_at_ms: i64,
    heard_at_ms: i64,
}

/// The list, as the server gives it and as it is printed.
#[derive(Debug, Serialize, Deserialize)]
struct List {
    version: u64,
    #[serde(default)]
    addresses: Vec<String>,
    phones: Vec<Phone>,
}

/// The code, as the server gives it.
#[derive(Debug, Deserialize)]
struct Code {
    addresses: Vec<String>,
    blocks: String,
    on_paper: String,
    minutes: u64,
}

/// Runs the command.
///
/// # Errors
/// Says what could not be done, and what to do about it.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let serving = Serving::read(context.garage()?.dir())?;
    if args.list {
        return list(args.json, serving.as_ref(), context);
    }
    if let Some(name) = &args.shut_out {
        return shut_out(name, serving.as_ref(), context);
    }
    let serving = serving.ok_or_else(|| {
        Failure::world(
            "Nothing serves this garage, so no phone can come in.",
            "Run lastbolt open JOB --phones.",
        )
    })?;
    let job = match &args.job {
        Some(job) => Some(context.garage()?.open_job(job)?.id().to_string()),
        None => None,
    };
    code(job.as_deref(), args.another, &serving, context)?;
    Ok(Done::Well)
}

/// Asks the running server for the code of now and prints it.
///
/// # Errors
/// Fails when the server lets no phones in, or cannot be reached.
pub(crate) fn code(
    job: Option<&str>,
    another: bool,
    serving: &Serving,
    context: &mut Context,
) -> Result<(), Failure> {
    let body = serde_json::json!({ "version": 1, "job": job, "another": another });
    let code: Code = ask(serving, "code", &body)?;
    let picture = if is_terminal() { &code.on_paper } else { &code.blocks };
    tell_code(&code.addresses, picture, code.minutes, context)
}

/// Prints a code and where it leads.
///
/// # Errors
/// Fails when it cannot be written.
pub(crate) fn tell_code(
    addresses: &[String],
    picture: &str,
    minutes: u64,
    context: &mut Context,
) -> Result<(), Failure> {
    let first = addresses.first().map_or("", String::as_str);
    context.line(&format!("For phones: {first}"))?;
    if addresses.len() > 1 {
        context.line(&format!("or, on another of its networks: {}", addresses[1..].join(" ")))?;
    }
    context.line(picture)?;
    let unit = if minutes == 1 { "minute" } else { "minutes" };
    context.line(&format!("Scan it with the phone: good for one phone, for {minutes} {unit}."))
}

fn ask<T: serde::de::DeserializeOwned>(
    serving: &Serving,
    what: &str,
    body: &serde_json::Value,
) -> Result<T, Failure> {
    let url = format!("{}/api/phones/{what}", serving.address);
    let answer = post(serving, &url, "application/json", body.to_string().as_bytes())?;
    serde_json::from_str(&answer).map_err(|_| not_understood(serving))
}

fn list(json: bool, serving: Option<&Serving>, context: &mut Context) -> Result<Done, Failure> {
    let list = match serving {
        // A server without phones knows nothing about them; the file does.
        Some(serving) => match from_server(serving) {
            Ok(list) => list,
            Err(_) => List { version: 1, addresses: Vec::new(), phones: from_file(context)? },
        },
        None => List { version: 1, addresses: Vec::new(), phones: from_file(context)? },
    };
    if json {
        context.json(&list)?;
        return Ok(Done::Well);
    }
    if list.phones.is_empty() {
        context.line("No phone is let in.")?;
    }
    for phone in &list.phones {
        let what = if phone.whole_garage { "every job".to_owned() } else { phone.jobs.join(", ") };
        let heard = heard(phone.heard_at_ms);
        context.line(&format!("{}: {what}; last heard {heard}", phone.name))?;
    }
    Ok(Done::Well)
}

fn from_server(serving: &Serving) -> Result<List, Failure> {
    let answer = get(serving, &format!("{}/api/phones", serving.address))?;
    serde_json::from_str(&answer).map_err(|_| not_understood(serving))
}

fn from_file(context: &Context) -> Result<Vec<Phone>, Failure> {
    let kept = context.garage()?.phones()?.unwrap_or_default();
    let phone = |phone: lastbolt_store::KeptPhone| Phone {
        name: phone.name,
        whole_garage: phone.whole_garage,
        jobs: phone.jobs,
        let_in_at_ms: phone.let_in_at_ms,
        heard_at_ms: phone.heard_at_ms,
    };
    Ok(kept.phones.into_iter().map(phone).collect())
}

fn heard(at_ms: i64) -> String {
    let at = jiff::Timestamp::from_millisecond(at_ms).unwrap_or_default();
    at.to_zoned(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string()
}

fn shut_out(name: &str, serving: Option<&Serving>, context: &mut Context) -> Result<Done, Failure> {
    match serving {
        Some(serving) => {
            let body = serde_json::json!({ "version": 1, "name": name });
            let _: serde_json::Value = ask(serving, "shut-out", &body)?;
        }
        None => shut_out_here(name, context)?,
    }
    context.line(&format!("Shut out: {name}"))?;
    Ok(Done::Well)
}

/// Nothing serves: the list is changed under the garage's lock.
fn shut_out_here(name: &str, context: &Context) -> Result<(), Failure> {
    let lock = GarageLock::acquire(&context.garage_dir()?).map_err(|error| match error {
        StoreError::Held { who: Who::Server(_), .. } => {
            Failure::world("A server has begun just now.", "Run the command once more.")
        }
        error => error.into(),
    })?;
    let mut kept: KeptPhones = lock.garage().phones()?.unwrap_or_default();
    let before = kept.phones.len();
    kept.phones.retain(|phone| phone.name != name);
    if kept.phones.len() == before {
        let help = "lastbolt phones --list says which are in.";
        return Err(Failure::asked(format!("No phone \"{name}\" is let in."), help));
    }
    Ok(lock.garage().keep_phones(&kept)?)
}
