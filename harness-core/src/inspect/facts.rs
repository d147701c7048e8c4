//! What a thing is, in the words of the design.

use super::Thing;
use crate::{
    analysis::Analysis,
    electrical::{
        ambient_of,
        conductors::conductor::{surroundings, voltage_of},
        fuses::fuse::{breaking_capacity_of, kind_of, standard_of},
    },
    model::{
        CableId, Element, ElementId, ElementKind, EndId, EndKind, HousingId, Mate, Model, Owner, PointId, PointKind, Wire, WireId,
    },
    standards::{
        Source,
        battery::{Assumed, InnerResistance},
        fuse_standard::FuseStandard,
    },
    text::Span,
    vocabulary::Demand,
    wording::count,
};

/// One thing that is known: a name, a value in words, and where the value comes from if a table says it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// What it is: `size`.
    pub name: &'static str,
    /// Its value: `1 mm2`.
    pub value: String,
    /// Its source, where it is not the design.
    pub source: Option<&'static Source>,
}

impl Fact {
    fn new(name: &'static str, value: impl ToString) -> Self {
        Self { name, value: value.to_string(), source: None }
    }
}

/// What kind of thing it is, in a word or two.
pub(super) fn kind(model: &Model, thing: Thing) -> &'static str {
    match thing {
        Thing::Wire(id) => match model[id].core {
            Some(_) => "core of a cable",
            None => "wire",
        },
        Thing::Element(id) => match &model[id].kind {
            ElementKind::Source { .. } => "source",
            ElementKind::Load { .. } => "load",
            ElementKind::Resistor(_) => "resistor",
            ElementKind::Capacitor(_) => "capacitor",
            ElementKind::Diode(_) => "diode",
            ElementKind::Fuse { .. } => "fuse",
            ElementKind::Switch { throw: None, .. } => "switch",
            ElementKind::Switch { throw: Some(_), .. } => "selector",
            ElementKind::Relay { .. } => "relay",
            ElementKind::Disconnect { .. } => "service disconnect",
            ElementKind::Link { .. } => "link",
            ElementKind::Converter { .. } => "converter",
            ElementKind::Interlock { .. } => "interlock bridge",
        },
        Thing::Point(id) => match model[id].kind {
            PointKind::Pin(_) => "pin",
            PointKind::Stud(port) => model[port].noun(),
            PointKind::Node(_) => "inner node",
            PointKind::Cavity(_) => "cavity",
            PointKind::Ring(end) => match model[end].kind {
                EndKind::Ring(_) => "ring terminal",
                EndKind::Bare | EndKind::Connector(_) => "bare end",
            },
            PointKind::Splice(_) => "splice",
        },
        Thing::Cable(_) => "cable",
        Thing::Pair(id) => match model[id].mate {
            Some(_) => "mated pair",
            None => "connector without a mate",
        },
    }
}

/// Where it is written.
pub(super) fn span(model: &Model, thing: Thing) -> Span {
    match thing {
        Thing::Wire(id) => model[id].span,
        Thing::Element(id) => model[id].span,
        Thing::Point(id) => model[id].span,
        Thing::Cable(id) => model[id].span,
        Thing::Pair(id) => model[id].span,
    }
}

/// All that the design says of it.
pub(super) fn facts(analysis: &Analysis, thing: Thing) -> Vec<Fact> {
    let model = analysis.model();
    match thing {
        Thing::Wire(id) => of_wire(analysis, id, &model[id]),
        Thing::Element(id) => of_element(model, id, &model[id]),
        Thing::Point(id) => of_point(analysis, id),
        Thing::Cable(id) => of_cable(model, id),
        Thing::Pair(id) => of_pair(model, id),
    }
}

fn of_cable(model: &Model, id: CableId) -> Vec<Fact> {
    let cable = &model[id];
    let mut words: Vec<String> = Vec::new();
    words.extend(cable.kind.map(|kind| format!("`{}`", model.text(model[kind].name))));
    words.extend(cable.length.map(|length| length.value.to_string()));
    let mut facts = Vec::new();
    facts.extend((!words.is_empty()).then(|| Fact::new("made of", words.join(", "))));
    let way: Vec<&str> = cable.via.iter().map(|segment| model.text(model[*segment].name)).collect();
    facts.extend((!way.is_empty()).then(|| Fact::new("runs in", way.join(", "))));
    let screen: Vec<String> = cable.screen.iter().flatten().map(|(point, _)| model.point_name(*point)).collect();
    facts.extend((!screen.is_empty()).then(|| Fact::new("screen", screen.join(", "))));
    facts
}

fn of_pair(model: &Model, id: EndId) -> Vec<Fact> {
    let end = &model[id];
    let half = |name: String, housing: Option<HousingId>| match housing {
        Some(housing) => format!("{name}, housing `{}`", model.text(model[housing].name)),
        None => format!("{name}, housing not given"),
    };
    let mut facts = vec![Fact::new("half", half(model.end_name(id), end.housing()))];
    let (mate, housing) = match end.mate {
        Some(Mate::Port(port)) => (model.port_name(port), model[port].housing()),
        Some(Mate::End(other)) => (model.end_name(other), model[other].housing()),
        None => return facts,
    };
    facts.push(Fact::new("mate", half(mate, housing)));
    facts
}

