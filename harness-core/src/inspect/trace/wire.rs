//! What a trace says of a wire: its capacity, what is beside it, what protects it, its worst short.

use super::{Neighbour, Trace, fuse_of, more_fuses, untimed};
use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::surroundings,
    evidence::assumptions,
    inspect::{Guards, loads, protected},
    model::WireId,
};

pub(super) fn of_wire(analysis: &Analysis, guards: &Guards<'_>, id: WireId, trace: &mut Trace) {
    let model = analysis.model();
    trace.capacity = analysis.electrical().capacity(id);
    if let Some(neighbours) = analysis.electrical().neighbours(id) {
        let mode = model.mode_name(neighbours.mode);
        trace.neighbours = neighbours
            .iter()
            .map(|other| Neighbour {
                name: model.wire_name(other.wire),
                amps: other.amps,
                mode: mode.to_owned(),
                adds: other.adds,
                is_idle: other.is_idle,
            })
            .collect();
        trace.notes.extend(assumptions(analysis.facts(), id, &neighbours).into_iter().map(|text| format!("assumed: {text}")));
    }
    let (before, more) = guards.before(id);
    trace.notes.extend(more_fuses(more));
    trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
    let row = loads::conductor(analysis, guards, id);
    (trace.margins, trace.short) = (row.margins, row.short);
    if row.is_bare {
        trace
            .notes
            .push("a short in it may flow through no fuse: the rules on missing fuses and unfused lengths judge that".to_owned());
    }
    trace.notes.extend(protected::notes(analysis, id));
    untimed(trace);
    if guards.of_return(id).is_some() {
        trace.notes.push("a return: judged by the largest fuse whose current it may carry back".to_owned());
    }
    if trace.fuses.is_empty() {
        trace.notes.push(no_fuse(analysis, guards, id));
    }
    let around = surroundings(model, &model[id]);
    if let (Some(rated), Some(thermal)) = (around.rated, around.thermal())
        && thermal.conductor < rated
    {
        trace.notes.push(format!(
            "rated {rated}, judged as {}: up to there the table of capacities was shown to be right",
            thermal.conductor
        ));
    }
    if trace.capacity.is_none() {
        let wire = &model[id];
        let around = surroundings(model, wire);
        let missing = [
            (wire.size.is_none(), "its size"),
            (around.rated.is_none(), "the rated temperature of its kind"),
            (around.ambient.is_none(), "the ambient of its zone"),
        ];
        let missing: Vec<&str> = missing.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect();
        trace.unknown.push(match missing.is_empty() {
            true => "its capacity: the table ends below its size".to_owned(),
            false => format!("its capacity and its margins: {} not given", missing.join(", ")),
        });
    }
}

/// Why there is no fuse before a wire.
fn no_fuse(analysis: &Analysis, guards: &Guards<'_>, id: WireId) -> String {
    let model = analysis.model();
    if guards.is_return(id) {
        return "a return that no fuse limits: a second path leads round it, or its feeds have none".to_owned();
    }
    let unfused = analysis.electrical().protection().unfused();
    let lead_in = unfused.iter().flat_map(|unfused| &unfused.lead_ins).find(|lead_in| lead_in.wires.contains(&id));
    if let Some(lead_in) = lead_in {
        let run = lead_in.length.map_or_else(|| "a run of unknown length".to_owned(), |length| format!("{length}"));
        return format!("a lead-in: no fuse before it, {run} from the source to `{}`", model.element_name(lead_in.fuse));
    }
    if unfused.iter().flat_map(|unfused| &unfused.to_loads).any(|run| run.wires.contains(&id)) {
        return "there is no fuse between a source and it".to_owned();
    }
    "there is no fuse before it, and no source reaches it other than through a load or another source".to_owned()
}
