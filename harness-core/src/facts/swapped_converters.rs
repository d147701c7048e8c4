//! Converters whose input and output are swapped.
//!
//! The idea: three signs, each of which is enough. A source holds the output at a voltage far from the one that the converter gives, and its
//! input has about that voltage. Its pins name two domains, and each side is joined to the domain of the other. Nothing feeds its input,
//! which leads to loads, while a source is at its output.
//!
//! An input of alternating voltage has no plus: of one only the domains are asked.
//!
//! Cost: nothing where there is no converter; else two passes over the edges, and for each mode two more and who is joined to whom in it.

use super::{Facts, pins::points_of_elements};
use crate::{
    arena::IdVec,
    electrical::{ModeState, connectivity::Connectivity},
    model::{DomainId, ElementId, ElementKind, ModeId, ModeSet, PointId},
    network::Components,
    quantity::Volt,
};

/// Voltage over voltage within which two are of one system: a battery at rest and its charger.
const ALIKE: f64 = 1.3;

impl Facts {
    /// Converters whose input and output are swapped, in the order of the elements.
    ///
    /// Asked by `netlist/swapped-converter`, and by the rules that would report what follows from it.
    #[must_use]
    pub fn swapped_converters(&self) -> &[SwappedConverter] {
        self.made.swapped_converters.get_or_init(|| swapped_converters(self))
    }

    /// Whether a converter is among them.
    #[must_use]
    pub fn is_swapped(&self, converter: ElementId) -> bool {
        self.swapped_converters().iter().any(|swapped| swapped.converter == converter)
    }

    /// Whether a point is at the input of one of them, over conductors: what is there has no voltage for that reason.
    #[must_use]
    pub fn is_at_swapped_input(&self, point: PointId) -> bool {
        let swapped = self.swapped_converters();
        if swapped.iter().all(|swapped| swapped.sign != Sign::Unfed) {
            return false;
        }
        let lumps = self.network().components(|_, edge| edge.role.conducts_when_closed());
        let mut inputs = swapped.iter().filter(|swapped| swapped.sign == Sign::Unfed).flat_map(|swapped| swapped.input);
        inputs.any(|input| lumps.of(input) == lumps.of(point))
    }
}

/// A converter whose input and output are swapped.
#[derive(Debug)]
pub struct SwappedConverter {
    /// The converter.
    pub converter: ElementId,
    /// Its input, positive first.
    pub input: [PointId; 2],
    /// Its output, positive first.
    pub output: [PointId; 2],
    /// How it is seen.
    pub sign: Sign,
    /// A source at its output, where there is one.
    pub source: Option<ElementId>,
    /// What its input leads to.
    pub loads: Vec<ElementId>,
    /// The modes in which it is seen; none where the domains say it.
    pub modes: Vec<ModeId>,
}

/// How it is seen that a converter is swapped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sign {
    /// What it gives is the voltage at its input, and a source holds its output at another.
    Volts {
        /// What it gives.
        gives: Volt,
        /// At its input.
        input: Volt,
        /// At its output.
        output: Volt,
    },
    /// Each side is joined to the domain that its pins name at the other.
    Domains {
        /// The domain of its input, by its own pins.
        input: DomainId,
        /// That of its output.
        output: DomainId,
    },
    /// Nothing feeds its input.
    Unfed,
}

/// A converter with its points and the modes in which it runs.
struct Converter {
    element: ElementId,
    input: [PointId; 2],
    output: [PointId; 2],
    gives: Volt,
    modes: ModeSet,
}

fn swapped_converters(facts: &Facts) -> Vec<SwappedConverter> {
    let model = facts.model();
    let converters: Vec<Converter> = model
        .elements()
        .filter_map(|(element, item)| {
            let ElementKind::Converter { output: gives, modes, .. } = item.kind else { return None };
            let [plus, minus, out, back] = *item.points else { return None };
            let is_fitted = model.is_fitted(plus) && gives > Volt::ZERO;
            is_fitted.then_some(Converter { element, input: [plus, minus], output: [out, back], gives, modes })
        })
        .collect();
    if converters.is_empty() {
        return Vec::new();
    }
    let lumps = facts.network().components(|_, edge| edge.role.conducts_when_closed());
    let drawn = points_of_elements(model);
    let views: Vec<(&ModeState, &Connectivity)> = facts.electrical().modes().map(|mode| (mode, facts.joined_in(mode))).collect();
    // Alternating voltage has no plus: where its line and neutral are swapped, that is the fault.
    let is_ac = |converter: &Converter| {
        let domains = facts.electrical().domains();
        converter.input.iter().any(|point| domains.of(*point).is_some_and(|domain| model[domain].ac))
    };
    let found = converters.iter().filter_map(|converter| {
        let by_domains = || by_domains(facts, converter, &lumps);
        if is_ac(converter) {
            return by_domains();
        }
        by_volts(facts, converter, &views).or_else(by_domains).or_else(|| unfed(facts, converter, &views, (&lumps, &drawn)))
    });
    found.collect()
}

