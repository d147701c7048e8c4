//! A length is one that can be cut and crimped, and goes with the route and with the wires beside it.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level, Weighed},
    model::{EndId, LoomId, Model, PointId, PointKind, WireId},
    quantity::Metre,
    rules::{Rule, RulePage},
    standards::handling::{longest_wire, odd_lengths, shortest_wire},
    text::At,
    wording::{count, list_of_first, quoted},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/odd-length",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a wire too short to be crimped, or of a length that its route or the wires beside it contradict",
        docs: include_str!("odd_length.md"),
    },
    check,
};

/// A wire or cable with its length, in the order of the file.
#[derive(Clone, Copy)]
struct Cut {
    wire: WireId,
    loom: LoomId,
    length: At<Metre>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut cuts: Vec<Cut> = Vec::new();
    let mut cables = Vec::new();
    for (id, wire) in model.wires() {
        let Some(length) = wire.length.filter(|length| length.value > Metre::ZERO) else { continue };
        // The cores of a cable have one length.
        if let Some((cable, _)) = wire.core {
            if cables.contains(&cable) {
                continue;
            }
            cables.push(cable);
        }
        cuts.push(Cut { wire: id, loom: wire.loom, length });
    }
    let peers = Peers::of(model, &cuts);
    let longest = Longest::of(&cuts);
    let odd = |cut: &Cut| {
        short(model, cut)
            .or_else(|| against_route(model, cut))
            .or_else(|| peers.against(model, cut))
            .or_else(|| longest.against(model, cut))
    };
    cuts.iter().filter_map(odd).collect()
}

/// A wire or cable in words, with its name.
fn called(model: &Model, cut: &Cut) -> (String, String) {
    match model[cut.wire].core {
        Some((cable, _)) => (format!("cable `{}`", model.cable_name(cable)), model.cable_name(cable)),
        None => (format!("wire `{}`", model.wire_name(cut.wire)), model.wire_name(cut.wire)),
    }
}

fn finding(model: &Model, cut: &Cut, why: &str, other: Option<Metre>) -> Finding {
    let (what, name) = called(model, cut);
    let length = cut.length.value;
    let weighed = [Some(Weighed::neither(length)), other.map(Weighed::neither)].into_iter().flatten();
    RULE.finding(cut.length.span, format!("{what} is {length} long, {why}"), weighed)
        .label(length.to_string())
        .help(format!("correct the length of `{name}` to what is cut, in mm, cm or m"))
        .concerns(name)
}

/// Too short for a terminal at each end.
fn short(model: &Model, cut: &Cut) -> Option<Finding> {
    let least = shortest_wire();
    (cut.length.value < least.value).then(|| {
        finding(model, cut, &format!("too short to be crimped at both ends: below {}", least.value), Some(least.value))
            .figure("limit", format!("{}, {}", least.value, least.source))
    })
}

/// Many times shorter or longer than its route; what is only too short to reach is `route/short-wire`'s to say.
fn against_route(model: &Model, cut: &Cut) -> Option<Finding> {
    let via = &model[cut.wire].via;
    let known = via.iter().filter_map(|segment| Some(model[*segment].length?.value));
    let (sum, count) = known.fold((Metre::ZERO, 0), |(sum, count), length| (sum + length, count + 1));
    let (length, odd) = (cut.length.value, odd_lengths());
    let is_short = length * odd.value.of_route < sum;
    // A segment without a length may be what makes it long.
    let is_long = count == via.len() && length > sum * odd.value.of_route && length - sum > odd.value.beyond;
    if count == 0 || !is_short && !is_long {
        return None;
    }
    let names: Vec<String> = via.iter().map(|segment| quoted(model.text(model[*segment].name))).collect();
    let verb = if names.len() == 1 { "is" } else { "are together" };
    let segments = if names.len() == 1 { "segment" } else { "segments" };
    let why = format!("and the {segments} {} that it runs through {verb} {sum}", list_of_first(&names, 3, 0));
    let mut finding = finding(model, cut, &why, Some(sum)).figure("rule", odd.source);
    for segment in via.iter().filter_map(|segment| model[*segment].length).take(3) {
        finding = finding.context(segment.span, "of its route");
    }
    Some(finding)
}

/// Wires between the same two connectors.
struct Peers(BTreeMap<(EndId, EndId), Vec<Cut>>);

impl Peers {
    fn of(model: &Model, cuts: &[Cut]) -> Self {
        let mut peers: BTreeMap<(EndId, EndId), Vec<Cut>> = BTreeMap::new();
        for cut in cuts {
            if let Some(ends) = connectors(model, cut.wire) {
                peers.entry(ends).or_default().push(*cut);
            }
        }
        peers.values_mut().for_each(|cuts| cuts.sort_by(|a, b| a.length.value.total_cmp(b.length.value)));
        Self(peers)
    }

    fn against(&self, model: &Model, cut: &Cut) -> Option<Finding> {
        let group = self.0.get(&connectors(model, cut.wire)?)?;
        // Of two the longer: what is cut too short is lost.
        let middle = group.get(group.len() / 2)?;
        let odd = odd_lengths();
        let (own, other) = (cut.length.value, middle.length.value);
        if own * odd.value.of_peers > other && other * odd.value.of_peers > own {
            return None;
        }
        let (what, _) = called(model, middle);
        let (a, b) = connectors(model, cut.wire)?;
        let why =
            format!("and {what} between the same connectors, `{}` and `{}`, is {other}", model.end_name(a), model.end_name(b));
        Some(
            finding(model, cut, &why, Some(other))
                .context(middle.length.span, "beside it")
                .figure("compared with", count(group.len() - 1, "wire"))
                .figure("rule", odd.source),
        )
    }
}

/// The two connectors that a wire joins; `None` for rings, splices, bare ends and a bridge in one connector.
fn connectors(model: &Model, wire: WireId) -> Option<(EndId, EndId)> {
    let end = |point: PointId| if let PointKind::Cavity(end) = model[point].kind { Some(end) } else { None };
    let (a, b) = (end(model[wire].from?)?, end(model[wire].to?)?);
    (a != b).then(|| (a.min(b), a.max(b)))
}

/// The longest two wires of each loom, and how many it has.
struct Longest(BTreeMap<LoomId, (usize, [Metre; 2])>);

impl Longest {
    fn of(cuts: &[Cut]) -> Self {
        let mut longest: BTreeMap<LoomId, (usize, [Metre; 2])> = BTreeMap::new();
        for cut in cuts {
            let (count, [first, second]) = longest.entry(cut.loom).or_insert((0, [Metre::ZERO; 2]));
            *count += 1;
            if cut.length.value > *first {
                (*first, *second) = (cut.length.value, *first);
            } else if cut.length.value > *second {
                *second = cut.length.value;
            }
        }
        Self(longest)
    }

    fn against(&self, model: &Model, cut: &Cut) -> Option<Finding> {
        let (own, most, odd) = (cut.length.value, longest_wire(), odd_lengths());
        if own > most.value {
            let why = format!("longer than {}, more than any loom has", most.value);
            return Some(finding(model, cut, &why, Some(most.value)).figure("limit", format!("{}, {}", most.value, most.source)));
        }
        let (count, [_, second]) = self.0.get(&cut.loom)?;
        let is_far = *count >= odd.value.of_loom_from && own > *second * odd.value.of_loom && own > odd.value.beyond * 2.0;
        is_far.then(|| {
            let loom = model.loom_name(cut.loom);
            finding(model, cut, &format!("and no other wire of loom `{loom}` is longer than {second}"), Some(*second))
                .figure("rule", odd.source)
        })
    }
}
