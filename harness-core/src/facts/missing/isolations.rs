//! Boxes that have ports of voltage class A and B and do not say what keeps the two apart.

use super::MissingFact;
use crate::{
    facts::{Facts, isolations::Unsaid},
    model::{DeviceId, Model, PortId},
    text::Span,
    wording::{and_more, commas, list_of_first, quoted},
};

/// Names that a note's headline holds.
const NAMED: usize = 3;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let found = facts.isolations();
    // What says nothing at all is one note; what says something is asked for the rest.
    let (silent, partly): (Vec<&Unsaid>, Vec<&Unsaid>) =
        found.unsaid.iter().partition(|unsaid| model[unsaid.device].isolation.is_empty());
    let mut notes: Vec<MissingFact> = note(model, &silent).into_iter().collect();
    notes.extend(partly.into_iter().filter_map(|unsaid| note(model, &[unsaid])));
    notes.extend(found.untested.iter().filter_map(|(device, item)| untested(model, *device, *item)));
    notes
}

fn ports(model: &Model, ports: &[PortId]) -> Vec<String> {
    ports.iter().map(|port| model.text(model[*port].name).to_owned()).collect()
}

/// Names as a file has them: those that are more than letters and digits in quotation marks.
fn written(names: &[String]) -> Vec<String> {
    let is_plain = |name: &String| {
        name.starts_with(char::is_alphanumeric) && name.chars().all(|letter| letter.is_alphanumeric() || letter == '-')
    };
    names.iter().map(|name| if is_plain(name) { name.clone() } else { format!("\"{name}\"") }).collect()
}

fn note(model: &Model, boxes: &[&Unsaid]) -> Option<MissingFact> {
    let first = boxes.first()?;
    let name = model.device_name(first.device);
    let [high, low] = [&first.high, &first.low].map(|side| ports(model, side));
    let [high_names, low_names] = [&high, &low].map(|side| list_of_first(&side.iter().map(quoted).collect::<Vec<_>>(), NAMED, 0));
    let mut note = MissingFact::new(
        model[first.device].span,
        format!(
            "whether `{name}` keeps class B at {high_names} apart from class A at {low_names} was not checked: nothing says what isolates them{}",
            and_more(boxes.len() - 1, "device")
        ),
        "no `isolation`",
        format!(
            "add `isolation: [ {{ between: [{}], and: [{}], voltage: … }} ]` with the test voltage of its datasheet",
            commas(&written(&high)),
            commas(&written(&low))
        ),
        name.to_owned(),
    );
    let place = |unsaid: &&Unsaid| -> (Span, String) { (model[unsaid.device].span, model.device_name(unsaid.device).to_owned()) };
    note.others = boxes.iter().skip(1).map(place).collect();
    Some(note)
}

fn untested(model: &Model, device: DeviceId, item: usize) -> Option<MissingFact> {
    let (place, name) = (model[device].isolation.get(item)?.span, model.device_name(device));
    Some(MissingFact::new(
        place,
        format!("whether the isolation of `{name}` is enough was not checked: it gives no test voltage"),
        "no `voltage`",
        "add the `voltage` to which the datasheet says that it is tested".to_owned(),
        name.to_owned(),
    ))
}
