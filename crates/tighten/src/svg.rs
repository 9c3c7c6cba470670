//! A drawing as SVG: classes and attributes only, so that a strict policy for styles lets it be.

use std::fmt::Write;

use crate::{Drawing, Head, Mark};

/// The drawing as an SVG element named by `title`.
///
/// Classes: `joint` the whole; `head`, `head next` a circle; `stroke`, `stroke by-hand`; `number`,
/// `length` texts. Each head's group has `data-hole` and its `data-number` in the order (both from
/// 1). Colours are the page's.
#[must_use]
pub fn svg(drawing: &Drawing, title: &str) -> String {
    let (width, height) = drawing.size;
    let mut text = String::new();
    // Writing to a text does not fail.
    let _ = write!(
        text,
        "<svg class=\"joint\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" \
         xmlns=\"http://www.w3.org/2000/svg\"><title>{}</title>",
        escaped(title)
    );
    for (hole, head) in drawing.heads.iter().enumerate() {
        let _ = write!(text, "<g data-hole=\"{}\" data-number=\"{}\">", hole + 1, head.number);
        draw_head(&mut text, head, drawing.text);
        text.push_str("</g>");
    }
    text.push_str("</svg>");
    text
}

fn draw_head(text: &mut String, head: &Head, size: f64) {
    let (x, y) = head.at;
    if head.is_next {
        // The next one has a second ring: not told by colour alone.
        let wider = head.radius + 4.0;
        let _ =
            write!(text, "<circle class=\"ring\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{wider:.1}\"/>");
    }
    let class = if head.is_next { "head next" } else { "head" };
    let radius = head.radius;
    let _ =
        write!(text, "<circle class=\"{class}\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\"/>");
    for stroke in &head.strokes {
        let (class, dashes) = match stroke.mark {
            Mark::Measured => ("stroke", ""),
            Mark::ByHand => ("stroke by-hand", " stroke-dasharray=\"4 3\""),
        };
        let ((x1, y1), (x2, y2)) = (stroke.from, stroke.to);
        let _ = write!(
            text,
            "<line class=\"{class}\"{dashes} x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" \
             y2=\"{y2:.1}\"/>"
        );
    }
    // Over the strokes, so that it stays readable.
    if let Some(length) = &head.length {
        let small = (0.8 * radius).clamp(8.0, 14.0);
        let _ = write!(
            text,
            "<text class=\"length\" x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{small:.0}\" \
             text-anchor=\"middle\" dominant-baseline=\"central\">{}</text>",
            escaped(length)
        );
    }
    if head.number > 0 {
        let (x, y) = head.number_at;
        let _ = write!(
            text,
            "<text class=\"number\" x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size:.0}\" \
             text-anchor=\"middle\" dominant-baseline=\"central\">{}</text>",
            head.number
        );
    }
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            other => safe.push(other),
        }
    }
    safe
}
