//! What on a way loses volts and is not a wire: a fuse, a contact, a plug, a ring; what it is called and what may be done about it.

use crate::{
    electrical::fuses::fuse::kind_of,
    facts::Facts,
    model::{ElementId, PointId, PointKind},
    network::{Edge, EdgeId, EdgeKind},
    quantity::Volt,
    text::Span,
    wording::quoted,
};

/// Something on a way, with the volts that it loses.
#[derive(Debug)]
pub struct Loser {
    /// What it is and its name: "fuse `F1`".
    pub name: String,
    /// The volts across it.
    pub volts: Volt,
    /// Its rating, as "; rated 5 A"; empty where it has none.
    pub rated: String,
    /// Where it is written.
    pub at: Span,
    /// What to do, with no full stop.
    pub help: String,
}

/// What an edge that is not a wire is called and what may be done about the volts that it loses. No help takes a fuse or contact out: each is
/// there for a reason that the drop does not know.
#[must_use]
pub fn loser(facts: &Facts, id: EdgeId, volts: Volt) -> Loser {
    let (model, edge) = (facts.model(), &facts.network()[id]);
    let lose = |name: String, at: Span, help: String| Loser { name, volts, rated: String::new(), at, help };
    match edge.kind {
        EdgeKind::Element(element) if edge.role.is_fuse() => fuse(facts, id, element, volts),
        EdgeKind::Element(element) => {
            let (name, at) = (quoted(model.element_name(element)), model[element].value_span);
            if edge.role.is_switched() {
                let help =
                    format!("fit a contact of less resistance for {name}, or give that of its datasheet as `contact-resistance`");
                lose(format!("contact {name}"), at, help)
            } else {
                lose(name.clone(), at, format!("use something of less resistance for {name}"))
            }
        }
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => {
            let (name, at) = (quoted(model.point_name(of_end(facts, edge))), model[end].span);
            let is_plug = matches!(edge.kind, EdgeKind::Contact(_));
            let (what, help) = if is_plug {
                ("plug contact", format!("use a larger contact at {name}, or two contacts side by side"))
            } else {
                ("joint", format!("use a larger ring or terminal at {name}"))
            };
            lose(format!("{what} {name}"), at, help)
        }
        EdgeKind::Screen(cable) => {
            let name = quoted(model.cable_name(cable));
            lose(format!("the screen of {name}"), model[cable].span, format!("use a core of {name} in place of its screen"))
        }
        EdgeKind::Chassis(device) => {
            let name = quoted(model.device_name(device));
            lose(format!("the metal of {name}"), model[device].span, format!("lead the return in a wire of its own past {name}"))
        }
        EdgeKind::Wire(wire) => {
            let name = quoted(model.wire_name(wire));
            lose(format!("wire {name}"), model[wire].span, format!("use a larger size for {name}"))
        }
    }
}

/// A fuse: too small for its load, or of a rating whose resistance is large.
fn fuse(facts: &Facts, edge: EdgeId, id: ElementId, volts: Volt) -> Loser {
    let model = facts.model();
    let name = quoted(model.element_name(id));
    let over = facts.electrical().fuse_loading(edge).filter(|load| load.amps > load.limit);
    let help = match over {
        Some(load) => format!(
            "replace fuse {name}, which is too small for its {}, with a larger one that the conductors behind it are large enough for",
            load.amps
        ),
        None => format!(
            "a fuse of a larger rating for {name} loses less; fit one only if the conductors behind it are large enough for it"
        ),
    };
    let rated = kind_of(model, id).and_then(|kind| kind.rating);
    let rated = rated.map_or_else(String::new, |rated| format!("; rated {}", rated.value));
    Loser { name: format!("fuse {name}"), volts, rated, at: model[id].value_span, help }
}

/// The point of a joint that is of the loom's end.
fn of_end(facts: &Facts, edge: &Edge) -> PointId {
    let model = facts.model();
    let is_end = |point: PointId| matches!(model[point].kind, PointKind::Cavity(_) | PointKind::Ring(_));
    if is_end(edge.a) { edge.a } else { edge.b }
}
