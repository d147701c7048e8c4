//! Isolation from three readings, against worked cases.

use super::{Case, compare};
use harness_core::{
    bench::isolation::{Pole, Shown, ThreeReadings, Verdict, isolation},
    quantity::{Ohm, Volt},
};

/// A battery of 400 V with a resistor of 200 kohm: V1, V2, the pole with the resistor, the reading there, then the isolation in ohm and in ohm
/// per volt, the weaker pole, and the verdicts at 100 and 500 ohm per volt.
type Worked = (&'static str, [f64; 2], Pole, f64, [f64; 2], Pole, [Verdict; 2]);

/// Worked from the formula of UN R100 (seen) with the sides given: 300 kohm and 600 kohm, 500 kohm and 30 kohm; the third with a meter of 10 Mohm.
const CASES: [Worked; 3] = [
    ("A", [266.667, 133.333], Pole::Negative, 133.333, [300_000.0, 750.0], Pole::Positive, [Verdict::Holds; 2]),
    ("B", [22.6415, 377.358], Pole::Positive, 330.5785, [30_000.0, 75.0], Pole::Negative, [Verdict::Fails; 2]),
    ("A, meter 10 Mohm", [261.4379, 130.7190], Pole::Negative, 132.0132, [300_000.0, 750.0], Pole::Positive, [Verdict::Holds; 2]),
];

#[test]
fn isolation_is_that_of_the_worked_cases() {
    let shown = |volts: f64| Shown { volts: Volt::new(volts), digit: Volt::new(0.001) };
    let mut compared = Vec::new();
    for (name, [negative, positive], pole, with, [ohms, per_volt], weaker, verdicts) in CASES {
        let (battery, known) = (shown(400.0), Ohm::new(200e3));
        let readings = ThreeReadings::of_usual_tools(battery, shown(negative), shown(positive), (pole, shown(with)), known);
        let found = isolation(&readings, Volt::new(400.0)).expect("readings of one battery");
        let case = |what: &str, ours: f64, printed: f64| Case {
            what: format!("{name}, {what}"),
            ours,
            printed,
            source: "UN R100, annex on isolation resistance (seen), worked",
        };
        compared.push(case("ohm", found.ohms.value.map_or(f64::NAN, |ohms| ohms.get()), ohms));
        compared.push(case("ohm per volt", found.per_volt.value.map_or(f64::NAN, |ohms| ohms.get()), per_volt));
        assert_eq!(found.weaker, weaker, "{name}");
        // With tools that have no error but that of the last digit.
        let exact = ThreeReadings { known_error: Default::default(), meter_error: Default::default(), ..readings };
        let judged = isolation(&exact, Volt::new(400.0)).expect("readings of one battery").judged;
        assert_eq!(judged.map(|judged| judged.verdict), verdicts, "{name}");
    }
    // The least isolation of 400 V: 40 kohm and 200 kohm.
    let limits = isolation(
        &ThreeReadings::of_usual_tools(
            shown(400.0),
            shown(266.667),
            shown(133.333),
            (Pole::Negative, shown(133.333)),
            Ohm::new(200e3),
        ),
        Volt::new(400.0),
    );
    let least = limits.expect("readings of one battery").judged.map(|judged| judged.least.get());
    assert_eq!(least, [40_000.0, 200_000.0]);
    compare(&compared, 0.0, 1e-4);
}
