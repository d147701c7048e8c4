//! Wires that trade places can do so at either end, or at a connector on their way: the end that keeps colours, sizes and lengths as the wires beside
//! them have them is proposed, and a step of which nothing says that it is the right one is marked as one of several.
//!
//! The ends compared are all those at which the same swap joins the same pins: from the first one along the wires, through connectors between
//! looms, up to the first splice, device or branch.

use crate::{
    facts::{Facts, mains_sides::is_earth, wire_ends::WireEnd},
    finding::{Remedy, RemedyKind},
    model::{Mate, Model, PointId, PointKind, WireId},
    standards::colour::{Colour, WireColour},
    vocabulary::Role,
    wording::list,
};

/// By how much the wires beside them must speak for one end before it is the right one. Common practice, no source.
const CLEAR: u32 = 2;
/// Wires in a row that are followed.
const MOST: usize = 8;

/// One place at which the wires can trade: each end goes to where its partner in the list is.
struct Place {
    /// The end, and the end whose place it takes.
    moves: Vec<(WireEnd, WireEnd)>,
}

/// The swap of wire ends at the place that the wires beside them speak for: `moves` has each end with the one whose place it takes, a closed
/// ring. The remedy is marked as one of several where another place would do as well; `None` where no place can be written.
#[must_use]
pub fn traded(facts: &Facts, moves: &[(WireEnd, WireEnd)]) -> Option<Remedy> {
    let mut best: Option<(u32, Remedy)> = None;
    let mut second = None;
    for place in places(facts, moves) {
        let Some(remedy) = written(facts, &place) else { continue };
        let score = score(facts, &place);
        if best.as_ref().is_none_or(|(most, _)| score > *most) {
            second = best.replace((score, remedy)).map(|(score, _)| score);
        } else {
            second = second.max(Some(score));
        }
    }
    let (most, remedy) = best?;
    let wires: Vec<WireId> = moves.iter().map(|(end, _)| end.wire).collect();
    let is_open = !are_alike(facts.model(), &wires) && second.is_some_and(|second| most < second + CLEAR);
    Some(if is_open { remedy.one_of_several() } else { remedy })
}

/// Whether wires differ in nothing but their names: then it does not matter at which end they trade.
pub(super) fn are_alike(model: &Model, wires: &[WireId]) -> bool {
    let of = |wire: &WireId| {
        let wire = &model[*wire];
        let place = |point: Option<PointId>| point.map(|point| model[point].kind);
        let (from, to) = (place(wire.from), place(wire.to));
        let key = |kind: Option<PointKind>| kind.map(|kind| format!("{kind:?}"));
        let mut ends = [key(from), key(to)];
        ends.sort();
        (wire.size.map(|size| size.value), wire.colour.map(|colour| colour.value), wire.length.map(|length| length.value), ends)
    };
    let mut all = wires.iter().map(of);
    all.next().is_none_or(|first| all.all(|other| other == first))
}

/// All places at which the same swap can be made, the given one first.
fn places(facts: &Facts, moves: &[(WireEnd, WireEnd)]) -> Vec<Place> {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let mut found = vec![Place { moves: moves.to_vec() }];
    // The partner of each wire by its place in the list.
    let order: Option<Vec<usize>> = moves.iter().map(|(_, other)| moves.iter().position(|(end, _)| end == other)).collect();
    let Some(order) = order else { return found };
    let mut near: Vec<WireEnd> = moves.iter().map(|(end, _)| *end).collect();
    for _ in 0..MOST {
        let far: Option<Vec<WireEnd>> = near.iter().map(|end| other_end(facts, end)).collect();
        let Some(far) = far else { break };
        // Here the partner comes to the end: the ring is turned the other way.
        let back = order.iter().zip(&far).filter_map(|(partner, end)| Some((*far.get(*partner)?, *end)));
        found.push(Place { moves: back.collect() });
        let next: Option<Vec<WireEnd>> = far
            .iter()
            .map(|end| {
                let [only] = ends.wires(end.point) else { return None };
                let mate = ends.opposite(model, only.point).filter(|mate| matches!(model[*mate].kind, PointKind::Cavity(_)))?;
                let [next] = ends.wires(mate) else { return None };
                (ends.count(mate) == 1 && ends.count(end.point) == 1).then_some(*next)
            })
            .collect();
        let Some(next) = next else { break };
        let on = order.iter().zip(&next).filter_map(|(partner, end)| Some((*end, *next.get(*partner)?)));
        found.push(Place { moves: on.collect() });
        near = next;
    }
    found
}

fn other_end(facts: &Facts, end: &WireEnd) -> Option<WireEnd> {
    let wire = &facts.model()[end.wire];
    let both = [(wire.from, wire.from_span), (wire.to, wire.to_span)];
    let (point, span) = both.into_iter().find(|(_, span)| *span != end.span)?;
    Some(WireEnd { point: point?, wire: end.wire, span })
}

/// The swap at one place as changes of the text; `None` where the ends are of several looms, or more wires hang at one of them in a connector.
fn written(facts: &Facts, place: &Place) -> Option<Remedy> {
    let (model, sources) = (facts.model(), facts.design().sources());
    let name = |point: PointId| model.point_name(point);
    let wire = |end: &WireEnd| model.wire_name(end.wire);
    let words = match place.moves.as_slice() {
        [(one, other), _] => {
            format!("swap wires `{}` and `{}` in `{}` and `{}`", wire(one), wire(other), name(one.point), name(other.point))
        }
        many => {
            let each: Vec<String> =
                many.iter().map(|(end, other)| format!("`{}` to `{}`", wire(end), name(other.point))).collect();
            format!("move {}", list(&each))
        }
    };
    let mut remedy = Remedy::new(RemedyKind::Swap, words);
    for (end, other) in &place.moves {
        if model[end.wire].loom != model[other.wire].loom || end.point == other.point {
            return None;
        }
        remedy = remedy.edit(end.span, sources.slice(other.span));
    }
    Some(remedy)
}

