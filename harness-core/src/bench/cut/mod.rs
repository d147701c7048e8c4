//! The cut list of a loom: each wire with its length and what is crimped to it, in the order in which spools and dies change least.

mod order;

use self::order::Piece;
use super::{Bench, LengthFrom};
use crate::{
    model::{CableId, EndKind, LoomId, Mate, PointId, PortKind, TerminalId, WireId},
    quantity::{Metre, Millimetre, SquareMillimetre},
    standards::colour::WireColour,
};
use std::collections::BTreeMap;

/// What is done at one end of a wire.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Crimp {
    /// The place, as findings name it.
    pub at: String,
    /// What it is: `cavity`, `ring M8`, `bare end`, `splice`, `capped`.
    pub sort: String,
    /// The terminal kind; empty where none is chosen or none belongs there.
    pub terminal: String,
    /// Whether a terminal belongs there and none is chosen.
    pub is_unchosen: bool,
    /// Length of insulation that is taken off.
    pub strip: Option<Millimetre>,
    /// The die; that of the terminal's own name where the design names none.
    pub die: String,
    /// The seal that goes on first; empty where none is named.
    pub seal: String,
    /// Whether the housing is sealed and no seal is named.
    pub lacks_seal: bool,
    /// What is written on the label.
    pub label: Vec<String>,
}

/// A wire that is cut, or a core of a cable that is.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct CutWire {
    /// Its number.
    pub number: String,
    /// Its number as findings name it: `front.104`.
    pub name: String,
    /// The conductor kind, or that of the cable; empty where none is given.
    pub kind: String,
    /// The size as written; empty where none is given.
    pub size_as_written: String,
    /// The same in mm2.
    pub size: Option<SquareMillimetre>,
    /// Its colour.
    pub colour: Option<WireColour>,
    /// Its length as it is cut.
    pub length: Option<Metre>,
    /// How that is known.
    pub length_from: LengthFrom,
    /// Its two ends, in the order in which they are crimped.
    pub ends: Vec<Crimp>,
    /// The twisted group that it belongs to; empty for none.
    pub twist: String,
    /// The core that it is, as `cable.core`; empty for a wire.
    pub core: String,
    /// The signals on it.
    pub signal: String,
    /// Whether it is of voltage class B.
    pub is_class_b: bool,
}

/// A cable that is cut.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct CutCable {
    /// Its name as findings give it.
    pub name: String,
    /// Its kind.
    pub kind: String,
    /// Its length as it is cut.
    pub length: Option<Metre>,
    /// How that is known.
    pub length_from: LengthFrom,
    /// How many of its cores are used, and how many it has.
    pub cores: [usize; 2],
    /// Where its screen ends; a side where nothing is said is cut back and insulated.
    pub screen: [Option<String>; 2],
    /// Whether its kind has a screen.
    pub is_screened: bool,
    /// Whether any of its cores is of voltage class B.
    pub is_class_b: bool,
}

/// What is taken from one spool.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Spool {
    /// The conductor or cable kind; empty where none is given.
    pub kind: String,
    /// The size as written; empty for a cable.
    pub size: String,
    /// The colour; `None` for a cable, and where none is given.
    pub colour: Option<WireColour>,
    /// Whether it is cable.
    pub is_cable: bool,
    /// How many pieces are cut from it.
    pub pieces: usize,
    /// The sum of their lengths.
    pub length: Metre,
    /// The same with the workshop's waste.
    pub with_waste: Metre,
    /// How many of them have no length.
    pub without_length: usize,
}

/// How often spools and dies change in the order of the list, and how often in any order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Changes {
    /// How often the spool changes.
    pub spools: usize,
    /// No order has fewer changes of spools.
    pub least_spools: usize,
    /// How often the die changes.
    pub dies: usize,
    /// No order with so few changes of spools has fewer changes of dies than this.
    pub least_dies: usize,
}

/// The cut list of one loom.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct CutList {
    /// The loom.
    pub loom: String,
    /// Its wires and cores in the order in which they are cut.
    pub wires: Vec<CutWire>,
    /// Its cables in the order in which they are cut.
    pub cables: Vec<CutCable>,
    /// What is taken from each spool, in the order of the list.
    pub spools: Vec<Spool>,
    /// How often spools and dies change.
    pub changes: Changes,
    /// The workshop's waste as a share; `None` where none is given.
    pub waste: Option<f64>,
}

