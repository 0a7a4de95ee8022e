//! A text as a tree of values, each with its place: groups `( … )`, lists `[ … ]`, maps `{ … }`, words, texts in quotes.
//!
//! The notation is a part of RON. Where the text stops making sense the tree ends, with what is wrong there; what
//! was read before is good.

use crate::parts::escape::shortened;
use crate::parts::file::fault::{Fault, below};
use crate::parts::file::scan::{QuoteFault, Scan};

/// Deeper nesting than this is not a supply.
const DEEPEST: usize = 64;

/// A value and where it stands.
#[derive(Debug, Clone)]
pub(in crate::parts) struct Value<'t> {
    /// Where it begins (bytes).
    pub(in crate::parts) start: usize,
    /// It as it stands.
    pub(in crate::parts) text: &'t str,
    pub(super) kind: Kind<'t>,
}

#[derive(Debug, Clone)]
pub(super) enum Kind<'t> {
    /// A number, or a name without quotes.
    Word(&'t str),
    /// A text in quotes.
    Text(String),
    /// Anything in brackets.
    Group(Group<'t>),
}

#[derive(Debug, Clone)]
pub(super) struct Group<'t> {
    /// What stands before the bracket; mostly nothing.
    pub(super) name: &'t str,
    pub(super) open: char,
    /// Where what it holds begins (bytes), behind the bracket.
    pub(super) inside: usize,
    pub(super) items: Vec<Item<'t>>,
    /// False where the text stopped making sense in it.
    pub(super) is_closed: bool,
}

/// What a bracket holds: a value, in a group or map mostly with a name.
#[derive(Debug, Clone)]
pub(in crate::parts) struct Item<'t> {
    pub(super) name: Option<String>,
    /// Where it begins (bytes): with its name, if it has one.
    pub(in crate::parts) start: usize,
    pub(in crate::parts) value: Value<'t>,
}

/// A text that was read.
#[derive(Debug, Clone)]
pub(in crate::parts) struct Tree<'t> {
    /// What stands there, as far as it makes sense; none where that is nothing.
    pub(super) value: Option<Value<'t>>,
    /// Where and why it stops making sense.
    pub(super) fault: Option<Fault>,
}

/// What a text is: it decides what is said where it ends too early or too late.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Extent {
    File,
    Entry,
}

impl<'t> Tree<'t> {
    /// Reads a whole text.
    pub(super) fn of(text: &'t str) -> Self {
        Parser::of(Scan::of(text), Extent::File).whole()
    }

    /// Reads one entry of a list, which stands there in the text (bytes).
    pub(super) fn of_entry(text: &'t str, range: std::ops::Range<usize>) -> Self {
        let mut scan = Scan::of(text.get(..range.end).unwrap_or(text));
        scan.at = range.start;
        Parser::of(scan, Extent::Entry).whole()
    }

    /// What `read` makes of it; else what is wrong first, be it in the text or with what it says.
    pub(super) fn read<T>(
        &self,
        read: impl FnOnce(&Value<'t>) -> Result<T, Fault>,
    ) -> Result<T, Fault> {
        let fault = self.fault.as_ref();
        match self.value.as_ref().map(read) {
            Some(Ok(read)) => fault.map_or(Ok(read), |fault| Err(fault.clone())),
            Some(Err(wrong)) => Err(wrong.or_earlier(fault)),
            None => Err(Fault::at(0, END, "a value").or_earlier(fault)),
        }
    }

    /// Where a field begins (bytes), or what holds it, if it is not there itself.
    pub(super) fn start(&self, path: &str) -> usize {
        self.value.as_ref().map_or(0, |root| root.place(path).0)
    }

    /// The value of a field, if it is there.
    pub(in crate::parts) fn find(&self, path: &str) -> Option<&Value<'t>> {
        self.value.as_ref()?.find(path)
    }
}

impl<'t> Value<'t> {
    /// The value at a path below this one, such as `sections[1].capacitor`. Names of variants (`Choke`) are no part of it.
    pub(in crate::parts) fn find(&self, path: &str) -> Option<&Self> {
        self.place(path).1
    }

