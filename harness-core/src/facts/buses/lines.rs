//! Which line of a bus a pin is on.

use crate::{
    facts::names::Label,
    model::{DeviceId, Model, PointId},
    network::{EdgeKind, Network},
    vocabulary::Role,
};

/// A line of a bus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Line {
    /// CAN high, of another pair the plus.
    High,
    /// CAN low, of another pair the minus.
    Low,
    /// The one wire of LIN.
    Single,
}

/// A wired pin of a bus.
pub(super) struct BusPin {
    pub(super) point: PointId,
    pub(super) device: DeviceId,
    pub(super) line: Line,
    /// The words of its signal without those that say which line it is; empty where it has none.
    pub(super) stem: String,
    /// Of a pair that is not CAN.
    pub(super) is_other_pair: bool,
}

/// Whether a wire comes to a pin.
pub(super) fn is_wired(network: &Network, point: PointId) -> bool {
    network.around(point).any(|(_, edge, _)| matches!(edge.kind, EdgeKind::Contact(_) | EdgeKind::Joint(_)))
}

/// Which line of a bus a pin is on, by its role, else by its name.
pub(super) fn line_of(model: &Model, point: PointId) -> Option<(Line, String)> {
    let pin = model.pin_at(point)?;
    let label = pin.signal.map(|signal| Label::of(model.text(signal.value)));
    let has = |word: &str| label.as_ref().is_some_and(|label| label.words.iter().any(|own| own == word));
    let line = match pin.role.map(|role| role.value) {
        Some(Role::CanHigh) => Line::High,
        Some(Role::CanLow) => Line::Low,
        Some(Role::Lin) => Line::Single,
        None | Some(Role::Bidirectional) if has("can") && has("high") => Line::High,
        None | Some(Role::Bidirectional) if has("can") && has("low") => Line::Low,
        _ => return None,
    };
    let words = label.iter().flat_map(|label| &label.words).filter(|word| !["high", "low"].contains(&word.as_str()));
    Some((line, words.cloned().collect::<Vec<_>>().join(" ")))
}
