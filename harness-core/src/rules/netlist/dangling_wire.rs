//! Both ends of every wire lead somewhere.

use crate::{
    analysis::Analysis,
    evidence::in_modes,
    facts::{
        Facts,
        open_points::{Dangling, DeadEnd},
        wire_ends::WireEnd,
    },
    finding::{Finding, Level},
    model::{EndKind, Mate, ModeId, PointId, PointKind, WireId},
    rules::{Rule, RulePage},
    text::Span,
    wording::{and_more, list},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/dangling-wire",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire end at nothing: a splice of one wire, an end that mates nothing, a spare pin; a wire with both ends at one place",
        docs: include_str!("dangling_wire.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let open = facts.dangling().iter().filter_map(|dangling| finding(facts, dangling));
    open.chain(facts.model().wires().filter_map(|(id, _)| round(facts, id))).collect()
}

/// A wire both of whose ends are at one place: one splice, one cavity, one stud.
fn round(facts: &Facts, id: WireId) -> Option<Finding> {
    let model = facts.model();
    let wire = &model[id];
    let (from, to) = wire.from.zip(wire.to)?;
    // What a ring or bare end is on; each of two on one stud is a point of its own.
    let place = |point: PointId| match model[point].kind {
        PointKind::Ring(end) => match facts.wire_ends().partner(end) {
            Some(Mate::Port(port)) => model[port].points.get(0).unwrap_or(point),
            Some(Mate::End(_)) | None => point,
        },
        PointKind::Cavity(_) | PointKind::Splice(_) | PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => point,
    };
    if place(from) != place(to) {
        return None;
    }
    let (name, at) = (model.wire_name(id), model.point_name(place(from)));
    Some(
        RULE.finding(wire.to_span, format!("wire `{name}` begins and ends at `{at}`"), [])
            .label("back where it began")
            .context(wire.from_span, "begins here")
            .help(format!("lead one end of `{name}` to where it belongs, or take the wire out"))
            .concerns(name)
            .concerns(at),
    )
}

fn finding(facts: &Facts, dangling: &Dangling) -> Option<Finding> {
    let model = facts.model();
    let Some(first) = dangling.wires.first() else {
        let DeadEnd::LoneSplice(splice) = dangling.why else { return None };
        let splice = &model[splice];
        let name = model.point_name(splice.point);
        let finding = RULE.finding(splice.span, format!("splice `{name}` joins nothing"), []).label("no wire leads here");
        return Some(finding.help("take the splice out, or end the wires in it").concerns(name));
    };
    let wire = model.wire_name(first.wire);
    let more = and_more(dangling.wires.len() - 1, "wire");
    let (headline, label, help) = match dangling.why {
        DeadEnd::LoneSplice(splice) => {
            let splice = model.point_name(model[splice].point);
            (
                format!("wire `{wire}` ends in splice `{splice}`, which joins no other wire"),
                "the only wire in this splice".to_owned(),
                format!("end `{wire}` where it belongs, add the other wires of `{splice}`, or write `end: capped`"),
            )
        }
        DeadEnd::MatesNothing(end) => {
            let name = model.end_name(end);
            let verb = match model[end].kind {
                EndKind::Connector(_) => "mates",
                EndKind::Ring(_) => "bolts-to",
                EndKind::Bare => "lands-on",
            };
            (
                format!("wire `{wire}`{more} ends at `{name}`, which is joined to nothing"),
                format!("the end says no `{verb}`"),
                format!("add `{verb}` to `{name}`, or write `end: capped` at a wire that is kept for later"),
            )
        }
        DeadEnd::NoPosition(end) => {
            let partner = match facts.wire_ends().partner(end)? {
                Mate::Port(port) => model.port_name(port),
                Mate::End(other) => model.end_name(other),
            };
            (
                format!(
                    "wire `{wire}`{more} ends at `{}`, a position that `{partner}` does not have",
                    model.point_name(first.point)
                ),
                "no contact opposite".to_owned(),
                format!("move the wire to a position of `{partner}`, or correct one of the two housings"),
            )
        }
        DeadEnd::EmptyCavity(other) => {
            let other = model.point_name(other);
            (
                format!("wire `{wire}`{more} goes no further: cavity `{other}` holds no wire"),
                format!("meets `{other}`"),
                format!("add the wire at `{other}`, take `{wire}` out, or write `end: capped`"),
            )
        }
        DeadEnd::SparePin(pin) => {
            let pin = model.point_name(pin);
            (
                format!("wire `{wire}`{more} ends at pin `{pin}`, which is spare"),
                format!("meets `{pin}`, with nothing behind it"),
                format!("move `{wire}` to the pin that it is meant for, or say what `{pin}` needs"),
            )
        }
    };
    let mut finding = RULE.finding(place(facts, dangling, first), headline, []).label(label).help(help);
    finding = match dangling.why {
        DeadEnd::SparePin(pin) => match model[model[pin].pin?].spare {
            Some(span) => finding.context(span, "spare here"),
            None => finding,
        },
        DeadEnd::EmptyCavity(other) => match model[other].kind {
            PointKind::Cavity(end) => finding.context(model[end].span, "the other half"),
            PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) | PointKind::Splice(_) => finding,
        },
        DeadEnd::MatesNothing(_) => finding.context(first.span, "this wire leads there"),
        DeadEnd::NoPosition(end) => match model[end].mate_span {
            Some(span) => finding.context(span, "the mate"),
            None => finding,
        },
        DeadEnd::LoneSplice(_) => finding,
    };
    let live = live(facts, dangling);
    if !live.is_empty() {
        let modes = in_modes(model, &live);
        finding = finding.figure("state", format!("joined to a source{modes}"));
    }
    let names: Vec<String> = dangling.wires.iter().map(|end| model.wire_name(end.wire)).collect();
    if names.len() > 1 {
        finding = finding.figure("wires", list(&names));
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}

/// The end's name where the end is the fault, else the place of the wire's end.
fn place(facts: &Facts, dangling: &Dangling, first: &WireEnd) -> Span {
    match dangling.why {
        DeadEnd::MatesNothing(end) => facts.model()[end].span,
        DeadEnd::LoneSplice(_) | DeadEnd::NoPosition(_) | DeadEnd::EmptyCavity(_) | DeadEnd::SparePin(_) => first.span,
    }
}

/// The modes in which a source is joined to one of the open ends.
fn live(facts: &Facts, dangling: &Dangling) -> Vec<ModeId> {
    let is_live = |mode: &&crate::electrical::ModeState| dangling.wires.iter().any(|end| mode.is_live(end.point));
    facts.electrical().modes().filter(is_live).map(|mode| mode.id).collect()
}
