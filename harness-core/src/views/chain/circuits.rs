//! The circuits of class B: where their rails begin, what is between them, and what hangs or was cut.

use super::{
    Circuit, CutEnd, Letters, Row,
    items::Namer,
    places::{LinkOf, Live, PlaceId, Places},
    reduce::{Lane, Raw, Reduced, farthest, links, reduce, turned},
    rest::Shown,
};
use crate::{
    analysis::Analysis,
    arena::IdVec,
    model::{DomainId, PointId},
    network::{EdgeId, EdgeRole, MetalKind},
    quantity::Volt,
    vocabulary::Role,
};
use std::collections::BTreeMap;

/// A lane that is not between the rails, with its two ends.
type CutLane = (Lane, CutEnd, CutEnd);

/// All circuits, the rows that are in none, and what they show.
pub(super) fn circuits(analysis: &Analysis, live: &Live) -> (Vec<Circuit>, Vec<Row>, Shown) {
    let places = Places::new(analysis, live);
    let mut build = Build {
        namer: Namer { marks: IdVec::of(Vec::new(), places.points.len()), places: &places },
        shown: Shown::default(),
        letters: Letters::default(),
    };
    let mut pieces: Vec<Piece> = places.pieces().into_iter().filter_map(|(all, links)| piece(&places, all, links)).collect();
    pieces.sort_by_key(|piece| piece.rank(&places));
    let (mut circuits, mut loose) = (Vec::new(), Vec::new());
    for piece in &pieces {
        if let Some(star) = (!piece.works).then(|| star(&places, &piece.links)).flatten() {
            loose.extend(build.star(star));
            continue;
        }
        let reduced = reduce(&places, &piece.links, piece.plus, piece.minus);
        let (between, rows) = build.rows(reduced, piece.works);
        match piece.domain.filter(|_| piece.works) {
            Some(domain) => circuits.push(build.circuit(piece, domain, &between, rows)),
            None => loose.extend(build.loose(piece, between, rows)),
        }
    }
    (circuits, loose, build.shown)
}

/// What links join, with the two places where its rails begin.
struct Piece {
    links: Vec<usize>,
    plus: PlaceId,
    minus: PlaceId,
    /// Whether something gives, takes or stores in it.
    works: bool,
    domain: Option<DomainId>,
    /// Whether a battery is in it.
    has_battery: bool,
}

impl Piece {
    /// The order of circuits: a battery first, direct before alternating voltage, then the highest voltage, then as written.
    fn rank(&self, places: &Places<'_>) -> impl Ord + use<> {
        let model = places.analysis.model();
        let (ac, volts) = self.domain.map_or((false, 0.0), |domain| (model[domain].ac, model[domain].nominal.get()));
        let span = self.links.iter().filter_map(|link| places.span(*link)).min();
        (!self.works, !self.has_battery, ac, std::cmp::Reverse((volts * 1e3).round() as i64), span)
    }
}

/// A piece with its ends; `None` for a place that nothing is joined to.
fn piece(places: &Places<'_>, all: Vec<PlaceId>, links: Vec<usize>) -> Option<Piece> {
    if links.is_empty() {
        return None;
    }
    let works = links.iter().any(|link| places.works(*link));
    let is_battery = |link: &usize| matches!(places.role(*link), Some(EdgeRole::Source { limited: false }));
    let has_battery = links.iter().any(is_battery);
    let (plus, minus) = ends(places, &links).or_else(|| farthest(places, &all, &links))?;
    let domains = places.analysis.electrical().domains();
    let domain = places.points[plus].iter().find_map(|point| domains.of(*point));
    Some(Piece { links, plus, minus, works, domain, has_battery })
}

