//! Small square matrices, and the two things that are asked of them.

/// A square matrix of n rows, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Matrix {
    size: usize,
    cells: Vec<f64>,
}

impl Matrix {
    /// Each cell from its row and column.
    #[must_use]
    pub fn from_cells(size: usize, cell: impl Fn(usize, usize) -> f64) -> Self {
        let cells = (0..size * size).map(|at| cell(at / size, at % size)).collect();
        Self { size, cells }
    }

    /// How many rows and columns it has.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size
    }

    /// One cell; rows and columns are counted from 0.
    ///
    /// # Panics
    /// If there is no such cell.
    #[must_use]
    pub fn at(&self, row: usize, column: usize) -> f64 {
        assert!(column < self.size);
        self.cells[row * self.size + column]
    }

    /// The lower triangle L with `L L^T` = this, if this is symmetric and positive definite
    /// (Cholesky). The part above the diagonal is not read.
    #[must_use]
    pub fn cholesky(&self) -> Option<Self> {
        let n = self.size;
        let mut lower = Self::from_cells(n, |_, _| 0.0);
        for i in 0..n {
            for j in 0..=i {
                let sum = (0..j).map(|k| lower.at(i, k) * lower.at(j, k)).sum::<f64>();
                let rest = self.at(i, j) - sum;
                lower.cells[i * n + j] = if i > j {
                    rest / lower.at(j, j)
                } else if rest > 1e-13 * self.at(i, i) {
                    rest.sqrt()
                } else {
                    return None;
                };
            }
        }
        Some(lower)
    }

    /// Solves `L L^T x = right` for this lower triangle L.
    #[must_use]
    pub fn solve_by_cholesky(&self, right: &[f64]) -> Vec<f64> {
        let n = self.size;
        let mut x = right.to_vec();
        for i in 0..n {
            let sum = (0..i).map(|k| self.at(i, k) * x[k]).sum::<f64>();
            x[i] = (x[i] - sum) / self.at(i, i);
        }
        for i in (0..n).rev() {
            let sum = (i + 1..n).map(|k| self.at(k, i) * x[k]).sum::<f64>();
            x[i] = (x[i] - sum) / self.at(i, i);
        }
        x
    }
}
