//! How long a wire is cut, and how that is known: as the design gives it, or along its route.

use super::Bench;
use crate::{
    model::{Cable, PointId, SegmentId, Wire},
    quantity::Metre,
};

/// How the length of a wire is known.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum LengthFrom {
    /// The design gives it.
    Given,
    /// It was added up along the route.
    Route {
        /// The segments, each passed whole.
        segments: Vec<String>,
        /// What the free lengths of its ends add.
        reach: Metre,
        /// What the loom's allowance adds, both ends together.
        allowance: Metre,
    },
    /// Nobody knows; what is missing.
    Unknown(String),
}

impl Bench<'_> {
    /// The length of a wire as it is cut, and how that is known. A core has that of its cable.
    pub(super) fn wire_length(&self, wire: &Wire) -> (Option<Metre>, LengthFrom) {
        match wire.length {
            Some(length) => (Some(length.value), LengthFrom::Given),
            None => self.along(wire.loom, &wire.via, &[wire.from, wire.to]),
        }
    }

    /// The length of a cable as it is cut. The ends of its first core are its ends.
    pub(super) fn cable_length(&self, cable: &Cable, first_core: Option<&Wire>) -> (Option<Metre>, LengthFrom) {
        match cable.length {
            Some(length) => (Some(length.value), LengthFrom::Given),
            None => self.along(cable.loom, &cable.via, &first_core.map_or([None, None], |wire| [wire.from, wire.to])),
        }
    }

    fn along(&self, loom: crate::model::LoomId, via: &[SegmentId], ends: &[Option<PointId>]) -> (Option<Metre>, LengthFrom) {
        let model = self.model();
        let unknown = |why: String| (None, LengthFrom::Unknown(why));
        if via.is_empty() {
            return unknown("no `length`, and no `via` to add it up from".to_owned());
        }
        let missing: Vec<&str> = via
            .iter()
            .filter(|segment| model[**segment].length.is_none())
            .map(|segment| model.text(model[*segment].name))
            .collect();
        if !missing.is_empty() {
            return unknown(format!("no `length`, and none for segment {} of its route", missing.join(", ")));
        }
        let lengths = via.iter().filter_map(|segment| model[*segment].length).map(|length| length.value.get());
        let loom_ends: Vec<_> = ends.iter().flatten().filter_map(|point| self.end_at(*point)).collect();
        let reach: f64 = loom_ends.iter().filter_map(|end| model[*end].reach).map(|reach| reach.value.get()).sum();
        let allowance = model[loom].allowance.map_or(0.0, |allowance| allowance.value.get()) * loom_ends.len() as f64;
        let total = lengths.sum::<f64>() + reach + allowance;
        let segments = via.iter().map(|segment| model.text(model[*segment].name).to_owned()).collect();
        (Some(Metre::new(total)), LengthFrom::Route { segments, reach: Metre::new(reach), allowance: Metre::new(allowance) })
    }
}
