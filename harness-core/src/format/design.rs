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
    quantity::{BitRate, Celsius, Metre, Ohm, Ratio, Second, SquareMillimetre, Volt},
    standards::colour::WireColour,
    text::{At, Text},
    vocabulary::{Bus, CapacityTable, Current, LevelWord, Reference},
};

record! {
    /// A netlist file. An included file has the same shape; its maps are joined to those of the file that includes it.
    Design {
        /// Version of the format; this program reads version 1.
        format: Option<At<u32>> = Format => paper();
        /// Name of the design.
        design: Option<Text> = Design => paper();
        /// Revision of the design.
        revision: Option<Text> = Revision => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// Further files of the same format, relative to this one.
        include: List<Text> = Include => files();
        /// The list that this file was made from, such as `wires.csv` or `book.xlsx, tab Front`: findings then name the `row` of a thing.
        from: Option<Text> = From => files();
        /// Voltage domains.
        domains: Map<Domain> = Domains => things(Kind::Domain);
        /// Where things sit: how hot and how wet it is there.
        zones: Map<Zone> = Zones => things(Kind::Zone);
        /// Operating states in which the checks are made; without any there is one, `always`.
        modes: Map<Mode> = Modes => things(Kind::Mode);
        /// The order of modes from rest to drive, such as `[parked, precharge, drive]`; how long a step lasts is the mode's `lasts`.
        sequence: List<Text> = Sequence => paper().naming(anywhere(&[Kind::Mode]));
        /// Data buses by name: what the pins that name one are joined to.
        networks: Map<Network> = Networks => things(Kind::Network);
        /// Kinds of housings, terminals, conductors, cables, fuses and devices.
        parts: Option<Parts> = Parts => record();
        /// Devices: what the looms join.
        devices: Map<Device> = Devices => things(Kind::Device);
        /// Looms: what is built.
        looms: Map<Loom> = Looms => things(Kind::Loom);
        /// The workshop's own limits where they differ from the defaults.
        policy: Option<Policy> = Policy => things(Kind::Policy);
        /// What the papers of the bench go by: the meter, spares, waste, the text of labels.
        bench: Option<Bench> = Bench => record();
        /// Findings that were reviewed and accepted, each with its reason.
        waivers: List<Waiver> = Waivers => things(Kind::Waiver);
        /// Wire numbers that must not be used again.
        retired: List<Text> = Retired => paper().set();
    }

    /// A voltage domain. Above 60 V DC or 30 V AC it is voltage class B.
    Domain {
        /// Nominal voltage.
        nominal: Option<At<Volt>> = Nominal required above_zero => paper();
        /// Highest working voltage; what insulation must withstand.
        max: Option<At<Volt>> = Max required above_zero => paper();
        /// Direct or alternating voltage; `dc` if the key is absent.
        kind: Option<Choice<Current>> = Kind => paper();
        /// What the voltage of the domain is measured against.
        reference: Option<Choice<Reference>> = Reference required => paper();
        /// The colours of its conductors; each must then have one of them. A colour without a stripe allows any stripe. Where nothing
        /// is said, direct voltage of class B is orange, alternating voltage of class B is orange or has the usual colours of mains. On a
        /// vehicle direct voltage of class B that a battery drives stays orange, whatever is stated.
        colours: List<At<WireColour>> = Colours => paper().set();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }

    /// A place on the vehicle.
    Zone {
        /// Temperature of the air there at work.
        ambient: Option<At<Celsius>> = Ambient => paper();
        /// Whether water gets there.
        wet: Option<At<bool>> = Wet => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }

    /// An operating state.
    Mode {
        /// Nothing may enable the drive here.
        immobile: Option<At<bool>> = Immobile => paper();
        /// Disconnects are out: nothing reachable may be live above 60 V DC or 30 V AC.
        touch_safe: Option<At<bool>> = TouchSafe => paper();
        /// Contacts that must be open in it, as `device.element`: those of both poles in a mode `isolation-fault`, say.
        opens: List<Text> = Opens => paper().set();
        /// How long it lasts where a next step waits for its end, such as precharge: the main contactor closes after it.
        lasts: Option<At<Second>> = Lasts above_zero => paper();
        /// The vehicle is left like this for days: how long its batteries last is computed.
        standing: Option<At<bool>> = Standing => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }

    /// A data bus.
    Network {
        /// Which bus.
        kind: Option<Choice<Bus>> = Kind required => paper();
        /// Its bit rate, of CAN FD that of the arbitration.
        rate: Option<At<BitRate>> = Rate above_zero => paper();
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
    }

