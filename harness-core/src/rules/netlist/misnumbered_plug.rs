//! The cavities of a plug are numbered as those of its mate.

use crate::{
    analysis::Analysis,
    evidence::plugs::renumbered,
    facts::{
        Facts,
        faces::FaceClash,
        plug_slips::{Misnumbered, Pattern},
    },
    finding::{Finding, Level},
    model::{EndId, Mate, PointId},
    rules::{Rule, RulePage},
    text::Span,
    wording::{any, commas, count, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/misnumbered-plug",
        level: Level::Error,
        since: "0.1.0",
        finds: "a plug whose wires are in the wrong cavities as a whole: numbered from the other side, rows swapped, all shifted",
        docs: include_str!("misnumbered_plug.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.plug_slips().misnumbered.iter().filter_map(|slip| finding(facts, slip)).collect()
}

fn finding(facts: &Facts, slip: &Misnumbered) -> Option<Finding> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let name = quoted(model.end_name(slip.plug));
    let label = |cavity: PointId| quoted(model.text(model[cavity].label));
    // The cavity in which each wire belongs comes with the one in which it is.
    let place = |cavity: PointId| model[slip.plug].points.iter().position(|point| point == cavity).unwrap_or_default() as i32;
    // What has come round the end of the row is not an example.
    let is_example = |(from, to): &&(PointId, PointId)| match slip.pattern {
        Pattern::Shifted(by) => place(*from) - place(*to) == by,
        _ => true,
    };
    let mut examples = slip.moves.iter().filter(is_example).chain(&slip.moves);
    let ((first, its), (second, others)) = (examples.next()?, examples.next()?);
    let what = match slip.pattern {
        Pattern::Reversed => format!("plug {name} is numbered from the other side"),
        Pattern::RowsReversed => format!("each row of plug {name} is numbered from the other side"),
        Pattern::RowsSwapped => format!("the rows of plug {name} are swapped"),
        Pattern::HalfTurn => format!("plug {name} is numbered upside down"),
        Pattern::Shifted(by) => {
            let side = if by > 0 { "high" } else { "low" };
            let places = match by.unsigned_abs() {
                1 => "one cavity".to_owned(),
                many => count(many as usize, "cavity").replace("cavitys", "cavities"),
            };
            format!("the wires of plug {name} are {places} too {side}")
        }
        Pattern::Other => format!("{} of plug {name} are not in their cavities", count(slip.moves.len(), "wire")),
    };
    let headline = format!(
        "{what}: cavity {} holds the wire of {}, {} that of {}, and so on",
        label(*first),
        label(*its),
        label(*second),
        label(*others)
    );
    let wire = |cavity: PointId| ends.wires(cavity).first().copied();
    let place = wire(*first).map_or(model[slip.plug].span, |end| end.span);
    let mut finding = RULE.finding(place, headline, []).label(format!("belongs in cavity {}", label(*its)));
    finding = finding.context(model[slip.plug].span, "the plug");
    for pin in slip.met.iter().flatten() {
        let span = model[pin.pin].signal.map_or(model[pin.point].span, |signal| signal.span);
        finding = finding.context(span, format!("`{}`: `{}`", model.point_name(pin.point), pin.signal_name(model)));
    }
    let each: Vec<String> =
        slip.moves.iter().map(|(from, to)| format!("{} holds the wire of {}", label(*from), label(*to))).collect();
    finding = finding.figure("cavities", commas(&each));
    let same = match slip.others.as_slice() {
        [] => String::new(),
        others => {
            let names: Vec<String> = others.iter().map(|end| quoted(model.end_name(*end))).collect();
            format!("; the same slip at {} would have the same effect, so look which of them is wrong", any(&names))
        }
    };
    let partner = ends.partner(slip.plug).map(|mate| quoted(model.mate_name(mate))).unwrap_or_default();
    let drawn = match slip.pattern {
        Pattern::Reversed | Pattern::RowsReversed => "; one of the two tables was made looking at the other side of the plug",
        Pattern::RowsSwapped | Pattern::HalfTurn => "; one of the two tables was made with the plug the other way up",
        Pattern::Shifted(_) | Pattern::Other => "",
    };
    let map = if model[slip.plug].pins.is_empty() { String::new() } else { format!(" or `pins` of {name}") };
    let finding = finding.help(format!(
        "move each wire to the cavity in which it belongs, all in one go; or, if the loom is right, correct the pins of {partner}{map}{drawn}{same}"
    ));
    let finding = match face(facts, slip.plug) {
        Some((span, turn)) => finding.context(span, turn),
        None => finding,
    };
    Some(finding.remedy(renumbered(facts, slip)).concerns(model.end_name(slip.plug)))
}

/// The face of the plug or its mate where the two do not fit each other, by `mating/mirrored-face`: then both have one cause.
fn face(facts: &Facts, plug: EndId) -> Option<(Span, &'static str)> {
    let is_of = |clash: &&FaceClash| clash.pairs.iter().flatten().any(|half| *half == Mate::End(plug));
    let clash = facts.face_clashes().iter().find(is_of)?;
    Some((facts.model()[clash.one].labels_span, "its face and that of its mate do not fit each other either"))
}
