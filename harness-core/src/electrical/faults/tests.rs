//! Shorts in small designs against values worked out by hand.

use super::{Exposure, Verdict};
use crate::{Analysis, Design, MemoryFiles};

/// A battery, one fuse of 10 A, a lamp, and wires of 2.5 mm2 there and back; `parts` and `more` add to it.
fn design(parts: &str, inside: &str, wires: &str) -> String {
    format!(
        "format: 1
design: Orchard lift
domains:
  aux: {{ nominal: 12 V, max: 15 V, reference: floating }}
zones:
  deck: {{ ambient: 40 degC }}
parts:
  conductors:
    thin: {{ standard: ISO 6722-1, rated: 105 degC, insulation: PVC }}
  fuses:
    small: {{ standard: ISO 8820-3, type: C, rating: 10 A, resistance: 8 mohm }}
{parts}
devices:
  battery:
    ports:
      POS: {{ stud: M8, role: supply, domain: aux }}
      NEG: {{ stud: M8, role: return, domain: aux }}
    inside:
      cells: {{ source: 12.6 V, resistance: {{ new: 10 mohm, aged: 10 mohm }}, positive: POS, negative: NEG }}
  box:
    ports:
      IN: {{ stud: M8 }}
      OUT: {{ stud: M5 }}
    inside:
{inside}
  lamp:
    ports:
      A: {{ stud: M5 }}
      B: {{ stud: M5 }}
    inside:
      bulb: {{ load: 4 A, from: A, to: B, kind: lamp }}
policy: {{ joint-resistance: 1 mohm }}
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: {{ ring: M8, bolts-to: battery.POS }}
      R2: {{ ring: M8, bolts-to: box.IN }}
      R3: {{ ring: M5, bolts-to: box.OUT }}
      R4: {{ ring: M5, bolts-to: lamp.A }}
      R5: {{ ring: M5, bolts-to: lamp.B }}
      R6: {{ ring: M8, bolts-to: battery.NEG }}
    wires:
{wires}
"
    )
}

const WIRES: &str = "      1: { from: R1, to: R2, size: 6 mm2, length: 1 m }
      2: { from: R3, to: R4, size: 2.5 mm2, length: 1 m }
      3: { from: R5, to: R6, size: 2.5 mm2, length: 1 m }";

struct Found(Analysis);

fn found(text: &str) -> Found {
    let design = Design::load(&MemoryFiles::one("design.yaml", text), "design.yaml");
    assert!(design.mistakes().is_empty(), "{:?}", design.mistakes());
    Found(Analysis::of_all(&design))
}

impl Found {
    fn wire(&self, name: &str) -> &Exposure {
        let (id, _) = self.0.model().wires().find(|(id, _)| self.0.model().wire_name(*id) == name).unwrap();
        self.0.electrical().faults().of_wire(id).unwrap()
    }
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-3 * expected.abs(), "found {found}, expected {expected}");
}

/// ISO 6722-1, resistance at 20 degC: 6 mm2 3.14, 2.5 mm2 7.60 milliohm per metre (table of a maker's datasheet, seen). At
/// 105 degC copper has (234.5 + 105) / 254.5 = 1.3340 times that.
const WARM: f64 = 339.5 / 254.5;

#[test]
fn the_prospective_current_is_ohms_law_with_warm_conductors() {
    let found = found(&design("", "      F1: { fuse: small, from: IN, to: OUT }", WIRES));
    // Short across the lamp: cells 10, wire 1 3.14, fuse 8, wires 2 and 3 7.6 milliohm each; six joints of 1 milliohm.
    let across = 12.6 / (0.010 + 0.008 + 0.006 + WARM * (0.003_14 + 0.0076 + 0.0076));
    let back = found.wire("deck.3");
    near(back.amps.get(), across);
    assert_eq!(found.0.model().element_name(back.opens.unwrap().0), "box.F1");
    // Far above 600 % of its rating: the gate of 0.1 s there, at constant heat.
    let share = across / 10.0;
    assert!(share > 6.0);
    near(back.ends.unwrap().get(), 0.1 * (6.0 / share) * (6.0 / share));
    // IEC 60949 from 105 to 160 degC: k = 226 sqrt(ln(394.5 / 339.5)) = 87.57; within a second little heat is lost.
    let adiabatic = (87.57 * 2.5 / across).powi(2);
    assert!(back.stands.unwrap().get() >= adiabatic && back.stands.unwrap().get() < 1.2 * adiabatic);
    assert_eq!(back.verdict, Verdict::Stands);
    near(back.margin.unwrap(), back.stands.unwrap().get() / back.ends.unwrap().get());
}

