//! No fuse opens while a load starts.

use crate::{
    analysis::Analysis,
    electrical::fuses::fuse::{curve_of, kind_of},
    facts::peaks::PeakFlow,
    finding::{Finding, Level, Weighed},
    model::ElementId,
    network::EdgeId,
    quantity::{AmpereSquaredSecond, Second},
    rules::{Rule, RulePage},
    standards::fuse_time::{FuseCurve, OpeningTime},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/peak-opens-fuse",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse that the starting or inrush current of a load opens; an error where it is sure to",
        docs: include_str!("peak_opens_fuse.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let fuses = analysis.network().edges().filter_map(|(id, edge)| edge.element().map(|element| (id, element)));
    fuses.filter_map(|(edge, element)| finding(analysis, edge, element)).collect()
}

/// A peak that opens a fuse.
struct Opens {
    flow: PeakFlow,
    lasts: Second,
    /// The earliest time at which it may open.
    first: OpeningTime,
    /// The latest, where it is within the peak.
    last: Option<OpeningTime>,
}

impl Opens {
    fn of(curve: &FuseCurve, flow: &PeakFlow) -> Option<Self> {
        let lasts = flow.peak.value.lasts?;
        let opening = curve.opening(flow.amps);
        let first = opening.fastest.filter(|first| first.time < lasts)?;
        Some(Self { flow: *flow, lasts, first, last: opening.slowest.filter(|last| last.time <= lasts) })
    }

    /// How many times the least time it lasts.
    fn excess(&self) -> f64 {
        self.lasts.get() / self.first.time.get().max(f64::MIN_POSITIVE)
    }
}

fn finding(analysis: &Analysis, edge: EdgeId, id: ElementId) -> Option<Finding> {
    let (model, network) = (analysis.model(), analysis.network());
    let kind = kind_of(model, id)?;
    let flows = analysis.facts().peaks().through(edge);
    if flows.is_empty() {
        return None;
    }
    let curve = curve_of(model, kind)?;
    let worst = flows.iter().filter_map(|flow| Opens::of(&curve, flow)).reduce(|worst, next| {
        let more = (next.last.is_some(), next.excess()) > (worst.last.is_some(), worst.excess());
        if more { next } else { worst }
    })?;
    let Opens { flow, lasts, first, last } = worst;
    let name = model.element_name(id);
    let of = &network[flow.of];
    let giver = match (of.wire(), of.element()) {
        (Some(wire), _) => model.wire_name(wire),
        (None, Some(element)) => model.element_name(element),
        (None, None) => return None,
    };
    let heat = AmpereSquaredSecond::new(flow.amps.get().powi(2) * lasts.get());
    let verb = if last.is_some() { "opens" } else { "can open" };
    let headline = match last {
        Some(last) => format!("fuse `{name}` opens within {} while `{giver}` starts: {} for {lasts}", last.time, flow.amps),
        None => {
            let earlier = Second::new(lasts.get() - first.time.get());
            format!(
                "fuse `{name}` can open from {} on, {earlier} before the peak of `{giver}` is over: {} for {lasts}",
                first.time, flow.amps
            )
        }
    };
    let figures = [Weighed::larger(flow.amps), Weighed::larger(lasts), Weighed::smaller(last.map_or(first.time, |last| last.time))];
    let mut finding = RULE
        .finding(model[id].value_span, headline, figures)
        .label(format!("{verb} before the peak is over"))
        .context(flow.peak.span, flow.peak.value.in_words())
        .figure("current", format!("{} while `{giver}` starts, {} without it, in mode `{}`", flow.amps, flow.steady, model.mode_name(flow.mode)))
        .figure("heat", format!("{heat} in {lasts}"))
        .figure("opens", format!("no sooner than {first}"))
        .help(format!(
            "fit a slower fuse or a larger one for `{name}`, with conductors that it protects; or limit the peak of `{giver}`, \
             by a soft start or a load of its own fuse"
        ))
        .concerns(name)
        .concerns(giver);
    if let Some(last) = last {
        finding.stated = Level::Error;
        finding = finding.figure("has opened", format!("within {last}"));
    }
    if let Some(rating) = kind.rating {
        finding = finding.context(rating.span, format!("rated {}", rating.value));
    }
    Some(finding)
}