    /// Where that begins, or the nearest that holds it, and the value itself.
    pub(super) fn place(&self, path: &str) -> (usize, Option<&Self>) {
        let mut here = (self.start, self);
        for step in path.split(['.', '[']).filter(|step| !step.is_empty()) {
            match here.1.child(step) {
                Some(item) => here = (item.start, &item.value),
                None => return (here.0, None),
            }
        }
        (here.0, Some(here.1))
    }

    fn child(&self, step: &str) -> Option<&Item<'t>> {
        let items = self.items();
        if let Some(index) = step.strip_suffix(']') {
            return items.get(index.parse::<usize>().ok()?);
        }
        let named = |item: &&Item<'_>| item.name.as_deref() == Some(step);
        // What stands without a name in a variant is no step of a path.
        let held = || match items {
            [only] if self.text.ends_with(')') => only.value.child(step),
            _ => None,
        };
        items.iter().find(named).or_else(held)
    }

    /// What it holds, if it is in brackets.
    pub(in crate::parts) fn items(&self) -> &[Item<'t>] {
        match &self.kind {
            Kind::Group(group) => &group.items,
            Kind::Word(_) | Kind::Text(_) => &[],
        }
    }

    /// The text in quotes that it is.
    pub(in crate::parts) fn as_text(&self) -> Option<&str> {
        match &self.kind {
            Kind::Text(text) => Some(text),
            Kind::Word(_) | Kind::Group(_) => None,
        }
    }

    /// What is said where something else was expected.
    pub(super) fn fault(&self, expected: impl Into<String>) -> Fault {
        Fault::at(self.start, shortened(self.text), expected)
    }
}

struct Parser<'t> {
    scan: Scan<'t>,
    extent: Extent,
    fault: Option<Fault>,
}

impl<'t> Parser<'t> {
    fn of(scan: Scan<'t>, extent: Extent) -> Self {
        Self {
            scan,
            extent,
            fault: None,
        }
    }

