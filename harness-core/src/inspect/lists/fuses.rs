//! The fuses with what they protect.

use super::{super::Guards, Asked};
use crate::{
    electrical::fuses::fuse::kind_of,
    model::{Element, ElementKind},
    quantity::Ampere,
    text::Span,
};

/// A fuse.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ListedFuse {
    /// `fuse-box.F4`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Its kind; empty where none is given.
    pub kind: String,
    /// Its rating.
    pub rating: Option<Ampere>,
    /// The points that it joins.
    pub points: Vec<String>,
    /// The wires that go by it, as `front.107`, in the order written.
    pub protects: Vec<String>,
    /// Whether it is fitted: an empty holder is not.
    pub fitted: bool,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

/// All fuses in the order written.
pub(super) fn of(asked: &Asked<'_>) -> Vec<ListedFuse> {
    let model = asked.analysis.model();
    let guards = Guards::new(asked.analysis);
    let is_fuse = |element: &&Element| matches!(element.kind, ElementKind::Fuse { .. });
    let fitted = model.elements().filter(|(_, element)| is_fuse(element)).map(|(id, element)| {
        let kind = kind_of(model, id);
        let mut protects = guards.feed(id).map(|feed| guards.behind(feed)).unwrap_or_default();
        protects.sort_unstable_by_key(|wire| model[*wire].span);
        ListedFuse {
            name: model.element_name(id),
            span: element.span,
            kind: kind.map_or_else(String::new, |kind| model.text(kind.name).to_owned()),
            rating: kind.and_then(|kind| kind.rating).map(|rating| rating.value),
            points: element.points.iter().map(|point| model.point_name(*point)).collect(),
            protects: protects.into_iter().map(|wire| model.wire_name(wire)).collect(),
            fitted: true,
            findings: asked.findings(&model.element_name(id)),
        }
    });
    let left_out = model.left_out.iter().filter(is_fuse).map(|element| {
        let name = format!("{}.{}", model.owner_name(element.owner), model.text(element.name));
        ListedFuse {
            findings: asked.findings(&name),
            name,
            span: element.span,
            kind: String::new(),
            rating: None,
            points: element.points.iter().map(|point| model.point_name(*point)).collect(),
            protects: Vec::new(),
            fitted: false,
        }
    });
    let mut fuses: Vec<ListedFuse> = fitted.chain(left_out).collect();
    fuses.sort_by_key(|fuse| fuse.span);
    fuses
}
