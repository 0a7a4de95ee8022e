//! The entries of a catalogue's text, also where its brackets, quotes or commas no longer make sense.
//!
//! One slip must not take the other entries with it. An entry ends where its brackets close; if they do not, where the
//! next one begins: every entry begins with its name, `(name: …`, and every list with its own, `pass_tubes: [`.

use std::ops::Range;

use crate::parts::file::scan::{QuoteFault, Scan};
use crate::parts::file::tree::Tree;

/// The lists of a catalogue.
pub(super) const LISTS: [&str; 4] = ["rectifiers", "pass_tubes", "control_tubes", "gas_tubes"];

/// Where one entry stands, sound or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::parts) struct Entry {
    /// The list that it stands in.
    pub(in crate::parts) list: &'static str,
    /// Its place there, counted from 0.
    index: usize,
    /// Its text (bytes).
    pub(in crate::parts) range: Range<usize>,
}

/// Where the entries of a catalogue's text stand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(in crate::parts) struct Entries {
    /// The entries in the order of the text.
    pub(in crate::parts) all: Vec<Entry>,
    /// The lists, each with the place behind the bracket that opens it (bytes).
    pub(in crate::parts) lists: Vec<(&'static str, usize)>,
    /// The short names of documents, `{ … }`.
    pub(super) sources: Option<Range<usize>>,
    /// The place behind the first round bracket (bytes).
    pub(in crate::parts) opened: Option<usize>,
}

impl Entry {
    /// The path of the entry: `pass_tubes[1]`.
    pub(in crate::parts) fn path(&self) -> String {
        format!("{}[{}]", self.list, self.index)
    }

    /// What stands there.
    pub(in crate::parts) fn tree<'t>(&self, text: &'t str) -> Tree<'t> {
        Tree::of_entry(text, self.range.clone())
    }
}

impl Entries {
    /// Finds them.
    pub(in crate::parts) fn of(text: &str) -> Self {
        let mut search = Search {
            scan: Scan::of(text),
            found: Self::default(),
            inside: Inside::Frame,
            bracket: None,
            strays: false,
            counts: [0; LISTS.len()],
            far: 0,
        };
        while search.step().is_some() {}
        search.found
    }
}

/// What the place that is read belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Inside {
    /// The catalogue itself.
    Frame,
    /// A list, between two entries.
    List,
    /// An entry, so many brackets deep.
    Entry(usize),
    /// The short names of documents, so many brackets deep.
    Sources(usize),
}

struct Search<'a> {
    scan: Scan<'a>,
    found: Entries,
    inside: Inside,
    /// Place of a round bracket that was just opened.
    bracket: Option<usize>,
    /// True from a word between two entries on: the brackets of the entry before closed too early, and this is its rest.
    strays: bool,
    /// Entries of each list so far.
    counts: [usize; LISTS.len()],
    /// Where the last text in quotes ends that was not meant to go on so far (bytes). A quote before it would be looked for up to
    /// there again.
    far: usize,
}

