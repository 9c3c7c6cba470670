//! Exact numbers: a value that was written in digits stays exactly that value through every unit.

use std::cmp::Ordering;

/// A fraction of two whole numbers, reduced; the lower one is positive.
///
/// Every unit of torque here is an exact decimal in N·m, so a value as written and its conversions
/// are fractions without rounding. What does not fit any more is `None`, never a wrong number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Exact {
    num: i128,
    den: i128,
}

impl Exact {
    /// Nothing.
    pub const ZERO: Exact = Exact { num: 0, den: 1 };
    /// One.
    pub const ONE: Exact = Exact { num: 1, den: 1 };

    /// Gives `num / den`; none if `den` is 0 or the fraction does not fit.
    pub fn new(num: i128, den: i128) -> Option<Exact> {
        if den == 0 || num == i128::MIN || den == i128::MIN {
            return None;
        }
        let common = gcd(num.unsigned_abs(), den.unsigned_abs()).max(1);
        let common = i128::try_from(common).ok()?;
        let sign = den.signum();
        Some(Exact { num: sign * (num / common), den: sign * (den / common) })
    }

    /// Gives a whole number.
    pub fn whole(number: i64) -> Exact {
        Exact { num: i128::from(number), den: 1 }
    }

    /// Gives `digits` with the decimal sign before the last `decimals` of them.
    pub fn decimal(digits: i128, decimals: u32) -> Option<Exact> {
        Exact::new(digits, 10_i128.checked_pow(decimals)?)
    }

    /// Gives the nearest number with nine decimals; none if it is not finite or too large.
    pub fn near(number: f64) -> Option<Exact> {
        let scaled = (number * 1e9).round();
        // Every whole f64 below 2^100 is a whole i128.
        if !scaled.is_finite() || scaled.abs() > 1e30 {
            return None;
        }
        #[allow(clippy::cast_possible_truncation, reason = "finite and in range, just tested")]
        Exact::new(scaled as i128, 1_000_000_000)
    }

    /// Adds.
    pub fn plus(self, other: Exact) -> Option<Exact> {
        let left = self.num.checked_mul(other.den)?;
        let right = other.num.checked_mul(self.den)?;
        Exact::new(left.checked_add(right)?, self.den.checked_mul(other.den)?)
    }

    /// Takes away.
    pub fn minus(self, other: Exact) -> Option<Exact> {
        self.plus(Exact { num: -other.num, den: other.den })
    }

    /// Multiplies; common factors go first, so that what fits is found.
    pub fn times(self, other: Exact) -> Option<Exact> {
        let a = Exact::new(self.num, other.den)?;
        let b = Exact::new(other.num, self.den)?;
        Exact::new(a.num.checked_mul(b.num)?, a.den.checked_mul(b.den)?)
    }

    /// Divides; none by nothing.
    pub fn over(self, other: Exact) -> Option<Exact> {
        self.times(Exact::new(other.den, other.num)?)
    }

    /// Gives the nearest floating number.
    #[allow(clippy::cast_precision_loss, reason = "the nearest is what is asked for")]
    pub fn to_f64(self) -> f64 {
        self.num as f64 / self.den as f64
    }

    /// Gives the nearest whole number of steps; halves go down, towards less torque.
    pub fn steps_down(self, step: Exact) -> Option<i128> {
        let ratio = self.over(step)?;
        let twice = ratio.num.checked_mul(2)?.checked_sub(ratio.den)?;
        // The least whole number that is at least ratio - 1/2.
        let den = ratio.den.checked_mul(2)?;
        let floor = twice.div_euclid(den);
        Some(if twice.rem_euclid(den) == 0 { floor } else { floor + 1 })
    }

    /// Gives how many whole steps fit into it.
    pub fn floor_of(self, step: Exact) -> Option<i128> {
        let ratio = self.over(step)?;
        Some(ratio.num.div_euclid(ratio.den))
    }

