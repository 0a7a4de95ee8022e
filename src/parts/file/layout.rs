//! Lines for people: what fits on a line stands on one, the stages of the signal path stand open.
//!
//! The serializer knows either one field a line (a published point takes six) or all on one line. So it writes
//! one line, and this breaks it.

/// Longest line, in letters.
const WIDTH: usize = 100;
/// Groups this deep stand open even where they would fit: the file, and the stages in it.
const OPEN_DEPTH: usize = 1;

/// A value: text as it is, or brackets with values between them.
enum Piece<'a> {
    Plain(&'a str),
    Group {
        /// What stands before the bracket and the bracket: `series: Choke(`.
        open: &'a str,
        items: Vec<Self>,
        close: char,
    },
}

/// Breaks the one line of a record into lines.
pub(super) fn lines(text: &str) -> String {
    let mut out = String::with_capacity(text.len() * 2);
    let mut at = 0;
    if let Some(piece) = piece(text, &mut at) {
        render(&piece, 0, &mut out);
    }
    out.push('\n');
    out
}

fn piece<'a>(text: &'a str, at: &mut usize) -> Option<Piece<'a>> {
    skip_blanks(text, at);
    let start = *at;
    loop {
        let rest = text.get(*at..)?;
        match rest.chars().next() {
            Some('"') => *at += quoted(rest),
            Some('r') if rest.starts_with("r\"") || rest.starts_with("r#") => *at += raw(rest),
            Some(open @ ('(' | '[' | '{')) => {
                *at += 1;
                let head = text.get(start..*at)?;
                return group(text, at, (head, closing(open)));
            }
            Some(',' | ')' | ']' | '}') | None => {
                return Some(Piece::Plain(text.get(start..*at)?.trim_end()));
            }
            Some(c) => *at += c.len_utf8(),
        }
    }
}

fn group<'a>(text: &'a str, at: &mut usize, (open, close): (&'a str, char)) -> Option<Piece<'a>> {
    let mut items = Vec::new();
    loop {
        skip_blanks(text, at);
        let next = text.get(*at..)?.chars().next()?;
        if next == close {
            *at += 1;
            return Some(Piece::Group { open, items, close });
        }
        if next == ',' {
            *at += 1;
        } else {
            items.push(piece(text, at)?);
        }
    }
}

fn skip_blanks(text: &str, at: &mut usize) {
    let rest = text.get(*at..).unwrap_or_default();
    *at += rest.len() - rest.trim_start().len();
}

fn closing(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

/// Bytes of the quoted text at the start.
fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Bytes of the raw text (`r#"…"#`) at the start.
fn raw(text: &str) -> usize {
    let hashes = text.chars().skip(1).take_while(|c| *c == '#').count();
    let close = format!("\"{}", "#".repeat(hashes));
    let body = text.get(hashes + 2..).unwrap_or_default();
    body.find(&close)
        .map_or(text.len(), |at| hashes + 2 + at + close.len())
}

impl Piece<'_> {
    fn one_line(&self, out: &mut String) {
        match self {
            Self::Plain(text) => out.push_str(text),
            Self::Group { open, items, close } => {
                out.push_str(open);
                for (index, item) in items.iter().enumerate() {
                    if index > 0 {
                        out.push_str(", ");
                    }
                    item.one_line(out);
                }
                out.push(*close);
            }
        }
    }

    fn has_fields(&self) -> bool {
        match self {
            Self::Plain(_) => false,
            Self::Group { open, items, .. } => open.ends_with('(') && items.len() > 1,
        }
    }
}

fn render(piece: &Piece<'_>, depth: usize, out: &mut String) {
    let mut line = String::new();
    piece.one_line(&mut line);
    // One more letter for the comma.
    let fits = 4 * depth + line.chars().count() < WIDTH && !line.contains('\n');
    match piece {
        Piece::Group { open, items, close }
            if !items.is_empty() && (!fits || (depth <= OPEN_DEPTH && piece.has_fields())) =>
        {
            out.push_str(open);
            out.push('\n');
            for item in items {
                out.push_str(&"    ".repeat(depth + 1));
                render(item, depth + 1, out);
                out.push_str(",\n");
            }
            out.push_str(&"    ".repeat(depth));
            out.push(*close);
        }
        _ => out.push_str(&line),
    }
}
