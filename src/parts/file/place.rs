//! Where each field stands in a text: a reader that knows only brackets, names and quotes.
//!
//! The parser says what is wrong; this says on which line the field begins, also for faults that
//! only show when all is read (a negative resistance, a type that nobody knows).

mod pieces;

use std::collections::BTreeMap;
use std::ops::Range;

pub(in crate::parts) use pieces::{LISTS, Pieces};

/// Deeper nesting than this is not a supply; the parser refuses it too.
const DEEPEST: usize = 64;

/// A field or list element of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    line: usize,
    value: Range<usize>,
}

/// All fields of a text by their path, such as `filter.sections[1].capacitor.unit`.
/// Names of variants (`Choke`) and places in a tuple are no part of a path.
#[derive(Debug, Clone)]
pub(in crate::parts) struct Places<'a> {
    text: &'a str,
    found: BTreeMap<String, Place>,
    /// Line of a quoted text that runs over the end of its line into what can hardly be meant: a quote is missing.
    pub(in crate::parts) open_quote: Option<usize>,
}

impl<'a> Places<'a> {
    /// Reads as far as the brackets make sense.
    pub(in crate::parts) fn of(text: &'a str) -> Self {
        let mut scan = Scan::of(text);
        // None means that the text stopped making sense; what was found before is good.
        let _whole = scan.value("", 0);
        scan.places(text)
    }

    /// Those of a text of which nothing was read yet.
    pub(in crate::parts) fn none(text: &'a str) -> Self {
        Scan::of(text).places(text)
    }

    /// These and those of another part of the same text.
    pub(in crate::parts) fn and(mut self, other: Self) -> Self {
        self.found.extend(other.found);
        self.open_quote = self.open_quote.or(other.open_quote);
        self
    }

    /// The line on which a field begins, counted from 1; that of what holds it, if it is not there itself.
    pub(in crate::parts) fn line(&self, path: &str) -> Option<usize> {
        let mut path = path;
        loop {
            if let Some(place) = self.found.get(path) {
                return Some(place.line);
            }
            if path.is_empty() {
                return None;
            }
            path = path.get(..path.rfind(['.', '[']).unwrap_or(0))?;
        }
    }

    /// The value of a field as it stands there; none if the field is not there.
    pub(in crate::parts) fn value(&self, path: &str) -> Option<&'a str> {
        self.text.get(self.found.get(path)?.value.clone())
    }

    /// The path without the place in a tuple at its end.
    pub(in crate::parts) fn known<'p>(&self, path: &'p str) -> &'p str {
        match path.rfind('[') {
            Some(at) if path.ends_with(']') && !self.found.contains_key(path) => {
                path.get(..at).unwrap_or(path)
            }
            _ => path,
        }
    }
}

/// A path and a name below it.
pub(in crate::parts) fn join(path: &str, name: &str) -> String {
    if path.is_empty() {
        name.to_owned()
    } else {
        format!("{path}.{name}")
    }
}

struct Scan<'a> {
    text: &'a str,
    at: usize,
    line: usize,
    found: BTreeMap<String, Place>,
    open_quote: Option<usize>,
}

impl<'a> Scan<'a> {
    fn of(text: &'a str) -> Self {
        Self {
            text,
            at: 0,
            line: 1,
            found: BTreeMap::new(),
            open_quote: None,
        }
    }

