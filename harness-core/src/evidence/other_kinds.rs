//! Remedies that use another kind of the design in place of one that does not suffice: a fuse, the insulation of a wire; and plugs for
//! cavities that are open.
//!
//! A kind of the design is a part that the workshop has a record of. Whether it suffices is found out by trying it.

use crate::{
    electrical::fuses::fuse::{kind_of, standard_of},
    facts::Facts,
    finding::{Remedy, RemedyKind},
    model::{Element, ElementId, ElementKind, End, FuseKind, Model, WireId},
    standards::{
        fuse::FuseType,
        fuse_standard::{FuseStandard, breaker_standard},
    },
    text::{Sources, Span},
    wording::{commas, list, list_of_first, quoted},
};

/// Kinds that are tried for one thing.
const KINDS: usize = 3;

/// Fuse kinds of the design with the same rating that fit the same holder, of which the caller says which may do.
#[must_use]
pub fn other_fuse(facts: &Facts, fuse: ElementId, may_do: impl Fn(&FuseKind) -> bool) -> Vec<Remedy> {
    let model = facts.model();
    let Some((own, rating)) = kind_of(model, fuse).and_then(|own| Some((own, own.rating?.value))) else { return Vec::new() };
    let others = model
        .fuse_kinds()
        .map(|(_, kind)| kind)
        .filter(|kind| kind.name != own.name && kind.rating.is_some_and(|other| other.value == rating))
        .filter(|kind| fits_holder(model, own, kind) && may_do(kind));
    let name = model.element_name(fuse);
    let remedy = |kind: &FuseKind| {
        let text = model.text(kind.name);
        Remedy::new(RemedyKind::Fuse, format!("fit `{text}` ({rating}) for `{name}`")).edit(model[fuse].value_span, text)
    };
    others.take(KINDS).map(remedy).collect()
}

/// A type for the fuses of a kind that names none, of those that its standard makes with its rating; another characteristic for circuit
/// breakers. Another body of a fuse would need another holder.
#[must_use]
pub fn fuse_types(facts: &Facts, fuse: ElementId) -> Vec<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    const BREAKERS: &[FuseType] = &[FuseType::BreakerB, FuseType::BreakerC, FuseType::BreakerD];
    let types = |kind: &FuseKind| match kind.standard {
        Some(standard) if breaker_standard(model.text(standard.value)) => Some(BREAKERS),
        _ => standard_of(model, kind).map(|standard| standard.types),
    };
    let known = kind_of(model, fuse).and_then(|kind| Some((kind, kind.rating?, types(kind)?)));
    let Some((kind, rating, types)) = known.filter(|(kind, ..)| kind.gates.is_empty()) else { return Vec::new() };
    let is_breaker = |body: FuseType| matches!(body, FuseType::BreakerB | FuseType::BreakerC | FuseType::BreakerD);
    if kind.body.is_some_and(|body| !is_breaker(body.value)) {
        return Vec::new();
    }
    let is_of_kind = |element: &Element| {
        let ElementKind::Fuse { kind: Some(id), .. } = element.kind else { return false };
        model[id].span == kind.span
    };
    let users = model.elements().filter(|(_, element)| is_of_kind(element));
    let users: Vec<String> = users.map(|(id, _)| quoted(model.element_name(id))).collect();
    let others = types.iter().filter(|other| kind.body.is_none_or(|body| body.value != **other));
    let made = others.filter(|body| body.ratings().any(|made| made.value == rating.value));
    let remedy = |body: &FuseType| {
        let word = body.designation();
        let (place, text) = match kind.body {
            Some(own) => (own.span, word.to_owned()),
            None => beside(sources, kind.span, rating.span, "type", word)?,
        };
        let what = if is_breaker(*body) { "characteristic" } else { "type" };
        let words = format!("fit {what} {word} ({rating}) for {}", list_of_first(&users, KINDS, 0), rating = rating.value);
        Some(Remedy::new(RemedyKind::Fuse, words).edit(place, text))
    };
    made.filter_map(remedy).take(KINDS).collect()
}

