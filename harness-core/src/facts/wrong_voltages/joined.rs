//! Supply pins of different domains on one piece of metal, where no figure is at hand.

use super::{Fed, Wrong, WrongVoltage, crosses};
use crate::{
    facts::{Facts, pins::differ},
    model::{DomainId, PinId, PointId},
    quantity::Volt,
    vocabulary::Role,
};
use rustc_hash::FxHashSet;

/// Supply pins of different domains on one piece of metal.
pub(super) fn joined(facts: &Facts) -> Vec<WrongVoltage> {
    let (model, network, pins) = (facts.model(), facts.network(), facts.pins());
    let shorted: FxHashSet<_> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    let named = network.edges().filter(|(_, edge)| edge.role.drives()).filter_map(|(_, edge)| model[model[edge.b].pin?].domain);
    let with_source: FxHashSet<DomainId> = named.map(|(domain, _)| domain).collect();
    let mut found = Vec::new();
    for net in pins.nets().filter(|net| !shorted.contains(net)) {
        let supplies = pins.of(net).iter().filter(|pin| pin.role.is_some_and(Role::gives_supply));
        let mut firsts: Vec<(DomainId, PointId, PinId)> = Vec::new();
        for pin in supplies {
            if let Some(domain) = pin.domain.filter(|domain| firsts.iter().all(|(known, ..)| known != domain)) {
                firsts.push((domain, pin.point, pin.pin));
            }
        }
        firsts.sort_by(|a, b| model[a.0].nominal.get().total_cmp(&model[b.0].nominal.get()));
        let (Some(low), Some(high)) = (firsts.first(), firsts.last()) else { continue };
        // Of equal voltage AC and DC are left.
        let of_source = pins.of(net).iter().filter(|pin| pins.is_pole(pin.point));
        let of_source = of_source.filter_map(|pin| Some((pin.domain?, pin.point, pin.pin)));
        let others: Vec<_> = firsts.iter().copied().chain(of_source).collect();
        let ac = others.iter().find(|other| model[other.0].ac != model[low.0].ac);
        let high = if differ(model, low.0, high.0) { high } else { ac.unwrap_or(high) };
        let (least, most) = (model[low.0].nominal, model[high.0].nominal);
        // Two batteries of one voltage have domains of their own because they must not be one: what is joined there is a swapped booster. Pins
        // of sensor supplies are named more loosely.
        let is_supply = |(_, point, _): &(DomainId, PointId, PinId)| model.role_at(*point) == Some(Role::Supply);
        // A converter that is swapped is a fault of its own.
        let of_swapped = || facts.swapped_converters().iter().flat_map(|swapped| swapped.input.into_iter().chain(swapped.output));
        let own_sources = || [low.0, high.0].iter().all(|domain| with_source.contains(domain));
        let is_swap = low.0 != high.0
            && is_supply(low)
            && is_supply(high)
            && own_sources()
            && of_swapped().all(|point| network.net(point) != net);
        if (!differ(model, low.0, high.0) && !is_swap) || least <= Volt::ZERO || crosses(facts, low.0, high.0) {
            continue;
        }
        // Of two domains of one voltage the pole of a battery is where it belongs.
        let turned = is_swap && !differ(model, low.0, high.0) && pins.is_pole(low.1) && !pins.is_pole(high.1);
        let (low, high) = if turned { (high, low) } else { (low, high) };
        let path = network.path(high.1, |point| point == low.1, |_, edge| edge.role.is_metal());
        found.push(WrongVoltage {
            wrong: Wrong::Joined,
            things: vec![Fed::Pin(low.1, low.2), Fed::Pin(high.1, high.2)],
            domain: low.0,
            volts: most,
            limit: model[low.0].max,
            supply: None,
            source: None,
            other: Some(high.0),
            net,
            modes: Vec::new(),
            path: path.map_or_else(Vec::new, |steps| network.names(high.1, &steps)),
        });
    }
    found
}
