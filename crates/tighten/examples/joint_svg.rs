//! Prints the drawing of a ring, two rows or a frame as a page to look at:
//! `cargo run -p lastbolt-tighten --example joint_svg > joint.html`.

use lastbolt_tighten::{Hole, Mark, Progress, Sheet, Taken, draw, order, svg};

#[allow(clippy::print_stdout, reason = "an example prints")]
fn main() {
    println!(
        "<!doctype html><meta name=viewport content='width=device-width'><style>body{{margin:16px;\
         font:16px sans-serif}}.head,.ring{{fill:none;stroke:#222;stroke-width:1.5}}.number{{\
         font-weight:700}}.stroke{{stroke:#b60;stroke-width:2.5}}</style>"
    );
    let ring = |count: usize| -> Vec<Hole> {
        let angle = |i: usize| std::f64::consts::TAU * i as f64 / count as f64;
        (0..count).map(|i| Hole::at(angle(i).cos(), angle(i).sin())).collect()
    };
    let rows = (0..14).map(|i| {
        let length_mm = (i % 3 == 0).then_some(95.0);
        Hole { length_mm, ..Hole::at(f64::from(i / 2) * 80.0, f64::from(i % 2) * 110.0) }
    });
    for holes in [ring(32), ring(8), rows.collect()] {
        let Ok(order) = order(&holes, Taken::Measured) else { continue };
        let done = |hole: usize| order.holes.iter().position(|h| *h == hole).unwrap_or(0);
        let marks: Vec<Vec<Mark>> = (0..holes.len())
            .map(|hole| match done(hole) {
                0 => vec![Mark::Measured, Mark::ByHand],
                n if n < holes.len() / 2 => vec![Mark::Measured, Mark::Measured],
                _ => vec![Mark::Measured],
            })
            .collect();
        let next = order.holes.get(holes.len() / 2).copied();
        let progress = Progress { marks: &marks, rounds: 4, next };
        let sheet = Sheet { width: 358.0, height_max: 420.0, y_up: false };
        if let Ok(drawing) = draw(&holes, &order, &progress, &sheet) {
            println!("<div>{}</div>", svg(&drawing, "Joint"));
        }
    }
}
