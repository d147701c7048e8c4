//! What is known of one fuse: when it opens and what it breaks; from its kind, else from the standard that it is made to.

use crate::{
    model::{ElementId, ElementKind, FuseKind, Model},
    quantity::Ampere,
    standards::{
        Sourced,
        fuse::{FuseStandard, given_breaking_capacity},
        fuse_time::FuseCurve,
    },
};

/// The kind of a fuse; `None` for any other element, and for a fuse of which no kind is known.
#[must_use]
pub fn kind_of(model: &Model, fuse: ElementId) -> Option<&FuseKind> {
    match model[fuse].kind {
        ElementKind::Fuse { kind, .. } => kind.map(|kind| &model[kind]),
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => None,
        ElementKind::Diode(_) | ElementKind::Switch { .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => None,
        ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// The standard that a kind of fuse names, if it is known.
#[must_use]
pub fn standard_of(model: &Model, kind: &FuseKind) -> Option<&'static FuseStandard> {
    FuseStandard::named(model.text(kind.standard?.value))
}

/// When a fuse of this kind opens: by the gates of its own datasheet, else by those of its body type, else by those of
/// every type that its standard makes with its rating; `None` where no gates are known.
#[must_use]
pub fn curve_of(model: &Model, kind: &FuseKind) -> Option<FuseCurve> {
    let rating = kind.rating?.value;
    if !kind.gates.is_empty() {
        return FuseCurve::of_datasheet(rating, kind.gates.iter().map(|gate| (gate.at, gate.holds, gate.opens_within)));
    }
    match kind.body {
        Some(body) => FuseCurve::of_type(rating, body.value),
        None => FuseCurve::of_standard(rating, standard_of(model, kind)?),
    }
}

/// The largest current that a fuse of this kind breaks: its own, else its standard's; `None` where neither says it.
#[must_use]
pub fn breaking_capacity_of(model: &Model, kind: &FuseKind) -> Option<Sourced<Ampere>> {
    match kind.breaking {
        Some(own) => Some(given_breaking_capacity(own.value)),
        None => standard_of(model, kind)?.breaking_capacity(),
    }
}
