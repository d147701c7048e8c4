//! A file as a page: entries with their comments and blank lines, so that they can be laid out anew without losing any.

use crate::text::{Kind, NodeId, Tree};

/// The longest line that is made of what was written over several.
const WIDEST: usize = 140;

/// A map in block form: its entries in the order written, and the comments behind the last one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Block {
    pub entries: Vec<Entry>,
    /// Comments and blank lines after the last entry.
    pub tail: Vec<Lead>,
}

/// One entry of a map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// Comments and blank lines above it.
    pub lead: Vec<Lead>,
    /// The key as written.
    pub key: String,
    /// The node of its value, for what the format says of it.
    pub node: NodeId,
    /// What is behind the key.
    pub value: Value,
    /// The comment at the end of its line, or of the line of its key.
    pub comment: Option<String>,
}

/// A line that belongs to no entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Lead {
    /// A blank line; several are one.
    Blank,
    /// A comment, from its `#` on.
    Comment(String),
}

/// What is behind a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Value {
    /// Nothing.
    Nothing,
    /// One line without a comment in it: a text, or a map or list in brackets.
    Line,
    /// Another map in block form.
    Block(Block),
    /// A list in block form, of items of one line each.
    List(Vec<ListItem>),
    /// What is left as it is: the lines below that of the key, without their common indentation, and what is behind the key.
    Verbatim { first: String, lines: Vec<String> },
}

/// An item of a list in block form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ListItem {
    pub lead: Vec<Lead>,
    pub node: NodeId,
    pub comment: Option<String>,
}

/// Reads a text and its tree as a page.
pub(super) struct Reader<'a> {
    pub text: &'a str,
    pub tree: &'a Tree,
}

