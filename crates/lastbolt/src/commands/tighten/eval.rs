//! `lastbolt tighten eval`.

use std::io::{self, Read};

use lastbolt_files::Source;
use lastbolt_files::csv::{Table, TableRow, read_table};
use lastbolt_machine::FileNo;
use lastbolt_tighten::Trouble;
use lastbolt_tighten::eval::{Answer, Computed, How, Outcome, QUANTITIES, Row, Verdict, evaluate};
use serde::Serialize;

use crate::context::{Context, Done};
use crate::failure::Failure;
use crate::input::{read_file, unreadable};
use crate::told::Told;

/// The columns that mean something, in any order.
const COLUMNS: [&str; 5] = ["quantity", "inputs", "expected", "unit", "tolerance"];
const READ_BYTES_MAX: u64 = 4_000_000;

/// Computes a table of check values (CSV), and compares it to what the table expects.
///
/// The first line names the columns, in any order: quantity and inputs
/// ("thread=M8;mu_total=0.12;class=8.8"), and if you like expected, unit and tolerance; others are
/// left alone. It ends with 1 if a row cannot be computed or is not what it expects. --list names
/// every quantity and its inputs.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The table; - reads from standard input.
    #[arg(value_name = "FILE.csv", required_unless_present = "list")]
    file: Option<String>,
    /// Names every quantity, its inputs and its unit.
    #[arg(long)]
    list: bool,
    /// Prints JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Document<'a> {
    version: u8,
    file: &'a str,
    problems: Vec<Told>,
    left_out_columns: Vec<String>,
    counts: Counts,
    rows: Vec<Line<'a>>,
}

#[derive(Serialize, Default)]
struct Counts {
    rows: usize,
    computed: usize,
    agree: usize,
    differ: usize,
    not_judged: usize,
    wrong: usize,
}

/// A row as it is told.
#[derive(Serialize)]
struct Line<'a> {
    line: u32,
    quantity: &'a str,
    inputs: &'a str,
    #[serde(flatten)]
    what: What,
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tolerance: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    difference: Option<f64>,
    verdict: &'static str,
}

#[derive(Serialize)]
#[serde(untagged)]
enum What {
    Computed(Box<Told2>),
    Wrong { error: Wrong },
}

/// What was computed.
#[derive(Serialize)]
struct Told2 {
    value: Value,
    text: String,
    unit: String,
    how: &'static str,
    source: String,
    from_memory: bool,
    assumed: Vec<String>,
    not_used: Vec<String>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Value {
    Number(f64),
    Numbers(Vec<f64>),
    Text(String),
}

/// What is wrong with a row: where, in which field, and what to do.
#[derive(Serialize)]
struct Wrong {
    file: String,
    line: u32,
    field: String,
    kind: String,
    message: String,
    help: String,
}

/// Runs the command.
///
/// # Errors
/// Fails when the file cannot be read or the answer not written.
pub(crate) fn run(args: &Args, context: &mut Context) -> Result<Done, Failure> {
    if args.list {
        return list(args.json, context);
    }
    let name = args.file.as_deref().unwrap_or_default();
    let bytes = bytes_of(name)?;
    let mut table = read_table(&bytes, FileNo(0), &COLUMNS);
    let source = [Source::new(name, "")];
    let columns = Columns::of(&table, name);
    let mut problems: Vec<Told> = table.problems.iter().map(|p| Told::of(p, &source)).collect();
    let columns = match columns {
        Ok(columns) => columns,
        Err(told) => {
            if problems.is_empty() {
                problems.push(told);
            }
            Columns::default()
        }
    };
    // With half a table nothing is compared.
    if problems.iter().any(Told::is_error) {
        table.rows.clear();
    }
    let cells: Vec<[String; 5]> = table.rows.iter().map(|row| columns.cells(row)).collect();
    let rows: Vec<Row<'_>> = cells.iter().map(row_of).collect();
    let outcomes = evaluate(&rows);
    let lines: Vec<Line<'_>> = table
        .rows
        .iter()
        .zip(&rows)
        .zip(&outcomes)
        .map(|((from, row), outcome)| line(name, from, row, outcome, &columns))
        .collect();
    let document = Document {
        version: 1,
        file: name,
        problems,
        left_out_columns: columns.left_out.clone(),
        counts: count(&lines),
        rows: lines,
    };
    if args.json {
        context.json(&document)?;
    } else {
        print(&document, context)?;
    }
    let counts = &document.counts;
    let is_well =
        document.problems.iter().all(|told| !told.is_error()) && counts.wrong + counts.differ == 0;
    Ok(if is_well { Done::Well } else { Done::No })
}

fn bytes_of(name: &str) -> Result<Vec<u8>, Failure> {
    let read = if name == "-" {
        let mut bytes = Vec::new();
        io::stdin().lock().take(READ_BYTES_MAX).read_to_end(&mut bytes).map(|_| bytes)
    } else {
        read_file(name)
    };
    read.map_err(|error| {
        let told = unreadable(name, &error);
        Failure::given(format!("{name}: {}", told.message), told.help)
    })
}

/// Where the columns stand.
#[derive(Clone, Debug, Default)]
struct Columns {
    at: [Option<usize>; 5],
    count: usize,
    /// Columns that are inputs by their own name, where there is no column of inputs.
    named: Vec<(usize, String)>,
    left_out: Vec<String>,
}

impl Columns {
    fn of(table: &Table, file: &str) -> Result<Columns, Told> {
        let wrong = |kind, message: String| {
            let help =
                "Let the first line name the columns: quantity,inputs,expected,unit,tolerance.";
            Told { line: 1, column: 1, ..Told::error(file, kind, message, help) }
        };
        let mut columns = Columns { count: table.header.len(), ..Columns::default() };
        let mut others = Vec::new();
        for (number, name) in table.header.iter().enumerate() {
            let plain = name.to_lowercase();
            match COLUMNS.iter().position(|known| *known == plain) {
                Some(known) if columns.at[known].is_some() => {
                    let message = format!("The column \"{plain}\" is there twice.");
                    return Err(wrong("column-twice", message));
                }
                Some(known) => columns.at[known] = Some(number),
                None if name.is_empty() => {}
                None => others.push((number, name.clone())),
            }
        }
        if columns.at[0].is_none() {
            let message = "The first line names no column \"quantity\".".to_owned();
            return Err(wrong("no-header", message));
        }
        // Without a column of inputs each input has a column of its own.
        if columns.at[1].is_none() {
            columns.named = others;
        } else {
            columns.left_out = others.into_iter().map(|(_, name)| name).collect();
        }
        Ok(columns)
    }