/// Where the rails begin: at the ends of a battery, else at the poles of what gives most, else at a box, else at what takes.
fn ends(places: &Places<'_>, links: &[usize]) -> Option<(PlaceId, PlaceId)> {
    let network = places.analysis.network();
    let model = places.analysis.model();
    let link = |number: &usize| places.links.get(*number).copied();
    let sources: Vec<(usize, EdgeId)> = links
        .iter()
        .filter_map(|number| match link(number)?.of {
            LinkOf::Edge(edge) if network[edge].role.drives() => Some((*number, edge)),
            LinkOf::Edge(_) | LinkOf::Vacant(_) | LinkOf::Undrawn(..) => None,
        })
        .collect();
    // A battery before what only charges it.
    let is_battery = |(_, edge): &(usize, EdgeId)| network[*edge].role == EdgeRole::Source { limited: false };
    let batteries: Vec<(usize, EdgeId)> = sources.iter().copied().filter(is_battery).collect();
    if let Some(found) = string_ends(places, &batteries).or_else(|| string_ends(places, &sources)) {
        return Some(found);
    }
    let volts = |edge: EdgeId| {
        let open = network[edge].element().and_then(|element| model[element].kind.open_voltage());
        open.unwrap_or(Volt::ZERO).get().abs()
    };
    let most = sources.iter().reduce(|most, next| {
        let (a, b) = ((network[most.1].role.is_source(), volts(most.1)), (network[next.1].role.is_source(), volts(next.1)));
        if b > a { next } else { most }
    });
    if let Some((number, _)) = most {
        // A source runs from its negative to its positive point.
        return link(number).map(|link| (link.b, link.a));
    }
    let undrawn: Vec<_> = links.iter().filter_map(link).filter(|link| matches!(link.of, LinkOf::Undrawn(..))).collect();
    let gives = |of: &LinkOf| match of {
        LinkOf::Undrawn(a, _) => matches!(model.role_at(*a), Some(Role::Output)),
        LinkOf::Edge(_) | LinkOf::Vacant(_) => false,
    };
    let takers = links.iter().filter(|number| places.works(**number)).filter_map(link);
    let taker =
        undrawn.iter().find(|link| gives(&link.of)).or_else(|| undrawn.first()).copied().or_else(|| takers.clone().next());
    taker.map(|link| (link.a, link.b)).filter(|(a, b)| a != b)
}

/// The highest and the lowest pole of the battery with the most volts.
fn string_ends(places: &Places<'_>, sources: &[(usize, EdgeId)]) -> Option<(PlaceId, PlaceId)> {
    let network = places.analysis.network();
    let batteries = places.analysis.facts().batteries();
    let height = |point: PointId| batteries.height(point);
    let mut best: Option<(Volt, PointId, u32)> = None;
    for (_, edge) in sources {
        let top = network[*edge].b;
        let Some((tree, high)) = height(top) else { continue };
        let lowest = sources.iter().filter_map(|(_, other)| height(network[*other].a)).filter(|(own, _)| *own == tree);
        let Some(low) = lowest.map(|(_, low)| low).reduce(Volt::min) else { continue };
        let span = high - low;
        if best.is_none_or(|(most, ..)| span > most) {
            best = Some((span, top, tree));
        }
    }
    let (span, top, tree) = best?;
    let high = height(top).map(|(_, high)| high)?;
    let is_lowest = |point: PointId| {
        let ends = sources.iter().any(|(_, edge)| network[*edge].a == point);
        ends && height(point).is_some_and(|(own, low)| own == tree && (high - low - span).get().abs() < 1e-6)
    };
    // Of several strings side by side the one whose lowest pole is nearest to its highest.
    let keep = |_: EdgeId, edge: &crate::network::Edge| edge.role.drives() || edge.role.conducts_when_closed();
    let way = network.path(top, is_lowest, keep)?;
    let bottom = way.last()?.point;
    let place = |point: PointId| {
        sources.iter().find_map(|(number, edge)| {
            let link = places.links.get(*number)?;
            let edge = &network[*edge];
            if edge.b == point {
                Some(link.b)
            } else if edge.a == point {
                Some(link.a)
            } else {
                None
            }
        })
    };
    place(top).zip(place(bottom)).filter(|(a, b)| a != b)
}

struct Build<'p, 'a> {
    namer: Namer<'p, 'a>,
    shown: Shown,
    letters: Letters,
}

