//! Things that get another voltage than the one they are made for, and sources that give more than their domain allows.
//!
//! The idea: its own device says what a load or pin is made for; the state of a mode says what it gets. A source is held against the
//! domain of its own positive pole first: what it feeds there is then no fault of its own. What is left has come to conductors of
//! another domain. Domains whose members are joined though no figure is at hand are distinguished by their supply pins alone.
//!
//! Cost: a few passes over points and edges for each mode.

use super::{Facts, feed_paths::FeedPaths, pins::points_of_elements};
use crate::{
    electrical::{ModeState, connectivity::Connectivity},
    model::{DeviceId, DomainId, ElementId, ElementKind, ModeId, PinId, PointId},
    network::{Edge, EdgeId, EdgeRole, GroupId, NetId},
    quantity::Volt,
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Sources and converter outputs whose open voltage is above the highest of the domain of their positive pole; strings of cells are
    /// those of the batteries.
    ///
    /// Asked by `domain/over-voltage` and by [`wrong_voltages`](Self::wrong_voltages).
    #[must_use]
    pub fn high_sources(&self) -> &[HighSource] {
        self.made.high_sources.get_or_init(|| high_sources(self))
    }

    /// Loads, coils, inputs and pins that get too much or too little, or whose supply is joined to that of another domain.
    ///
    /// Asked by `domain/wrong-voltage`.
    #[must_use]
    pub fn wrong_voltages(&self) -> &[WrongVoltage] {
        self.made.wrong_voltages.get_or_init(|| wrong_voltages(self))
    }
}

/// A source that gives more than its domain allows.
#[derive(Debug, Clone, Copy)]
pub struct HighSource {
    /// The source or converter.
    pub source: ElementId,
    /// The domain of its positive pole.
    pub domain: DomainId,
    /// Its open voltage, or that of the string that ends with it.
    pub volts: Volt,
}

/// What is wrong with a voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wrong {
    /// Above the highest voltage of its domain, or of its sensor supply.
    TooMuch,
    /// Far below the nominal voltage of its domain, from a supply of another.
    TooLittle,
    /// A coil below the voltage at which it pulls in.
    NoPullIn,
    /// Its supply is joined to that of a domain of another voltage.
    Joined,
}

/// A thing that gets a voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fed {
    /// A load, coil or converter input.
    Element(ElementId),
    /// A pin of a device, and what is said of it.
    Pin(PointId, PinId),
}

/// Things of one domain that one source gives a wrong voltage.
#[derive(Debug, Clone)]
pub struct WrongVoltage {
    /// What is wrong.
    pub wrong: Wrong,
    /// The things; at least one, those of the worst voltage first.
    pub things: Vec<Fed>,
    /// The domain that they are of.
    pub domain: DomainId,
    /// What they get in the worst mode; the nominal voltage of the other domain where no mode says it.
    pub volts: Volt,
    /// What they may have at most, or need at least.
    pub limit: Volt,
    /// The sensor supply that they are made for, where they have one.
    pub supply: Option<ElementId>,
    /// The source that gives it, where closed conductors lead to one.
    pub source: Option<ElementId>,
    /// The domain of its pole, or of the other supply.
    pub other: Option<DomainId>,
    /// The net at which it is fed.
    pub net: NetId,
    /// In which modes; none where no mode says it.
    pub modes: Vec<ModeId>,
    /// The way from the source, by names.
    pub path: Vec<String>,
}

/// Share above a highest voltage that is rounding.
const ROUNDING: f64 = 1e-3;
/// Voltage over nominal voltage that a sensor supply may have; common practice, no source.
const MOST_OF_SENSOR: f64 = 1.2;
/// Nominal voltage over nominal voltage below which two domains are of different voltage.
const OTHER: f64 = 0.8;
/// Share of its nominal voltage from which a thing counts as fed.
const FED: f64 = 0.1;

fn high_sources(facts: &Facts) -> Vec<HighSource> {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    // A string with a named domain has its own rule.
    let batteries = facts.batteries();
    let named = batteries.strings.iter().filter(|string| facts.string_domain(string).is_some());
    let judged: FxHashSet<ElementId> = named.flat_map(|string| string.modules()).collect();
    let mut found = Vec::new();
    for (_, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives()) {
        let Some(source) = edge.element().filter(|source| !judged.contains(source)) else { continue };
        let (Some(own), Some(domain)) = (model[source].kind.open_voltage(), domains.of(edge.b)) else { continue };
        let max = model[domain].max;
        if max > Volt::ZERO && own.get() > max.get() * (1.0 + ROUNDING) {
            found.push(HighSource { source, domain, volts: own });
        }
    }
    found
}

/// What is gathered under one head.
type Head = (Wrong, DomainId, Option<ElementId>, Option<DomainId>, NetId);