    /// Gives the cells of a row in the order of [`COLUMNS`].
    fn cells(&self, row: &TableRow) -> [String; 5] {
        let cells = self.with_inputs_together(row);
        let mut found =
            self.at.map(|at| at.and_then(|at| cells.get(at)).cloned().unwrap_or_default());
        if self.at[1].is_none() {
            let given = self.named.iter().filter_map(|(at, name)| {
                let cell = cells.get(*at).filter(|cell| !cell.is_empty())?;
                Some(format!("{name}={cell}"))
            });
            found[1] = given.collect::<Vec<_>>().join(";");
        }
        found
    }

    /// In a table of semicolons the inputs, separated by semicolons as well, may have come without
    /// quotes: cells behind the inputs that are inputs go back to them.
    fn with_inputs_together(&self, row: &TableRow) -> Vec<String> {
        let extra = row.cells.len().saturating_sub(self.count);
        let Some(inputs) = self.at[1].filter(|_| extra > 0) else { return row.cells.clone() };
        let mut cells = row.cells.clone();
        let parts: Vec<String> = cells.drain(inputs..=inputs + extra).collect();
        cells.insert(inputs, parts.join(";"));
        cells
    }

    /// Says whether a row has more cells than columns, and they are no inputs either.
    fn is_too_wide(&self, row: &TableRow) -> bool {
        let beyond = row.cells.len() > self.count;
        let extra = row.cells.len().saturating_sub(self.count);
        let inputs = self.at[1].map(|at| &row.cells[at..=(at + extra).min(row.cells.len() - 1)]);
        beyond && !inputs.is_some_and(|parts| parts.iter().all(|part| part.contains('=')))
    }
}

fn row_of(cells: &[String; 5]) -> Row<'_> {
    Row {
        quantity: &cells[0],
        inputs: &cells[1],
        expected: &cells[2],
        unit: &cells[3],
        tolerance: &cells[4],
    }
}