/// Whether a fuse of one kind surely fits the holder of another: their bodies are of one type.
fn fits_holder(model: &Model, own: &FuseKind, other: &FuseKind) -> bool {
    let body = |kind: &FuseKind| kind.body.map(|body| body.value).or_else(|| only_body(model, kind));
    body(own).is_some_and(|own| body(other) == Some(own))
}

/// The body of a kind whose standard has one alone.
fn only_body(model: &Model, kind: &FuseKind) -> Option<FuseType> {
    match FuseStandard::named(model.text(kind.standard?.value))?.types {
        [only] => Some(*only),
        _ => None,
    }
}

/// Conductor kinds of the design with a higher rated voltage, for a wire that names no kind of its own yet.
#[must_use]
pub fn better_insulated(facts: &Facts, wire: WireId) -> Vec<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let item = &model[wire];
    let Some(own) = item.kind.and_then(|kind| model[kind].voltage) else { return Vec::new() };
    let better = model
        .conductor_kinds()
        .map(|(_, kind)| kind)
        .filter(|kind| kind.voltage.is_some_and(|volts| volts.value.volts > own.value.volts));
    let name = model.wire_name(wire);
    let remedy = |text: &str| {
        let edit = beside(sources, item.span, item.to_span, "wire", text)?;
        Some(Remedy::new(RemedyKind::Part, format!("use conductor kind `{text}` for `{name}`")).edit(edit.0, edit.1))
    };
    better.take(KINDS).filter_map(|kind| remedy(model.text(kind.name))).collect()
}

/// A plug for each of these cavities of an end, written into its list of plugs or beside its housing.
#[must_use]
pub fn plugs(facts: &Facts, end: &End, open: &[&str]) -> Option<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let each: Vec<String> = open.iter().map(quoted).collect();
    let name = format!("{}.{}", model.loom_name(end.loom), model.text(end.name));
    let words = format!("close {} of `{name}` with {}", list(&each), if open.len() == 1 { "a plug" } else { "plugs" });
    let labels: Vec<String> = open.iter().map(|label| format!("'{label}'")).collect();
    let remedy = Remedy::new(RemedyKind::Part, words);
    Some(match end.plugged.last() {
        Some((_, last)) if last.end > last.start => {
            remedy.edit(Span::new(last.file, last.end, last.end), format!(", {}", commas(&labels)))
        }
        Some(_) => return None,
        None => {
            let (place, text) = beside(sources, end.span, end.housing_span, "plugged", &format!("[{}]", commas(&labels)))?;
            remedy.edit(place, text)
        }
    })
}

/// A further key in the braces of an entry, behind a value that is written there, or in its words; `None` where the entry is neither on one
/// line, or has the key already.
fn beside(sources: &Sources, entry: Span, value: Span, key: &str, text: &str) -> Option<(Span, String)> {
    if entry.file != value.file || value.start < entry.end {
        return None;
    }
    let source = sources.file(entry.file)?.text();
    let before = source.get(entry.end as usize..value.start as usize)?;
    let inside = before.trim_start().strip_prefix(':')?.trim_start();
    let rest = source.get(value.end as usize..)?;
    let Some(inside) = inside.strip_prefix('{') else {
        // `A to B` is the first of the words; further ones have their keys before them.
        let words = rest.split(['\n', '"', '\'', '#']).next()?;
        let has = words.split(',').any(|piece| piece.trim_start().strip_prefix(key).is_some_and(|rest| rest.starts_with(' ')));
        let are_words = inside.trim_end().ends_with(" to") && !inside.contains(['\n', '#', ',']) && !has;
        return are_words.then(|| (Span::new(value.file, value.end, value.end), format!(", {key} {text}")));
    };
    let rest = rest.get(..rest.find(['}', '\n'])?)?;
    let has = [inside, rest]
        .into_iter()
        .flat_map(|text| text.split([',', '{', '[']))
        .any(|part| part.trim_start().strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with(':')));
    let is_plain = !inside.contains(['{', '[', '\n', '#']);
    (is_plain && !has).then(|| (Span::new(value.file, value.end, value.end), format!(", {key}: {text}")))
}
