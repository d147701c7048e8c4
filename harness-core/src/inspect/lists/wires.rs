//! The wires of each loom.

use super::{
    Asked,
    written::{Written, WrittenLoom},
};
use crate::{
    model::{Model, PointId, PointKind, Wire, WireId},
    quantity::{Metre, SquareMillimetre},
    text::{Sources, Span},
};

/// A loom with its wires in the order written.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct LoomList {
    /// Its name.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Whether it is part of this build.
    pub fitted: bool,
    /// The conductor kind of its wires that have none of their own; empty where none is given.
    pub kind: String,
    /// What must still be measured or found out.
    pub doubts: Vec<String>,
    /// What its note says.
    pub note: String,
    /// Its wires and the cores of its cables.
    pub wires: Vec<ListedWire>,
}

/// Where a wire ends, by names of its loom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct EndPlace {
    /// An end, a splice or an element in line; `capped` for an end that goes nowhere.
    pub item: String,
    /// The cavity of a plug, the point of an element; empty for all else.
    pub position: String,
}

/// One wire, or one core of a cable.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ListedWire {
    /// Its number.
    pub number: String,
    /// Where it is written.
    pub span: Span,
    /// One end.
    pub from: EndPlace,
    /// The other end.
    pub to: EndPlace,
    /// Its size as written, `16 AWG` or `1.5 mm2`; empty where none is given.
    pub size_as_written: String,
    /// The same in mm2.
    pub size: Option<SquareMillimetre>,
    /// Its colour in the letters of IEC 60757; empty where none is given.
    pub colour: String,
    /// Its length as cut.
    pub length: Option<Metre>,
    /// Its conductor kind; empty where none is given.
    pub kind: String,
    /// The core that it is, as `cable.core`; empty for a single wire.
    pub core: String,
    /// The twisted group that it belongs to; empty for none.
    pub twist: String,
    /// The signals on its net, as pins name them.
    pub signal: String,
    /// What must still be measured or found out.
    pub doubts: Vec<String>,
    /// What its note says.
    pub note: String,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

/// The looms of a design.
pub(super) fn looms(asked: &Asked<'_>, written: &Written) -> Vec<LoomList> {
    let model = asked.analysis.model();
    let mut looms: Vec<_> = model.looms().collect();
    looms.sort_unstable_by_key(|(_, loom)| loom.span);
    let mut wires: Vec<_> = model.wires().map(|(id, wire)| (wire.loom, wire.span, id)).collect();
    wires.sort_unstable();
    let list = |(id, loom): (_, &crate::model::Loom)| {
        let name = model.text(loom.name).to_owned();
        let first = wires.partition_point(|(of, ..)| *of < id);
        let own = wires.iter().skip(first).take_while(|(of, ..)| *of == id);
        let wires = own.map(|(_, _, wire)| row(asked, written, &name, *wire)).collect();
        let WrittenLoom { kind, doubts, note, .. } = written.looms.get(&name).cloned().unwrap_or_default();
        LoomList { name, span: loom.span, fitted: loom.fitted, kind, doubts, note, wires }
    };
    looms.into_iter().map(list).collect()
}

fn row(asked: &Asked<'_>, written: &Written, loom: &str, id: WireId) -> ListedWire {
    let model = asked.analysis.model();
    let sources = asked.sources;
    let wire = &model[id];
    let number = model.text(wire.name).to_owned();
    let (doubts, note) = written.wires.get(&(loom.to_owned(), number.clone())).cloned().unwrap_or_default();
    let size_as_written = size_as_written(wire, sources);
    let points: Vec<PointId> = [wire.from, wire.to].into_iter().flatten().collect();
    ListedWire {
        span: wire.span,
        from: place(model, sources, wire.from, wire.from_span),
        to: place(model, sources, wire.to, wire.to_span),
        size_as_written,
        size: wire.size.map(|size| size.value),
        colour: wire.colour.map_or_else(String::new, |colour| colour.value.to_string()),
        length: wire.length.map(|length| length.value),
        kind: wire.kind.map_or_else(String::new, |kind| model.text(model[kind].name).to_owned()),
        core: wire.core_span.map_or_else(String::new, |span| unquoted(sources.slice(span)).to_owned()),
        twist: wire.twist.map_or_else(String::new, |twist| model.text(twist).to_owned()),
        signal: asked.signal(&points),
        doubts,
        note,
        findings: asked.findings(&model.wire_name(id)),
        number,
    }
}

/// The size of a wire as written; empty where none is given.
pub(crate) fn size_as_written(wire: &Wire, sources: &Sources) -> String {
    wire.size.map_or_else(String::new, |size| match unquoted(sources.slice(size.span)) {
        // A size that the loom gives has no place at the wire.
        "" => format!("{} mm2", size.value.get()),
        own => own.to_owned(),
    })
}

/// Where a wire ends; as written where that leads nowhere.
fn place(model: &Model, sources: &Sources, point: Option<PointId>, span: Span) -> EndPlace {
    let whole = |item: &str| EndPlace { item: item.to_owned(), position: String::new() };
    let Some(point) = point else { return split(unquoted(sources.slice(span))) };
    let label = model.text(model[point].label);
    match model[point].kind {
        PointKind::Cavity(end) => EndPlace { item: model.text(model[end].name).to_owned(), position: label.to_owned() },
        PointKind::Ring(end) => whole(model.text(model[end].name)),
        // A splice, a point of an element in line, or the closed end of a wire: as written.
        PointKind::Splice(_) => split(unquoted(sources.slice(span))),
        PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => whole(&model.point_name(point)),
    }
}

fn split(text: &str) -> EndPlace {
    let (item, position) = text.split_once('.').unwrap_or((text, ""));
    EndPlace { item: item.to_owned(), position: position.to_owned() }
}

/// A text of the file without the quotes of YAML.
pub(super) fn unquoted(text: &str) -> &str {
    let inner = |quote: char| text.strip_prefix(quote)?.strip_suffix(quote);
    inner('"').or_else(|| inner('\'')).unwrap_or(text)
}
