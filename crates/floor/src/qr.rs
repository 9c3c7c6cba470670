//! Codes that a phone's camera reads.

use qrcode::render::{svg, unicode};
use qrcode::{EcLevel, QrCode};

/// Black on white whatever the terminal's own colours are: many cameras read nothing else.
const ON_PAPER: &str = "\u{1b}[30;107m";
const AS_BEFORE: &str = "\u{1b}[0m";

fn code(link: &str) -> Option<QrCode> {
    QrCode::with_error_correction_level(link, EcLevel::M).ok()
}

/// Draws a link with block characters, two rows of squares in one line, with a margin; dark
/// squares are drawn. Nothing where the link is too long.
pub(crate) fn in_blocks(link: &str) -> String {
    code(link).map_or_else(String::new, |code| code.render::<unicode::Dense1x2>().build())
}

/// Puts the colours of paper and ink around every line of a drawing.
pub(crate) fn on_paper(drawing: &str) -> String {
    let line = |line: &str| format!("{ON_PAPER}{line}{AS_BEFORE}");
    drawing.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Draws a link for a page, black on white in both light and dark.
pub(crate) fn on_page(link: &str) -> String {
    let drawn = code(link).map(|code| {
        code.render::<svg::Color<'_>>()
            .min_dimensions(240, 240)
            .dark_color(svg::Color("#000000"))
            .light_color(svg::Color("#ffffff"))
            .build()
    });
    let drawn = drawn.unwrap_or_default();
    // Inside a page there is no prolog.
    drawn.find("<svg").map_or_else(String::new, |from| drawn[from..].to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_drawings_are_drawn() {
        let link = "http://192.0.2.7:4717/in#ABCD-EFGH-JKMN";
        let blocks = in_blocks(link);
        let wide = blocks.lines().map(|line| line.chars().count()).max().unwrap();
        assert!((29..=45).contains(&wide), "fits into any terminal: {wide}");
        assert!(blocks.lines().count() <= 24, "and its height too");
        assert!(on_paper(&blocks).lines().all(|line| line.ends_with(AS_BEFORE)));
        let page = on_page(link);
        assert!(page.starts_with("<svg") && !page.contains("style=") && !page.contains("<?"));
        assert_eq!(in_blocks(&"x".repeat(9000)), "");
    }
}