    /// The workshop's own limits.
    Policy {
        /// Longest run from a source to its first fuse.
        unfused_length: Option<At<Metre>> = UnfusedLength => paper();
        /// Largest share of a fuse's rating that a continuous load may take.
        fuse_loading: Option<At<Ratio>> = FuseLoading share => paper();
        /// Least cross-section of a single conductor for mechanical strength.
        handling_size: Option<At<SquareMillimetre>> = HandlingSize => paper();
        /// Resistance of a mated contact where its housing gives none.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => paper();
        /// Resistance of a bolted joint.
        joint_resistance: Option<At<Ohm>> = JointResistance above_zero => paper();
        /// The table that decides what a conductor may carry. `vehicle cable` if the key is absent: of the three it alone is
        /// made for wire of road vehicles, and it is printed for two ambients, so that the correction for heat is proven on it.
        capacity: Option<Choice<CapacityTable>> = Capacity => paper();
        /// How many volts may be lost on the way, by what is fed.
        voltage_drop: Option<VoltageDrop> = VoltageDrop => record();
        /// Ambient where a thing has no zone.
        ambient: Option<At<Celsius>> = Ambient => paper();
        /// Rated temperature of a conductor whose kind gives none.
        rated: Option<At<Celsius>> = Rated => paper();
        /// Most rings on one stud.
        rings_per_stud: Option<At<u32>> = RingsPerStud => paper();
        /// Levels of rules, where the workshop is stricter than the default.
        levels: Map<Choice<LevelWord>> = Levels => paper();
    }

    /// What the papers of the bench go by; nothing of it is checked.
    Bench {
        /// The meter with which looms are rung out.
        meter: Option<Meter> = Meter => record();
        /// Share of each conductor that is cut off and thrown away, added to the totals of a cut list; nothing is added if the key is absent.
        waste: Option<At<Ratio>> = Waste share => paper();
        /// Share of terminals, seals, cavity plugs, rings and fuses that is bought beyond what is built, rounded up; none if the key is absent.
        spares: Option<At<Ratio>> = Spares share => paper();
        /// The lines of a wire's label, with names in braces: `"{wire} {size}"`, `"{here} > {there}"`. The names are `design`, `revision`, `loom`,
        /// `wire`, `size`, `colour`, `signal`, `here` and `there` (each end with its cavity). If the key is absent: `{wire}`, `{here} > {there}`.
        labels: List<Text> = Labels => paper();
    }

    /// A meter.
    Meter {
        /// Resistance of its leads that is left after they were shorted and subtracted; 0.2 ohm if the key is absent.
        leads: Option<At<Ohm>> = Leads => paper();
        /// Error of a reading as a share of it; 1 % if the key is absent.
        error: Option<At<Ratio>> = Error share => paper();
    }

    /// How many volts may be lost, each as a share of the nominal voltage over feed and return together; of alternating voltage 3 %
    /// where nothing is said, whatever is fed.
    VoltageDrop {
        /// To electronics; 3 % if the key is absent.
        electronics: Option<At<Ratio>> = Electronics share => paper();
        /// To sensors; 3 % if the key is absent.
        sensor: Option<At<Ratio>> = Sensor share => paper();
        /// To lamps; 10 % if the key is absent.
        lamp: Option<At<Ratio>> = Lamp share => paper();
        /// To motors; 10 % if the key is absent.
        motor: Option<At<Ratio>> = Motor share => paper();
        /// To heaters; 10 % if the key is absent.
        heater: Option<At<Ratio>> = Heater share => paper();
        /// To coils; 10 % if the key is absent.
        coil: Option<At<Ratio>> = Coil share => paper();
        /// To loads of no known kind; 10 % if the key is absent.
        other: Option<At<Ratio>> = Other share => paper();
        /// From what charges a battery to the battery; 0.4 V of 12 V and 0.8 V of 24 V over the feed alone, else 3 %, where
        /// nothing is said.
        charging: Option<At<Ratio>> = Charging share => paper();
        /// By which other currents may lift the ground of a sensor; 90 mV if the key is absent.
        sensor_ground: Option<At<Volt>> = SensorGround above_zero => paper();
        /// By which other currents may lift the ground of a bus node; 2 V on CAN and 11.5 % on LIN where nothing is said.
        bus_ground: Option<At<Volt>> = BusGround above_zero => paper();
    }

    /// A finding that was reviewed and accepted: it is listed with its reason and fails no check. With `reviewed` it accepts what that
    /// records and nothing more severe. A danger is accepted only with `by` and `until`; what can't be read (`format/…`) is never
    /// accepted. `review/stale-waiver` reports waivers that do not hold, `review/unbound-waiver` those without `reviewed`.
    Waiver {
        /// The rule, as `group/fault` or the fault alone.
        finding: Option<Text> = Finding required => paper();
        /// What it concerns, as the finding names it, such as `front.107`; the end of the name if no other ends so.
        at: Option<Text> = At required => paper().naming(Naming::Concerned);
        /// Why it is accepted.
        reason: Option<Text> = Reason required => paper();
        /// What was accepted: the finding's text of that day, such as `error: wire ... carries 24.1 A, 0.1 A over what 1.5 mm2 takes
        /// here`. A higher level, a worse figure or a thing that it does not name is a finding again. The check offers the text.
        reviewed: Option<Text> = Reviewed => paper();
        /// Who accepted it; without it the waiver is reported as stale.
        by: Option<Text> = By => paper();
        /// The last day on which it holds, in UTC.
        until: Option<At<Date>> = Until => paper();
    }
}
