//! A netlist file: the top of the format.

use super::{
    devices::Device,
    looms::Loom,
    parts::Parts,
    record::record,
    values::{Choice, List, Map},
};
use crate::{
    date::Date,
    quantity::{Celsius, Metre, Ohm, Ratio, SquareMillimetre, Volt},
    text::{At, Text},
    vocabulary::{CapacityTable, Current, LevelWord, Reference},
};

record! {
    /// A netlist file. An included file has the same shape; its maps are joined to those of the file that includes it.
    Design {
        /// Version of the format; this program reads version 1.
        format: Option<At<u32>> = "format";
        /// Name of the design.
        design: Option<Text> = "design";
        /// Revision of the design.
        revision: Option<Text> = "revision";
        /// Anything a reader should know.
        note: Option<Text> = "note";
        /// Further files of the same format, relative to this one.
        include: List<Text> = "include";
        /// Voltage domains.
        domains: Map<Domain> = "domains";
        /// Where things sit: how hot and how wet it is there.
        zones: Map<Zone> = "zones";
        /// Operating states in which the checks are made; without any there is one, `always`.
        modes: Map<Mode> = "modes";
        /// Kinds of housings, terminals, conductors, cables, fuses and devices.
        parts: Option<Parts> = "parts";
        /// Devices: what the looms join.
        devices: Map<Device> = "devices";
        /// Looms: what is built.
        looms: Map<Loom> = "looms";
        /// The workshop's own limits where they differ from the defaults.
        policy: Option<Policy> = "policy";
        /// Findings that were reviewed and accepted, each with its reason.
        waivers: List<Waiver> = "waivers";
        /// Wire numbers that may never come back.
        retired: List<Text> = "retired";
    }

    /// A voltage domain. Above 60 V DC or 30 V AC it is voltage class B.
    Domain {
        /// Nominal voltage.
        nominal: Option<At<Volt>> = "nominal" required above_zero;
        /// Highest working voltage; what insulation must stand.
        max: Option<At<Volt>> = "max" required above_zero;
        /// Direct or alternating voltage; `dc` where nothing is said.
        kind: Option<Choice<Current>> = "kind";
        /// What the domain's voltage stands against.
        reference: Option<Choice<Reference>> = "reference" required;
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// A place on the vehicle.
    Zone {
        /// Temperature of the air there at work.
        ambient: Option<At<Celsius>> = "ambient";
        /// Whether water gets there.
        wet: Option<At<bool>> = "wet";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// An operating state.
    Mode {
        /// Nothing may enable the drive here.
        immobile: Option<At<bool>> = "immobile";
        /// Disconnects are out: nothing reachable may be live above 60 V DC or 30 V AC.
        touch_safe: Option<At<bool>> = "touch-safe";
        /// The vehicle stands like this for days: what its batteries lose is worked out.
        standing: Option<At<bool>> = "standing";
        /// Anything a reader should know.
        note: Option<Text> = "note";
    }

    /// The workshop's own limits.
    Policy {
        /// Longest run from a source to its first fuse.
        unfused_length: Option<At<Metre>> = "unfused-length";
        /// Largest share of a fuse's rating that a continuous load may take.
        fuse_loading: Option<At<Ratio>> = "fuse-loading" share;
        /// Least cross-section of a single conductor for mechanical strength.
        handling_size: Option<At<SquareMillimetre>> = "handling-size";
        /// Resistance of a mated contact where its housing gives none.
        contact_resistance: Option<At<Ohm>> = "contact-resistance" above_zero;
        /// Resistance of a bolted joint.
        joint_resistance: Option<At<Ohm>> = "joint-resistance" above_zero;
        /// The table that decides what a conductor may carry. `vehicle cable` where nothing is said: of the three it alone is
        /// made for wire of road vehicles, and it is printed for two ambients, so that the correction for heat is proven on it.
        capacity: Option<Choice<CapacityTable>> = "capacity";
        /// How many volts may be lost on the way, by what is fed.
        voltage_drop: Option<VoltageDrop> = "voltage-drop";
        /// Ambient where a thing has no zone.
        ambient: Option<At<Celsius>> = "ambient";
        /// Rated temperature of a conductor whose kind gives none.
        rated: Option<At<Celsius>> = "rated";
        /// Most rings on one stud.
        rings_per_stud: Option<At<u32>> = "rings-per-stud";
        /// Levels of rules, where the workshop is stricter than the default.
        levels: Map<Choice<LevelWord>> = "levels";
    }

    /// How many volts may be lost, each as a share of the nominal voltage over feed and return together; of alternating voltage 3 %
    /// where nothing is said, whatever is fed.
    VoltageDrop {
        /// To electronics; 3 % where nothing is said.
        electronics: Option<At<Ratio>> = "electronics" share;
        /// To sensors; 3 % where nothing is said.
        sensor: Option<At<Ratio>> = "sensor" share;
        /// To lamps; 10 % where nothing is said.
        lamp: Option<At<Ratio>> = "lamp" share;
        /// To motors; 10 % where nothing is said.
        motor: Option<At<Ratio>> = "motor" share;
        /// To heaters; 10 % where nothing is said.
        heater: Option<At<Ratio>> = "heater" share;
        /// To coils; 10 % where nothing is said.
        coil: Option<At<Ratio>> = "coil" share;
        /// To loads of no known kind; 10 % where nothing is said.
        other: Option<At<Ratio>> = "other" share;
        /// From what charges a battery to the battery; 0.4 V of 12 V and 0.8 V of 24 V over the feed alone, else 3 %, where
        /// nothing is said.
        charging: Option<At<Ratio>> = "charging" share;
        /// By which other currents may lift the ground of a sensor; 90 mV where nothing is said.
        sensor_ground: Option<At<Volt>> = "sensor-ground" above_zero;
        /// By which other currents may lift the ground of a bus node; 2 V on CAN and 11.5 % on LIN where nothing is said.
        bus_ground: Option<At<Volt>> = "bus-ground" above_zero;
    }

    /// A finding that was reviewed and accepted: it is listed with its reason and fails no check. A danger is accepted only with
    /// `by` and `until`; what can't be read (`format/…`) is never accepted. `review/stale-waiver` tells waivers that do not hold.
    Waiver {
        /// The rule, as `group/fault` or the fault alone.
        finding: Option<Text> = "finding" required;
        /// What it concerns, as the finding names it, such as `front.107`; the end of the name if no other ends so.
        at: Option<Text> = "at" required;
        /// Why it is accepted.
        reason: Option<Text> = "reason" required;
        /// Who accepted it; without it the waiver is told as stale.
        by: Option<Text> = "by";
        /// The last day on which it holds, in UTC.
        until: Option<At<Date>> = "until";
    }
}
