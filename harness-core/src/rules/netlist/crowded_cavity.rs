//! No cavity holds more than its terminal or housing takes.

use crate::{
    analysis::Analysis,
    facts::{
        cavities::{Room, room},
        landings::{LandingUse, taken_in_words},
        wire_ends::{WireEnd, WireEnds},
    },
    finding::{Finding, Level},
    model::{End, EndKind, Model, PointId, PointKind, Wire},
    quantity::SquareMillimetre,
    rules::{Rule, RulePage},
    wording::{agree, count, list},
};

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

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let ends = analysis.facts().wire_ends();
    let mut findings = Vec::new();
    for (_, end) in model.ends().filter(|(_, end)| !matches!(end.kind, EndKind::Bare)) {
        for point in end.points.iter().filter(|point| ends.wires(*point).len() > 1 && model.is_fitted(*point)) {
            findings.extend(finding(model, ends, end, point));
        }
    }
    findings.extend(analysis.facts().landings().iter().filter_map(|landing| crowded_point(model, landing)));
    findings
}

/// The finding about a screw, tab or clamp with more wires than it takes, at the first wire too many.
fn crowded_point(model: &Model, landing: &LandingUse) -> Option<Finding> {
    let kind = &model[landing.kind];
    let most = kind.most_wires()? as usize;
    let extra = landing.wires.get(most)?;
    let (what, name) = (landing.fixing.noun(), model.port_name(landing.port));
    let names: Vec<String> = landing.wires.iter().map(|end| format!("`{}`", model.wire_name(end.wire))).collect();
    let mut finding = RULE
        .finding(
            extra.span,
            format!("{what} `{name}` takes {} and holds {}, {}", count(most, "wire"), names.len(), list(&names)),
        )
        .label(format!("wire {} at this {what}", most + 1))
        .context(kind.span, format!("`{}` takes {}", model.text(kind.name), taken_in_words(kind)))
        .context(model[landing.port].span, format!("{what} `{name}`"));
    for other in landing.wires.iter().filter(|other| *other != extra) {
        finding = finding.context(other.span, format!("wire `{}` is here too", model.wire_name(other.wire)));
    }
    let (over, them) = (names.len() - most, if most == 1 { "alone" } else { "with the others" });
    finding = finding.figure("takes", taken_in_words(kind)).help(format!(
        "move {} to another {what} that is bridged to `{name}`, or join the wires in a splice and lead one wire {them} to `{name}`",
        count(over, "wire")
    ));
    Some(finding.concerns(name))
}

fn finding(model: &Model, ends: &WireEnds, end: &End, point: PointId) -> Option<Finding> {
    let wires = ends.wires(point);
    let room = room(model, end, point);
    let area = wires.iter().map(|end| Some(model[end.wire].size?.value.get())).sum::<Option<f64>>();
    let largest = largest(&room);
    let most = room.most.map(|most| most as usize);
    let name = model.point_name(point);
    let what = if matches!(model[point].kind, PointKind::Ring(_)) { "ring" } else { "cavity" };
    let names: Vec<String> = wires.iter().map(|end| format!("`{}`", model.wire_name(end.wire))).collect();
    let (headline, over) = match (most, area, largest) {
        (Some(most), _, _) if wires.len() > most => {
            (format!("{what} `{name}` takes {} and holds {}, {}", count(most, "wire"), wires.len(), list(&names)), most)
        }
        (_, Some(area), Some((largest, who))) if area > largest.get() * (1.0 + 1e-9) => {
            let (area, excess) = (SquareMillimetre::new(area), SquareMillimetre::new(area - largest.get()));
            let headline =
                format!("{what} `{name}` holds {area} in {}, {excess} more than {who} takes", count(wires.len(), "wire"));
            (headline, wires.len().saturating_sub(1))
        }
        _ => return None,
    };
    let extra = wires.get(over).or(wires.last())?;
    let mut finding = RULE
        .finding(extra.span, headline)
        .label(format!("wire {} of this {what}", wires.iter().position(|end| end == extra).unwrap_or(0) + 1))
        .help(remedy(model, ends, end, extra))
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
    Some(finding)
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
        let pin = model[ends.opposite(model, other)?].pin?;
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

/// A splice that one of the wires comes from, else a free position, else a new splice.
fn remedy(model: &Model, ends: &WireEnds, end: &End, extra: &WireEnd) -> String {
    let name = model.wire_name(extra.wire);
    let splices = ends.wires(extra.point).iter().filter_map(|at| {
        let far = far(&model[at.wire], at.point)?;
        matches!(model[far].kind, PointKind::Splice(_)).then_some((at.wire, far))
    });
    if let Some((from_splice, splice)) = splices.into_iter().next() {
        let others = ends.wires(extra.point).iter().filter(|at| at.wire != from_splice).map(|at| model.wire_name(at.wire));
        let others: Vec<String> = others.map(|name| format!("`{name}`")).collect();
        return format!(
            "end {} in splice `{}`, which `{}` comes from",
            list(&others),
            model.point_name(splice),
            model.wire_name(from_splice)
        );
    }
    let free = end.points.iter().filter(|point| ends.count(*point) == 0 && !end.plugged.iter().any(|(at, _)| at == point));
    let free: Vec<String> = free.take(4).map(|point| format!("`{}`", model.point_name(point))).collect();
    match free.as_slice() {
        [] => format!("join the wires in a splice and lead one wire from there to `{}`", model.point_name(extra.point)),
        free => format!(
            "move `{name}` to its own cavity ({} {}), or join the wires in a splice",
            list(free),
            agree(free.len(), "is free", "are free")
        ),
    }
}
