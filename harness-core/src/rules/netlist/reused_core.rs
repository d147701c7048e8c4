//! Each core of a cable is one conductor.

use crate::{
    analysis::Analysis,
    evidence::cores::Cables,
    facts::Facts,
    finding::{Finding, Level},
    model::{CableId, Core, Model, PointId, PointKind, WireId},
    rules::{Rule, RulePage},
    wording::count,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/reused-core",
        level: Level::Error,
        since: "0.1.0",
        finds: "a core of a cable that is used for two wires",
        docs: include_str!("reused_core.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let cores = model.wires().filter_map(|(id, wire)| Some((wire.core?, id)));
    let mut cores: Vec<((CableId, u32), WireId)> = cores.collect();
    cores.sort_unstable();
    let wires = |group: &[(_, WireId)]| group.iter().map(|(_, wire)| *wire).collect::<Vec<WireId>>();
    let groups = cores.chunk_by(|a, b| a.0 == b.0).map(|group| (group.first().map(|(core, _)| *core), wires(group)));
    let cables = Cables::of(model);
    groups.filter_map(|(core, wires)| finding(analysis.facts(), &cables, core?, &wires)).collect()
}

fn finding(facts: &Facts, cables: &Cables, (cable, position): (CableId, u32), wires: &[WireId]) -> Option<Finding> {
    let model = facts.model();
    let [first, rest @ ..] = wires else { return None };
    // The second that goes on from none of those before it.
    let again =
        rest.iter().zip(1..).find(|(wire, before)| !wires.iter().take(*before).any(|known| goes_on(model, *known, **wire)))?.0;
    let core = model[cable].kind.and_then(|kind| model[kind].cores.get(position as usize));
    let core = core.map_or_else(|| position.to_string(), |core| model.text(core.label).to_owned());
    let name = format!("{}.{core}", model.cable_name(cable));
    let (one, other) = (model.wire_name(*first), model.wire_name(*again));
    let mut finding = RULE
        .finding(model[*again].span, format!("core `{name}` is used for two wires, `{one}` and `{other}`"), [])
        .label("the same core again")
        .context(model[*first].span, "its first wire")
        .help(format!("give `{other}` a free core of the cable, or lead it as a wire of its own"))
        .concerns(one)
        .concerns(other)
        .concerns(name);
    if let Some(more) = wires.len().checked_sub(2).filter(|more| *more > 0) {
        finding = finding.figure("more on this core", count(more, "wire"));
    }
    // Which of the two is in the wrong core is not known; a core of earth is for earth alone.
    let is_live = |core: &Core| core.colour.is_none_or(|colour| !colour.value.is_green_yellow());
    let own = model[*again].colour.is_none_or(|colour| !colour.value.is_green_yellow());
    let free = [*again, *first].into_iter().flat_map(|wire| cables.free(facts, wire, |core| is_live(core) || !own));
    Some(free.fold(finding, Finding::remedy))
}

/// Whether two wires meet in a splice: then they are two lengths of one core that is tapped there.
fn goes_on(model: &Model, one: WireId, other: WireId) -> bool {
    let ends = |wire: WireId| [model[wire].from, model[wire].to].into_iter().flatten();
    let is_splice = |point: PointId| matches!(model[point].kind, PointKind::Splice(_));
    ends(one).any(|point| is_splice(point) && ends(other).any(|end| end == point))
}
