//! Where in a group something is put in or taken out, so that its lines stay as their owner laid them out.

use std::ops::Range;

use crate::parts::file::layout::Lines;
use crate::parts::file::scan::Scan;
use crate::parts::file::tree::{Group, Item};
use crate::parts::file::update::matching::Element;
use crate::parts::file::update::{Owner, comments};

/// A group while its items come and go.
pub(super) struct Place<'a, 't> {
    text: &'t str,
    group: &'a Group<'t>,
    owner: Owner,
    inserted: Vec<(Option<usize>, Element<'a>)>,
    removed: Vec<usize>,
}

/// What belongs to an item behind its value.
struct Tail {
    /// The end of the value (bytes).
    value: usize,
    /// The end of the comma, if there is one (bytes).
    comma: Option<usize>,
    /// The end of comments in the same line (bytes).
    end: usize,
}

/// How the lines of a text end.
pub(super) fn newline(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

/// What the lines of a group stand further in than those around it: as the first field of the text does.
pub(super) fn step(text: &str) -> String {
    let inside = text.lines().find(|line| {
        let begun = line.trim_start();
        begun.len() < line.len() && begun.starts_with(char::is_alphabetic)
    });
    let blank = inside.map(|line| line.len() - line.trim_start().len());
    let step = inside
        .zip(blank)
        .and_then(|(line, blank)| line.get(..blank));
    step.unwrap_or(Lines::USUAL.step).to_owned()
}

/// Where the line begins in which this place is, and the blanks before it, if there is nothing else.
pub(super) fn indentation(text: &str, at: usize) -> Option<(usize, &str)> {
    let before = text.get(..at)?;
    let line = before.rfind('\n').map_or(0, |newline| newline + 1);
    let blank = before.get(line..)?;
    blank.trim().is_empty().then_some((line, blank))
}

/// The blanks at the beginning of the line in which this place is.
fn margin(text: &str, at: usize) -> &str {
    let before = text.get(..at).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    let blank = line.len() - line.trim_start().len();
    line.get(..blank).unwrap_or_default()
}

/// How far blanks and comments go on from here without a new line (bytes): behind the last comment.
fn rest_of_line(text: &str, from: usize) -> usize {
    let mut scan = Scan::of(text);
    scan.at = from;
    let mut end = from;
    loop {
        let rest = scan.rest();
        let blank = rest.find(|c: char| !c.is_whitespace() || c == '\n' || c == '\r');
        scan.at += blank.unwrap_or(rest.len());
        let start = scan.at;
        scan.skip_comment();
        if scan.at == start {
            return end;
        }
        end = start + scan.since(start).trim_end().len();
    }
}

/// True where only blanks follow in the line.
fn ends_line(text: &str, at: usize) -> bool {
    let rest = text.get(at..).unwrap_or_default();
    let line = rest.split('\n').next().unwrap_or_default();
    line.trim().is_empty()
}

impl<'a, 't> Place<'a, 't> {
    pub(super) fn of(text: &'t str, group: &'a Group<'t>, owner: Owner) -> Self {
        Self {
            text,
            group,
            owner,
            inserted: Vec::new(),
            removed: Vec::new(),
        }
    }

    /// Puts an element behind the item in this place, or before all.
    pub(super) fn insert(&mut self, behind: Option<usize>, element: Element<'a>) {
        self.inserted.push((behind, element));
    }

    /// Takes an item out.
    pub(super) fn remove(&mut self, index: usize) {
        self.removed.push(index);
    }

    /// All of it, as it is done to the text.
    pub(super) fn edits(&self, step: &str) -> Vec<(Range<usize>, String)> {
        let mut edits = Vec::new();
        let mut lacks_comma = vec![true; self.group.items.len()];
        for (behind, element) in &self.inserted {
            match behind.and_then(|index| self.group.items.get(index)) {
                Some(item) => {
                    let tail = self.tail(item);
                    if self.has_lines(item) {
                        let lacks = behind.and_then(|index| lacks_comma.get_mut(index));
                        if lacks.is_some_and(std::mem::take) && tail.comma.is_none() {
                            edits.push((tail.value..tail.value, ",".to_owned()));
                        }
                        let margin = margin(self.text, item.start);
                        let lines = self.in_lines(*element, margin, step);
                        edits.push((tail.end..tail.end, lines));
                    } else {
                        let words = format!(", {}", self.in_a_line(*element));
                        edits.push((tail.value..tail.value, words));
                    }
                }
                None => edits.push(self.first(*element, step)),
            }
        }
        edits.extend(
            self.removed
                .iter()
                .filter_map(|index| self.taken_out(*index)),
        );
        edits
    }

    /// An element put before all others.
    fn first(&self, element: Element<'_>, step: &str) -> (Range<usize>, String) {
        let inside = self.group.inside;
        let opened = rest_of_line(self.text, inside);
        let (at, new) = match self.group.items.first() {
            Some(item) if indentation(self.text, item.start).is_some() => {
                let margin = margin(self.text, item.start);
                (opened, self.in_lines(element, margin, step))
            }
            Some(_) => (inside, format!("{}, ", self.in_a_line(element))),
            None => {
                let mut scan = Scan::of(self.text);
                scan.at = inside;
                scan.skip();
                let close = scan.at;
                let within = self.text.get(inside..close).unwrap_or_default();
                let behind = inside + within.trim_end().len();
                if within.contains('\n') {
                    let margin = format!("{}{step}", margin(self.text, inside));
                    (behind, self.in_lines(element, &margin, step))
                } else {
                    (behind, format!(" {},", self.in_a_line(element)))
                }
            }
        };
        (at..at, new)
    }

    /// An element on lines of its own.
    fn in_lines(&self, element: Element<'_>, margin: &str, step: &str) -> String {
        let end = newline(self.text);
        let text = match element {
            Element::Kept(_, text) | Element::New(text) => text,
            Element::Moved(index) => {
                let Some(item) = self.group.items.get(index) else {
                    return String::new();
                };
                let tail = self.tail(item);
                let moved = self.text.get(item.start..tail.value).unwrap_or_default();
                let mut out = String::new();
                for comment in self.comments_in(self.block(index).start..item.start) {
                    out.extend([end, margin, comment]);
                }
                out.extend([end, margin, moved, ","]);
                for comment in self.comments_in(tail.value..tail.end) {
                    out.extend([" ", comment]);
                }
                return out;
            }
        };
        let depth = self.owner.depth + 1;
        let lines = Lines {
            margin: (depth, margin),
            step,
            end,
        };
        let mut out = format!("{end}{margin}");
        text.render(lines, depth, &mut out);
        out.push(',');
        out
    }

    /// An element somewhere in a line.
    fn in_a_line(&self, element: Element<'_>) -> String {
        let index = match element {
            Element::Kept(_, text) | Element::New(text) => return text.line(),
            Element::Moved(index) => index,
        };
        let Some(item) = self.group.items.get(index) else {
            return String::new();
        };
        let tail = self.tail(item);
        let moved = self.text.get(item.start..tail.value).unwrap_or_default();
        let mut out = String::new();
        for comment in self.comments_in(tail.value..tail.end) {
            out.push_str(comment);
            out.push_str(if comment.starts_with("//") {
                newline(self.text)
            } else {
                " "
            });
        }
        out + moved
    }

    fn comments_in(&self, range: Range<usize>) -> Vec<&'t str> {
        let within = self.text.get(range).unwrap_or_default();
        let found = comments(within).into_iter();
        found.filter_map(|comment| within.get(comment)).collect()
    }

    /// What goes from the text with an item.
    fn taken_out(&self, index: usize) -> Option<(Range<usize>, String)> {
        let item = self.group.items.get(index)?;
        let tail = self.tail(item);
        let range = if self.has_lines(item) {
            self.block(index)
        } else {
            self.within_line(index, item, &tail)
        };
        Some((range, String::new()))
    }

    /// The lines of an item; of one that only moves with the comments that stand right above it.
    fn block(&self, index: usize) -> Range<usize> {
        let Some(item) = self.group.items.get(index) else {
            return 0..0;
        };
        let Some((mut start, _)) = indentation(self.text, item.start) else {
            return item.start..item.start;
        };
        let is_moved = self
            .inserted
            .iter()
            .any(|(_, e)| *e == Element::Moved(index));
        let before = index.checked_sub(1).and_then(|i| self.group.items.get(i));
        // What stands above the first one may be said of all.
        if let Some(before) = before.filter(|_| is_moved) {
            let above = self.tail(before).end;
            while let Some(line_end) = start.checked_sub(1)
                && let Some(lines) = self.text.get(above..line_end)
                && let Some(newline) = lines.rfind('\n')
                && lines
                    .get(newline..)
                    .is_some_and(|l| l.trim_start().starts_with("//"))
            {
                start = above + newline + 1;
            }
        }
        let end = self.tail(item).end;
        let rest = self.text.get(end..).unwrap_or_default();
        start..end + rest.find('\n').map_or(rest.len(), |newline| newline + 1)
    }

    /// What goes with an item that has no lines of its own.
    fn within_line(&self, index: usize, item: &Item<'t>, tail: &Tail) -> Range<usize> {
        if let Some(next) = self.group.items.get(index + 1) {
            let between = self.text.get(tail.end..next.start).unwrap_or_default();
            let blank = between.len() - between.trim_start_matches([' ', '\t']).len();
            return item.start..tail.end + blank;
        }
        let stays = (0..index).rev().find(|i| !self.removed.contains(i));
        let before = stays.and_then(|i| self.group.items.get(i)).map(|before| {
            let tail = self.tail(before);
            if self.inserted.is_empty() {
                tail.value
            } else {
                tail.end
            }
        });
        match before {
            // The end of a line ends the comment before it too: it stays.
            Some(before)
                if self.comments_in(before..item.start).is_empty()
                    && !self.text.get(before..item.start).is_some_and(|t| {
                        t.trim_start_matches([' ', '\t', '\r']).starts_with('\n')
                    }) =>
            {
                before..tail.end
            }
            _ => item.start..tail.end,
        }
    }

    /// True for an item that has its lines for itself.
    fn has_lines(&self, item: &Item<'t>) -> bool {
        indentation(self.text, item.start).is_some() && ends_line(self.text, self.tail(item).end)
    }

    fn tail(&self, item: &Item<'t>) -> Tail {
        let value = item.value.start + item.value.text.len();
        let mut scan = Scan::of(self.text);
        scan.at = value;
        scan.skip();
        let comma = (scan.peek() == Some(',')).then_some(scan.at + 1);
        let from = comma.unwrap_or(value);
        let end = rest_of_line(self.text, from);
        let rest = self.text.get(end..).unwrap_or_default().trim_start();
        let is_of_it = ends_line(self.text, end) || rest.starts_with([')', ']', '}']);
        Tail {
            value,
            comma,
            end: if is_of_it { end } else { from },
        }
    }
}
