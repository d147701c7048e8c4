//! A feed has one name at both ends where the design names its feeds so.

use crate::{
    analysis::Analysis,
    evidence::meeting,
    facts::{Facts, odd_names::OddName},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::count,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/odd-name",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a feed, return or interlock contact whose name agrees with none on its wire, where nearly all others of the design do",
        docs: include_str!("odd_name.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let names = facts.odd_names();
    if !names.is_habit() {
        return Vec::new();
    }
    names.odd.iter().filter_map(|odd| finding(facts, odd, names.agree)).collect()
}

fn finding(facts: &Facts, odd: &OddName, agree: usize) -> Option<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let (one, two) = (odd.pin.signal_name(model), odd.other.signal_name(model));
    let (name, other) = (model.point_name(odd.pin.point), model.point_name(odd.other.point));
    let wire = ends.wire_at(model, odd.pin.point).or_else(|| ends.wire_at(model, odd.other.point));
    let place = model[odd.pin.pin].signal.map(|signal| signal.span).or_else(|| wire.map(|wire| wire.span))?;
    let mut finding = RULE
        .finding(place, format!("`{name}` is named `{one}` and is joined to `{other}`, which is named `{two}`"), [])
        .label("agrees with no name on its wire")
        .figure("elsewhere", format!("{} with a name that agrees at the other end", count(agree, "pin")))
        .help("move the wire to the pin of its name; or give both pins one name if the wiring is meant");
    if let Some(wire) = wire {
        finding = finding.concerns(model.wire_name(wire.wire));
    }
    Some(meeting(facts, finding, &[facts.network().net(odd.pin.point)], &odd.pin, &odd.other))
}