impl Build<'_, '_> {
    /// The ways between the rails, and what hangs or was cut as rows that begin at letters.
    fn rows(&mut self, reduced: Reduced, works: bool) -> (Vec<Vec<Raw>>, Vec<CutLane>) {
        let Reduced { between, hanging, cut, apart } = reduced;
        let mut rows: Vec<(Lane, Option<super::Letter>, Option<super::Letter>)> = Vec::new();
        for lane in cut {
            let (a, b) = (self.mark(&lane.a), self.mark(&lane.b));
            rows.push((lane, Some(a), Some(b)));
        }
        rows.extend(apart.into_iter().map(|lane| (lane, None, None)));
        let mut kept: Vec<Lane> = Vec::new();
        for lane in hanging {
            let begins_here = |place: PlaceId| {
                let cut = rows.iter().any(|(lane, ..)| lane.a == place || lane.b == place);
                cut || kept.iter().any(|kept| kept.a == place)
            };
            let is_needed = begins_here(lane.b) || passed(&lane.steps).into_iter().any(begins_here);
            if works && self.measures(&lane) && !is_needed {
                let edges: Vec<EdgeId> = links(&lane.steps).into_iter().filter_map(|link| self.edge(link)).collect();
                self.shown.measuring.extend(edges);
            } else {
                kept.push(lane);
            }
        }
        // The longest hangs last, and others may hang at it.
        for lane in kept.into_iter().rev() {
            let from = self.mark(&lane.a);
            rows.push((lane, Some(from), None));
        }
        let end = |build: &mut Self, letter: Option<super::Letter>, place: PlaceId| match letter {
            Some(letter) => CutEnd::Letter(letter),
            None => {
                build.show_place(place);
                CutEnd::Open(build.namer.spot(place))
            }
        };
        let named = rows.into_iter().map(|(lane, from, to)| {
            let (from, to) = (end(self, from, lane.a), end(self, to, lane.b));
            (lane, from, to)
        });
        let named = named.collect();
        (between, named)
    }

    fn mark(&mut self, place: &PlaceId) -> super::Letter {
        let letter = self.letters.next();
        self.namer.marks[*place].push(letter);
        letter
    }

    fn edge(&self, link: usize) -> Option<EdgeId> {
        match self.namer.places.links.get(link)?.of {
            LinkOf::Edge(edge) => Some(edge),
            LinkOf::Vacant(_) | LinkOf::Undrawn(..) => None,
        }
    }

    /// Whether what hangs leads to a measuring input: over a resistor that lets next to nothing through, or to a pin that says so, and through
    /// nothing but metal and fuses.
    fn measures(&self, lane: &Lane) -> bool {
        let places = self.namer.places;
        let model = places.analysis.model();
        let lane_links = links(&lane.steps);
        let roles: Vec<Option<EdgeRole>> = lane_links.iter().map(|link| places.role(*link)).collect();
        let signals = lane_links.iter().any(|link| places.is_signal(*link));
        let leads = |role: &Option<EdgeRole>| match role {
            Some(EdgeRole::Metal(MetalKind::Wire | MetalKind::Contact | MetalKind::Joint | MetalKind::Bar)) => true,
            Some(role) => matches!(role, EdgeRole::Fuse | EdgeRole::Resistor | EdgeRole::Shunt),
            None => false,
        };
        let is_input = places.points[lane.b].iter().any(|point| {
            let tapped = model.pin_at(*point).is_some_and(|pin| pin.tap.is_some());
            tapped || model.role_at(*point) == Some(Role::Input)
        });
        roles.iter().all(leads) && (is_input || signals)
    }

    fn show(&mut self, steps: &[Raw]) {
        let places = self.namer.places;
        for link in links(steps) {
            let Some(link) = places.links.get(link) else { continue };
            match link.of {
                LinkOf::Edge(id) => {
                    let edge = &places.analysis.network()[id];
                    self.shown.edges.insert(id);
                    self.shown.elements.extend(edge.element());
                    self.shown.points.extend([edge.a, edge.b]);
                }
                LinkOf::Vacant(element) => {
                    self.shown.elements.insert(element);
                }
                LinkOf::Undrawn(a, b) => self.shown.points.extend([a, b]),
            }
        }
        for place in passed(steps) {
            self.show_place(place);
        }
    }

    fn show_place(&mut self, place: PlaceId) {
        self.shown.elements.extend(self.namer.places.bars[place].iter().copied());
    }

    fn circuit(&mut self, piece: &Piece, domain: DomainId, between: &[Vec<Raw>], rows: Vec<CutLane>) -> Circuit {
        between.iter().for_each(|lane| self.show(lane));
        self.show_place(piece.plus);
        self.show_place(piece.minus);
        let model = self.namer.places.analysis.model();
        let item = &model[domain];
        Circuit {
            domain: model.text(item.name).to_owned(),
            nominal: item.nominal,
            max: item.max,
            ac: item.ac,
            reference: item.reference,
            plus: self.namer.spot(piece.plus),
            minus: self.namer.spot(piece.minus),
            lanes: between.iter().map(|lane| self.namer.steps(lane)).collect(),
            rows: rows.into_iter().map(|row| self.row(row)).collect(),
        }
    }

