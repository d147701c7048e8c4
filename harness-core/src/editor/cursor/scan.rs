//! What is open at a place: brackets, keys, quotes and comments, read from the start of a line on.

use super::super::lines::{Line, end_of};

/// A bracket that is open.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    pub is_map: bool,
    pub key: Option<String>,
    pub keys: Vec<String>,
}

/// Reads from the start of a line on: its key, then brackets, quotes and comments.
pub(super) struct Scan<'t> {
    pub text: &'t str,
    pub at: usize,
    pub key: Option<String>,
    pub key_start: usize,
    pub frames: Vec<Frame>,
    /// The keys of brackets that were closed, with their depth.
    pub closed: Vec<(usize, Vec<String>)>,
    /// Where the text begins that is being read.
    pub token: Option<usize>,
    pub quote: Option<char>,
    pub is_comment: bool,
    pub is_escaped: bool,
}

impl<'t> Scan<'t> {
    pub fn new(text: &'t str, line: usize) -> Self {
        let read = Line::read(text.get(line..end_of(text, line)).unwrap_or(""));
        Self {
            text,
            at: line + if read.key.is_some() { read.value } else { read.column },
            key: read.key.map(str::to_owned),
            key_start: line + read.column,
            frames: Vec::new(),
            closed: Vec::new(),
            token: None,
            quote: None,
            is_comment: false,
            is_escaped: false,
        }
    }

    /// Reads on up to a byte; one within the key leaves the line without a key.
    pub fn run(&mut self, to: usize) {
        if to < self.at {
            self.token = self.key.take().map(|_| self.key_start).filter(|start| *start <= to);
            return;
        }
        let stretch = self.text.get(self.at..to).unwrap_or("");
        let mut before = self.at.checked_sub(1).and_then(|at| self.text.as_bytes().get(at)).copied().map_or('\n', char::from);
        for (at, letter) in stretch.char_indices() {
            let next = self.text.get(self.at + at + letter.len_utf8()..).and_then(|rest| rest.chars().next());
            self.take(self.at + at, letter, before, next);
            before = letter;
        }
        self.at = to;
    }

    fn take(&mut self, at: usize, letter: char, before: char, next: Option<char>) {
        if self.is_comment {
            self.is_comment = letter != '\n';
            return;
        }
        if let Some(quote) = self.quote {
            let is_escape = quote == '"' && letter == '\\' && !self.is_escaped;
            if letter == quote && !self.is_escaped {
                self.quote = None;
            }
            self.is_escaped = is_escape;
            return;
        }
        let is_open = !self.frames.is_empty();
        match letter {
            '#' if before.is_whitespace() => {
                self.is_comment = true;
                self.token = None;
            }
            '"' | '\'' if self.token.is_none() => (self.quote, self.token) = (Some(letter), Some(at)),
            '{' | '[' if self.token.is_none() => self.frames.push(Frame { is_map: letter == '{', key: None, keys: Vec::new() }),
            '}' | ']' if is_open => {
                self.end_of_entry();
                let depth = self.frames.len();
                self.closed.extend(self.frames.pop().map(|frame| (depth, frame.keys)));
            }
            ',' if is_open => self.end_of_entry(),
            ':' if is_open && next.is_none_or(|next| next.is_whitespace() || matches!(next, ',' | '}' | ']' | '{' | '[')) => {
                let word = self.token.take().and_then(|token| self.text.get(token..at)).unwrap_or("").trim();
                let word = word.trim_matches(['"', '\'']).to_owned();
                if let Some(frame) = self.frames.last_mut().filter(|frame| frame.is_map && frame.key.is_none()) {
                    frame.keys.push(word.clone());
                    frame.key = Some(word);
                }
            }
            letter if !letter.is_whitespace() && self.token.is_none() => self.token = Some(at),
            _ => {}
        }
    }

    fn end_of_entry(&mut self) {
        self.token = None;
        if let Some(frame) = self.frames.last_mut() {
            frame.key = None;
        }
    }
}
