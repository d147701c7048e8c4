//! Timelines of class B: how its capacitors are charged before the main contact closes, and how they empty once all is open.
//!
//! Figures are those of the facts that rules ask; nothing is computed anew.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    facts::{loops::is_contactor, precharge::Precharge},
    model::ElementKind,
    network::Edge,
    quantity::{Farad, Joule, Ohm, Second, Volt, Watt},
    standards::{interlock::longest_wait, precharge::precharged, voltage::class_a_limit},
};

/// A precharge over time.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct PrechargeTimeline {
    /// The capacitors that are charged together in one mode through one resistor, in the order of the design.
    pub capacitors: Vec<String>,
    /// Their capacitance together.
    pub farad: Farad,
    /// The resistor.
    pub resistor: String,
    /// What it takes for good, and in a pulse, as its design says.
    pub rated: (Option<Watt>, Option<Joule>),
    /// All resistance on the way.
    pub ohms: Ohm,
    /// The mode that charges them.
    pub mode: String,
    /// The mode in which the main contact is closed; the same where a mode begins with the precharge.
    pub then: String,
    /// The voltage that they come to in the charging mode.
    pub reaches: Volt,
    /// The voltage that they get once the main contact is closed.
    pub full: Volt,
    /// The voltage at which the main contact may close.
    pub goal: Volt,
    /// The time to the goal; `None` where it is never reached.
    pub time: Option<Second>,
    /// The time that the design gives it; `None` where it gives none.
    pub given: Option<Second>,
    /// The contacts of class B on the way that are shut in one of both modes, in the order of the design.
    pub contacts: Vec<TimedContact>,
    /// The power in the resistor at first: all of the voltage is across it. With the bus shorted it stays.
    pub power: Watt,
    /// What the resistor takes in one precharge.
    pub energy: Joule,
    /// The power in it for good, from what runs behind it.
    pub lasting: Watt,
}

/// When a contact is shut.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct TimedContact {
    /// Its name.
    pub name: String,
    /// Shut while the capacitor is charged.
    pub during: bool,
    /// Shut after it.
    pub after: bool,
}

/// A capacitor of class B that empties.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct DischargeTimeline {
    /// The capacitor.
    pub capacitor: String,
    /// Its capacitance, and that of all in parallel with it.
    pub farad: Farad,
    /// The voltage that it has at first, at most, and the mode that gives it.
    pub from: (Volt, String),
    /// What empties it; `None` where nothing does.
    pub ohms: Option<Ohm>,
    /// The resistors across it.
    pub through: Vec<String>,
    /// It is emptied by a means of its own in this time, sooner than by resistors.
    pub own_means: Option<Second>,
    /// The time to the limit of class A; `None` for never.
    pub time: Option<Second>,
    /// The limit of class A.
    pub limit: Volt,
    /// The time that people wait.
    pub wait: Second,
}

/// Every precharge of a design, in the order of its capacitors.
///
/// # Cost
/// A pass over the edges for each, besides the facts.
#[must_use]
pub fn precharges(analysis: &Analysis) -> Vec<PrechargeTimeline> {
    let (facts, model) = (analysis.facts(), analysis.model());
    let all = facts.precharges();
    let loads = facts.precharge_loads();
    let mut found: Vec<(&Precharge, PrechargeTimeline)> = Vec::new();
    for one in all {
        let name = model.element_name(one.capacitor);
        let known = found.iter_mut().find(|(known, _)| {
            (known.resistor, known.mode, known.main, known.together) == (one.resistor, one.mode, one.main, one.together)
        });
        if let Some((_, timeline)) = known {
            timeline.capacitors.push(name);
            continue;
        }
        let rated = match &model[one.resistor].kind {
            ElementKind::Resistor(resistor) => (resistor.power.map(|at| at.value), resistor.energy.map(|at| at.value)),
            _ => (None, None),
        };
        let load = loads.iter().find(|load| load.resistor == one.resistor && load.mode == one.mode);
        let timeline = PrechargeTimeline {
            capacitors: vec![name],
            farad: one.together,
            resistor: model.element_name(one.resistor),
            rated,
            ohms: one.ohms,
            mode: model.mode_name(one.mode).to_owned(),
            then: model.mode_name(one.full.1).to_owned(),
            reaches: one.reaches,
            full: one.full.0,
            goal: one.full.0 * precharged().value.get(),
            time: one.time,
            given: one.given(facts).map(|(time, _)| time),
            contacts: contacts(analysis, one),
            power: load.map_or(Watt::ZERO, |load| load.power),
            energy: load.map_or(Joule::new(0.0), |load| load.energy),
            lasting: load.map_or(Watt::ZERO, |load| load.lasting),
        };
        found.push((one, timeline));
    }
    found.into_iter().map(|(_, timeline)| timeline).collect()
}

/// The contacts of class B that are shut in the charging mode or the one after it, joined to the capacitor.
fn contacts(analysis: &Analysis, one: &Precharge) -> Vec<TimedContact> {
    let (facts, network) = (analysis.facts(), analysis.network());
    let state = |mode| analysis.electrical().modes().find(|state: &&ModeState| state.id == mode);
    let (Some(during), Some(after)) = (state(one.mode), state(one.full.1)) else { return Vec::new() };
    let joined = network.components(|_, edge| edge.role.conducts_when_closed());
    let own = network.edges().find(|(_, edge)| edge.element() == Some(one.capacitor)).map(|(_, edge)| *edge);
    let is_near = |edge: &Edge| own.is_some_and(|own| [own.a, own.b].iter().any(|side| joined.of(*side) == joined.of(edge.a)));
    let mut found: Vec<TimedContact> = Vec::new();
    for (id, edge) in network.edges().filter(|(_, edge)| is_contactor(facts, edge) && is_near(edge)) {
        let Some(element) = edge.element() else { continue };
        // Where a mode begins with the precharge, the main contact is open until it is over.
        let is_late = one.is_within && one.main == Some(element);
        let (during, after) = (during.conducts(id) && !is_late, after.conducts(id));
        // What electronics gate nobody sees shut: it is left out unless it changes here.
        if (during || after) && (edge.role.is_relay_contact() || during != after) {
            found.push(TimedContact { name: analysis.model().element_name(element), during, after });
        }
    }
    found
}

/// How every capacitor of class B empties once all contactors and disconnects are open, in the order of the design.
///
/// # Cost
/// A solution for each of them.
#[must_use]
pub fn discharges(analysis: &Analysis) -> Vec<DischargeTimeline> {
    let model = analysis.model();
    let charges = analysis.facts().charges_when_opened();
    charges
        .into_iter()
        .map(|one| DischargeTimeline {
            capacitor: model.element_name(one.capacitor),
            farad: one.farad,
            from: (one.volts, model.mode_name(one.mode).to_owned()),
            ohms: one.ohms,
            through: one.through.iter().map(|resistor| model.element_name(*resistor)).collect(),
            own_means: one.time.filter(|_| one.by_own_means),
            time: one.time,
            limit: class_a_limit(false).value,
            wait: longest_wait().value,
        })
        .collect()
}