    fn whole(mut self) -> Tree<'t> {
        let value = self.value(0);
        self.scan.skip();
        if self.fault.is_none() && self.scan.peek().is_some() {
            self.wrong(match self.extent {
                Extent::File => "the end of the file after the bracket that closes it",
                Extent::Entry => "a comma and the next entry after the bracket that closes it",
            });
        }
        Tree {
            value,
            fault: self.fault,
        }
    }

    /// A value, as far as it makes sense; none if it does not begin to.
    fn value(&mut self, depth: usize) -> Option<Value<'t>> {
        self.scan.skip();
        let start = self.scan.at;
        let kind = match self.scan.peek() {
            Some(_) if self.scan.is_quote() => Kind::Text(self.text_in_quotes()?),
            Some(open @ ('(' | '[' | '{')) => Kind::Group(self.group("", open, depth)),
            Some(_) if self.begins_value() => {
                let word = self.scan.word();
                let end = self.scan.at;
                self.scan.skip();
                if self.scan.peek() == Some('(') {
                    Kind::Group(self.group(word, '(', depth))
                } else {
                    self.scan.at = end;
                    Kind::Word(word)
                }
            }
            _ => {
                self.wrong("a value (text stands in quotes)");
                return None;
            }
        };
        let text = self.scan.since(start);
        Some(Value { start, text, kind })
    }

    fn begins_value(&self) -> bool {
        let begins = |c: char| c.is_alphanumeric() || "_-+.([{".contains(c);
        self.scan.is_quote() || self.scan.peek().is_some_and(begins)
    }

    fn text_in_quotes(&mut self) -> Option<String> {
        match self.scan.quoted() {
            Ok(text) => return Some(text),
            Err(QuoteFault::Open) => {
                self.scan.at = self.scan.text.len();
                self.wrong("a quote that closes the text");
            }
            Err(QuoteFault::Escape(at)) => {
                self.scan.at = at;
                self.wrong("\\\\ for a backslash, \\\" for a quote, \\n for a new line");
            }
        }
        None
    }

    fn group(&mut self, name: &'t str, open: char, depth: usize) -> Group<'t> {
        self.scan.next();
        let mut group = Group {
            name,
            open,
            inside: self.scan.at,
            items: Vec::new(),
            is_closed: false,
        };
        if depth == DEEPEST {
            self.wrong("less nesting");
        }
        let (close, expected) = match open {
            '(' => (')', "a comma, or the bracket ) that closes the group"),
            '[' => (']', "a comma, or the bracket ] that closes the list"),
            _ => ('}', "a comma, or the bracket } that closes the map"),
        };
        while self.fault.is_none() {
            self.scan.skip();
            if self.scan.peek() == Some(close) {
                self.scan.next();
                group.is_closed = true;
                break;
            }
            let item = self.item(&group, depth);
            let is_field = open == '(' && item.as_ref().is_some_and(|item| item.name.is_some());
            group.items.extend(item);
            self.scan.skip();
            match self.scan.peek() {
                Some(',') => {
                    self.scan.next();
                }
                next if next == Some(close) => {}
                Some(next) if is_field && !")]}".contains(next) => {
                    self.wrong("a comma between two fields");
                }
                _ => self.wrong(expected),
            }
        }
        group
    }

    /// `name: value` or a value alone.
    fn item(&mut self, group: &Group<'t>, depth: usize) -> Option<Item<'t>> {
        let start = self.scan.at;
        let name = match group.open {
            '(' => self.field_name(group.items.last()),
            '{' => Some(self.key(depth)?),
            _ => None,
        };
        let value = if self.fault.is_some() {
            // The name alone: it may be one that there is not.
            name.as_ref()?;
            Some(Value {
                start: self.scan.at,
                text: "",
                kind: Kind::Word(""),
            })
        } else {
            let value = self.value(depth + 1);
            if let Some(fault) = &mut self.fault {
                let step = match &name {
                    Some(name) => shortened(name),
                    None if group.open == '[' => format!("[{}]", group.items.len()),
                    None => String::new(),
                };
                fault.field = below(&step, &fault.field);
            }
            value
        };
        let value = value?;
        Some(Item { name, start, value })
    }

    /// The name of a field with its colon, if it has one. A small word before a value is a name also where the colon is
    /// missing: names of variants are not small.
    fn field_name(&mut self, before: Option<&Item<'_>>) -> Option<String> {
        let start = self.scan.at;
        if self.scan.is_quote() {
            return None;
        }
        let word = self.scan.word();
        self.scan.skip();
        let next = self.scan.peek();
        let is_value = matches!(next, Some(',' | ')')) || before.is_some_and(|b| b.name.is_none());
        if !word.is_empty() && next == Some(':') {
            self.scan.next();
        } else if !is_value && word.starts_with(|c: char| c.is_lowercase() || c == '_') {
            self.wrong("a colon between a field's name and its value");
        } else {
            self.scan.at = start;
            if !self.begins_value() {
                self.wrong("the name of a field, or a value (text stands in quotes)");
            }
            return None;
        }
        Some(word.to_owned())
    }

    /// The key of a map with its colon.
    fn key(&mut self, depth: usize) -> Option<String> {
        let key = self.value(depth + 1)?;
        self.scan.skip();
        if self.fault.is_none() && self.scan.peek() != Some(':') {
            self.wrong("a colon between a field's name and its value");
        }
        self.scan.next();
        let text = key.as_text().unwrap_or(key.text).to_owned();
        self.fault.is_none().then_some(text)
    }

    /// Notes what is wrong here; the first fault counts.
    fn wrong(&mut self, expected: &str) {
        if self.fault.is_some() {
            return;
        }
        let end = self.scan.text.len();
        self.fault = Some(if let Some(quote) = self.scan.open_quote {
            let found = "a text that goes on over the end of its line";
            Fault::at(quote, found, "a quote that closes it").there()
        } else if self.scan.open_comment {
            Fault::at(end, END, "*/ at the end of a comment").there()
        } else if self.scan.rest().trim().is_empty() {
            let (found, expected) = match self.extent {
                Extent::File => (END, "more text, with every bracket closed"),
                Extent::Entry => ("the end of the entry", "every bracket in it closed"),
            };
            Fault::at(end, found, expected).there()
        } else {
            Fault::at(self.scan.at, behind(self.scan.rest()), expected).there()
        });
    }
}

const END: &str = "the end of the text";

/// What stands behind the place of a fault.
fn behind(rest: &str) -> String {
    let line = rest.lines().next().unwrap_or_default().trim();
    if line.is_empty() {
        "the end of the line".to_owned()
    } else {
        format!("`{}`", shortened(line))
    }
}
