//! What hangs at each point of a loom, and what lies at the other side of each loom end: indexed once for a check.

use crate::{
    model::{Device, End, EndId, EndKind, Housing, Mate, ModeId, Model, Owner, PointId, PointKind, PortId, Terminal, WireId},
    text::Span,
};

/// One end of a wire at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct WireEnd {
    /// The point.
    pub(super) point: PointId,
    /// The wire.
    pub(super) wire: WireId,
    /// Where the file places it there.
    pub(super) span: Span,
}

/// The index. Cost: linear in wires, cables, elements and ends, and a sort.
#[derive(Debug)]
pub(super) struct Ends<'m> {
    model: &'m Model,
    wires: Vec<WireEnd>,
    others: Vec<u32>,
    partners: Vec<Option<Mate>>,
    of_port: Vec<(PortId, EndId)>,
}

impl<'m> Ends<'m> {
    /// Indexes the design; a wire counts at each end that could be placed, even if the other could not.
    pub(super) fn new(model: &'m Model) -> Self {
        let mut wires = Vec::with_capacity(model.wires().len() * 2);
        for (id, wire) in model.wires() {
            let places = [(wire.from, wire.from_span), (wire.to, wire.to_span)];
            wires.extend(places.into_iter().filter_map(|(point, span)| Some(WireEnd { point: point?, wire: id, span })));
        }
        wires.sort_unstable();
        let mut others = vec![0; model.points().len()];
        let screens = model.cables().flat_map(|(_, cable)| cable.screen).flatten().map(|(point, _)| point);
        let in_line = model.elements().filter(|(_, element)| matches!(element.owner, Owner::Loom(_)));
        for point in screens.chain(in_line.flat_map(|(_, element)| element.points.iter().copied())) {
            if let Some(slot) = others.get_mut(point.index()) {
                *slot += 1;
            }
        }
        let mut partners: Vec<Option<Mate>> = model.ends().map(|(_, end)| end.mate).collect();
        let mut of_port = Vec::new();
        for (id, end) in model.ends() {
            match end.mate {
                Some(Mate::Port(port)) => of_port.push((port, id)),
                Some(Mate::End(other)) => {
                    if let Some(slot @ None) = partners.get_mut(other.index()) {
                        *slot = Some(Mate::End(id));
                    }
                }
                None => {}
            }
        }
        of_port.sort_unstable();
        Self { model, wires, others, partners, of_port }
    }

    /// The wires that end at `point`, in the order written.
    pub(super) fn wires(&self, point: PointId) -> &[WireEnd] {
        let first = self.wires.partition_point(|end| end.point < point);
        let rest = self.wires.get(first..).unwrap_or_default();
        rest.get(..rest.partition_point(|end| end.point == point)).unwrap_or_default()
    }

    /// How many wires, screens and in-line elements hang at `point`.
    pub(super) fn count(&self, point: PointId) -> usize {
        self.wires(point).len() + self.others.get(point.index()).copied().unwrap_or(0) as usize
    }

    /// What `end` is joined to, whichever of the two says so.
    pub(super) fn partner(&self, end: EndId) -> Option<Mate> {
        self.partners.get(end.index()).copied().flatten()
    }

    /// The loom ends at a port of a device.
    pub(super) fn at_port(&self, port: PortId) -> impl Iterator<Item = EndId> {
        let first = self.of_port.partition_point(|(of, _)| *of < port);
        self.of_port.iter().skip(first).take_while(move |(of, _)| *of == port).map(|(_, end)| *end)
    }

    /// The point that meets a cavity when its end is mated.
    pub(super) fn opposite(&self, cavity: PointId) -> Option<PointId> {
        let point = self.model.point(cavity)?;
        let PointKind::Cavity(end) = point.kind else { return None };
        let range = match self.partner(end)? {
            Mate::Port(port) => self.model.port(port)?.points,
            Mate::End(other) => self.model.end(other)?.points,
        };
        self.model.position_of(range, point.label)
    }

