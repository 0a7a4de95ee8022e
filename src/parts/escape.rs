//! Texts that others wrote, as they can stand in a sentence: nothing that a terminal obeys, nothing longer than one reads.

/// Letters of a value that a sentence quotes.
const LONGEST: usize = 40;

/// Control characters, and those that turn the direction of writing, as they are written in a file (`\n`, `\u{1b}`): a terminal
/// would obey them, and a window shows nothing for them.
pub fn escaped(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    for letter in text.chars() {
        if is_unseen(letter) {
            clean.extend(letter.escape_default());
        } else {
            clean.push(letter);
        }
    }
    clean
}

/// The same, line by line: what parts them stays.
pub fn escaped_lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(escaped).collect();
    lines.join("\n")
}

/// A name as it can stand over a picture: escaped, and cut with … where it would fill a page.
pub fn title(name: &str) -> String {
    const LONGEST: usize = 120;
    escaped(&cut(name, LONGEST))
}

/// The first line, cut with … where it goes on for longer than one reads in a sentence.
pub fn shortened(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default();
    let short = cut(line, LONGEST);
    if line.len() == text.len() || short.ends_with('…') {
        short
    } else {
        short + "…"
    }
}

/// The text, or so many letters of it and ….
fn cut(text: &str, most: usize) -> String {
    let end = text.char_indices().nth(most).map(|(at, _)| at);
    match end.and_then(|at| text.get(..at)) {
        Some(begin) => format!("{begin}…"),
        None => text.to_owned(),
    }
}

/// True for what does something and shows nothing: control characters, the marks and isolates of the bidirectional algorithm
/// (Unicode Standard Annex 9), and the two separators of lines and paragraphs.
pub fn is_unseen(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_left_that_a_terminal_obeys() {
        assert_eq!(
            escaped("a\u{1b}[2J\r\n\u{9b}b\u{202e}"),
            "a\\u{1b}[2J\\r\\n\\u{9b}b\\u{202e}"
        );
        assert_eq!(escaped("47 µF, Ω – “é”"), "47 µF, Ω – “é”");
        assert_eq!(escaped_lines("a\u{7}\nb"), "a\\u{7}\nb");
    }

    #[test]
    fn a_long_text_is_cut_between_two_letters() {
        assert_eq!(shortened(&"Ω".repeat(40)), "Ω".repeat(40));
        assert_eq!(shortened(&"Ω".repeat(41)), format!("{}…", "Ω".repeat(40)));
        assert_eq!(shortened("one\ntwo"), "one…");
        assert_eq!(shortened("one\n"), "one…");
        assert_eq!(shortened(""), "");
        assert_eq!(title("a\nb"), "a\\nb");
        assert_eq!(title(&"Ω".repeat(1000)), "Ω".repeat(120) + "…");
    }
}
