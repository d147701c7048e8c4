//! What makes alternating voltage against the chassis has a pole there.

use crate::{
    analysis::Analysis,
    arena::IdVec,
    electrical::ModeState,
    evidence::in_modes,
    finding::{Finding, Level},
    model::{DomainId, ElementId, ModeId, Model, PointId},
    network::{Edge, EdgeId, Network},
    rules::{Rule, RulePage},
    vocabulary::{Reference, Role},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/missing-tie",
        level: Level::Error,
        since: "0.1.0",
        finds: "a transformer, inverter or generator of mains voltage whose domain is against the chassis and that nothing ties to it",
        docs: include_str!("missing_tie.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let mut is_earth: IdVec<PointId, bool> = IdVec::of(false, network.point_count());
    let mut any = false;
    for (point, _) in model.points().filter(|(point, _)| is_earthed(model, *point)) {
        is_earth[point] = true;
        any = true;
    }
    if !any {
        // Without any earth there is nothing to tie to: `review/missing-fact` says that the design has no chassis.
        return Vec::new();
    }
    let modes = analysis.electrical().modes_as_written();
    let makers = network.edges().filter_map(|(id, edge)| Some((id, edge.element()?, tied_domain(analysis, edge)?)));
    let untied = makers.filter_map(|(id, element, domain)| {
        let open: Vec<ModeId> = modes
            .iter()
            .filter(|state| state.conducts(id) && !reaches(network, state, id, &is_earth))
            .map(|state| state.id)
            .collect();
        (!open.is_empty()).then(|| finding(analysis, element, domain, &open))
    });
    untied.collect()
}

/// Whether a point is the chassis, or an earth or chassis pin of a device.
fn is_earthed(model: &Model, point: PointId) -> bool {
    let is_chassis = model.device_at(point).is_some_and(|device| model[device].chassis);
    model.is_fitted(point) && (is_chassis || matches!(model.role_at(point), Some(Role::Earth | Role::Chassis)))
}

/// The domain that an edge makes, if one of its poles belongs at the chassis: alternating voltage of class B. The grid has its tie outside
/// the design, and so may what is against earth.
fn tied_domain(analysis: &Analysis, edge: &Edge) -> Option<DomainId> {
    let (model, domains) = (analysis.model(), analysis.electrical().domains());
    if !edge.role.drives() {
        return None;
    }
    let domain = domains.of(edge.b).or(domains.of(edge.a))?;
    let is_tied = model[domain].reference == Reference::Chassis;
    (is_tied && model[domain].ac && model[domain].is_class_b()).then_some(domain)
}

/// Whether a pole of a source is joined to an earth in a state, past closed contacts and fuses.
fn reaches(network: &Network, state: &ModeState, source: EdgeId, is_earth: &IdVec<PointId, bool>) -> bool {
    let mut seen: IdVec<PointId, bool> = IdVec::of(false, network.point_count());
    let mut open = vec![network[source].a, network[source].b];
    while let Some(point) = open.pop() {
        if is_earth[point] {
            return true;
        }
        if std::mem::replace(&mut seen[point], true) {
            continue;
        }
        let next = network
            .around(point)
            .filter(|(id, edge, _)| *id != source && edge.role.conducts_when_closed() && state.conducts(*id));
        open.extend(next.map(|(_, _, other)| other).filter(|other| !seen[*other]));
    }
    false
}

fn finding(analysis: &Analysis, element: ElementId, domain: DomainId, modes: &[ModeId]) -> Finding {
    let model = analysis.model();
    let (name, of) = (model.element_name(element), model.text(model[domain].name).to_owned());
    RULE.finding(model[element].value_span, format!("neither pole of `{name}` is tied to the chassis{}", in_modes(model, modes)), [])
        .label("isolated from what feeds it")
        .context(model[domain].span, format!("`{of}` is against the chassis"))
        .help(format!(
            "join the neutral of `{name}` to the protective earth in its box, in these modes: until then a fault to a case opens no fuse and \
             trips no residual-current device; if it is isolated on purpose, its domain is `reference: floating` and needs an isolation monitor"
        ))
        .concerns(name)
}
