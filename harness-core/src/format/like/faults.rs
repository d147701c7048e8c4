//! What is said of a `like` that means nothing.

use super::super::{Attribute, Holds, reader::clip, rules, shape::FieldShape};
use crate::{
    finding::{Finding, Level, Remedy, RemedyKind},
    suggest::{nearest, question},
    text::Span,
};

/// Names shown of a circle.
const SHOWN: usize = 4;

/// What the things behind a key are called.
pub(super) fn noun(field: &FieldShape) -> &'static str {
    match (field.class.holds, field.key) {
        (Holds::Things(kind), _) => kind.noun(),
        (_, Attribute::Cores) => "core",
        _ => "cover",
    }
}

pub(super) fn misplaced(span: Span, headline: String, label: &str) -> Finding {
    rules::UNEXPECTED_VALUE.finding(span, headline).label(label)
}

/// No thing of the map has the name that `thing` is like.
pub(super) fn unknown<'a>(
    thing: &str,
    (written, span): (&str, Span),
    noun: &str,
    others: impl Iterator<Item = &'a str>,
) -> Finding {
    let near = nearest(written, others);
    let headline = format!("`{}` is like `{}`, and there is no such {noun} here", clip(thing), clip(written));
    let finding = rules::UNKNOWN_NAME.finding(span, headline);
    match near {
        Some(near) => finding
            .label(question(written, near))
            .help(format!("write `{near}`, or name another {noun} of the same map"))
            .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(span, near)),
        None => finding.label(format!("unknown {noun}")).help(format!("name a {noun} of the same map, or take `like` out")),
    }
}

/// Things that are like each other in a circle, each with the place where it says so; the same finding whichever is the first.
pub(super) fn circle(mut named: Vec<(Span, String)>, noun: &str) -> Option<Finding> {
    let least = (0..named.len()).min_by_key(|at| named.get(*at).map(|(_, name)| name.clone())).unwrap_or_default();
    named.rotate_left(least);
    let ((span, first), others) = named.split_first()?;
    let shown = others.iter().take(SHOWN).map(|(_, name)| format!("`{}`", clip(name))).collect::<Vec<_>>().join(", that like ");
    let dots = if others.len() > SHOWN { ", and so on" } else { "" };
    let first = clip(first);
    let finding = misplaced(*span, format!("`{first}` is like {shown}{dots}, that like `{first}`"), "leads back to itself")
        .help(format!("say of one {noun} what it is, and take its `like` out"));
    Some(others.iter().take(SHOWN - 1).fold(finding, |finding, (span, _)| finding.context(*span, "on the way back")))
}

/// A thing that says itself all that the one says which it is like.
pub(super) fn in_vain(thing: &str, base: &str, like: Span, noun: &str) -> Finding {
    let finding = rules::UNUSED_DEFAULT
        .finding(like, format!("the `like` of {noun} `{thing}` takes nothing over"))
        .label(format!("`{base}` says nothing that `{thing}` does not say itself"))
        .help("take it out, or take out what is said twice");
    Finding { stated: Level::Warning, ..finding }
}
