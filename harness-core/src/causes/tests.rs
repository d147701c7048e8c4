use crate::{Checker, MemoryFiles, check, finding::Level, report::Report};

const PARTS: &str = "format: 1
design: Cart
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
zones: { bay: { ambient: 40 degC } }
modes: { run: {} }
parts:
  housings:
    A2M: { family: A, positions: 2, contacts: pin, sealed: true, current: 14 A, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    A2F: { family: A, positions: 2, contacts: socket, sealed: true, current: 14 A, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
";

fn report(text: &str) -> Report {
    check(&MemoryFiles::one("cart.yaml", text), "cart.yaml", &Checker::new())
}

/// Rule, number of findings and whether they are held back, cause by cause.
fn causes(report: &Report) -> Vec<(&'static str, usize, bool)> {
    let covered: usize = report.causes.iter().map(|cause| cause.findings.len()).sum();
    assert_eq!(covered, report.findings.len());
    report.causes.iter().map(|it| (report.findings[it.findings.start].rule, it.findings.len(), it.held_back)).collect()
}

#[test]
fn a_forgotten_domain_is_one_cause() {
    let mut text = format!("{PARTS}devices:\n");
    for number in 1..=5 {
        text += &format!(
            "  lamp-{number}: {{ ports: {{ J: {{ housing: A2M, pins: {{ 1: {{ signal: lamp, domain: light }}, 2: spare }} }} }} }}\n"
        );
    }
    let report = report(&text);
    assert_eq!(causes(&report).first(), Some(&("format/unknown-name", 5, false)), "{:?}", causes(&report));
}

#[test]
fn what_a_missing_file_may_have_held_waits_and_a_danger_does_not() {
    let text = format!(
        "include: [ looms.yaml ]\n{PARTS}devices:
  battery:
    ports: {{ POS: {{ stud: M8, role: supply, domain: aux }}, NEG: {{ stud: M8, role: return, domain: aux }} }}
    inside: {{ cells: {{ source: 12.8 V, resistance: 20 mohm, positive: POS, negative: NEG }} }}
  pump:
    zone: bay
    ports: {{ J: {{ housing: A2M, pins: {{ 1: {{ signal: pump supply, role: supply, domain: aux }}, 2: spare }} }} }}
looms:
  lead:
    ends: {{ R1: {{ ring: M8, bolts-to: battery.POS }}, R2: {{ ring: M8, bolts-to: battery.NEG }} }}
    wires: {{ 1: {{ from: R1, to: R2, size: 6 mm2, colour: RD, length: 1 m }} }}
"
    );
    let report = report(&text);
    let first = &report.findings[0];
    assert_eq!(first.rule, "format/include");
    for (cause, (rule, _, held)) in report.causes.iter().zip(causes(&report)) {
        let level = report.findings[cause.findings.start].level;
        assert_eq!(held, rule != "format/include" && level < Level::Danger, "{rule} {level}");
    }
    assert!(report.findings.iter().any(|finding| finding.level == Level::Danger), "{:?}", causes(&report));
    assert!(report.causes.iter().any(|cause| cause.held_back), "{:?}", causes(&report));
}

#[test]
fn a_mistake_in_one_entry_holds_back_what_concerns_it_and_nothing_else() {
    let text = format!(
        "{PARTS}devices:
  pump:
    zone: bay
    ports: {{ J: {{ housing: A2M, pins: {{ 1: {{ signal: pump supply, role: supply, domain: aux }}, 2: spare }} }} }}
  horn:
    zone: bay
    ports: {{ J: {{ housing: A2M, pins: {{ 1: {{ signal: horn supply, role: supply, domain: aux }}, 2: spare }} }} }}
looms:
  main:
    zone: bay
    ends: {{ P1: {{ housing: A2F, mates: pump.J }}, P2: {{ housing: A2F }} }}
    wires: {{ 1: {{ from: PP1.1, to: P2.1, size: 1 mm2, colour: RD, length: 1 m }} }}
"
    );
    let report = report(&text);
    let held = |concerned: &str| {
        let mut causes = report.causes.iter().filter(|cause| {
            report.findings[cause.findings.clone()]
                .iter()
                .any(|finding| finding.rule == "netlist/unconnected-pin" && finding.concerns.iter().any(|it| it == concerned))
        });
        causes.next().map(|cause| cause.held_back)
    };
    assert_eq!(report.findings[0].rule, "format/unknown-name");
    assert_eq!((held("pump.J.1"), held("horn.J.1")), (Some(true), Some(false)), "{:?}", report.findings);
}

#[test]
fn what_a_misspelt_key_hides_waits() {
    // `positions` and `fuses` are misspelt: the missing key, the unknown kind and the mate without positions follow.
    let text = PARTS.replacen("A2M: { family: A, positions: 2", "A2M: { family: A, positionz: 2", 1).replacen(
        "contacts: socket",
        "contact: socket",
        1,
    ) + "  fuzes: { blade-5: { standard: ISO 8820-3, rating: 5 A } }
devices:
  pump:
    zone: bay
    ports: { J: { housing: A2M, pins: {} } }
  box:
    ports: { A: { stud: M6, need: optional }, B: { stud: M6, need: optional } }
    inside: { F1: { fuse: blade-5, from: A, to: B } }
looms:
  main: { zone: bay, ends: { P1: { housing: A2F, mates: pump.J } }, wires: {} }
";
    let report = report(&text);
    let shown: Vec<_> = causes(&report).into_iter().filter(|(_, _, held)| !held).map(|(rule, ..)| rule).collect();
    assert_eq!(shown, ["format/unknown-key"; 3], "{:#?}", report.findings);
    let held = causes(&report).into_iter().filter(|(_, _, held)| *held).map(|(rule, ..)| rule).collect::<Vec<_>>();
    for rule in ["format/missing-key", "format/unknown-name", "mating/position-mismatch"] {
        assert!(held.contains(&rule), "{rule}: {held:?}");
    }
}

#[test]
fn a_tab_may_have_lost_its_line() {
    let text = format!(
        "{PARTS}devices:
  pump:
    zone: bay
    ports: {{ J: {{ housing: A2M, pins: {{ 1: {{ signal: pump supply, role: supply, domain: aux }}, 2: spare }} }} }}
looms:
  main:
    zone: bay
    ends: {{ P1: {{ housing: A2F, mates: pump.J }}, P2: {{ housing: A2F }} }}
    wires:
\t1: {{ from: P1.1, to: P2.1, size: 1 mm2, colour: RD, length: 1 m }}
"
    );
    let report = report(&text);
    let shown: Vec<_> = causes(&report).into_iter().filter(|(_, _, held)| !held).map(|(rule, ..)| rule).collect();
    assert_eq!(shown, ["format/tab"], "{:#?}", report.findings);
}

#[test]
fn ends_without_a_housing_are_one_cause() {
    let ends: String = (1..=37).map(|number| format!("E{number}: {{}}, ")).collect();
    let report = report(&format!("{PARTS}looms:\n  main: {{ zone: bay, ends: {{ {ends} }}, wires: {{}} }}\n"));
    assert_eq!(causes(&report).first(), Some(&("format/missing-key", 37, false)), "{:?}", causes(&report));
}

/// A string of cells with a tap wire at each joint to one monitor, and a load of its own behind a wire without a fuse.
fn taps(cells: usize) -> String {
    let list = |from: usize, to: usize, each: &dyn Fn(usize) -> String| (from..=to).map(each).collect::<Vec<_>>().join(", ");
    format!(
        "format: 1
design: Taps
domains: {{ pack: {{ nominal: 48 V, max: 58 V, reference: floating }} }}
modes: {{ run: {{}} }}
devices:
  pack:
    ports: {{ {} }}
    inside: {{ {} }}
  monitor: {{ ports: {{ J: {{ pins: {{ {} }} }} }} }}
looms:
  taps:
    ends: {{ {}, P1: {{ mates: monitor.J }} }}
    wires: {{ {} }}
",
        list(0, cells, &|at| format!("C{at}: {{ stud: M5, signal: tap {at}, domain: pack }}")),
        list(1, cells, &|at| format!(
            "cell{at}: {{ source: 3.3 V, resistance: 1 mohm, positive: C{at}, negative: C{} }}",
            at - 1
        )),
        list(0, cells, &|at| format!("{}: {{ signal: tap {at}, tap: {at}, domain: pack }}", at + 1)),
        list(0, cells, &|at| format!("R{at}: {{ ring: M5, bolts-to: pack.C{at} }}")),
        list(0, cells, &|at| format!("{at}: {{ from: R{at}, to: P1.{}, size: 0.5 mm2, colour: RD, length: 1 m }}", at + 1)),
    )
}

#[test]
fn forgotten_fuses_of_taps_are_one_cause() {
    let report = report(&taps(15));
    let dangers: Vec<_> = causes(&report).into_iter().filter(|(rule, ..)| *rule == "protection/missing-fuse").collect();
    assert!(matches!(dangers[..], [("protection/missing-fuse", 14.., false)]), "{:?}", causes(&report));
}
