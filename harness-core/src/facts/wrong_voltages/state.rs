//! What the elements and bare pins of a design get in one mode.

use super::{Fed, MOST_OF_SENSOR, ROUNDING, Wrong, WrongVoltage, crosses};
use crate::{
    arena::IdVec,
    electrical::{ModeState, ambient_of, conductors::drop::load_kind, connectivity::Connectivity},
    facts::{Facts, feed_paths::FeedPaths, pins::OTHER},
    model::{DeviceId, DomainId, ElementId, ElementKind, Model, PinId, PointId},
    network::{Edge, EdgeId, EdgeRole, GroupId},
    quantity::{Ratio, Volt},
    standards::{Sourced, conductor::temperature_ratio, contact, made_for::MadeFor},
    vocabulary::{LoadKind, Role},
};
use rustc_hash::FxHashMap;

/// Share of its nominal voltage from which a thing counts as fed.
const FED: f64 = 0.1;
/// Share of what its source gives above which a load gets all of that.
const HALF: f64 = 0.5;

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
pub(super) struct BarePin {
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

/// For each point whether something is at it that is judged by what is across it, or that passes the voltage on. A potentiometer, a divider
/// or a filter is not: its pin says what it is made for.
fn judged_themselves(model: &Model) -> IdVec<PointId, bool> {
    let passive = |kind: &ElementKind| matches!(kind, ElementKind::Resistor(_) | ElementKind::Capacitor(_));
    let mut found = IdVec::of(false, model.points().len());
    for point in model.elements().filter(|(_, element)| !passive(&element.kind)).flat_map(|(_, element)| element.points.iter()) {
        found[*point] = true;
    }
    found
}

/// All such pins of a design.
pub(super) fn bare_pins(facts: &Facts) -> Vec<BarePin> {
    let model = facts.model();
    let supplies = sensor_supplies(facts);
    let drawn = judged_themselves(model);
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

/// A mode, and who is joined to whom in it.
pub(super) struct State<'a> {
    facts: &'a Facts,
    mode: &'a ModeState,
    view: &'a Connectivity,
    poles: FxHashMap<GroupId, Poles>,
}

impl<'a> State<'a> {
    pub(super) fn new(facts: &'a Facts, mode: &'a ModeState) -> Self {
        let view = facts.joined_in(mode);
        let poles = poles(facts, mode, view);
        Self { facts, mode, view, poles }
    }

    /// What is wrong with what an element gets.
    pub(super) fn element(&self, id: EdgeId, edge: &Edge, paths: &mut FeedPaths) -> Option<WrongVoltage> {
        let (facts, mode) = (self.facts, self.mode);
        let model = facts.model();
        let element = edge.element()?;
        if self.view.all.of(edge.a) != self.view.all.of(edge.b) || mode.is_shorted(edge.a) {
            return None;
        }
        if edge.role == EdgeRole::ConverterInput && mode.is_adrift(edge.a) {
            return self.starved(id, edge, element, paths);
        }
        let domain = model[element].points.iter().take(2).find_map(|point| facts.electrical().domains().of(*point))?;
        let across = (mode.volts(edge.a) - mode.volts(edge.b)).abs();
        let hot = if mode.volts(edge.a) >= mode.volts(edge.b) { edge.a } else { edge.b };
        let poles = self.poles.get(&self.view.closed.of(hot));
        let thing = Fed::Element(element);
        let (wrong, limit) = self.verdict(element, edge, domain, across, poles)?;
        self.made(wrong, thing, (domain, hot), (across, limit), poles, || paths.names(facts.network(), mode, id, hot))
    }

