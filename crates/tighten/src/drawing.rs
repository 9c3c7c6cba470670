//! The joint as a drawing: heads at their places, numbers in order, one paint-pen stroke a round.

use crate::labels::place_labels;
use crate::point::{Point, least_gap, points};
use crate::{Hole, HolesError, Order, look_over};

/// How a screw was done in a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// With a wrench that measures.
    Measured,
    /// By hand, not measured.
    ByHand,
}

/// The sheet to draw on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Width in pixels of the screen that the sizes are meant for.
    pub width: f64,
    /// The most height, in the same pixels.
    pub height_max: f64,
    /// Whether y grows upwards, as in drawings; on photos it grows downwards.
    pub y_up: bool,
}

/// What is done so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress<'a> {
    /// For each hole its marks, one a round, the first round first; may be shorter than the holes.
    pub marks: &'a [Vec<Mark>],
    /// How many rounds there are in all: strokes keep their places while more are added.
    pub rounds: usize,
    /// The next hole, if one is next.
    pub next: Option<usize>,
}

/// A joint, drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width and height in pixels.
    pub size: (f64, f64),
    /// Height of the numbers in pixels.
    pub text: f64,
    /// One for each hole, by hole.
    pub heads: Vec<Head>,
}

/// One screw's head.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Its middle.
    pub at: (f64, f64),
    /// Its radius.
    pub radius: f64,
    /// When it is tightened, from 1.
    pub number: usize,
    /// The middle of its number, beside the head.
    pub number_at: (f64, f64),
    /// Length of its screw in mm, if lengths are given: drawn inside of the head.
    pub length: Option<String>,
    /// One stroke a round.
    pub strokes: Vec<Stroke>,
    /// Whether it is the next.
    pub is_next: bool,
}

/// A stroke of the paint pen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Where it begins.
    pub from: (f64, f64),
    /// Where it ends.
    pub to: (f64, f64),
    /// How the round was done: by hand is dashed.
    pub mark: Mark,
}

/// Strokes end so many radii from the head's middle.
const OVER: f64 = 1.25;
/// Heads have at most this radius, in pixels.
const RADIUS_MAX: f64 = 18.0;
/// Heads have at least this radius, in pixels, however many there are.
const RADIUS_MIN: f64 = 5.0;
/// Numbers have at least this height, in pixels: readable at arm's length on a phone.
pub const TEXT_MIN: f64 = 15.0;
const TEXT_MAX: f64 = 22.0;

/// Draws the joint.
///
/// # Errors
/// If the holes are none of one joint. An order for other holes leaves numbers out.
pub fn draw(
    holes: &[Hole],
    order: &Order,
    progress: &Progress<'_>,
    sheet: &Sheet,
) -> Result<Drawing, HolesError> {
    look_over(holes)?;
    let (places, size) = on_sheet(holes, sheet);
    let gap = if places.len() > 1 { least_gap(&places) } else { f64::INFINITY };
    let radius = (0.34 * gap).clamp(RADIUS_MIN, RADIUS_MAX);
    let text = (0.5 * gap).clamp(TEXT_MIN, TEXT_MAX);
    let number = |hole: usize| order.holes.iter().position(|h| *h == hole).map_or(0, |at| at + 1);
    let numbers: Vec<usize> = (0..places.len()).map(number).collect();
    // Clear of the strokes, which stand over the head's edge.
    let labels = place_labels(&places, OVER * radius, &numbers, text, size);
    let heads = places.iter().enumerate().map(|(hole, at)| Head {
        at: (at.x, at.y),
        radius,
        number: numbers[hole],
        number_at: (labels[hole].x, labels[hole].y),
        length: holes[hole].length_mm.map(|mm| mm.to_string()),
        strokes: strokes(*at, radius, progress.marks.get(hole), progress.rounds),
        is_next: progress.next == Some(hole),
    });
    Ok(Drawing { size, text, heads: heads.collect() })
}

/// The holes on the sheet, and the sheet's size.
fn on_sheet(holes: &[Hole], sheet: &Sheet) -> (Vec<Point>, (f64, f64)) {
    let places: Vec<Point> =
        points(holes).iter().map(|p| if sheet.y_up { Point::new(p.x, -p.y) } else { *p }).collect();
    let fold = |of: fn(&Point) -> f64, pick: fn(f64, f64) -> f64, from: f64| {
        places.iter().map(of).fold(from, pick)
    };
    let (left, right) =
        (fold(|p| p.x, f64::min, f64::INFINITY), fold(|p| p.x, f64::max, f64::NEG_INFINITY));
    let (top, low) =
        (fold(|p| p.y, f64::min, f64::INFINITY), fold(|p| p.y, f64::max, f64::NEG_INFINITY));
    let (wide, high) = (right - left, low - top);
    // Room for a head and its number on every side.
    let margin = 44.0_f64.min(sheet.width / 6.0);
    let (room_x, room_y) =
        ((sheet.width - 2.0 * margin).max(1.0), (sheet.height_max - 2.0 * margin).max(1.0));
    let scale = (room_x / wide.max(1e-12)).min(room_y / high.max(1e-12));
    let scale = if wide <= 0.0 && high <= 0.0 { 0.0 } else { scale };
    let height = (high * scale + 2.0 * margin).min(sheet.height_max);
    let shift = Point::new(0.5 * (sheet.width - wide * scale), 0.5 * (height - high * scale));
    let on = |p: &Point| p.sub(Point::new(left, top)).scale(scale).add(shift);
    (places.iter().map(on).collect(), (sheet.width, height))
}

/// Strokes side by side across the head, each at the place of its round.
fn strokes(at: Point, radius: f64, marks: Option<&Vec<Mark>>, rounds: usize) -> Vec<Stroke> {
    let marks = marks.map_or(&[][..], Vec::as_slice);
    let rounds = rounds.max(marks.len()).max(1);
    let gap = (1.5 * radius / rounds as f64).min(0.5 * radius);
    // A hand's slant; both ends stand over the head's edge onto the part.
    let along = Point::new(0.5, -3.0_f64.sqrt() / 2.0);
    let across = Point::new(-along.y, along.x);
    let stroke = |(round, mark): (usize, &Mark)| {
        let beside = (round as f64 - 0.5 * (rounds - 1) as f64) * gap;
        let middle = at.add(across.scale(beside));
        let half = (OVER * OVER * radius * radius - beside * beside).max(0.0).sqrt();
        let (from, to) = (middle.sub(along.scale(half)), middle.add(along.scale(half)));
        Stroke { from: (from.x, from.y), to: (to.x, to.y), mark: *mark }
    };
    marks.iter().enumerate().map(stroke).collect()
}
