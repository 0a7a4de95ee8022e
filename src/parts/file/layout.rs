//! What is written, and its lines for people: what fits on a line stands on one, the stages of the signal path stand open.

/// Longest line, in letters.
const WIDTH: usize = 100;
/// Groups this deep stand open even where they would fit: the file, and the stages in it.
const OPEN_DEPTH: usize = 1;

/// A value as it is written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Text {
    /// A word, a number or a text in quotes.
    Plain(String),
    /// Brackets with values between them.
    Group {
        /// The name of a variant before the bracket; mostly nothing.
        name: String,
        open: char,
        items: Vec<Self>,
        close: char,
    },
    /// A value with the name of its field.
    Field { name: String, value: Box<Self> },
}

/// Where lines begin and how they end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lines<'a> {
    /// What stands before those in so many groups.
    pub(super) margin: (usize, &'a str),
    /// What more stands before those of a group, for each further group that they are in.
    pub(super) step: &'a str,
    /// What is between them.
    pub(super) end: &'a str,
}

impl Lines<'static> {
    /// As this program writes a file.
    pub(super) const USUAL: Self = Self {
        margin: (0, ""),
        step: "    ",
        end: "\n",
    };
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
            name: name.to_owned(),
            open: '(',
            items,
            close: ')',
        }
    }

    /// Values in square brackets.
    pub(super) fn list(items: Vec<Self>) -> Self {
        Self::Group {
            name: String::new(),
            open: '[',
            items,
            close: ']',
        }
    }

    /// The same with the name of its field.
    pub(super) fn field(self, name: &str) -> Self {
        Self::Field {
            name: name.to_owned(),
            value: Box::new(self),
        }
    }

    /// What it holds, if it is in brackets.
    pub(super) fn items(&self) -> &[Self] {
        match self {
            Self::Group { items, .. } => items,
            Self::Plain(_) | Self::Field { .. } => &[],
        }
    }

    /// The name of the field that it is.
    pub(super) fn field_name(&self) -> Option<&str> {
        match self {
            Self::Field { name, .. } => Some(name),
            Self::Plain(_) | Self::Group { .. } => None,
        }
    }

    /// The value of a field of this name among these.
    pub(super) fn find<'a>(items: &'a [Self], wanted: &str) -> Option<&'a Self> {
        items.iter().find_map(|item| match item {
            Self::Field { name, value } if name == wanted => Some(&**value),
            _ => None,
        })
    }

    /// In lines, as the text of a file.
    pub(super) fn lines(&self) -> String {
        let mut out = String::new();
        self.render(Lines::USUAL, 0, &mut out);
        out.push('\n');
        out
    }

    /// On one line.
    pub(super) fn line(&self) -> String {
        let mut out = String::new();
        self.one_line(&mut out);
        out
    }

    fn one_line(&self, out: &mut String) {
        match self {
            Self::Plain(text) => out.push_str(text),
            Self::Field { name, value } => {
                out.push_str(name);
                out.push_str(": ");
                value.one_line(out);
            }
            Self::Group {
                name,
                open,
                items,
                close,
            } => {
                out.push_str(name);
                out.push(*open);
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

    /// In lines, this deep in groups; what is already in the last line of `out` counts for what fits.
    pub(super) fn render(&self, lines: Lines<'_>, depth: usize, out: &mut String) {
        if let Self::Field { name, value } = self {
            out.push_str(name);
            out.push_str(": ");
            return value.render(lines, depth, out);
        }
        let line = self.line();
        let before = out.rsplit('\n').next().unwrap_or_default().chars().count();
        // One more letter for the comma.
        let fits = before + line.chars().count() < WIDTH && !line.contains('\n');
        match self {
            Self::Group {
                name,
                open,
                items,
                close,
            } if !items.is_empty()
                && (!fits || depth <= OPEN_DEPTH && *open == '(' && items.len() > 1) =>
            {
                let begin = |depth: usize, out: &mut String| {
                    let (margin_depth, margin) = lines.margin;
                    out.push_str(lines.end);
                    out.push_str(margin);
                    out.push_str(&lines.step.repeat(depth.saturating_sub(margin_depth)));
                };
                out.push_str(name);
                out.push(*open);
                for item in items {
                    begin(depth + 1, out);
                    item.render(lines, depth + 1, out);
                    out.push(',');
                }
                begin(depth, out);
                out.push(*close);
            }
            _ => out.push_str(&line),
        }
    }
}
