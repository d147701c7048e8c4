//! Every ring fits its stud, and no stud holds more rings than it takes.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level, Remedy, RemedyKind},
    model::{EndId, EndKind, Mate, Model, Port, PortId, PortKind},
    rules::{Rule, RulePage},
    standards::stud::{Stud, most_rings},
    text::{Name, Span},
    wording::{agree, count},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/ring-mismatch",
        level: Level::Error,
        since: "0.1.0",
        finds: "a ring that does not fit its stud, or a stud with too many rings",
        docs: include_str!("ring_mismatch.md"),
    },
    check,
};

/// Other rings on the stud that are drawn.
const DRAWN: usize = 12;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let claims = analysis.facts().claims();
    let mut findings = Vec::new();
    for (id, port) in model.ports() {
        let rings = claims.rings(id);
        match port.kind {
            PortKind::Stud(stud) => {
                findings.extend(rings.iter().filter_map(|ring| misfit(model, *ring, id, stud.name, stud.span)));
                findings.extend(crowded(model, id, port, rings));
            }
            // The thread of its bolt is not given.
            PortKind::Body => findings.extend(crowded(model, id, port, rings)),
            PortKind::Landing(landing) => {
                let partner = model.port_name(id);
                let remedy = format!(", or strip the wire and write `lands-on: {partner}` for a {}", landing.fixing.noun());
                findings.extend(rings.iter().map(|ring| no_stud(model, *ring, &partner, port.housing_span, &remedy)));
            }
            PortKind::Connector(housing) => {
                let partner = model.port_name(id);
                let remedy = match housing {
                    Some(_) => String::new(),
                    None => format!(", or give the thread of `{partner}` with `stud`"),
                };
                findings.extend(rings.iter().map(|ring| no_stud(model, *ring, &partner, port.housing_span, &remedy)));
            }
        }
    }
    for (ring, end) in model.ends().filter(|(_, end)| matches!(end.kind, EndKind::Ring(_))) {
        if let Some(Mate::End(other)) = end.mate
            && model[end.loom].fitted
        {
            findings.push(no_stud(model, ring, &model.end_name(other), model[other].housing_span, ""));
        }
    }
    findings
}

/// A finding about a ring whose thread is not the stud's.
fn misfit(model: &Model, ring: EndId, port: PortId, stud: Name, place: Span) -> Option<Finding> {
    let EndKind::Ring(thread) = model[ring].kind else { return None };
    // A thread that is not known can't be compared; `review/missing-fact` says so.
    let (own, other): (Stud, Stud) = (model.text(thread.name).parse().ok()?, model.text(stud).parse().ok()?);
    let (name, partner) = (model.end_name(ring), model.port_name(port));
    let (headline, label) = match own.cmp(&other) {
        std::cmp::Ordering::Equal => return None,
        std::cmp::Ordering::Less => {
            (format!("the {own} ring `{name}` does not go on the {other} stud `{partner}`"), "ring too small")
        }
        std::cmp::Ordering::Greater => {
            (format!("the {own} ring `{name}` is loose on the {other} stud `{partner}`"), "ring too large")
        }
    };
    Some(
        RULE.finding(thread.span, headline, [])
            .label(format!("{label} for {other}"))
            .context(place, format!("stud `{partner}`: {other}"))
            .help(format!("crimp a ring of the stud's size to `{name}`, or bolt it to a stud of the ring's size"))
            .remedy(
                Remedy::new(RemedyKind::Part, format!("crimp a ring {other} to `{name}`")).edit(thread.span, other.to_string()),
            )
            .concerns(name)
            .concerns(partner),
    )
}

/// A finding about a stud with more rings than it takes, at the first ring that is too many.
fn crowded(model: &Model, id: PortId, port: &Port, rings: &[EndId]) -> Option<Finding> {
    let usual = most_rings();
    let said = port.rings.or(model.policy.rings_per_stud);
    let most = said.map_or(usual.value, |most| most.value as usize);
    let first = rings.get(most)?;
    let excess = rings.len() - most;
    let place = |end: EndId| model[end].mate_span.unwrap_or(model[end].span);
    let partner = model.port_name(id);
    let mut finding = RULE
        .finding(place(*first), format!("the stud `{partner}` holds {} rings, {excess} more than it takes", rings.len()), [])
        .label("first ring too many")
        .concerns(&partner);
    finding = match said {
        Some(limit) => finding.context(limit.span, format!("most rings on one stud: {}", limit.value)),
        None => finding.context(port.span, format!("nothing says how many rings `{partner}` takes: {most} are assumed")),
    };
    for end in rings.iter().filter(|end| *end != first).take(DRAWN) {
        finding = finding.context(place(*end), format!("ring `{}`", model.end_name(*end)));
    }
    finding = finding.figure("rings", rings.len());
    if let Some(more) = (rings.len() - 1).checked_sub(DRAWN).filter(|more| *more > 0) {
        finding = finding.figure("more", format!("{} that {} not drawn here", count(more, "ring"), agree(more, "is", "are")));
    }
    finding = match said {
        Some(limit) => finding.figure("limit", format!("{}; the design", limit.value)),
        None => finding.figure("limit", usual),
    };
    Some(finding.help(format!(
        "lead {excess} of the rings to a bus bar or another stud, or write `rings` of `{partner}` if its maker allows more"
    )))
}

/// A finding about a ring that is bolted to something without a stud.
fn no_stud(model: &Model, ring: EndId, partner: &str, place: Span, remedy: &str) -> Finding {
    let end = &model[ring];
    let name = model.end_name(ring);
    RULE.finding(
        end.mate_span.unwrap_or(end.span),
        format!("the ring `{name}` is bolted to `{partner}`, which is not a stud"),
        [],
    )
    .label("no stud there")
    .context(place, format!("`{partner}` has no `stud`"))
    .help(format!("name the stud that `{name}` is bolted to{remedy}"))
    .concerns(name)
    .concerns(partner)
}
