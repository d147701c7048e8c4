//! What a trace says of an element: of a fuse what it protects and breaks, of a load what is lost on the way to it.

use super::{Trace, fuse_of, untimed};
use crate::{
    analysis::Analysis,
    electrical::{
        conductors::drop::{Authority, Drop},
        fuses::fuse::kind_of,
    },
    inspect::{Against, Guards, Margin, loads},
    model::{ElementId, ElementKind, Model},
};

pub(super) fn of_element(analysis: &Analysis, guards: &Guards<'_>, id: ElementId, trace: &mut Trace) {
    let model = analysis.model();
    let element = &model[id];
    let ElementKind::Fuse { fitted, .. } = element.kind else {
        let points = element.points.iter();
        let mut before: Vec<ElementId> = points.flat_map(|point| guards.before_point(*point).0).collect();
        before.sort_unstable();
        before.dedup();
        trace.fuses = before.iter().map(|fuse| fuse_of(model, *fuse)).collect();
        if let Some(drop) = analysis.electrical().drops().iter().find(|drop| drop.element == id) {
            trace.margins.extend(drop_margin(model, drop));
            if drop.is_partial() {
                trace.unknown.push("the voltage drop of conductors on its way that have no length or no size".to_owned());
            }
        }
        return;
    };
    trace.fuses = vec![fuse_of(model, id)];
    if !fitted {
        trace.notes.push("the holder is empty: nothing flows through it".to_owned());
    }
    if kind_of(model, id).and_then(|kind| kind.rating).is_none() {
        trace.unknown.push("its margins: its kind gives no rating".to_owned());
    }
    let Some(feed) = guards.feed(id) else { return };
    if let Some(row) = loads::fuse(analysis, guards, feed) {
        (trace.margins, trace.short, trace.duty) = (row.margins, row.short, row.duty);
        trace.protects = row.thinnest.map(|thinnest| (thinnest, row.conductors));
    }
    untimed(trace);
    if let (Some(duty), true) = (&trace.duty, trace.margins.iter().all(|margin| margin.against != Against::Breaking)) {
        trace.unknown.push(format!("whether it breaks {}: its kind gives no breaking capacity", duty.amps));
    }
    if feed.fed.is_empty() {
        trace.notes.push("nothing is fed through it".to_owned());
    }
}

/// The margin between the volts that a load loses on the way and the most that it may.
fn drop_margin(model: &Model, drop: &Drop) -> Option<Margin> {
    let (limit, authority) = drop.limit;
    let lost = format!("lost in mode `{}`, feed {} and return {}", model.mode_name(drop.mode), drop.feed.volts, drop.back.volts);
    let source = match authority {
        Authority::Policy(_) => None,
        Authority::Table(source) => Some(source),
    };
    let margin = Margin::between(Against::Drop, drop.volts(), drop.most())?;
    let by = if source.is_none() { ", by the policy" } else { "" };
    Some(margin.said(lost, format!("= {limit} at {}{by}", drop.nominal)).from(source))
}