impl Reader<'_> {
    /// The page of the map at the top of a file, with the lines above it; `None` for brackets at the top and several documents.
    pub fn page(&self, root: NodeId) -> Option<Block> {
        if !matches!(self.tree.kind(root), Kind::Map) || self.is_flow(root) {
            return None;
        }
        self.block(root, 0, self.text.len())
    }

    /// The entries of a block map; the lines from `from` on are above it, and those up to `to` are below it.
    fn block(&self, map: NodeId, from: usize, to: usize) -> Option<Block> {
        let entries: Vec<(NodeId, NodeId)> = self.tree.entries(map).collect();
        let column = self.column(self.start(entries.first()?.0));
        let mut above = from;
        let mut block = Block { entries: Vec::new(), tail: Vec::new() };
        for (at, (key, value)) in entries.iter().enumerate() {
            let start = self.start(*key);
            let ends = entries.get(at + 1).map_or(to, |(next, _)| self.start(*next));
            if start < above || ends < start {
                // A key that was merged in from elsewhere.
                return None;
            }
            let lead = self.lead(self.text.get(above..self.line_start(start))?);
            // The lines above the next key that are not indented deeper are that key's.
            let own_end = self.own_end(start, ends, column);
            let (value, comment) = self.value(*key, *value, own_end)?;
            let key = self.text.get(start..self.end(*key))?.to_owned();
            block.entries.push(Entry { lead, key, node: entries.get(at)?.1, value, comment });
            above = own_end;
        }
        block.tail = self.lead(self.text.get(above..to)?);
        Some(block)
    }

    /// Where the lines of an entry end that begins at `start`: before the comments and blank lines that are above what comes next.
    fn own_end(&self, start: usize, ends: usize, column: usize) -> usize {
        let limit = self.line_start(ends).max(start);
        let limit = if ends == self.text.len() { ends } else { limit };
        let mut own = limit;
        // From below: blank lines, and comments that are not indented deeper than the key, belong to what follows.
        while let Some(line) = self.text.get(start..own).filter(|text| !text.is_empty()) {
            let before = line.strip_suffix('\n').unwrap_or(line).rfind('\n').map(|at| start + at + 1);
            let Some(before) = before else { break };
            let last = self.text.get(before..own).unwrap_or_default();
            let indent = last.len() - last.trim_start_matches(' ').len();
            let bare = last.trim();
            if bare.is_empty() || (bare.starts_with('#') && indent <= column) {
                own = before;
            } else {
                break;
            }
        }
        own
    }

    fn value(&self, key: NodeId, value: NodeId, end: usize) -> Option<(Value, Option<String>)> {
        let whole = self.text.get(self.end(key)..end)?;
        let colon = whole.len() - whole.trim_start_matches([' ', '\t']).len();
        let rest = whole.get(colon..)?.strip_prefix(':')?;
        let after_key = self.end(key) + colon;
        let (first, below) = rest.split_once('\n').unwrap_or((rest, ""));
        let (start, stop) = (self.start(value), self.end(value));
        let in_range = start >= after_key && stop <= end;
        match self.tree.kind(value) {
            Kind::Missing => {
                let comment = comment_only(first)?;
                return below.trim().is_empty().then_some((Value::Nothing, comment));
            }
            Kind::Map | Kind::List if in_range && !self.is_flow(value) => {
                let Some(comment) = comment_only(first) else { return Some((self.verbatim(first, below), None)) };
                let from = (after_key + 1 + first.len() + 1).min(end);
                let inner = match self.tree.kind(value) {
                    Kind::Map => self.block(value, from, end).map(Value::Block),
                    _ => self.list(value, from, end),
                };
                return Some(match inner {
                    Some(inner) => (inner, comment),
                    None => (self.verbatim(first, below), None),
                });
            }
            Kind::Map | Kind::List | Kind::Scalar { .. } => {}
        }
        // One line: blanks, the value, blanks, a comment.
        let before = self.text.get(after_key + 1..start).filter(|_| in_range);
        let behind = self.text.get(stop..end);
        if let (Some(before), Some(behind)) = (before, behind) {
            let inside = self.text.get(start..stop).unwrap_or_default();
            let (line, lower) = behind.split_once('\n').unwrap_or((behind, ""));
            let is_block_scalar =
                inside.starts_with(['|', '>']) && matches!(self.tree.kind(value), Kind::Scalar { plain: false, .. });
            let is_whole = before.trim().is_empty() && !before.contains('\n') && lower.trim().is_empty();
            if is_whole
                && !is_block_scalar
                && self.is_one_line(value, inside)
                && let Some(comment) = comment_only(line)
            {
                return Some((Value::Line, comment));
            }
        }
        Some((self.verbatim(first, below), None))
    }

    /// Whether a value has no line break inside and no comment: what is in brackets over several lines is one line where all of it is known.
    fn is_one_line(&self, value: NodeId, inside: &str) -> bool {
        if !inside.contains('\n') {
            return !matches!(self.tree.kind(value), Kind::Map | Kind::List) || self.is_plain_flow(value);
        }
        let is_flow = matches!(self.tree.kind(value), Kind::Map | Kind::List);
        is_flow && !inside.contains('#') && fits(inside, self.column(self.start(value))) && self.is_plain_flow(value)
    }

    /// Whether everything in brackets is written in its place: no anchor, no alias, no tag, no text over several lines.
    fn is_plain_flow(&self, node: NodeId) -> bool {
        let (start, end) = (self.start(node), self.end(node));
        let inside = |child: NodeId| self.start(child) >= start && self.end(child) <= end;
        let is_plain = |child: NodeId| match self.tree.kind(child) {
            Kind::Missing => true,
            Kind::Scalar { .. } => {
                let text = self.text.get(self.start(child)..self.end(child)).unwrap_or_default();
                !text.contains('\n') && !self.has_mark(self.start(child))
            }
            Kind::List | Kind::Map => !self.has_mark(self.start(child)) && self.is_plain_flow(child),
        };
        match self.tree.kind(node) {
            Kind::Map => self.tree.entries(node).all(|(key, value)| {
                let merged = self.text.get(self.start(key)..self.end(key)) == Some("<<");
                let is_here = inside(key) && (inside(value) || matches!(self.tree.kind(value), Kind::Missing));
                !merged && is_here && is_plain(key) && is_plain(value)
            }),
            Kind::List => self.tree.items(node).all(|item| inside(item) && is_plain(item)),
            Kind::Scalar { .. } | Kind::Missing => true,
        }
    }

    /// Whether an anchor or a tag is before a place.
    fn has_mark(&self, at: usize) -> bool {
        let before = self.text.get(..at).unwrap_or_default().trim_end();
        let word = before.rsplit(|letter: char| letter.is_whitespace() || "[{,:".contains(letter)).next().unwrap_or_default();
        word.starts_with(['&', '!', '*'])
    }

    fn list(&self, list: NodeId, from: usize, to: usize) -> Option<Value> {
        let mut items = Vec::new();
        let mut above = from;
        let nodes: Vec<NodeId> = self.tree.items(list).collect();
        for (at, node) in nodes.iter().enumerate() {
            let (start, stop) = (self.start(*node), self.end(*node));
            let line = self.line_start(start);
            if line < above || matches!(self.tree.kind(*node), Kind::Missing) {
                return None;
            }
            let lead = self.lead(self.text.get(above..line)?);
            let dash = self.text.get(line..start)?.trim();
            let inside = self.text.get(start..stop)?;
            let is_block = matches!(self.tree.kind(*node), Kind::Map | Kind::List) && !self.is_flow(*node);
            if dash != "-"
                || is_block
                || inside.contains('\n')
                || !self.is_one_line(*node, inside)
                || inside.starts_with(['|', '>'])
            {
                return None;
            }
            let rest = self.text.get(stop..to)?;
            let (line, _) = rest.split_once('\n').unwrap_or((rest, ""));
            let comment = comment_only(line)?;
            above = (stop + line.len() + 1).min(to);
            let is_last = at + 1 == nodes.len();
            if is_last && !self.text.get(above..to)?.trim().is_empty() {
                return None;
            }
            items.push(ListItem { lead, node: *node, comment });
        }
        Some(Value::List(items))
    }

    /// What is left as it is, its lines without their common indentation.
    fn verbatim(&self, first: &str, below: &str) -> Value {
        let mut lines: Vec<&str> = below.lines().map(str::trim_end).collect();
        // Several blank lines above a comment are one.
        for at in (1..lines.len()).rev() {
            let is_comment = lines.get(at + 1).is_some_and(|next| next.trim_start().starts_with('#'));
            let are_blank = lines.get(at - 1..=at).is_some_and(|two| two.iter().all(|line| line.is_empty()));
            if is_comment && are_blank && !first.trim_start().starts_with(['|', '>']) {
                lines.remove(at);
            }
        }
        let indents = lines.iter().filter(|line| !line.trim().is_empty());
        let common = indents.map(|line| line.len() - line.trim_start_matches(' ').len()).min().unwrap_or(0);
        let lines = lines.into_iter().map(|line| line.get(common..).unwrap_or_default().to_owned()).collect();
        Value::Verbatim { first: first.trim().to_owned(), lines }
    }

    /// Comments and blank lines of a stretch that has nothing else.
    fn lead(&self, stretch: &str) -> Vec<Lead> {
        let mut lead: Vec<Lead> = Vec::new();
        for line in stretch.lines() {
            let line = line.trim_start_matches('\u{feff}').trim();
            if line.is_empty() {
                if lead.last() != Some(&Lead::Blank) {
                    lead.push(Lead::Blank);
                }
            } else {
                lead.push(Lead::Comment(line.to_owned()));
            }
        }
        lead
    }

    pub fn is_flow(&self, node: NodeId) -> bool {
        self.text.get(self.start(node)..).is_some_and(|text| text.starts_with(['{', '[']))
    }

    pub fn start(&self, node: NodeId) -> usize {
        self.tree.span(node).start as usize
    }

    pub fn end(&self, node: NodeId) -> usize {
        self.tree.span(node).end as usize
    }

    fn line_start(&self, at: usize) -> usize {
        self.text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1)
    }

    fn column(&self, at: usize) -> usize {
        at - self.line_start(at)
    }
}

/// Whether what was written over several lines fits on one that begins at `column`.
fn fits(inside: &str, column: usize) -> bool {
    let words = inside.split_whitespace().map(|word| word.chars().count() + 1).sum::<usize>();
    column + words <= WIDEST
}

/// The comment of a stretch of a line that has nothing else; `None` if there is anything else.
fn comment_only(stretch: &str) -> Option<Option<String>> {
    let stretch = stretch.trim();
    match stretch.is_empty() {
        true => Some(None),
        false if stretch.starts_with('#') => Some(Some(stretch.to_owned())),
        false => None,
    }
}