    fn row(&mut self, (lane, from, to): CutLane) -> Row {
        self.show(&lane.steps);
        // An end that was made before its place got all its letters.
        let whole = |end: CutEnd, place: PlaceId| match end {
            CutEnd::Open(_) => CutEnd::Open(self.namer.spot(place)),
            CutEnd::Letter(letter) => CutEnd::Letter(letter),
        };
        let (from, to) = (whole(from, lane.a), whole(to, lane.b));
        Row { from, steps: self.namer.steps(&lane.steps), to }
    }

    /// The arms of a star, each from its end to the letter at the middle.
    fn star(&mut self, (middle, arms): (PlaceId, Vec<Lane>)) -> Vec<Row> {
        let letter = self.letters.next();
        self.show_place(middle);
        let mut rows: Vec<Row> = Vec::new();
        for lane in arms {
            self.show(&lane.steps);
            self.show_place(lane.a);
            let mut steps = self.namer.steps(&lane.steps);
            if rows.is_empty() {
                steps.push(super::Step::Spot(self.namer.spot(middle)));
            }
            rows.push(Row { from: CutEnd::Open(self.namer.spot(lane.a)), steps, to: CutEnd::Letter(letter) });
        }
        rows
    }

    fn loose(&mut self, piece: &Piece, between: Vec<Vec<Raw>>, rows: Vec<CutLane>) -> Vec<Row> {
        let steps = match <[Vec<Raw>; 1]>::try_from(between) {
            Ok([only]) => only,
            Err(several) => vec![Raw::Beside(several)],
        };
        self.show(&steps);
        self.show_place(piece.plus);
        self.show_place(piece.minus);
        let main = Row {
            from: CutEnd::Open(self.namer.spot(piece.plus)),
            steps: self.namer.steps(&steps),
            to: CutEnd::Open(self.namer.spot(piece.minus)),
        };
        let rest: Vec<Row> = rows.into_iter().map(|row| self.row(row)).collect();
        std::iter::once(main).chain(rest).collect()
    }
}

/// The middle of conductors that meet at one place alone, with the ways to it from their ends; `None` for any other form.
fn star(places: &Places<'_>, all: &[usize]) -> Option<(PlaceId, Vec<Lane>)> {
    let mut around: BTreeMap<PlaceId, Vec<usize>> = BTreeMap::new();
    for number in all {
        let link = places.links.get(*number)?;
        around.entry(link.a).or_default().push(*number);
        around.entry(link.b).or_default().push(*number);
    }
    let mut middles = around.iter().filter(|(_, here)| here.len() > 2);
    let (middle, arms) = match (middles.next(), middles.next()) {
        (Some((middle, arms)), None) => (*middle, arms.clone()),
        _ => return None,
    };
    let mut lanes: Vec<Lane> = Vec::new();
    for arm in arms {
        let (mut at, mut number, mut steps) = (middle, arm, Vec::new());
        loop {
            let link = places.links.get(number)?;
            let next = if link.a == at { link.b } else { link.a };
            // A ring has no end.
            if next == middle || steps.len() > all.len() * 2 {
                return None;
            }
            steps.push(Raw::Link(number, link.a == at));
            match around.get(&next)?.iter().find(|other| **other != number) {
                Some(other) => {
                    steps.push(Raw::Place(next));
                    (at, number) = (next, *other);
                }
                None => {
                    lanes.push(Lane { a: next, b: middle, steps: turned(&steps) });
                    break;
                }
            }
        }
    }
    lanes.sort_by_key(|lane| lane.a);
    Some((middle, lanes))
}

/// The places that a way passes.
fn passed(steps: &[Raw]) -> Vec<PlaceId> {
    let mut found = Vec::new();
    for step in steps {
        match step {
            Raw::Link(..) => {}
            Raw::Place(place) => found.push(*place),
            Raw::Beside(lanes) => lanes.iter().for_each(|lane| found.extend(passed(lane))),
        }
    }
    found
}
