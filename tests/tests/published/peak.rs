//! Short-time currents against the times of fuses, as printed.

use harness_tests::report;

/// Current over rating, and the seconds within which a fuse has opened: gates of UL 248-14 (seen), on a page about fuses of small currents.
const UL_248_14: [(f64, f64); 2] = [(1.35, 3600.0), (2.0, 120.0)];

/// What is said of a fuse of 10 A by these gates that carries a peak.
fn said(peak: &str) -> Vec<(&'static str, String)> {
    let gates: Vec<String> =
        UL_248_14.iter().map(|(share, seconds)| format!("{{ at: {} %, opens-within: {seconds} s }}", share * 100.0)).collect();
    let report = report(&format!(
        "format: 1\ndesign: peak\ndomains:\n  aux: {{ nominal: 12 V, max: 15 V, reference: chassis }}\nzones:\n  z: {{ ambient: 25 degC }}\n\
         parts:\n  conductors:\n    thin: {{ standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }}\n  fuses:\n    \
         f: {{ standard: maker, rating: 10 A, voltage: 32 V, breaking: 1000 A, gates: [{}] }}\ndevices:\n  battery:\n    ports:\n      \
         P: {{ stud: M8, role: supply, domain: aux }}\n      N: {{ stud: M8, role: return, domain: aux }}\n    inside:\n      \
         cells: {{ source: 12.6 V, resistance: 20 mohm, positive: P, negative: N }}\n  box:\n    zone: z\n    ports: {{ I: {{ stud: M6 }}, O: {{ stud: M6 }} }}\n    \
         inside: {{ F: {{ fuse: f, from: I, to: O }} }}\n  motor:\n    ports: {{ A: {{ stud: M5 }}, B: {{ stud: M5 }} }}\n    \
         inside: {{ m: {{ load: 5 A, from: A, to: B, kind: motor, peak: {peak} }} }}\nlooms:\n  l:\n    wire: thin\n    zone: z\n    ends:\n      \
         R1: {{ ring: M8, bolts-to: battery.P }}\n      R2: {{ ring: M6, bolts-to: box.I }}\n      R3: {{ ring: M6, bolts-to: box.O }}\n      \
         R4: {{ ring: M5, bolts-to: motor.A }}\n      R5: {{ ring: M5, bolts-to: motor.B }}\n      R6: {{ ring: M8, bolts-to: battery.N }}\n    wires:\n      \
         1: {{ from: R1, to: R2, size: 2.5 mm2, length: 100 mm }}\n      2: {{ from: R3, to: R4, size: 2.5 mm2, length: 1 m }}\n      \
         3: {{ from: R5, to: R6, size: 2.5 mm2, length: 1 m }}\n",
        gates.join(", ")
    ));
    let found = report.findings.iter().filter(|finding| {
        finding.rule == "protection/peak-opens-fuse"
            || (finding.rule == "review/missing-fact" && finding.headline.contains("holds"))
    });
    found.map(|finding| (finding.rule, finding.headline.clone())).collect()
}

#[test]
fn a_fuse_has_opened_at_its_gate_and_of_less_nothing_is_promised() {
    for (share, seconds) in UL_248_14 {
        let amps = 10.0 * share;
        let at = said(&format!("{amps} A for {seconds} s"));
        assert!(matches!(at[..], [("protection/peak-opens-fuse", _)]), "{share}: {at:?}");
        // No least time is printed: a shorter peak may open it or not, and that is said.
        let below = said(&format!("{amps} A for {} s", seconds * 0.99));
        assert!(matches!(below[..], [("review/missing-fact", _)]), "{share}: {below:?}");
    }
    assert_eq!(said("10 A for 3600 s"), []);
}
