//! The internal resistances of the batteries behind a short, where the design does not give them.

use crate::{
    facts::Facts,
    model::PointId,
    standards::battery::{Assumed, aged_over_new},
    wording::count,
};

/// What was assumed of the batteries that feed a short at `point`: of aged ones, or of new ones; `None` where all is given.
///
/// Cost: a walk over what is joined to the point.
pub fn assumed_battery(facts: &Facts, point: PointId, aged: bool) -> Option<String> {
    let (network, model) = (facts.network(), facts.model());
    let walk = network.walk([point], |_, edge| edge.role.conducts_when_closed() || edge.role.takes_charge());
    let domains = facts.electrical().domains();
    let mut sources = Vec::new();
    for reached in walk.reached() {
        for (_, edge, _) in network.around(*reached).filter(|(_, edge, _)| edge.role.takes_charge()) {
            let alternating = domains.of(edge.b).is_some_and(|domain| model[domain].ac);
            let Some(source) = edge.element().filter(|_| !alternating) else { continue };
            let Some(inner) = model[source].kind.inner_resistance() else { continue };
            let is_assumed = match inner.assumed {
                Assumed::Nothing => false,
                Assumed::Aged => aged,
                Assumed::New => !aged,
                Assumed::Both => true,
            };
            if is_assumed && !sources.iter().any(|(known, _)| *known == source) {
                sources.push((source, inner));
            }
        }
    }
    sources.sort_unstable_by_key(|(source, _)| *source);
    let (source, inner) = sources.first()?;
    let name = model.element_name(*source);
    let more = match sources.len() - 1 {
        0 => String::new(),
        more => format!(", {} alike", count(more, "more source")),
    };
    let ratio = aged_over_new();
    Some(if aged {
        format!("`{name}` assumed aged and cold, {}: {} times that of a new one{more}; {}", inner.aged, ratio.value, ratio.source)
    } else {
        format!("`{name}` assumed new and warm, {}: that of an aged one over {}{more}; {}", inner.new, ratio.value, ratio.source)
    })
}
