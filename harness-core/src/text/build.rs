//! Events to a tree: containers are open frames, their children wait on one stack until they close.

use super::{
    FileId, Kind, Name, Names, NodeId, Problem, ProblemKind, Span, Tree,
    events::{DEPTH, Event, Item, Stop, YamlError},
    lines,
};
use rustc_hash::FxHashMap;

/// A list or map that is still open.
#[derive(Debug)]
pub(super) struct Frame {
    pub node: NodeId,
    pub map: bool,
    pub flow: bool,
    /// Adds its children to the frame below, which was open when an earlier stretch stopped.
    pub splice: bool,
    /// Column of its keys or dashes; `u32::MAX` if it has no lines of its own.
    pub column: u32,
    pub start: u32,
    /// Index of its first child on the stack of children.
    first: usize,
    size: u64,
    height: u32,
    anchor: Option<Name>,
}

/// A node that aliases may mean.
#[derive(Debug, Clone, Copy)]
struct Anchor {
    node: NodeId,
    /// Nodes below and including it, each alias counted in full.
    size: u64,
    height: u32,
    open: bool,
}

/// A tree under construction.
pub(super) struct Builder<'a> {
    pub text: &'a str,
    pub file: FileId,
    pub names: &'a mut Names,
    pub tree: Tree,
    pub problems: Vec<Problem>,
    pub frames: Vec<Frame>,
    /// Children of all open frames, the innermost last.
    pub pending: Vec<NodeId>,
    /// Whether a fault lost something outside every list and map.
    pub lost_at_top: bool,
    /// End of the last thing that was read.
    pub last_end: u32,
    /// The last scalar that was read, if nothing else came after it.
    pub last_scalar: Option<NodeId>,
    /// Keys of the map that is being closed; kept to save an allocation for each.
    pub(super) keys: Vec<Name>,
    pub(super) merge: Name,
    anchors: FxHashMap<Name, Anchor>,
    last_node: Option<NodeId>,
    /// Nodes that the aliases so far add if they are followed.
    expanded: u64,
    expansion_reported: bool,
    splice: Option<bool>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(text: &'a str, file: FileId, names: &'a mut Names) -> Self {
        let merge = names.intern("<<");
        Self {
            text,
            file,
            names,
            tree: Tree::new(file),
            problems: Vec::new(),
            frames: Vec::new(),
            pending: Vec::new(),
            lost_at_top: false,
            last_end: 0,
            last_scalar: None,
            keys: Vec::new(),
            merge,
            anchors: FxHashMap::default(),
            last_node: None,
            expanded: 0,
            expansion_reported: false,
            splice: None,
        }
    }

    pub(super) fn span(&self, start: u32, end: u32) -> Span {
        Span::new(self.file, start, end)
    }

    pub(super) fn slice(&self, start: u32, end: u32) -> &'a str {
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    /// Gets ready for a stretch that goes on with the innermost open frame, if there is one.
    pub(super) fn begin(&mut self, at: u32) {
        self.last_end = at;
        self.last_scalar = None;
        self.splice = self.frames.last().map(|frame| frame.map);
    }

    /// Takes in one event.
    pub(super) fn feed(&mut self, item: Item<'a>) -> Result<(), Stop> {
        if let Some((start, end)) = item.tag {
            self.refuse_tag(start, end);
        }
        match item.event {
            Event::Scalar { text, plain } => {
                let end = if plain { item.end } else { self.trimmed_end(item.start, item.end) };
                let name = self.names.intern(&text);
                let node = self.tree.push_scalar(item.start, end, name, plain);
                self.add(node, 1, 0);
                self.last_end = item.end;
                self.last_scalar = Some(node);
                self.splice = None;
            }
            Event::Missing => {
                let node = self.tree.push_missing(item.start, item.start);
                self.add(node, 1, 0);
                self.last_scalar = None;
                self.splice = None;
            }
            Event::Start { map, flow } => self.open(map, flow, &item)?,
            Event::End { flow } => {
                if flow {
                    self.last_end = item.end;
                }
                self.last_scalar = None;
                self.close(flow.then_some(item.end));
            }
            Event::Anchor => self.anchor(item.start, item.end),
            Event::Alias => self.alias(item.start, item.end),
            Event::Document => {}
        }
        Ok(())
    }

    fn add(&mut self, node: NodeId, size: u64, height: u32) {
        self.pending.push(node);
        self.last_node = Some(node);
        if let Some(frame) = self.frames.last_mut() {
            frame.size = frame.size.saturating_add(size);
            frame.height = frame.height.max(height);
        }
    }

    /// A block of text ends with its last line, not with the start of the next.
    fn trimmed_end(&self, start: u32, end: u32) -> u32 {
        let kept = self.slice(start, end).trim_end_matches(['\n', '\r', ' ', '\t']).len();
        start + kept as u32
    }

    fn open(&mut self, map: bool, flow: bool, item: &Item<'a>) -> Result<(), Stop> {
        if self.frames.len() >= DEPTH {
            return Err(Stop { at: item.start, fault: YamlError::Nesting });
        }
        let splice = self.splice.take() == Some(map) && !flow;
        self.last_scalar = None;
        let column = match (flow, map) {
            (true, _) => u32::MAX,
            (false, true) => item.column,
            (false, false) => lines::dash_column(self.text, item.start),
        };
        if map && !flow {
            self.check_tab(item.start);
        }
        let node = match self.frames.last() {
            Some(frame) if splice => frame.node,
            _ => {
                let node = self.tree.push_container(item.start, map);
                self.pending.push(node);
                node
            }
        };
        if flow {
            self.last_end = item.end;
        }
        self.last_node = Some(node);
        let first = self.pending.len();
        let (start, size, height, anchor) = (item.start, 1, 1, None);
        self.frames.push(Frame { node, map, flow, splice, column, start, first, size, height, anchor });
        Ok(())
    }

    /// A map whose first line is indented with tabs only is let pass by the library.
    fn check_tab(&mut self, start: u32) {
        let line = lines::start_of_line(self.text, start);
        let before = self.slice(line, start);
        if before.contains('\t') && before.trim().is_empty() {
            let span = self.span(line, start);
            self.problems.push(tab(span));
        }
    }

    /// Closes the innermost frame; `end` is the end of its bracket, if it has one.
    pub(super) fn close(&mut self, end: Option<u32>) {
        self.even_out();
        let Some(frame) = self.frames.pop() else { return };
        if !frame.splice {
            if frame.map && self.settle(frame.first, frame.flow) {
                self.tree.mark_incomplete(frame.node);
            }
            if !frame.map {
                self.check_items(frame.first, frame.start);
            }
            let end = end.unwrap_or(self.last_end);
            let children = self.pending.drain(frame.first.min(self.pending.len())..);
            self.tree.fill(frame.node, end, children);
        }
        let above = if frame.splice { frame.height } else { frame.height.saturating_add(1) };
        if let Some(parent) = self.frames.last_mut() {
            parent.size = parent.size.saturating_add(frame.size);
            parent.height = parent.height.max(above);
        }
        if let Some(anchor) = frame.anchor.and_then(|name| self.anchors.get_mut(&name))
            && anchor.node == frame.node
        {
            *anchor = Anchor { node: frame.node, size: frame.size, height: frame.height, open: false };
        }
    }

    /// Gives a key that lost its value a missing one, so that reading can go on with the next key.
    pub(super) fn even_out(&mut self) {
        let Some(frame) = self.frames.last() else { return };
        if frame.map && self.pending.len().saturating_sub(frame.first) % 2 == 1 {
            let at = self.pending.last().map_or(frame.start, |&key| self.tree.span(key).end);
            let missing = self.tree.push_missing(at, at);
            self.tree.mark_incomplete(missing);
            self.tree.mark_incomplete(frame.node);
            self.pending.push(missing);
        }
    }

    /// Takes back children of the innermost frame that were read from `at` on.
    pub(super) fn drop_children_from(&mut self, at: u32) {
        let floor = self.frames.last().map_or(0, |frame| frame.first);
        while self.pending.len() > floor
            && self.pending.last().is_some_and(|&node| self.tree.span(node).start >= at && self.is_own(node))
        {
            self.pending.pop();
        }
    }

    /// Whether the last child is where it was read and not elsewhere behind an alias.
    fn is_own(&self, node: NodeId) -> bool {
        self.last_node == Some(node) || self.tree.span(node).end >= self.last_end
    }

    fn refuse_tag(&mut self, start: u32, end: u32) {
        let written = self.slice(start, end);
        self.problems.push(
            Problem::new(ProblemKind::Tag, self.span(start, end), format!("`{written}` is a YAML type tag; the format has none"))
                .help("delete the tag, or quote the value if the exclamation mark belongs to it"),
        );
    }

    fn anchor(&mut self, start: u32, end: u32) {
        let Some(node) = self.last_node else { return };
        let name = self.names.intern(self.slice(start.saturating_add(1), end));
        let open = match self.frames.last_mut() {
            Some(frame) if frame.node == node && !frame.splice => {
                frame.anchor = Some(name);
                true
            }
            _ => false,
        };
        self.anchors.insert(name, Anchor { node, size: 1, height: 0, open });
    }

    fn alias(&mut self, start: u32, end: u32) {
        self.last_end = end;
        self.last_scalar = None;
        self.splice = None;
        let written = self.slice(start, end);
        let name = written.get(1..).unwrap_or("");
        let anchor = self.names.find(name).and_then(|name| self.anchors.get(&name).copied());
        let budget = 10 * self.tree.len() as u64 + 10_000;
        let span = self.span(start, end);
        let problem = match anchor {
            None => Problem::new(ProblemKind::Alias, span, format!("alias `{written}` refers to nothing"))
                .label(format!("no `&{name}` before this place"))
                .help(format!("mark the value meant with `&{name}`, or quote the text if the `*` belongs to it")),
            Some(anchor) if anchor.open => {
                Problem::new(ProblemKind::Alias, span, format!("alias `{written}` is inside the value that it refers to"))
                    .context(self.tree.span(anchor.node), format!("`&{name}` marks this value, which is still open"))
                    .help("write the inner value out, or give it a mark of its own")
            }
            Some(anchor) if self.frames.len() + anchor.height as usize > DEPTH => {
                Problem::new(ProblemKind::Limit, span, format!("alias `{written}` nests lists and maps more than {DEPTH} deep"))
                    .context(self.tree.span(anchor.node), "the value it refers to")
                    .help("write the value with less nesting")
            }
            Some(anchor) if self.expanded.saturating_add(anchor.size) > budget => {
                self.refuse(start, end);
                if !std::mem::replace(&mut self.expansion_reported, true) {
                    self.problems.push(
                        Problem::new(
                            ProblemKind::Limit,
                            span,
                            format!("aliases up to `{written}` expand to more than {budget} values"),
                        )
                        .label("not followed, and neither are later ones over the limit")
                        .context(self.tree.span(anchor.node), format!("expands to {} values", anchor.size))
                        .help("write out what is meant; aliases that hold aliases multiply"),
                    );
                }
                return;
            }
            Some(anchor) => {
                self.expanded = self.expanded.saturating_add(anchor.size);
                self.tree.push_use(anchor.node, start, end);
                self.add(anchor.node, anchor.size, anchor.height);
                return;
            }
        };
        self.problems.push(problem);
        self.refuse(start, end);
    }

    fn refuse(&mut self, start: u32, end: u32) {
        let node = self.tree.push_missing(start, end);
        self.tree.mark_incomplete(node);
        self.add(node, 1, 0);
    }

    /// The root of the file: what was read at the top, all of it in one map if it came in several stretches.
    pub(super) fn root(&mut self) -> Option<NodeId> {
        let tops = std::mem::take(&mut self.pending);
        let is_map = |node: &NodeId| self.tree.kind(*node) == Kind::Map;
        let maps: Vec<NodeId> = tops.iter().copied().filter(is_map).collect();
        match maps.as_slice() {
            [] => tops.into_iter().find(|&node| self.tree.kind(node) != Kind::Missing),
            [only] => Some(*only),
            [first, rest @ ..] => {
                let mut root = *first;
                for &next in rest {
                    root = self.combine(root, next);
                }
                self.tree.mark_incomplete(root);
                Some(root)
            }
        }
    }
}

/// A tab where spaces belong.
pub(super) fn tab(span: Span) -> Problem {
    Problem::new(ProblemKind::Tab, span, "a tab is used for indentation")
        .label("tab")
        .help("indent with spaces, two for each level; most editors can be set to write spaces for the tab key")
}
