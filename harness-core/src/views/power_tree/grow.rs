//! The trees: each piece of the network from the net at which most sources meet.

use super::{
    CommonReturn, DomainTree, NotShown,
    back::Backs,
    chains::Chains,
    figures::Figures,
    grid::Grid,
    hanging::{Hanging, hanging},
    plan::{Inlet, Plan, plan},
    reduce::Lanes,
    rest::{Shown, rest},
    show::{CutLetters, Show},
};
use crate::{
    analysis::Analysis,
    arena::IdVec,
    electrical::ModeState,
    model::{DomainId, ElementId, ElementKind},
    network::{EdgeId, EdgeRole, NetId},
    quantity::Volt,
    text::Span,
    views::{letter::Letters, piece::Maker},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// The trees by domain, and what is in none.
pub(super) struct Grown {
    pub(super) domains: Vec<DomainTree>,
    pub(super) not_shown: Vec<NotShown>,
    pub(super) letters: u32,
}

/// Grows the trees of a design.
pub(super) fn grow(analysis: &Analysis, mode: Option<&ModeState>, figures: &Figures) -> Grown {
    let grid = Grid::new(analysis);
    let chains = Chains::new(&grid);
    let hanging = hanging(&grid);
    let mut inlets: IdVec<NetId, bool> = IdVec::of(false, grid.nets());
    for chain in &chains.chains {
        inlets[chain.top] = true;
    }
    for net in &chains.between {
        inlets[*net] = true;
    }
    let mut holds = inlets.clone();
    for net in hanging.takers.keys().chain(hanging.sides.keys()) {
        holds[*net] = true;
    }
    let mut lanes = Lanes::new(&grid, |link| !chains.links.contains(&link));
    lanes.prune(&grid, &holds);
    lanes.reduce(&grid, &holds);
    let mut plans = plan(&grid, &chains, &hanging, &lanes);
    plans.retain(|plan| !plan.is_signal(&grid, &chains));
    let domain = |plan: &Plan| domain_of(analysis, plan.root());
    let rank = |domain: Option<DomainId>| match domain {
        Some(id) => {
            let item = &analysis.model()[id];
            (!item.is_class_b(), -item.max.get(), Some(item.span))
        }
        None => (true, f64::INFINITY, None),
    };
    plans.sort_by(|a, b| {
        let (one, other) = (rank(domain(a)), rank(domain(b)));
        let domains = one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)).then(one.2.cmp(&other.2));
        domains.then(b.rows().cmp(&a.rows())).then(a.span.cmp(&b.span))
    });
    let backs = Backs::new(&grid, &planned(&plans, &hanging));
    let (letters, given) = letters(&grid, &chains, &plans, &hanging);
    let maker = Maker { analysis, mode };
    let mut show = Show {
        grid: &grid,
        chains: &chains,
        hanging: &hanging,
        lanes: &lanes,
        backs: &backs,
        letters,
        maker,
        figures,
        shown: Shown::default(),
    };
    let mut domains: Vec<(Option<DomainId>, DomainTree)> = Vec::new();
    for plan in &plans {
        let id = domain(plan);
        let tree = show.tree(plan);
        match domains.iter_mut().find(|(known, _)| *known == id) {
            Some((_, known)) => known.trees.push(tree),
            None => domains.push((id, DomainTree { trees: vec![tree], ..empty(analysis, id) })),
        }
    }
    for (id, domain) in &mut domains {
        domain.returns = returns(&mut show, *id);
    }
    let shown = show.shown;
    Grown { domains: domains.into_iter().map(|(_, domain)| domain).collect(), not_shown: rest(&grid, &shown), letters: given }
}

/// What hangs on the nets of plans.
fn planned(plans: &[Plan], hanging: &Hanging) -> Vec<(EdgeId, NetId, NetId)> {
    let nets: FxHashSet<NetId> = plans.iter().flat_map(|plan| plan.nodes.iter().map(|node| node.net)).collect();
    hanging.all.iter().copied().filter(|(_, net, _)| nets.contains(net)).collect()
}