    /// The cavity or ring of a loom that meets a pin or stud and that something hangs at.
    pub(super) fn reaching(&self, pin: PointId) -> Option<PointId> {
        let point = self.model.point(pin)?;
        let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { return None };
        self.at_port(port)
            .filter_map(|end| {
                let end = self.model.end(end)?;
                match end.kind {
                    EndKind::Ring(_) => end.points.get(0),
                    EndKind::Connector(_) => self.model.position_of(end.points, point.label),
                }
            })
            .find(|point| self.count(*point) > 0)
    }
}

/// How many wires a point of a loom end takes, and who says so.
#[derive(Debug)]
pub(super) struct Room<'m> {
    /// Most wires; `None` where nothing says it.
    pub(super) most: Option<u32>,
    /// The terminal in it, with the place that names it.
    pub(super) terminal: Option<(&'m Terminal, Span)>,
    /// The housing.
    pub(super) housing: Option<&'m Housing>,
}

/// The room at a cavity or ring. The terminal's number holds where it gives one, else the housing's; a cavity of which
/// nothing is said takes one wire, a ring as many as its crimp was chosen for.
pub(super) fn room<'m>(model: &'m Model, end: &End, point: PointId) -> Room<'m> {
    let own = end.terminals.iter().find(|(at, _, _)| *at == point).map(|(_, terminal, span)| (*terminal, *span));
    let terminal = own.or(end.terminal).and_then(|(terminal, span)| Some((model.terminal(terminal)?, span)));
    let said = terminal.and_then(|(terminal, _)| terminal.max_wires).map(|at| at.value);
    let (housing, usual) = match end.kind {
        EndKind::Connector(housing) => {
            let housing = housing.and_then(|housing| model.housing(housing));
            (housing, Some(housing.map_or(1, |housing| housing.max_wires)))
        }
        EndKind::Ring(_) => (None, None),
    };
    Room { most: said.or(usual), terminal, housing }
}

/// The device of a pin, stud or inner node.
pub(super) fn device_of(model: &Model, point: PointId) -> Option<(crate::model::DeviceId, &Device)> {
    let id = match model.point(point)?.kind {
        PointKind::Pin(port) | PointKind::Stud(port) => model.port(port)?.device,
        PointKind::Node(device) => device,
        PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => return None,
    };
    model.device(id).map(|device| (id, device))
}

/// Whether what holds the point is part of this build.
pub(super) fn is_fitted(model: &Model, point: PointId) -> bool {
    let loom_of_end = |end: EndId| model.end(end).and_then(|end| model.loom(end.loom));
    let loom = match model.point(point).map(|point| point.kind) {
        Some(PointKind::Cavity(end) | PointKind::Ring(end)) => loom_of_end(end),
        Some(PointKind::Splice(splice)) => model.splice(splice).and_then(|splice| model.loom(splice.loom)),
        _ => return device_of(model, point).is_none_or(|(_, device)| device.fitted),
    };
    loom.is_none_or(|loom| loom.fitted)
}

/// ` in `drive` and `charge``, ` in every mode`; empty for a design that names no modes.
pub(super) fn in_modes(model: &Model, modes: &[ModeId]) -> String {
    let named = modes.iter().filter_map(|mode| model.mode(*mode)?.name).map(|name| format!("`{}`", model.text(name)));
    let named: Vec<String> = named.collect();
    match named.as_slice() {
        [] => String::new(),
        [one] if model.modes().len() > 1 => format!(" in {one}"),
        all if all.len() == model.modes().len() => " in every mode".to_owned(),
        some => format!(" in {}", listed(some)),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Empty, ` and 1 load more`, ` and 4 loads more`.
pub(super) fn and_more(count: usize, what: &str) -> String {
    match count {
        0 => String::new(),
        1 => format!(" and 1 {what} more"),
        more => format!(" and {more} {what}s more"),
    }
}
