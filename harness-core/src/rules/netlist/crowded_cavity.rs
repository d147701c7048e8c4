//! No cavity holds more than its terminal or housing takes.

use crate::{
    analysis::Analysis,
    evidence::{additions, remedies},
    facts::{
        Facts,
        cavities::{Room, room},
        landings::{LandingUse, taken_in_words},
        wire_ends::{WireEnd, WireEnds},
    },
    finding::{Finding, Level, Remedy, Weighed},
    model::{CableId, End, EndKind, Mate, Model, PointId, PointKind, Wire},
    quantity::SquareMillimetre,
    rules::{Rule, RulePage},
    text::Span,
    wording::{count, list},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/crowded-cavity",
        level: Level::Error,
        since: "0.1.0",
        finds: "more wires in a cavity than its terminal or housing takes",
        docs: include_str!("crowded_cavity.md"),
    },
    check,
};

/// Moves of one finding that are tried.
const MOST_MOVES: usize = 3;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let ends = analysis.facts().wire_ends();
    let mut findings = Vec::new();
    for (_, end) in model.ends().filter(|(_, end)| !matches!(end.kind, EndKind::Bare)) {
        for point in end.points.iter().filter(|point| ends.wires(*point).len() > 1 && model.is_fitted(*point)) {
            findings.extend(finding(analysis.facts(), end, point));
        }
    }
    findings.extend(drained(analysis.facts()));
    findings.extend(analysis.facts().landings().iter().filter_map(|landing| crowded_point(analysis.facts(), landing)));
    findings
}

/// Notes on cavities that would take their wires and are to take a screen too.
fn drained(facts: &Facts) -> Vec<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let screens = model.cables().flat_map(|(id, cable)| cable.screen.into_iter().flatten().map(move |end| (id, end)));
    let mut by_point: BTreeMap<PointId, Vec<(CableId, Span)>> = BTreeMap::new();
    for (cable, (point, span)) in screens.filter(|(_, (point, _))| model.is_fitted(*point)) {
        by_point.entry(point).or_default().push((cable, span));
    }
    let note = |(point, drains): (&PointId, &Vec<(CableId, Span)>)| {
        let PointKind::Cavity(end) = model[*point].kind else { return None };
        let most = room(model, &model[end], *point).most? as usize;
        let wires = ends.wires(*point);
        let all = wires.len() + drains.len();
        let (cable, span) = drains.last()?;
        if all <= most || wires.len() > most {
            return None;
        }
        let (name, of) = (model.point_name(*point), model.cable_name(*cable));
        let headline = format!("cavity `{name}` takes {} and holds {all} with the screen of `{of}`", count(most, "wire"));
        let mut finding = RULE
            .finding(*span, headline, [Weighed::smaller(most), Weighed::larger(all)])
            .label("the drain of this screen is one wire more")
            .help(format!(
                "give the drain a cavity of its own, join it to the wire of `{name}` in a splice, or state by `max-wires` of the housing or \
                 terminal that it takes {all}"
            ));
        for wire in wires {
            finding = finding.context(wire.span, format!("wire `{}` is here", model.wire_name(wire.wire)));
        }
        Some(finding.at_level(Level::Note).concerns(name).concerns(of))
    };
    by_point.iter().filter_map(note).collect()
}

/// The finding about a screw, tab or clamp with more wires than it takes, at the first wire too many.
fn crowded_point(facts: &Facts, landing: &LandingUse) -> Option<Finding> {
    let model = facts.model();
    let kind = &model[landing.kind];
    let most = kind.most_wires()? as usize;
    let extra = landing.wires.get(most)?;
    let (what, name) = (landing.fixing.noun(), model.port_name(landing.port));
    let names: Vec<String> = landing.wires.iter().map(|end| format!("`{}`", model.wire_name(end.wire))).collect();
    let mut finding = RULE
        .finding(
            extra.span,
            format!("{what} `{name}` takes {} and holds {}, {}", count(most, "wire"), names.len(), list(&names)),
            [Weighed::smaller(most), Weighed::larger(names.len())],
        )
        .label(format!("wire {} at this {what}", most + 1))
        .context(kind.span, format!("`{}` takes {}", model.text(kind.name), taken_in_words(kind)))
        .context(model[landing.port].span, format!("{what} `{name}`"));
    for other in landing.wires.iter().filter(|other| *other != extra) {
        finding = finding.context(other.span, format!("wire `{}` is here too", model.wire_name(other.wire)));
    }
    let (over, them) = (names.len() - most, if most == 1 { "alone" } else { "with the others" });
    let help = if signals(model, facts.wire_ends(), &landing.wires).len() > 1 {
        format!("move each wire of `{name}` to the {what} of its signal; wires of different signals are not spliced")
    } else if !facts.carry_one_signal(&landing.wires) {
        format!(
            "move what does not belong at `{name}` to the {what} of its signal; nothing says that these wires carry one signal"
        )
    } else {
        format!(
            "move {} to another {what} that is bridged to `{name}`, or join the wires in a splice and lead one \
             wire {them} to `{name}`",
            count(over, "wire")
        )
    };
    finding = finding.figure("takes", taken_in_words(kind)).help(help);
    Some(finding.concerns(name))
}

