//! Plugs that are wrong as a whole: one finding, with all that follows from it below, and nothing else hidden.

use harness_core::{
    Checker, MemoryFiles, Report, apply, check,
    finding::{Judged, Level, Offer},
};
use harness_tests::{fixtures, words};
use std::{collections::BTreeMap, fs};

pub(super) fn folded(text: &str) -> Report {
    check(&MemoryFiles::one("design.yaml", text), "design.yaml", &Checker::new().try_remedies())
}

fn fixture(name: &str) -> String {
    fs::read_to_string(fixtures().join("rules").join(name)).expect("the fixture is there")
}

/// The sound design: the first fixture with its plugs on their ports, and with keys that keep them there.
pub(super) fn sprayer() -> String {
    let keyed = |line: &str, name: &str| match line.trim_start().starts_with(&format!("{name}8: {{")) {
        true => format!("{line}\n{}", line.replacen("8:", "8-B:", 1).replace("key: A", "key: B")),
        false => line.to_owned(),
    };
    let swapped = fixture("mating/wrong-port.yaml");
    let swapped: Vec<String> = swapped.lines().map(|line| keyed(line, if line.contains("S8") { "S" } else { "P" })).collect();
    let changes = [
        ("housing: S8, mates: controller.J1, plugged: [7", "housing: S8-B, mates: controller.J2, plugged: [7"),
        ("mates: controller.J2, plugged: [6", "mates: controller.J1, plugged: [6"),
        ("J2: { housing: P8,", "J2: { housing: P8-B,"),
    ];
    changes.iter().fold(swapped.join("\n") + "\n", |text, (old, new)| {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text.replace(old, new)
    })
}

/// The design with the wires of its plug `C2` in other cavities; the numbers are those of the cavities, from 1.
fn renumbered(to: [usize; 8]) -> String {
    let mut text = String::new();
    for line in sprayer().lines() {
        let moved = line.split_once("from: C2.").and_then(|(head, tail)| {
            let (at, rest) = tail.split_once(',')?;
            Some(format!("{head}from: C2.{},{rest}", to.get(at.parse::<usize>().ok()? - 1)?))
        });
        text += &moved.unwrap_or_else(|| line.to_owned());
        text += "\n";
    }
    let plugged = format!("mates: controller.J2, plugged: [{}, {}]", to[6], to[7]);
    text.replace("mates: controller.J2, plugged: [7, 8]", &plugged)
}

/// Findings from a warning up that follow from no other.
pub(super) fn causes(report: &Report) -> Vec<&Judged> {
    report.findings.iter().filter(|finding| finding.level >= Level::Warning && !finding.follows).collect()
}

#[test]
fn the_sound_design_is_clean() {
    let report = folded(&sprayer());
    assert!(causes(&report).is_empty(), "{}", words(&report));
}

#[test]
fn a_plug_that_is_wrong_as_a_whole_is_one_finding() {
    let alone = [
        "mating/wrong-port",
        "mating/wrong-port/between-looms",
        "mating/wrong-port/free-port",
        "mating/wrong-port/keyed",
        "mating/wrong-port/three",
        "mating/wrong-port/two-sensors",
        "netlist/misnumbered-plug",
        "netlist/misnumbered-plug/either-plug",
        "netlist/misnumbered-plug/permuted",
        "netlist/misnumbered-plug/power",
        "netlist/misnumbered-plug/power-eight",
        "netlist/misnumbered-plug/rows-reversed",
        "netlist/misnumbered-plug/rows-swapped",
        "netlist/misnumbered-plug/shifted",
    ];
    for name in alone {
        let report = folded(&fixture(&format!("{name}.yaml")));
        let [cause] = causes(&report)[..] else { panic!("{name}: {}", words(&report)) };
        assert!(name.starts_with(cause.rule), "{name}: {}", cause.rule);
        // None is lost: what follows is of its cause, and it is as severe as the worst of it.
        let of_cause = &report.causes[0].findings;
        let follow = report.findings.iter().filter(|finding| finding.follows);
        assert_eq!(of_cause.len(), 1 + follow.clone().count(), "{name}: {}", words(&report));
        assert_eq!(Some(cause.level), report.findings.iter().map(|finding| finding.level).max(), "{name}");
        // A plug that is back on its port may still fit the other one, which is a finding then.
        let most = usize::from(name.starts_with("mating/wrong-port"));
        assert!(cause.offer.as_ref().is_some_and(|offer| offer.tried && offer.others <= most), "{name}: {:?}", cause.offer);
        // A remedy of what follows would suit the slip.
        assert!(follow.clone().all(|finding| finding.offer.is_none()), "{name}");
        assert!(follow.count() > 0, "{name}");
    }
}

