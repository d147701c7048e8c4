//! Why a conductor goes without a fuse, where that is as it should be: the cable of a starter, a source that is its own protection, a short
//! run to fuses.

use crate::{
    analysis::Analysis,
    model::{ElementId, WireId},
    quantity::Ampere,
    standards::fuse_choice::{Lead, self_limiting, starter_exempt, unfused_length},
    wording::list,
};

/// What is to be said of a wire; nothing of one that goes by fuses alone.
pub(super) fn notes(analysis: &Analysis, wire: WireId) -> Vec<String> {
    let model = analysis.model();
    let unfused = analysis.electrical().protection().unfused();
    let starters = unfused.iter().flat_map(|unfused| &unfused.starters).filter(|run| run.wires.contains(&wire));
    let mut notes: Vec<String> = starters
        .filter_map(|run| {
            let starts = analysis.network().around(run.load).filter_map(|(_, edge, _)| edge.element());
            let starter = starts.into_iter().find(|element| model[*element].kind.is_starter())?;
            Some(format!(
                "the cable of the starter `{}`: it has no fuse by common practice; {}",
                model.element_name(starter),
                starter_exempt()
            ))
        })
        .collect();
    if analysis.facts().is_stub(wire) {
        let limit = match model.policy.unfused_length {
            Some(limit) => format!("{} (policy)", limit.value),
            None => {
                let usual = unfused_length(Lead::Bare);
                format!("{}; {}", usual.value, usual.source)
            }
        };
        notes.push(format!("a short run from a thicker conductor to fuses of its own: it goes without one up to {limit}"));
    }
    let limited = limited(analysis, wire);
    if !limited.is_empty() {
        let takes = analysis.facts().allowance(wire, &[]).map(|allowance| allowance.amps);
        let together: Ampere = limited.iter().map(|(_, limit)| *limit).sum();
        if takes.is_some_and(|takes| together <= takes) {
            let names: Vec<String> = limited.iter().map(|(source, _)| format!("`{}`", model.element_name(*source))).collect();
            notes.push(format!(
                "{} {} up to {together}, which it takes: needs no fuse at that end; {}",
                list(&names),
                if names.len() == 1 { "gives" } else { "together give" },
                self_limiting()
            ));
        }
    }
    notes
}

/// The sources with a limit that feed a wire past no fuse, or from one end of a line.
fn limited(analysis: &Analysis, wire: WireId) -> Vec<(ElementId, Ampere)> {
    let model = analysis.model();
    let mut found: Vec<(ElementId, Ampere)> = Vec::new();
    if let Some(supply) = analysis.facts().supplies()[wire].as_ref() {
        found.extend(supply.by.iter().filter(|feeder| !feeder.is_fuse).map(|feeder| (feeder.element, feeder.amps)));
    }
    let lines = analysis.electrical().protection().unfused().iter().flat_map(|unfused| &unfused.lines);
    for line in lines.filter(|line| line.way.contains(&wire) || line.beside.contains(&wire)) {
        found.extend(line.sources.iter().filter_map(|source| Some((*source, model[*source].kind.limit()?))));
    }
    found.sort_unstable_by_key(|(source, _)| *source);
    found.dedup_by_key(|(source, _)| *source);
    found
}
