//! Slips with routes: a wire cut short, a grommet and a bend that are too small, a stiffer kind across a joint, a 12 V wire in the conduit of high voltage.

use super::{
    items::{Item, ends, figure, parts, pins, segments, splices, top, wires},
    netlist::Netlist,
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with routes.
pub fn kinds() -> Vec<Kind> {
    let one = "nothing says that a wire passes a single segment whole that has no nodes";
    vec![
        Kind { name: "wire cut to half of its route", owed: Owed::Noted(15, one), places: cut },
        Kind { name: "grommet as wide as the bare copper of what goes through", owed: Owed::All, places: grommet },
        Kind { name: "bend of the diameter of the copper in it", owed: Owed::All, places: bend },
        Kind { name: "kind for fixed laying across a joint", owed: Owed::All, places: stiff },
        Kind { name: "wire of 12 V moved to the conduit of high voltage", owed: Owed::All, places: moved },
        Kind { name: "circuits that back each other up led through one segment", owed: Owed::All, places: joined },
    ]
}

/// The length of a text in metres.
fn metres(text: &str) -> f64 {
    let share = if text.ends_with("mm") {
        1e-3
    } else if text.ends_with("cm") {
        1e-2
    } else {
        1.0
    };
    figure(text) * share
}

fn segment(design: &Netlist, wire: &Item, name: &str) -> Option<Item> {
    segments(design).into_iter().find(|segment| segment.owner == wire.owner && segment.name == name)
}

/// Wires of which no end says that it hangs on a segment midway.
fn cut(design: &Netlist) -> Vec<Slip> {
    let hanging: Vec<String> = ends(design)
        .into_iter()
        .chain(splices(design))
        .filter(|item| item.says(design, "at").is_some())
        .map(|item| item.label)
        .collect();
    let hangs = |wire: &Item, side: &str| {
        let text = wire.says(design, side).unwrap_or_default();
        hanging.contains(&format!("{}.{}", wire.owner, text.split('.').next().unwrap_or_default()))
    };
    let slip = |wire: Item| {
        let via = wire.list(design, "via");
        let lengths = via.iter().filter_map(|name| Some(metres(&segment(design, &wire, name)?.says(design, "length")?)));
        let route: f64 = lengths.sum();
        let length = wire.says(design, "length")?;
        let is_free = route > 0.0 && !hangs(&wire, "from") && !hangs(&wire, "to") && metres(&length) > route / 2.0;
        is_free.then(|| Slip::set(&wire.label, wire.key("length"), format!("{} mm", (route * 500.0).round())))
    };
    wires(design).into_iter().filter_map(slip).collect()
}

/// Square millimetres of copper in the single wires that pass a segment.
fn copper(design: &Netlist, segment: &Item) -> Vec<f64> {
    let passes = |wire: &Item| wire.owner == segment.owner && wire.list(design, "via").contains(&segment.name);
    let size = |wire: Item| wire.says(design, "size").filter(|size| size.ends_with("mm2")).map(|size| figure(&size));
    wires(design).into_iter().filter(passes).filter_map(size).collect()
}

/// The diameter of a round of so many square millimetres.
fn diameter(area: f64) -> f64 {
    2.0 * (area / std::f64::consts::PI).sqrt()
}

/// A hole through which not even the bare copper of the wires goes, whatever their insulation.
fn grommet(design: &Netlist) -> Vec<Slip> {
    let slip = |item: Item| {
        item.says(design, "passage")?;
        let area: f64 = copper(design, &item).iter().sum();
        (area > 0.0).then(|| Slip::set(&item.label, item.key("passage"), format!("{:.1} mm", diameter(area))))
    };
    segments(design).into_iter().filter_map(slip).collect()
}

/// A bend whose radius is the diameter of the thickest conductor's copper: no insulated cable may be laid so.
fn bend(design: &Netlist) -> Vec<Slip> {
    let slip = |item: Item| {
        item.says(design, "bend")?;
        let thickest = copper(design, &item).into_iter().fold(0.0, f64::max);
        (thickest > 0.0).then(|| Slip::set(&item.label, item.key("bend"), format!("{:.1} mm", diameter(thickest))))
    };
    segments(design).into_iter().filter_map(slip).collect()
}

/// The kind of the first wire or cable in each segment that moves.
fn stiff(design: &Netlist) -> Vec<Slip> {
    let moving: Vec<Item> =
        segments(design).into_iter().filter(|item| item.says(design, "moves").as_deref() == Some("true")).collect();
    let mut slips = Vec::new();
    for sort in ["conductors", "cables"] {
        for kind in parts(design, sort) {
            if kind.says(design, "strand").is_some() && !moving.is_empty() {
                slips.push(Slip::set(&kind.label, kind.key("strand"), "stranded").naming([kind.name.clone()]));
            }
        }
    }
    slips
}

/// The wire of the second circuit that a device keeps apart, by the way of the first.
fn joined(design: &Netlist) -> Vec<Slip> {
    let wire_of = |pin: &str| {
        let (port, position) = pin.rsplit_once('.')?;
        let end = ends(design).into_iter().find(|end| end.says(design, "mates").as_deref() == Some(port))?;
        let cavity = format!("{}.{position}", end.name);
        let is_there = |wire: &Item, side: &str| wire.says(design, side).as_deref() == Some(cavity.as_str());
        wires(design).into_iter().find(|wire| wire.owner == end.owner && (is_there(wire, "from") || is_there(wire, "to")))
    };
    let slip = |device: Item| {
        let circuits: Vec<String> =
            device.list(design, "apart").into_iter().map(|pin| format!("{}.{pin}", device.name)).collect();
        let [first, second] = circuits.as_slice() else { return None };
        let (one, other) = (wire_of(first)?, wire_of(second)?);
        let way = Value::Sequence(one.list(design, "via").into_iter().map(Value::String).collect());
        Some(Slip::with(&other.label, vec![Edit::Set(other.key("via"), way)]))
    };
    top(design, "devices").into_iter().filter_map(slip).collect()
}

/// Wires that are not orange, in the place of the route where orange ones are.
fn moved(design: &Netlist) -> Vec<Slip> {
    let is_orange = |wire: &Item| wire.says(design, "colour").is_some_and(|colour| colour.starts_with("OG"));
    let all = wires(design);
    // Without class B, orange is a colour as any other.
    if !top(design, "domains").iter().any(|domain| domain.says(design, "max").is_some_and(|volts| figure(&volts) > 60.0)) {
        return Vec::new();
    }
    // An interlock loop runs with class B on purpose, and so does the bond of a box of class B.
    let of_loop: Vec<String> = pins(design)
        .into_iter()
        .filter(|pin| pin.says(design, "role").as_deref() == Some("interlock"))
        .flat_map(|pin| super::charging::wires_at(design, &pin.label))
        .map(|wire| wire.label)
        .collect();
    let slip = |wire: &Item| {
        let orange = all.iter().filter(|other| other.owner == wire.owner && is_orange(other));
        let conduit = orange.flat_map(|other| other.list(design, "via")).next()?;
        let own = wire.list(design, "via");
        let says = wire.says(design, "colour").is_some_and(|colour| colour != "GNYE")
            && !is_orange(wire)
            && !own.is_empty()
            && !own.contains(&conduit);
        says.then(|| Slip::with(&wire.label, vec![Edit::Set(wire.key("via"), Value::Sequence(vec![Value::String(conduit)]))]))
    };
    all.iter().filter(|wire| !of_loop.contains(&wire.label)).filter_map(slip).collect()
}