/// Nets on which one source feeds another domain from which on the domain as a whole is what is wrong.
const MANY: usize = 4;

#[derive(Default)]
struct Found {
    all: Vec<WrongVoltage>,
    by_head: FxHashMap<Head, usize>,
}

impl Found {
    fn add(&mut self, one: WrongVoltage) {
        let head = (one.wrong, one.domain, one.source, one.other, one.net);
        let next = self.all.len();
        let at = *self.by_head.entry(head).or_insert(next);
        let Some(known) = self.all.get_mut(at) else {
            self.all.push(one);
            return;
        };
        for thing in &one.things {
            if !known.things.contains(thing) {
                known.things.push(*thing);
            }
        }
        for mode in &one.modes {
            if !known.modes.contains(mode) {
                known.modes.push(*mode);
            }
        }
        let worse = match one.wrong {
            Wrong::TooMuch | Wrong::Joined => one.volts > known.volts,
            Wrong::TooLittle | Wrong::NoPullIn => one.volts < known.volts,
        };
        if worse {
            let first = one.things.first().copied();
            known.things.retain(|thing| Some(*thing) != first);
            known.things.splice(0..0, first);
            (known.volts, known.limit, known.path) = (one.volts, one.limit, one.path);
        }
    }
}

fn wrong_voltages(facts: &Facts) -> Vec<WrongVoltage> {
    let mut found = Found::default();
    let mut paths = FeedPaths::default();
    let pins = bare_pins(facts);
    for mode in facts.electrical().modes() {
        let view = Connectivity::new(facts.network(), Some(mode));
        let state = State { facts, mode, view: &view, poles: poles(facts, mode, &view) };
        for (id, edge) in facts.network().edges().filter(|(_, edge)| edge.role.draws()) {
            if let Some(one) = state.element(id, edge, &mut paths) {
                found.add(one);
            }
        }
        for pin in &pins {
            if let Some(one) = state.pin(pin, &mut paths) {
                found.add(one);
            }
        }
    }
    let seen: FxHashSet<NetId> = found.all.iter().map(|one| one.net).collect();
    for one in joined(facts).into_iter().filter(|one| !seen.contains(&one.net)) {
        found.add(one);
    }
    folded(found.all)
}

/// One finding for a source that feeds another domain on many nets: what is wrong there is the domain of one of both.
fn folded(all: Vec<WrongVoltage>) -> Vec<WrongVoltage> {
    let head = |one: &WrongVoltage| (one.wrong, one.domain, one.source, one.other);
    let mut counts: FxHashMap<_, usize> = FxHashMap::default();
    for one in &all {
        *counts.entry(head(one)).or_default() += 1;
    }
    let mut folded = Found::default();
    let mut first: FxHashMap<_, NetId> = FxHashMap::default();
    for mut one in all {
        if counts.get(&head(&one)).is_some_and(|count| *count >= MANY) && one.source.is_some() {
            one.net = *first.entry(head(&one)).or_insert(one.net);
        }
        folded.add(one);
    }
    folded.all
}

/// The poles at each lump of closed conductors: the source that is highest, and the domains of all.
struct Poles {
    source: ElementId,
    edge: EdgeId,
    domain: Option<DomainId>,
    domains: Vec<Option<DomainId>>,
}

fn poles(facts: &Facts, mode: &ModeState, view: &Connectivity) -> FxHashMap<GroupId, Poles> {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let mut poles: FxHashMap<GroupId, Poles> = FxHashMap::default();
    for (id, edge) in facts.network().edges().filter(|(id, edge)| edge.role.drives() && mode.conducts(*id)) {
        let Some(source) = edge.element() else { continue };
        let domain = domains.of(edge.b);
        let known =
            poles.entry(view.closed.of(edge.b)).or_insert_with(|| Poles { source, edge: id, domain, domains: Vec::new() });
        known.domains.push(domain);
        let volts = |source: ElementId| model[source].kind.open_voltage().unwrap_or_default();
        if volts(source) > volts(known.source) {
            (known.source, known.edge, known.domain) = (source, id, domain);
        }
    }
    poles
}

/// A pin behind which nothing is drawn, of a stated domain, with the return of its device.
struct BarePin {
    point: PointId,
    pin: PinId,
    domain: DomainId,
    back: Option<PointId>,
    /// The highest sensor supply of its domain, for a pin of role `sensor supply`.
    supply: Option<(ElementId, Volt)>,
}

/// The highest sensor supply of each domain: an output below its nominal voltage at a pin of role `sensor supply`.
fn sensor_supplies(facts: &Facts) -> FxHashMap<DomainId, (ElementId, Volt)> {
    let model = facts.model();
    let mut highest: FxHashMap<DomainId, (ElementId, Volt)> = FxHashMap::default();
    for (_, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives()) {
        let (Some(source), Some(domain)) = (edge.element(), facts.electrical().domains().of(edge.b)) else { continue };
        let volts = model[source].kind.open_voltage().unwrap_or_default();
        if volts.get() < OTHER * model[domain].nominal.get() && model.role_at(edge.b) == Some(Role::Reference) {
            let known = highest.entry(domain).or_insert((source, volts));
            if volts > known.1 {
                *known = (source, volts);
            }
        }
    }
    highest
}

