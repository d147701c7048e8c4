//! The margins of contacts, rings, studs and inputs against their own rated currents.

use super::{Against, Margin, Thing};
use crate::{
    analysis::Analysis, facts::rated_currents::RatedThing, model::PointId, network::EdgeId, standards::contact::loaded_factor,
};

/// The margins of a thing that has a rated current, or of the contacts at a point or in a mated pair: the least of its kind each.
pub(super) fn margins(analysis: &Analysis, thing: Thing) -> Vec<Margin> {
    let (model, facts) = (analysis.model(), analysis.facts());
    let of = match thing {
        Thing::Element(id) => Some(RatedThing::Element(id)),
        Thing::Point(id) => Some(RatedThing::Point(id)),
        Thing::Wire(_) | Thing::Cable(_) | Thing::Pair(_) => None,
    };
    let own = facts.rated_currents().iter().filter(|rated| of == Some(rated.of)).filter_map(|rated| {
        let (amps, mode) = *rated.carries.first()?;
        let margin = Margin::between(Against::Load, amps, rated.rated.value)?;
        Some(margin.said(format!("in mode `{}`", model.mode_name(mode)), format!("rating of the {}", rated.noun())))
    });
    let is_here = |cavity: PointId, edge: EdgeId| match thing {
        Thing::Point(id) => [analysis.network()[edge].a, analysis.network()[edge].b].contains(&id),
        Thing::Pair(end) => model[end].points.iter().any(|point| point == cavity),
        Thing::Wire(_) | Thing::Element(_) | Thing::Cable(_) => false,
    };
    let contacts = facts.contact_loads().iter().filter(|contact| is_here(contact.cavity, contact.edge));
    let worst = contacts.reduce(|worst, next| if next.worst.share > worst.worst.share { next } else { worst });
    let contact = worst.and_then(|contact| {
        let (rating, worst) = (contact.rating?, contact.worst);
        let mode = model.mode_name(worst.mode?);
        let margin = Margin::between(Against::Load, worst.amps, worst.allowed)?;
        let beside = if worst.loaded > 1 { format!(", {} contacts loaded", worst.loaded) } else { String::new() };
        let figure = format!("in `{}` in mode `{mode}`", model.point_name(contact.cavity));
        let limit = format!("by `{}`, rated {}{beside}", model.text(rating.holder), rating.amps);
        Some(margin.said(figure, limit).from((worst.loaded > 1).then(|| loaded_factor().source)))
    });
    own.chain(contact).collect()
}
