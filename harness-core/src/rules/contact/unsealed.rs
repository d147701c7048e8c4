//! Where water gets, connectors keep it out.

use crate::{
    analysis::Analysis,
    evidence::other_kinds,
    facts::mated_pairs::Half,
    finding::{Finding, Level},
    model::{End, Mate, Model, PortId, Zone, ZoneId},
    rules::{Rule, RulePage},
    text::Name,
    vocabulary::Need,
    wording::{self, agree, commas},
};
use rustc_hash::FxHashSet;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/unsealed",
        level: Level::Warning,
        since: "0.1.0",
        finds: "an unsealed housing or an open cavity in a wet zone",
        docs: include_str!("unsealed.md"),
    },
    check,
};

/// Cavities that a message lists before it only counts them.
const MOST_LISTED: usize = 6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    let mut seen: FxHashSet<PortId> = FxHashSet::default();
    for (id, end) in model.ends() {
        if !model[end.loom].fitted {
            continue;
        }
        let own = Half::of(model, Mate::End(id));
        if let (Some(half), Some(zone)) = (own, wet(model, end.zone)) {
            match half.housing.sealed.map(|sealed| sealed.value) {
                Some(false) => findings.push(unsealed(model, half, zone)),
                Some(true) => findings.extend(open(analysis, half, zone)),
                None => {}
            }
        }
        // A port that two ends mate is said once.
        if let Some(Mate::Port(port)) = end.mate
            && seen.insert(port)
        {
            findings.extend(port_finding(model, port));
        }
    }
    findings
}

fn wet(model: &Model, zone: Option<ZoneId>) -> Option<&Zone> {
    Some(&model[zone?]).filter(|zone| zone.wet)
}

fn port_finding(model: &Model, port: PortId) -> Option<Finding> {
    let half = Half::of(model, Mate::Port(port))?;
    let zone = wet(model, model[port].zone)?;
    half.housing.sealed.is_some_and(|sealed| !sealed.value).then(|| unsealed(model, half, zone))
}

fn unsealed(model: &Model, half: Half<'_>, zone: &Zone) -> Finding {
    let (name, place) = (half.name(model), model.text(zone.name));
    let housing = model.text(half.housing.name);
    let said = half.housing.sealed.map_or(half.housing.span, |sealed| sealed.span);
    RULE.finding(half.place, format!("`{name}` has an unsealed housing in the wet zone `{place}`"), [])
        .label(format!("`{housing}` is not sealed"))
        .context(said, format!("`{housing}`: `sealed: false`"))
        .context(zone.span, "this zone is wet")
        .help(format!("use a sealed housing for `{name}`, or move the connector to a dry zone"))
        .concerns(name)
}

/// Whether the pin that meets an empty cavity needs a wire: then a wire is what is missing there, not a plug, and
/// `netlist/unconnected-pin` has said so.
fn lacks_wire(model: &Model, end: &End, label: Name) -> bool {
    let Some(Mate::Port(port)) = end.mate else { return false };
    let pin = model.position_of(model[port].points, label).and_then(|point| model[point].pin);
    pin.map(|pin| &model[pin]).is_some_and(|pin| pin.spare.is_none() && pin.need.is_none_or(|need| need.value == Need::Wired))
}

fn open(analysis: &Analysis, half: Half<'_>, zone: &Zone) -> Option<Finding> {
    let (model, ends) = (analysis.model(), analysis.facts().wire_ends());
    let Mate::End(id) = half.connector else { return None };
    let end = &model[id];
    let mut plugged: Vec<_> = end.plugged.iter().map(|(cavity, _)| *cavity).collect();
    plugged.sort_unstable();
    let open = end.points.iter().filter(|cavity| ends.count(*cavity) == 0 && plugged.binary_search(cavity).is_err());
    let open = open.filter(|cavity| !lacks_wire(model, end, model.met_label(end, None, *cavity)));
    let labels: Vec<&str> = open.map(|cavity| model.text(model[cavity].label)).collect();
    let (name, place) = (half.name(model), model.text(zone.name));
    let quoted: Vec<String> = labels.iter().map(wording::quoted).collect();
    let list = wording::first(&quoted, MOST_LISTED);
    let headline = match labels.len() {
        0 => return None,
        1 => format!("cavity {list} of `{name}` is open in the wet zone `{place}`"),
        count => format!("{count} cavities of `{name}` are open in the wet zone `{place}`: {list}"),
    };
    // What is plugged already is worth keeping in the line to copy.
    let all = end.plugged.iter().map(|(cavity, _)| model.text(model[*cavity].label));
    let all: Vec<&str> = all.chain(labels.iter().copied()).collect();
    let act = agree(labels.len(), "close it with a plug", "close them with plugs");
    let remedy = match labels.len() {
        0..=MOST_LISTED => format!("{act} and write `plugged: [{}]` for `{name}`", commas(&all)),
        _ => format!("{act} and list them in `plugged` of `{name}`"),
    };
    let mut finding = RULE
        .finding(half.place, headline, [])
        .label("neither wire nor plug in it")
        .context(zone.span, "this zone is wet")
        .help(remedy)
        .remedy(other_kinds::plugs(analysis.facts(), end, &labels))
        .concerns(&name);
    for label in labels {
        finding = finding.concerns(format!("{name}.{label}"));
    }
    Some(finding)
}
