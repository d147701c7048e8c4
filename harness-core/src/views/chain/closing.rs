//! When the contacts of class B are shut: mode by mode, and in which order around a precharge.

use crate::{
    analysis::Analysis,
    facts::loops::is_contactor,
    model::ElementId,
    network::{EdgeId, EdgeRole},
    quantity::{Second, Volt},
    views::{
        PieceKind,
        piece::piece_kind,
        timeline::{PrechargeTimeline, precharges},
    },
};

/// When contacts of class B are shut.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Closing {
    /// The modes that were computed, as written.
    pub modes: Vec<String>,
    /// The contacts and disconnects of class B, in the order written.
    pub contacts: Vec<Contact>,
    /// The order around each precharge.
    pub orders: Vec<Order>,
}

/// A contact or disconnect of class B.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: PieceKind,
    /// Per mode, whether it lets current through.
    pub shut: Vec<bool>,
}

/// In which order contacts close around a precharge.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The capacitors that are charged.
    pub of: Vec<String>,
    /// The resistor that charges them.
    pub through: String,
    /// The mode that charges, and the one behind it; the same where a mode begins with the precharge.
    pub modes: [String; 2],
    /// The steps.
    pub steps: Vec<ClosingStep>,
}

/// A step of closing.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosingStep {
    /// What happens to which contacts; none for a wait.
    pub act: ClosingAct,
    /// The voltage of the capacitors before the next step, at least.
    pub volts: Volt,
}

/// What happens in a step of closing.
#[derive(Debug, Clone, PartialEq)]
pub enum ClosingAct {
    /// These contacts shut.
    Shut(Vec<String>),
    /// These contacts open.
    Open(Vec<String>),
    /// Nothing moves until the voltage is there: after this time as computed, which the design allows so long for.
    Wait {
        /// The time that it takes; `None` where the voltage is never reached.
        takes: Option<Second>,
        /// The time that the design gives it; `None` where it gives none.
        given: Option<Second>,
    },
}

/// The contacts and disconnects of class B, in the order written.
pub(super) fn contacts(analysis: &Analysis) -> Vec<(EdgeId, ElementId)> {
    let (network, model) = (analysis.network(), analysis.model());
    let is_b = |point| super::places::is_class_b(analysis, point);
    let edges = network.edges().filter(|(_, edge)| {
        is_contactor(analysis.facts(), edge) || (edge.role == EdgeRole::Disconnect && is_b(edge.a) && is_b(edge.b))
    });
    let mut found: Vec<(EdgeId, ElementId)> = edges.filter_map(|(id, edge)| Some((id, edge.element()?))).collect();
    found.sort_by_key(|(id, element)| (model[*element].span, *id));
    found
}

/// When they are shut.
pub(super) fn closing(analysis: &Analysis, contacts: &[(EdgeId, ElementId)]) -> Closing {
    let (network, model) = (analysis.network(), analysis.model());
    let states = analysis.electrical().modes_as_written();
    let contact = |(id, element): &(EdgeId, ElementId)| {
        Some(Contact {
            name: model.element_name(*element),
            kind: piece_kind(model, &network[*id])?,
            shut: states.iter().map(|state| state.conducts(*id)).collect(),
        })
    };
    Closing {
        modes: states.iter().map(|state| model.mode_name(state.id).to_owned()).collect(),
        contacts: contacts.iter().filter_map(contact).collect(),
        orders: precharges(analysis).iter().map(order).collect(),
    }
}

/// The order around a precharge: what charges shuts, then nothing until the voltage is there, then the main contact, then what is no longer needed.
fn order(one: &PrechargeTimeline) -> Order {
    let names = |keep: fn(bool, bool) -> bool| -> Vec<String> {
        one.contacts.iter().filter(|contact| keep(contact.during, contact.after)).map(|contact| contact.name.clone()).collect()
    };
    let mut steps = vec![
        ClosingStep { act: ClosingAct::Shut(names(|during, _| during)), volts: Volt::ZERO },
        ClosingStep { act: ClosingAct::Wait { takes: one.time, given: one.given }, volts: one.goal },
        ClosingStep { act: ClosingAct::Shut(names(|during, after| !during && after)), volts: one.full },
        ClosingStep { act: ClosingAct::Open(names(|during, after| during && !after)), volts: one.full },
    ];
    steps.retain(|step| match &step.act {
        ClosingAct::Shut(names) | ClosingAct::Open(names) => !names.is_empty(),
        ClosingAct::Wait { .. } => true,
    });
    Order { of: one.capacitors.clone(), through: one.resistor.clone(), modes: [one.mode.clone(), one.then.clone()], steps }
}
