//! Remedies that several rules propose, as changes of the text: another size, another fuse, wires in other cavities.
//!
//! Each is a candidate: whether it removes the finding and adds none is found out by trying it, not here. What is written once for several
//! things is never changed for one of them.

use crate::{
    electrical::fuses::fuse::{kind_of, standard_of},
    evidence::cavity_name,
    facts::{Facts, signals::Rewire, wire_ends::WireEnd},
    finding::{Remedy, RemedyKind},
    model::{ElementId, ElementKind, Model, PointId, PointKind, PortKind, WireId},
    quantity::{Ampere, SquareMillimetre},
    standards::{
        fuse::FuseType,
        trade::{Trade, trade_sizes},
    },
    text::Sources,
    wording::list,
};

/// Sizes that are tried for one wire: the least that the rule asks for, and those above it.
const SIZES: usize = 3;
/// Fuse kinds that are tried for one fuse.
const FUSES: usize = 2;

/// A larger size for a wire, the least first, and for the thinner ones of those in parallel with it in the same step: one alone would draw
/// more than its share. For a core, another cable kind of the design. Empty where a size is written for several wires at once.
#[must_use]
pub fn larger(facts: &Facts, wire: WireId, least: SquareMillimetre) -> Vec<Remedy> {
    if facts.model()[wire].core.is_some() {
        return super::cores::larger_cable(facts, wire, least);
    }
    let trade = facts.model()[wire].size.map_or_else(Trade::default, |size| Trade::of(size.value));
    let sizes = trade_sizes(trade).filter(|size| *size >= least).take(SIZES);
    let thinner = |other: &WireId, size: SquareMillimetre| facts.model()[*other].size.is_some_and(|now| now.value < size);
    let beside = |size: SquareMillimetre| {
        let others = facts.side_by_side().with(wire).iter().flatten().map(|(other, _)| *other);
        let mut all: Vec<WireId> = others.filter(|other| *other == wire || thinner(other, size)).collect();
        if !all.contains(&wire) {
            all = vec![wire];
        }
        all.sort_unstable();
        all.dedup();
        all.into_iter().map(|wire| (wire, size)).collect::<Vec<_>>()
    };
    sizes.filter_map(|size| sized(facts, &beside(size))).collect()
}

/// These sizes for these wires, in one step; `None` where a terminal or a housing does not take one of them.
#[must_use]
pub fn sized(facts: &Facts, wires: &[(WireId, SquareMillimetre)]) -> Option<Remedy> {
    let model = facts.model();
    let cable = |wire: WireId| model[wire].core.map(|core| core.0);
    if let Some((first, _)) = wires.first()
        && cable(*first).is_some()
        && wires.iter().all(|(wire, _)| cable(*wire) == cable(*first))
    {
        let largest = wires.iter().map(|(_, size)| *size).reduce(|most, size| if size > most { size } else { most })?;
        return super::cores::larger_cable(facts, *first, largest).into_iter().next();
    }
    let mut words = Vec::new();
    let mut edits = Vec::new();
    for (id, size) in wires {
        if !super::larger::fits(facts, *id, *size) {
            return None;
        }
        let wire = &model[*id];
        // A smaller size is never what a rule asks for that finds a wire too thin.
        let size_now = wire.size.filter(|now| wire.core.is_none() && now.value < *size)?;
        let span = size_now.span;
        let alone = model.wires().filter(|(_, other)| other.size.is_some_and(|size| size.span == span)).count() == 1;
        let written = as_written(size_now.value, *size).filter(|_| alone)?;
        words.push(format!("{written} for `{}`", model.wire_name(*id)));
        edits.push((span, written));
    }
    let remedy = Remedy::new(RemedyKind::Size, format!("use {}", list(&words)));
    Some(edits.into_iter().fold(remedy, |remedy, (span, text)| remedy.edit(span, text)))
}

/// A size as the design writes that of the wire: in AWG where it does. `None` where no gauge is as large.
fn as_written(now: SquareMillimetre, size: SquareMillimetre) -> Option<String> {
    let trade = Trade::of(now);
    let size = if Trade::of(size) == trade { Some(size) } else { trade_sizes(trade).find(|other| *other >= size) };
    size.map(|size| size.to_string())
}

/// The least that a stud or point at which a fuse sits is made for, and its name; none where nothing says so.
#[must_use]
pub fn holder(model: &Model, fuse: ElementId) -> Option<(Ampere, String)> {
    let rated = model[fuse].points.iter().filter_map(|point| {
        let PointKind::Stud(port) = model[*point].kind else { return None };
        let of_kind = match model[port].kind {
            PortKind::Landing(landing) => landing.kind.and_then(|kind| model[kind].current),
            PortKind::Stud(_) | PortKind::Connector(_) | PortKind::Body => None,
        };
        Some((model[port].current.or(of_kind)?.value, model.port_name(port)))
    });
    rated.reduce(|least, other| if other.0 < least.0 { other } else { least })
}