    /// What was found; `text` is the whole, if this is a scan of its beginning.
    fn places(self, text: &str) -> Places<'_> {
        Places {
            text,
            found: self.found,
            open_quote: self.open_quote,
        }
    }

    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn next(&mut self) -> Option<char> {
        let c = self.peek()?;
        self.at += c.len_utf8();
        if c == '\n' {
            self.line += 1;
        }
        Some(c)
    }

    fn skip_bytes(&mut self, count: usize) {
        let end = self.at + count;
        while self.at < end && self.next().is_some() {}
    }

    /// Steps over white space, comments and `#![…]`.
    fn skip(&mut self) {
        loop {
            let rest = self.rest();
            if rest.starts_with("//") {
                self.skip_bytes(rest.find('\n').unwrap_or(rest.len()));
            } else if rest.starts_with("/*") {
                let before = (self.at, self.line);
                if self.skip_block_comment().is_none() {
                    // Nothing closes it: it is none, or it would swallow all that follows.
                    (self.at, self.line) = before;
                    return;
                }
            } else if rest.starts_with("#!") {
                self.skip_bytes(rest.find(']').map_or(rest.len(), |i| i + 1));
            } else if self.peek().is_some_and(char::is_whitespace) {
                self.next();
            } else {
                return;
            }
        }
    }

    fn skip_block_comment(&mut self) -> Option<()> {
        let mut depth = 0_usize;
        loop {
            let rest = self.rest();
            if rest.starts_with("/*") {
                depth += 1;
                self.skip_bytes(2);
            } else if rest.starts_with("*/") {
                depth = depth.saturating_sub(1);
                self.skip_bytes(2);
            } else {
                self.next()?;
            }
            if depth == 0 {
                return Some(());
            }
        }
    }

    fn word(&mut self) -> &'a str {
        let rest = self.rest();
        let length = rest
            .find(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.' | '#')))
            .unwrap_or(rest.len());
        self.skip_bytes(length);
        rest.get(..length).unwrap_or_default()
    }

    fn value(&mut self, path: &str, depth: usize) -> Option<()> {
        if depth > DEEPEST {
            return None;
        }
        self.skip();
        let (start, line) = (self.at, self.line);
        match self.peek()? {
            '(' => self.group(path, depth)?,
            '[' => self.list(path, depth)?,
            '{' => self.map(path, depth)?,
            '"' => self.string()?,
            'r' if self.rest().starts_with("r\"") || self.rest().starts_with("r#") => {
                self.raw_string()?;
            }
            c if c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.') => {
                self.word();
                let end = (self.at, self.line);
                self.skip();
                if self.peek() == Some('(') {
                    self.group(path, depth)?;
                } else {
                    (self.at, self.line) = end;
                }
            }
            _ => return None,
        }
        let value = start..self.at;
        self.found
            .entry(path.to_owned())
            .and_modify(|p| p.value = value.clone())
            .or_insert(Place { line, value });
        Some(())
    }

    /// `( name: value, … )` or `( value, … )`.
    fn group(&mut self, path: &str, depth: usize) -> Option<()> {
        self.next();
        loop {
            self.skip();
            if self.peek()? == ')' {
                self.next();
                return Some(());
            }
            let before = (self.at, self.line);
            let name = self.word();
            self.skip();
            if !name.is_empty() && self.peek() == Some(':') {
                self.next();
                let path = join(path, name);
                self.begin(&path, before.1);
                self.value(&path, depth + 1)?;
            } else {
                (self.at, self.line) = before;
                // A place in a tuple has no path of its own.
                self.value(&format!("{path}()"), depth + 1)?;
            }
            self.comma(')')?;
        }
    }

    fn list(&mut self, path: &str, depth: usize) -> Option<()> {
        self.next();
        for index in 0.. {
            self.skip();
            if self.peek()? == ']' {
                self.next();
                break;
            }
            self.value(&format!("{path}[{index}]"), depth + 1)?;
            self.comma(']')?;
        }
        Some(())
    }

    fn map(&mut self, path: &str, depth: usize) -> Option<()> {
        self.next();
        loop {
            self.skip();
            if self.peek()? == '}' {
                self.next();
                return Some(());
            }
            let (start, line) = (self.at, self.line);
            self.value(&format!("{path}{{}}"), depth + 1)?;
            let key = self.text.get(start..self.at).unwrap_or_default();
            let path = join(path, key.trim_matches('"'));
            self.skip();
            if self.next()? != ':' {
                return None;
            }
            self.begin(&path, line);
            self.value(&path, depth + 1)?;
            self.comma('}')?;
        }
    }

    /// A field begins with its name; if it stands twice, the first is meant.
    fn begin(&mut self, path: &str, line: usize) {
        let value = self.at..self.at;
        self.found
            .entry(path.to_owned())
            .or_insert(Place { line, value });
    }

    fn comma(&mut self, close: char) -> Option<()> {
        self.skip();
        match self.peek()? {
            ',' => {
                self.next();
                Some(())
            }
            c if c == close => Some(()),
            _ => None,
        }
    }

    fn string(&mut self) -> Option<()> {
        let begun = self.line;
        self.next();
        loop {
            match self.next() {
                Some('\\') => {
                    self.next();
                }
                Some('"') => break,
                Some(_) => {}
                None => {
                    self.open_quote.get_or_insert(begun);
                    return None;
                }
            }
        }
        let end = (self.at, self.line);
        self.skip();
        let followed = self.peek();
        (self.at, self.line) = end;
        if self.line > begun && !matches!(followed, Some(',' | ')' | ']' | '}' | ':') | None) {
            self.open_quote.get_or_insert(begun);
        }
        Some(())
    }

    fn raw_string(&mut self) -> Option<()> {
        let rest = self.rest();
        let hashes = rest.chars().skip(1).take_while(|c| *c == '#').count();
        let close = format!("\"{}", "#".repeat(hashes));
        let body = rest.get(hashes + 2..)?;
        let length = body.find(&close)?;
        self.skip_bytes(hashes + 2 + length + close.len());
        Some(())
    }
}
