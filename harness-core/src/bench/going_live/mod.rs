//! Bringing a vehicle to life: what is done in which order, in which state, what a meter shows then, when to stop, and who may do it.

mod alive;
mod batteries;
mod details;
mod later;
mod look;
mod measured;
mod order;
mod paper;
mod pieces;
mod plan;
mod readings;
mod seen;
mod sheet;
mod stages;
mod steps;
mod supplies;
mod trials;
mod vehicle;
mod words;

pub use later::Target;
pub use plan::{Act, Phase, Planned, Watched};
pub use readings::{Expected, How, Place, Read};
pub use sheet::{Figure, GoingLive, Reading, Step};

use crate::{
    analysis::Analysis,
    model::DeviceId,
    wording::{list, quoted},
};

/// The order of a design with ids; empty where no mode was computed.
#[must_use]
pub fn plan(analysis: &Analysis) -> Vec<Planned> {
    vehicle::Vehicle::new(analysis.facts()).map_or_else(Vec::new, |vehicle| order::order(&vehicle))
}

/// The order of a design as the paper says it; `None` where no mode was computed.
///
/// Cost: two or three states for each fuse and mode.
#[must_use]
pub fn going_live(analysis: &Analysis) -> Option<GoingLive> {
    let vehicle = vehicle::Vehicle::new(analysis.facts())?;
    let plan = order::order(&vehicle);
    Some(paper::paper(&vehicle, &plan, ""))
}

/// The names of the devices that can be worked on, in the order written.
#[must_use]
pub fn devices(analysis: &Analysis) -> Vec<String> {
    let model = analysis.model();
    let fitted = model.devices().filter(|(_, device)| device.fitted && !device.chassis);
    fitted.map(|(id, _)| model.device_name(id).to_owned()).collect()
}

/// The order of later work with ids: made safe, proven dead, worked on, put back. Names that lead to no device are left out.
#[must_use]
pub fn later_plan(analysis: &Analysis, target: &Target) -> Vec<Planned> {
    vehicle::Vehicle::new(analysis.facts()).map_or_else(Vec::new, |vehicle| later::later(&vehicle, &named(analysis, target)))
}

/// The order of later work as the paper says it; `None` where no mode was computed.
#[must_use]
pub fn later_work(analysis: &Analysis, target: &Target) -> Option<GoingLive> {
    let vehicle = vehicle::Vehicle::new(analysis.facts())?;
    let plan = later::later(&vehicle, &named(analysis, target));
    let names = match target {
        Target::Vehicle => "the vehicle".to_owned(),
        Target::Devices(devices) => list(&devices.iter().map(quoted).collect::<Vec<_>>()),
    };
    Some(paper::paper(&vehicle, &plan, &names))
}

fn named(analysis: &Analysis, target: &Target) -> Vec<DeviceId> {
    let model = analysis.model();
    match target {
        Target::Vehicle => Vec::new(),
        Target::Devices(names) => {
            let is_named = |id: &DeviceId| names.iter().any(|name| name == model.device_name(*id));
            model.devices().map(|(id, _)| id).filter(is_named).collect()
        }
    }
}
