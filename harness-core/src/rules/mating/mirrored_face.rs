//! The faces of two halves that join fit each other.

use crate::{
    analysis::Analysis,
    evidence::face_map::face_map,
    facts::{
        Facts,
        faces::{FaceClash, Turn},
    },
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    vocabulary::Word,
    wording::{count, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "mating/mirrored-face",
        level: Level::Warning,
        since: "0.1.0",
        finds: "two halves whose faces cannot both be right: one of them was drawn from the other side, upside down, or by other numbers",
        docs: include_str!("mirrored_face.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.face_clashes().iter().filter_map(|clash| finding(facts, clash)).collect()
}

fn finding(facts: &Facts, clash: &FaceClash) -> Option<Finding> {
    let model = facts.model();
    let (one, other) = (&model[clash.one], &model[clash.other]);
    let (name, mate) = (quoted(model.text(one.name)), quoted(model.text(other.name)));
    let [own, its] = clash.met.map(|label| quoted(model.text(label)));
    let (what, help) = match clash.turn {
        Turn::Mirrored => {
            ("one of them was drawn from the other side", "correct `seen-from` of the one that was, or mirror its rows")
        }
        Turn::HalfTurn => ("one of them is upside down", "turn the rows of one of the two by half a turn"),
        Turn::RowsSwapped => ("the rows of one of them are in the other order", "swap the rows of one of the two"),
        Turn::Other => (
            "they number the positions by two schemes",
            "state which position meets which with `pins` of the loom's end, or correct a face",
        ),
    };
    let headline = format!("the faces of {name} and its mate {mate} do not fit each other: {own} would meet {its}; {what}");
    let from = |housing: &crate::model::Housing| housing.seen_from.map_or("", |side| side.value.written());
    let [first, ..] = clash.pairs.as_slice() else { return None };
    let finding = RULE
        .finding(one.labels_span, headline, [])
        .label(format!("{name}, from the {}", from(one)))
        .context(other.labels_span, format!("{mate}, from the {}", from(other)))
        .figure("mated pairs", count(clash.pairs.len(), "pair"))
        .figure("first", first.map(|half| quoted(model.mate_name(half))).join(" on "))
        .help(format!("{help}: look at the part in your hand, or its drawing, from the side that is written"));
    let map = if clash.turn == Turn::Other { face_map(facts, &clash.pairs) } else { None };
    let finding = finding.remedy(map);
    Some(finding.concerns(model.text(one.name)).concerns(model.text(other.name)))
}