impl Search<'_> {
    /// Reads one mark, word or text; none at the end.
    fn step(&mut self) -> Option<()> {
        self.scan.skip();
        let at = self.scan.at;
        let bracket = self.bracket.take();
        match self.scan.peek()? {
            _ if self.scan.is_quote() => self.text_in_quotes(),
            open @ ('(' | '[' | '{') => {
                self.scan.next();
                self.bracket = (open == '(').then_some(at);
                self.opens(at, open);
            }
            close @ (')' | ']' | '}') => {
                self.scan.next();
                self.closes(close);
            }
            ',' => {
                self.scan.next();
            }
            c if c.is_alphanumeric() || c == '_' => {
                let word = self.scan.word();
                self.word(word, at, bracket);
            }
            _ => {
                self.scan.next();
                self.stray();
            }
        }
        // An entry that nothing closes ends at the last mark or word before the next.
        if matches!(self.inside, Inside::Entry(_)) {
            self.longer();
        }
        Some(())
    }

    /// A text in quotes. One that runs over the end of its line into what can hardly be meant lacks its quote: it is
    /// taken to end with the line.
    fn text_in_quotes(&mut self) {
        let before = self.scan.at;
        if before < self.far {
            let line = self.line_end(before);
            if line < self.far {
                self.scan.at = line;
                self.stray();
                return;
            }
        }
        self.scan.open_quote = None;
        let is_open = matches!(self.scan.quoted(), Err(QuoteFault::Open));
        if is_open || self.scan.open_quote.is_some() {
            self.far = self.scan.at;
            self.scan.at = self.line_end(before);
        }
        self.stray();
    }

    /// The end of the line of this place, which is no end itself.
    fn line_end(&self, at: usize) -> usize {
        let rest = self.scan.text.get(at..).unwrap_or_default();
        let line = rest.find('\n');
        line.map_or(self.scan.text.len(), |end| at + end.max(1))
    }

    /// What stands between two entries belongs to the one before.
    fn stray(&mut self) {
        if self.inside == Inside::List {
            self.strays = true;
            self.longer();
        }
    }

    /// The last entry goes on to here.
    fn longer(&mut self) {
        if let Some(last) = self.found.all.last_mut() {
            last.range.end = self.scan.at;
        }
    }

    fn opens(&mut self, at: usize, open: char) {
        if self.found.opened.is_none() && open == '(' {
            self.found.opened = Some(self.scan.at);
        }
        self.inside = match self.inside {
            Inside::List => {
                if open == '(' && !self.strays {
                    self.begin(at);
                } else {
                    self.strays = true;
                }
                Inside::Entry(1)
            }
            Inside::Entry(depth) => Inside::Entry(depth + 1),
            Inside::Sources(depth) => Inside::Sources(depth + 1),
            Inside::Frame => Inside::Frame,
        };
    }

    fn closes(&mut self, close: char) {
        self.inside = match self.inside {
            Inside::Entry(1) => {
                self.longer();
                Inside::List
            }
            Inside::Entry(depth) => Inside::Entry(depth - 1),
            Inside::Sources(1) => {
                if let Some(range) = &mut self.found.sources {
                    range.end = self.scan.at;
                }
                Inside::Frame
            }
            Inside::Sources(depth) => Inside::Sources(depth - 1),
            Inside::List if close == ']' => Inside::Frame,
            Inside::List => {
                if self.strays {
                    self.longer();
                }
                Inside::List
            }
            Inside::Frame => Inside::Frame,
        };
    }

    fn word(&mut self, word: &str, at: usize, bracket: Option<usize>) {
        let end = self.scan.at;
        self.scan.skip();
        let named = self.scan.peek() == Some(':');
        if named {
            self.scan.next();
        }
        let behind = self.scan.at;
        self.scan.skip();
        let opens = self.scan.peek();
        let list = LISTS.into_iter().find(|list| *list == word);
        // Without its colon, or without its bracket, it is still the list.
        if let (Some(list), true) = (list, opens == Some('[') || named && opens == Some('(')) {
            self.cut(at);
            if opens == Some('[') {
                self.scan.next();
            }
            self.found.lists.push((list, self.scan.at));
            (self.inside, self.strays) = (Inside::List, false);
        } else if !named {
            self.scan.at = end;
            self.stray();
        } else if let ("sources", Inside::Frame, Some('{')) = (word, self.inside, opens) {
            let start = self.scan.at;
            self.scan.next();
            self.found.sources = Some(start..self.scan.text.len());
            self.inside = Inside::Sources(1);
        } else {
            self.scan.at = behind;
            match (word, bracket, self.inside) {
                // Its own bracket was taken for one of the entry before, which is not closed.
                ("name", Some(at), Inside::Entry(depth)) if depth > 1 || self.strays => {
                    self.cut(at);
                    self.begin(at);
                }
                ("name", Some(at), Inside::Frame) => self.begin(at),
                // Its bracket is missing.
                ("name", None, Inside::List) => self.begin(at),
                _ => self.stray(),
            }
        }
    }

    /// The last entry, if it is still open, ends before `at`, without the comma that parts it from the next.
    fn cut(&mut self, at: usize) {
        if let (Inside::Entry(_), Some(last)) = (self.inside, self.found.all.last_mut()) {
            let text = self.scan.text.get(last.range.start..at).unwrap_or_default();
            let text = text.trim_end();
            let text = text.strip_suffix(',').unwrap_or(text);
            last.range.end = last.range.start + text.len();
        }
    }

    /// An entry of the last list begins; none where there is no list yet.
    fn begin(&mut self, at: usize) {
        let Some((list, _)) = self.found.lists.last() else {
            return;
        };
        let place = LISTS.iter().position(|one| one == list);
        let Some(count) = place.and_then(|place| self.counts.get_mut(place)) else {
            return;
        };
        let index = *count;
        *count += 1;
        self.found.all.push(Entry {
            list,
            index,
            range: at..self.scan.at,
        });
        (self.inside, self.strays) = (Inside::Entry(1), false);
    }
}
