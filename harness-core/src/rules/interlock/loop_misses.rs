//! Unplugging a connector of voltage class B opens the interlock loop.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        interlocks::{BypassedInterlock, OutsideLoop},
        openings::Opening,
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{agree, list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/loop-misses",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a connector or cover of voltage class B that can be opened by hand without opening the interlock loop",
        docs: include_str!("loop_misses.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // What leads past several bridges at once is one fault, and `interlock/bypass`'s.
    let several = || facts.loops().bypasses.iter().filter(|bypass| bypass.bridges.len() > 1).flat_map(|bypass| &bypass.bridges);
    let is_one_of_several =
        |known: &&BypassedInterlock| known.bridge.is_some_and(|bridge| several().any(|other| *other == bridge));
    let bypassed = facts.bypassed_interlocks().iter().filter(|known| !is_one_of_several(known));
    let bypassed = bypassed.map(|bypassed| finding(facts, bypassed));
    bypassed.chain(facts.outside_loops().iter().filter_map(|outside| outside_loop(facts, outside))).collect()
}

/// A connector without interlock contacts, or a cover without a bridge.
fn outside_loop(facts: &Facts, outside: &OutsideLoop) -> Option<Finding> {
    let model = facts.model();
    let name = outside.opening.name(facts);
    let (span, what, lacks, cure) = match outside.opening {
        Opening::Cover(cover) => (
            model[cover].span,
            format!("taking `{name}` off does not open the interlock loop: it has no interlock"),
            "in no interlock loop",
            format!("fit an interlock to it (`of: {}`)", model.text(model[cover].name)),
        ),
        Opening::Connector(end) => (
            model[end].span,
            format!("unplugging `{name}` does not open the interlock loop: it has no interlock contacts"),
            "in no interlock loop",
            "take housings with interlock contacts and lead the loop over them".to_owned(),
        ),
        // Neither is opened by hand.
        Opening::Element(_) | Opening::Wire(_) => return None,
    };
    let mut finding = RULE
        .finding(span, what, [])
        .label(lacks)
        .help(format!("{cure}; where it opens with a tool alone, state `access: with tool`"))
        .concerns(name);
    if outside.is_assumed {
        finding.stated = Level::Warning;
        finding = finding.figure("assumed", "that it opens without a tool: nothing says how it is opened (`access`)");
    }
    Some(finding)
}

fn finding(facts: &Facts, bypassed: &BypassedInterlock) -> Finding {
    let (model, network) = (facts.model(), facts.network());
    let (end, partner) = (model.end_name(bypassed.end), model.mate_name(bypassed.partner));
    let labels: Vec<String> = bypassed.contacts.iter().map(|label| quoted(model.text(*label))).collect();
    let (labels, contacts) = (list(&labels), agree(bypassed.contacts.len(), "contact", "contacts"));
    let headline = format!("unplugging `{end}` from `{partner}` does not open the interlock loop");
    let Some(start) = bypassed.start else {
        // The plug may hold a bridge that only the device sees.
        let mut finding = RULE
            .finding(model[bypassed.end].span, format!("{headline}: no wire leads to its interlock {contacts} {labels}"), [])
            .label("not in the loop")
            .help(format!(
                "lead the loop over {labels} of `{end}`, with the bridge on the other side of the connector; if the plug holds a bridge that \
                 the device watches by itself, draw it there as an `interlock`"
            ))
            .concerns(end)
            .concerns(partner);
        finding.stated = Level::Warning;
        return finding;
    };
    let mut finding = RULE
        .finding(model[bypassed.end].span, format!("{headline}: something joins its interlock {contacts} {labels} past it"), [])
        .label("the loop stays closed without it")
        .path(if bypassed.path.is_empty() { Vec::new() } else { network.names(start, &bypassed.path) })
        .help("take out what the path shows, so that the loop is closed by the bridge in this connector alone")
        .concerns(end)
        .concerns(partner);
    if let Some(bridge) = bypassed.bridge {
        finding = finding.context(model[bridge].value_span, "the bridge that is bypassed").concerns(model.element_name(bridge));
    }
    let on_the_way: Vec<String> = bypassed
        .path
        .iter()
        .filter_map(|step| {
            network[step.edge]
                .wire()
                .map(|wire| model.wire_name(wire))
                .or_else(|| Some(model.element_name(network[step.edge].element()?)))
        })
        .collect();
    on_the_way.into_iter().fold(finding, Finding::concerns)
}
