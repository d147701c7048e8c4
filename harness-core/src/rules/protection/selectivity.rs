//! Of two fuses in series the one nearer the fault opens, and only that.

use crate::{
    analysis::Analysis,
    electrical::{
        faults::Overlap,
        fuses::fuse::{kind_of, standard_of},
    },
    evidence::remedies,
    facts::Facts,
    finding::{Finding, Level, Remedy},
    model::{ElementId, Model},
    network::{Edge, Network},
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::fuse_time::FuseCurve,
    wording::and_more,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/selectivity",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse near the source that may open before the one behind it",
        docs: include_str!("selectivity.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut overlaps: Vec<&Overlap> = analysis.electrical().faults().overlaps().iter().collect();
    overlaps.retain(|overlap| !leaves_all_fed(analysis.network(), overlap));
    let share = |overlap: &Overlap| overlap.upper_holds.time.get() / overlap.lower_opens.time.get();
    overlaps.sort_by(|a, b| a.upper.cmp(&b.upper).then(share(a).total_cmp(&share(b))).then(a.lower.cmp(&b.lower)));
    overlaps.chunk_by(|a, b| a.upper == b.upper).filter_map(|group| finding(analysis.facts(), group)).collect()
}

/// Whether both fuses may open and nothing is left without a supply: the upper one is in the link between two batteries, each of which keeps
/// its side fed, and behind the lower one is a source with a limit alone, such as an alternator, which is lost with it anyway.
fn leaves_all_fed(network: &Network, overlap: &Overlap) -> bool {
    let is_of = |edge: &Edge, fuse: ElementId| edge.element() == Some(fuse);
    let fuse_edge = |fuse: ElementId| network.edges().find(|(_, edge)| edge.role.is_fuse() && is_of(edge, fuse));
    let (Some((_, upper)), Some((_, lower))) = (fuse_edge(overlap.upper), fuse_edge(overlap.lower)) else { return false };
    let both_open = network
        .components(|_, edge| edge.role.conducts_when_closed() && !is_of(edge, overlap.upper) && !is_of(edge, overlap.lower));
    let (one, other) = (both_open.of(upper.a), both_open.of(upper.b));
    let has_battery = |group| network.edges().any(|(_, edge)| edge.role.takes_charge() && both_open.of(edge.b) == group);
    if one == other || !has_battery(one) || !has_battery(other) {
        return false;
    }
    let far = [both_open.of(lower.a), both_open.of(lower.b)].into_iter().find(|side| *side != one && *side != other);
    let Some(far) = far else { return false };
    let at_far = |edge: &Edge| both_open.of(edge.a) == far || both_open.of(edge.b) == far;
    let mut sources = network.edges().filter(|(_, edge)| edge.role.drives() && at_far(edge)).peekable();
    sources.peek().is_some()
        && sources.all(|(_, edge)| !edge.role.takes_charge() && both_open.of(edge.b) == far)
        && !network.edges().any(|(_, edge)| edge.role.draws() && at_far(edge))
}

fn finding(facts: &Facts, group: &[&Overlap]) -> Option<Finding> {
    let model = facts.model();
    let worst = group.first()?;
    let (help, candidates) = remedy(facts, worst);
    let (upper, lower) = (&model[worst.upper], &model[worst.lower]);
    let (name, behind) = (model.element_name(worst.upper), model.element_name(worst.lower));
    let others = match group.len() - 1 {
        0 => String::new(),
        more => format!("{} behind it", and_more(more, "fuse")),
    };
    let (point, back) = worst.short;
    let finding = RULE
        .finding(upper.value_span, format!("fuse `{name}` is not sure to outlast `{behind}`{others}"), [])
        .label(format!("may open after {}", worst.upper_holds.time))
        .context(lower.value_span, format!("may take {}", worst.lower_opens.time))
        .figure(
            "short",
            format!(
                "`{}` to `{}` in mode `{}`, computed",
                model.point_name(point),
                model.point_name(back),
                model.mode_name(worst.mode)
            ),
        )
        .figure("before", format!("`{name}` carries {} and holds {}", worst.upper_amps, worst.upper_holds))
        .figure("behind", format!("`{behind}` carries {} and opens within {}", worst.lower_amps, worst.lower_opens))
        .help(help)
        .concerns(name);
    let finding = candidates.into_iter().fold(finding, Finding::remedy);
    Some(group.iter().fold(finding, |finding, overlap| finding.concerns(model.element_name(overlap.lower))))
}

/// What to do in general, and ratings of the fuses' own standards with which the pair would be selective at these currents.
fn remedy(facts: &Facts, overlap: &Overlap) -> (String, Vec<Remedy>) {
    let model = facts.model();
    let larger = ratings(model, overlap.upper)
        .into_iter()
        .find(|(_, curve)| curve.opening(overlap.upper_amps).fastest.is_some_and(|edge| edge.time >= overlap.lower_opens.time));
    let smaller = ratings(model, overlap.lower)
        .into_iter()
        .rev()
        .find(|(_, curve)| curve.opening(overlap.lower_amps).slowest.is_some_and(|edge| edge.time <= overlap.upper_holds.time));
    let (upper, lower) = (model.element_name(overlap.upper), model.element_name(overlap.lower));
    let help = format!(
        "fit a larger or slower fuse for `{upper}` with conductors to match, or a smaller or faster one for `{lower}` that its loads \
         can live with; gates of the fuses in hand (`gates`) may be narrower"
    );
    let mut candidates = remedies::refused(facts, overlap.lower, smaller.map(|(rating, _)| rating));
    candidates.extend(remedies::refused(facts, overlap.upper, larger.map(|(rating, _)| rating)));
    (help, candidates)
}

/// The ratings that the standard of a fuse makes, rising, with their curves.
fn ratings(model: &Model, fuse: ElementId) -> Vec<(Ampere, FuseCurve)> {
    // No rating is proposed for a fuse of which no standard is known.
    let known = kind_of(model, fuse).and_then(|kind| Some((kind, standard_of(model, kind)?)));
    let Some((kind, standard)) = known else { return Vec::new() };
    let types = standard.types.iter().filter(|of| kind.body.is_none_or(|body| body.value == **of));
    let mut ratings: Vec<Ampere> = types.flat_map(|of| of.ratings()).map(|rating| rating.value).collect();
    ratings.sort_by(|a, b| a.get().total_cmp(&b.get()));
    ratings.dedup();
    let curve = |rating: Ampere| match kind.body {
        Some(body) => FuseCurve::of_type(rating, body.value),
        None => FuseCurve::of_standard(rating, standard),
    };
    ratings.into_iter().filter_map(|rating| Some((rating, curve(rating)?))).collect()
}
