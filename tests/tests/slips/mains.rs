//! Slips with phases: two of three swapped, a current that is given too small for what is connected.

use super::{
    items::{Item, ends, place, times, wires},
    netlist::Netlist,
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with phases.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "two phases swapped", owed: Owed::All, places: phases_swapped },
        Kind { name: "motor of ten times the current", owed: Owed::All, places: ten_times_the_current },
    ]
}

/// The point of a device that an end of a wire leads to, such as `motor.U`; none where it is not a phase.
fn phase_at(design: &Netlist, wire: &Item, side: &str) -> Option<String> {
    let (end, cavity) = place(&wire.says(design, side)?);
    let end = ends(design).into_iter().find(|item| item.owner == wire.owner && item.name == end)?;
    let point = ["bolts-to", "lands-on"].iter().find_map(|key| end.says(design, key)).or_else(|| {
        let port = end.says(design, "mates")?;
        Some(format!("{port}.{cavity}"))
    })?;
    let (_, name) = point.rsplit_once('.')?;
    matches!(name, "U" | "V" | "W").then_some(point)
}

fn phases_swapped(design: &Netlist) -> Vec<Slip> {
    let phases: Vec<(Item, String, String)> = wires(design)
        .into_iter()
        .filter_map(|wire| Some((wire.clone(), phase_at(design, &wire, "to")?, wire.says(design, "to")?)))
        .collect();
    let pairs = phases.windows(2).filter_map(|pair| {
        let [(one, point, own), (other, its, beside)] = pair else { return None };
        let device = |point: &str| point.split_once('.').map(|(device, _)| device.to_owned());
        if device(point) != device(its) {
            return None;
        }
        let edits =
            vec![Edit::Set(one.key("to"), Value::String(beside.clone())), Edit::Set(other.key("to"), Value::String(own.clone()))];
        Some(Slip::with(format!("{} and {}", one.label, other.label), edits).naming([point.clone(), its.clone()]))
    });
    pairs.collect()
}

fn ten_times_the_current(design: &Netlist) -> Vec<Slip> {
    let more = |wire: Item| {
        let current = wire.says(design, "current")?;
        Some(Slip::set(&wire.label, wire.key("current"), times(&current, 10.0)))
    };
    wires(design).into_iter().filter_map(more).collect()
}
