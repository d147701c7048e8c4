//! What is known of one fuse: when it opens and what it breaks; from its kind, else from the standard that it is made to.

use crate::{
    model::{ElementId, ElementKind, FuseKind, Model},
    quantity::Ampere,
    standards::{
        Source, Sourced,
        fuse_choice::{carries_never, conventional_share, opens_from as opens_from_share, overload_share},
        fuse_standard::{
            FuseStandard, breaker_standard, full_range_standard, general_standard, given_breaking_capacity, given_lowest_break,
            is_alternating_by_tradition, only_kind,
        },
        fuse_time::FuseCurve,
        rated::{RatedVoltage, VoltageKind},
    },
    text::Span,
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
    let curve = if kind.gates.is_empty() {
        match kind.body {
            Some(body) => FuseCurve::of_type(rating, body.value),
            None => FuseCurve::of_standard(rating, standard_of(model, kind)?),
        }
    } else {
        FuseCurve::of_datasheet(rating, kind.gates.iter().map(|gate| (gate.at, gate.holds, gate.opens_within)))
    }?;
    let lowest = lowest_break_of(kind).map(|lowest| lowest.value);
    Some(curve.with(lowest, kind.melting.map(|at| at.value)))
}

/// The smallest current that a fuse of this kind is sure to break, where it is not a full-range fuse: its own, else that of its
/// category; `None` for every other fuse.
#[must_use]
pub fn lowest_break_of(kind: &FuseKind) -> Option<Sourced<Ampere>> {
    let rating = kind.rating?.value;
    match (kind.lowest_break, kind.body) {
        (Some(own), _) => Some(given_lowest_break(own.value)),
        (None, Some(body)) if body.value.is_back_up() && kind.gates.is_empty() => {
            body.value.overload().map(|share| share.map(|share| rating * share))
        }
        (None, _) => None,
    }
}

/// The largest current that a fuse of this kind may let through for long: its rating, or more where it is sure to open only above
/// what the 1.45 rule of IEC 60364-4-43 allows; with the current from which it is sure to open in that case. `None` where its rating
/// is not known.
///
/// A conductor that carries this is protected against overload.
#[must_use]
pub fn passes(model: &Model, kind: &FuseKind) -> Option<Passes> {
    let rating = kind.rating?.value;
    let sure = match lowest_break_of(kind) {
        Some(lowest) => Some((lowest.value, lowest.source)),
        None if is_full_range(model, kind) => None,
        None => {
            // Gates of a datasheet that begin further up leave those of the standard below them as they are.
            let standard = standard_of(model, kind).and_then(|standard| FuseCurve::of_standard(rating, standard));
            let promises = [curve_of(model, kind), standard].into_iter().flatten().filter_map(|curve| curve.sure_to_open_at());
            promises.reduce(|a, b| if b.0 < a.0 { b } else { a })
        }
    };
    // A full-range fuse with conventional currents satisfies the rule by its rating.
    let late = sure.filter(|(amps, _)| *amps > rating * conventional_share().value.get() * (1.0 + 1e-9));
    let amps = late.map_or(rating, |(amps, _)| rating.max(amps / overload_share().value.get()));
    Some(Passes { rating, amps, sure: late })
}

/// The current from which a fuse of this kind is sure to open sooner or later: by its own gates or those of its standard, whichever begin
/// lower; `None` where its rating is not known.
#[must_use]
pub fn opens_from(model: &Model, kind: &FuseKind) -> Option<(Ampere, &'static Source)> {
    let rating = kind.rating?.value;
    let standard = standard_of(model, kind).and_then(|standard| FuseCurve::of_standard(rating, standard));
    let promises = [curve_of(model, kind), standard.filter(|_| !kind.gates.is_empty())]
        .into_iter()
        .flatten()
        .filter_map(|curve| curve.sure_to_open_at());
    let first = promises.reduce(|a, b| if b.0 < a.0 { b } else { a });
    let (unknown, never) = (opens_from_share(), carries_never());
    // A back-up fuse may not break an overload, but does not carry it either.
    let assumed = if kind.body.is_some_and(|body| body.value.is_back_up()) { never } else { unknown };
    let (amps, source) = first.unwrap_or((rating * assumed.value, assumed.source));
    let most = rating * never.value;
    Some(if amps > most { (most, never.source) } else { (amps, source) })
}

