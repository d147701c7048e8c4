//! The vehicle from afar: which device is in which zone, and which loom goes to which devices and looms.
//!
//! Every device, loom and end of the build is in it, or in the list of what is not with the reason.

use crate::{
    analysis::Analysis,
    model::{EndId, LoomId, Mate, Model, PointId, WireId},
    quantity::Celsius,
};
use std::collections::BTreeMap;

/// A vehicle from afar.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Plan {
    /// The zones in the order written, each with its devices; devices without one are in the last, which has no name.
    pub zones: Vec<PlanZone>,
    /// The looms of the build in the order written.
    pub looms: Vec<PlanLoom>,
    /// What meets which device.
    pub leads: Vec<Lead>,
    /// Where looms meet each other.
    pub between: Vec<Between>,
    /// What is not in the plan, each with the reason.
    pub left_out: Vec<(String, &'static str)>,
}

/// A zone with its devices.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct PlanZone {
    /// Its name; empty for devices that are in none.
    pub name: String,
    /// Its ambient temperature.
    pub ambient: Option<Celsius>,
    /// Whether water gets there.
    pub is_wet: bool,
    /// Its devices in the order written.
    pub devices: Vec<String>,
}

/// A loom.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct PlanLoom {
    /// Its name.
    pub name: String,
    /// Its wires and cores.
    pub wires: usize,
    /// Whether anything in it is of voltage class B.
    pub has_class_b: bool,
}

/// What a loom brings to a device, by voltage class.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub struct Lead {
    /// The device.
    pub device: String,
    /// Whether it is of voltage class B.
    pub is_class_b: bool,
    /// The loom, by its place.
    pub loom: usize,
    /// The ends that meet the device.
    pub ends: Vec<String>,
    /// The wires and cores in them.
    pub wires: usize,
}

/// Where two looms meet in a connector, by voltage class.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Between {
    /// The ends, the first of them as written first.
    pub ends: [String; 2],
    /// The looms, by their places.
    pub looms: [usize; 2],
    /// Whether it is of voltage class B.
    pub is_class_b: bool,
    /// The wires and cores of the first end.
    pub wires: usize,
}

impl Plan {
    /// The plan of a design.
    ///
    /// # Cost
    /// A pass over its wires, and sorts.
    #[must_use]
    pub fn of(analysis: &Analysis) -> Self {
        let model = analysis.model();
        let mut plan = Self::default();
        let mut zones: Vec<_> = model.zones().collect();
        zones.sort_unstable_by_key(|(_, zone)| zone.span);
        let mut devices: Vec<_> = model.devices().collect();
        devices.sort_unstable_by_key(|(_, device)| device.span);
        let of_zone = |zone| {
            let own = devices.iter().filter(|(_, device)| device.zone == zone && device.fitted);
            own.map(|(id, _)| model.device_name(*id).to_owned()).collect::<Vec<_>>()
        };
        for (id, zone) in zones {
            plan.zones.push(PlanZone {
                name: model.text(zone.name).to_owned(),
                ambient: zone.ambient.map(|ambient| ambient.value),
                is_wet: zone.wet,
                devices: of_zone(Some(id)),
            });
        }
        let nowhere = of_zone(None);
        if !nowhere.is_empty() {
            plan.zones.push(PlanZone { devices: nowhere, ..PlanZone::default() });
        }
        let unfitted = devices.iter().filter(|(_, device)| !device.fitted);
        plan.left_out.extend(unfitted.map(|(id, _)| (model.device_name(*id).to_owned(), "not fitted in this build")));
        plan.looms(analysis, model);
        plan
    }