fn finding(facts: &Facts, end: &End, point: PointId) -> Option<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let wires = ends.wires(point);
    let room = room(model, end, point);
    let area = wires.iter().map(|end| Some(model[end.wire].size?.value.get())).sum::<Option<f64>>();
    let largest = largest(&room);
    let most = room.most.map(|most| most as usize);
    let name = model.point_name(point);
    let what = if matches!(model[point].kind, PointKind::Ring(_)) { "ring" } else { "cavity" };
    let names: Vec<String> = wires.iter().map(|end| format!("`{}`", model.wire_name(end.wire))).collect();
    let (headline, weighed, over) = match (most, area, largest) {
        (Some(most), _, _) if wires.len() > most => {
            let headline = format!("{what} `{name}` takes {} and holds {}, {}", count(most, "wire"), wires.len(), list(&names));
            (headline, [Weighed::smaller(most), Weighed::larger(wires.len())], most)
        }
        (_, Some(area), Some((largest, who))) if area > largest.get() * (1.0 + 1e-9) => {
            let (area, excess) = (SquareMillimetre::new(area), SquareMillimetre::new(area - largest.get()));
            let headline =
                format!("{what} `{name}` holds {area} in {}, {excess} more than {who} takes", count(wires.len(), "wire"));
            (headline, [Weighed::larger(area), Weighed::larger(excess)], wires.len().saturating_sub(1))
        }
        _ => return None,
    };
    let extra = wires.get(over).or(wires.last())?;
    let (help, candidates) = remedy(facts, end, extra);
    let mut finding = RULE
        .finding(extra.span, headline, weighed)
        .label(format!("wire {} of this {what}", wires.iter().position(|end| end == extra).unwrap_or(0) + 1))
        .help(help)
        .concerns(name);
    for other in wires.iter().filter(|other| *other != extra) {
        finding = finding.context(other.span, format!("wire `{}` is here too", model.wire_name(other.wire)));
    }
    if let Some((terminal, span)) = room.terminal {
        finding = finding.context(span, format!("terminal `{}`", model.text(terminal.name)));
    }
    if let Some(area) = area {
        finding = finding.figure("cross-section together", SquareMillimetre::new(area));
    }
    if let Some((largest, who)) = largest {
        finding = finding.figure("largest", format!("{largest}, {who}"));
    }
    let signals = signals(model, ends, wires);
    if signals.len() > 1 {
        finding = finding.figure("signals joined here", list(&signals));
    }
    Some(candidates.into_iter().fold(finding, Finding::remedy))
}

/// The largest cross-section that a room takes, and who says so.
fn largest(room: &Room<'_>) -> Option<(SquareMillimetre, &'static str)> {
    let of_terminal = room.terminal.and_then(|(terminal, _)| terminal.size);
    let of_housing = room.housing.and_then(|housing| housing.takes_size);
    of_terminal.map(|size| (size.value.most, "the terminal")).or(of_housing.map(|size| (size.value.most, "the housing")))
}

/// The other end of a wire; `None` where reading could not place it.
fn far(wire: &Wire, near: PointId) -> Option<PointId> {
    if wire.from == Some(near) { wire.to } else { wire.from }
}

/// What the far ends of the wires are called, where they differ.
fn signals(model: &Model, ends: &WireEnds, wires: &[WireEnd]) -> Vec<String> {
    let far = wires.iter().filter_map(|end| {
        let other = far(&model[end.wire], end.point)?;
        let pin = model[met(model, ends, other)?].pin?;
        Some(format!("`{}`", model.text(model[pin].signal?.value)))
    });
    let mut signals: Vec<String> = Vec::new();
    for signal in far {
        if !signals.contains(&signal) {
            signals.push(signal);
        }
    }
    signals
}

