//! Things that get another voltage than the one they are made for, and sources that give more than their domain allows.
//!
//! The idea: its own device says what a load or pin is made for; the state of a mode says what it gets. A source is held against the
//! domain of its own positive pole first: what it feeds there is then no fault of its own. What is left has come to conductors of
//! another domain. Domains whose members are joined though no figure is at hand are distinguished by their supply pins alone.
//!
//! Cost: a few passes over points and edges for each mode.

mod joined;
mod state;

use self::{
    joined::joined,
    state::{State, bare_pins},
};
use super::{Facts, feed_paths::FeedPaths, pins::OTHER};
use crate::{
    model::{DomainId, ElementId, ElementKind, ModeId, PinId, PointId},
    network::{Edge, NetId},
    quantity::Volt,
    standards::contact,
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Sources and converter outputs whose open-circuit voltage is above the highest of the domain of their positive pole; strings of cells are
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
    /// Its open-circuit voltage, or that of the string that ends with it.
    pub volts: Volt,
}

/// What is wrong with a voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wrong {
    /// Above the highest voltage of its domain, or of its sensor supply.
    TooMuch,
    /// Far below the nominal voltage of its domain, from a supply of another.
    TooLittle,
    /// A coil below the voltage at which it is sure to pull in.
    NoPullIn,
    /// A coil so far above the voltage at which it pulls in that it was made for another.
    OverCoil,
    /// A coil that would pull in cold, and is not sure to at the temperature of its air.
    NoWarmPullIn,
    /// Above what a load or coil takes by the voltage that it gives itself.
    OverOwn,
    /// Below what a load needs by the voltage that it gives itself.
    UnderOwn,
    /// Direct voltage at what is made for alternating voltage, or the reverse.
    OtherKind,
    /// A coil without anything that reduces its current, above what coils that pull in at its voltage take.
    HighCoil,
    /// A coil with a `pull-in` that no coil made for its `coil-voltage` has: one of the two is wrong.
    OddPullIn,
    /// Its supply is joined to that of a domain of another voltage.
    Joined,
}

impl Wrong {
    /// Follows from what one thing says of itself, so that others on its net are other faults.
    fn is_of_one(self) -> bool {
        match self {
            Self::OverOwn | Self::UnderOwn | Self::OtherKind | Self::HighCoil | Self::OddPullIn | Self::NoWarmPullIn => true,
            Self::TooMuch | Self::TooLittle | Self::NoPullIn | Self::OverCoil | Self::Joined => false,
        }
    }
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
    found.extend(batteries.strings.iter().filter(|string| facts.string_domain(string).is_none()).filter_map(|string| {
        // The pins at its top name several domains: each has to bear the whole string.
        let volts = batteries.voltage(string);
        let top = batteries.lump(string.top);
        let named = model.points().filter(|(point, _)| batteries.lump(*point) == top && model.is_fitted(*point));
        let domain = named
            .filter(|(point, _)| model.role_at(*point) == Some(Role::Supply))
            .filter_map(|(_, item)| Some(model[item.pin?].domain?.0))
            .find(|domain| {
                let max = model[*domain].max;
                !model[*domain].ac && max > Volt::ZERO && volts.get() > max.get() * (1.0 + ROUNDING)
            })?;
        (string.banks.len() > 1).then_some(HighSource { source: string.modules().last()?, domain, volts })
    }));
    found
}

/// What is gathered under one head.
type Head = (Wrong, DomainId, Option<ElementId>, Option<DomainId>, NetId, Option<Fed>);

/// Nets on which one source feeds another domain from which on the domain as a whole is what is wrong.
const MANY: usize = 4;

#[derive(Default)]
struct Found {
    all: Vec<WrongVoltage>,
    by_head: FxHashMap<Head, usize>,
}

