//! From rows to a network: wires with their names, splices, what is in line.

use super::{
    CableKind, Draft, FuseKind, InLine, InLineKind, Node, Place, RowWire, Unread, Wire,
    ends::{Names, label},
    names::slug,
};
use crate::{
    cell::{Element, End, Plain, State},
    report::{Findings, Trouble},
};
use std::collections::BTreeMap;

/// Makes the wires of rows.
pub(crate) fn build(
    rows: Vec<RowWire>,
    names: &mut Names,
    ratings: &BTreeMap<String, String>,
    draft: &mut Draft,
    findings: &mut Findings,
) {
    for row in &rows {
        for end in row.from.iter().chain(&row.to) {
            let places: &[Plain] = match end {
                End::At(place) | End::Tap(place) | End::Link(place) => std::slice::from_ref(place),
                End::Several(places) => places,
                _ => &[],
            };
            names.plugs.extend(places.iter().filter_map(|place| match place {
                Plain::Cavity { plug, .. } => Some(slug(plug)),
                Plain::Whole { .. } => None,
            }));
        }
    }
    let is_late = |row: &RowWire| row.from.iter().chain(&row.to).any(|end| matches!(end, End::On(_) | End::Tap(_)));
    let (late, early): (Vec<RowWire>, Vec<RowWire>) = rows.into_iter().partition(is_late);
    for row in early.into_iter().chain(late) {
        Builder { draft, names, ratings, findings }.row(row);
    }
    twists(draft);
}

struct Builder<'a> {
    draft: &'a mut Draft,
    names: &'a Names,
    ratings: &'a BTreeMap<String, String>,
    findings: &'a mut Findings,
}

