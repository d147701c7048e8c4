//! Each plug is on the port that its wires belong to.

use crate::{
    analysis::Analysis,
    evidence::plugs::remated,
    facts::{Facts, plug_slips::WrongPorts},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/wrong-port",
        level: Level::Error,
        since: "0.1.0",
        finds: "plugs that are on each other's ports, or a plug on another port than its own",
        docs: include_str!("wrong_port.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.plug_slips().on_wrong_ports.iter().filter_map(|slip| finding(facts, slip)).collect()
}

fn finding(facts: &Facts, slip: &WrongPorts) -> Option<Finding> {
    let model = facts.model();
    let (first, others) = slip.plugs.split_first()?;
    let names: Vec<String> = slip.plugs.iter().map(|plug| quoted(model.end_name(plug.end))).collect();
    let what = match others {
        [] => {
            let (on, belongs) = (quoted(model.mate_name(first.on)), quoted(model.mate_name(first.belongs)));
            format!("plug {} is on {on} and belongs on {belongs}, which is free", names.first()?)
        }
        [_] if slip.is_ring => format!("plugs {} are on each other's ports", list(&names)),
        _ if slip.is_ring => format!("plugs {} are on one another's ports", list(&names)),
        _ => format!("plugs {} are not on their ports", list(&names)),
    };
    let met = slip.met.iter().map(|[pin, other]| format!(": `{}` meets `{}`", pin.signal_name(model), other.signal_name(model)));
    let place = model[first.end].mate_span.unwrap_or(model[first.end].span);
    let belongs = |to| format!("belongs on `{}`", model.mate_name(to));
    let mut finding = RULE.finding(place, format!("{what}{}", met.collect::<String>()), []).label(belongs(first.belongs));
    for plug in others {
        finding = finding.context(model[plug.end].mate_span.unwrap_or(model[plug.end].span), belongs(plug.belongs));
    }
    for pin in slip.met.iter().flatten() {
        let name = model.point_name(pin.point);
        let span = model[pin.pin].signal.map_or(model[pin.point].span, |signal| signal.span);
        finding = finding.context(span, format!("`{name}`: `{}`", pin.signal_name(model)));
    }
    if slip.fit_as_they_are {
        finding = finding.figure(
            "fit",
            "nothing keeps these plugs from the wrong ports: housings and keys are alike, only the signals differ",
        );
    }
    let each: Vec<String> = slip
        .plugs
        .iter()
        .zip(&names)
        .map(|(plug, name)| format!("{name} on {}", quoted(model.mate_name(plug.belongs))))
        .collect();
    let keys = if slip.fit_as_they_are { "; housings with different keys would keep them apart" } else { "" };
    let same = match slip.others.as_slice() {
        [] => String::new(),
        others => {
            let names: Vec<String> = others.iter().map(|end| quoted(model.end_name(*end))).collect();
            format!("; the same slip with {} would have the same effect, so look which plugs are wrong", list(&names))
        }
    };
    let finding = finding.help(format!(
        "put {}; or, if they are mated as meant, lead each wire to the pin of its signal{same}{keys}",
        list(&each)
    ));
    let finding = finding.remedy(remated(facts, slip));
    Some(slip.plugs.iter().fold(finding, |finding, plug| finding.concerns(model.end_name(plug.end))))
}
