//! Values that are searched for below a limit: is there a way for no more than that? If there is
//! none, the answer is more than the limit and never more than the value, and the next question is
//! whether there is one for that.

use crate::relax::NEVER;

/// What is known of a value.
#[derive(Clone, Copy)]
pub(crate) struct Known {
    pub least: i64,
    /// Whether it is the value, not only a bound below it.
    pub exact: bool,
}

impl Known {
    /// What is known of a value that was searched for below a limit.
    pub(crate) fn below(limit: i64, value: i64) -> Self {
        Self { least: value, exact: value <= limit }
    }

    /// Whether nothing more has to be searched for to answer below a limit.
    pub(crate) fn answers(self, limit: i64) -> bool {
        self.exact || self.least > limit
    }
}

/// A value, or what is `enough` of it, by raising the limit.
pub(crate) fn by_raising(mut limit: i64, enough: i64, mut search: impl FnMut(i64) -> i64) -> i64 {
    loop {
        let value = search(limit);
        if value <= limit || value >= enough {
            return value;
        }
        limit = value;
    }
}

/// The answer below a limit where one of these steps comes next: by way of each the value is at
/// least so much, the step costs so much, and leads there. The least come first.
pub(crate) fn best_of<S>(
    steps: Vec<(i64, i64, S)>,
    (known, limit): (i64, i64),
    mut search: impl FnMut(S, i64) -> i64,
) -> i64 {
    let mut best = NEVER;
    for (least, cost, next) in steps {
        if least >= best || best <= known {
            break;
        }
        let value =
            if least > limit { least } else { cost.saturating_add(search(next, limit - cost)) };
        best = best.min(value);
    }
    best.max(known).min(NEVER)
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// From each number one may go on by 3 or by 5 for as much, or by 1 for 2; the value is the
    /// least to reach 11 exactly.
    fn value(at: i64, limit: i64, asked: &Cell<u32>) -> i64 {
        asked.set(asked.get() + 1);
        let rest = |at: i64| if at > 11 { NEVER } else { 11 - at };
        if at >= 11 {
            return rest(at);
        }
        let mut steps: Vec<_> = [(3, 3), (5, 5), (1, 2)]
            .into_iter()
            .map(|(on, cost)| (rest(at + on).saturating_add(cost), cost, at + on))
            .collect();
        steps.sort_by_key(|step| step.0);
        best_of(steps, (rest(at), limit), |next, limit| value(next, limit, asked))
    }

    /// The value is found from any first limit; below it the answer is more than the limit and no
    /// more than the value; what is enough ends the search early.
    #[test]
    fn is_never_more_than_the_value() {
        let asked = Cell::new(0);
        for first in 0..20 {
            assert_eq!(by_raising(first, NEVER, |limit| value(0, limit, &asked)), 11);
        }
        for limit in 0..11 {
            let found = value(0, limit, &asked);
            assert!(found > limit && found <= 11, "{found} below {limit}");
        }
        // Of the 7 that are left one is made by a step that costs 2.
        assert_eq!(by_raising(0, NEVER, |limit| value(4, limit, &asked)), 8);
        asked.set(0);
        value(4, 7, &asked);
        let low = asked.replace(0);
        value(4, 30, &asked);
        assert!(low < asked.replace(0), "{low}: the limit saves nothing");
        assert!(by_raising(0, 5, |limit| value(4, limit, &asked)) >= 5);
        let early = asked.replace(0);
        by_raising(0, NEVER, |limit| value(4, limit, &asked));
        assert!(early < asked.get(), "{early} of {}", asked.get());
    }
}
