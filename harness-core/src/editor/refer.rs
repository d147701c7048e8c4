//! What a mention names: the same look-ups as of the model, on names and places alone.

use super::{
    labels,
    symbols::{Sort, SymbolId},
    token::Token,
    walk::{Gathered, How, Mention},
};
use crate::{
    format::{Kind, Naming, steps},
    text::{Name, Names, Sources, Span},
};

/// What a waiver may concern within a loom or device, the most particular first.
const INSIDE: [Sort; 8] = [
    Sort::Thing(Kind::Wire),
    Sort::Thing(Kind::End),
    Sort::Thing(Kind::Splice),
    Sort::Thing(Kind::Cable),
    Sort::Thing(Kind::Segment),
    Sort::Thing(Kind::Port),
    Sort::Thing(Kind::Element),
    Sort::Node,
];
/// What it may concern by one name.
const ALONE: [Kind; 6] = [Kind::Loom, Kind::Device, Kind::Domain, Kind::Mode, Kind::Zone, Kind::Network];

/// A stretch of a text that names a thing: from one byte of it to another.
type Stretch = (usize, usize, SymbolId);

pub(super) struct Refer<'a> {
    pub(super) sources: &'a Sources,
    pub(super) names: &'a mut Names,
    pub(super) gathered: &'a mut Gathered,
}

