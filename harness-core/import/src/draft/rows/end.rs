//! An end of a wire, in one cell or in two.

use super::Reading;
use crate::{
    cell::{self, End},
    mapping::Point,
};

/// An end in one cell or two; whether it is doubtful.
pub(super) fn end(plug: &str, pin: &str, has_pins: bool, reading: &Reading<'_>) -> Result<(Vec<End>, bool), String> {
    let plain = cell::doubt(plug);
    // `?101` is the name that an import gave a cavity that no list names.
    let is_unknown = pin.strip_prefix('?').is_some_and(|rest| rest.starts_with(|letter: char| letter.is_alphanumeric()));
    let label = if is_unknown { cell::Doubted { text: pin.to_owned(), is_doubtful: false } } else { cell::doubt(pin) };
    let is_doubtful = plain.is_doubtful || label.is_doubtful;
    if plain.text.is_empty() {
        return if label.text.is_empty() && !is_doubtful {
            Ok((Vec::new(), false))
        } else {
            Err(if label.text.is_empty() { "is still to be found out" } else { "is a cavity without a plug" }.to_owned())
        };
    }
    if let Some(point) = reading.mapping.points.get(plain.text.as_str()) {
        let chain = match point.0 {
            Point::Splice => Some(End::Splice(crate::draft::slug(&plain.text))),
            Point::Stud => Some(End::At(cell::Plain::Whole { name: plain.text.clone(), fixing: Some("stud".to_owned()) })),
            Point::Fuse => Some(End::Element(cell::Element::Fuse { name: Some(plain.text.clone()), rating: None })),
            Point::Name => Some(End::At(cell::Plain::Whole { name: plain.text.clone(), fixing: None })),
            Point::Plug => None,
        };
        if let Some(end) = chain {
            return Ok((vec![end], is_doubtful));
        }
    }
    let is_pole = label.text == "-" && reading.known.has_poles;
    if label.text.is_empty() || label.text == "-" && !is_pole || cell::state(&plain.text).is_some() {
        let mut chain = cell::chain(&plain.text, reading.known)?;
        // Where cavities have a column of their own, `Headlamp L` without one is a name, not a plug with the cavity L.
        if has_pins
            && !plain.text.contains(':')
            && let [End::At(place @ cell::Plain::Cavity { .. })] = chain.as_mut_slice()
        {
            *place = cell::whole(&plain.text);
        }
        return Ok((chain, is_doubtful));
    }
    if let Some(state) = cell::state(&label.text)
        && label.text.to_lowercase() != "x"
        && !is_pole
    {
        return Ok((vec![End::State(state)], is_doubtful));
    }
    // `K1` with `86`, or several cavities of one plug.
    let labels: Vec<&str> = label.text.split([',', ';', '+', '&']).map(str::trim).filter(|label| !label.is_empty()).collect();
    let is_list = labels.len() > 1 && labels.iter().all(|label| cell::is_cavity(label));
    let labels = if is_list { labels } else { vec![label.text.as_str()] };
    let lower = label.text.to_lowercase();
    if ["ring", "stud", "lug", "bolt", "screw", "tab"].contains(&lower.as_str())
        || cell::is_thread(&label.text) && cell::is_ground(&plain.text)
    {
        let fixing = if ["screw", "tab"].contains(&lower.as_str()) {
            lower
        } else if cell::is_thread(&label.text) {
            label.text.clone()
        } else {
            "stud".to_owned()
        };
        return Ok((vec![End::At(cell::Plain::Whole { name: plain.text, fixing: Some(fixing) })], is_doubtful));
    }
    // `Chassis` with `G1`: one of the places on the metal.
    if cell::is_ground(&plain.text) && cell::is_ground_place(&format!("{} {}", plain.text, label.text)) {
        let name = format!("{} {}", plain.text, label.text);
        return Ok((vec![End::At(cell::Plain::Whole { name, fixing: None })], is_doubtful));
    }
    let mut places: Vec<cell::Plain> = labels
        .iter()
        .map(|label| {
            let label = ["pin ", "cavity ", "way ", "terminal "]
                .iter()
                .find_map(|word| label.to_lowercase().starts_with(word).then(|| label.get(word.len()..).unwrap_or(label)))
                .unwrap_or(label);
            cell::Plain::Cavity { plug: plain.text.clone(), cavity: label.trim().to_owned() }
        })
        .collect();
    Ok((vec![if places.len() > 1 { End::Several(places) } else { End::At(places.remove(0)) }], is_doubtful))
}