impl Bench<'_> {
    /// The cut list of each loom of this build, in the order written.
    ///
    /// # Cost
    /// A sort of the wires of each loom, and a walk over them for each spool.
    #[must_use]
    pub fn cut_lists(&self) -> Vec<CutList> {
        self.loom_ids().into_iter().map(|loom| self.cut_list(loom)).collect()
    }

    fn cut_list(&self, loom: LoomId) -> CutList {
        let model = self.model();
        let wires: Vec<CutWire> = self.wires_of(loom).iter().map(|wire| self.cut_wire(*wire)).collect();
        let pieces: Vec<Piece> = self.wires_of(loom).iter().zip(&wires).map(|(id, wire)| self.piece(*id, wire)).collect();
        let (order, changes) = order::order(&pieces);
        let mut cut = Vec::with_capacity(wires.len());
        for place in order {
            let Some(wire) = wires.get(place.piece) else { continue };
            let mut wire = wire.clone();
            if place.is_turned {
                wire.ends.reverse();
            }
            cut.push(wire);
        }
        let cables: Vec<CableId> = model.cables().filter(|(_, cable)| cable.loom == loom).map(|(id, _)| id).collect();
        let mut cables: Vec<CutCable> = cables.into_iter().map(|cable| self.cut_cable(cable)).collect();
        cables.sort_by(|one, other| {
            let length = |cable: &CutCable| std::cmp::Reverse(cable.length.map(|length| (length.get() * 1000.0).round() as u64));
            (&one.kind, length(one), &one.name).cmp(&(&other.kind, length(other), &other.name))
        });
        let waste = model.bench.waste.map(|waste| waste.value.get());
        let spools = spools(&cut, &cables, waste.unwrap_or(0.0));
        CutList { loom: model.loom_name(loom).to_owned(), spools, wires: cut, cables, changes, waste }
    }

    /// The spool that a wire is cut from, and the dies of its two ends.
    fn piece(&self, id: WireId, cut: &CutWire) -> Piece {
        let wire = &self.model()[id];
        let cable = wire.core.map(|(cable, _)| self.model().cable_name(cable));
        let colour = cut.colour.map_or_else(String::new, |colour| colour.to_string());
        Piece {
            // The cores of one cable stay together.
            spool: match cable {
                Some(_) => (true, cut.kind.clone(), 0, String::new()),
                None => (false, cut.kind.clone(), (cut.size.map_or(0.0, |size| size.get()) * 1000.0).round() as u64, colour),
            },
            cable: cable.unwrap_or_default(),
            length: cut.length.map_or(0, |length| (length.get() * 1000.0).round() as u64),
            dies: cut.ends.iter().map(|end| end.die.clone()).collect(),
            name: cut.number.clone(),
        }
    }

    fn cut_wire(&self, id: WireId) -> CutWire {
        let model = self.model();
        let wire = &model[id];
        let (length, length_from) = match wire.core {
            Some((cable, _)) => self.cable_length(&model[cable], Some(wire)),
            None => self.wire_length(wire),
        };
        let points = [wire.from, wire.to];
        let cable_kind = wire.core.and_then(|(cable, _)| model[cable].kind).map(|kind| &model[kind]);
        let core = self.core_of(wire);
        CutWire {
            number: model.text(wire.name).to_owned(),
            name: model.wire_name(id),
            kind: match (cable_kind, wire.kind) {
                (Some(kind), _) => model.text(kind.name).to_owned(),
                (None, Some(kind)) => model.text(model[kind].name).to_owned(),
                (None, None) => String::new(),
            },
            size_as_written: self.size_of(wire),
            size: wire.size.map(|size| size.value),
            colour: wire.colour.map(|colour| colour.value),
            length,
            length_from,
            ends: points.into_iter().map(|point| self.crimp(id, point)).collect(),
            twist: wire.twist.map_or_else(String::new, |twist| model.text(twist).to_owned()),
            core,
            signal: self.signal_at(&points.into_iter().flatten().collect::<Vec<_>>()),
            is_class_b: points.into_iter().flatten().any(|point| self.is_class_b(point)),
        }
    }

    /// What is done at one end of a wire; `None` is an end that could not be placed.
    fn crimp(&self, wire: WireId, point: Option<PointId>) -> Crimp {
        let model = self.model();
        let mut crimp = Crimp {
            at: String::new(),
            sort: "not placed".to_owned(),
            terminal: String::new(),
            is_unchosen: false,
            strip: None,
            die: String::new(),
            seal: String::new(),
            lacks_seal: false,
            label: Vec::new(),
        };
        let Some(point) = point else { return crimp };
        crimp.at = model.point_name(point);
        crimp.sort = if model[wire].capped { "capped".to_owned() } else { "splice".to_owned() };
        let Some(end) = self.end_at(point) else { return crimp };
        let (sort, wants_terminal) = match model[end].kind {
            EndKind::Connector(_) => ("cavity".to_owned(), true),
            EndKind::Ring(thread) => (format!("ring {}", model.text(thread.name)), false),
            EndKind::Bare => ("bare end".to_owned(), false),
        };
        let terminal = self.terminal(point);
        crimp.sort = sort;
        crimp.is_unchosen = wants_terminal && terminal.is_none();
        crimp.label = self.wire_label(wire, point);
        let sealed = model[end].housing().and_then(|housing| model[housing].sealed).is_some_and(|sealed| sealed.value);
        match terminal {
            Some(terminal) => self.with_terminal(&mut crimp, terminal),
            None => crimp.strip = self.strip_of_landing(end),
        }
        crimp.lacks_seal = sealed && crimp.seal.is_empty();
        crimp
    }

    fn with_terminal(&self, crimp: &mut Crimp, terminal: TerminalId) {
        let model = self.model();
        let terminal = &model[terminal];
        let text = |text| self.text(text);
        crimp.terminal = model.text(terminal.name).to_owned();
        crimp.strip = terminal.strip_length.map(|length| length.value);
        crimp.seal = text(terminal.seal);
        crimp.die = match text(terminal.die) {
            die if die.is_empty() => crimp.terminal.clone(),
            die => die,
        };
    }

    /// The length of insulation that the screw or clamp asks for to which a bare end goes.
    fn strip_of_landing(&self, end: crate::model::EndId) -> Option<Millimetre> {
        let model = self.model();
        let Some(Mate::Port(port)) = model[end].mate else { return None };
        let PortKind::Landing(landing) = model[port].kind else { return None };
        model[landing.kind?].strip_length.map(|length| length.value)
    }

    fn cut_cable(&self, id: CableId) -> CutCable {
        let model = self.model();
        let cable = &model[id];
        let cores: Vec<&crate::model::Wire> = self.cores_of(id).iter().map(|wire| &model[*wire]).collect();
        let (length, length_from) = self.cable_length(cable, cores.first().copied());
        let kind = cable.kind.map(|kind| &model[kind]);
        CutCable {
            name: model.cable_name(id),
            kind: kind.map_or_else(String::new, |kind| model.text(kind.name).to_owned()),
            length,
            length_from,
            cores: [cores.len(), kind.map_or(0, |kind| kind.cores.len())],
            screen: cable.screen.map(|end| end.map(|(point, _)| model.point_name(point))),
            is_screened: kind.is_some_and(|kind| kind.screen.is_some()),
            is_class_b: cores.iter().flat_map(|wire| [wire.from, wire.to]).flatten().any(|point| self.is_class_b(point)),
        }
    }
}