impl Refer<'_> {
    /// The places of what a mention names.
    pub(super) fn tokens(&mut self, mention: Mention) -> Vec<Token> {
        let text = self.names.text(mention.text).to_owned();
        let start = start_of(self.sources.slice(mention.span), &text);
        let stretches = self.stretches(&text, mention);
        let place = |(from, to, symbol): Stretch| {
            let span = match start {
                Some(start) => {
                    let at = |byte: usize| mention.span.start + (start + byte) as u32;
                    Span::new(mention.span.file, at(from), at(to))
                }
                // Escapes and folded lines: bytes of the name are not bytes of the file.
                None => mention.span,
            };
            (span, symbol, start.is_some().then(|| text.get(from..to)).flatten())
        };
        let places: Vec<_> = stretches.into_iter().map(place).collect();
        // A word that names several things is the name of none.
        let name = |symbol: SymbolId| self.gathered.symbols.get(symbol).map(|symbol| self.names.text(symbol.name));
        let token = |(span, symbol, written): (Span, SymbolId, Option<&str>)| {
            let is_verbatim = written.is_some() && written == name(symbol);
            Token { span, symbol, defines: false, is_verbatim }
        };
        places.into_iter().map(token).collect()
    }

    fn stretches(&mut self, text: &str, mention: Mention) -> Vec<Stretch> {
        let whole = |symbol: Option<SymbolId>| symbol.map(|symbol| (0, text.len(), symbol)).into_iter().collect();
        match mention.how {
            How::Named(Naming::Anywhere(kinds), _) => {
                let known = kinds.iter().find_map(|kind| self.find(None, Sort::Thing(*kind), mention.text));
                let of = kinds.first().filter(|kind| known.is_none() && steps::has_ranges(**kind));
                of.map_or_else(|| whole(known), |kind| self.series(None, Sort::Thing(*kind), mention.text))
            }
            How::Named(Naming::InLoom(kinds), Some(holder)) => self.in_loom(holder, kinds, text),
            How::Named(Naming::Mate, holder) => self.mate(holder, text),
            How::Named(Naming::Point, Some(holder)) => self.point(holder, text),
            How::Named(Naming::Concerned, _) => self.concerned(text),
            How::Named(Naming::Nothing | Naming::InLoom(_) | Naming::Point, _) => Vec::new(),
            How::Member(holder) => self.member(holder, text),
            How::Port(Some(holder)) => self.point(holder, text),
            How::Port(None) => Vec::new(),
            How::Cavity(end) => self.labels(end, Sort::Cavity, mention.text),
            How::MateLabel(end) => self.mate_label(end, mention.text),
            How::Own(sort, parent) => {
                let is_defined_elsewhere = !sort.is_shared();
                let known = self.find(parent, sort, mention.text);
                if known.is_none() && matches!(sort, Sort::Thing(kind) if steps::has_ranges(kind)) {
                    return self.series(parent, sort, mention.text);
                }
                let symbol = if is_defined_elsewhere { known } else { Some(self.add(parent, sort, mention.text)) };
                whole(symbol)
            }
            How::Said => self.said(text),
        }
    }

    fn find(&self, parent: Option<SymbolId>, sort: Sort, name: Name) -> Option<SymbolId> {
        self.gathered.symbols.find(parent, sort, name)
    }

    fn add(&mut self, parent: Option<SymbolId>, sort: Sort, name: Name) -> SymbolId {
        self.gathered.symbols.add(parent, sort, name)
    }

    fn sort(&self, id: SymbolId) -> Option<Sort> {
        self.gathered.symbols.get(id).map(|symbol| symbol.sort)
    }

    fn named(&self, parent: Option<SymbolId>, sort: Sort, text: &str) -> Option<SymbolId> {
        self.find(parent, sort, self.names.find(text)?)
    }

    /// A thing that a device has, or its kind has for it.
    fn of_device(&self, device: SymbolId, sort: Sort, text: &str) -> Option<SymbolId> {
        let name = self.names.find(text)?;
        let has = |device: SymbolId| self.find(Some(device), sort, name);
        self.gathered.alike(device).find_map(has).or_else(|| {
            let kind = self.find(None, Sort::Thing(Kind::DeviceKind), self.gathered.kind(device)?)?;
            self.gathered.alike(kind).find_map(has)
        })
    }

    /// A label of a connector as a thing of its own.
    fn labelled(&mut self, connector: SymbolId, text: &str) -> SymbolId {
        let sort = if self.sort(connector) == Some(Sort::Thing(Kind::End)) { Sort::Cavity } else { Sort::Thing(Kind::Pin) };
        let name = self.names.intern(text);
        self.add(Some(connector), sort, name)
    }

    /// The kinds that a range names, one for each of another range.
    fn series(&mut self, parent: Option<SymbolId>, sort: Sort, text: Name) -> Vec<Stretch> {
        let whole = self.names.text(text).len();
        let names = labels::series(self.names, text);
        names.into_iter().filter_map(|name| Some((0, whole, self.find(parent, sort, name)?))).collect()
    }

    fn labels(&mut self, connector: SymbolId, sort: Sort, text: Name) -> Vec<Stretch> {
        let whole = self.names.text(text).len();
        let names = labels::expand(self.names, text);
        names.into_iter().map(|name| (0, whole, self.add(Some(connector), sort, name))).collect()
    }

    /// `P1.4`, `S1`, a segment, `C1.2`.
    fn in_loom(&mut self, loom: SymbolId, kinds: &[Kind], text: &str) -> Vec<Stretch> {
        let (item, label) = cut(text);
        let found = kinds.iter().find_map(|kind| Some((*kind, self.named(Some(loom), Sort::Thing(*kind), item)?)));
        let Some((kind, symbol)) = found else { return Vec::new() };
        let mut stretches = vec![(0, item.len(), symbol)];
        if let Some(label) = label.filter(|label| !label.is_empty()) {
            let inner = match kind {
                Kind::End => Some(self.labelled(symbol, label)),
                Kind::Cable => self.core(symbol, label),
                _ => None,
            };
            stretches.extend(inner.map(|inner| (item.len() + 1, text.len(), inner)));
        }
        stretches
    }

    fn core(&self, cable: SymbolId, label: &str) -> Option<SymbolId> {
        let kind = self.find(None, Sort::Thing(Kind::CableKind), self.gathered.kind(cable)?)?;
        let name = self.names.find(label)?;
        self.gathered.alike(kind).find_map(|kind| self.find(Some(kind), Sort::Core, name))
    }

    /// `device.port`, `loom.end`, or an end of the same loom; a device comes first, as in the model.
    fn mate(&self, holder: Option<SymbolId>, text: &str) -> Vec<Stretch> {
        let (first, second) = cut(text);
        let Some(second) = second else {
            let end = self.named(holder, Sort::Thing(Kind::End), text);
            let device = || self.named(None, Sort::Thing(Kind::Device), text);
            return end.or_else(device).map(|symbol| (0, text.len(), symbol)).into_iter().collect();
        };
        let behind = |symbol: SymbolId| (first.len() + 1, text.len(), symbol);
        let device = self.named(None, Sort::Thing(Kind::Device), first);
        let loom = self.named(None, Sort::Thing(Kind::Loom), first);
        let port = device.and_then(|device| self.of_device(device, Sort::Thing(Kind::Port), second));
        match (device, port, loom) {
            (Some(device), Some(port), _) => vec![(0, first.len(), device), behind(port)],
            (_, None, Some(loom)) => {
                let end = self.named(Some(loom), Sort::Thing(Kind::End), second);
                [(0, first.len(), loom)].into_iter().chain(end.map(behind)).collect()
            }
            (Some(device), None, None) => vec![(0, first.len(), device)],
            (None, ..) => Vec::new(),
        }
    }

    /// `J1.2`, a stud, a node of a device; `P1.2`, a splice of a loom.
    fn point(&mut self, holder: SymbolId, text: &str) -> Vec<Stretch> {
        if self.sort(holder) == Some(Sort::Thing(Kind::Loom)) {
            return self.in_loom(holder, &[Kind::End, Kind::Splice, Kind::Element], text);
        }
        if let Some(node) = self.of_device(holder, Sort::Node, text) {
            return vec![(0, text.len(), node)];
        }
        let (port, label) = cut(text);
        let Some(symbol) = self.of_device(holder, Sort::Thing(Kind::Port), port) else { return Vec::new() };
        let label = label.filter(|label| !label.is_empty());
        let pin = label.map(|label| (port.len() + 1, text.len(), self.labelled(symbol, label)));
        [(0, port.len(), symbol)].into_iter().chain(pin).collect()
    }

    /// An element of the same box, or `device.element`.
    fn member(&self, holder: Option<SymbolId>, text: &str) -> Vec<Stretch> {
        let element = Sort::Thing(Kind::Element);
        if let Some(own) = holder.and_then(|holder| self.of_device(holder, element, text)) {
            return vec![(0, text.len(), own)];
        }
        let (first, Some(second)) = cut(text) else { return Vec::new() };
        let device = self.named(None, Sort::Thing(Kind::Device), first);
        let Some(other) = device.or_else(|| self.named(None, Sort::Thing(Kind::Loom), first)) else { return Vec::new() };
        let found = self.of_device(other, element, second);
        [(0, first.len(), other)].into_iter().chain(found.map(|found| (first.len() + 1, text.len(), found))).collect()
    }

    fn mate_label(&mut self, end: SymbolId, label: Name) -> Vec<Stretch> {
        let Some(mate) = self.gathered.mate(end) else { return Vec::new() };
        let loom = self.gathered.symbols.get(end).and_then(|symbol| symbol.parent);
        let mate = self.names.text(mate).to_owned();
        let Some((_, _, connector)) = self.mate(loom, &mate).pop() else { return Vec::new() };
        let label = self.names.text(label).to_owned();
        match self.sort(connector) {
            Some(Sort::Thing(Kind::End | Kind::Port)) => vec![(0, label.len(), self.labelled(connector, &label))],
            _ => Vec::new(),
        }
    }

    /// A thing by the name that findings give it: `front.107`, `fuse-box.F4`, `pump.J1.2`, `front`.
    fn concerned(&mut self, text: &str) -> Vec<Stretch> {
        let (first, rest) = cut(text);
        let Some(rest) = rest else {
            let found = ALONE.iter().find_map(|kind| self.named(None, Sort::Thing(*kind), text));
            return found.or_else(|| self.only(text)).map(|symbol| (0, text.len(), symbol)).into_iter().collect();
        };
        for kind in [Kind::Loom, Kind::Device] {
            let Some(holder) = self.named(None, Sort::Thing(kind), first) else { continue };
            let (item, label) = cut(rest);
            let found = INSIDE.iter().find_map(|sort| self.of_device(holder, *sort, item));
            let Some(found) = found else { continue };
            let behind = first.len() + 1;
            let mut stretches = vec![(0, first.len(), holder), (behind, behind + item.len(), found)];
            let is_connector = matches!(self.sort(found), Some(Sort::Thing(Kind::End | Kind::Port)));
            if let Some(label) = label.filter(|label| !label.is_empty() && is_connector) {
                stretches.push((behind + item.len() + 1, text.len(), self.labelled(found, label)));
            }
            return stretches;
        }
        Vec::new()
    }

    /// The one thing of a loom or device that bears this name.
    fn only(&self, text: &str) -> Option<SymbolId> {
        let name = self.names.find(text)?;
        let looms = self
            .gathered
            .symbols
            .all()
            .filter(|(_, symbol)| symbol.parent.is_none() && matches!(symbol.sort, Sort::Thing(Kind::Loom | Kind::Device)));
        let mut found = looms.flat_map(|(holder, _)| INSIDE.iter().filter_map(move |sort| self.find(Some(holder), *sort, name)));
        let first = found.next();
        first.filter(|_| found.next().is_none())
    }

    /// The names between the backticks of a sentence.
    fn said(&mut self, text: &str) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        let mut at = 0;
        for (number, piece) in text.split('`').enumerate() {
            if number % 2 == 1 {
                let found = self.concerned(piece);
                stretches.extend(found.into_iter().map(|(from, to, symbol)| (at + from, at + to, symbol)));
            }
            at += piece.len() + 1;
        }
        stretches
    }
}

/// What is before the first dot, and what is behind it.
fn cut(text: &str) -> (&str, Option<&str>) {
    match text.split_once('.') {
        Some((first, rest)) => (first, Some(rest)),
        None => (text, None),
    }
}

/// Where a text begins within what is written for it; `None` where bytes of one are not bytes of the other.
pub(super) fn start_of(written: &str, text: &str) -> Option<usize> {
    if written == text {
        return Some(0);
    }
    let inner = written.strip_prefix(['"', '\'']).and_then(|rest| rest.strip_suffix(['"', '\'']));
    (inner == Some(text)).then_some(1)
}