/// The pin, stud or point that the end of a wire meets.
fn met(model: &Model, ends: &WireEnds, end: PointId) -> Option<PointId> {
    let PointKind::Ring(of) = model[end].kind else { return ends.opposite(model, end) };
    match ends.partner(of)? {
        Mate::Port(port) => model[port].points.get(0),
        Mate::End(_) => None,
    }
}

/// What to do in general, and which moves may do it: into a splice that one of the wires comes from, else to a free position whose pin
/// names the wire's own signal. A free position whose pin names another signal is not free for it.
fn remedy(facts: &Facts, end: &End, extra: &WireEnd) -> (String, Vec<Remedy>) {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let (wires, name) = (ends.wires(extra.point), model.point_name(extra.point));
    if signals(model, ends, wires).len() > 1 {
        let help = format!("move each wire of `{name}` to the pin of its signal; wires of different signals are not spliced");
        return (help, own_positions(facts, end, wires));
    }
    let splices = wires.iter().filter_map(|at| {
        let far = far(&model[at.wire], at.point)?;
        matches!(model[far].kind, PointKind::Splice(_)).then_some((at, far))
    });
    // Where a cavity waits for one of them, it is there by mistake; where nothing says that they are one, a splice may be a short for good.
    let waiting = waiting_positions(facts, end, wires);
    if !waiting.is_empty() || !facts.carry_one_signal(wires) {
        let help = match waiting.is_empty() {
            true => format!(
                "move the wire that does not belong in `{name}` to the pin of its signal; nothing says that these wires carry one signal"
            ),
            false => format!("move the wire that does not belong in `{name}` to the cavity that has no wire yet"),
        };
        return (help, own_positions(facts, end, wires).into_iter().chain(waiting).collect());
    }
    let help = format!("join them in a splice and lead one wire from there to `{name}`, or use a terminal that takes them all");
    let mut candidates = Vec::new();
    for (from_splice, splice) in splices {
        let others = wires.iter().filter(|at| *at != from_splice).map(|at| remedies::moved(facts, at, splice));
        candidates.extend(others.collect::<Option<Vec<_>>>().and_then(together));
    }
    candidates.extend(own_positions(facts, end, wires));
    candidates.extend(additions::spliced(facts, wires));
    (help, candidates)
}

/// Each of the wires moved to a free position of the end at which its far end's signal is named.
fn own_positions(facts: &Facts, end: &End, wires: &[WireEnd]) -> Vec<Remedy> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let said = |point: PointId| Some(model[model[ends.opposite(model, point)?].pin?].signal?.value);
    let free: Vec<PointId> =
        end.points.iter().filter(|point| ends.count(*point) == 0 && !end.plugged.iter().any(|(at, _)| at == point)).collect();
    let mut moves = Vec::new();
    for wire in wires {
        let Some(signal) = far(&model[wire.wire], wire.point).and_then(said) else { continue };
        let own = free.iter().filter(|point| said(**point) == Some(signal));
        moves.extend(own.filter_map(|point| remedies::moved(facts, wire, *point)));
    }
    moves.truncate(MOST_MOVES);
    moves
}

/// Each of the wires moved to a free position of the end whose pin needs a wire and may have this one: the best first, one of several.
fn waiting_positions(facts: &Facts, end: &End, wires: &[WireEnd]) -> Vec<Remedy> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let waits = |point: &PointId| {
        let pin = ends.opposite(model, *point)?;
        (ends.count(*point) == 0 && facts.unconnected().binary_search(&pin).is_ok()).then_some((*point, pin))
    };
    let waiting: Vec<(PointId, PointId)> = end.points.iter().filter_map(|point| waits(&point)).collect();
    let pairs = wires.iter().flat_map(|wire| waiting.iter().map(move |(point, pin)| (wire, *point, *pin)));
    let mut fitting: Vec<(u8, Remedy)> = pairs
        .filter_map(|(wire, point, pin)| {
            Some((facts.fit_of_wire(wire, pin)?, remedies::moved(facts, wire, point)?.one_of_several()))
        })
        .collect();
    fitting.sort_by_key(|(fit, _)| std::cmp::Reverse(*fit));
    fitting.into_iter().map(|(_, remedy)| remedy).take(MOST_MOVES).collect()
}

/// Several moves as one step.
fn together(moves: Vec<Remedy>) -> Option<Remedy> {
    moves.into_iter().reduce(|mut one, other| {
        one.words = format!("{}, {}", one.words, other.words);
        one.edits.extend(other.edits);
        one
    })
}