/// Whether a fuse is made to end every overload: by its category, or by a part of IEC 60269 that knows no other.
fn is_full_range(model: &Model, kind: &FuseKind) -> bool {
    match kind.body {
        Some(body) => body.value.overload().is_some() && !body.value.is_back_up(),
        None => {
            let standard = kind.standard.map(|standard| model.text(standard.value));
            standard.is_some_and(|standard| full_range_standard(standard) || breaker_standard(standard))
        }
    }
}

/// Whether a fuse may carry its whole rating for long: gG or aM by its category or its standard, a circuit breaker, or one for alternating voltage.
pub(super) fn carries_its_rating(model: &Model, kind: &FuseKind) -> bool {
    let standard = kind.standard.map(|standard| model.text(standard.value));
    match kind.body {
        Some(body) => body.value.carries_its_rating(),
        None => {
            // What is rated for alternating voltage is of a building or a machine, whoever made it.
            let is_ac = kind.voltage.is_some_and(|rated| rated.value.kind == Some(VoltageKind::Alternating));
            is_ac || standard.is_some_and(|standard| breaker_standard(standard) || general_standard(standard))
        }
    }
}

/// What a fuse may let through for long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passes {
    /// Its rating.
    pub rating: Ampere,
    /// What a conductor must carry to be protected against overload by it: at least the rating.
    pub amps: Ampere,
    /// The current from which it is sure to open, where that is above the conventional one of a full-range fuse.
    pub sure: Option<(Ampere, &'static Source)>,
}

/// The largest current that a fuse of this kind breaks: its own, else its standard's; `None` where neither says it.
#[must_use]
pub fn breaking_capacity_of(model: &Model, kind: &FuseKind) -> Option<Sourced<Ampere>> {
    match kind.breaking {
        Some(own) => Some(given_breaking_capacity(own.value)),
        None => standard_of(model, kind)?.breaking_capacity(),
    }
}

/// The rated voltage of a kind of fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseVoltage {
    /// The rating; of the kind of voltage that its standard is for alone, where the figure names none.
    pub rated: RatedVoltage,
    /// Where it comes from, in words.
    pub source: String,
    /// Where that is written.
    pub at: Span,
    /// Whether a plain figure may be one for alternating voltage alone: a standard or a category that knows both.
    pub may_be_alternating: bool,
}

/// The rated voltage of a kind of fuse or circuit breaker: its own, else that of its standard; `None` where neither says one.
#[must_use]
pub fn rated_voltage_of(model: &Model, kind: &FuseKind) -> Option<FuseVoltage> {
    let standard = kind.standard.map(|at| model.text(at.value));
    let Some(own) = kind.voltage else {
        let rated = FuseStandard::named(standard?)?.rated_voltage();
        let (source, at) = (rated.source.to_string(), kind.standard?.span);
        return Some(FuseVoltage { rated: rated.value.into(), source, at, may_be_alternating: false });
    };
    let only = standard.and_then(only_kind);
    let name = model.text(kind.name);
    let source = match (own.value.kind, only, standard) {
        (None, Some(VoltageKind::Alternating), Some(standard)) => {
            format!("fuse kind `{name}`; {standard} is for alternating voltage alone")
        }
        _ => format!("fuse kind `{name}`"),
    };
    let rated = own.value.of_kind(only);
    let by_tradition =
        standard.is_some_and(is_alternating_by_tradition) || kind.body.is_some_and(|body| body.value.is_of_buildings());
    Some(FuseVoltage { rated, source, at: own.span, may_be_alternating: rated.kind.is_none() && by_tradition })
}
