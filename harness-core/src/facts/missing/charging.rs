//! Limits without which nobody can say what a charger or alternator puts into a flat battery.

use super::MissingFact;
use crate::facts::Facts;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let notes = facts.electrical().unlimited_chargers().into_iter().map(|charging| {
        let (charger, battery) = (model.element_name(charging.charger), model.element_name(charging.battery));
        MissingFact::new(
            model[charging.charger].span,
            format!("the current into `{battery}` while it is flat was not checked: `{charger}`, which charges it, gives no `limit`"),
            "charges a battery",
            format!("add `limit` to `{charger}`, the most that it gives, such as `limit: 90 A`"),
            charger,
        )
    });
    notes.collect()
}
