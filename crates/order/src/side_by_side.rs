//! Two halves of one question, worked on one after the other, or at the same time where the caller
//! has the hands for it. What comes of them never depends on which is done first.

/// Tells whether to stop.
pub type Stop<'s> = &'s dyn Fn() -> bool;

/// Works on both halves of a question: each is called once, with what tells it whether to stop.
/// The first may be worked on by another thread. The given `Stop` may only be asked where it was
/// given; what else tells a half must say yes soon after that does.
pub type Hands =
    dyn Fn(Stop<'_>, &mut (dyn FnMut(Stop<'_>) + Send), &mut dyn FnMut(Stop<'_>)) + Sync;

/// The hands of a caller who has no more than two: one half after the other.
pub fn in_turn(
    stop: Stop<'_>,
    first: &mut (dyn FnMut(Stop<'_>) + Send),
    second: &mut dyn FnMut(Stop<'_>),
) {
    first(stop);
    second(stop);
}

/// How much comes off where both directions are worth the hands of two.
pub(crate) const LARGE: usize = 64;

/// What both halves come to, by these hands if it is `worth` them.
pub(crate) fn both<A: Send, B>(
    (hands, worth): (&Hands, bool),
    stop: Stop<'_>,
    first: impl FnOnce(Stop<'_>) -> A + Send,
    second: impl FnOnce(Stop<'_>) -> B,
) -> (A, B) {
    if !worth {
        return (first(stop), second(stop));
    }
    let (mut first, mut second) = (Some(first), Some(second));
    let (mut of_first, mut of_second) = (None, None);
    let mut one = |stop: Stop<'_>| {
        if let Some(first) = first.take() {
            of_first = Some(first(stop));
        }
    };
    let mut two = |stop: Stop<'_>| {
        if let Some(second) = second.take() {
            of_second = Some(second(stop));
        }
    };
    hands(stop, &mut one, &mut two);
    // Whatever a caller's hands forgot.
    one(stop);
    two(stop);
    let done = "BUG: each half was worked on by now";
    (of_first.expect(done), of_second.expect(done))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Both halves are done, in whatever order, and by hands that forget one of them too.
    #[test]
    fn both_are_done() {
        let other_way: &Hands = &|stop, first, second| {
            second(stop);
            first(stop);
        };
        let forgets: &Hands = &|stop, first, _| first(stop);
        for hands in [&in_turn as &Hands, other_way, forgets] {
            for worth in [true, false] {
                let stop = || true;
                let both = both((hands, worth), &stop, |stop| stop(), |stop| usize::from(stop()));
                assert_eq!(both, (true, 1));
            }
        }
    }
}
