//! The check values as rows, read with what a test needs and no more.

/// One row of the check values.
#[derive(Clone, Debug)]
pub(crate) struct Check {
    pub(crate) line: usize,
    pub(crate) quantity: String,
    pub(crate) inputs: String,
    pub(crate) expected: String,
    pub(crate) unit: String,
    pub(crate) tolerance: String,
    pub(crate) source: String,
    /// How far it can be trusted: seen, memory, computed.
    pub(crate) mark: String,
}

/// Every row of the check values, with its source beside it.
pub(crate) fn checks() -> Vec<Check> {
    let text = include_str!("../data/checks.csv");
    let mut rows = text.lines().enumerate().map(|(number, line)| (number + 1, cells(line)));
    assert_eq!(rows.next().map(|(_, cells)| cells.len()), Some(7));
    rows.map(|(line, cells)| {
        let [quantity, inputs, expected, unit, tolerance, source, mark] =
            <[String; 7]>::try_from(cells).unwrap_or_else(|cells| panic!("{line}: {cells:?}"));
        Check { line, quantity, inputs, expected, unit, tolerance, source, mark }
    })
    .collect()
}

fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cells.last_mut().expect("there is one").push(c),
        }
    }
    cells
}
