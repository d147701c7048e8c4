//! Temperatures of a whole design against a balance that is solved here by halving, current and heat together.

use harness_core::{Analysis, Checker, Design, FileError, Files, MemoryFiles, check};
use harness_tests::fixtures;

/// Copper's resistance at `t` degC over that at 20 degC: 1 + 0.00393 K^-1, the IEC coefficient at 20 degC (definition).
fn copper(t: f64) -> f64 {
    1.0 + 0.00393 * (t - 20.0)
}

/// The root of a falling function between two bounds.
fn root(mut low: f64, mut high: f64, falling: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if falling(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Two returns of 1.5 mm2 side by side in space but in looms of their own, of different lengths, at 60 degC.
fn netlist(load: &str, first: &str, second: &str) -> String {
    format!(
        "format: 1
design: Two returns
domains: {{ main: {{ nominal: 24 V, max: 30 V, reference: chassis }} }}
zones: {{ deck: {{ ambient: 60 degC }} }}
policy: {{ joint-resistance: 0.01 uohm, rated: 105 degC }}
devices:
  battery:
    ports: {{ POS: {{ stud: M8, role: supply, domain: main }}, NEG: {{ stud: M8, role: return, domain: main }} }}
    inside: {{ cells: {{ source: 24 V, resistance: 1 mohm, positive: POS, negative: NEG }} }}
  load:
    ports: {{ A: {{ stud: M8 }}, B: {{ stud: M8 }} }}
    inside: {{ it: {{ load: {load}, from: A, to: B }} }}
looms:
  feed:
    zone: deck
    ends: {{ R1: {{ ring: M8, bolts-to: battery.POS }}, R2: {{ ring: M8, bolts-to: load.A }} }}
    wires: {{ 1: {{ from: R1, to: R2, size: 120 mm2, length: 0.1 mm }} }}
  first:
    zone: deck
    ends: {{ R1: {{ ring: M8, bolts-to: load.B }}, R2: {{ ring: M8, bolts-to: battery.NEG }} }}
    wires: {{ 1: {{ from: R1, to: R2, size: 1.5 mm2, length: {first} }} }}
  second:
    zone: deck
    ends: {{ R1: {{ ring: M8, bolts-to: load.B }}, R2: {{ ring: M8, bolts-to: battery.NEG }} }}
    wires: {{ 1: {{ from: R1, to: R2, size: 1.5 mm2, length: {second} }} }}
"
    )
}

/// Temperatures of the two returns, `None` where there is none, and whether the mode came to rest.
fn temperatures(text: String) -> (Vec<Option<f64>>, bool) {
    let files = MemoryFiles::one("returns.yaml", text);
    let design = Design::load(&files, "returns.yaml");
    assert!(design.mistakes().is_empty(), "{:?}", design.mistakes());
    let analysis = Analysis::of_all(&design);
    let (model, electrical) = (analysis.model(), analysis.electrical());
    let mode = electrical.modes().next().unwrap();
    assert!(mode.is_settled());
    let found = model.wires().skip(1).map(|(id, _)| mode.temperature(id).map(|at| at.get())).collect();
    (found, mode.at_rest)
}

/// What 1.5 mm2 gives off for each kelvin, by metre: 24 A hold 70 degC in air of 30 degC (DIN VDE 0298-4, seen), 12.7 mohm/m at
/// 20 degC (ISO 6722-1, seen).
fn cooling() -> f64 {
    24.0 * 24.0 * 12.7e-3 * copper(70.0) / 40.0
}

/// The steady temperature with so many ampere in air of 60 degC.
fn steady(amps: f64) -> f64 {
    root(60.0, 2_000.0, |t| amps * amps * 12.7e-3 * copper(t) - cooling() * (t - 60.0))
}

#[test]
fn conductors_in_parallel_share_by_their_warm_resistance() {
    for (total, first, second) in [(20.0, 1.0, 1.0), (30.0, 1.0, 2.0), (24.0, 0.5, 4.0)] {
        // The current of the first, at which both lose the same volts warm.
        let volts = |amps: f64, length: f64| amps * length * copper(steady(amps));
        let own = root(0.0, total, |amps| volts(total - amps, second) - volts(amps, first));
        let (found, at_rest) = temperatures(netlist(&format!("{total} A"), &format!("{first} m"), &format!("{second} m")));
        assert!(at_rest);
        for (found, expected) in found.iter().zip([steady(own), steady(total - own)]) {
            // A round ends at 0.1 K, and the straight line of copper through 234.5 differs by 0.01 %.
            assert!((found.unwrap() - expected).abs() < 0.3, "{total} A: {found:?}, {expected} by halving");
        }
    }
}

#[test]
fn a_load_of_constant_power_warms_its_conductors_by_what_it_draws() {
    let per_metre = |amps: f64| 12.7e-3 * copper(steady(0.5 * amps));
    // 20 m each: two in parallel.
    let amps = root(0.0, 60.0, |amps| 400.0 - amps * (24.0 - amps * (1e-3 + 10.0 * per_metre(amps))));
    let (found, at_rest) = temperatures(netlist("400 W", "20 m", "20 m"));
    assert!(at_rest);
    for found in found {
        assert!((found.unwrap() - steady(0.5 * amps)).abs() < 0.3, "{found:?}, {} by halving", steady(0.5 * amps));
    }
}

/// The heat outruns the cooling where the resistance gains more than the rise: at 66.2 A, by the same balance.
#[test]
fn a_conductor_without_a_steady_temperature_is_none() {
    let most = (cooling() / (12.7e-3 * 0.00393)).sqrt();
    let each = |amps: f64| temperatures(netlist(&format!("{amps} A"), "100 mm", "100 mm")).0;
    assert!(each(2.0 * most * 0.99).iter().all(Option::is_some));
    assert!(each(2.0 * most * 1.01).iter().all(Option::is_none));
}

/// The demo with another capacity table.
struct Demo(&'static str);

impl Files for Demo {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let path = fixtures().join("terrace-tractor").join(name);
        let text = std::fs::read_to_string(path).map_err(|error| FileError::Unreadable(error.to_string()))?;
        Ok(text.replace("\npolicy:\n", &format!("\npolicy:\n  capacity: {}\n", self.0)).into_bytes())
    }
}

/// Another table changes temperatures alone: every mode of the demo is solved again with other resistances and finds its rest,
/// its inverter of constant power too, which what the network before showed at its terminals would lead astray.
#[test]
fn every_mode_of_the_demo_finds_its_rest_with_every_table() {
    let mut hottest = Vec::new();
    for table in ["vehicle cable", "marine", "aircraft bundle"] {
        let report = check(&Demo(table), "tractor.yaml", &Checker::new());
        assert!(report.summary.modes.iter().all(|mode| mode.solved), "{table}: {:?}", report.summary.modes);
        let restless = report.findings.iter().find(|finding| finding.headline.contains("not settled"));
        assert!(restless.is_none(), "{table}: {restless:?}");
        hottest.push(report.summary.hottest.first().unwrap().temperature.unwrap());
    }
    assert!(hottest.windows(2).all(|pair| pair[0] != pair[1]), "the table makes no difference: {hottest:?}");
}
