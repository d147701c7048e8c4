//! A conductor carries, in every mode, no more than it may alone in the air where it lies.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::{capacity_of, least_size_of},
    evidence::{charging, remedies},
    finding::{Finding, Level, Worse},
    quantity::Ampere,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/undersized",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor that carries more than it may in the air where it lies, even alone",
        docs: include_str!("undersized.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    for (id, wire) in model.wires() {
        let loading = analysis.electrical().loading(id);
        // A conductor without a known capacity is `review/missing-fact`'s to report.
        let Some(capacity) = capacity_of(model, wire, 1) else { continue };
        let (Some(size), Some(mode)) = (wire.size, loading.mode) else { continue };
        if loading.amps <= capacity.amps || analysis.electrical().is_uneven(id) {
            continue;
        }
        let excess = Ampere::new(loading.amps.get() - capacity.amps.get());
        let name = model.wire_name(id);
        let mut finding = RULE
            .finding(size.span, format!("wire `{name}` carries {}, {excess} over what {} takes here", loading.amps, size.value))
            .label(format!("takes {} here", capacity.amps))
            .context(wire.span, format!("carries {} in mode `{}`", loading.amps, model.mode_name(mode)))
            .figure(
                "current",
                format!(
                    "{} in mode `{}`{}, computed",
                    loading.amps,
                    model.mode_name(mode),
                    charging(analysis, mode, loading.battery)
                ),
            )
            .figure("capacity", &capacity)
            .help(format!("use a larger conductor for `{name}`, share its current over several with a fuse each, or lay it where it is cooler"))
            .concerns(name)
            .weigh(size.value, Worse::Smaller);
        if let Some(least) = least_size_of(model, wire, loading.amps, loading.beside) {
            finding.remedies = remedies::larger(analysis.facts(), id, least);
        }
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
        findings.push(finding);
    }
    findings
}
