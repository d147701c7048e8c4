//! Precharge, interlock loops, touch voltage and stored energy, as printed.

use super::{Case, compare};
use harness_core::{
    internals::standards::precharge::Charging,
    quantity::{Farad, Ohm, Volt},
};
use harness_tests::{fixtures, report};

/// A fixture of `rules` with each first text replaced by the second, which must be in it.
fn fixture(path: &str, edits: &[(&str, &str)]) -> String {
    let text = std::fs::read_to_string(fixtures().join("rules").join(path)).expect("the fixture can be read");
    edits.iter().fold(text, |text, (from, to)| {
        assert!(text.contains(from), "{path} has no `{from}`");
        text.replace(from, to)
    })
}

/// Whether a rule has a finding.
fn finds(rule: &str, netlist: &str) -> bool {
    report(netlist).findings.iter().any(|finding| finding.rule == rule)
}

#[test]
fn a_precharge_is_that_of_two_calculators() {
    // 800 V, 47 ohm, 1000 uF; results as a precharge calculator of a maker of parts prints them (seen).
    let charging = Charging { volts: Volt::new(800.0), ohms: Ohm::new(47.0), farad: Farad::new(1e-3) };
    let case = |what: &str, ours: f64, printed: f64| Case {
        what: what.to_owned(),
        ours,
        printed,
        source: "precharge calculator of a maker of parts (seen)",
    };
    let seconds = |share: f64| charging.time_to(share).map_or(f64::NAN, |time| time.get());
    let cases = [
        case("time constant, ms", 1e3 * charging.time_constant().get(), 47.0),
        case("time to 99 %, ms", 1e3 * seconds(0.99), 216.4),
        case("current at first, A", charging.first_current().get(), 17.0),
        case("power at first, W", charging.first_power().get(), 13_617.0),
        case("energy, J", charging.energy().get(), 320.0),
    ];
    compare(&cases, 0.05, 0.0005);
    // DIFFERENCE: it prints 141.0 ms to 95 %, which is three time constants; 95 % are reached 0.2 ms sooner.
    assert!((1e3 * seconds(0.95) - 141.0).abs() > 0.1 && (1e3 * seconds(0.95) - 141.0).abs() < 0.3);
}

/// Rules for student vehicles, EV.5.6.1: at least 90 % of the voltage before the second contactor closes (seen). 100 ohm and 600 uF: 138.2 ms
/// (computed from the formulas of the calculators).
#[test]
fn nine_tenths_are_there_before_the_second_contactor_closes() {
    let closing = |delay: &str| fixture("interlock/slow-precharge/closing-delay.yaml", &[("closing-delay: 50 ms", delay)]);
    assert!(finds("interlock/slow-precharge", &closing("closing-delay: 137 ms")));
    assert!(!finds("interlock/slow-precharge", &closing("closing-delay: 140 ms")));
    let report = report(&closing("closing-delay: 100 ms"));
    let finding = report.findings.iter().find(|finding| finding.rule == "interlock/slow-precharge").expect("it is too short");
    let figure = |name: &str| {
        let found = finding.figures.iter().find(|figure| figure.name == name);
        found.map_or_else(|| panic!("no figure `{name}`: {:?}", finding.figures), |figure| figure.value.clone())
    };
    assert_eq!((figure("time to 90 %").as_str(), figure("time to 95 %").as_str()), ("138 ms", "180 ms"));
    // The bleeder of 47 kohm is beside the 100 ohm.
    assert_eq!(figure("time constant"), "59.9 ms");
}

/// The same rules, EV.7.8: the interlock must not be in the low side of the contactor coils (seen).
#[test]
fn a_loop_in_the_ground_of_the_coils_is_found_and_one_in_their_supply_is_not() {
    let ground = fixture("interlock/ground-side.yaml", &[]);
    assert!(finds("interlock/ground-side", &ground));
    let supply = fixture(
        "interlock/ground-side.yaml",
        &[
            ("from: P4.1, to: P3.1", "from: P4.1, to: P2.A"),
            ("from: P1.B, to: P4.2", "from: P1.B, to: P3.1"),
            ("from: P3.2, to: P2.A", "from: P3.2, to: P4.2"),
        ],
    );
    let report = report(&supply);
    let loud = report.findings.iter().filter(|finding| finding.level > harness_core::finding::Level::Note).count();
    assert_eq!(loud, 0, "{}", harness_tests::words(&report));
}

/// UN R100: dangerous above 60 V DC (seen); the limit itself is not.
#[test]
fn sixty_volts_can_be_touched_and_more_can_not() {
    let open = |volts: &str| {
        let lower = "low: { source: 150 V, resistance: 50 mohm, capacity: 40 Ah, positive: a, negative: b }";
        let upper = "high: { source: 150 V, resistance: 50 mohm, capacity: 40 Ah, positive: c, negative: d }";
        fixture(
            "domain/live-when-open.yaml",
            &[
                ("nominal: 300 V, max: 340 V", "nominal: 300 V, max: 300 V"),
                (lower, &lower.replace("150 V", "240 V")),
                (upper, &upper.replace("150 V", volts)),
            ],
        )
    };
    assert!(!finds("domain/live-when-open", &open("60 V")));
    assert!(finds("domain/live-when-open", &open("61 V")));
}

/// ISO 6469-4:2015 5.2.3: less than 0.2 J where one potential can be touched (seen). At 300 V that is 4.44 uF.
#[test]
fn a_fifth_of_a_joule_may_stay_in_a_capacitor() {
    let stored = |farads: &str| fixture("interlock/no-discharge.yaml", &[("capacitor: 10 uF", farads)]);
    assert!(finds("interlock/no-discharge", &stored("capacitor: 10 uF")));
    assert!(finds("interlock/no-discharge", &stored("capacitor: 5 uF")));
    assert!(!finds("interlock/no-discharge", &stored("capacitor: 4 uF")));
}
