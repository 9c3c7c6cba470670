//! Several joints at once: the same steps of arithmetic on [`LANES`] numbers side by side.

/// How many joints are worked side by side.
pub(crate) const LANES: usize = 8;
/// One number of each of those joints.
pub(crate) type Lane = [f64; LANES];

pub(crate) const ZERO: Lane = [0.0; LANES];

/// `to -= a * b`
#[inline(always)]
pub(crate) fn take_product(to: &mut Lane, a: &Lane, b: &Lane) {
    for i in 0..LANES {
        to[i] -= a[i] * b[i];
    }
}

/// `to += a * b`
#[inline(always)]
pub(crate) fn add_product(to: &mut Lane, a: &Lane, b: &Lane) {
    for i in 0..LANES {
        to[i] += a[i] * b[i];
    }
}

/// `to *= by`
#[inline(always)]
fn multiply(to: &mut Lane, by: &Lane) {
    for i in 0..LANES {
        to[i] *= by[i];
    }
}

/// What tightening each screw by one unit does to the others, for [`LANES`] joints; screws in the
/// order of the first round.
#[derive(Debug)]
pub(crate) struct Columns {
    count: usize,
    /// Lower triangle of Cholesky's, then of its inverse, row by row.
    lower: Vec<Lane>,
    inverse: Vec<Lane>,
    /// Column p of the first round: what screw p does to those before it.
    pub(crate) first: Vec<Lane>,
    /// Column p of later rounds: what screw p does to all.
    pub(crate) later: Vec<Lane>,
    own: Vec<Lane>,
}

impl Columns {
    pub(crate) fn new(count: usize) -> Self {
        let cells = || vec![ZERO; count * count];
        Self {
            count,
            lower: cells(),
            inverse: cells(),
            first: cells(),
            later: cells(),
            own: vec![ZERO; count],
        }
    }

    /// Works them out for joints whose springs are `springs(row, column)`, row >= column.
    ///
    /// With `M = L L^T` in tightening order, row p of `L^-1` times `L_pp` is what screw p does to
    /// those before it, and `K = L^-T L^-1`. The springs are positive definite: see `Elastic`.
    pub(crate) fn work_out(&mut self, springs: impl Fn(usize, usize) -> Lane) {
        let n = self.count;
        for row in 0..n {
            for column in 0..=row {
                let mut rest = springs(row, column);
                let (above, own) = (&self.lower[column * n..], &self.lower[row * n..]);
                for (a, b) in above[..column].iter().zip(&own[..column]) {
                    take_product(&mut rest, a, b);
                }
                if row == column {
                    let root: Lane = rest.map(f64::sqrt);
                    self.lower[row * n + row] = root;
                    self.own[row] = root.map(|root| 1.0 / root);
                } else {
                    multiply(&mut rest, &self.own[column]);
                    self.lower[row * n + column] = rest;
                }
            }
        }
        self.invert();
        self.make_columns();
    }

    fn invert(&mut self) {
        let n = self.count;
        for row in 0..n {
            let (done, rest) = self.inverse.split_at_mut(row * n);
            let line = &mut rest[..n];
            line[..row].fill(ZERO);
            for k in 0..row {
                let by = &self.lower[row * n + k];
                for (cell, above) in line[..=k].iter_mut().zip(&done[k * n..=k * n + k]) {
                    take_product(cell, by, above);
                }
            }
            for cell in &mut line[..row] {
                multiply(cell, &self.own[row]);
            }
            line[row] = self.own[row];
        }
    }

    fn make_columns(&mut self) {
        let n = self.count;
        for p in 0..n {
            let by = self.lower[p * n + p];
            for i in 0..p {
                let mut cell = self.inverse[p * n + i];
                multiply(&mut cell, &by);
                self.first[p * n + i] = cell;
            }
        }
        self.later.fill(ZERO);
        for k in 0..n {
            let line = &self.inverse[k * n..=k * n + k];
            for (p, by) in line.iter().enumerate() {
                for (cell, other) in self.later[p * n..=p * n + k].iter_mut().zip(line) {
                    add_product(cell, by, other);
                }
            }
        }
        for p in 0..n {
            let own = self.later[p * n + p].map(|own| 1.0 / own);
            for cell in &mut self.later[p * n..(p + 1) * n] {
                multiply(cell, &own);
            }
        }
    }
}
