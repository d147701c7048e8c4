//! Both ends of every wire lead somewhere.

use super::{
    ends::{Ends, WireEnd, and_more, in_modes, listed},
    open_points::{Dangling, Why, dangling},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{ModeId, PointKind},
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/dangling-wire",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire end at nothing: a splice of one wire, an end that mates nothing, a spare pin",
        docs: include_str!("dangling_wire.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let ends = Ends::new(analysis.model());
    dangling(analysis.model(), &ends).iter().filter_map(|dangling| finding(analysis, &ends, dangling)).collect()
}

fn finding(analysis: &Analysis, ends: &Ends<'_>, dangling: &Dangling) -> Option<Finding> {
    let model = analysis.model();
    let Some(first) = dangling.wires.first() else {
        let Why::LoneSplice(splice) = dangling.why else { return None };
        let splice = model.splice(splice)?;
        let name = model.point_name(splice.point);
        let finding = RULE.finding(splice.span, format!("splice `{name}` joins nothing")).label("no wire leads here");
        return Some(finding.help("take the splice out, or end the wires in it").concerns(name));
    };
    let wire = model.wire_name(first.wire);
    let more = and_more(dangling.wires.len() - 1, "wire");
    let (headline, label, help) = match dangling.why {
        Why::LoneSplice(splice) => {
            let splice = model.point_name(model.splice(splice)?.point);
            (
                format!("wire `{wire}` ends in splice `{splice}`, which joins no other wire"),
                "the only wire in this splice".to_owned(),
                format!("end `{wire}` where it belongs, add the other wires of `{splice}`, or write `end: capped`"),
            )
        }
        Why::MatesNothing(end) => {
            let name = model.end_name(end);
            let verb = if matches!(model.end(end)?.kind, crate::model::EndKind::Ring(_)) { "bolts-to" } else { "mates" };
            (
                format!("wire `{wire}`{more} ends at `{name}`, which is joined to nothing"),
                format!("the end says no `{verb}`"),
                format!("add `{verb}` to `{name}`, or write `end: capped` at a wire that is kept for later"),
            )
        }
        Why::NoPosition(end) => {
            let partner = match ends.partner(end)? {
                crate::model::Mate::Port(port) => model.port_name(port),
                crate::model::Mate::End(other) => model.end_name(other),
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
        Why::EmptyCavity(other) => {
            let other = model.point_name(other);
            (
                format!("wire `{wire}`{more} goes no further: cavity `{other}` holds no wire"),
                format!("meets `{other}`"),
                format!("add the wire at `{other}`, take `{wire}` out, or write `end: capped`"),
            )
        }
        Why::SparePin(pin) => {
            let pin = model.point_name(pin);
            (
                format!("wire `{wire}`{more} ends at pin `{pin}`, which is spare"),
                format!("meets `{pin}`, with nothing behind it"),
                format!("move `{wire}` to the pin that it is meant for, or say what `{pin}` needs"),
            )
        }
    };
    let mut finding = RULE.finding(place(analysis, dangling, first)?, headline).label(label).help(help);
    finding = match dangling.why {
        Why::SparePin(pin) => match model.pin(model.point(pin)?.pin?)?.spare {
            Some(span) => finding.context(span, "spare here"),
            None => finding,
        },
        Why::EmptyCavity(other) => match model.point(other)?.kind {
            PointKind::Cavity(end) => finding.context(model.end(end)?.span, "the other half"),
            _ => finding,
        },
        Why::MatesNothing(_) => finding.context(first.span, "this wire leads there"),
        Why::NoPosition(end) => match model.end(end)?.mate_span {
            Some(span) => finding.context(span, "the mate"),
            None => finding,
        },
        Why::LoneSplice(_) => finding,
    };
    let live = live(analysis, dangling);
    if !live.is_empty() {
        let modes = in_modes(model, &live);
        finding = finding.figure("state", format!("joined to a source{modes}"));
    }
    let names: Vec<String> = dangling.wires.iter().map(|end| model.wire_name(end.wire)).collect();
    if names.len() > 1 {
        finding = finding.figure("wires", listed(&names));
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}

/// The end's name where the end is the fault, else the place of the wire's end.
fn place(analysis: &Analysis, dangling: &Dangling, first: &WireEnd) -> Option<crate::text::Span> {
    match dangling.why {
        Why::MatesNothing(end) => analysis.model().end(end).map(|end| end.span),
        _ => Some(first.span),
    }
}

/// The modes in which a source is joined to one of the open ends.
fn live(analysis: &Analysis, dangling: &Dangling) -> Vec<ModeId> {
    let is_live = |mode: &&crate::electrical::ModeState| dangling.wires.iter().any(|end| mode.is_live(end.point));
    analysis.electrical().modes().filter(is_live).map(|mode| mode.id).collect()
}
