//! From rows to a network: wires with their names, splices, what is in line.

mod chain;
mod in_line;
mod parts;

use super::{
    Draft, Node, Place, RowWire, Unread,
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
        let stations: Vec<End> = row.from.iter().chain(&row.to).filter(|end| !matches!(end, End::State(_))).cloned().collect();
        let (has_from, has_to) =
            (row.from.iter().any(|end| !matches!(end, End::State(_))), row.to.iter().any(|end| !matches!(end, End::State(_))));
        if !has_from || !has_to {
            return self.one_sided(&row, &stations, states.first().copied().or(row.state), &place);
        }
        if stations.len() < 2 {
            return self.one_sided(&row, &stations, row.state, &place);
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
    fn one_sided(&mut self, row: &RowWire, stations: &[End], state: Option<State>, place: &Place) {
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
            for (column, text) in row.unmade() {
                self.unread(place, &thing, column, &text);
            }
        }
        // A spare or reserved wire that begins somewhere and ends nowhere: what it is of is kept.
        if state.is_some() && row.number.is_some() {
            for (column, text) in row.unmade() {
                self.unread(place, &thing, column, &text);
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

    pub(super) fn described(&self, end: Option<&End>) -> String {
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
}

/// Wires that are marked as twisted are twisted with those that run between the same plugs; one alone is a note.
fn twists(draft: &mut Draft) {
    for loom in draft.looms.values_mut() {
        let mut groups: BTreeMap<[String; 2], Vec<String>> = BTreeMap::new();
        for (name, wire) in loom.wires.iter().filter(|(_, wire)| wire.twist.as_deref() == Some("")) {
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