impl Found {
    fn add(&mut self, one: WrongVoltage) {
        let head = (
            one.wrong,
            one.domain,
            one.source,
            one.other,
            one.net,
            one.things.first().copied().filter(|_| one.wrong.is_of_one()),
        );
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
            Wrong::TooMuch | Wrong::OverCoil | Wrong::OverOwn | Wrong::OtherKind => one.volts > known.volts,
            Wrong::HighCoil | Wrong::OddPullIn | Wrong::Joined => one.volts > known.volts,
            Wrong::TooLittle | Wrong::NoPullIn | Wrong::NoWarmPullIn | Wrong::UnderOwn => one.volts < known.volts,
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
        let state = State::new(facts, mode);
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
    for one in low_outputs(facts) {
        found.add(one);
    }
    let seen: FxHashSet<NetId> = found.all.iter().map(|one| one.net).collect();
    for one in joined(facts).into_iter().filter(|one| !seen.contains(&one.net)) {
        found.add(one);
    }
    for one in odd_pull_ins(facts) {
        found.add(one);
    }
    folded(found.all)
}

/// Relays with a `pull-in` that no coil made for their `coil-voltage` has. Of a working range nobody knows the nominal voltage, and its lower
/// end is one at which the coil pulls in.
fn odd_pull_ins(facts: &Facts) -> impl Iterator<Item = WrongVoltage> {
    let (model, network) = (facts.model(), facts.network());
    model.elements().filter_map(|(id, element)| {
        let ElementKind::Relay { pull_in: Some(pull_in), coil_voltage: Some(own), .. } = &element.kind else { return None };
        let least = Volt::new(own.value.least.get() / contact::coil_most().value.get());
        let coil = || element.points.iter().take(2);
        let domain = coil().find_map(|point| facts.electrical().domains().of(*point))?;
        let net = network.net(*coil().next()?);
        (!own.value.is_range && pull_in.value < least).then(|| WrongVoltage {
            wrong: Wrong::OddPullIn,
            things: vec![Fed::Element(id)],
            domain,
            volts: pull_in.value,
            limit: least,
            supply: None,
            source: None,
            other: None,
            net,
            modes: Vec::new(),
            path: Vec::new(),
        })
    })
}

/// Outputs of converters whose pin names a domain of a higher voltage than they give, while what they feed names the one that they give.
fn low_outputs(facts: &Facts) -> Vec<WrongVoltage> {
    let (model, network) = (facts.model(), facts.network());
    let outputs = || network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.is_source());
    let said = |point: PointId| {
        let pin = model[point].pin?;
        Some((pin, model[pin].domain?.0))
    };
    let low = |edge: &Edge| {
        let (pin, domain) = said(edge.b)?;
        let volts = model[edge.element()?].kind.open_voltage()?;
        let is_supply = model.role_at(edge.b) == Some(Role::Reference);
        (!is_supply && volts.get() < OTHER * model[domain].nominal.get()).then_some((pin, domain, volts))
    };
    if outputs().all(|(_, edge)| low(edge).is_none()) {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed());
    let found = outputs().filter_map(|(_, edge)| {
        let (pin, domain, volts) = low(edge)?;
        let fits = |other: DomainId| {
            let nominal = model[other].nominal.get();
            other != domain && volts.get() >= OTHER * nominal && volts.get() * OTHER <= nominal
        };
        let own = model.device_at(edge.b);
        let others = lumps.members(lumps.of(edge.b)).iter().filter(|point| model.device_at(**point) != own);
        let other = others.filter_map(|point| said(*point)).map(|(_, other)| other).find(|other| fits(*other))?;
        Some(WrongVoltage {
            wrong: Wrong::TooLittle,
            things: vec![Fed::Pin(edge.b, pin)],
            domain,
            volts,
            limit: model[domain].nominal,
            supply: None,
            source: edge.element(),
            other: Some(other),
            net: network.net(edge.b),
            modes: Vec::new(),
            path: Vec::new(),
        })
    });
    found.collect()
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

/// Whether two domains meet at a joint of class B, which has a rule of its own.
fn crosses(facts: &Facts, a: DomainId, b: DomainId) -> bool {
    a != b
        && facts.crossings().iter().any(|joint| {
            let other = joint.other.0.domain();
            (joint.domain.0 == a && other == Some(b)) || (joint.domain.0 == b && other == Some(a))
        })
}
