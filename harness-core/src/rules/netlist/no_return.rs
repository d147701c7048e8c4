//! What flows to a load flows back to its source.

use crate::{
    analysis::Analysis,
    evidence::{blame, few_names, in_modes, supply_cut},
    facts::{
        Facts,
        supply_cuts::{Lost, SupplyCut},
    },
    finding::{Finding, Level},
    model::{ElementId, ModeId},
    network::{Components, GroupId},
    rules::{Rule, RulePage},
    wording::and_more,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/no-return",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that is fed and whose other side never gets back to that source",
        docs: include_str!("no_return.md"),
    },
    check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let mut leaving: FxHashMap<ModeId, Leaving> = FxHashMap::default();
    // A load that has an earth for its return has that fault.
    let by_earth = |load: &ElementId| facts.loaded_earths().iter().any(|loaded| loaded.load == *load);
    let cuts = facts.supply_cuts().iter().filter(|cut| cut.lost == Lost::Return && !cut.loads.iter().all(by_earth));
    cuts.filter_map(|cut| {
        let back = cut.modes.first().and_then(|mode| {
            let leaving = leaving.entry(*mode).or_insert_with(|| Leaving::new(facts, *mode));
            leaving.by_lump.get(&leaving.lumps.of(cut.dead))
        });
        finding(facts, cut, back.map_or(&[], Vec::as_slice))
    })
    .collect()
}

fn finding(facts: &Facts, cut: &SupplyCut, back: &[ElementId]) -> Option<Finding> {
    let model = facts.model();
    let load = *cut.loads.first()?;
    let name = model.element_name(load);
    let more = and_more(cut.loads.len() - 1, "load");
    let (why, help) = blame(facts, cut, "return");
    let headline = format!("the return of `{name}`{more} does not get back to its source{}{why}", in_modes(model, &cut.modes));
    let mut finding = RULE
        .finding(model[load].value_span, headline, [])
        .label(format!("fed, but its return ends at `{}`", model.point_name(cut.dead)))
        .help(help);
    if !back.is_empty() {
        let mut names: Vec<String> = back.iter().map(|load| model.element_name(*load)).collect();
        names.sort();
        finding = finding.figure("goes back through", few_names(&names));
    }
    Some(supply_cut(facts, cut, finding))
}

/// The loads through which a current leaves what conductors join, in one mode.
#[derive(Default)]
struct Leaving {
    lumps: Components,
    by_lump: FxHashMap<GroupId, Vec<ElementId>>,
}

impl Leaving {
    fn new(facts: &Facts, mode: ModeId) -> Self {
        let network = facts.network();
        let Some(mode) = facts.electrical().modes().find(|state| state.id == mode) else { return Self::default() };
        let lumps = network.components(|id, edge| edge.role.conducts_when_closed() && mode.conducts(id));
        let mut by_lump: FxHashMap<GroupId, Vec<ElementId>> = FxHashMap::default();
        for (id, edge) in network.edges().filter(|(_, edge)| edge.role.draws() || edge.role.holds_back()) {
            let amps = mode.amps(id).get();
            let (from, to) = if amps > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) };
            if lumps.of(from) != lumps.of(to) && amps.abs() > NOTHING {
                by_lump.entry(lumps.of(from)).or_default().extend(edge.element());
            }
        }
        Self { lumps, by_lump }
    }
}
