//! How hard each fuse is worked: its continuous load against what its rating allows where it sits.

use super::fuse::{carries_its_rating, kind_of};
use crate::{
    electrical::{Charged, ModeState},
    model::{Element, ModeId, Model, Owner},
    network::{EdgeId, Network},
    quantity::{Ampere, Celsius, Ratio},
    standards::{
        Sourced,
        fuse_rules::{ambient_rerating, continuous_loading, full_loading},
    },
    text::Span,
};

/// The ambient at which a fuse in a place of unknown ambient is judged: that of its rating.
const AT_RATING: f64 = 25.0;

/// A fuse in its worst mode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseLoad {
    /// The largest current of all modes.
    pub amps: Ampere,
    /// The mode in which it flows; `None` where no mode was computed.
    pub mode: Option<ModeId>,
    /// The state of charge of batteries on charge with which it flows.
    pub battery: Charged,
    /// The rating.
    pub rating: Ampere,
    /// Share of the rating that the workshop allows for long; all of it for a gG fuse or circuit breaker.
    pub share: Sourced<Ratio>,
    /// Where the policy says that share; `None` where the usual one holds.
    pub policy: Option<Span>,
    /// The air around it; `None` where neither its zone nor the policy says one.
    pub ambient: Option<Celsius>,
    /// What that air leaves of the rating.
    pub rerating: Sourced<Ratio>,
    /// The largest continuous load: rating times both shares.
    pub limit: Ampere,
}

/// The loading of the fuse that `edge` is; `None` where the edge is not a fuse or its rating is not known.
pub(in crate::electrical) fn fuse_loading(network: &Network, modes: &[&ModeState], edge: EdgeId) -> Option<FuseLoad> {
    let model = network.model();
    let item = &network[edge];
    let element = item.element()?;
    let kind = kind_of(model, element)?;
    let rating = kind.rating?.value;
    let element = &model[element];
    let loads = modes.iter().map(|mode| ((mode.id, mode.battery), mode.working_amps(edge, item).abs()));
    let worst = loads.reduce(|worst, other| if other.1 > worst.1 { other } else { worst });
    let policy = model.policy.fuse_loading;
    let share = match policy {
        Some(at) => continuous_loading().map(|_| at.value),
        None if carries_its_rating(model, kind) => full_loading(),
        None => continuous_loading(),
    };
    let ambient = ambient_of(model, element);
    let rerating = ambient_rerating(ambient.unwrap_or(Celsius::new(AT_RATING)));
    Some(FuseLoad {
        amps: worst.map_or_else(Ampere::default, |(_, amps)| amps),
        mode: worst.map(|((mode, _), _)| mode),
        battery: worst.map_or_else(Charged::default, |((_, battery), _)| battery),
        rating,
        share,
        policy: policy.map(|at| at.span),
        ambient,
        rerating,
        limit: rating * share.value * rerating.value,
    })
}

/// The air around an element: that of its device's or loom's zone, else the policy's.
#[must_use]
pub fn ambient_of(model: &Model, element: &Element) -> Option<Celsius> {
    let zone = match element.owner {
        Owner::Device(device) => model[device].zone,
        Owner::Loom(loom) => model[loom].zone,
    };
    zone.and_then(|zone| model[zone].ambient).or(model.policy.ambient).map(|at| at.value)
}