/// What is taken from each spool, in the order of the list; cables behind the wires.
fn spools(wires: &[CutWire], cables: &[CutCable], waste: f64) -> Vec<Spool> {
    let mut spools: Vec<Spool> = Vec::new();
    let mut known: BTreeMap<(bool, String, String, Option<WireColour>), usize> = BTreeMap::new();
    let single = wires.iter().filter(|wire| wire.core.is_empty());
    let single = single.map(|wire| ((false, wire.kind.clone(), wire.size_as_written.clone(), wire.colour), wire.length));
    let cable = cables.iter().map(|cable| ((true, cable.kind.clone(), String::new(), None), cable.length));
    for (key, length) in single.chain(cable) {
        let at = *known.entry(key.clone()).or_insert(spools.len());
        if at == spools.len() {
            let (is_cable, kind, size, colour) = key;
            let none = Metre::new(0.0);
            spools.push(Spool { kind, size, colour, is_cable, pieces: 0, length: none, with_waste: none, without_length: 0 });
        }
        let Some(spool) = spools.get_mut(at) else { continue };
        spool.pieces += 1;
        match length {
            Some(length) => spool.length = Metre::new(spool.length.get() + length.get()),
            None => spool.without_length += 1,
        }
    }
    for spool in &mut spools {
        spool.with_waste = Metre::new(spool.length.get() * (1.0 + waste));
    }
    spools
}