/// Another rating for a fuse: a kind of the design of the same series, or its own kind with another rating that the series has, if
/// no other fuse is of it. `ratings` are tried in their order.
#[must_use]
pub fn refused(facts: &Facts, fuse: ElementId, ratings: impl IntoIterator<Item = Ampere>) -> Vec<Remedy> {
    let model = facts.model();
    let Some(own) = kind_of(model, fuse) else { return Vec::new() };
    // A holder is not made for more because its fuse is.
    let most = holder(model, fuse).map(|(most, _)| most);
    let fits = |rating: &Ampere| most.is_none_or(|most| *rating <= most) || own.rating.is_some_and(|own| *rating < own.value);
    let remedies = ratings
        .into_iter()
        .filter(fits)
        .filter_map(|rating| of_kind(facts, fuse, rating).or_else(|| rerated(facts, fuse, rating)));
    remedies.take(FUSES).filter(|_| own.standard.is_some()).collect()
}

/// A kind of fuse that the design has already, of the same standard and body.
fn of_kind(facts: &Facts, fuse: ElementId, rating: Ampere) -> Option<Remedy> {
    let model = facts.model();
    let own = kind_of(model, fuse)?;
    let standard = own.standard?.value;
    let (_, other) = model.fuse_kinds().find(|(_, other)| {
        other.standard.is_some_and(|other| other.value == standard)
            && other.body.map(|body| body.value) == own.body.map(|body| body.value)
            && other.rating.is_some_and(|other| other.value == rating)
            && other.voltage.map(|volts| volts.value) == own.voltage.map(|volts| volts.value)
    })?;
    let (name, kind) = (model.element_name(fuse), model.text(other.name));
    Some(Remedy::new(RemedyKind::Fuse, format!("fit `{kind}` ({rating}) for `{name}`")).edit(model[fuse].value_span, kind))
}

/// The fuse's own kind with another rating; a kind that is called by its rating gets the name of the new one.
fn rerated(facts: &Facts, fuse: ElementId, rating: Ampere) -> Option<Remedy> {
    let model = facts.model();
    let ElementKind::Fuse { kind: Some(id), .. } = model[fuse].kind else { return None };
    let own = &model[id];
    let users =
        model.elements().filter(|(_, element)| matches!(element.kind, ElementKind::Fuse { kind: Some(kind), .. } if kind == id));
    // The gates of a datasheet are those of one rating.
    if users.count() != 1 || !own.gates.is_empty() || own.breaking.is_some() || own.resistance.is_some() {
        return None;
    }
    let old = own.rating?;
    let words = format!("fit a fuse of {rating} for `{}`", model.element_name(fuse));
    let remedy = Remedy::new(RemedyKind::Fuse, words).edit(old.span, rating.to_string());
    let name = model.text(own.name);
    let renamed = renamed(name, old.value, rating);
    let is_free = |renamed: &String| model.fuse_kinds().all(|(_, other)| model.text(other.name) != renamed);
    match renamed {
        Some(renamed) if is_free(&renamed) => Some(remedy.edit(own.span, &renamed).edit(model[fuse].value_span, renamed)),
        Some(_) => None,
        None => Some(remedy),
    }
}

/// `blade-20` for `blade-30`; `None` for a name that does not hold the rating.
fn renamed(name: &str, old: Ampere, new: Ampere) -> Option<String> {
    let old = old.get().to_string();
    let at = name.match_indices(&old).map(|(at, _)| at).find(|at| {
        let is_digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit() || letter == '.');
        let (before, after) = (name.get(..*at).unwrap_or(""), name.get(at + old.len()..).unwrap_or(""));
        !is_digit(before.chars().last()) && !is_digit(after.chars().next())
    })?;
    Some(format!("{}{}{}", name.get(..at)?, new.get(), name.get(at + old.len()..)?))
}

/// The ratings that the series of a fuse has, rising; empty where its standard is not known.
#[must_use]
pub fn ratings_made(model: &Model, fuse: ElementId) -> Vec<Ampere> {
    let known = kind_of(model, fuse).and_then(|kind| Some((kind, standard_of(model, kind)?)));
    let Some((kind, standard)) = known else { return Vec::new() };
    let of_body = |of: &&FuseType| kind.body.is_none_or(|body| body.value == **of);
    let mut ratings: Vec<Ampere> =
        standard.types.iter().filter(of_body).flat_map(|of| of.ratings()).map(|rating| rating.value).collect();
    ratings.sort_by(|a, b| a.get().total_cmp(&b.get()));
    ratings.dedup();
    ratings
}

