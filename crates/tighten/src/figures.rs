//! Figures that stand in published tables and that nothing is computed from: each with its source
//! and edition. They explain; none of them is ever applied to a joint by itself.

use crate::trouble::{Trouble, TroubleKind, shown};

/// One figure of a published table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Published {
    /// What it is about: the quantity.
    pub quantity: &'static str,
    /// For which case; several conditions are separated by semicolons.
    pub case: &'static str,
    /// The figure, as printed.
    pub figure: &'static str,
    /// In which unit.
    pub unit: &'static str,
    /// Where it is from, with the edition.
    pub source: &'static str,
    /// It stands here from memory and has to be shown as such.
    pub from_memory: bool,
}

const TABLE: &str = include_str!("figures.txt");

/// Gives every figure.
pub fn figures() -> impl Iterator<Item = Published> {
    TABLE.lines().filter(|line| !line.starts_with('#')).filter_map(|line| {
        let mut cells = line.split(" | ");
        let (quantity, case) = (cells.next()?, cells.next()?);
        let (figure, unit, source) = (cells.next()?, cells.next()?, cells.next()?);
        let from_memory = source.starts_with("memory ");
        let source = source.trim_start_matches("memory ");
        Some(Published { quantity, case, figure, unit, source, from_memory })
    })
}

/// Gives the figure of a case; case and blanks do not matter.
///
/// # Errors
/// Says that no table here has this case, and which there are.
///
/// ```
/// use lastbolt_tighten::figure;
/// assert_eq!(figure("friction_class_range", "class", &["B"]).unwrap().figure, "0.08..0.16");
/// assert!(figure("friction_class_range", "class", &["Q"]).is_err());
/// ```
pub fn figure(quantity: &str, field: &str, case: &[&str]) -> Result<Published, Trouble> {
    let wanted: Vec<String> = case.iter().map(|part| plain(part)).collect();
    let of_quantity = || figures().filter(|row| row.quantity == quantity);
    let is_it = |row: &Published| row.case.split("; ").map(plain).eq(wanted.iter().cloned());
    of_quantity().find(is_it).ok_or_else(|| {
        let mut cases: Vec<&str> = of_quantity().map(|row| row.case).collect();
        cases.truncate(12);
        Trouble::new(
            TroubleKind::Unknown,
            field,
            format!("No table here has a figure for \"{}\".", shown(&case.join("; "))),
            format!("There are: {}.", cases.join(" · ")),
        )
    })
}

fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}
