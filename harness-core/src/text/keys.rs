//! What is checked when a map closes: repeated keys, keys that are not texts, merge keys and the traps of YAML.

use super::{Kind, Name, NodeId, Problem, ProblemKind, build::Builder, gotchas, problem::shown};
use rustc_hash::{FxHashMap, FxHashSet};

/// Up to this many keys are compared pair by pair, which is faster than a hash set.
const FEW: usize = 32;

impl Builder<'_> {
    /// Puts the children from `first` on in order as keys and values of one map; whether some had to be dropped.
    ///
    /// Almost every map needs nothing: one pass over its keys shows it.
    pub(super) fn settle(&mut self, first: usize, flow: bool) -> bool {
        self.keys.clear();
        let mut plain_sailing = true;
        for pair in self.pending.get(first..).unwrap_or_default().chunks_exact(2) {
            let &[key, value] = pair else { continue };
            match self.tree.kind(key) {
                Kind::Scalar { text, plain } if !(plain && text == self.merge) => self.keys.push(text),
                _ => plain_sailing = false,
            }
            match self.tree.kind(value) {
                Kind::Missing => plain_sailing = false,
                Kind::Scalar { plain: true, .. } if !flow => {
                    let last = (self.tree.span(value).end as usize).checked_sub(1).and_then(|at| self.text.as_bytes().get(at));
                    plain_sailing &= !matches!(last, Some(b'}' | b']'));
                }
                _ => {}
            }
        }
        if plain_sailing && !repeats(&self.keys) { false } else { self.rebuild(first, flow) }
    }

    fn rebuild(&mut self, first: usize, flow: bool) -> bool {
        let old = self.pending.split_off(first.min(self.pending.len()));
        let mut kept: Vec<(NodeId, NodeId)> = Vec::with_capacity(old.len() / 2);
        let mut seen: FxHashMap<Name, (usize, bool)> = FxHashMap::default();
        let mut merges = Vec::new();
        let mut dropped = false;
        for pair in old.chunks_exact(2) {
            let &[key, value] = pair else { continue };
            let Some((key, value)) = self.mend(key, value, flow) else {
                dropped = true;
                continue;
            };
            let Kind::Scalar { text, plain } = self.tree.kind(key) else { continue };
            if plain && text == self.merge {
                match merges.first() {
                    Some(&(first, _)) => {
                        self.repeated(first, key, text);
                        dropped = true;
                    }
                    None => merges.push((key, value)),
                }
                continue;
            }
            match seen.get_mut(&text) {
                Some((at, combined)) => {
                    let Some(before) = kept.get_mut(*at) else { continue };
                    let (first_key, first_value) = *before;
                    self.repeated(first_key, key, text);
                    dropped = true;
                    let both_maps = [first_value, value].iter().all(|&node| self.tree.kind(node) == Kind::Map);
                    // Reading both halves keeps every name known that the rest of the design refers to.
                    if both_maps && first_value != value && !std::mem::replace(combined, true) {
                        let whole = self.combine(first_value, value);
                        before.1 = whole;
                    }
                }
                None => {
                    seen.insert(text, (kept.len(), false));
                    kept.push((key, value));
                }
            }
        }
        for (key, value) in merges {
            dropped |= self.merge_into(&mut kept, &mut seen, key, value);
        }
        self.pending.extend(kept.into_iter().flat_map(|(key, value)| [key, value]));
        dropped
    }

    /// The map that holds the entries of both; keys that repeat are reported.
    pub(super) fn combine(&mut self, one: NodeId, other: NodeId) -> NodeId {
        let span = self.tree.span(one);
        let whole = self.tree.push_container(span.start, true);
        let first = self.pending.len();
        for node in [one, other] {
            self.pending.extend(self.tree.entries(node).flat_map(|(key, value)| [key, value]));
        }
        // Both halves went through `settle` with what they were written in; brackets matter no more.
        self.settle(first, true);
        self.tree.fill(whole, span.end, self.pending.drain(first.min(self.pending.len())..));
        self.tree.mark_incomplete(whole);
        whole
    }

    fn repeated(&mut self, first: NodeId, second: NodeId, name: Name) {
        let (first, second) = (self.tree.span(first), self.tree.span(second));
        let text = self.names.text(name);
        self.problems.push(
            Problem::new(ProblemKind::RepeatedKey, second, format!("key `{}` is written twice here", shown(text)))
                .label("again")
                .context(first, "the first time")
                .help(format!("delete one `{}`, or give one of the two its own name", shown(text))),
        );
    }

    /// Adds the entries that `value` refers to, explicit keys and earlier sources first.
    fn merge_into(
        &mut self,
        kept: &mut Vec<(NodeId, NodeId)>,
        seen: &mut FxHashMap<Name, (usize, bool)>,
        key: NodeId,
        value: NodeId,
    ) -> bool {
        let sources: Vec<NodeId> = match self.tree.kind(value) {
            Kind::List => self.tree.items(value).collect(),
            _ => vec![value],
        };
        let mut dropped = false;
        for source in sources {
            match self.tree.kind(source) {
                Kind::Map => {
                    for (key, value) in self.tree.entries(source) {
                        let Some(name) = self.tree.text(key) else { continue };
                        seen.entry(name).or_insert_with(|| {
                            kept.push((key, value));
                            (kept.len(), false)
                        });
                    }
                    dropped |= self.tree.is_incomplete(source);
                }
                // A refused alias was reported where it is.
                Kind::Missing if self.tree.is_incomplete(source) => dropped = true,
                _ => {
                    dropped = true;
                    let span = self.tree.span(source);
                    self.problems.push(
                        Problem::new(ProblemKind::Alias, span, "`<<` merges a map or a list of maps, and this is neither")
                            .context(self.tree.span(key), "the merge key")
                            .help("name a marked map (`<<: *name`), or quote `\"<<\"` if it is a key of your own"),
                    );
                }
            }
        }
        dropped
    }

    /// The entry with what the writer meant put right; `None` if it has to be dropped.
    fn mend(&mut self, key: NodeId, value: NodeId, flow: bool) -> Option<(NodeId, NodeId)> {
        let span = self.tree.span(key);
        let Kind::Scalar { text, plain } = self.tree.kind(key) else {
            if !self.tree.is_incomplete(key) {
                let problem = match self.tree.kind(key) {
                    Kind::Missing => Problem::new(ProblemKind::ComplexKey, span, "a value has no key before its colon")
                        .label("the key belongs here")
                        .help("write `key: value`, or quote the text if the colon belongs to it"),
                    kind => Problem::new(
                        ProblemKind::ComplexKey,
                        span,
                        format!("a {} is written where a key belongs", if kind == Kind::List { "list" } else { "map" }),
                    )
                    .help("use a plain text as the key; quote it if it has to hold brackets or braces"),
                };
                self.problems.push(problem);
            }
            return None;
        };
        let written = self.slice(span.start, span.end);
        let whole = plain && written == self.names.text(text);
        if self.tree.kind(value) == Kind::Missing && !self.tree.is_incomplete(value) {
            let at = self.tree.span(value).start;
            if let Some(comment) = gotchas::swallowed(self.text, at) {
                let problem = gotchas::comment_for_value(self.file, self.text, Some(written), comment);
                self.problems.push(problem);
                self.tree.mark_incomplete(value);
            } else if flow
                && whole
                && let Some(colon) = gotchas::inner_colon(written)
            {
                let problem = gotchas::unspaced_colon(self.file, span.start, written, colon);
                self.problems.push(problem);
                let middle = span.start + colon as u32;
                let (left, right) = (self.slice(span.start, middle), self.slice(middle + 1, span.end));
                let (left, right) = (self.names.intern(left), self.names.intern(right));
                let key = self.tree.push_scalar(span.start, middle, left, true);
                let value = self.tree.push_scalar(middle + 1, span.end, right, true);
                return Some((key, value));
            }
        }
        if !flow
            && whole
            && let Some(colon) = gotchas::bracket_colon(written)
        {
            let problem = gotchas::unspaced_bracket(self.file, span.start, written, colon);
            self.problems.push(problem);
            return None;
        }
        Some((key, value))
    }

    /// Looks for list items that YAML took for comments.
    pub(super) fn check_items(&mut self, first: usize, start: u32) {
        let mut before = start;
        for index in first..self.pending.len() {
            let Some(&item) = self.pending.get(index) else { return };
            let span = self.tree.span(item);
            if self.tree.kind(item) == Kind::Missing && !self.tree.is_incomplete(item) {
                if let Some(comment) = gotchas::swallowed_item(self.text, before, span.start) {
                    let problem = gotchas::comment_for_value(self.file, self.text, None, comment);
                    self.problems.push(problem);
                    self.tree.mark_incomplete(item);
                }
                before = span.start;
            } else if span.start >= before {
                before = span.end;
            }
        }
    }
}

fn repeats(keys: &[Name]) -> bool {
    if keys.len() <= FEW {
        return keys.iter().enumerate().any(|(index, key)| keys.iter().take(index).any(|before| before == key));
    }
    let mut seen = FxHashSet::with_capacity_and_hasher(keys.len(), Default::default());
    keys.iter().any(|key| !seen.insert(*key))
}
