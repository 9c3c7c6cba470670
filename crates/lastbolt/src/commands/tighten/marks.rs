//! `lastbolt tighten marks`.

use lastbolt_job::{joint, photos};
use lastbolt_ledger::{Event, More, Verb};

use crate::commands::tighten::joint_of;
use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::live::{Desk, now_ms};

/// Marks the screws of a joint on a photo, so that they get an order and a drawing.
///
/// As on the photo's page, where it is one tap a screw: from its left and top edge, in thousandths
/// of its width and height. As many marks as screws, and the joint has its holes.
///
/// Example: lastbolt tighten marks tarn-camper-1 "tray screws" 9f2c 120,80 880,90 870,910 130,900
#[derive(Debug, clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Args {
    /// The job.
    #[arg(value_name = "JOB")]
    job: String,
    /// The joint: the fixing's name.
    #[arg(value_name = "JOINT")]
    joint: String,
    /// The photo: its name, or how that begins.
    #[arg(value_name = "PHOTO")]
    photo: String,
    /// A screw: from the left and from the top, 0 to 1000 each.
    #[arg(value_name = "X,Y", required = true, num_args = 1..=120)]
    places: Vec<String>,
    /// Who did it.
    #[arg(long = "as", value_name = "PERSON")]
    person: Option<String>,
}

/// Runs the command.
///
/// # Errors
/// Says which word is wrong.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    let desk = Desk::open(context, &args.job)?;
    let name = joint_of(&desk, &args.joint)?;
    let photo = photo_of(&desk, &args.photo)?;
    let events = args.places.iter().enumerate();
    let events = events.map(|(at, place)| {
        let (x, y) = place_of(place)?;
        let mut event = desk.event(Verb::Pin, None)?;
        event.count += u64::try_from(at).unwrap_or(0);
        event.thing = Some(name.clone());
        event.person.clone_from(&args.person);
        let photo = Some(photo.clone());
        event.more = Some(More { photo, x: Some(x), y: Some(y), ..More::default() });
        event.check().map_err(|error| Failure::asked(error.to_string(), ""))?;
        Ok(event)
    });
    let events: Vec<Event> = events.collect::<Result<_, Failure>>()?;
    let desk = desk.record_all(context, &events)?;
    let all = photos(&desk.picture);
    let pins = all.iter().filter(|one| one.photo == photo).flat_map(|one| &one.pins);
    let marked = pins.filter(|pin| pin.thing == name).count();
    let card = joint(&desk.picture, &name, None, now_ms());
    let pieces = card.as_ref().map_or(0, |card| card.pieces);
    context.line(&format!("{marked} of {pieces} are marked."))?;
    Ok(Done::Well)
}

fn photo_of(desk: &Desk, begins: &str) -> Result<String, Failure> {
    let all = photos(&desk.picture);
    let mut found = all.iter().filter(|one| one.photo.starts_with(begins));
    match (found.next(), found.next()) {
        (Some(one), None) => Ok(one.photo.clone()),
        (None, _) => Err(Failure::asked(
            format!("photo: no photo of this job begins with \"{begins}\"."),
            "Its name is in the address of its page.",
        )),
        _ => Err(Failure::asked(
            format!("photo: several photos begin with \"{begins}\"."),
            "Write more of its name.",
        )),
    }
}

fn place_of(text: &str) -> Result<(u16, u16), Failure> {
    let number = |part: &str| part.trim().parse::<u16>().ok().filter(|number| *number <= 1000);
    let read = text.split_once(',').and_then(|(x, y)| number(x).zip(number(y)));
    read.ok_or_else(|| {
        Failure::asked(
            format!("place: \"{text}\" is no place on a photo."),
            "Write two numbers from 0 to 1000: 250,730.",
        )
    })
}
