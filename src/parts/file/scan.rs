//! The letters of a text: blanks and comments, words, texts in quotes.

/// A place in a text, which goes on over what is read.
#[derive(Debug, Clone)]
pub(super) struct Scan<'t> {
    /// The text, up to where reading ends.
    pub(super) text: &'t str,
    /// How far it was read (bytes).
    pub(super) at: usize,
    /// Where a quoted text begins that runs over the end of its line into what can hardly be meant: a quote is missing.
    pub(super) open_quote: Option<usize>,
    /// True where a comment is not closed.
    pub(super) open_comment: bool,
    /// True once a text in quotes was not closed: what quotes follow are none that could close one.
    no_more_quotes: bool,
    /// So many hashes, or more, close no raw text any more.
    no_more_hashes: Option<usize>,
}

/// What is wrong with a text in quotes.
pub(super) enum QuoteFault {
    /// Nothing closes it.
    Open,
    /// A backslash before a letter that means nothing; the place behind it.
    Escape(usize),
}

impl<'t> Scan<'t> {
    /// From the beginning, behind the byte-order mark that some editors put there.
    pub(super) fn of(text: &'t str) -> Self {
        const MARK: char = '\u{feff}';
        Self {
            text,
            at: if text.starts_with(MARK) {
                MARK.len_utf8()
            } else {
                0
            },
            open_quote: None,
            open_comment: false,
            no_more_quotes: false,
            no_more_hashes: None,
        }
    }

    pub(super) fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or_default()
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub(super) fn next(&mut self) -> Option<char> {
        let c = self.peek()?;
        self.at += c.len_utf8();
        Some(c)
    }

    /// What stands between a place before and here.
    pub(super) fn since(&self, start: usize) -> &'t str {
        self.text.get(start..self.at).unwrap_or_default()
    }

    /// Steps over white space, comments and `#![…]`.
    pub(super) fn skip(&mut self) {
        loop {
            let rest = self.rest();
            if rest.starts_with("//") || rest.starts_with("/*") {
                let start = self.at;
                self.skip_comment();
                if self.at == start {
                    return;
                }
            } else if rest.starts_with("#!") {
                self.at += rest.find(']').map_or(rest.len(), |end| end + 1);
            } else if self.peek().is_some_and(char::is_whitespace) {
                self.next();
            } else {
                return;
            }
        }
    }

    /// Steps over a comment, if one begins here.
    pub(super) fn skip_comment(&mut self) {
        let rest = self.rest();
        if rest.starts_with("//") {
            self.at += rest.find('\n').unwrap_or(rest.len());
        } else if rest.starts_with("/*") {
            match block_comment(rest) {
                Some(length) => self.at += length,
                // Nothing closes it: it is none, or it would swallow all that follows.
                None => self.open_comment = true,
            }
        }
    }

    /// A name or a number.
    pub(super) fn word(&mut self) -> &'t str {
        let start = self.at;
        let rest = self.rest();
        let in_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.' | '#');
        self.at += rest.find(|c| !in_word(c)).unwrap_or(rest.len());
        self.since(start)
    }

    /// True where a text in quotes begins, raw ones (`r#"…"#`) included.
    pub(super) fn is_quote(&self) -> bool {
        let rest = self.rest();
        rest.starts_with('"') || rest.starts_with("r\"") || rest.starts_with("r#")
    }

    /// The text in quotes that begins here.
    pub(super) fn quoted(&mut self) -> Result<String, QuoteFault> {
        let begun = self.at;
        if self.peek() == Some('r') {
            return self.raw().ok_or(QuoteFault::Open);
        }
        if self.no_more_quotes {
            self.open_quote.get_or_insert(begun);
            self.at = self.text.len();
            return Err(QuoteFault::Open);
        }
        self.next();
        let mut text = String::new();
        let mut wrong = None;
        loop {
            match self.next() {
                Some('"') => break,
                Some('\\') => match self.escaped() {
                    Some(c) => text.push(c),
                    None => wrong = wrong.or(Some(self.at)),
                },
                Some(c) => text.push(c),
                None => {
                    self.no_more_quotes = true;
                    self.open_quote.get_or_insert(begun);
                    return Err(QuoteFault::Open);
                }
            }
        }
        if self.since(begun).contains('\n') {
            let end = self.at;
            self.skip();
            if !matches!(self.peek(), Some(',' | ')' | ']' | '}' | ':') | None) {
                self.open_quote.get_or_insert(begun);
            }
            self.at = end;
        }
        wrong.map_or(Ok(text), |at| Err(QuoteFault::Escape(at)))
    }

    fn escaped(&mut self) -> Option<char> {
        let code = match self.next()? {
            'n' => return Some('\n'),
            'r' => return Some('\r'),
            't' => return Some('\t'),
            '0' => return Some('\0'),
            c @ ('\\' | '"' | '\'') => return Some(c),
            'x' => self.rest().get(..2)?,
            'u' => self.rest().strip_prefix('{')?.split_once('}')?.0,
            _ => return None,
        };
        let c = char::from_u32(u32::from_str_radix(code, 16).ok()?)?;
        let brackets = if self.rest().starts_with('{') { 2 } else { 0 };
        self.at += code.len() + brackets;
        Some(c)
    }

    fn raw(&mut self) -> Option<String> {
        let rest = self.rest();
        let hashes = rest.chars().skip(1).take_while(|c| *c == '#').count();
        let close = format!("\"{}", "#".repeat(hashes));
        let body = rest.get(1 + hashes..)?.strip_prefix('"')?;
        if self.no_more_hashes.is_some_and(|known| known <= hashes) {
            return None;
        }
        let Some(end) = body.find(&close) else {
            self.no_more_hashes = Some(hashes);
            return None;
        };
        let text = body.get(..end)?;
        self.at += 2 + hashes + text.len() + close.len();
        Some(text.to_owned())
    }
}

/// Bytes of the comment at the start; comments may hold comments, but not in any depth: where many are begun and none is ended, the end
/// of each would be looked for through the whole text.
fn block_comment(text: &str) -> Option<usize> {
    const DEEPEST: usize = 8;
    let mut depth = 0_usize;
    let mut at = 0;
    loop {
        let rest = text.get(at..)?;
        if rest.starts_with("/*") {
            if depth == DEEPEST {
                return None;
            }
            depth += 1;
            at += 2;
        } else if rest.starts_with("*/") {
            depth = depth.saturating_sub(1);
            at += 2;
        } else {
            at += rest.chars().next()?.len_utf8();
        }
        if depth == 0 {
            return Some(at);
        }
    }
}
