//! What nobody has seen on a page decides no verdict in silence: it is in the list of values that a user can print.

use super::{code, project, sources};
use harness_core::internals::standards::{Status, values};
use std::collections::BTreeSet;

/// Remembered figures and habits that no danger and no error rests on, with the reason.
const ELSEWHERE: &[(&str, &str)] = &[
    ("ISO 8820-3 rating series", "the help of a finding names ratings; no verdict rests on them"),
    ("ISO 8820-5 rating series", "the help of a finding names ratings; no verdict rests on them"),
    ("rerating curve of a vehicle blade fuse, maker's practice", "`protection/fuse-under-load` is a warning"),
    ("IEC 60269-1, preferred ratings", "the help of a finding names ratings; no verdict rests on them"),
    ("IEC 60898-1, preferred ratings", "the help of a finding names ratings; no verdict rests on them"),
    (
        "IEC 60364-4-43 433.1: the design current of a circuit is at most the rating of its gG fuse or circuit breaker",
        "`protection/fuse-under-load` is a warning",
    ),
    (
        "metric size and gauge that workshop manuals put side by side, nearest trade size",
        "`conductor/thin-for-handling` is a warning",
    ),
    ("ISO 11898-2, common mode of a receiver from -2 V", "`conductor/shared-return` is a warning"),
    ("ISO 17987-4, ground shift between nodes", "`conductor/shared-return` is a warning"),
    ("ISO 6469-3, end of voltage class B", "no rule asks for it"),
    ("ABYC E-11, rings on one stud", "no rule asks for it: the rings of a truck's earth stud decide"),
    ("a wire below 20 mm leaves no room for a terminal at each end", "`conductor/odd-length` is a warning"),
    ("no wire of a vehicle, a boat or a cabinet is longer than 150 m", "`conductor/odd-length` is a warning"),
    ("lengths that contradict each other: a unit or a decimal point that slipped", "`conductor/odd-length` is a warning"),
    ("least single wire of a road-vehicle loom", "`conductor/thin-for-handling` is a warning"),
    (
        "metric size and gauge that workshop manuals put side by side, nearest trade size",
        "`conductor/thin-for-handling` is a warning",
    ),
    (
        "a generator or charger gives 13.8 V or more to a battery of 12.8 V; batteries side by side differ by less",
        "`review/missing-fact` is a note",
    ),
    ("forward drop of a silicon diode", "a diode of the format states its own"),
    (
        "a reading of a workshop meter on a living vehicle, with what loads and battery vary",
        "`harness diagnose` orders causes by it; no verdict rests on it",
    ),
    ("what probes, ripple and digits add to a reading", "`harness diagnose` orders causes by it; no verdict rests on it"),
    (
        "a meter of 10 Mohm at a point that nothing joins shows next to nothing, or what it picks up",
        "`harness diagnose` orders causes by it; no verdict rests on it",
    ),
    ("readings at the wrong point or written down wrongly", "`harness diagnose` orders causes by it; no verdict rests on it"),
    (
        "how often a fault of a loom is of this kind, beside others",
        "`harness diagnose` orders causes by it; no verdict rests on it",
    ),
    ("IEC 60949, aluminium: factor seen, beta remembered", "the format has copper conductors only"),
];

#[test]
fn a_figure_that_was_not_seen_is_listed_or_decides_nothing() {
    let listed: BTreeSet<&str> = values().iter().map(|value| value.source.standard).collect();
    let mut unseen = BTreeSet::new();
    for (_, text) in sources(&project().join("harness-core/src/standards")) {
        for how in ["Source::memory(", "Source::practice("] {
            for (at, _) in code(&text).match_indices(how) {
                let rest = &text[at + how.len()..];
                let Some((_, rest)) = rest.split_once('"') else { continue };
                unseen.extend(rest.split_once('"').map(|(name, _)| name.to_owned()));
            }
        }
    }
    assert!(unseen.len() > 15, "{unseen:?}");
    let elsewhere = |name: &str| ELSEWHERE.iter().any(|(known, _)| *known == name);
    let silent: Vec<&String> = unseen.iter().filter(|name| !listed.contains(name.as_str()) && !elsewhere(name)).collect();
    assert!(silent.is_empty(), "not in `standards::values()`: {silent:#?}");
    let gone: Vec<&str> = ELSEWHERE.iter().map(|(name, _)| *name).filter(|name| !unseen.contains(*name)).collect();
    assert!(gone.is_empty(), "no figure has these sources any more: {gone:?}");
}

#[test]
fn the_list_says_what_was_not_seen_and_how_to_replace_it() {
    let values = values();
    let unseen = values.iter().filter(|value| value.source.status >= Status::Practice);
    let no_key: Vec<&str> = unseen.filter(|value| value.own.is_empty()).map(|value| value.name.as_str()).collect();
    // What the format has no key for; each is judged by the worst case, or by a habit that holds for every design.
    let expected = [
        "resistance of a conducting diode beside its forward voltage",
        "charger below the open-circuit voltage of its battery, of that voltage",
        "difference of strings side by side, of their voltage",
        "time after a service disconnect is out at which work begins",
        "time for which an engine is cranked",
        "end of extra-low voltage, DC",
        "end of extra-low voltage, AC",
        "least size of a protective conductor beside live conductors of 10 mm2",
        "least size of a protective conductor beside live conductors of 25 mm2",
        "least size of a protective conductor beside live conductors of 70 mm2",
        "stub of a CAN of 500 kbit/s and more",
        "resistance between the two lines of an RS-485 bus, at least",
        "tolerance of a coded resistor",
        "share by which such a level differs at most",
        "least difference between two levels of a proximity contact",
        "movement of the vehicle with the plug in",
        "share of its voltage below which a load does not work",
        "share of its voltage below which a load may not do what it should",
        "heat in a contact from which on it is damaged",
        "resistance of a bridge between two contacts",
        "grounds of the screen of a cable for signals",
        "grounds of the screen of a cable of class B",
        "error of a meter in ohms beside that",
        "reading from which nothing joins two conductors",
        "tolerance of a resistor",
        "most volts that a test of diodes shows",
        "insulation tester for 144 V",
        "insulation tester for 350 V",
        "insulation tester for 800 V",
    ];
    assert_eq!(no_key, expected);
}
