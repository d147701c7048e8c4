//! Slips with keys: two plugs that were kept apart by their keys alone get one key.

use super::{
    items::{Item, ends, figure, place, ports},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with keys.
pub fn kinds() -> Vec<Kind> {
    vec![Kind {
        name: "plug keys made equal",
        owed: Owed::Share(
            80,
            "a switch that nothing feeds in its own plug, and a box that stays dead in a place that is not its own",
        ),
        places: made_equal,
    }]
}

/// A plug on a device, with the housings of both halves.
struct Plug {
    end: Item,
    port: Item,
    own: String,
    mate: String,
}

fn plugs(design: &Netlist) -> Vec<Plug> {
    let ports = ports(design);
    let plug = |end: Item| {
        let mates = end.says(design, "mates")?;
        let port = ports.iter().find(|port| port.label == mates)?.clone();
        let (own, mate) = (end.says(design, "housing")?, port.says(design, "housing")?);
        Some(Plug { end, port, own, mate })
    };
    ends(design).into_iter().filter_map(plug).collect()
}

fn made_equal(design: &Netlist) -> Vec<Slip> {
    let of_kind = |housing: &str, key: &str| design.at(&way(&["parts", "housings", housing, key])).cloned();
    let zone = |plug: &Plug| design.text(&way(&["devices", &plug.port.owner, "zone"]));
    let plugs = plugs(design);
    let mut slips = Vec::new();
    for (at, one) in plugs.iter().enumerate() {
        for other in plugs.iter().skip(at + 1) {
            let is_alike = |key: &str| of_kind(&one.own, key).is_some() && of_kind(&one.own, key) == of_kind(&other.own, key);
            let keys = (of_kind(&one.own, "key"), of_kind(&other.own, "key"));
            let is_apart = zone(one).is_some() && zone(other).is_some() && zone(one) != zone(other);
            if !["family", "positions", "contacts"].into_iter().all(is_alike)
                || keys.0.is_none()
                || keys.1.is_none()
                || keys.0 == keys.1
            {
                continue;
            }
            if is_apart || !(hurts(design, one, other) || hurts(design, other, one)) {
                continue;
            }
            let edits = vec![
                Edit::Set(other.end.key("housing"), Value::String(one.own.clone())),
                Edit::Set(other.port.key("housing"), Value::String(one.mate.clone())),
            ];
            slips
                .push(Slip::with(format!("{} like {}", other.end.label, one.end.label), edits).naming([other.end.label.clone()]));
        }
    }
    slips
}

/// What one pin says.
fn pin(design: &Netlist, port: &Item, position: &str, key: &str) -> Option<String> {
    design.text(&[port.way.clone(), vec!["pins".to_owned(), position.to_owned(), key.to_owned()]].concat())
}

/// Whether a feed of the one would be shorted by the other, or is of more volts than the other's pin.
fn hurts(design: &Netlist, one: &Plug, other: &Plug) -> bool {
    let positions = design.names(&one.port.key("pins"));
    let role = |plug: &Plug, position: &str| pin(design, &plug.port, position, "role");
    let of_role = |wanted: &str| -> Vec<&String> {
        positions.iter().filter(|position| role(one, position).as_deref() == Some(wanted)).collect()
    };
    let (feeds, returns) = (of_role("supply"), of_role("return"));
    let volts = |plug: &Plug, position: &str| {
        let domain = pin(design, &plug.port, position, "domain")?;
        design.text(&way(&["domains", &domain, "nominal"])).map(|nominal| figure(&nominal))
    };
    let is_above = |position: &&String| match (volts(one, position), volts(other, position)) {
        (Some(own), Some(its)) => {
            own > 1.5 * its && ["supply", "sensor supply", "input"].contains(&role(other, position).unwrap_or_default().as_str())
        }
        _ => false,
    };
    let joins = |element: &String| {
        let item = way(&["devices", &other.port.owner, "inside", element]);
        let said = |key: &str| design.text(&[item.clone(), vec![key.to_owned()]].concat());
        let at = |key: &str| said(key).map(|text| place(&text)).filter(|(port, _)| *port == other.port.name).map(|(_, pin)| pin);
        let (Some(from), Some(to)) = (said("switch").and_then(|_| at("from")), said("switch").and_then(|_| at("to"))) else {
            return false;
        };
        feeds.iter().any(|feed| **feed == from && returns.contains(&&to))
            || feeds.iter().any(|feed| **feed == to && returns.contains(&&from))
    };
    feeds.iter().any(is_above) || design.names(&way(&["devices", &other.port.owner, "inside"])).iter().any(joins)
}