fn bare_pins(facts: &Facts) -> Vec<BarePin> {
    let model = facts.model();
    let supplies = sensor_supplies(facts);
    let drawn = points_of_elements(model);
    let mut backs: FxHashMap<(DeviceId, DomainId), PointId> = FxHashMap::default();
    let mut found = Vec::new();
    for (point, item) in model.points() {
        let (Some(pin), Some(device)) = (item.pin, model.device_at(point)) else { continue };
        let Some((domain, _)) = model[pin].domain.filter(|_| model.is_fitted(point)) else { continue };
        match model[pin].role.map(|role| role.value) {
            Some(role) if role.takes_back() => {
                backs.entry((device, domain)).or_insert(point);
            }
            // Where a sensor supply is of the domain that it is made from, its pins go by what it gives.
            Some(Role::Reference) if !drawn[point] || supplies.contains_key(&domain) => {
                found.push((BarePin { point, pin, domain, back: None, supply: supplies.get(&domain).copied() }, device));
            }
            Some(Role::Supply | Role::Line | Role::Input) | None if !drawn[point] => {
                found.push((BarePin { point, pin, domain, back: None, supply: None }, device));
            }
            Some(_) | None => {}
        }
    }
    let with_back = found.into_iter().map(|(pin, device)| BarePin { back: backs.get(&(device, pin.domain)).copied(), ..pin });
    with_back.collect()
}

struct State<'a> {
    facts: &'a Facts,
    mode: &'a ModeState,
    view: &'a Connectivity,
    poles: FxHashMap<GroupId, Poles>,
}

impl State<'_> {
    fn element(&self, id: EdgeId, edge: &Edge, paths: &mut FeedPaths) -> Option<WrongVoltage> {
        let (facts, mode) = (self.facts, self.mode);
        let model = facts.model();
        let element = edge.element()?;
        if self.view.all.of(edge.a) != self.view.all.of(edge.b) || mode.is_shorted(edge.a) {
            return None;
        }
        let domain = model[element].points.iter().take(2).find_map(|point| facts.electrical().domains().of(*point))?;
        let across = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
        let hot = if mode.volts(edge.a) >= mode.volts(edge.b) { edge.a } else { edge.b };
        let poles = self.poles.get(&self.view.closed.of(hot));
        let thing = Fed::Element(element);
        let (wrong, limit) = self.verdict(element, edge, domain, across, poles)?;
        self.made(wrong, thing, (domain, hot), (across, limit), poles, || paths.names(facts.network(), mode, id, hot))
    }

    /// What is wrong with the voltage across an element, and the figure that it misses.
    fn verdict(
        &self,
        element: ElementId,
        edge: &Edge,
        domain: DomainId,
        across: Volt,
        poles: Option<&Poles>,
    ) -> Option<(Wrong, Volt)> {
        let item = &self.facts.model()[domain];
        let nominal = self.facts.electrical().nominal(element)?;
        let most = if nominal.supply.is_some() { nominal.volts * MOST_OF_SENSOR } else { item.max };
        if most > Volt::ZERO && across.get() > most.get() * (1.0 + ROUNDING) {
            return Some((Wrong::TooMuch, most));
        }
        let (poles, fed) = (poles?, across.get() > FED * nominal.volts.get());
        let is_hard = self.view.hard.of(edge.a) == self.view.hard.of(edge.b);
        let runs = match &self.facts.model()[element].kind {
            ElementKind::Load { modes, .. } | ElementKind::Converter { modes, .. } => modes.has(self.mode.id),
            ElementKind::Relay { .. } => true,
            ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => false,
            ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Disconnect { .. } => false,
            ElementKind::Link { .. } | ElementKind::Interlock { .. } => false,
        };
        if !fed || !is_hard || !runs || nominal.supply.is_some() {
            return None;
        }
        let is_lower = |other: &Option<DomainId>| {
            other.is_some_and(|other| other != domain && self.facts.model()[other].nominal.get() < OTHER * item.nominal.get())
        };
        // One that gives so little even without a load is set, or made, for another domain.
        let gives = self.facts.model()[poles.source].kind.open_voltage();
        let is_low = gives.is_some_and(|gives| gives.get() < OTHER * nominal.volts.get());
        if across.get() < OTHER * nominal.volts.get() && (is_low || poles.domains.iter().all(is_lower)) {
            return Some((Wrong::TooLittle, nominal.volts));
        }
        match self.facts.model()[element].kind {
            ElementKind::Relay { pull_in: Some(pull_in), .. } if edge.role == EdgeRole::Coil && across < pull_in.value => {
                Some((Wrong::NoPullIn, pull_in.value))
            }
            _ => None,
        }
    }

    fn pin(&self, pin: &BarePin, paths: &mut FeedPaths) -> Option<WrongVoltage> {
        let (facts, mode) = (self.facts, self.mode);
        let item = &facts.model()[pin.domain];
        let lump = self.view.closed.of(pin.point);
        let poles = self.poles.get(&lump)?;
        if mode.is_shorted(pin.point) || item.max <= Volt::ZERO {
            return None;
        }
        let back = pin.back.filter(|back| self.view.all.of(*back) == self.view.all.of(pin.point));
        let across = (mode.volts(pin.point) - back.map_or(Volt::ZERO, |back| mode.volts(back))).abs();
        let most = pin.supply.map_or(item.max, |(_, volts)| volts * MOST_OF_SENSOR);
        if across.get() <= most.get() * (1.0 + ROUNDING) {
            return None;
        }
        let thing = Fed::Pin(pin.point, pin.pin);
        let made = self.made(Wrong::TooMuch, thing, (pin.domain, pin.point), (across, most), Some(poles), || {
            paths.names(facts.network(), mode, poles.edge, pin.point)
        });
        made.map(|one| WrongVoltage { supply: pin.supply.map(|(supply, _)| supply), ..one })
    }

    fn made(
        &self,
        wrong: Wrong,
        thing: Fed,
        (domain, hot): (DomainId, PointId),
        (volts, limit): (Volt, Volt),
        poles: Option<&Poles>,
        path: impl FnOnce() -> Vec<String>,
    ) -> Option<WrongVoltage> {
        let facts = self.facts;
        let (source, other) = (poles.map(|poles| poles.source), poles.and_then(|poles| poles.domain));
        // A source that gives too much to its own domain is the fault, and so is a joint of class B with another domain.
        let own_fault = wrong == Wrong::TooMuch
            && other == Some(domain)
            && (facts.high_sources().iter().any(|high| high.domain == domain)
                || facts.batteries().strings.iter().any(|string| {
                    facts.string_domain(string) == Some(domain) && facts.batteries().voltage(string) > facts.model()[domain].max
                }));
        if own_fault || other.is_some_and(|other| crosses(facts, domain, other)) {
            return None;
        }
        let (modes, net) = (vec![self.mode.id], facts.network().net(hot));
        let supply = match thing {
            Fed::Element(element) => facts.electrical().nominal(element).and_then(|nominal| nominal.supply),
            Fed::Pin(..) => None,
        };
        Some(WrongVoltage { wrong, things: vec![thing], domain, volts, limit, supply, source, other, net, modes, path: path() })
    }
}

