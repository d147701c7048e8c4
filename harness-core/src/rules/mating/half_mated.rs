//! Every connector mates one partner, of its own sort, and its partner no other.

use crate::{
    analysis::Analysis,
    facts::{Facts, mated_pairs::Half},
    finding::{Finding, Level, Remedy, RemedyKind},
    model::{End, EndId, EndKind, Mate, Model, PortKind},
    rules::{Rule, RulePage},
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/half-mated",
        level: Level::Error,
        since: "0.1.0",
        finds: "a connector whose partner is taken by another end, or is not a connector",
        docs: include_str!("half_mated.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let claims = analysis.facts().claims();
    let mut findings = Vec::new();
    for (id, port) in model.ports() {
        let claimants = claims.connectors(id);
        match port.kind {
            PortKind::Stud(stud) => {
                let what = format!("the stud `{}`", model.port_name(id));
                findings.extend(claimants.iter().map(|end| no_connector(model, *end, &what, stud.span)));
                findings.extend(claims.bare_ends(id).iter().map(|end| no_clamp(model, *end, &what, stud.span)));
            }
            PortKind::Body => {
                let what = format!("the body `{}`", model.port_name(id));
                findings.extend(claimants.iter().map(|end| no_connector(model, *end, &what, port.housing_span)));
                findings.extend(claims.bare_ends(id).iter().map(|end| no_clamp(model, *end, &what, port.housing_span)));
            }
            PortKind::Landing(_) => {
                let what = format!("the {} `{}`", port.noun(), model.port_name(id));
                findings.extend(claimants.iter().map(|end| no_connector(model, *end, &what, port.housing_span)));
            }
            PortKind::Connector(_) => {
                findings.extend(taken_twice(analysis.facts(), claimants, &model.port_name(id)));
                let what = format!("the connector `{}`", model.port_name(id));
                findings.extend(claims.bare_ends(id).iter().map(|end| no_clamp(model, *end, &what, port.housing_span)));
            }
        }
    }
    for (id, end) in model.ends() {
        let of_end = claims.of_end(id);
        let bare = of_end.iter().filter(|end| matches!(model[**end].kind, EndKind::Bare));
        let what = format!("the {} `{}`", end.noun(), model.end_name(id));
        findings.extend(bare.map(|claimant| no_clamp(model, *claimant, &what, end.housing_span)));
        let claimants: Vec<EndId> = of_end.iter().copied().filter(|end| model[*end].is_connector()).collect();
        if !end.is_connector() {
            findings.extend(claimants.iter().map(|claimant| no_connector(model, *claimant, &what, end.housing_span)));
        } else if end.mate.is_some() {
            findings.extend(claimants.iter().filter_map(|claimant| elsewhere(model, *claimant, id, end)));
        } else {
            findings.extend(taken_twice(analysis.facts(), &claimants, &model.end_name(id)));
        }
    }
    findings
}

/// Where `end` says what it mates.
fn said(model: &Model, end: EndId) -> Span {
    model[end].mate_span.unwrap_or(model[end].span)
}

/// A finding about several connectors that mate one partner: one for the partner, at the second of them.
fn taken_twice(facts: &Facts, claimants: &[EndId], partner: &str) -> Option<Finding> {
    let model = facts.model();
    let [first, second, rest @ ..] = claimants else { return None };
    let names = (model.end_name(*first), model.end_name(*second));
    let by = match rest.len() {
        0 => format!("both `{}` and `{}`", names.0, names.1),
        more => format!("`{}`, `{}` and {more} more", names.0, names.1),
    };
    let mut finding = RULE
        .finding(said(model, *second), format!("`{partner}` is mated by {by}"), [])
        .label(format!("second connector on `{partner}`"))
        .context(said(model, *first), format!("first connector on `{partner}`"))
        .concerns(partner);
    for end in rest {
        finding = finding.context(said(model, *end), format!("another connector on `{partner}`"));
    }
    for end in claimants {
        finding = finding.concerns(model.end_name(*end));
    }
    finding = finding.help(format!("name the partner that `{}` or `{}` really mates", names.0, names.1));
    Some([*second, *first].into_iter().filter_map(|end| rerouted(facts, end)).fold(finding, Finding::remedy))
}

/// The one connector of a device that an end fits and that nothing mates.
fn rerouted(facts: &Facts, end: EndId) -> Option<Remedy> {
    let model = facts.model();
    let (own, said) = (Half::of(model, Mate::End(end))?, model[end].mate_span?);
    let fits = |half: &Half<'_>| {
        facts.mated_pairs().fitting(model, half.housing).is_some_and(|fitting| fitting.name == own.housing.name)
    };
    let mut free = model
        .ports()
        .filter(|(id, _)| facts.claims().connectors(*id).is_empty())
        .filter_map(|(id, _)| Half::of(model, Mate::Port(id)))
        .filter(fits);
    let (free, None) = (free.next()?, free.next()) else { return None };
    let (end, port) = (model.end_name(end), free.name(model));
    Some(Remedy::new(RemedyKind::Mating, format!("mate `{end}` to `{port}`")).edit(said, port))
}

/// A finding about `claimant`, whose partner `id` mates something else; `None` where the two name each other.
fn elsewhere(model: &Model, claimant: EndId, id: EndId, end: &End) -> Option<Finding> {
    let own = model.end_name(claimant);
    if claimant == id {
        return Some(
            RULE.finding(said(model, id), format!("`{own}` mates itself"), [])
                .label("its own name")
                .help(format!("name the port or end that `{own}` goes into"))
                .concerns(own),
        );
    }
    let other = match end.mate? {
        Mate::End(back) if back == claimant => return None,
        Mate::End(back) => model.end_name(back),
        Mate::Port(port) => model.port_name(port),
    };
    let partner = model.end_name(id);
    Some(
        RULE.finding(said(model, claimant), format!("`{own}` mates `{partner}`, which mates `{other}`"), [])
            .label(format!("`{partner}` is not free"))
            .context(said(model, id), format!("`{partner}` mates `{other}`"))
            .help(format!("name the partner that `{own}` really mates, or make `{partner}` mate `{own}`"))
            .concerns(own)
            .concerns(partner),
    )
}

/// A finding about bare wire ends that land on something that clamps no wire.
fn no_clamp(model: &Model, end: EndId, what: &str, place: Span) -> Finding {
    let name = model.end_name(end);
    RULE.finding(said(model, end), format!("the bare end `{name}` lands on {what}, which clamps no wire"), [])
        .label("bare wires can't be held there")
        .context(place, what)
        .help(format!(
            "give `{name}` a ring (`ring`, `bolts-to`) or a connector (`housing`, `mates`), or name the screw, tab or clamp meant"
        ))
        .concerns(name)
}

/// A finding about a connector whose partner is a stud, a ring or a point for bare wires.
fn no_connector(model: &Model, end: EndId, what: &str, place: Span) -> Finding {
    let name = model.end_name(end);
    RULE.finding(said(model, end), format!("the connector `{name}` mates {what}"), [])
        .label("no connector there")
        .context(place, format!("{what} is not a connector"))
        .help(format!("make `{name}` a ring with `ring` and `bolts-to`, or name the connector that it mates"))
        .concerns(name)
}