impl Builder<'_> {
    fn row(&mut self, mut row: RowWire) {
        let place = row.place();
        let is_retired =
            row.state == Some(State::Retired) || row.from.iter().chain(&row.to).any(|end| *end == End::State(State::Retired));
        if is_retired {
            match &row.number {
                Some(number) => {
                    self.draft.retired.insert(number.clone(), place);
                }
                None => self.findings.trouble(Trouble {
                    place,
                    text: "retired".to_owned(),
                    why: "is a row without a number: nothing can be retired".to_owned(),
                }),
            }
            return;
        }
        let states: Vec<State> = row
            .from
            .iter()
            .chain(&row.to)
            .filter_map(|end| if let End::State(state) = end { Some(*state) } else { None })
            .collect();
        if let Some(fuse) = row.fuse.take() {
            self.fused(&mut row, fuse);
        }
        let mut stations: Vec<End> =
            row.from.iter().chain(&row.to).filter(|end| !matches!(end, End::State(_))).cloned().collect();
        let (has_from, has_to) =
            (row.from.iter().any(|end| !matches!(end, End::State(_))), row.to.iter().any(|end| !matches!(end, End::State(_))));
        if !has_from || !has_to {
            return self.one_sided(&row, &mut stations, states.first().copied().or(row.state), &place);
        }
        if stations.len() < 2 {
            return self.one_sided(&row, &mut stations, row.state, &place);
        }
        let base = self.base(&row, &stations);
        if self.is_known(&row, &base, &stations) {
            return;
        }
        if let Some(state) = row.state.filter(|state| *state != State::Retired) {
            row.notes.push(format!("state: {}", state.word()));
        }
        if self.cable_by_core(&row, &base, &stations) {
            return;
        }
        self.chain(&row, &base, &stations);
        for (column, text) in &row.unread {
            self.unread(&place, &base, column, text);
        }
    }

    fn unread(&mut self, place: &Place, thing: &str, column: &str, text: &str) {
        let unread = Unread {
            list: place.list.clone(),
            row: place.row,
            thing: thing.to_owned(),
            column: column.to_owned(),
            text: text.to_owned(),
        };
        self.draft.unread.push(unread);
    }

    /// A fuse in a column of its own is in line behind the first end, or is that end.
    fn fused(&mut self, row: &mut RowWire, fuse: Element) {
        let Element::Fuse { name, rating } = &fuse else { return };
        let has_both = !row.from.is_empty() && !row.to.is_empty();
        let named = row.from.iter_mut().chain(&mut row.to).find_map(|end| match end {
            End::Element(Element::Fuse { name: own, rating: known }) if own == name || name.is_none() => Some(known),
            _ => None,
        });
        match named {
            Some(known) => {
                *known = known.take().or_else(|| rating.clone());
            }
            None if has_both => row.from.push(End::Element(fuse)),
            None => row.notes.push(
                format!("fuse: {} {}", name.as_deref().unwrap_or(""), rating.as_deref().unwrap_or("")).trim_end().to_owned(),
            ),
        }
    }

    /// A row with one end: a cavity with its state, or a wire that ends nowhere.
    fn one_sided(&mut self, row: &RowWire, stations: &mut Vec<End>, state: Option<State>, place: &Place) {
        let thing = row.number.clone().unwrap_or_default();
        if stations.is_empty() {
            for (column, text) in row.unread.iter().cloned().chain(row.notes.iter().map(|note| ("note".to_owned(), note.clone())))
            {
                self.unread(place, &thing, &column, &text);
            }
            let has_trouble =
                self.findings.troubles.iter().any(|trouble| trouble.place.list == place.list && trouble.place.row == place.row);
            if !has_trouble && (row.number.is_some() || row.size.is_some() || row.colour.is_some()) {
                self.findings.conflict(
                    "one end",
                    format!(
                        "the row{} names no end",
                        row.number.as_ref().map_or_else(String::new, |number| format!(" of wire `{number}`"))
                    ),
                    vec![place.clone()],
                );
            }
            return;
        }
        if state == Some(State::Capped) {
            let base = row
                .number
                .clone()
                .map_or_else(|| format!("{}-capped", self.described(stations.first())), |number| number.replace(' ', "-"));
            let Some(from) = stations.first().and_then(|end| self.node_of(end, &row.loom, &base, place)) else { return };
            let wire = self.wire(row, from, Node::Capped, place);
            self.add((&row.loom, row.number.is_some()), &base, wire);
            return;
        }
        for end in stations.iter() {
            let places = match end {
                End::At(place) => vec![place.clone()],
                End::Several(places) => places.clone(),
                _ => Vec::new(),
            };
            for plain in places {
                self.pin(&plain, row, state, place);
            }
        }
        if state.is_none() && row.to.is_empty() != row.from.is_empty() {
            let text = format!(
                "the row{} names one end only, {}",
                row.number.as_ref().map_or_else(String::new, |number| format!(" of wire `{number}`")),
                self.described(stations.first())
            );
            self.findings.conflict("one end", text, vec![place.clone()]);
            for (column, text) in [
                ("size", row.size.as_ref().map(|size| size.sizes.join(" / "))),
                ("colour", row.colour.clone()),
                ("length", row.length.clone()),
            ] {
                if let Some(text) = text {
                    self.unread(place, &thing, column, &text);
                }
            }
        }
        for (column, text) in &row.unread {
            self.unread(place, &thing, column, text);
        }
    }

    /// A cavity without a wire, in its state.
    fn pin(&mut self, plain: &Plain, row: &RowWire, state: Option<State>, place: &Place) {
        let Plain::Cavity { plug, cavity } = plain else {
            if let Plain::Whole { name, .. } = plain {
                self.unread(place, name, "state", state.map_or("one end only", State::word));
            }
            return;
        };
        let label = label(cavity);
        self.draft.cavity(self.names, &row.loom, plug, &label, place);
        let end = slug(plug);
        if state == Some(State::Plugged)
            && let Some(end) = self.draft.looms.get_mut(&row.loom).and_then(|loom| loom.ends.get_mut(&end))
        {
            end.plugged.insert(label.clone());
        }
        let Some(pin) = self.draft.ports.get_mut(&self.names.port(&end)).and_then(|port| port.pins.get_mut(&label)) else {
            return;
        };
        // A spare cavity with a signal is one that need not be wired.
        let has_signal = row.signal.is_some();
        match state {
            Some(State::Spare | State::Plugged) if !has_signal => pin.is_spare = true,
            Some(_) => pin.is_optional = true,
            None => {}
        }
        pin.signal = pin.signal.take().or_else(|| row.signal.clone());
        pin.notes.extend(row.notes.iter().cloned());
        pin.unsure.extend(row.unsure.iter().cloned());
    }

    fn described(&self, end: Option<&End>) -> String {
        let place = |plain: &Plain| match plain {
            Plain::Cavity { plug, cavity } => format!("{}.{}", slug(plug), label(cavity)),
            Plain::Whole { name, .. } => slug(name),
        };
        match end {
            Some(End::At(plain) | End::Tap(plain) | End::Link(plain)) => place(plain),
            Some(End::Several(places)) => places.iter().map(place).min().unwrap_or_default(),
            Some(End::Splice(name)) => slug(name),
            Some(End::On(wire)) => format!("S-{}", slug(wire)),
            Some(End::Element(Element::Fuse { name: Some(name), .. })) => slug(name),
            Some(End::Element(_)) => "in-line".to_owned(),
            Some(End::State(state)) => state.word().to_owned(),
            None => String::new(),
        }
    }

    /// The name of a wire: its number, or what it joins, whichever way round the row says it.
    fn base(&self, row: &RowWire, stations: &[End]) -> String {
        if let Some(number) = &row.number {
            return number.replace(' ', "-");
        }
        let mut ends = [self.described(stations.first()), self.described(stations.last())];
        ends.sort();
        let base = ends.join("-");
        // Two wires between things without cavities are two, though nothing but their rows may distinguish them.
        let has_whole = stations.iter().any(|end| matches!(end, End::At(Plain::Whole { .. })));
        let wires = self.draft.looms.get(&row.loom).map(|loom| &loom.wires);
        let is_taken = |name: &str| wires.is_some_and(|wires| wires.contains_key(name));
        if !has_whole || !is_taken(&base) {
            return base;
        }
        let with = row.colour.as_ref().map(|colour| format!("{base}-{}", colour.replace('/', "")));
        if let Some(with) = with.filter(|name| !is_taken(name)) {
            return with;
        }
        (2..).map(|count| format!("{base}-{count}")).find(|name| !is_taken(name)).unwrap_or(base)
    }

    /// Whether another list has the same wire; what that one leaves out is taken from this one, and differences are said.
    fn is_known(&mut self, row: &RowWire, base: &str, stations: &[End]) -> bool {
        let [first, last] = [stations.first(), stations.last()].map(|end| match end {
            Some(End::At(Plain::Cavity { plug, cavity })) => Some(Node::Cavity { end: slug(plug), label: label(cavity) }),
            _ => None,
        });
        let (Some(first), Some(last)) = (first, last) else { return false };
        if stations.len() > 2 {
            return false;
        }
        let Some(wire) = self.draft.looms.get_mut(&row.loom).and_then(|loom| loom.wires.get_mut(base)) else { return false };
        let is_same = (wire.from == first && wire.to == last) || (wire.from == last && wire.to == first);
        if !is_same || wire.place.list == row.place().list {
            return false;
        }
        let size = row.size.as_ref().and_then(|size| size.sizes.first().cloned());
        for (what, known, other) in [
            ("size", &mut wire.size, &size),
            ("colour", &mut wire.colour, &row.colour),
            ("length", &mut wire.length, &row.length),
        ] {
            match (known.as_ref(), other) {
                (Some(known), Some(other)) if known != other => {
                    let text = format!("wire `{base}` has {what} {known} in one list and {other} in another");
                    self.findings.conflicts.push(crate::report::Conflict {
                        kind: "tables differ",
                        text,
                        places: vec![wire.place.clone(), row.place()],
                    });
                    wire.unsure.push(format!("{what}: {other} in {}", row.place()));
                }
                (None, Some(other)) => *known = Some(other.clone()),
                _ => {}
            }
        }
        wire.signal = wire.signal.take().or_else(|| row.signal.clone());
        true
    }

    /// A wire with what its row says.
    fn wire(&self, row: &RowWire, from: Node, to: Node, place: &Place) -> Wire {
        let size = row.size.as_ref();
        let mut notes = row.notes.clone();
        if size.is_some_and(|size| size.is_screened) {
            notes.push("screened".to_owned());
        }
        Wire {
            from,
            to,
            size: size.and_then(|size| size.sizes.first().cloned()),
            colour: row.colour.clone(),
            length: row.length.clone(),
            twist: size.filter(|size| size.is_twisted && size.cores == 1).map(|_| String::new()),
            core: None,
            signal: row.signal.clone(),
            notes,
            unsure: row.unsure.clone(),
            place: place.clone(),
        }
    }

    /// Adds a wire under its name, or under one with its ends where that is taken.
    fn add(&mut self, (loom, is_numbered): (&str, bool), name: &str, wire: Wire) -> String {
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
    fn node_of(&mut self, end: &End, loom: &str, base: &str, place: &Place) -> Option<Node> {
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
    fn spliced(&mut self, loom: &str, wire: &str, place: &Place) -> Option<Node> {
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

    fn chain(&mut self, row: &RowWire, base: &str, stations: &[End]) {
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
                    if let Some(from) = left.take().filter(|_| !is_wire) {
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
        self.named(row, base, wires, &place);
    }

    /// The pieces of a chain under the number of its row: with a figure behind it if there are several.
    fn named(&mut self, row: &RowWire, base: &str, wires: Vec<(Node, Node)>, place: &Place) {
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
            if count > 1 {
                if let Some(length) = wire.length.take() {
                    wire.unsure.push(format!("length: {length} for all {count} pieces"));
                }
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
            if row.size.as_ref().is_some_and(|size| size.cores > 1) {
                self.cabled(row, &name, &mut wire, 1, place);
                wire.unsure.push("core: the list does not say which".to_owned());
            }
            self.add((&row.loom, row.number.is_some()), &name, wire);
        }
    }

    /// A splice with a wire to each place; the wire itself goes to the splice.
    fn branches(&mut self, row: &RowWire, base: &str, places: &[Plain], is_from: bool, place: &Place) -> Node {
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

    /// A fuse where a wire begins or ends: a device with two pins.
    fn fuse_end(&mut self, element: &Element, loom: &str, is_from: bool, place: &Place) -> Option<Node> {
        let Element::Fuse { name: Some(name), rating } = element else { return None };
        let device = slug(name);
        let known = self.draft.looms.get(loom).is_some_and(|held| held.inside.contains_key(&device));
        if known {
            return Some(Node::Side(device, if is_from { 2 } else { 1 }));
        }
        let kind = self.fuse_kind(&device, rating.as_deref(), place);
        let node = self.draft.cavity(self.names, loom, name, if is_from { "out" } else { "in" }, place);
        for side in ["in", "out"] {
            self.draft.cavity(self.names, loom, name, side, place);
            if let Some(pin) = self.draft.ports.get_mut(&self.names.port(&device)).and_then(|port| port.pins.get_mut(side)) {
                pin.is_optional = true;
            }
        }
        self.draft.fuse_devices.entry(device).or_insert((kind, place.clone()));
        Some(node)
    }

    /// The kind of a fuse: by its rating; by its name, to be completed, if nothing gives one.
    fn fuse_kind(&mut self, name: &str, rating: Option<&str>, place: &Place) -> String {
        let rating = rating.map(str::to_owned).or_else(|| self.ratings.get(name).cloned());
        let kind = rating.clone().unwrap_or_else(|| name.to_owned());
        if rating.is_none() {
            self.findings.conflict("no rating", format!("no list gives the rating of the fuse `{name}`"), vec![place.clone()]);
        }
        self.draft.fuses.entry(kind.clone()).or_insert_with(|| FuseKind { rating, place: place.clone() });
        kind
    }

    /// What is in line between two pieces of a wire.
    fn in_line(&mut self, element: &Element, loom: &str, base: &str, at: usize, place: &Place) -> String {
        let more = if at > 1 { format!("-{at}") } else { String::new() };
        let (name, kind, note) = match element {
            Element::Fuse { name, rating } => {
                let name = name.as_deref().map_or_else(|| format!("F-{base}{more}"), slug);
                let kind = self.fuse_kind(&name, rating.as_deref(), place);
                (name, InLineKind::Fuse(kind), None)
            }
            Element::Resistor(value) => (format!("R-{base}{more}"), InLineKind::Resistor(value.clone()), None),
            Element::Capacitor(value) => (format!("C-{base}{more}"), InLineKind::Capacitor(value.clone()), None),
            Element::Diode => {
                self.findings.assume(format!(
                    "the diode in wire `{base}` drops 0.7 V and conducts from its first end to its second: the list says neither"
                ));
                (
                    format!("D-{base}{more}"),
                    InLineKind::Diode,
                    Some("forward voltage and direction are not in the list".to_owned()),
                )
            }
        };
        self.draft.looms.entry(loom.to_owned()).or_default().inside.entry(name.clone()).or_insert_with(|| InLine {
            kind,
            note,
            place: place.clone(),
        });
        name
    }

    /// A cable whose row names one end for each core on both sides.
    fn cable_by_core(&mut self, row: &RowWire, base: &str, stations: &[End]) -> bool {
        let [End::Several(from), End::Several(to)] = stations else { return false };
        let cores = row.size.as_ref().map_or(1, |size| size.cores as usize);
        if from.len() != to.len() || (cores > 1 && cores != from.len()) {
            return false;
        }
        let place = row.place();
        for (at, (one, two)) in from.iter().zip(to).enumerate() {
            let from = self.draft.node(self.names, &row.loom, one, base, &place, self.findings);
            let to = self.draft.node(self.names, &row.loom, two, base, &place, self.findings);
            let mut wire = self.wire(row, from, to, &place);
            let name = format!("{base}-{}", at + 1);
            if cores > 1 {
                self.cabled(row, base, &mut wire, at as u32 + 1, &place);
            }
            self.add((&row.loom, row.number.is_some()), &name, wire);
        }
        true
    }

    /// Makes a wire the core of a cable.
    fn cabled(&mut self, row: &RowWire, name: &str, wire: &mut Wire, core: u32, place: &Place) {
        let Some(size) = &row.size else { return };
        let Some(cross) = size.sizes.first() else {
            wire.notes.push(format!("cable of {} cores, size not in the list", size.cores));
            wire.unsure.push("size: not in the list".to_owned());
            return;
        };
        let words =
            format!("{}{}", if size.is_twisted { " twisted" } else { "" }, if size.is_screened { " screened" } else { "" });
        let kind = format!("{cross} x {}{words}", size.cores);
        let made = || CableKind {
            size: cross.clone(),
            cores: size.cores,
            is_twisted: size.is_twisted,
            is_screened: size.is_screened,
            place: place.clone(),
        };
        self.draft.cables.entry(kind.clone()).or_insert_with(made);
        let cable = format!("C-{}", name.replace('.', "_"));
        self.draft.looms.entry(row.loom.clone()).or_default().cables.entry(cable.clone()).or_insert((kind, place.clone()));
        wire.core = Some(format!("{cable}.{core}"));
        wire.size = None;
        // The length and colour of a core are those of its cable, which has one.
        if let Some(colour) = wire.colour.take() {
            wire.notes.push(format!("colour: {colour}"));
        }
        if let Some(length) = wire.length.take() {
            wire.notes.push(format!("length: {length}"));
        }
    }
}

/// Wires that are marked as twisted are twisted with those that run between the same plugs; one alone is a note.
fn twists(draft: &mut Draft) {
    for loom in draft.looms.values_mut() {
        let mut groups: BTreeMap<[String; 2], Vec<String>> = BTreeMap::new();
        for (name, wire) in loom.wires.iter().filter(|(_, wire)| wire.twist.is_some()) {
            let end = |node: &Node| node.written().split('.').next().unwrap_or("").to_owned();
            let mut ends = [end(&wire.from), end(&wire.to)];
            ends.sort();
            groups.entry(ends).or_default().push(name.clone());
        }
        for (ends, members) in groups {
            for member in &members {
                let Some(wire) = loom.wires.get_mut(member) else { continue };
                if members.len() > 1 {
                    wire.twist = Some(ends.join("-"));
                } else {
                    wire.twist = None;
                    wire.notes.push("twisted".to_owned());
                }
            }
        }
    }
}
