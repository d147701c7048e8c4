//! Contact derating, voltage classes, handling and colours.

use super::{Case, amps, compare};
use harness_core::{
    internals::standards::{
        Status, battery,
        colour::{Colour, WireColour},
        contact, handling, stud,
        voltage::{self, VoltageClass},
    },
    quantity::{Ohm, SquareMillimetre, Volt},
};

#[test]
fn derated_contact_currents_are_those_of_the_datasheets() {
    const CURVES: &str = "ISO/IEC 60512-5-2 derating curves of four connector datasheets (seen)";
    // Case, base and derated current in A.
    let printed = [
        ("CN-1 at 20 degC", 15.8, 12.64),
        ("CN-1 at 60 degC", 13.0, 10.40),
        ("CN-1 at 120 degC", 3.3, 2.64),
        ("CN-2 at 20 degC", 8.6, 6.88),
        ("CN-2 at 60 degC", 5.15, 4.12),
        ("CN-2 at 80 degC", 2.1, 1.68),
        ("CN-3 at 20 degC", 8.5, 6.80),
        ("CN-3 at 60 degC", 5.2, 4.16),
        ("CN-3 at 80 degC", 2.2, 1.76),
        ("CN-4 at 20 degC", 21.9, 17.52),
        ("CN-4 at 60 degC", 18.4, 14.72),
        ("CN-4 at 140 degC", 6.1, 4.88),
    ];
    let cases: Vec<Case> = printed
        .into_iter()
        .map(|(what, base, printed)| Case {
            what: format!("{what}, A"),
            ours: contact::derated(amps(base)).value.get(),
            printed,
            source: CURVES,
        })
        .collect();
    compare(&cases, 0.005, 0.0);
}

#[test]
fn defaults_of_practice_say_so() {
    for status in [
        contact::plug_resistance().source.status,
        contact::bolted_resistance().source.status,
        contact::closed_resistance().source.status,
        contact::pull_in().source.status,
        contact::hold().source.status,
        battery::below_nominal().source.status,
        battery::apart().source.status,
        battery::tap_step().source.status,
        contact::diode_drop().source.status,
        handling::road_single().source.status,
    ] {
        assert_eq!(status, Status::Practice);
    }
    assert!(contact::plug_resistance().to_string().ends_with("(common practice, no source)"));
}

/// A relay datasheet prints 60 to 80 ohm beside 150 to 200 mA (seen); 12 V across the library's coil draws its lower figure.
#[test]
fn the_default_coil_draws_what_a_datasheet_prints() {
    let drawn = 12.0 / contact::coil_resistance().value.get();
    assert!((drawn - 0.150).abs() < 1e-9, "{drawn}");
}

/// Cold resistance and drop of quoted type C fuses (seen second hand): a fuse never drops more cold than it does at its rating.
#[test]
fn fuses_drop_less_cold_than_the_quoted_drop_at_their_rating() {
    // A, cold mohm, mV at the rating.
    for (rating, cold, hot_drop) in [(1.0, 123.0, 176.0), (2.0, 53.5, 141.0), (4.0, 22.8, 136.0), (10.0, 7.7, 109.0)] {
        let found = contact::fuse_resistance(amps(rating)).unwrap();
        assert!((found.value.get() * 1e3 - cold).abs() < 1e-9);
        assert_eq!(found.source.status, Status::SecondHand);
        assert!(found.value.get() * 1e3 * rating < hot_drop);
    }
}

/// UN R100: high voltage starts above 60 V DC or 30 V AC (seen). Strings from cell voltages worked out beforehand (computed).
#[test]
fn voltage_classes_of_battery_strings() {
    let cases = [
        ("14 cells at 4.2 V", 58.8, VoltageClass::A),
        ("15 cells at 4.2 V", 63.0, VoltageClass::B),
        ("16 cells at 3.65 V", 58.4, VoltageClass::A),
        ("17 cells at 3.65 V", 62.05, VoltageClass::B),
        ("the limit itself", 60.0, VoltageClass::A),
        ("negative pole as reference", -350.0, VoltageClass::B),
    ];
    for (what, max, class) in cases {
        assert_eq!(voltage::class(Volt::new(max), false), class, "{what}");
    }
    assert_eq!(voltage::class(Volt::new(30.0), true), VoltageClass::A);
    assert_eq!(voltage::class(Volt::new(30.1), true), VoltageClass::B);
}

/// UN R100 asks 100 ohm per volt of a DC bus (seen): 40 000 ohm at 400 V, and 200 000 ohm for the 500 ohm of AC (computed).
#[test]
fn isolation_of_a_400_volt_bus() {
    assert_eq!(voltage::least_isolation(Volt::new(400.0), false).value, Ohm::new(40_000.0));
    assert_eq!(voltage::least_isolation(Volt::new(400.0), true).value, Ohm::new(200_000.0));
}

#[test]
fn handling_and_stud_limits_are_those_of_their_pages() {
    // ISO 10133:2012 7.7 (seen).
    assert_eq!(handling::marine_sheathed().value, SquareMillimetre::new(0.75));
    assert_eq!(handling::marine_separate().value, SquareMillimetre::new(1.0));
    // Common practice, no source: 0.35 mm2 passes and 0.22 mm2 does not.
    assert!(SquareMillimetre::new(0.35) >= handling::road_single().value);
    assert!(SquareMillimetre::new(0.22) < handling::road_single().value);
    // Bodybuilder's note (seen) and ABYC practice (from memory, not seen).
    assert_eq!((stud::most_rings().value, stud::most_rings().source.status), (3, Status::Seen));
    assert_eq!((stud::most_rings_marine().value, stud::most_rings_marine().source.status), (4, Status::Memory));
}

/// IEC 60757 letters, page on the national copy of the standard (seen).
#[test]
fn colour_letters_are_those_of_iec_60757() {
    let table = [
        ("BK", "black"),
        ("BN", "brown"),
        ("RD", "red"),
        ("OG", "orange"),
        ("YE", "yellow"),
        ("GN", "green"),
        ("BU", "blue"),
        ("VT", "violet"),
        ("GY", "grey"),
        ("WH", "white"),
        ("PK", "pink"),
        ("GD", "gold"),
        ("TQ", "turquoise"),
        ("SR", "silver"),
        ("GNYE", "green-yellow"),
    ];
    for (code, name) in table {
        let colour: WireColour = code.parse().unwrap();
        assert_eq!((colour.to_string().as_str(), colour.name().as_str()), (code, name));
    }
    assert_eq!(Colour::ALL.len() + 1, table.len());
}
