//! A fuse opens before any conductor that it protects is overloaded.

use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::least_size_of,
        fuses::{
            fuse::{kind_of, standard_of},
            protection::{Feed, Return},
        },
    },
    evidence::{beside, use_larger},
    finding::{Finding, Level},
    model::{ElementId, WireId},
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::{
        capacity::Capacity,
        fuse::{ConductorRule, FuseStandard, largest_rating},
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
        let fed = protection.fed(feed).flat_map(|section| protection.wires_of(section));
        let mut behind: Vec<Guarded> = fed.map(|wire| Guarded { wire, of: None }).collect();
        behind.extend(protection.returns(feed.fuse).iter().map(|Return { wire, of, .. }| Guarded { wire: *wire, of: Some(*of) }));
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
        .help(remedy(analysis, rating.value, fitting(standard_of(model, kind), least.amps), thinnest.wire))
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
    Some(over.iter().fold(finding, |finding, (guarded, _)| finding.concerns(model.wire_name(guarded.wire))))
}

fn remedy(analysis: &Analysis, rating: Ampere, fuse: Ampere, id: WireId) -> String {
    let beside = analysis.electrical().loading(id).beside;
    match least_size_of(analysis.model(), &analysis.model()[id], rating, beside) {
        Some(size) => format!("fit a fuse of {fuse} or less, or {}", use_larger(analysis, id, size)),
        None => format!("fit a fuse of {fuse} or less"),
    }
}

/// The largest rating of the fuse's own kind that the capacity allows; the capacity itself where the ratings are not known.
fn fitting(standard: Option<&'static FuseStandard>, capacity: Ampere) -> Ampere {
    let types = standard.into_iter().flat_map(|standard| standard.types);
    let ratings = types.flat_map(|kind| kind.ratings()).map(|rating| rating.value).filter(|rating| *rating <= capacity);
    ratings.reduce(|most, other| if other > most { other } else { most }).unwrap_or(capacity)
}
