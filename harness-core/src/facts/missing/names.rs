//! Names of feeds that prove nothing, because the design names the two ends of many after different things.

use super::MissingFact;
use crate::{facts::Facts, wording::count};

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    note(facts).into_iter().collect()
}

fn note(facts: &Facts) -> Option<MissingFact> {
    let (model, names) = (facts.model(), facts.odd_names());
    if names.is_habit() {
        return None;
    }
    let first = names.odd.first()?;
    let (one, other) = (model.point_name(first.pin.point), model.point_name(first.other.point));
    let place = model[first.pin.pin].signal.map_or(model[first.pin.point].span, |signal| signal.span);
    let mut note = MissingFact::new(
        place,
        format!(
            "whether each feed leads to the right place was not checked by its name: {} named after different things at their ends, such as \
             `{one}` (`{}`) and `{other}` (`{}`)",
            match names.odd.len() {
                1 => "1 run is".to_owned(),
                many => format!("{} are", count(many, "run")),
            },
            first.pin.signal_name(model),
            first.other.signal_name(model)
        ),
        "another name at the other end",
        "compare these with the wiring by hand, or give both ends of a feed one name".to_owned(),
        one,
    );
    note.others = names
        .odd
        .iter()
        .skip(1)
        .map(|odd| {
            let place = model[odd.pin.pin].signal.map_or(model[odd.pin.point].span, |signal| signal.span);
            (place, model.point_name(odd.pin.point))
        })
        .collect();
    Some(note)
}