/// Wires moved as `rewires` say: one to a free cavity, two that trade places, several in a ring. `None` where a cavity to which one goes
/// keeps a wire, or is written nowhere.
#[must_use]
pub fn rewired(facts: &Facts, rewires: &[Rewire]) -> Option<Remedy> {
    let (model, ends, sources) = (facts.model(), facts.wire_ends(), facts.design().sources());
    let at = |pin: PointId| ends.wire_at(model, pin);
    let moved: Vec<WireEnd> = rewires.iter().map(|one| at(one.from)).collect::<Option<_>>()?;
    let mut remedy: Option<Remedy> = None;
    for (rewire, end) in rewires.iter().zip(&moved) {
        let cavity = ends.cavity_at(model, rewire.to)?;
        let there = ends.wires(cavity);
        if there.iter().any(|other| !moved.contains(other)) || ends.wires(end.point).len() > 1 {
            return None;
        }
        let loom = model[end.wire].loom;
        let written = match there.first() {
            Some(other) if model[other.wire].loom == loom => sources.slice(other.span).to_owned(),
            _ => in_same_end(model, sources, end, cavity)?,
        };
        let step = remedy.take().unwrap_or_else(|| Remedy::new(kind_of_move(rewires), moves(facts, rewires, &moved)));
        remedy = Some(step.edit(end.span, written));
    }
    // A closed ring can be undone at either end of its wires.
    let remedy = remedy?;
    let partner = |rewire: &Rewire| {
        let at = rewires.iter().position(|other| other.from == rewire.to)?;
        moved.get(at).copied()
    };
    let ring: Option<Vec<(WireEnd, WireEnd)>> =
        rewires.iter().zip(&moved).map(|(rewire, end)| Some((*end, partner(rewire)?))).collect();
    match ring.filter(|_| remedy.kind == RemedyKind::Swap) {
        Some(ring) => Some(super::swaps::traded(facts, &ring).unwrap_or_else(|| remedy.one_of_several())),
        None => Some(remedy),
    }
}

fn kind_of_move(rewires: &[Rewire]) -> RemedyKind {
    let arrives = |from: PointId| rewires.iter().any(|rewire| rewire.to == from);
    // Whatever is left is taken by another: nothing is decided but the order.
    if rewires.len() > 1 && rewires.iter().all(|rewire| arrives(rewire.from)) { RemedyKind::Swap } else { RemedyKind::Move }
}

fn moves(facts: &Facts, rewires: &[Rewire], moved: &[WireEnd]) -> String {
    let model = facts.model();
    match (rewires, moved) {
        ([one, other], [first, second]) if one.from == other.to && one.to == other.from => format!(
            "swap wires `{}` and `{}` in `{}` and `{}`",
            model.wire_name(first.wire),
            model.wire_name(second.wire),
            cavity_name(facts, one.from),
            cavity_name(facts, other.from)
        ),
        _ => {
            let each = rewires.iter().zip(moved);
            let each: Vec<String> = each
                .map(|(rewire, end)| format!("`{}` to `{}`", model.wire_name(end.wire), cavity_name(facts, rewire.to)))
                .collect();
            format!("move {}", list(&each))
        }
    }
}

/// How a cavity of the end in which a wire is now is written; `None` for another end.
pub(super) fn in_same_end(model: &Model, sources: &Sources, end: &WireEnd, cavity: PointId) -> Option<String> {
    let (PointKind::Cavity(own), PointKind::Cavity(other)) = (model[end.point].kind, model[cavity].kind) else { return None };
    if own != other {
        return None;
    }
    let raw = sources.slice(end.span);
    let (before, label) = raw.rsplit_once('.')?;
    let quote = label
        .chars()
        .last()
        .filter(|letter| matches!(letter, '\'' | '"'))
        .map_or("", |quote| if quote == '"' { "\"" } else { "'" });
    Some(format!("{before}.{}{quote}", model.text(model[cavity].label)))
}

/// A wire end moved into another cavity of the same connector, or to a splice of its loom.
#[must_use]
pub fn moved(facts: &Facts, end: &WireEnd, to: PointId) -> Option<Remedy> {
    let model = facts.model();
    let written = match model[to].kind {
        PointKind::Cavity(_) => in_same_end(model, facts.design().sources(), end, to)?,
        PointKind::Splice(splice) => model.text(model[splice].name).to_owned(),
        PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) | PointKind::Ring(_) => return None,
    };
    let words =
        format!("move wire `{}` from `{}` to `{}`", model.wire_name(end.wire), model.point_name(end.point), model.point_name(to));
    Some(Remedy::new(RemedyKind::Move, words).edit(end.span, written))
}

/// The two wires at two points trade places. `None` unless each has one wire, of one loom.
#[must_use]
pub fn swapped(facts: &Facts, one: PointId, other: PointId) -> Option<Remedy> {
    rewired(facts, &[Rewire { from: one, to: other }, Rewire { from: other, to: one }])
}