fn letters(grid: &Grid<'_>, chains: &Chains, plans: &[Plan], hanging: &Hanging) -> (CutLetters, u32) {
    let network = grid.analysis.network();
    let model = grid.analysis.model();
    let mut letters = Letters::default();
    let nets: FxHashSet<NetId> = plans.iter().flat_map(|plan| plan.nodes.iter().map(|node| node.net)).collect();
    let inputs: FxHashSet<ElementId> = hanging
        .all
        .iter()
        .filter(|(id, net, _)| network[*id].role == EdgeRole::ConverterInput && nets.contains(net))
        .filter_map(|(id, _, _)| network[*id].element())
        .collect();
    let feeding = plans.iter().flat_map(Plan::inlets).filter_map(|inlet| match inlet {
        Inlet::Chain(number) => chains.chains.get(number),
        Inlet::Between(_) => None,
    });
    let outputs = feeding.flat_map(|chain| chain.sources()).filter_map(|source| network[source].element());
    let mut both: Vec<ElementId> = outputs
        .filter(|element| inputs.contains(element) && matches!(model[*element].kind, ElementKind::Converter { .. }))
        .collect();
    both.sort_by_key(|element| model[*element].span);
    let converters = both.into_iter().map(|element| (element, letters.next())).collect();
    let mut between = FxHashMap::default();
    let begins = chains.chains.iter().filter_map(|chain| chain.from);
    let cut = plans.iter().flat_map(|plan| plan.feeders.iter()).filter_map(|feeder| feeder.between());
    for net in begins.chain(cut) {
        between.entry(net).or_insert_with(|| letters.next());
    }
    let rings = plans.iter().flat_map(|plan| &plan.rings).map(|ring| (*ring, letters.next())).collect();
    (CutLetters { converters, between, rings }, letters.given())
}

pub(super) fn domain_of(analysis: &Analysis, net: NetId) -> Option<DomainId> {
    let points = analysis.network().net_points(net);
    points.iter().find_map(|point| analysis.electrical().domains().of(*point))
}

fn empty(analysis: &Analysis, id: Option<DomainId>) -> DomainTree {
    let item = id.map(|id| &analysis.model()[id]);
    DomainTree {
        name: item.map(|item| analysis.model().text(item.name).to_owned()),
        nominal: item.map_or(Volt::ZERO, |item| item.nominal),
        max: item.map_or(Volt::ZERO, |item| item.max),
        ac: item.is_some_and(|item| item.ac),
        class_b: item.is_some_and(crate::model::Domain::is_class_b),
        reference: item.map(|item| item.reference),
        trees: Vec::new(),
        returns: Vec::new(),
    }
}

/// What is in the returns of several rows of a domain, and what leads from one of its returns to another.
fn returns(show: &mut Show<'_>, domain: Option<DomainId>) -> Vec<CommonReturn> {
    let analysis = show.grid.analysis;
    let model = analysis.model();
    let mut found: Vec<(Span, CommonReturn)> = Vec::new();
    let mut of: Vec<(usize, Vec<String>)> = Vec::new();
    for (link, users) in &show.backs.of {
        let mut names: Vec<(Span, String)> = users
            .iter()
            .filter_map(|(id, _)| analysis.network()[*id].element())
            .map(|element| (model[element].span, model.element_name(element)))
            .collect();
        names.sort();
        names.dedup();
        of.push((*link, names.into_iter().map(|(_, name)| name).collect()));
    }
    of.extend(show.backs.loose.iter().map(|(link, _)| (*link, Vec::new())));
    of.extend(show.backs.common.iter().map(|link| (*link, Vec::new())));
    for (link, names) in of {
        let Some(item) = show.grid.links.get(link).copied() else { continue };
        let fed = if show.grid.fed[item.a] { item.a } else { item.b };
        if domain_of(analysis, fed) != domain || show.is_shown(&item) {
            continue;
        }
        if let Some(piece) = show.back_piece(link) {
            found.push((piece.span, CommonReturn { piece, of: names }));
        }
    }
    found.sort_by(|a, b| (a.0, &a.1.piece.name).cmp(&(b.0, &b.1.piece.name)));
    found.into_iter().map(|(_, common)| common).collect()
}