    /// Multiplies by a whole number.
    pub fn times_whole(self, number: i128) -> Option<Exact> {
        self.times(Exact::new(number, 1)?)
    }

    /// Tells whether it is below nothing.
    pub fn is_negative(self) -> bool {
        self.num < 0
    }

    /// Gives the distance from nothing.
    #[must_use]
    pub fn abs(self) -> Exact {
        Exact { num: self.num.abs(), den: self.den }
    }

    /// Writes it with that many decimals, halves away from nothing; zeros at the end stay.
    pub fn text(self, decimals: u32) -> String {
        let scale = 10_i128.checked_pow(decimals).unwrap_or(1);
        let Some(scaled) = self.abs().times_whole(scale) else {
            return format!("{:.*}", decimals as usize, self.to_f64());
        };
        let whole = (2 * (scaled.num % scaled.den) >= scaled.den) as i128 + scaled.num / scaled.den;
        let sign = if self.is_negative() && whole > 0 { "-" } else { "" };
        if decimals == 0 {
            return format!("{sign}{whole}");
        }
        let (before, behind) = (whole / scale, whole % scale);
        format!("{sign}{before}.{behind:0width$}", width = decimals as usize)
    }

    /// Writes it with at most that many decimals and no zeros at the end.
    pub fn short(self, decimals: u32) -> String {
        let text = self.text(decimals);
        if !text.contains('.') {
            return text;
        }
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

impl PartialOrd for Exact {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Exact {
    /// Compares whole part by whole part, so that nothing can overflow.
    fn cmp(&self, other: &Self) -> Ordering {
        let (mut a, mut b) = (*self, *other);
        let mut turned = false;
        loop {
            let whole = (a.num.div_euclid(a.den), b.num.div_euclid(b.den));
            let rest = (a.num.rem_euclid(a.den), b.num.rem_euclid(b.den));
            let order = whole.0.cmp(&whole.1).then_with(|| match rest {
                (0, 0) => Ordering::Equal,
                (0, _) => Ordering::Less,
                (_, 0) => Ordering::Greater,
                _ => Ordering::Equal,
            });
            let settled = order != Ordering::Equal || rest.0 == 0;
            if settled {
                return if turned { order.reverse() } else { order };
            }
            a = Exact { num: a.den, den: rest.0 };
            b = Exact { num: b.den, den: rest.1 };
            turned = !turned;
        }
    }
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]
mod tests {
    use super::*;

    /// Orders and sums hold, also where cross-multiplying would overflow.
    #[test]
    fn exact() {
        let third = Exact::new(1, 3).unwrap();
        assert_eq!(third.plus(third).unwrap().plus(third), Some(Exact::ONE));
        let large = Exact::new(i128::MAX / 2, 3).unwrap();
        let larger = Exact::new(i128::MAX / 2 + 1, 3).unwrap();
        assert_eq!((large.cmp(&larger), large.cmp(&large)), (Ordering::Less, Ordering::Equal));
        let minus = Exact::new(-1, 3).unwrap();
        assert!(minus < Exact::ZERO && minus < third);
        assert!(Exact::new(-7, 3).unwrap() < Exact::new(-9, 4).unwrap());
        assert_eq!(large.times(larger), None);
    }

    /// Rounding: to the nearest mark, halves to the lower; text away from nothing.
    #[test]
    fn rounding() {
        let at = |n, d| Exact::new(n, d).unwrap();
        let to = |n, d| at(n, d).steps_down(at(1, 2)).unwrap();
        assert_eq!([to(5, 2), to(11, 4), to(14, 5), to(-11, 4)], [5, 5, 6, -6]);
        assert_eq!(at(67_785, 1000).text(2), "67.79");
        assert_eq!((at(-1, 2).text(0), at(1, 3).text(3)), ("-1".to_owned(), "0.333".to_owned()));
        assert_eq!((at(12, 10).short(4), at(30, 1).short(2)), ("1.2".to_owned(), "30".to_owned()));
    }
}
