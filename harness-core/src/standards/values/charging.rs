//! Values of charging inlets.

use super::List;
use crate::standards::charging_inlet::{
    cable_codes, code_tolerance, inlet_mark, latch_band, latch_levels, latch_resistors, level_tolerance, levels_apart, lock,
    mating_order, no_movement, one_monitor, reads_high, station_resistance, station_voltage, vehicle_resistors,
};

pub(super) fn add(list: &mut List) {
    list.subject = "charging inlets";
    list.one("voltage of a station on the control pilot", station_voltage(), "");
    list.one("resistance of a station in the control pilot", station_resistance(), "");
    list.one("tolerance of a level of the control pilot", level_tolerance(), "");
    let joined = |values: Vec<String>| values.join(", ");
    let resistors = vehicle_resistors();
    list.add(
        "resistors of the vehicle on the control pilot",
        joined(resistors.value.iter().map(ToString::to_string).collect()),
        resistors.source,
        "",
    );
    let codes = cable_codes();
    list.add(
        "resistor between PP and PE in the plug of a cable",
        joined(codes.value.iter().map(|code| format!("{} for {}", code.ohm, code.amps)).collect()),
        codes.source,
        "",
    );
    list.one("tolerance of a coded resistor", code_tolerance(), "");
    list.one("resistor between PP and PE in a Combined 2 inlet", inlet_mark(), "");
    let latch = latch_resistors();
    list.add(
        "resistors of a Type 1 plug, latched and with the latch pressed",
        joined(latch.value.iter().map(ToString::to_string).collect()),
        latch.source,
        "",
    );
    let levels = latch_levels();
    list.add(
        "levels of a Type 1 proximity contact, free, latch pressed, latched",
        joined(levels.value.iter().map(ToString::to_string).collect()),
        levels.source,
        "",
    );
    list.one("share by which such a level differs at most", latch_band(), "");
    list.one("least difference between two levels of a proximity contact", levels_apart(), "");
    list.one("voltage from which an input reads high, of the nominal one", reads_high(), "`nominal` on the domain of the input");
    list.add(
        "what a contact of an inlet mates first and last",
        "PE first, CP last",
        mating_order(),
        "`mates-first`, `mates-last` on the housing",
    );
    list.add("movement of the vehicle with the plug in", "none", no_movement(), "");
    list.add("lock of a Type 2 or combined inlet", "one, with its feedback", lock(), "`lock` on the port");
    list.add(
        "isolation monitors that measure in one circuit in one mode",
        "one",
        one_monitor(),
        "`isolation-monitor` on the device",
    );
}
