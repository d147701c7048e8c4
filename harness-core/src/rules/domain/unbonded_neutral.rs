//! What makes its own mains has its neutral on protective earth.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::mains_sides::{is_earth, is_machine},
    finding::{Finding, Level},
    model::{DeviceId, DomainId, ElementId, ElementKind, ModeId, PointId},
    network::{Edge, EdgeId, GroupId},
    rules::{Rule, RulePage},
    vocabulary::{Reference, Role},
};
use rustc_hash::FxHashSet;
use std::cell::LazyCell;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/unbonded-neutral",
        level: Level::Warning,
        since: "0.1.0",
        finds: "an inverter, transformer or generator whose mains is against earth or chassis, and whose neutral nothing joins to it",
        docs: include_str!("unbonded_neutral.md"),
    },
    check,
};

/// What makes mains on board, where it should be bonded.
struct Maker {
    edge: EdgeId,
    element: ElementId,
    domain: DomainId,
    /// Modes in which it makes it and nothing bonds it.
    open: Vec<ModeId>,
    /// Whether the design says more of a bond than that the domain is against earth: against the chassis, bonded in another mode, or with a
    /// residual-current device that needs it, or with several boxes that it feeds. Else the bond is probably in the box and not drawn, or not needed.
    is_owed: bool,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let earths: Vec<PointId> =
        model.points().map(|(point, _)| point).filter(|point| model.is_fitted(*point) && is_earth(model, *point)).collect();
    let mut makers = makers(analysis);
    // With nothing to bond to `review/missing-fact` says that the design has no chassis.
    makers.retain(|maker| !earths.is_empty() || model[maker.domain].reference == Reference::Earth);
    if makers.is_empty() {
        return Vec::new();
    }
    let neutrals = model.points().map(|(point, _)| point).filter(|point| model.role_at(*point) == Some(Role::Neutral));
    let neutrals: Vec<PointId> = neutrals.filter(|point| model.is_fitted(*point)).collect();
    let outside = from_outside(analysis);
    for state in analysis.electrical().modes_as_written() {
        let closed = network.components(|id, edge| edge.role.conducts_when_closed() && state.conducts(id));
        let bonded: FxHashSet<GroupId> = earths.iter().chain(&outside).map(|point| closed.of(*point)).collect();
        let neutral: FxHashSet<GroupId> = neutrals.iter().map(|point| closed.of(*point)).collect();
        for maker in &mut makers {
            let runs = model[maker.element].kind.modes().is_some_and(|modes| modes.has(state.id)) && state.conducts(maker.edge);
            let poles = [network[maker.edge].a, network[maker.edge].b].map(|pole| closed.of(pole));
            // A drive for a motor makes phases alone.
            let has_neutral =
                model[maker.domain].reference == Reference::Chassis || poles.iter().any(|pole| neutral.contains(pole));
            let is_bonded = poles.iter().any(|pole| bonded.contains(pole));
            if runs && has_neutral && !is_bonded {
                maker.open.push(state.id);
            }
            maker.is_owed |= is_bonded;
        }
    }
    makers.iter().filter(|maker| !maker.open.is_empty()).map(|maker| finding(analysis, maker)).collect()
}

/// What makes alternating voltage of class B in a domain against earth or chassis. A source against earth is the grid or a plant, which
/// is bonded where no design shows it.
fn makers(analysis: &Analysis) -> Vec<Maker> {
    let (model, domains) = (analysis.model(), analysis.electrical().domains());
    let closed = LazyCell::new(|| analysis.network().components(|_, edge| edge.role.conducts_when_closed()));
    let residual: FxHashSet<ElementId> =
        model.residual.iter().flat_map(|device| &device.poles).map(|(element, _)| *element).collect();
    // A single appliance may be fed by an isolated source: it takes two faults in two of them to hurt somebody.
    let feeds_several = |maker: &Edge| {
        let lines = [closed.of(maker.a), closed.of(maker.b)];
        let fed = analysis
            .network()
            .edges()
            .filter(|(_, edge)| edge.role.draws() && [edge.a, edge.b].iter().all(|point| lines.contains(&closed.of(*point))));
        let devices: FxHashSet<DeviceId> = fed.filter_map(|(_, edge)| model.device_at(edge.a)).collect();
        devices.len() > 1
    };
    let is_watched = |maker: &Edge| {
        let mut poles = analysis.network().edges().filter(|(_, edge)| edge.element().is_some_and(|it| residual.contains(&it)));
        let groups = [closed.of(maker.a), closed.of(maker.b)];
        poles.any(|(_, edge)| groups.contains(&closed.of(edge.a)))
    };
    let makers = analysis.network().edges().filter(|(_, edge)| edge.role.drives()).filter_map(|(id, edge)| {
        let element = edge.element()?;
        let domain = domains.of(edge.b).or(domains.of(edge.a))?;
        let is_mains = model[domain].ac && model[domain].is_class_b();
        let is_converter = matches!(model[element].kind, ElementKind::Converter { .. });
        let is_bonded = match model[domain].reference {
            Reference::Chassis => true,
            Reference::Earth => is_converter || is_machine(model, element),
            Reference::Floating => false,
        };
        (is_mains && is_bonded).then(|| {
            let is_owed = model[domain].reference == Reference::Chassis || is_watched(edge) || feeds_several(edge);
            Maker { edge: id, element, domain, open: Vec::new(), is_owed }
        })
    });
    makers.collect()
}

/// The poles of the grid: where a neutral is joined to one, the bond is there.
fn from_outside(analysis: &Analysis) -> Vec<PointId> {
    let (model, domains) = (analysis.model(), analysis.electrical().domains());
    let grid = analysis.network().edges().filter(|(_, edge)| {
        let is_source = edge.element().is_some_and(|element| model[element].kind.is_source() && !is_machine(model, element));
        is_source && domains.of(edge.a).or(domains.of(edge.b)).is_some_and(|domain| model[domain].is_mains())
    });
    grid.flat_map(|(_, edge)| [edge.a, edge.b]).collect()
}

fn finding(analysis: &Analysis, maker: &Maker) -> Finding {
    let (model, edge) = (analysis.model(), analysis.network()[maker.edge]);
    let name = model.element_name(maker.element);
    // The second leg of a split-phase supply has its neutral at the positive pole.
    let neutral = if model.role_at(edge.b) == Some(Role::Neutral) { edge.b } else { edge.a };
    let (domain, neutral) = (&model[maker.domain], model.point_name(neutral));
    let (reference, earth) = match domain.reference {
        Reference::Chassis => ("chassis", "the chassis"),
        Reference::Earth | Reference::Floating => ("earth", "protective earth"),
    };
    // In every mode needs no word.
    let modes = if maker.open.len() == model.modes().len() { String::new() } else { in_modes(model, &maker.open) };
    let mut finding = RULE.finding(model[maker.element].value_span, format!("nothing joins the neutral of `{name}` to {earth}{modes}"), [])
        .label(format!("its neutral is `{neutral}`"))
        .context(domain.span, format!("`{}` is against {reference}", model.text(domain.name)))
        .figure("effect", "a fault to a case has no way back to the source: no breaker opens and no residual-current device trips")
        .help(format!(
            "draw what joins `{neutral}` to {earth} in the box of `{name}`, a `link` or a contact that is closed while it runs, or fit one, before \
             the first residual-current device; write `reference: floating` at the domain if it is isolated on purpose"
        ))
        .concerns(name);
    if !maker.is_owed {
        finding.stated = Level::Note;
    }
    finding
}