    /// A converter that starts and stops for ever because even without a load its source gives too little: panels in parallel that belong
    /// in series.
    fn starved(&self, id: EdgeId, edge: &Edge, element: ElementId, paths: &mut FeedPaths) -> Option<WrongVoltage> {
        let (facts, model) = (self.facts, self.facts.model());
        let domain = model[element].points.iter().take(2).find_map(|point| facts.electrical().domains().of(*point))?;
        let nominal = facts.electrical().nominal(element)?.volts;
        let poles = self.poles.get(&self.view.closed.of(edge.a)).filter(|poles| !self.is_of_string(poles.source))?;
        let gives = model[poles.source].kind.open_voltage().filter(|gives| gives.get() < OTHER * nominal.get())?;
        let way = || paths.names(facts.network(), self.mode, id, edge.a);
        self.made(Wrong::TooLittle, Fed::Element(element), (domain, edge.a), (gives, nominal), Some(poles), way)
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
        let model = self.facts.model();
        let item = &model[domain];
        let nominal = self.facts.electrical().nominal(element)?;
        let own = model[element].kind.made_for().map(|own| own.value);
        if let Some(own) = own {
            let takes = own.takes(item.service()).value;
            if across.get() > takes.get() * (1.0 + ROUNDING) {
                return Some((Wrong::OverOwn, takes));
            }
            if own.is_of_other_kind(item.ac) && across.get() > FED * own.least.get() {
                return Some((Wrong::OtherKind, own.most));
            }
        }
        let most = if nominal.supply.is_some() { nominal.volts * MOST_OF_SENSOR } else { item.max };
        if own.is_none() && most > Volt::ZERO && across.get() > most.get() * (1.0 + ROUNDING) {
            return Some((Wrong::TooMuch, most));
        }
        if let (ElementKind::Relay { pull_in: Some(pull_in), resistance, coil_voltage: None, .. }, EdgeRole::Coil) =
            (&model[element].kind, edge.role)
        {
            let at = |share: Sourced<Ratio>| Volt::new(pull_in.value.get() * share.value.get());
            let (sure, most) = (at(contact::coil_sure()), at(contact::coil_most()));
            if across > most {
                return Some((Wrong::OverCoil, most));
            }
            // A coil that gives its resistance has nothing that reduces its current.
            if resistance.is_some() && across > sure {
                return Some((Wrong::HighCoil, sure));
            }
        }
        let poles = poles?;
        // A converter that gives so little even without a load is set, or made, for another domain; a string of cells has its own rule.
        let gives = self.facts.model()[poles.source].kind.open_voltage().filter(|_| !self.is_of_string(poles.source));
        // Next to nothing is a load that nothing feeds, unless its source gives no more.
        let is_all = gives.is_some_and(|gives| gives > Volt::ZERO && across.get() > HALF * gives.get());
        let fed = is_all || across.get() > FED * nominal.volts.min(item.nominal).get();
        let is_hard = self.view.hard.of(edge.a) == self.view.hard.of(edge.b);
        let runs = match &model[element].kind {
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
        let is_low = gives.is_some_and(|gives| gives.get() < OTHER * nominal.volts.get());
        let is_tap = || self.is_tap(poles.source, nominal.volts);
        let of_other = || is_low || poles.domains.iter().all(is_lower) || is_tap();
        let Some(own) = own else {
            if across.get() < OTHER * nominal.volts.get() && of_other() {
                return Some((Wrong::TooLittle, nominal.volts));
            }
            return self.pulls_in(element, edge, across)?;
        };
        if edge.role == EdgeRole::Coil || load_kind(&model[element].kind) == Some(LoadKind::Coil) {
            let needed = self.hot_coil(own);
            let by_own = || (across < needed).then_some((Wrong::NoPullIn, needed));
            return self.pulls_in(element, edge, across).unwrap_or_else(by_own);
        }
        // An engine that is started lets every voltage down for seconds.
        let below = across.get() < own.load_needs().get() * (1.0 - ROUNDING);
        let lasts = own.is_range && !self.mode.starts();
        let is_other = !own.suits(item.nominal);
        (below && (lasts || is_other || of_other())).then_some((Wrong::UnderOwn, own.load_needs()))
    }

    /// What is wrong with a relay that gives its `pull-in`: too little for a cold coil, or for one as warm as its air; while an engine is
    /// started, the relays are in already. `None` for what gives none.
    #[expect(clippy::option_option, reason = "no `pull-in` and nothing wrong with it are two answers")]
    fn pulls_in(&self, element: ElementId, edge: &Edge, across: Volt) -> Option<Option<(Wrong, Volt)>> {
        let model = self.facts.model();
        let ElementKind::Relay { pull_in: Some(pull_in), .. } = model[element].kind else { return None };
        if edge.role != EdgeRole::Coil {
            return None;
        }
        if across < pull_in.value {
            return Some(Some((Wrong::NoPullIn, pull_in.value)));
        }
        let air = ambient_of(model, &model[element]).filter(|_| !self.mode.starts());
        let warm = pull_in.value * air.map_or(1.0, |air| temperature_ratio(air).value.max(1.0));
        Some((across < warm).then_some((Wrong::NoWarmPullIn, warm)))
    }

    /// The voltage at which a coil is sure to pull in of which nothing but the voltage that it is made for is given.
    fn hot_coil(&self, own: MadeFor) -> Volt {
        if self.mode.starts() && !own.is_range { own.least * contact::pull_in().value } else { own.coil_needs().value }
    }

    /// Whether a source is a module of a string.
    fn is_of_string(&self, source: ElementId) -> bool {
        self.facts.batteries().strings.iter().any(|string| string.modules().any(|module| module == source))
    }

    /// Whether a source is a module below the upper end of a string that gives what is asked for only as a whole.
    fn is_tap(&self, source: ElementId, nominal: Volt) -> bool {
        let enough = |volts: Volt| volts.get() >= OTHER * nominal.get();
        self.facts.batteries().strings.iter().filter(|string| string.is_straight() && enough(string.voltage())).any(|string| {
            let below = string.banks.iter().position(|bank| bank.cells.iter().any(|cell| cell.source == source));
            below.is_some_and(|at| !enough(string.banks.iter().take(at + 1).map(|bank| bank.first.emf).sum()))
        })
    }

    /// What is wrong with what a bare pin gets.
    pub(super) fn pin(&self, pin: &BarePin, paths: &mut FeedPaths) -> Option<WrongVoltage> {
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
