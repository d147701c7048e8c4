//! Every value that a verdict of danger or error may rest on, with its status and how a design replaces it with the part's own.
//!
//! The values are those that the rest of this module decides by: each line asks the same function or reads the same row, so that
//! the list can't drift from what is computed.

mod charging;
mod fuses;

use super::{
    battery, bonding, contact,
    data::{Row, capacity as capacities, conductor as conductors, gauge, short_circuit as shorts},
    heat, rated, ring_out,
    source::{Source, Sourced},
    voltage,
};
use crate::quantity::{Ampere, BitRate, Celsius, Ohm, OhmPerMetre, SquareMillimetre, Volt};
use std::fmt::Display;

/// One value that a verdict of danger or error may rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// What it belongs to: `fuses`, `conductors` … Values of one subject follow each other.
    pub subject: &'static str,
    /// What it is the value of.
    pub name: String,
    /// The value with its unit; a span where one line covers the rows of one table and page.
    pub value: String,
    /// Where it comes from, and its status.
    pub source: &'static Source,
    /// The key with which a design gives the part's own value; empty where there is none.
    pub own: &'static str,
}

/// All values, by subject and then as a person would look for them; a table is one line for each page that it was read on, and
/// each remembered row has a line of its own.
#[must_use]
pub fn values() -> Vec<Value> {
    let mut list = List { subject: "", values: Vec::new() };
    fuses::add(&mut list);
    of_conductors(&mut list);
    of_insulation(&mut list);
    of_contacts(&mut list);
    of_sources(&mut list);
    of_waiting(&mut list);
    of_voltages(&mut list);
    of_buses(&mut list);
    of_routes(&mut list);
    charging::add(&mut list);
    of_faults(&mut list);
    of_screens(&mut list);
    of_bench(&mut list);
    of_readings(&mut list);
    list.values
}

struct List {
    subject: &'static str,
    values: Vec<Value>,
}

impl List {
    fn add(&mut self, name: impl Into<String>, value: impl Into<String>, source: &'static Source, own: &'static str) {
        self.values.push(Value { subject: self.subject, name: name.into(), value: value.into(), source, own });
    }

    fn one<T: Display>(&mut self, name: impl Into<String>, sourced: Sourced<T>, own: &'static str) {
        self.add(name, sourced.value.to_string(), sourced.source, own);
    }

