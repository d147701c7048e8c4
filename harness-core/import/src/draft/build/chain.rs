//! A row as a chain of stations: the wires between them, splices, branches, taps.

use super::{
    super::{InLine, InLineKind, Node, Place, RowWire, Wire, names::slug},
    Builder,
};
use crate::{
    cell::{End, Plain},
    report::Trouble,
};

impl Builder<'_> {
    /// A wire with what its row says.
    pub(super) fn wire(&self, row: &RowWire, from: Node, to: Node, place: &Place) -> Wire {
        let size = row.size.as_ref();
        let mut notes = row.notes.clone();
        if size.is_some_and(|size| size.is_screened) {
            notes.push("screened".to_owned());
        }
        Wire {
            size: size.and_then(|size| size.sizes.first().cloned()),
            colour: row.colour.clone(),
            length: row.length.clone(),
            twist: size.filter(|size| size.is_twisted && size.cores == 1).map(|_| String::new()).or_else(|| row.twist.clone()),
            signal: row.signal.clone(),
            notes,
            unsure: row.unsure.clone(),
            ..Wire::between(from, to, place.clone())
        }
    }

    /// Adds a wire under its name, or under one with its ends where that is taken.
    pub(super) fn add(&mut self, (loom, is_numbered): (&str, bool), name: &str, wire: Wire) -> String {
        let wires = &self.draft.looms.entry(loom.to_owned()).or_default().wires;
        let mut free = name.to_owned();
        if let Some(other) = wires.get(name) {
            let place = vec![other.place.clone(), wire.place.clone()];
            if is_numbered {
                self.findings.conflict(
                    "duplicate number",
                    format!("the number `{name}` is on two wires of loom `{loom}`"),
                    place,
                );
                free = format!("{name}-{}-{}", wire.from.written(), wire.to.written());
            } else if let Some(colour) = &wire.colour {
                free = format!("{name}-{}", colour.replace('/', ""));
            }
            let stem = free.clone();
            let mut count = 2;
            while wires.contains_key(&free) {
                free = format!("{stem}-{count}");
                count += 1;
            }
        }
        self.draft.looms.entry(loom.to_owned()).or_default().wires.insert(free.clone(), wire);
        free
    }

    /// The node where a station is entered and left, with all that it needs.
    pub(super) fn node_of(&mut self, end: &End, loom: &str, base: &str, place: &Place) -> Option<Node> {
        Some(match end {
            End::At(plain) => self.draft.node(self.names, loom, plain, base, place, self.findings),
            End::Splice(name) => {
                let name = slug(name);
                self.draft.looms.entry(loom.to_owned()).or_default().splices.entry(name.clone()).or_insert_with(|| place.clone());
                Node::Splice(name)
            }
            End::On(wire) => self.spliced(loom, &wire.replace(' ', "-"), place)?,
            End::Tap(plain) => {
                let node = self.draft.node(self.names, loom, plain, base, place, self.findings);
                let found: Vec<String> = self
                    .draft
                    .looms
                    .get(loom)?
                    .wires
                    .iter()
                    .filter(|(_, wire)| wire.from == node || wire.to == node)
                    .map(|(name, _)| name.clone())
                    .collect();
                match found.as_slice() {
                    [wire] => self.spliced(loom, &wire.clone(), place)?,
                    _ => {
                        let text = format!(
                            "wire `{base}` taps {}, where {} wires end: it is taken to end there too",
                            node.written(),
                            found.len()
                        );
                        self.findings.conflict("tap", text, vec![place.clone()]);
                        node
                    }
                }
            }
            _ => return None,
        })
    }

    /// A splice in a wire: the wire goes up to it, and the rest of it from there.
    pub(super) fn spliced(&mut self, loom: &str, wire: &str, place: &Place) -> Option<Node> {
        let splice = format!("S-{}", wire.replace('.', "_"));
        let held = self.draft.looms.entry(loom.to_owned()).or_default();
        if held.splices.contains_key(&splice) {
            return Some(Node::Splice(splice));
        }
        let Some(own) = held.wires.get_mut(wire) else {
            self.findings.conflict(
                "splice",
                format!("a splice is on wire `{wire}`, which is in no list of loom `{loom}`"),
                vec![place.clone()],
            );
            held.splices.insert(splice.clone(), place.clone());
            return Some(Node::Splice(splice));
        };
        let mut rest = own.clone();
        let node = Node::Splice(splice.clone());
        own.to = node.clone();
        rest.from = node.clone();
        if let Some(length) = own.length.take() {
            own.unsure.push(format!("length: {length} before the splice was set into it"));
            rest.length = None;
        }
        rest.unsure.clear();
        held.splices.insert(splice, place.clone());
        held.wires.insert(format!("{wire}-rest"), rest);
        Some(node)
    }

    pub(super) fn chain(&mut self, row: &RowWire, base: &str, stations: &[End]) {
        let place = row.place();
        let plain_base = base.replace('.', "_");
        let last = stations.len() - 1;
        let mut wires: Vec<(Node, Node)> = Vec::new();
        let mut left: Option<Node> = None;
        for (at, station) in stations.iter().enumerate() {
            let (entered, leaves) = match station {
                End::Element(element) if at == 0 || at == last => {
                    let Some(node) = self.fuse_end(element, &row.loom, at == 0, &place) else {
                        self.findings.trouble(Trouble {
                            place: place.clone(),
                            text: self.described(Some(station)),
                            why: "is in line with nothing: the row names no end beyond it".to_owned(),
                        });
                        return;
                    };
                    (node.clone(), node)
                }
                End::Element(element) => {
                    let name = self.in_line(element, &row.loom, &plain_base, at, &place);
                    (Node::Side(name.clone(), 1), Node::Side(name, 2))
                }
                End::Several(places) => {
                    let node = self.branches(row, base, places, at == 0, &place);
                    (node.clone(), node)
                }
                End::Link(to) => {
                    let node = self.draft.node(self.names, &row.loom, to, base, &place, self.findings);
                    let is_wire = row.size.is_some() || row.colour.is_some() || row.length.is_some();
                    if !is_wire && let Some(from) = left.take() {
                        let link =
                            InLine { kind: InLineKind::Link(from.written(), node.written()), note: None, place: place.clone() };
                        self.draft.looms.entry(row.loom.clone()).or_default().inside.insert(format!("J-{plain_base}"), link);
                        left = Some(node);
                        continue;
                    }
                    (node.clone(), node)
                }
                other => match self.node_of(other, &row.loom, base, &place) {
                    Some(node) => (node.clone(), node),
                    None => continue,
                },
            };
            if let Some(from) = left.replace(leaves) {
                wires.push((from, entered));
            }
        }
        if let [Some((first, _)), Some((_, last))] = [wires.first().cloned(), wires.last().cloned()] {
            self.housings(row, [&first, &last], &place);
        }
        self.named(row, base, wires, &place);
    }

    /// The pieces of a chain under the number of its row: with a figure behind it if there are several.
    pub(super) fn named(&mut self, row: &RowWire, base: &str, wires: Vec<(Node, Node)>, place: &Place) {
        let count = wires.len();
        let has_branches = row.from.iter().chain(&row.to).any(|end| matches!(end, End::Several(_)));
        for (at, (from, to)) in wires.into_iter().enumerate() {
            if from == to {
                self.findings.conflict(
                    "one end",
                    format!("wire `{base}` begins and ends at {}", from.written()),
                    vec![place.clone()],
                );
            }
            let held = self.draft.looms.entry(row.loom.clone()).or_default();
            // A fuse that feeds several wires is fed by one.
            let is_double = count > 1 && held.wires.values().any(|wire| wire.from == from && wire.to == to);
            if is_double {
                continue;
            }
            let mut wire = self.wire(row, from, to, place);
            if count > 1
                && let Some(length) = wire.length.take()
            {
                wire.unsure.push(format!("length: {length} is that of its {count} pieces together"));
            }
            let sizes = row.size.as_ref().map_or(0, |size| size.sizes.len());
            if sizes > 1 && !has_branches {
                if sizes == count {
                    wire.size = row.size.as_ref().and_then(|size| size.sizes.get(at).cloned());
                    wire.unsure.push("size: one for each piece, in their order".to_owned());
                } else {
                    let (heading, text) = &row.size_cell;
                    self.findings.trouble(Trouble::cell(&place.list, place.row, heading, text, "holds two sizes"));
                    wire.size = None;
                    wire.unsure.push(format!("size: {text}"));
                }
            }
            let name = if count > 1 { format!("{base}-{}", at + 1) } else { base.to_owned() };
            if row.cable.is_some() || row.core.is_some() {
                self.core(row, &mut wire, place);
            } else if row.size.as_ref().is_some_and(|size| size.cores > 1) {
                self.cabled(row, &name, &mut wire, 1, place);
                wire.unsure.push("core: the list does not say which".to_owned());
            }
            self.add((&row.loom, row.number.is_some()), &name, wire);
        }
    }

    /// A splice with a wire to each place; the wire itself goes to the splice.
    pub(super) fn branches(&mut self, row: &RowWire, base: &str, places: &[Plain], is_from: bool, place: &Place) -> Node {
        let splice = format!("S-{}{}", base.replace('.', "_"), if is_from { "a" } else { "b" });
        self.draft.looms.entry(row.loom.clone()).or_default().splices.insert(splice.clone(), place.clone());
        for (at, plain) in places.iter().enumerate() {
            let to = self.draft.node(self.names, &row.loom, plain, base, place, self.findings);
            let mut wire = self.wire(row, Node::Splice(splice.clone()), to, place);
            wire.length = None;
            if let Some(size) = row.size.as_ref().filter(|size| size.sizes.len() == places.len() && places.len() > 1) {
                wire.size = size.sizes.get(at).cloned();
                wire.unsure.push("size: one for each branch, in the order of the ends".to_owned());
            }
            let name = format!("{base}-{}", wire.to.written());
            self.add((&row.loom, row.number.is_some()), &name, wire);
        }
        Node::Splice(splice)
    }
}
