//! Lines such as `[part."starter motor"]`.

/// A table's line, taken apart.
#[derive(Debug, PartialEq)]
pub(crate) struct Header {
    /// `[[...]]`.
    pub(crate) is_list: bool,
    /// The names between the dots, without quotes.
    pub(crate) path: Vec<String>,
}

/// What is wrong with a table's line, and what it was probably meant to be.
#[derive(Debug, PartialEq)]
pub(crate) struct BadHeader {
    /// What is wrong.
    pub(crate) message: &'static str,
    /// The line as it should be; empty if that cannot be guessed.
    pub(crate) meant: String,
}

/// Reads a line that begins with `[` (spaces before it cut off).
pub(crate) fn header(line: &str) -> Result<Header, BadHeader> {
    let is_list = line.starts_with("[[");
    let mut rest = line.strip_prefix(if is_list { "[[" } else { "[" }).unwrap_or("");
    let mut path = Vec::new();
    loop {
        rest = rest.trim_start();
        let Some((name, after)) = name(rest) else {
            return Err(bad(line));
        };
        path.push(name);
        rest = after.trim_start();
        match rest.strip_prefix('.') {
            Some(after) => rest = after,
            None => break,
        }
    }
    let close = if is_list { "]]" } else { "]" };
    let Some(after) = rest.strip_prefix(close) else {
        return Err(bad(line));
    };
    let after = after.trim_start();
    if after.is_empty() || after.starts_with('#') {
        Ok(Header { is_list, path })
    } else {
        Err(bad(line))
    }
}

/// One name at the beginning, in quotes or plain, and what comes after it.
fn name(text: &str) -> Option<(String, &str)> {
    if let Some(inner) = text.strip_prefix('"') {
        let mut name = String::new();
        let mut chars = inner.char_indices();
        while let Some((index, c)) = chars.next() {
            match c {
                '"' => return Some((name, &inner[index + 1..])),
                '\\' => name.push(chars.next()?.1),
                _ => name.push(c),
            }
        }
        return None;
    }
    if let Some(inner) = text.strip_prefix('\'') {
        let end = inner.find('\'')?;
        return Some((inner[..end].to_owned(), &inner[end + 1..]));
    }
    let end = text.find(|c: char| !is_plain(c)).unwrap_or(text.len());
    (end > 0).then(|| (text[..end].to_owned(), &text[end..]))
}

/// Whether a letter needs no quotes in a key.
pub(crate) fn is_plain(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '-' | '_')
}

/// Guesses what a broken line was meant to be.
fn bad(line: &str) -> BadHeader {
    let (inside, closed) = match line.rfind(']') {
        Some(end) if end > 0 => (&line[..end], true),
        _ => (line.split('#').next().unwrap_or(line), false),
    };
    let inside = inside.trim_matches(['[', ']', ' ', '\t']);
    let (sort, rest) = inside.split_once('.').unwrap_or((inside, ""));
    const QUOTES: &str = "\"'“”„‘’«»`";
    let quotes = |c: char| QUOTES.contains(c);
    let sort = sort.trim().trim_matches(quotes);
    let name: String = rest.trim().trim_matches(quotes).trim().to_owned();
    let name = name.replace(['"', '\\'], "");
    let message = if !closed {
        "The ] is missing at the end of this line."
    } else if rest.contains(|c| quotes(c) && !matches!(c, '"' | '\'')) {
        "Names stand in straight quotes."
    } else if rest.matches('"').count() % 2 == 1 {
        "A quote is missing on this line."
    } else if line.contains("]]") && !line.starts_with("[[") {
        "There is one ] too many on this line."
    } else if !name.is_empty() && !rest.contains(quotes) {
        "A name with spaces or other signs stands in quotes."
    } else {
        "This line is not written as the head of a table."
    };
    let plain = !sort.is_empty() && sort.chars().all(is_plain);
    let meant = match (plain, name.is_empty()) {
        (false, _) => String::new(),
        (true, true) if rest.trim().is_empty() => format!("[{sort}]"),
        (true, true) => String::new(),
        (true, false) => format!("[{sort}.\"{name}\"]"),
    };
    BadHeader { message, meant }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_and_mends() {
        let path = |line: &str| header(line).map(|h| h.path.join("|")).map_err(|b| b.meant);
        assert_eq!(path("[job]"), Ok("job".into()));
        assert_eq!(path("[[ part . \"a.b\" . ways ]] # x"), Ok("part|a.b|ways".into()));
        assert_eq!(path("[tie.'x y']"), Ok("tie|x y".into()));
        assert_eq!(path("[part.Starter motor]"), Err("[part.\"Starter motor\"]".into()));
        assert_eq!(path("[part.\"a]"), Err("[part.\"a\"]".into()));
        assert_eq!(path("[part.a"), Err("[part.\"a\"]".into()));
        assert_eq!(path("[part.“a b”]"), Err("[part.\"a b\"]".into()));
        assert_eq!(path("[part.\"a\"]]"), Err("[part.\"a\"]".into()));
        assert_eq!(path("[]"), Err(String::new()));
        assert_eq!(path("["), Err(String::new()));
    }
}
