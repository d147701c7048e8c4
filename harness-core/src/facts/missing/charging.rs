//! What nobody can say of chargers and generators: what they put into a flat battery without a limit, and when they run without `in`.

use super::MissingFact;
use crate::facts::Facts;

pub(super) fn missing(facts: &Facts) -> Vec<MissingFact> {
    let model = facts.model();
    let mut notes: Vec<MissingFact> = facts
        .electrical()
        .unlimited_chargers()
        .into_iter()
        .map(|charging| {
            let (charger, battery) = (model.element_name(charging.charger), model.element_name(charging.battery));
            MissingFact::new(
                model[charging.charger].span,
                format!(
                    "the current into `{battery}` while it is flat was not checked: `{charger}`, which charges it, gives no `limit`"
                ),
                "charges a battery",
                format!("add `limit` to `{charger}`, the most that it gives, such as `limit: 90 A`"),
                charger,
            )
        })
        .collect();
    notes.extend(facts.electrical().always_on().into_iter().map(|always| {
        let (source, battery) = (model.element_name(always.source), model.element_name(always.battery));
        let (unchecked, remedy) = if always.is_limited {
            (
                format!("no mode was checked with battery `{battery}` alone: `{source}` has no `in`, so it counts as running in all modes"),
                format!("add `in` to `{source}` with the modes in which it runs, such as those in which the engine runs"),
            )
        } else {
            (
                format!("`{source}` has neither `in` nor `limit`, so it counts as a battery in parallel with `{battery}`, though it gives more than that has"),
                format!("if `{source}` is a generator or charger, add `in` with the modes in which it runs, and `limit`, the most that it gives"),
            )
        };
        MissingFact::new(model[always.source].span, unchecked, "runs in all modes, as far as the design says", remedy, source)
    }));
    notes
}