fn of_wire(analysis: &Analysis, id: WireId, wire: &Wire) -> Vec<Fact> {
    let model = analysis.model();
    let end = |point: Option<PointId>| point.map_or_else(|| "nothing".to_owned(), |point| model.point_name(point));
    let mut facts = vec![Fact::new("ends", format!("{} to {}", end(wire.from), end(wire.to)))];
    let mut built: Vec<String> = Vec::new();
    built.extend(wire.size.map(|size| size.value.to_string()));
    built.extend(wire.colour.map(|colour| colour.value.to_string()));
    built.extend(wire.length.map(|length| length.value.to_string()));
    let kind = wire.kind.map(|kind| &model[kind]);
    built.extend(kind.map(|kind| format!("`{}`", model.text(kind.name))));
    if let Some((cable, _)) = wire.core {
        built.push(format!("in cable `{}`", model.text(model[cable].name)));
    }
    built.extend(kind.and_then(|kind| kind.standard).map(|standard| model.text(standard.value).to_owned()));
    built.extend(surroundings(model, wire).rated.map(|rated| format!("rated {rated}")));
    built.extend(voltage_of(model, wire).map(|(volts, _)| volts.to_string()));
    facts.push(Fact::new("made of", built.join(", ")));
    let zones: Vec<&str> = wire.via.iter().map(|segment| model.text(model[*segment].name)).collect();
    let lies = if zones.is_empty() { format!("loom `{}`", model.loom_name(wire.loom)) } else { zones.join(", ") };
    let air = surroundings(model, wire).ambient.map_or_else(|| "air of unknown temperature".to_owned(), |at| format!("{at} air"));
    let beside = match analysis.electrical().loading(id).beside.conductors {
        0 => "no loaded conductor beside it".to_owned(),
        others => format!("{} beside it", count(others as usize, "loaded conductor")),
    };
    facts.push(Fact::new("runs in", format!("{lies}; {air}, {beside}")));
    facts
}

fn of_element(model: &Model, id: ElementId, element: &Element) -> Vec<Fact> {
    let points: Vec<String> = element.points.iter().map(|point| model.point_name(*point)).collect();
    let mut facts = vec![Fact::new("joins", points.join(", "))];
    facts.extend(data(element).map(|data| Fact::new("data", data)));
    if let Some(kind) = kind_of(model, id) {
        let mut words = vec![format!("`{}`", model.text(kind.name))];
        words.extend(kind.rating.map(|rating| rating.value.to_string()));
        words.extend(kind.standard.map(|standard| model.text(standard.value).to_owned()));
        words.extend(kind.voltage.map(|volts| volts.value.to_string()));
        words.extend(kind.breaking.map(|amps| format!("breaks {}", amps.value)));
        let standard = standard_of(model, kind);
        let mut source = None;
        if let (None, Some(volts)) = (kind.voltage, standard.map(FuseStandard::rated_voltage)) {
            words.push(volts.value.to_string());
            source = Some(volts.source);
        }
        if let (None, Some(amps)) = (kind.breaking, breaking_capacity_of(model, kind)) {
            words.push(format!("breaks {}", amps.value));
            source = Some(amps.source);
        }
        facts.push(Fact { name: "data", value: words.join(", "), source });
    }
    let owner = match element.owner {
        Owner::Device(device) => format!("device `{}`", model.device_name(device)),
        Owner::Loom(loom) => format!("loom `{}`", model.loom_name(loom)),
    };
    let air = ambient_of(model, element).map_or_else(|| "air of unknown temperature".to_owned(), |at| format!("{at} air"));
    facts.push(Fact::new("sits in", format!("{owner}; {air}")));
    facts
}

/// The internal resistance of a battery, new and aged, and which of them is assumed.
fn inside(inner: InnerResistance) -> String {
    let InnerResistance { new, aged, assumed } = inner;
    match assumed {
        Assumed::Nothing => format!("{new} inside when new, {aged} when aged"),
        Assumed::Aged => format!("{new} inside when new, {aged} when aged (assumed)"),
        Assumed::New => format!("{new} inside when new (assumed), {aged} when aged"),
        Assumed::Both => format!("{new} inside when new, {aged} when aged (both assumed)"),
    }
}

