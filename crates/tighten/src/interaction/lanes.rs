//! Several joints at once: the same steps of arithmetic on [`LANES`] numbers side by side.

/// How many joints are worked side by side.
pub(crate) const LANES: usize = 8;
/// One number of each of those joints.
pub(crate) type Lane = [f64; LANES];

pub(crate) const ZERO: Lane = [0.0; LANES];

/// A share that is the same for all joints, or one for each.
pub(crate) trait Share: Copy {
    fn lane(self) -> Lane;
}

impl Share for f64 {
    #[inline(always)]
    fn lane(self) -> Lane {
        [self; LANES]
    }
}

impl Share for Lane {
    #[inline(always)]
    fn lane(self) -> Lane {
        self
    }
}

/// Which screws take part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tight {
    /// Those that come before in the first round's order.
    SoFar,
    /// All.
    All,
}

/// Pulls the screws at these places, in this order, each to its goal; `columns` holds what each
/// does to the others. Two pulls are made at once: the second is reckoned on what the first leaves.
pub(crate) fn pulls<S: Share>(
    force: &mut [Lane],
    goals: &[Lane],
    places: &[usize],
    columns: &[S],
    tight: Tight,
) {
    let count = force.len();
    let column = |place: usize| &columns[place * count..(place + 1) * count];
    for (pair, goals) in places.chunks(2).zip(goals.chunks(2)) {
        let (one, first) = (pair[0], column(pair[0]));
        let mut more = goals[0];
        subtract(&mut more, &force[one]);
        let moved = |last: usize| if tight == Tight::All { count } else { last + 1 };
        if let [_, other] = *pair {
            let second = column(other);
            let mut then = goals[1];
            subtract(&mut then, &force[other]);
            take_product(&mut then, &first[other].lane(), &more);
            let shares = first.iter().zip(second);
            for (force, (a, b)) in force[..moved(other)].iter_mut().zip(shares) {
                let (a, b) = (a.lane(), b.lane());
                for i in 0..LANES {
                    force[i] += a[i] * more[i] + b[i] * then[i];
                }
            }
            force[one] = goals[0];
            add_product(&mut force[one], &second[one].lane(), &then);
            force[other] = goals[1];
        } else {
            for (force, share) in force[..moved(one)].iter_mut().zip(first) {
                add_product(force, &share.lane(), &more);
            }
            force[one] = goals[0];
        }
    }
}

/// `from -= what`
#[inline(always)]
fn subtract(from: &mut Lane, what: &Lane) {
    for i in 0..LANES {
        from[i] -= what[i];
    }
}

/// `to -= a * b`
#[inline(always)]
fn take_product(to: &mut Lane, a: &Lane, b: &Lane) {
    for i in 0..LANES {
        to[i] -= a[i] * b[i];
    }
}

/// `to += a * b`
#[inline(always)]
fn add_product(to: &mut Lane, a: &Lane, b: &Lane) {
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
    /// Column p of the first round: what screw p does to those before it; 0 for those after it.
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
