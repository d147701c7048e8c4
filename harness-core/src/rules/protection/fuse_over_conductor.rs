//! A fuse opens before any conductor that it protects is overloaded.

use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::least_size_of,
        fuses::{
            fuse::kind_of,
            protection::{Feed, Return},
        },
    },
    evidence::{beside, remedies},
    finding::{Finding, Level, Remedy},
    model::{ElementId, WireId},
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::{
        capacity::Capacity,
        fuse::{ConductorRule, largest_rating},
    },
    wording::{agree, and_more},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/fuse-over-conductor",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a fuse rated above what the thinnest conductor it protects may carry",
        docs: include_str!("fuse_over_conductor.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let protection = analysis.electrical().protection();
    let mut findings = Vec::new();
    for feed in protection.feeds() {
        let fed = protection.wires_behind(feed);
        // What is a feed with one contact closed and a return with another is judged as a feed.
        let returns = protection.returns(feed.fuse).iter().filter(|found| fed.binary_search(&found.wire).is_err());
        let returns = returns.map(|Return { wire, of, .. }| Guarded { wire: *wire, of: Some(*of) });
        let behind: Vec<Guarded> = fed.iter().map(|wire| Guarded { wire: *wire, of: None }).chain(returns).collect();
        findings.extend(finding(analysis, feed, &behind));
    }
    findings
}

/// A conductor that goes by a fuse.
#[derive(Debug, Clone, Copy)]
struct Guarded {
    wire: WireId,
    /// The load or source whose return it is; `None` for a feed.
    of: Option<ElementId>,
}

fn finding(analysis: &Analysis, feed: &Feed, behind: &[Guarded]) -> Option<Finding> {
    let model = analysis.model();
    let element = &model[feed.fuse];
    let kind = kind_of(model, feed.fuse)?;
    let rating = kind.rating?;
    let allowed = |amps: Ampere| largest_rating(ConductorRule::default(), amps);
    let mut over: Vec<(Guarded, Capacity)> = behind
        .iter()
        .filter_map(|guarded| Some((*guarded, analysis.electrical().capacity(guarded.wire)?)))
        .filter(|(_, capacity)| rating.value > allowed(capacity.amps).value)
        .collect();
    over.sort_by(|a, b| a.1.amps.get().total_cmp(&b.1.amps.get()).then(a.0.wire.cmp(&b.0.wire)));
    let (thinnest, least) = over.first()?;
    let wire = &model[thinnest.wire];
    let (fuse, name) = (model.element_name(feed.fuse), model.wire_name(thinnest.wire));
    let excess = Ampere::new(rating.value.get() - allowed(least.amps).value.get());
    let others = match over.len() - 1 {
        0 => String::new(),
        more => format!(",{} {} too thin for it", and_more(more, "wire"), agree(more, "is", "are")),
    };
    let place = match thinnest.of {
        None => format!("thinnest conductor behind `{fuse}`: {}", least.amps),
        Some(of) => format!("thinnest conductor that leads back from `{}`: {}", model.element_name(of), least.amps),
    };
    let mut finding = RULE
        .finding(
            element.value_span,
            format!("fuse `{fuse}` passes {}, {excess} over what wire `{name}` takes{others}", rating.value),
        )
        .label(format!("rated {}", rating.value))
        .context(wire.size.map_or(wire.span, |size| size.span), place)
        .figure("rating", rating.value)
        .figure("capacity", least)
        .figure("rule", format!("rating not above capacity; {}", allowed(least.amps).source))
        .help(format!("fit a smaller fuse that its loads can live with, or use a larger conductor for `{name}`"))
        .concerns(fuse);
    if let Some(of) = thinnest.of {
        let what = if model[of].kind.is_source() {
            "the lead of the source carries what its first fuse lets through"
        } else {
            "a return carries what the fuse of its feed lets through"
        };
        finding = finding.figure("return", what);
    }
    if rating.span.file != element.value_span.file || rating.span.start.abs_diff(element.value_span.start) > 0 {
        finding = finding.context(rating.span, "the rating");
    }
    for step in &least.chain {
        finding = finding.figure("source", step.source);
    }
    finding = beside(analysis, thinnest.wire, finding, analysis.electrical().neighbours(thinnest.wire).as_ref());
    let finding = candidates(analysis, feed.fuse, rating.value, &over).into_iter().fold(finding, Finding::remedy);
    Some(over.iter().fold(finding, |finding, (guarded, _)| finding.concerns(model.wire_name(guarded.wire))))
}

/// A smaller fuse of its series, else larger sizes for all that are too thin.
fn candidates(analysis: &Analysis, fuse: ElementId, rating: Ampere, over: &[(Guarded, Capacity)]) -> Vec<Remedy> {
    let model = analysis.model();
    let Some((_, least)) = over.first() else { return Vec::new() };
    let smaller = remedies::ratings_made(model, fuse).into_iter().rev().filter(|made| *made <= least.amps);
    let mut candidates = remedies::refused(analysis.facts(), fuse, smaller.take(2));
    let sizes = over.iter().map(|(guarded, _)| {
        let beside = analysis.electrical().loading(guarded.wire).beside;
        Some((guarded.wire, least_size_of(model, &model[guarded.wire], rating, beside)?))
    });
    let sizes: Option<Vec<_>> = sizes.collect();
    candidates.extend(sizes.and_then(|sizes| remedies::sized(analysis.facts(), &sizes)));
    candidates
}
