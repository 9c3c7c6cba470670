//! The drawing can be read on a phone: numbers beside their heads, over nothing, strokes by round.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

mod joints;

use joints::{Places, frame, grid, holes, line, ring, rings, two_rows};
use lastbolt_tighten::{Drawing, Hole, Mark, Progress, Sheet, TEXT_MIN, Taken, draw, order, svg};

/// The room that a page leaves on a phone of 390 pixels.
const PHONE: Sheet = Sheet { width: 358.0, height_max: 420.0, y_up: false };
const NOTHING_DONE: Progress<'_> = Progress { marks: &[], rounds: 3, next: None };

fn drawn(places: &Places) -> Drawing {
    let holes = holes(places);
    let order = order(&holes, Taken::Measured).unwrap();
    draw(&holes, &order, &NOTHING_DONE, &PHONE).unwrap()
}

/// What cannot be read in a drawing.
fn unreadable(drawing: &Drawing) -> Vec<String> {
    let mut found = Vec::new();
    let half = |number: usize| {
        let digits = number.to_string().len() as f64;
        (0.29 * drawing.text * digits, 0.36 * drawing.text)
    };
    if drawing.text < TEXT_MIN {
        found.push(format!("text of {} pixels", drawing.text));
    }
    for (i, head) in drawing.heads.iter().enumerate() {
        let ((x, y), (w, h)) = (head.number_at, half(head.number));
        if x - w < 0.0 || y - h < 0.0 || x + w > drawing.size.0 || y + h > drawing.size.1 {
            found.push(format!("number {} is cut off", head.number));
        }
        for (j, other) in drawing.heads.iter().enumerate() {
            let (dx, dy) = ((other.at.0 - x).abs() - w, (other.at.1 - y).abs() - h);
            if dx.max(0.0).hypot(dy.max(0.0)) < other.radius - 0.5 {
                found.push(format!("number {} is over head {}", head.number, other.number));
            }
            let ((ox, oy), (ow, oh)) = (other.number_at, half(other.number));
            if j > i && (ox - x).abs() < w + ow && (oy - y).abs() < h + oh {
                found.push(format!("numbers {} and {}", head.number, other.number));
            }
        }
    }
    found
}

#[test]
fn numbers_can_be_read_on_a_phone_to_32_holes() {
    for count in 1..=32 {
        assert_eq!(unreadable(&drawn(&ring(count, 80.0))), Vec::<String>::new(), "ring {count}");
        assert_eq!(unreadable(&drawn(&line(count.min(16), 30.0))), Vec::<String>::new());
    }
    for columns in 2..=16 {
        let found = unreadable(&drawn(&two_rows(columns, 40.0, 90.0)));
        assert_eq!(found, Vec::<String>::new(), "two rows of {columns}");
    }
    for places in [frame(10, 8, 30.0), rings(8, 16), grid(5, 6, 30.0), grid(6, 5, 30.0)] {
        assert_eq!(unreadable(&drawn(&places)), Vec::<String>::new(), "{}", places.len());
    }
}

#[test]
fn a_drawing_with_numbers_on_heads_is_found_out() {
    let mut wrong = drawn(&ring(32, 80.0));
    for head in &mut wrong.heads {
        head.number_at = head.at;
    }
    assert!(unreadable(&wrong).len() >= 32);
}

#[test]
fn strokes_are_one_a_round_and_keep_their_places() {
    let holes = holes(&ring(8, 60.0));
    let order = order(&holes, Taken::Measured).unwrap();
    let of = |marks: &[Vec<Mark>]| {
        let progress = Progress { marks, rounds: 3, next: Some(4) };
        draw(&holes, &order, &progress, &PHONE).unwrap()
    };
    let one = of(&[vec![Mark::Measured]]);
    let two = of(&[vec![Mark::Measured, Mark::ByHand]]);
    assert_eq!(one.heads[0].strokes.len(), 1);
    assert_eq!(two.heads[0].strokes.len(), 2);
    assert_eq!(one.heads[0].strokes[0], two.heads[0].strokes[0]);
    assert_eq!(two.heads[0].strokes[1].mark, Mark::ByHand);
    assert!(two.heads[1].strokes.is_empty());
    assert!(two.heads[4].is_next && !two.heads[0].is_next);
    for stroke in &two.heads[0].strokes {
        let to_edge = (stroke.from.0 - two.heads[0].at.0).hypot(stroke.from.1 - two.heads[0].at.1);
        assert!(to_edge > two.heads[0].radius, "a stroke goes over the edge onto the part");
    }
}

#[test]
fn as_svg_it_has_classes_and_no_style() {
    let mut holes = holes(&ring(4, 60.0));
    holes[2].length_mm = Some(45.5);
    let order = order(&holes, Taken::Measured).unwrap();
    let marks = [vec![Mark::Measured], vec![Mark::ByHand]];
    let progress = Progress { marks: &marks, rounds: 2, next: Some(2) };
    let text = svg(&draw(&holes, &order, &progress, &PHONE).unwrap(), "Joint: <A> & \"B\"");
    assert!(text.contains("Joint: &lt;A&gt; &amp; &quot;B&quot;"));
    assert!(!text.contains("style") && !text.contains("NaN") && !text.contains("inf"));
    assert_eq!(text.matches("class=\"stroke\"").count(), 1);
    assert_eq!(text.matches("class=\"stroke by-hand\" stroke-dasharray").count(), 1);
    assert_eq!(text.matches("class=\"number\"").count(), 4);
    assert_eq!(text.matches("head next").count(), 1);
    assert!(text.contains(">45.5</text>"));
}

#[test]
fn one_hole_and_up_and_down() {
    let one = drawn(&vec![(7.0, 7.0)]);
    assert!(one.heads[0].at.0 > 0.0 && one.size.1 > 0.0);
    let holes = [Hole::at(0.0, 0.0), Hole::at(0.0, 10.0)];
    let order = order(&holes, Taken::Measured).unwrap();
    let up = Sheet { y_up: true, ..PHONE };
    let drawn = draw(&holes, &order, &NOTHING_DONE, &up).unwrap();
    assert!(drawn.heads[1].at.1 < drawn.heads[0].at.1);
    assert!(draw(&[], &order, &NOTHING_DONE, &PHONE).is_err());
}
