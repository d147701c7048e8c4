//! No conductor carries more, in any mode, than it may carry alone in its air.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::{capacity_of, least_size_of, surroundings},
    evidence::{beside, current_source, larger_wire, remedies, too_small},
    finding::{Finding, Level, Weighed},
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::capacity::Beside,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/undersized",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor that carries more than it may, even alone in its air",
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
        let Some(capacity) = capacity_of(model, wire, Beside::default()) else { continue };
        let Some(size) = wire.size else { continue };
        if loading.lasting <= capacity.amps || analysis.electrical().is_uneven(id) {
            continue;
        }
        let excess = Ampere::new(loading.lasting.get() - capacity.amps.get());
        let name = model.wire_name(id);
        let from = current_source(analysis.facts(), id, loading);
        let mut finding = RULE
            .finding(
                size.span,
                format!("wire `{name}` carries {} {from}, {excess} over the limit of {} here", loading.lasting, size.value),
                [Weighed::larger(loading.lasting), Weighed::larger(&from), Weighed::larger(excess), Weighed::smaller(size.value)],
            )
            .label(format!("at most {} alone", capacity.amps))
            .context(wire.span, format!("carries {} {from}", loading.lasting))
            .figure("current", format!("{} {from}", loading.lasting))
            .figure("alone", &capacity)
            .concerns(name.clone());
        let among = capacity_of(model, wire, loading.beside).filter(|among| among.amps < capacity.amps);
        if let Some(among) = among {
            finding = finding.figure("among others", &among);
        }
        let least = least_size_of(model, wire, loading.lasting, loading.beside);
        let small = least.map_or_else(String::new, |least| too_small(analysis.facts(), &[(id, least)]));
        finding = finding.help(match surroundings(model, wire).ambient.filter(|_| capacity.amps <= Ampere::ZERO) {
            // No size helps where the air alone is as hot as the wire may be.
            Some(air) => format!(
                "use a wire that is rated for more than the {air} of the air for `{name}`, or route it where it is cooler"
            ),
            None => format!(
                "{}, share its current over several with a fuse each, or route it where it is cooler{small}",
                larger_wire(model, id)
            ),
        });
        if let Some(least) = least {
            finding.remedies = remedies::larger(analysis.facts(), id, least);
        }
        for step in &capacity.chain {
            finding = finding.figure("source", step.source);
        }
        finding = beside(analysis.facts(), id, finding, None);
        findings.push(finding);
    }
    findings
}