    fn looms(&mut self, analysis: &Analysis, model: &Model) {
        let is_class_b =
            |point: PointId| analysis.electrical().domains().of(point).is_some_and(|domain| model[domain].is_class_b());
        let wires = Wires::of(model);
        let mut looms: Vec<_> = model.looms().collect();
        looms.sort_unstable_by_key(|(_, loom)| loom.span);
        let mut places: BTreeMap<LoomId, usize> = BTreeMap::new();
        for (id, loom) in &looms {
            let name = model.loom_name(*id).to_owned();
            if !loom.fitted {
                self.left_out.push((name, "not fitted in this build"));
                continue;
            }
            places.insert(*id, self.looms.len());
            let own = wires.of_loom.get(id).map_or(&[][..], Vec::as_slice);
            let mut points = own.iter().flat_map(|wire| [model[*wire].from, model[*wire].to]).flatten();
            self.looms.push(PlanLoom { name, wires: own.len(), has_class_b: points.any(is_class_b) });
        }
        let mut leads: BTreeMap<(usize, bool, usize), Lead> = BTreeMap::new();
        let mut devices: Vec<_> = model.devices().collect();
        devices.sort_unstable_by_key(|(_, device)| device.span);
        let order = |device| devices.iter().position(|(id, _)| *id == device).unwrap_or(0);
        let mut met: Vec<(EndId, EndId)> = Vec::new();
        for (loom_id, _) in &looms {
            let Some(loom) = places.get(loom_id).copied() else { continue };
            let mut ends = model[*loom_id].ends.clone();
            ends.sort_unstable_by_key(|end| model[*end].span);
            for end in ends {
                let name = model.end_name(end);
                let own = wires.of_end.get(&end).map_or(&[][..], Vec::as_slice);
                let high = own.iter().filter(|(point, _)| is_class_b(*point)).count();
                match model[end].mate {
                    None => self.left_out.push((name, "meets nothing")),
                    Some(Mate::Port(port)) => {
                        let device = model[port].device;
                        if !model[device].fitted {
                            self.left_out.push((name, "its device is not fitted in this build"));
                            continue;
                        }
                        for (is_class_b, count) in [(true, high), (false, own.len() - high)] {
                            // An end without a wire is drawn as class A.
                            if count == 0 && (is_class_b || high > 0) {
                                continue;
                            }
                            let lead = leads.entry((order(device), !is_class_b, loom)).or_insert_with(|| Lead {
                                device: model.device_name(device).to_owned(),
                                is_class_b,
                                loom,
                                ends: Vec::new(),
                                wires: 0,
                            });
                            lead.ends.push(name.clone());
                            lead.wires += count;
                        }
                    }
                    Some(Mate::End(other)) => {
                        let Some(far) = places.get(&model[other].loom).copied() else {
                            self.left_out.push((name, "the loom that it meets is not fitted in this build"));
                            continue;
                        };
                        if met.contains(&(other, end)) || met.contains(&(end, other)) {
                            continue;
                        }
                        met.push((end, other));
                        self.between.push(Between {
                            ends: [name, model.end_name(other)],
                            looms: [loom, far],
                            is_class_b: high > 0,
                            wires: own.len(),
                        });
                    }
                }
            }
        }
        self.leads = leads.into_values().collect();
    }
}

/// The wires and cores of each loom and end.
#[derive(Default)]
struct Wires {
    of_loom: BTreeMap<LoomId, Vec<WireId>>,
    of_end: BTreeMap<EndId, Vec<(PointId, WireId)>>,
}

impl Wires {
    fn of(model: &Model) -> Self {
        let mut of_point: BTreeMap<PointId, Vec<WireId>> = BTreeMap::new();
        let mut wires = Self::default();
        for (id, wire) in model.wires() {
            wires.of_loom.entry(wire.loom).or_default().push(id);
            for point in [wire.from, wire.to].into_iter().flatten() {
                of_point.entry(point).or_default().push(id);
            }
        }
        for (id, end) in model.ends() {
            let own =
                end.points.iter().flat_map(|point| of_point.get(&point).into_iter().flatten().map(move |wire| (point, *wire)));
            wires.of_end.insert(id, own.collect());
        }
        wires
    }
}