fn line<'a>(
    file: &str,
    from: &TableRow,
    row: &Row<'a>,
    outcome: &Outcome,
    columns: &Columns,
) -> Line<'a> {
    let wide = columns.is_too_wide(from).then(|| too_wide(from, columns));
    let computed = match wide {
        Some(wide) => Err(wide),
        None => match &outcome.computed {
            Ok(computed) => Ok(What::Computed(Box::new(told(computed)))),
            Err(trouble) => Err(wrong(trouble)),
        },
    };
    let (verdict, difference) = match (&computed, &outcome.verdict) {
        (Err(_), _) => ("wrong input", None),
        (_, Verdict::Agrees(by)) => ("agrees", *by),
        (_, Verdict::Differs(by)) => ("differs", *by),
        (_, Verdict::NotJudged(by)) => ("not judged", *by),
        _ => ("not compared", None),
    };
    let what = computed.unwrap_or_else(|error| What::Wrong {
        error: Wrong { file: file.to_owned(), line: from.line, ..error },
    });
    let given = |text: &'a str| (!text.is_empty()).then_some(text);
    Line {
        line: from.line,
        quantity: row.quantity,
        inputs: row.inputs,
        what,
        expected: given(row.expected),
        tolerance: given(row.tolerance),
        difference,
        verdict,
    }
}

fn too_wide(row: &TableRow, columns: &Columns) -> Wrong {
    Wrong {
        file: String::new(),
        line: 0,
        field: "inputs".to_owned(),
        kind: "TooManyCells".to_owned(),
        message: format!(
            "This row has {} cells, the first line has {}.",
            row.cells.len(),
            columns.count
        ),
        help: "Put what has the separating sign in it into quotes.".to_owned(),
    }
}

fn wrong(trouble: &Trouble) -> Wrong {
    Wrong {
        file: String::new(),
        line: 0,
        field: trouble.field.clone(),
        kind: format!("{:?}", trouble.kind),
        message: trouble.message.clone(),
        help: trouble.help.clone(),
    }
}

fn told(computed: &Computed) -> Told2 {
    let value = match &computed.answer {
        Answer::Number(number) => Value::Number(*number),
        Answer::Numbers(numbers) => Value::Numbers(numbers.clone()),
        Answer::Text(text) => Value::Text(text.clone()),
    };
    Told2 {
        value,
        text: computed.answer.text(),
        unit: computed.unit.clone(),
        how: match computed.how {
            How::Formula => "formula",
            How::Table => "table",
        },
        source: computed.source.clone(),
        from_memory: computed.from_memory,
        assumed: computed.assumed.clone(),
        not_used: computed.not_used.clone(),
    }
}

fn count(lines: &[Line<'_>]) -> Counts {
    let of = |verdict: &str| lines.iter().filter(|line| line.verdict == verdict).count();
    Counts {
        rows: lines.len(),
        computed: lines.iter().filter(|line| matches!(line.what, What::Computed(_))).count(),
        agree: of("agrees"),
        differ: of("differs"),
        not_judged: of("not judged"),
        wrong: of("wrong input"),
    }
}

fn print(document: &Document<'_>, context: &mut Context) -> Result<(), Failure> {
    for told in &document.problems {
        for line in told.lines() {
            context.line(&line)?;
        }
    }
    for line in &document.rows {
        print_row(line, context)?;
    }
    let counts = &document.counts;
    context.line(&format!(
        "{} rows: {} computed, {} agree, {} differ, {} not judged, {} wrong.",
        counts.rows, counts.computed, counts.agree, counts.differ, counts.not_judged, counts.wrong
    ))
}

fn print_row(line: &Line<'_>, context: &mut Context) -> Result<(), Failure> {
    let (number, quantity) = (line.line, line.quantity);
    let computed = match &line.what {
        What::Computed(computed) => computed,
        What::Wrong { error } => {
            let (file, field) = (&error.file, &error.field);
            context.line(&format!("{file}:{number}:1: error: {field}: {}", error.message))?;
            return context.line(&format!("    {}", error.help));
        }
    };
    let mut text = format!("line {number}: {quantity} = {} {}", computed.text, computed.unit);
    if let Some(expected) = line.expected {
        text.push_str(&format!(" ({}: expected {expected})", line.verdict));
    }
    if computed.from_memory {
        text.push_str(" [from memory]");
    }
    context.line(&text)?;
    for assumed in &computed.assumed {
        context.line(&format!("    taken: {assumed}"))?;
    }
    Ok(())
}

#[derive(Serialize)]
struct Known {
    quantity: &'static str,
    inputs: &'static str,
    unit: &'static str,
    source: &'static str,
}

fn list(json: bool, context: &mut Context) -> Result<Done, Failure> {
    let all: Vec<Known> = QUANTITIES
        .iter()
        .map(|q| Known { quantity: q.name, inputs: q.inputs, unit: q.unit, source: q.source })
        .collect();
    if json {
        context.json(&all)?;
        return Ok(Done::Well);
    }
    for known in all {
        context.line(&format!("{} [{}]", known.quantity, known.unit))?;
        context.line(&format!("    from: {}", known.inputs))?;
        context.line(&format!("    {}", known.source))?;
    }
    Ok(Done::Well)
}
