//! Boxes of which nobody knows what joins their pins, though a load gets its voltage through them or not at all.

use super::MissingFact;
use crate::{
    facts::Facts,
    model::{DeviceId, ElementId, PointId, PointKind},
    wording::{agree, and_more, list, quoted},
};
use std::collections::BTreeMap;

/// Pins that a note names.
const NAMED: usize = 4;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut by_device: BTreeMap<DeviceId, Vec<_>> = BTreeMap::new();
    // A converter whose input has no voltage has a note of its own, in `idle`.
    // Nothing has to be drawn behind an earth that a load has for its return by mistake.
    let by_earth = facts.loaded_earths();
    let is_asked = |load: ElementId| !model[load].kind.drives() && by_earth.iter().all(|loaded| loaded.load != load);
    for untraced in facts.untraced_loads().iter().filter(|untraced| is_asked(untraced.load)) {
        if let PointKind::Pin(port) | PointKind::Stud(port) = model[untraced.pin].kind {
            by_device.entry(model[port].device).or_default().push(*untraced);
        }
    }
    let notes = by_device.into_iter().filter_map(|(device, loads)| {
        let first = model.element_name(loads.first()?.load);
        let name = model.device_name(device);
        let mut pins: Vec<PointId> = loads.iter().map(|untraced| untraced.pin).collect();
        pins.sort_unstable();
        pins.dedup();
        let named: Vec<String> = pins.iter().take(NAMED).map(|pin| quoted(model.point_name(*pin))).collect();
        let more = and_more(pins.len().saturating_sub(NAMED), "pin");
        Some(MissingFact::new(
            model[device].span,
            format!(
                "whether `{first}`{} {} voltage was not checked: the design does not say what is inside `{name}` behind {}{more}",
                and_more(loads.len() - 1, "load"),
                agree(loads.len(), "gets its", "get their"),
                list(&named),
            ),
            "what joins its pins is not given",
            format!("add under `inside` of `{name}` what joins these pins to the others, such as a `link`"),
            name.to_owned(),
        ))
    });
    notes.collect()
}