fn swapped(converter: &Converter, sign: Sign) -> SwappedConverter {
    SwappedConverter {
        converter: converter.element,
        input: converter.input,
        output: converter.output,
        sign,
        source: None,
        loads: Vec::new(),
        modes: Vec::new(),
    }
}

/// What else drives, the positive pole of which closed conductors join to a point of a converter; a source before another converter.
fn source_at(facts: &Facts, (mode, view): (&ModeState, &Connectivity), own: ElementId, point: PointId) -> Option<ElementId> {
    let lump = view.closed.of(point);
    let edges = facts.network().edges().filter(|(id, edge)| {
        edge.role.drives() && mode.conducts(*id) && view.closed.of(edge.b) == lump && edge.element() != Some(own)
    });
    edges.min_by_key(|(id, edge)| (!edge.role.is_source(), *id)).and_then(|(_, edge)| edge.element())
}

fn by_volts(facts: &Facts, converter: &Converter, views: &[(&ModeState, &Connectivity)]) -> Option<SwappedConverter> {
    let alike = |a: f64, b: f64| a > 0.0 && b > 0.0 && a.max(b) <= ALIKE * a.min(b);
    let gives = converter.gives.get();
    let mut found: Option<SwappedConverter> = None;
    for (mode, view) in views.iter().filter(|(mode, _)| converter.modes.has(mode.id)) {
        let across = |[plus, minus]: [PointId; 2]| mode.volts(plus).get() - mode.volts(minus).get();
        let (input, output) = (across(converter.input), across(converter.output));
        if !alike(input, gives) || output <= 0.0 || alike(output, gives) {
            continue;
        }
        // Without sources of their own at both sides a voltage is only what is left of an overload.
        let Some(source) = source_at(facts, (mode, view), converter.element, converter.output[0]) else { continue };
        if source_at(facts, (mode, view), converter.element, converter.input[0]).is_none() {
            continue;
        }
        let sign = Sign::Volts { gives: converter.gives, input: Volt::new(input), output: Volt::new(output) };
        let known = found.get_or_insert_with(|| SwappedConverter { source: Some(source), ..swapped(converter, sign) });
        known.modes.push(mode.id);
    }
    found
}

/// The domains that the pins of other devices name on the conductors of a point.
fn domains_at(facts: &Facts, lumps: &Components, point: PointId) -> Vec<DomainId> {
    let model = facts.model();
    let own = model.device_at(point);
    let others = lumps.members(lumps.of(point)).iter().filter(|other| model.device_at(**other) != own);
    let mut found: Vec<DomainId> = others.filter_map(|other| Some(model[model[*other].pin?].domain?.0)).collect();
    found.sort_unstable();
    found.dedup();
    found
}

fn by_domains(facts: &Facts, converter: &Converter, lumps: &Components) -> Option<SwappedConverter> {
    let model = facts.model();
    let own = |point: PointId| Some(model[model[point].pin?].domain?.0);
    let (input, output) = (own(converter.input[0])?, own(converter.output[0])?);
    let is_crossed = input != output
        && domains_at(facts, lumps, converter.input[0]) == [output]
        && domains_at(facts, lumps, converter.output[0]) == [input];
    is_crossed.then(|| swapped(converter, Sign::Domains { input, output }))
}

fn unfed(
    facts: &Facts,
    converter: &Converter,
    views: &[(&ModeState, &Connectivity)],
    (lumps, drawn): (&Components, &IdVec<PointId, bool>),
) -> Option<SwappedConverter> {
    let (model, network) = (facts.model(), facts.network());
    let mut source = None;
    let mut modes = Vec::new();
    for (mode, view) in views.iter().filter(|(mode, _)| converter.modes.has(mode.id)) {
        if mode.is_fed(converter.input[0]) {
            return None;
        }
        if let Some(found) = source_at(facts, (mode, view), converter.element, converter.output[0]) {
            source = source.or(Some(found));
            modes.push(mode.id);
        }
    }
    source?;
    let side = lumps.members(lumps.of(converter.input[0]));
    // What is at a pin of a box of which nothing is drawn may feed it.
    let is_bare = |point: PointId| {
        let role = model.role_at(point);
        let feeds = role.is_none_or(|role| role.gives_supply());
        model.device_at(point).is_some_and(|device| !model[device].chassis)
            && feeds
            && !drawn[point]
            && model[point].pin.is_some()
    };
    if side.iter().any(|point| is_bare(*point)) {
        return None;
    }
    let around = side.iter().flat_map(|point| network.around(*point));
    let mut loads: Vec<ElementId> =
        around.filter(|(_, edge, _)| edge.role.draws()).filter_map(|(_, edge, _)| edge.element()).collect();
    loads.retain(|load| *load != converter.element);
    loads.sort_unstable();
    loads.dedup();
    (!loads.is_empty()).then(|| SwappedConverter { source, loads, modes, ..swapped(converter, Sign::Unfed) })
}
