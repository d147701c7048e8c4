//! The signals on the nets of a design, as its pins name them.

use crate::{analysis::Analysis, model::PointId, network::NetId};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

/// Signals of a net that are listed.
const SIGNALS: usize = 3;

/// The signals of each net that has any, each once, sorted.
#[derive(Debug)]
pub(crate) struct Signals(FxHashMap<NetId, String>);

impl Signals {
    /// Those of a design. Cost: a pass over the points of its nets.
    pub fn of(analysis: &Analysis) -> Self {
        let model = analysis.model();
        let of = |points: &[PointId]| -> String {
            let named = points.iter().filter_map(|point| model.pin_at(*point)?.signal);
            let named: BTreeSet<&str> = named.map(|signal| model.text(signal.value)).collect();
            listed(&named)
        };
        let nets = analysis.network().nets().map(|(net, points)| (net, of(points)));
        Self(nets.filter(|(_, signals)| !signals.is_empty()).collect())
    }

    /// The signals at points of a loom: those that the pins and studs name which they meet; where these name none, those of the whole net.
    pub fn at(&self, analysis: &Analysis, points: &[PointId]) -> String {
        let model = analysis.model();
        let ends = analysis.facts().wire_ends();
        let met = points.iter().filter_map(|point| model.pin_at(ends.opposite(model, *point)?)?.signal);
        let met: BTreeSet<&str> = met.map(|signal| model.text(signal.value)).collect();
        if !met.is_empty() {
            return listed(&met);
        }
        let net = points.first().and_then(|point| self.0.get(&analysis.network().net(*point)));
        net.cloned().unwrap_or_default()
    }
}

/// Signals in one cell; of many the first few, and how many more there are: a ground joins all.
fn listed(signals: &BTreeSet<&str>) -> String {
    let first: Vec<&str> = signals.iter().take(SIGNALS).copied().collect();
    match signals.len().checked_sub(SIGNALS) {
        None | Some(0) => first.join("; "),
        Some(more) => format!("{}; and {more} more", first.join("; ")),
    }
}
