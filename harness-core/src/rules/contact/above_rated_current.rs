//! No contact of a relay or switch, no stud, ring or input carries more than it is rated for.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    facts::Facts,
    finding::{Finding, Level, Weighed},
    model::{ElementKind, Model, PointId},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, Network},
    quantity::Ampere,
    rules::{Rule, RulePage},
    text::{At, Span},
    wording::list_of_first,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/above-rated-current",
        level: Level::Error,
        since: "0.1.0",
        finds: "a relay, switch, disconnect, stud, ring or converter input that carries more than its rated current",
        docs: include_str!("above_rated_current.md"),
    },
    check,
};

/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;
/// Current that counts as none.
const NOTHING: f64 = 1e-3;
/// Modes whose current is shown.
const SHOWN: usize = 6;

/// What has a rated current.
struct Rated {
    /// What it is, before its name.
    what: &'static str,
    name: String,
    rated: At<Ampere>,
    /// Where the builder would change it.
    place: Span,
    flow: Flow,
}

/// Where its current is seen.
enum Flow {
    /// In an edge.
    Through(EdgeId),
    /// All that comes to a point.
    At(PointId),
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let rated = elements(facts).chain(joints(facts)).chain(studs(facts));
    rated.filter_map(|rated| finding(facts, &rated)).collect()
}

/// Contacts and inputs of elements, edge by edge: those of a changeover are two.
fn elements(facts: &Facts) -> impl Iterator<Item = Rated> + '_ {
    let model = facts.model();
    facts.network().edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let (what, current) = rating(model, edge)?;
        let (name, place) = (model.element_name(element), current.span);
        Some(Rated { what, name, rated: current, place, flow: Flow::Through(id) })
    })
}

fn rating(model: &Model, edge: &Edge) -> Option<(&'static str, At<Ampere>)> {
    let (what, current) = match &model[edge.element()?].kind {
        ElementKind::Relay { current, .. } if edge.role.is_relay_contact() => ("the contact of relay", current),
        ElementKind::Switch { current, .. } => ("switch", current),
        ElementKind::Disconnect { current, .. } => ("disconnect", current),
        ElementKind::Converter { current, .. } if edge.role == EdgeRole::ConverterInput => ("the input of converter", current),
        // A fuse has a rating of its own rules; what is left has none.
        ElementKind::Relay { .. } | ElementKind::Converter { .. } | ElementKind::Fuse { .. } | ElementKind::Source { .. } => {
            return None;
        }
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => return None,
        ElementKind::Link { .. } | ElementKind::Interlock { .. } => return None,
    };
    Some((what, (*current)?))
}

/// Rings, by the lesser of what the ring and its terminal kind say.
fn joints(facts: &Facts) -> impl Iterator<Item = Rated> + '_ {
    let model = facts.model();
    facts.network().edges().filter_map(|(id, edge)| {
        let EdgeKind::Joint(end) = edge.kind else { return None };
        let ring = model[end].points.get(0)?;
        let terminal = model[end].terminal.and_then(|(terminal, named)| Some((model[terminal].current?, named)));
        let own = model[end].current.map(|current| (current, current.span));
        let least = [own, terminal].into_iter().flatten().reduce(|a, b| if b.0.value < a.0.value { b } else { a })?;
        Some(Rated { what: "ring", name: model.point_name(ring), rated: least.0, place: least.1, flow: Flow::Through(id) })
    })
}

fn studs(facts: &Facts) -> impl Iterator<Item = Rated> + '_ {
    let model = facts.model();
    model.ports().filter_map(|(_, port)| {
        let (stud, current) = (port.points.get(0)?, port.current?);
        Some(Rated { what: "stud", name: model.point_name(stud), rated: current, place: current.span, flow: Flow::At(stud) })
    })
}

fn current(network: &Network, mode: &ModeState, flow: &Flow) -> Ampere {
    match flow {
        Flow::Through(edge) => mode.working_amps(*edge, &network[*edge]).abs(),
        Flow::At(point) => network
            .around(*point)
            .map(|(id, edge, _)| {
                let amps = mode.working_amps(id, edge).get();
                // What flows to the point; as much leaves it.
                Ampere::new(if edge.b == *point { amps } else { -amps }.max(0.0))
            })
            .sum(),
    }
}

fn finding(facts: &Facts, rated: &Rated) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let modes = facts.electrical().modes().map(|mode| (current(network, mode, &rated.flow), mode.id));
    let mut modes: Vec<_> = modes.filter(|(amps, _)| amps.get() > NOTHING).collect();
    modes.sort_by(|a, b| b.0.get().total_cmp(&a.0.get()));
    let (amps, mode) = *modes.first()?;
    let limit = rated.rated.value;
    if amps.get() <= limit.get() * (1.0 + EQUAL) {
        return None;
    }
    let (what, name, excess) = (rated.what, &rated.name, Ampere::new(amps.get() - limit.get()));
    let shown: Vec<String> = modes.iter().map(|(amps, mode)| format!("{amps} in `{}`", model.mode_name(*mode))).collect();
    let mut finding = RULE
        .finding(
            rated.place,
            format!("{what} `{name}` carries {amps}, {excess} above its rating of {limit}"),
            [Weighed::larger(amps), Weighed::larger(excess), Weighed::smaller(limit)],
        )
        .label(format!("rated {limit}"))
        .figure("current", list_of_first(&shown, SHOWN, 0))
        .figure("rating", limit)
        .figure("mode", model.mode_name(mode))
        .help(format!("what is fitted here must be rated for the {amps} that flow, with the margin that its maker asks for; or take loads off it"))
        .concerns(name);
    if rated.rated.span != rated.place {
        finding = finding.context(rated.rated.span, format!("says {limit}"));
    }
    Some(finding)
}
