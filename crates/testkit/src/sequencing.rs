//! Reads published Sequential Ordering instances (TSPLIB's SOP format). Pure: text in, numbers out.
//!
//! Header lines `KEY: value` up to `EDGE_WEIGHT_SECTION`, then the number of rows, then the rows;
//! -1 in a row and column means that the column's item comes somewhere before the row's. Item 0 is
//! the first of every order and the last item the last. Source of the format: Reinelt (1991),
//! "TSPLIB", ORSA J. Computing 3(4), 376-384.

use std::fmt;

/// The most items that are read.
const ITEMS_MAX: usize = 2_000;

/// A published instance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sequencing {
    /// As it calls itself; empty if it does not.
    pub name: String,
    /// Row by row what it costs to do the column's item right after the row's.
    pub costs: Vec<Vec<i64>>,
    /// Pairs (earlier, later), as stated, not closed.
    pub befores: Vec<(usize, usize)>,
}

/// What is wrong with an instance, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadInstance {
    /// The line, from 1.
    pub line: usize,
    /// A sentence.
    pub text: String,
}

impl fmt::Display for BadInstance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: {}", self.line, self.text)
    }
}

impl std::error::Error for BadInstance {}

/// Reads an instance.
///
/// # Errors
/// A sentence with its line where the header, the number of rows or a number is not as wanted.
pub fn read_sequencing(text: &str) -> Result<Sequencing, BadInstance> {
    let bad = |line: usize, text: String| BadInstance { line: line + 1, text };
    let mut lines = text.lines().enumerate();
    let (mut name, mut dimension) = (String::new(), None);
    let begin = loop {
        let Some((number, line)) = lines.next() else {
            let end = text.lines().count();
            return Err(bad(end, "The line EDGE_WEIGHT_SECTION is missing.".into()));
        };
        let (key, value) = line.split_once(':').unwrap_or((line, ""));
        match key.trim() {
            "NAME" => name = value.trim().to_owned(),
            "TYPE" if value.trim() != "SOP" => {
                return Err(bad(number, "TYPE has to be SOP.".into()));
            }
            "EDGE_WEIGHT_FORMAT" if value.trim() != "FULL_MATRIX" => {
                return Err(bad(number, "EDGE_WEIGHT_FORMAT has to be FULL_MATRIX.".into()));
            }
            "DIMENSION" => {
                let count = value.trim().parse().ok().filter(|n| (2..=ITEMS_MAX).contains(n));
                let wrong = || format!("DIMENSION has to be a number from 2 to {ITEMS_MAX}.");
                dimension = Some(count.ok_or_else(|| bad(number, wrong()))?);
            }
            "EDGE_WEIGHT_SECTION" => break number,
            _ => {}
        }
    };
    let missing = || bad(begin, "There is no DIMENSION before EDGE_WEIGHT_SECTION.".into());
    let count: usize = dimension.ok_or_else(missing)?;
    let mut numbers = Vec::with_capacity(count * count + 1);
    let mut end = begin;
    for (number, line) in lines.take_while(|(_, line)| line.trim() != "EOF") {
        end = number;
        for word in line.split_whitespace() {
            let wrong = || bad(number, format!("\"{word}\" is no whole number of at least -1."));
            numbers.push(word.parse().ok().filter(|n: &i64| *n >= -1).ok_or_else(wrong)?);
        }
        if numbers.len() > count * count + 1 {
            return Err(bad(number, format!("There are more numbers than {count} rows need.")));
        }
    }
    if numbers.first() != Some(&(count as i64)) {
        return Err(bad(begin + 1, format!("The first number has to be {count} again.")));
    }
    if numbers.len() != count * count + 1 {
        let text = format!("{} numbers stand where {count} rows need {}.", numbers.len() - 1, {
            count * count
        });
        return Err(bad(end, text));
    }
    Ok(of_numbers(name, count, &numbers[1..]))
}

fn of_numbers(name: String, count: usize, numbers: &[i64]) -> Sequencing {
    let mut costs = vec![vec![0; count]; count];
    let mut befores = Vec::new();
    for (row, line) in numbers.chunks(count).enumerate() {
        for (column, &number) in line.iter().enumerate() {
            if number == -1 {
                befores.push((column, row));
            } else {
                costs[row][column] = number;
            }
        }
    }
    let last = count - 1;
    befores.extend((1..count).map(|item| (0, item)));
    befores.extend((0..last).map(|item| (item, last)));
    befores.sort_unstable();
    befores.dedup();
    Sequencing { name, costs, befores }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TINY: &str = "NAME: tiny\nTYPE: SOP\nDIMENSION: 4\nEDGE_WEIGHT_TYPE: EXPLICIT\n\
        EDGE_WEIGHT_FORMAT: FULL_MATRIX\nEDGE_WEIGHT_SECTION\n4\n0 3 4 1000000\n-1 0 5 6\n\
        -1 -1 0 7\n-1 -1 -1 0\nEOF\n";

    /// Costs lie by row, and -1 turns into "the column's item before the row's".
    #[test]
    fn reads_costs_and_what_comes_before() {
        let tiny = read_sequencing(TINY).unwrap();
        assert_eq!(tiny.name, "tiny");
        assert_eq!(tiny.costs[1], [0, 0, 5, 6]);
        assert_eq!(tiny.befores, [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)]);
    }

    /// Every wrong file gets a sentence with its line.
    #[test]
    fn bad_instances_get_a_sentence() {
        let cases = [
            ("DIMENSION: 4", "DIMENSION: many", 3),
            ("DIMENSION: 4", "DIMENSION: 4000", 3),
            ("DIMENSION: 4\n", "", 5),
            ("TYPE: SOP", "TYPE: TSP", 2),
            ("FULL_MATRIX", "LOWER_ROW", 5),
            ("EDGE_WEIGHT_SECTION\n4", "EDGE_WEIGHT_SECTION\n5", 7),
            ("EDGE_WEIGHT_SECTION", "WEIGHTS", 13),
            ("-1 0 5 6", "-1 0 5", 11),
            ("-1 0 5 6", "-1 0 5 6 7", 11),
            ("-1 0 5 6", "-1 0 five 6", 9),
            ("-1 0 5 6", "-1 0 -2 6", 9),
        ];
        for (old, new, line) in cases {
            let text = TINY.replacen(old, new, 1);
            let error = read_sequencing(&text).unwrap_err();
            assert_eq!(error.line, line, "{new:?}: {error}");
            assert!(error.text.ends_with('.'), "{error}");
        }
    }
}
