//! Forces for joints read from standard input, for `peers/springs.py`: for each line
//! `screws;stiffness;compliance row by row;order;levels` (numbers parted by spaces) one line of
//! forces by screw for each round, rounds parted by `;`.

use std::io::BufRead;

use lastbolt_tighten::{Elastic, Matrix, forces, one_round};

fn main() {
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        let answer = answer(&line).unwrap_or_else(|why| format!("refused: {why}"));
        print(&answer);
    }
}

#[allow(clippy::print_stdout, reason = "an example prints")]
fn print(answer: &str) {
    println!("{answer}");
}

fn answer(line: &str) -> Result<String, Box<dyn std::error::Error>> {
    let parts: Vec<&str> = line.split(';').collect();
    let [screws, stiffness, compliance, order, levels] = parts[..] else {
        return Err("five parts are wanted".into());
    };
    let screws: usize = screws.trim().parse()?;
    let compliance = numbers(compliance)?;
    if compliance.len() != screws * screws {
        return Err("the compliance has another size".into());
    }
    let cell = |i: usize, j: usize| compliance[i * screws + j];
    let joint = Elastic::new(&numbers(stiffness)?, Matrix::from_cells(screws, cell))?;
    let order = order.split_whitespace().map(str::parse).collect::<Result<Vec<usize>, _>>()?;
    let rounds: Vec<_> = numbers(levels)?.iter().map(|level| one_round(&order, *level)).collect();
    let written = |round: &Vec<f64>| {
        round.iter().map(|force| format!("{force:?}")).collect::<Vec<_>>().join(" ")
    };
    Ok(forces(&joint, &rounds)?.iter().map(written).collect::<Vec<_>>().join(";"))
}

fn numbers(text: &str) -> Result<Vec<f64>, std::num::ParseFloatError> {
    text.split_whitespace().map(str::parse).collect()
}