#[test]
fn the_largest_current_at_a_fuse_has_cold_conductors() {
    let found = found(&design("", "      F1: { fuse: small, from: IN, to: OUT }", WIRES));
    let (fuse, _) = found.0.model().elements().find(|(id, _)| found.0.model().element_name(*id) == "box.F1").unwrap();
    let duty = found.0.electrical().faults().of_fuse(fuse).unwrap();
    // Cells 10, wire 1 3.14, fuse 8 milliohm and two joints of 1.
    near(duty.amps.get(), 12.6 / 0.023_14);
}

#[test]
fn a_thin_conductor_behind_a_large_fuse_burns() {
    let thin = WIRES.replace("2.5 mm2, length: 1 m", "0.5 mm2, length: 4 m");
    let found = found(&design(
        "    large: { standard: ISO 8820-3, type: C, rating: 40 A, resistance: 1.8 mohm }",
        "      F1: { fuse: large, from: IN, to: OUT }",
        &thin,
    ));
    // 0.5 mm2 has 37.1 milliohm per metre: about 30 A, below the rating, so the fuse never opens.
    let back = found.wire("deck.3");
    near(back.amps.get(), 12.6 / (0.010 + 0.001_8 + 0.006 + WARM * (0.003_14 + 8.0 * 0.0371)));
    assert_eq!((back.verdict, back.opens, back.ends), (Verdict::Burns, None, None));
    assert_eq!(back.margin, Some(0.0));
}

#[test]
fn a_fuse_without_known_times_leaves_the_verdict_open() {
    let found = found(&design(
        "    unknown: { rating: 10 A, resistance: 8 mohm }",
        "      F1: { fuse: unknown, from: IN, to: OUT }",
        WIRES,
    ));
    assert!(matches!(found.wire("deck.3").verdict, Verdict::Unknown(_)));
}

#[test]
fn what_the_battery_leaves_the_charger_goes_on_feeding() {
    // A charger of 30 A joins behind the fuse: the battery's share opens it, the charger's 30 A flow on and 2.5 mm2 does not
    // carry them for ever.
    let inside = "      F1: { fuse: small, from: IN, to: OUT }
      charger: { source: 14 V, resistance: 20 mohm, limit: 40 A, positive: OUT, negative: EARTH }";
    let text =
        design("", inside, WIRES).replace("      OUT: { stud: M5 }\n", "      OUT: { stud: M5 }\n      EARTH: { stud: M5 }\n");
    let text = text.replace("      R6:", "      R7: { ring: M5, bolts-to: box.EARTH }\n      R6:");
    let found = found(&text.replace("      3: {", "      4: { from: R7, to: R6, size: 6 mm2, length: 1 m }\n      3: {"));
    let across = found.wire("deck.2");
    let point = |name: &str| found.0.model().points().find(|(id, _)| found.0.model().point_name(*id) == name).unwrap().0;
    let mode = found.0.model().modes().next().unwrap().0;
    let pair = (point("lamp.A"), Some(point("lamp.B")));
    let (strike, _) = found.0.electrical().striking(mode).unwrap().strike(pair).unwrap();
    let stages = strike.stages();
    assert_eq!(stages.len(), 2);
    assert_eq!(found.0.model().element_name(stages[0].opens.unwrap().0), "box.F1");
    near(stages[1].amps.get(), 40.0);
    assert!(!strike.ends());
    assert_eq!((across.verdict, across.ends), (Verdict::Burns, None));
}
