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
    when: When,
}

/// When a fuse opens.
enum When {
    /// It may, from this time on.
    May(OpeningTime),
    /// It has opened by then.
    Must(OpeningTime),
}

impl When {
    fn time(&self) -> &OpeningTime {
        match self {
            Self::May(time) | Self::Must(time) => time,
        }
    }

    const fn is_sure(&self) -> bool {
        matches!(self, Self::Must(_))
    }
}

impl Opens {
    fn of(curve: &FuseCurve, flow: &PeakFlow) -> Option<Self> {
        let lasts = flow.peak.value.lasts?;
        let opening = curve.opening(flow.amps);
        let must = opening.slowest.filter(|last| last.time <= lasts).map(When::Must);
        let when = must.or(opening.fastest.filter(|first| first.time < lasts).map(When::May))?;
        Some(Self { flow: *flow, lasts, when })
    }

    /// How many times that time it lasts.
    fn excess(&self) -> f64 {
        self.lasts.get() / self.when.time().time.get().max(f64::MIN_POSITIVE)
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
        let more = (next.when.is_sure(), next.excess()) > (worst.when.is_sure(), worst.excess());
        if more { next } else { worst }
    })?;
    let Opens { flow, lasts, when } = worst;
    let name = model.element_name(id);
    let of = &network[flow.of];
    let giver = match (of.wire(), of.element()) {
        (Some(wire), _) => model.wire_name(wire),
        (None, Some(element)) => model.element_name(element),
        (None, None) => return None,
    };
    let heat = AmpereSquaredSecond::new(flow.amps.get().powi(2) * lasts.get());
    let time = when.time();
    let (headline, label, earlier) = match &when {
        When::Must(last) => (
            format!("fuse `{name}` opens within {} while `{giver}` starts: {} for {lasts}", last.time, flow.amps),
            "opens before the peak is over",
            None,
        ),
        When::May(first) => {
            let earlier = Second::new(lasts.get() - first.time.get());
            let headline = format!(
                "fuse `{name}` can open from {} on, {earlier} before the peak of `{giver}` is over: {} for {lasts}",
                first.time, flow.amps
            );
            (headline, "can open before the peak is over", Some(earlier))
        }
    };
    let figures = [Weighed::larger(flow.amps), Weighed::larger(lasts), Weighed::smaller(time.time)];
    let figures = figures.into_iter().chain(earlier.map(Weighed::larger));
    let mut finding = RULE
        .finding(model[id].value_span, headline, figures)
        .label(label)
        .context(flow.peak.span, flow.peak.value.in_words())
        .figure(
            "current",
            format!("{} while `{giver}` starts, {} without it, in mode `{}`", flow.amps, flow.steady, model.mode_name(flow.mode)),
        )
        .figure("heat", format!("{heat} in {lasts}"))
        .figure("opens", format!("{} {time}", if when.is_sure() { "within" } else { "no sooner than" }))
        .help(format!(
            "fit a slower fuse or a larger one for `{name}`, with conductors that it protects; or limit the peak of `{giver}`, \
             by a soft start or a load of its own fuse"
        ))
        .concerns(name)
        .concerns(giver);
    if when.is_sure() {
        finding.stated = Level::Error;
    }
    if let Some(rating) = kind.rating {
        finding = finding.context(rating.span, format!("rated {}", rating.value));
    }
    Some(finding)
}