#[test]
fn a_reversed_plug_with_supply_and_ground_is_a_danger() {
    let report = folded(&fixture("netlist/misnumbered-plug/power.yaml"));
    let first = &report.findings[0];
    assert_eq!((first.rule, first.level), ("netlist/misnumbered-plug", Level::Danger), "{}", words(&report));
}

#[test]
fn what_has_another_cause_stays_a_finding_of_its_own() {
    let report = folded(&fixture("netlist/misnumbered-plug/and-another-slip.yaml"));
    let rules: Vec<&str> = causes(&report).iter().map(|finding| finding.rule).collect();
    assert_eq!(
        rules,
        ["protection/fuse-over-conductor", "netlist/misnumbered-plug", "netlist/signal-mismatch"],
        "{}",
        words(&report)
    );
    // A thin wire in the plug itself: its name moves with the plug, its fault does not go.
    let text = fixture("netlist/misnumbered-plug/power.yaml");
    let thin = text.replace("3: { from: F2, to: C1.5, size: 1.5 mm2", "3: { from: F2, to: C1.5, size: 0.3 mm2");
    assert_ne!(text, thin);
    let report = folded(&thin);
    let is_of_terminal =
        |finding: &&&Judged| finding.rule == "contact/wrong-terminal" && finding.concerns.iter().any(|it| it == "main.3");
    assert!(causes(&report).iter().any(|finding| is_of_terminal(&finding)), "{}", words(&report));
}

#[test]
fn each_order_of_a_plug_has_its_name() {
    let orders: BTreeMap<&str, [usize; 8]> = BTreeMap::from([
        ("plug `main.C2` is numbered from the other side: cavity `3` holds the wire of `6`", [8, 7, 6, 5, 4, 3, 2, 1]),
        ("plug `main.C2` is numbered from the other side: cavity `1` holds the wire of `6`", [6, 5, 4, 3, 2, 1, 7, 8]),
        (
            "each row of plug `main.C2` is numbered from the other side: cavity `1` holds the wire of `4`",
            [4, 3, 2, 1, 8, 7, 6, 5],
        ),
        ("the rows of plug `main.C2` are swapped: cavity `1` holds the wire of `5`", [5, 6, 7, 8, 1, 2, 3, 4]),
        ("the rows of plug `main.C2` are swapped: cavity `1` holds the wire of `2`", [2, 1, 4, 3, 6, 5, 8, 7]),
        ("the wires of plug `main.C2` are one cavity too high: cavity `2` holds the wire of `1`", [2, 3, 4, 5, 6, 7, 8, 1]),
        ("the wires of plug `main.C2` are 2 cavities too high: cavity `3` holds the wire of `1`", [3, 4, 5, 6, 7, 8, 1, 2]),
        ("6 wires of plug `main.C2` are not in their cavities: cavity `1` holds the wire of `3`", [3, 5, 1, 6, 2, 4, 7, 8]),
    ]);
    for (headline, order) in orders {
        let report = folded(&renumbered(order));
        let [cause] = causes(&report)[..] else { panic!("{order:?}: {}", words(&report)) };
        assert!(cause.headline.starts_with(headline), "{order:?}: {}", cause.headline);
    }
}

/// Wires that are moved in their text are where they were, and nothing else of the text has changed.
#[test]
fn a_misnumbered_plug_is_put_right_by_itself() {
    for order in [[6, 5, 4, 3, 2, 1, 7, 8], [3, 5, 1, 6, 2, 4, 7, 8]] {
        let done = apply(&MemoryFiles::one("design.yaml", renumbered(order)), "design.yaml", &Checker::new());
        let rules: Vec<&str> = done.written.iter().map(|step| step.rule).collect();
        assert_eq!(rules, ["netlist/misnumbered-plug"], "{}", words(&done.report));
        let (_, after) = &done.files["design.yaml"];
        assert_eq!(after, &renumbered([1, 2, 3, 4, 5, 6, 7, 8]), "{order:?}");
    }
}

/// What may as well be done elsewhere is left to people.
#[test]
fn a_plug_of_which_another_may_be_the_one_is_not_moved_without_asking() {
    for name in ["netlist/misnumbered-plug/either-plug", "mating/wrong-port/between-looms"] {
        let report = folded(&fixture(&format!("{name}.yaml")));
        let cause = causes(&report)[0];
        assert!(!cause.offer.as_ref().is_some_and(Offer::is_safe), "{name}");
        assert!(cause.help.contains("the same slip"), "{name}: {}", cause.help);
    }
}