/// Whether two domains meet at a joint of class B, which has a rule of its own.
fn crosses(facts: &Facts, a: DomainId, b: DomainId) -> bool {
    a != b
        && facts.crossings().iter().any(|joint| {
            let other = joint.other.0.domain();
            (joint.domain.0 == a && other == Some(b)) || (joint.domain.0 == b && other == Some(a))
        })
}

/// Supply pins of domains of different voltage on one piece of metal.
fn joined(facts: &Facts) -> Vec<WrongVoltage> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    let shorted: FxHashSet<_> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    let mut found = Vec::new();
    for net in pins.nets().filter(|net| !shorted.contains(net)) {
        let supplies = pins.of(net).iter().filter(|pin| pin.role.is_some_and(Role::gives_supply));
        let mut firsts: Vec<(DomainId, PointId, PinId)> = Vec::new();
        for pin in supplies {
            if let Some(domain) = pin.domain.filter(|domain| firsts.iter().all(|(known, ..)| known != domain)) {
                firsts.push((domain, pin.point, pin.pin));
            }
        }
        firsts.sort_by(|a, b| model[a.0].nominal.get().total_cmp(&model[b.0].nominal.get()));
        let (Some(low), Some(high)) = (firsts.first(), firsts.last()) else { continue };
        let (least, most) = (model[low.0].nominal, model[high.0].nominal);
        if least.get() >= OTHER * most.get() || least <= Volt::ZERO || crosses(facts, low.0, high.0) {
            continue;
        }
        let path = network.path(high.1, |point| point == low.1, |_, edge| edge.role.is_metal());
        found.push(WrongVoltage {
            wrong: Wrong::Joined,
            things: vec![Fed::Pin(low.1, low.2), Fed::Pin(high.1, high.2)],
            domain: low.0,
            volts: most,
            limit: model[low.0].max,
            supply: None,
            source: None,
            other: Some(high.0),
            net,
            modes: Vec::new(),
            path: path.map_or_else(Vec::new, |steps| network.names(high.1, &steps)),
        });
    }
    found
}
