//! A fuse carries its continuous load without tiring.

use crate::{
    analysis::Analysis,
    electrical::FuseLoad,
    evidence::{charging, remedies},
    finding::{Finding, Level, Weighed},
    model::ElementId,
    network::EdgeId,
    quantity::Ampere,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/fuse-under-load",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a fuse whose continuous load is above what its rating allows at its ambient",
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
    let FuseLoad { amps: load, limit, rating, share, rerating, ambient, .. } = loading;
    if load <= limit {
        return None;
    }
    let name = model.element_name(id);
    let excess = Ampere::new(load.get() - limit.get());
    let least = Ampere::new(load.get() / (share.value.get() * rerating.value.get()).max(1e-9));
    let larger = remedies::ratings_made(model, id).into_iter().filter(|made| *made >= least);
    let larger = remedies::refused(analysis.facts(), id, larger);
    let finding = RULE
        .finding(
            model[id].value_span,
            format!("fuse `{name}` carries {load}, {excess} more than {rating} allow continuously"),
            [Weighed::larger(load), Weighed::larger(excess), Weighed::smaller(rating)],
        )
        .label(format!("{limit} continuously"))
        .figure("load", {
            let mode = loading.mode?;
            format!("{load} in mode `{}`{}, computed", model.mode_name(mode), charging(analysis.facts(), mode, loading.battery))
        })
        .figure("limit", format!("{rating} x {} x {} = {limit}", share.value, rerating.value))
        .figure("ambient", ambient.map_or_else(|| "not given, 25 degC assumed".to_owned(), |ambient| ambient.to_string()))
        .figure("rerating", rerating.source)
        .help(help(analysis, id, least))
        .concerns(name);
    let finding = larger.into_iter().fold(finding, Finding::remedy);
    Some(match loading.policy {
        Some(policy) => finding.context(policy, "the policy's share"),
        None => finding.figure("share", format!("{}, {}", share.value, share.source)),
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
