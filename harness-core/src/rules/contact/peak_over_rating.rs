//! No contact overheats or welds while a load starts or stalls.

use crate::{
    analysis::Analysis,
    facts::{Facts, peaks::PeakFlow},
    finding::{Finding, Level, Weighed},
    model::PointId,
    network::EdgeId,
    quantity::{Ampere, Ratio},
    rules::{Rule, RulePage},
    standards::{Sourced, peak},
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/peak-over-rating",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a contact of a plug, relay or switch that the starting or stall current of a load overheats or welds",
        docs: include_str!("peak_over_rating.md"),
    },
    check,
};

/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    rated(facts).into_iter().filter_map(|rated| finding(facts, &rated)).collect()
}

/// Something with a rated current, and the edge through which that flows.
struct Rated {
    edge: EdgeId,
    what: &'static str,
    name: String,
    amps: Ampere,
    place: Span,
    /// Where the rating is written, if not at the place.
    says: Span,
    /// A switch or relay, which makes and breaks the current.
    switches: bool,
}

fn rated(facts: &Facts) -> Vec<Rated> {
    let (model, network) = (facts.model(), facts.network());
    let of_elements = facts.rated_currents().iter().filter_map(|rated| {
        let edge = rated.edge()?;
        let switches = network.role(edge).cuts_coils();
        let (name, amps) = (rated.of.name(model), rated.rated.value);
        Some(Rated { edge, what: rated.what, name, amps, place: rated.place, says: rated.rated.span, switches })
    });
    let place = |cavity: PointId| model[cavity].span;
    let of_plugs = facts.contact_loads().iter().filter_map(|load| {
        let rating = load.rating?;
        let (name, place) = (model.point_name(load.cavity), rating.chosen.unwrap_or_else(|| place(load.cavity)));
        Some(Rated { edge: load.edge, what: "contact", name, amps: rating.amps, place, says: rating.place, switches: false })
    });
    of_elements.chain(of_plugs).collect()
}

/// How many times its rating a contact may carry for this peak; `None` where nobody says how long it lasts and it switches nothing.
fn allowed(rated: &Rated, flow: &PeakFlow) -> Option<Sourced<Ratio>> {
    let carried = flow.peak.value.lasts.map(peak::carried_for);
    let made = rated.switches.then(peak::making);
    match (carried, made) {
        (Some(carried), Some(made)) => Some(if made.value < carried.value { made } else { carried }),
        (carried, made) => carried.or(made),
    }
}

fn finding(facts: &Facts, rated: &Rated) -> Option<Finding> {
    let model = facts.model();
    let over = |flow: &PeakFlow| {
        let factor = allowed(rated, flow)?;
        let limit = Ampere::new(rated.amps.get() * factor.value.get());
        // What is above the rating for good is another rule's.
        let is_over = flow.amps.get() > limit.get() * (1.0 + EQUAL) && flow.steady <= rated.amps;
        is_over.then_some((*flow, factor, limit))
    };
    let through = facts.peaks().through(rated.edge).iter().filter_map(over);
    let (flow, factor, limit) = through.reduce(|worst, next| {
        let share = |of: &(PeakFlow, Sourced<Ratio>, Ampere)| of.0.amps.get() / of.2.get();
        if share(&next) > share(&worst) { next } else { worst }
    })?;
    let of = &facts.network()[flow.of];
    let giver = match (of.wire(), of.element()) {
        (Some(wire), _) => model.wire_name(wire),
        (None, Some(element)) => model.element_name(element),
        (None, None) => return None,
    };
    let Rated { what, name, amps, .. } = rated;
    let excess = flow.amps - limit;
    let time = flow.peak.value.lasts.map_or_else(|| "for a short time".to_owned(), |lasts| format!("for {lasts}"));
    let headline =
        format!("{what} `{name}` carries {} {time} while `{giver}` starts, {excess} more than its {amps} allow", flow.amps);
    let figures = [Weighed::larger(flow.amps), Weighed::larger(excess), Weighed::smaller(*amps), Weighed::larger(&time)];
    let mut finding = RULE
        .finding(rated.place, headline, figures)
        .label(format!("rated {amps}"))
        .context(flow.peak.span, flow.peak.value.in_words())
        .figure(
            "current",
            format!("{} while `{giver}` starts, {} without it, in mode `{}`", flow.amps, flow.steady, model.mode_name(flow.mode)),
        )
        .figure("limit", format!("{amps} x {} = {limit}", factor.value))
        .figure("factor", factor.source)
        .help(format!("fit a contact for `{name}` whose maker allows {} {time}; or limit the peak of `{giver}`", flow.amps))
        .concerns(name.clone())
        .concerns(giver);
    if rated.says != rated.place {
        finding = finding.context(rated.says, format!("says {amps}"));
    }
    Some(finding)
}