    /// A table: one line for the rows of each page, from the first to the last, and one for each remembered row.
    fn table<A: Display, V: Display>(
        &mut self,
        name: &str,
        rows: &'static [Row],
        at: fn(f64) -> A,
        value: fn(f64) -> V,
        own: &'static str,
    ) {
        let mut pages: Vec<(&'static Source, &'static Row, &'static Row)> = Vec::new();
        for row in rows {
            match pages.iter_mut().find(|(page, ..)| *page == row.source && page.status != super::Status::Memory) {
                Some((_, _, last)) => *last = row,
                None => pages.push((row.source, row, row)),
            }
        }
        for (page, first, last) in pages {
            if std::ptr::eq(first, last) {
                self.add(format!("{name}, {}", at(first.at)), value(first.value).to_string(), page, own);
            } else {
                let span = format!("{} to {}", value(first.value), value(last.value));
                self.add(format!("{name}, {} to {}", at(first.at), at(last.at)), span, page, own);
            }
        }
    }
}

fn milliohm(value: f64) -> Ohm {
    Ohm::new(value * 1e-3)
}

fn of_conductors(list: &mut List) {
    list.subject = "conductors";
    let per_metre = |value: f64| OhmPerMetre::new(value * 1e-3);
    let own = "`standard` on the conductor or cable kind";
    list.table("resistance of road-vehicle wire", conductors::ROAD, SquareMillimetre::new, per_metre, own);
    list.table("resistance of class 5 wire", conductors::CLASS_5, SquareMillimetre::new, per_metre, own);
    list.table("resistance of tinned class 5 wire", conductors::CLASS_5_TINNED, SquareMillimetre::new, per_metre, own);
    let own = "`capacity` in the policy chooses the table";
    for (name, rows) in [
        ("capacity of vehicle cable, conductor 70 degC, air 30 degC", capacities::ROAD_PVC70),
        ("capacity of boat wire, 60 degC", gauge::MARINE_60),
        ("capacity of boat wire, 75 degC", gauge::MARINE_75),
        ("capacity of boat wire, 80 degC", gauge::MARINE_80),
        ("capacity of boat wire, 90 degC", gauge::MARINE_90),
        ("capacity of boat wire, 105 degC", gauge::MARINE_105),
        ("capacity of boat wire, 125 degC", gauge::MARINE_125),
        ("capacity of boat wire, 200 degC", gauge::MARINE_200),
        ("capacity of aircraft wire, 105 degC", gauge::AIRCRAFT_105),
        ("capacity of aircraft wire, 150 degC", gauge::AIRCRAFT_150),
        ("capacity of aircraft wire, 200 degC", gauge::AIRCRAFT_200),
    ] {
        list.table(name, rows, SquareMillimetre::new, Ampere::new, own);
    }
    let own = "`via` and `route` say which wires run side by side";
    list.table("factor for loaded conductors side by side", capacities::BUNCHED, count, factor, own);
    list.table("factor for loaded conductors side by side, boats", capacities::MARINE_BUNDLE, count, factor, own);
    let air = heat::unknown_air(Celsius::new(105.0));
    list.add(
        "air where none is given, in a short circuit",
        air.value.to_string(),
        air.source,
        "`ambient` on zones, or in the policy",
    );
    let warmth = super::conductor::temperature_ratio(Celsius::new(105.0));
    list.add("resistance of copper at 105 degC over that at 20 degC", format!("{:.3}", warmth.value), warmth.source, "");
}

fn count(value: f64) -> String {
    format!("{value}")
}

fn factor(value: f64) -> String {
    format!("{value}")
}

fn of_insulation(list: &mut List) {
    list.subject = "insulation";
    let own = "`insulation` on the conductor or cable kind";
    list.add(
        "material of insulation that the design does not give",
        "by its rated temperature",
        super::insulation::Insulation::assumed(Celsius::new(180.0)).source,
        own,
    );
    for (name, rows) in
        [("PVC", shorts::PVC), ("XLPE and EPR", shorts::XLPE), ("rubber", shorts::RUBBER), ("silicone rubber", shorts::SILICONE)]
    {
        for row in rows {
            let mut name = format!("final temperature of {name} after a short of at most 5 s");
            if row.up_to.is_finite() {
                name = format!("{name}, up to {}", SquareMillimetre::new(row.up_to));
            }
            if row.rated_from > 0.0 {
                name = format!("{name}, rated {} or more", Celsius::new(row.rated_from));
            }
            list.add(name, Celsius::new(row.limit).to_string(), row.source, own);
        }
    }
    for row in shorts::OVERLOAD {
        let hours = row.time / 3600.0;
        list.add(
            format!("temperature that insulation withstands for {hours} h"),
            format!("rated temperature + {} K", row.above),
            row.source,
            "`rated` on the conductor or cable kind",
        );
    }
    list.add(
        "factor of copper in the adiabatic formula",
        format!("{} A s^0.5/mm2", shorts::COPPER.factor),
        shorts::COPPER.source,
        "",
    );
}

fn of_contacts(list: &mut List) {
    list.subject = "contacts and joints";
    list.one(
        "resistance of a mated plug contact",
        contact::plug_resistance(),
        "`contact-resistance` on the housing or in the policy",
    );
    list.one("resistance of a ring on its stud", contact::bolted_resistance(), "`joint-resistance` in the policy");
    list.one(
        "resistance of a closed switch, relay contact, disconnect or link",
        contact::closed_resistance(),
        "`contact-resistance` on the relay, switch or disconnect, `resistance` on the link",
    );
    list.one("current of a contact over that of the datasheet, all contacts loaded", contact::loaded_factor(), "");
    list.one("largest resistance of a resistor that counts as a shunt", contact::shunt_resistance(), "`resistor` on the element");
    list.one("resistance of a relay coil", contact::coil_resistance(), "`resistance` on the relay");
    let own = "`resistance` for the holding current and `economiser: none` on the relay";
    list.one("current of a coil with an economiser for good, of that at pull-in", contact::economised(), own);
    list.one("voltage at which a relay pulls in, of its nominal voltage", contact::pull_in(), "`pull-in` on the relay");
    list.one("most that a coil takes, of its `pull-in`", contact::coil_most(), "`coil-voltage` on the relay");
    list.one("most that every coil takes, of its `pull-in`", contact::coil_sure(), "`coil-voltage` on the relay");
    let [always, at_most, coil_needs] = super::made_for::shares();
    let own = "a working range as `coil-voltage` or as `voltage` of the load";
    list.one("voltage that a coil or load takes for good, of the one that it is made for", always, own);
    list.one("the same where its supply has that nominal voltage and a higher `max`, at most", at_most, own);
    list.one("voltage at which a coil is sure to pull in, of the one that it is made for", coil_needs, own);
    list.one("voltage at which a relay may still hold, of its nominal voltage", contact::hold(), "`hold` on the relay");
    list.one("time constant with which a contact gets warm", super::peak::warming(), "`current` of the contact");
    list.one("current that a contact makes and breaks, of its rating", super::peak::making(), "`current` of the contact");
    list.one("current of a cold filament, of that when it glows", super::peak::cold_filament(), "`peak` of the lamp");
    list.one("resistance of a conducting diode beside its forward voltage", contact::diode_resistance(), "");
}

/// What is waited for: a precharge, an engine that is cranked.
fn of_waiting(list: &mut List) {
    list.subject = "seconds";
    list.one("time that a precharge takes at most without being stated", super::precharge::usual(), "`lasts` on the mode");
    list.one("time that no precharge takes", super::precharge::too_long(), "`lasts` on the mode");
    list.one(
        "energy of one pulse that any precharge resistor bears",
        super::precharge::harmless_pulse(),
        "`energy` on the resistor",
    );
    list.one("time after a service disconnect is out at which work begins", super::interlock::longest_wait(), "");
    list.one("time for which an engine is cranked", heat::cranking(), "");
}

fn of_buses(list: &mut List) {
    list.subject = "buses";
    if let Some(stub) = super::bus::stub(super::bus::Protocol::Can, BitRate::new(500e3)) {
        list.one("stub of a CAN of 500 kbit/s and more", stub.map(|reach| reach.good), "");
    }
    list.one("resistance between the two lines of an RS-485 bus, at least", super::bus::least_of_pair(), "");
}

fn of_routes(list: &mut List) {
    list.subject = "routes";
    for (name, value, own) in super::route::listed() {
        list.add(name, value.value, value.source, own);
    }
}

/// What `harness whatif` tries single faults with and judges them by.
fn of_faults(list: &mut List) {
    list.subject = "single faults";
    list.one("share of its voltage below which a load does not work", super::supply::dead(), "");
    list.one("share of its voltage below which a load may not do what it should", super::supply::low(), "");
    list.one("resistance by which a corroded contact is raised", super::supply::corroded(), "`--by` of `harness whatif`");
    list.one("heat in a contact from which on it is damaged", super::supply::contact_heat(), "");
    list.one("resistance of a bridge between two contacts", super::supply::bridge(), "");
}

/// What the papers of the bench take a reading for, and what they let hands do.
fn of_readings(list: &mut List) {
    list.subject = "readings at the bench";
    list.one("spread of the voltage of a battery at rest", super::reading::battery_spread(), "");
    list.one("spread of a regulated voltage", super::reading::regulated_spread(), "");
    list.one("spread of a voltage that resistors make", super::reading::divided_spread(), "");
    list.one("spread of the current of a load", super::reading::load_spread(), "");
    list.one(
        "error of a voltmeter, of its reading, beside 2 digits",
        super::reading::meter_error(),
        "`error` of `meter` under `bench`",
    );
    list.one("resistance of the leads of a meter", super::reading::meter_leads(), "`leads` of `meter` under `bench`");
    list.one("reading of a conductor that nothing feeds, at most", super::reading::nothing(), "");
    list.one("error of a clamp meter", super::reading::clamp_error(), "");
    list.one("current from which a contact of class A sparks in the hand", super::reading::spark(), "");
    list.one("current in a contact of class B that hands work, at most", super::reading::trickle(), "");
    list.one("rating above which a fuse is bolted", super::reading::bolted_above(), "");
}

fn of_screens(list: &mut List) {
    list.subject = "screens";
    list.one("grounds of the screen of a cable for signals", super::screen::signal_screen(), "");
    list.one("grounds of the screen of a cable of class B", super::screen::class_b_screen(), "");
}

fn of_sources(list: &mut List) {
    list.subject = "sources";
    let own = "`resistance` on the source or converter";
    list.one("internal resistance of a source or converter", battery::source_resistance(), own);
    list.one(
        "resistance of an aged battery over that of a new one",
        battery::aged_over_new(),
        "`resistance: { new: …, aged: … }` on the source",
    );
    list.one(
        "open-circuit voltage of a flat battery over the one given",
        battery::flat_over_given(),
        "`limit` on what charges it, which bounds the charge current",
    );
    list.one(
        "open-circuit voltage of a string below the nominal one, of the nominal one",
        battery::below_nominal(),
        "`max` on the domain",
    );
    list.one("charger below the open-circuit voltage of its battery, of that voltage", battery::charger_below(), "");
    list.one("difference of strings side by side, of their voltage", battery::apart(), "");
    list.one("step between taps below which two are one, of a cell", battery::tap_step(), "`tap` on the pins");
}

fn of_voltages(list: &mut List) {
    list.subject = "voltage classes and bonds";
    list.one("end of voltage class A, DC", voltage::class_a_limit(false), "");
    list.one("end of voltage class A, AC", voltage::class_a_limit(true), "");
    list.one("end of extra-low voltage, DC", voltage::extra_low_limit(false), "");
    list.one("end of extra-low voltage, AC", voltage::extra_low_limit(true), "");
    for size in [10.0, 25.0, 70.0] {
        let live = SquareMillimetre::new(size);
        list.one(format!("least size of a protective conductor beside live conductors of {live}"), bonding::least_size(live), "");
    }
    list.one("resistance of a bond, at most", bonding::continuity(), "");
    list.one("isolation of DC circuits, per volt", voltage::isolation_per_volt(), "");
    list.one("isolation of circuits with AC, per volt", voltage::isolation_per_volt_ac(), "");
    list.one("input of a voltmeter that measures isolation, at least", super::isolation::meter_input(), "");
    list.one(
        "error of the known resistor of an isolation measurement",
        super::isolation::known_error(),
        "`--resistor-error` of `harness isolation`",
    );
    list.one("tolerance of an alternating supply", rated::tolerance(), "`nominal` and `max` on the domain");
    list.one("alternating voltage above which a domain is three-phase", rated::three_phase(), "`nominal` on the domain");
    list.one(
        "direct voltage that a contact rated for AC alone opens",
        rated::direct_of_ac_contact(),
        "`voltage` on the relay, switch or disconnect",
    );
    list.add(
        "insulation of a conductor beside mains or class B in one duct",
        "that of the highest voltage there",
        super::insulation::common_duct(),
        "`barrier` on the segment",
    );
    list.add(
        "rating of contacts for 12 V and 24 V vehicles",
        "nominal voltage",
        rated::by_nominal(),
        "`voltage` on the relay, switch or disconnect",
    );
    list.one("direct voltage of a U0/U cable, over U0", rated::direct_of_cable(), "`voltage` on the conductor or cable kind");
}

fn of_bench(list: &mut List) {
    list.subject = "readings on the bench";
    list.one("leads of a meter, shorted and subtracted", ring_out::leads(), "`leads` of the meter");
    list.one("error of a meter in ohms, as a share", ring_out::error(), "`error` of the meter");
    list.one("error of a meter in ohms beside that", ring_out::digits(), "");
    list.one("reading from which nothing joins two conductors", ring_out::open(), "");
    list.one("tolerance of a resistor", ring_out::resistor_tolerance(), "");
    list.one("continuity of a conductor of unknown resistance", ring_out::continuity(), "`length` and `size` on the wire");
    list.one("most volts that a test of diodes shows", ring_out::diode_range(), "");
    let [least, most] = ring_out::insulation_test();
    list.one("voltage of an insulation test, of the working voltage, the lower text", least, "");
    list.one("voltage of an insulation test, of the working voltage, the higher text", most, "");
    for volts in [144.0, 350.0, 800.0].map(Volt::new) {
        if let Some(step) = ring_out::tester_step(volts) {
            list.one(format!("insulation tester for {volts}"), step, "");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::values;
    use crate::standards::Status;
    use std::collections::BTreeSet;

    #[test]
    fn no_line_is_there_twice_and_subjects_are_not_mixed() {
        let values = values();
        let names: BTreeSet<(&str, &str)> = values.iter().map(|value| (value.subject, value.name.as_str())).collect();
        assert_eq!(names.len(), values.len());
        let changes = values.windows(2).filter(|pair| pair[0].subject != pair[1].subject).count();
        let subjects: BTreeSet<&str> = values.iter().map(|value| value.subject).collect();
        assert_eq!(changes + 1, subjects.len());
    }

    #[test]
    fn remembered_values_are_listed_one_by_one() {
        let values = values();
        let remembered = |name: &str| values.iter().any(|value| value.name == name && value.source.status == Status::Memory);
        assert!(remembered("operating time of a type E blade at 200 %"));
        assert!(remembered("resistance of road-vehicle wire, 0.13 mm2"));
        assert!(!remembered("operating time of a type C or F blade at 135 %"));
    }
}