/// The figures of an element that is not a fuse.
fn data(element: &Element) -> Option<String> {
    let mut words: Vec<String> = Vec::new();
    match &element.kind {
        ElementKind::Source { emf, resistance, limit, .. } => {
            words.push(emf.to_string());
            words.extend(match limit {
                Some(_) => resistance.map(|ohm| format!("{} inside", ohm.value)),
                None => element.kind.inner_resistance().map(inside),
            });
            words.extend(limit.map(|amps| format!("at most {}", amps.value)));
        }
        ElementKind::Load { demand, kind, peak, voltage, .. } => {
            words.push(match demand.value {
                Demand::Current(amps) => amps.to_string(),
                Demand::Power(watts) => watts.to_string(),
            });
            words.extend(kind.map(|kind| kind.word().to_owned()));
            words.extend(voltage.map(|volts| format!("made for {}", volts.value)));
            words.extend(peak.map(|peak| peak.value.in_words()));
        }
        ElementKind::Resistor(item) => words.push(item.ohm.value.to_string()),
        ElementKind::Capacitor(capacitor) => words.push(capacitor.farad.value.to_string()),
        ElementKind::Diode(volts) => words.push(format!("drops {}", volts.value)),
        ElementKind::Fuse { fitted, .. } => words.extend((!fitted).then(|| "not fitted".to_owned())),
        ElementKind::Switch { current, voltage, .. } | ElementKind::Disconnect { current, voltage, .. } => {
            words.extend(current.map(|amps| format!("rated {}", amps.value)));
            words.extend(voltage.map(|volts| volts.value.to_string()));
        }
        ElementKind::Relay { resistance, coil_voltage, pull_in, current, voltage, .. } => {
            words.extend(coil_voltage.map(|volts| format!("coil made for {}", volts.value)));
            words.extend(resistance.map(|ohm| format!("coil {}", ohm.value)));
            words.extend(pull_in.map(|volts| format!("pulls in at {}", volts.value)));
            words.extend(current.map(|amps| format!("contact rated {}", amps.value)));
            words.extend(voltage.map(|volts| volts.value.to_string()));
        }
        ElementKind::Link { resistance, current, fitted } => {
            words.extend(resistance.map(|ohm| ohm.value.to_string()));
            words.extend(current.map(|amps| format!("rated {}", amps.value)));
            words.extend((!fitted).then(|| "not fitted".to_owned()));
        }
        ElementKind::Converter { output, limit, efficiency, .. } => {
            words.push(format!("{output} out"));
            words.extend(limit.map(|amps| format!("at most {}", amps.value)));
            words.push(format!("{efficiency} efficient"));
        }
        ElementKind::Interlock { .. } => {}
    }
    (!words.is_empty()).then(|| words.join(", "))
}

fn of_point(analysis: &Analysis, id: PointId) -> Vec<Fact> {
    let model = analysis.model();
    let mut facts = Vec::new();
    let point = &model[id];
    if let Some(pin) = point.pin.map(|pin| &model[pin]) {
        let mut words: Vec<String> = Vec::new();
        words.extend(pin.signal.map(|signal| format!("`{}`", model.text(signal.value))));
        words.extend(pin.role.map(|role| role.value.word().to_owned()));
        words.extend(pin.drive.map(|drive| drive.value.word().to_owned()));
        words.extend(pin.spare.map(|_| "spare".to_owned()));
        facts.extend((!words.is_empty()).then(|| Fact::new("signal", words.join(", "))));
    }
    let housing = model.point_housing(point.kind);
    let zone = match point.kind {
        PointKind::Pin(port) | PointKind::Stud(port) => model[port].zone,
        PointKind::Node(device) => model[device].zone,
        PointKind::Cavity(end) | PointKind::Ring(end) => model[end].zone.or(model[model[end].loom].zone),
        PointKind::Splice(splice) => model[splice].zone.or(model[model[splice].loom].zone),
    };
    let mut sits: Vec<String> = Vec::new();
    sits.extend(housing.map(|housing| format!("housing `{}`", model.text(housing.name))));
    sits.extend(housing.and_then(|housing| housing.current).map(|amps| format!("{} per contact", amps.value)));
    if let Some(zone) = zone.map(|zone| &model[zone]) {
        sits.push(format!("zone `{}`", model.text(zone.name)));
        sits.extend(zone.ambient.map(|at| format!("{} air", at.value)));
        sits.extend(zone.wet.then(|| "wet".to_owned()));
    }
    facts.extend((!sits.is_empty()).then(|| Fact::new("sits in", sits.join(", "))));
    if let PointKind::Cavity(end) | PointKind::Ring(end) = point.kind {
        let mate = model[end].mate.map(|mate| match mate {
            Mate::Port(port) => model.port_name(port),
            Mate::End(end) => model.end_name(end),
        });
        facts.push(Fact::new("mates", mate.unwrap_or_else(|| "nothing".to_owned())));
    }
    let wires: Vec<String> = analysis
        .network()
        .around(id)
        .filter_map(|(edge, item, _)| item.wire().map(|wire| (edge, wire)))
        .map(|(_, wire)| model.wire_name(wire))
        .collect();
    facts.extend((!wires.is_empty()).then(|| Fact::new("wires", sorted(wires).join(", "))));
    facts
}

fn sorted(mut names: Vec<String>) -> Vec<String> {
    names.sort_unstable();
    names
}