/// How much the wires beside the moved ones are like them, after the swap at one place.
fn score(facts: &Facts, place: &Place) -> u32 {
    let moved = |end: &WireEnd| {
        let to = place.moves.iter().find(|(from, _)| from == end);
        to.map_or(end.point, |(_, other)| other.point)
    };
    let mut sum = 0;
    for (end, _) in &place.moves {
        let Some(other) = other_end(facts, end) else { continue };
        let (near, far) = (moved(end), moved(&other));
        sum += siblings(facts, end.wire, near, far, place)
            + joined(facts, end.wire, near, &moved)
            + joined(facts, end.wire, far, &moved);
        sum += by_role(facts, end.wire, near) + by_role(facts, end.wire, far);
    }
    sum
}

/// The loom end or splice that a point is of.
fn of_end(model: &Model, point: PointId) -> String {
    let name = model.point_name(point);
    match model[point].kind {
        PointKind::Cavity(end) | PointKind::Ring(end) => model.end_name(end),
        _ => name,
    }
}

/// How like the wires between the same two ends of the loom are: size, colour and length of the one that is most alike.
fn siblings(facts: &Facts, wire: WireId, near: PointId, far: PointId, place: &Place) -> u32 {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let PointKind::Cavity(end) = model[near].kind else { return 0 };
    let wanted = of_end(model, far);
    let is_moved = |other: WireId| place.moves.iter().any(|(end, _)| end.wire == other);
    let own = &model[wire];
    let points = model[end].points;
    let beside = points.iter().flat_map(|point| ends.wires(point)).filter(|other| !is_moved(other.wire));
    let alike =
        beside.filter(|other| other_end(facts, other).is_some_and(|there| of_end(model, there.point) == wanted)).map(|other| {
            let other = &model[other.wire];
            let is_same = |one: bool| u32::from(one);
            is_same(own.size.map(|size| size.value) == other.size.map(|size| size.value))
                + is_same(base(own.colour.map(|colour| colour.value)) == base(other.colour.map(|colour| colour.value)))
                + is_same(own.length.map(|length| length.value) == other.length.map(|length| length.value))
        });
    alike.max().unwrap_or_default()
}

fn base(colour: Option<WireColour>) -> Option<Colour> {
    colour.map(|colour| colour.base)
}

/// How like the wires are that hang at the same splice or ring, or that go on behind the connector.
fn joined(facts: &Facts, wire: WireId, point: PointId, moved: &impl Fn(&WireEnd) -> PointId) -> u32 {
    let (model, ends) = (facts.model(), facts.wire_ends());
    let own = &model[wire];
    let opposite = ends.opposite(model, point);
    let wires = [Some(point), opposite].into_iter().flatten();
    // Those that come here by the swap count, those that leave do not.
    let here = wires.flat_map(|at| ends.wires(at).iter().filter(move |end| moved(end) == at));
    let alike = here.filter(|other| other.wire != wire).map(|other| {
        let other = &model[other.wire];
        let (mine, its) = (own.colour.map(|colour| colour.value), other.colour.map(|colour| colour.value));
        let colours = u32::from(mine.is_some() && mine == its) + u32::from(base(mine).is_some() && base(mine) == base(its));
        colours + u32::from(own.size.map(|size| size.value) == other.size.map(|size| size.value))
    });
    alike.max().unwrap_or_default()
}

/// Green-yellow for a protective earth (IEC 60445, as `domain/wrong-colour` has it); red for plus and black for minus of direct voltage, where
/// both are used so: common practice, no source.
fn by_role(facts: &Facts, wire: WireId, point: PointId) -> u32 {
    let model = facts.model();
    if model[wire].colour.is_some_and(|colour| colour.value.is_green_yellow()) {
        let at = facts.wire_ends().opposite(model, point).or_else(|| bolted(facts, point));
        return if at.is_some_and(|at| is_earth(model, at)) { CLEAR } else { 0 };
    }
    let domain = facts.electrical().domains().of(point);
    if domain.is_some_and(|domain| model[domain].ac || model[domain].is_class_b()) {
        return 0;
    }
    let at = facts.wire_ends().opposite(model, point).or_else(|| bolted(facts, point));
    let Some(at) = at else { return 0 };
    let is_chassis = model.device_at(at).is_some_and(|device| model[device].chassis);
    let takes_back = is_chassis || model.role_at(at) == Some(Role::Return);
    let colour = base(model[wire].colour.map(|colour| colour.value));
    u32::from(
        colour == Some(Colour::Black) && takes_back || colour == Some(Colour::Red) && model.role_at(at) == Some(Role::Supply),
    )
}

/// The stud that a ring is on.
fn bolted(facts: &Facts, point: PointId) -> Option<PointId> {
    let model = facts.model();
    let PointKind::Ring(end) = model[point].kind else { return None };
    match facts.wire_ends().partner(end)? {
        Mate::Port(port) => model[port].points.get(0),
        Mate::End(_) => None,
    }
}
