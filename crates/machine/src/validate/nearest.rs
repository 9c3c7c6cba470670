//! The known name that is nearest to one that is not known.

/// The candidate nearest to `name`, if it is near enough to have been meant: letter case and
/// spaces aside, at most one slip for every three letters.
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const LETTERS_MAX: usize = 60;
    let plain = |text: &str| -> Vec<char> {
        let kept = text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_'));
        kept.flat_map(char::to_lowercase).take(LETTERS_MAX).collect()
    };
    let wanted = plain(name);
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let letters = plain(candidate);
        let allowed = 1.max(wanted.len().max(letters.len()) / 3);
        if wanted.is_empty() || letters.is_empty() || wanted.len().abs_diff(letters.len()) > allowed
        {
            continue;
        }
        let slips = distance(&wanted, &letters, allowed);
        if slips <= allowed && slips < letters.len() && best.is_none_or(|(least, _)| slips < least)
        {
            best = Some((slips, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// Insertions, deletions, replacements and swaps of neighbours (optimal string alignment);
/// anything above `most` once it is certain to be more.
fn distance(a: &[char], b: &[char], most: usize) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let differs = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + differs);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(before[j - 2] + 1);
            }
            row[j] = least;
        }
        before = std::mem::replace(&mut last, row);
        // A swap reaches back two rows, so both must be past the limit.
        if last.iter().chain(&before).all(|slips| *slips > most) {
            return most + 1;
        }
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One slip is found, and something else altogether is not.
    #[test]
    fn finds_slips() {
        let known = ["battery tray", "starter motor", "starter screws", "x"];
        let check = |name: &str, expect: Option<&str>| assert_eq!(nearest(name, known), expect);
        check("batery tray", Some("battery tray"));
        check("Battery_Tray", Some("battery tray"));
        check("starter moter", Some("starter motor"));
        check("starter srcews", Some("starter screws"));
        check("gearbox", None);
        check("y", None);
        check("", None);
        assert_eq!(distance(&['a', 'b'], &['b', 'a'], 9), 1);
        assert_eq!(distance(&[], &['b', 'a'], 9), 2);
    }
}
