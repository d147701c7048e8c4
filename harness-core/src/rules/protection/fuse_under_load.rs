//! A fuse carries its continuous load without tiring, and without opening.

use crate::{
    analysis::Analysis,
    electrical::{
        Charged, FuseLoad,
        fuses::fuse::{curve_of, kind_of, opens_from},
    },
    evidence::{charging, remedies},
    facts::{Facts, given_flow::Given},
    finding::{Finding, Level, Weighed},
    model::{ElementId, FuseKind, ModeId, Model},
    network::EdgeId,
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::{Source, fuse_time::OpeningTime},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/fuse-under-load",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse whose continuous load is above what its rating allows at its ambient; an error where it is sure to open",
        docs: include_str!("fuse_under_load.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let fuses = analysis.network().edges().filter_map(|(id, edge)| edge.element().map(|element| (id, element)));
    fuses.filter_map(|(edge, element)| finding(analysis, edge, element)).collect()
}

fn finding(analysis: &Analysis, edge: EdgeId, id: ElementId) -> Option<Finding> {
    let model = analysis.model();
    let loading = analysis.electrical().fuse_loading(edge)?;
    let FuseLoad { limit, rating, share, rerating, ambient, .. } = loading;
    let kind = kind_of(model, id)?;
    let Carried { amps: load, mode, battery, given, opens } = worst(analysis.facts(), edge, &loading, kind);
    if load <= limit {
        return None;
    }
    let name = model.element_name(id);
    let excess = Ampere::new(load.get() - limit.get());
    let least = Ampere::new(load.get() / (share.value.get() * rerating.value.get()).max(1e-9));
    let larger = remedies::ratings_made(model, id).into_iter().filter(|made| *made >= least);
    let larger = remedies::refused(analysis.facts(), id, larger);
    let headline = match opens {
        Some(Opens { from, .. }) => {
            let excess = Ampere::new(load.get() - from.get());
            format!(
                "fuse `{name}` carries {load}, {excess} more than the {from} from which it is sure to open, and is rated {rating}"
            )
        }
        None => format!("fuse `{name}` carries {load}, {excess} more than {rating} allow continuously"),
    };
    let finding = RULE
        .finding(
            model[id].value_span,
            headline,
            [
                Some(Weighed::larger(load)),
                Some(Weighed::larger(opens.map_or(excess, |opens| Ampere::new(load.get() - opens.from.get())))),
                opens.map(|opens| Weighed::smaller(opens.from)),
                Some(Weighed::smaller(rating)),
            ]
            .into_iter()
            .flatten(),
        )
        .label(format!("{limit} continuously"))
        .figure("load", {
            let mode = mode?;
            let how = given.map_or_else(
                || "computed".to_owned(),
                |given| format!("{} of it given as `current` of wire `{}`", given.amps, model.wire_name(given.wire)),
            );
            format!("{load} in mode `{}`{}, {how}", model.mode_name(mode), charging(analysis.facts(), mode, battery))
        })
        .figure("limit", format!("{rating} x {} x {} = {limit}", share.value, rerating.value))
        .figure("ambient", ambient.map_or_else(|| "not given, 25 degC assumed".to_owned(), |ambient| ambient.to_string()))
        .figure("rerating", rerating.source)
        .help(help(analysis, id, least))
        .concerns(name);
    let mut finding = larger.into_iter().fold(finding, Finding::remedy);
    if let Some(opens) = opens {
        finding.stated = Level::Error;
        finding = finding.figure(
            "opens",
            opens.time.map_or_else(|| format!("from {}; {}", opens.from, opens.source), |time| format!("within {time}")),
        );
    }
    if let Some(own) = kind.rating {
        finding = finding.context(own.span, "the rating");
    }
    Some(match loading.policy {
        Some(policy) => finding.context(policy, "the policy's share"),
        None => finding.figure("share", format!("{}, {}", share.value, share.source)),
    })
}

/// A fuse that its load opens.
#[derive(Clone, Copy)]
struct Opens {
    from: Ampere,
    source: &'static Source,
    /// When it has opened, where its gates say.
    time: Option<OpeningTime>,
}

/// Whether a load is sure to open a fuse of this kind; `None` where it may hold for as long as the mode lasts.
fn opens(model: &Model, kind: &FuseKind, load: Ampere, mode: Option<ModeId>) -> Option<Opens> {
    let (from, source) = opens_from(model, kind).filter(|(from, _)| load >= *from)?;
    let time = curve_of(model, kind).and_then(|curve| curve.slowest(load));
    let lasts = mode.and_then(|mode| model[mode].lasts).map(|lasts| lasts.value);
    // A step that is over before the fuse has opened.
    let ends_first = lasts.is_some_and(|lasts| time.is_none_or(|time| time.time > lasts));
    (!ends_first).then_some(Opens { from, source, time })
}

/// A current through a fuse.
struct Carried {
    amps: Ampere,
    mode: Option<ModeId>,
    battery: Charged,
    given: Option<Given>,
    opens: Option<Opens>,
}

/// The largest current that opens the fuse, else the largest, of what is computed in each mode and what the design gives where no element
/// draws.
fn worst(facts: &Facts, edge: EdgeId, loading: &FuseLoad, kind: &FuseKind) -> Carried {
    let model = facts.model();
    let carried = |amps, mode, battery, given| Carried { amps, mode, battery, given, opens: opens(model, kind, amps, mode) };
    let states = facts.electrical().loaded_states().into_iter().flat_map(|state| {
        let computed = state.working_amps(edge, &facts.network()[edge]).abs();
        let given = facts.given_flow().of(edge, state.id);
        let with_given = given.map(|given| carried(computed + given.amps, Some(state.id), state.battery, Some(given)));
        [Some(carried(computed, Some(state.id), state.battery, None)), with_given].into_iter().flatten()
    });
    let first = carried(loading.amps, loading.mode, loading.battery, None);
    states.fold(first, |worst, other| {
        let worse = (other.opens.is_some(), other.amps) > (worst.opens.is_some(), worst.amps);
        if worse { other } else { worst }
    })
}

/// What to do, by what the series and the holder allow.
fn help(analysis: &Analysis, id: ElementId, least: Ampere) -> String {
    let model = analysis.model();
    let name = model.element_name(id);
    let share = format!("share the load of `{name}` over two fuses");
    let made = remedies::ratings_made(model, id);
    let needed = made.iter().copied().find(|rating| *rating >= least).unwrap_or(least);
    if let Some((most, port)) = remedies::holder(model, id).filter(|(most, _)| *most < needed) {
        return format!("{share}: one that carries it alone is of {needed} or more, and `{port}` is made for {most}");
    }
    match made.last().filter(|largest| **largest < least) {
        Some(largest) => format!(
            "{share}, or fit one of a series that is made for {least} and more, with a holder and conductors to match: this one ends at \
             {largest}"
        ),
        None => {
            // What is made, not what the sum gives; where no list of ratings is known, the sum is all there is.
            let next = made.iter().find(|rating| **rating >= least);
            let what = next.map_or_else(
                || format!("{least} or more"),
                |next| format!("{next}, the next rating made above the {least} that it needs,"),
            );
            format!("fit a fuse of {what} for `{name}`, in a holder and with conductors that take it, or {share}")
        }
    }
}
