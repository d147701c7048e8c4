//! Which net is meant by a thing that is on it.

use crate::phrase::quoted;
use harness_core::{Analysis, inspect::Thing, internals::model::PointId, views::Net};

/// The points of the nets at which these things are, each net once.
///
/// # Errors
/// If a thing is on several nets or on none, with what to write instead.
pub fn points(analysis: &Analysis, things: &[Thing]) -> Result<Vec<PointId>, String> {
    let mut found: Vec<PointId> = Vec::new();
    for thing in things {
        let point = point(analysis, *thing)?;
        let net = analysis.network().net(point);
        if !found.iter().any(|known| analysis.network().net(*known) == net) {
            found.push(point);
        }
    }
    Ok(found)
}

fn point(analysis: &Analysis, thing: Thing) -> Result<PointId, String> {
    let model = analysis.model();
    let name = thing.name(model);
    let several = |what: &str, names: Vec<String>| match names.as_slice() {
        [] => format!("`{name}`: it is on no net"),
        names => format!("`{name}`: it is on several nets; write {what}: {}", quoted(names).join(", ")),
    };
    match thing {
        Thing::Point(point) => Ok(point),
        Thing::Wire(wire) => {
            let ends = [model[wire].from, model[wire].to];
            ends.into_iter().flatten().next().ok_or_else(|| format!("`{name}`: neither of its ends is known"))
        }
        Thing::Element(element) => match Net::at(analysis, element).as_slice() {
            [only] => Ok(*only),
            points => Err(several("one of its points", points.iter().map(|point| model.point_name(*point)).collect())),
        },
        Thing::Cable(cable) => {
            let cores = model.wires().filter(|(_, wire)| wire.core.is_some_and(|(of, _)| of == cable));
            Err(several("one of its cores", cores.map(|(core, _)| model.wire_name(core)).collect()))
        }
        Thing::Pair(end) => {
            let contacts: Vec<PointId> = model[end].points.iter().collect();
            match contacts.as_slice() {
                [only] => Ok(*only),
                _ => Err(several("one of its cavities", contacts.iter().map(|point| model.point_name(*point)).collect())),
            }
        }
    }
}
