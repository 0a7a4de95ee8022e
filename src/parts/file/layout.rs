//! What is written, and its lines for people: what fits on a line stands on one, the stages of the signal path stand open.

/// Longest line, in letters.
const WIDTH: usize = 100;
/// Groups this deep stand open even where they would fit: the file, and the stages in it.
const OPEN_DEPTH: usize = 1;

/// A value as it is written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Text {
    /// A word, a number or a text in quotes, perhaps with the name of its field before it.
    Plain(String),
    /// Brackets with values between them.
    Group {
        /// What stands before the values: `series: Choke(`.
        open: String,
        items: Vec<Self>,
        close: char,
    },
}

impl Text {
    /// A text in quotes, raw where a quote or a backslash stands in it: notes read as they were typed.
    pub(super) fn quoted(text: &str) -> Self {
        if !text.contains(['"', '\\']) {
            return Self::Plain(format!("\"{text}\""));
        }
        let longest = text.split(|c| c != '#').map(str::len).max();
        let hashes = "#".repeat(longest.unwrap_or_default() + 1);
        Self::Plain(format!("r{hashes}\"{text}\"{hashes}"))
    }

    /// Values in round brackets, with the name of a variant before them, or none.
    pub(super) fn group(name: &str, items: Vec<Self>) -> Self {
        Self::Group {
            open: format!("{name}("),
            items,
            close: ')',
        }
    }

    /// Values in square brackets.
    pub(super) fn list(items: Vec<Self>) -> Self {
        Self::Group {
            open: "[".to_owned(),
            items,
            close: ']',
        }
    }

    /// The same with the name of its field.
    pub(super) fn field(self, name: &str) -> Self {
        match self {
            Self::Plain(text) => Self::Plain(format!("{name}: {text}")),
            Self::Group { open, items, close } => Self::Group {
                open: format!("{name}: {open}"),
                items,
                close,
            },
        }
    }

    /// In lines, as the text of a file.
    pub(super) fn lines(&self) -> String {
        let mut out = String::new();
        self.render(0, &mut out);
        out.push('\n');
        out
    }

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

    fn render(&self, depth: usize, out: &mut String) {
        let mut line = String::new();
        self.one_line(&mut line);
        // One more letter for the comma.
        let fits = 4 * depth + line.chars().count() < WIDTH && !line.contains('\n');
        match self {
            Self::Group { open, items, close }
                if !items.is_empty()
                    && (!fits || depth <= OPEN_DEPTH && open.ends_with('(') && items.len() > 1) =>
            {
                out.push_str(open);
                out.push('\n');
                for item in items {
                    out.push_str(&"    ".repeat(depth + 1));
                    item.render(depth + 1, out);
                    out.push_str(",\n");
                }
                out.push_str(&"    ".repeat(depth));
                out.push(*close);
            }
            _ => out.push_str(&line),
        }
    }
}
