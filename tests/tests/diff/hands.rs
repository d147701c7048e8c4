//! What people do to a design: renamings, and work at wires, ends, devices and parts.

use super::designs::{COLOURS, Design, Named, Place, SIZES, Wire};
use harness_tests::Numbers;

/// Gives one thing another name that nothing bears.
pub fn rename(design: &mut Design, numbers: &mut Numbers, serial: usize) {
    let loom = numbers.below(design.looms.len());
    match numbers.below(10) {
        0 | 1 => other_name(&mut design.looms[loom].what.wires, numbers, &(900 + serial).to_string()),
        2 => other_name(&mut design.looms[loom].what.ends, numbers, &format!("X{serial}")),
        3 => other_name(&mut design.looms[loom].what.splices, numbers, &format!("SX{serial}")),
        4 => other_name(&mut design.devices, numbers, &format!("box-{serial}")),
        5 => other_name(&mut design.housings, numbers, &format!("RM-{serial}")),
        6 => other_name(&mut design.looms, numbers, &format!("harness-{serial}")),
        7 => other_name(&mut design.zones, numbers, &format!("bay-{serial}")),
        8 => other_name(&mut design.kinds, numbers, &format!("sort-{serial}")),
        _ => other_name(&mut design.fuses, numbers, &format!("link-{serial}")),
    }
}

fn other_name<T>(all: &mut [Named<T>], numbers: &mut Numbers, name: &str) {
    if !all.is_empty() {
        let at = numbers.below(all.len());
        all[at].name = name.to_owned();
    }
}

/// Changes something else than a name.
pub fn work(design: &mut Design, numbers: &mut Numbers, serial: usize) {
    let loom = numbers.below(design.looms.len());
    let loom = &mut design.looms[loom].what;
    let wires = loom.wires.len();
    let wire = numbers.below(wires);
    match numbers.below(14) {
        0 => loom.wires[wire].what.size = numbers.pick(&SIZES),
        1 => loom.wires[wire].what.colour = numbers.pick(&COLOURS),
        2 => loom.wires[wire].what.length += 50,
        3 => loom.wires[wire].gone = true,
        4 => {
            let end = numbers.below(2);
            loom.wires[wire].what.ends[end] = somewhere(loom.ends.len(), loom.splices.len(), numbers);
        }
        5 => {
            // Two wires take each other's places.
            let (other, mine, theirs) = (numbers.below(wires), numbers.below(2), numbers.below(2));
            let (place, its) = (loom.wires[wire].what.ends[mine], loom.wires[other].what.ends[theirs]);
            loom.wires[wire].what.ends[mine] = its;
            loom.wires[other].what.ends[theirs] = place;
        }
        6 => {
            let ends = [0, 1].map(|_| somewhere(loom.ends.len(), loom.splices.len(), numbers));
            let what = Wire { ends, size: numbers.pick(&SIZES), colour: numbers.pick(&COLOURS), length: 500 };
            loom.wires.push(Named { name: (500 + serial).to_string(), gone: false, what });
        }
        7 => loom.splices.push(Named { name: format!("SN{serial}"), gone: false, what: numbers.below(2) }),
        8 => {
            let device = numbers.below(design.devices.len());
            design.devices[device].what.signals.swap(0, 1);
        }
        9 => {
            let device = numbers.below(design.devices.len());
            design.devices[device].what.signals[0] = format!("signal {serial}");
        }
        10 => design.housings[numbers.below(3)].what.key = 'C',
        11 => {
            if let Some(fuse) = loom.fuses.first_mut() {
                fuse.what.0 = (fuse.what.0 + 1) % 3;
            }
            design.fuses[numbers.below(3)].what += 1;
        }
        12 => {
            let device = numbers.below(design.devices.len());
            design.devices[device].what.load.0 += 100;
            design.revision = 'B';
        }
        _ => {
            let device = numbers.below(design.devices.len());
            design.devices[device].gone = true;
            design.retired.push(serial);
        }
    }
}

fn somewhere(ends: usize, splices: usize, numbers: &mut Numbers) -> Place {
    if ends == 0 || numbers.below(3) == 0 {
        Place::Splice(numbers.below(splices))
    } else {
        Place::Cavity(numbers.below(ends), 1 + numbers.below(4))
    }
}
