//! Kirchhoff's laws on every design, and what a thicker wire does.

use harness_core::{
    Analysis, Design, MemoryFiles,
    finding::Level,
    internals::{electrical::conductors::conductor::capacity_of, model::WireId},
};
use harness_tests::{
    corpus::{checked_examples, checked_files, generator},
    report,
    tier::sample,
};
use std::collections::BTreeSet;

fn solved_text(netlist: &str) -> Analysis {
    Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml"))
}

/// The largest sum of currents at a point, relative to the largest current of its island, over all modes.
///
/// Kirchhoff's current law asks for zero; the islands are found here anew, from the edges that conduct.
fn worst_sum(solved: &Analysis) -> f64 {
    let mut worst: f64 = 0.0;
    for mode in solved.electrical().modes() {
        let mut sums = vec![0.0; solved.network().point_count()];
        let islands = solved.network().components(|id, _| mode.conducts(id) || mode.amps(id).get() != 0.0);
        let mut largest = vec![0.0_f64; islands.len()];
        for (id, edge) in solved.network().edges() {
            let amps = mode.amps(id).get();
            sums[edge.a.index()] -= amps;
            sums[edge.b.index()] += amps;
            let island = islands.of(edge.a).index();
            largest[island] = largest[island].max(amps.abs());
        }
        for (point, _) in solved.model().points() {
            let largest = largest[islands.of(point).index()];
            if largest > 0.0 {
                worst = worst.max(sums[point.index()].abs() / largest);
            }
        }
    }
    worst
}

#[test]
fn the_currents_at_every_point_of_every_design_sum_to_zero() {
    let examples = checked_examples().iter().map(|(text, checked)| (text.name.clone(), checked));
    let fixtures = checked_files().iter().map(|fixture| (fixture.path.display().to_string(), &fixture.checked));
    for (name, checked) in examples.chain(fixtures) {
        let worst = worst_sum(&checked.analysis);
        assert!(worst <= 1e-9, "{name}: {worst:e}");
    }
    let large = solved_text(&generator::design(3_000, 11));
    assert!(worst_sum(&large) <= 1e-9);
}

#[test]
fn a_generated_design_is_clean_and_carries_current() {
    let netlist = generator::design(1_000, 5);
    assert_eq!(netlist, generator::design(1_000, 5));
    assert_ne!(netlist, generator::design(1_000, 6));
    let report = report(&netlist);
    // Its connectors have no keys, so they fit each other's place, and the rule says so.
    let grave = report.findings.iter().filter(|finding| finding.level > Level::Note && finding.rule != "mating/swapped-mating");
    let grave: BTreeSet<String> = grave.map(|finding| format!("{}: {}", finding.rule, finding.headline)).collect();
    assert!(grave.is_empty(), "{grave:#?}");
    assert!((1_000..=1_061).contains(&report.summary.conductors), "{}", report.summary.conductors);
    let work = report.summary.modes.iter().find(|mode| mode.name == "work").expect("the design has a mode `work`");
    // All but the CAN pair carries something where everything runs.
    assert!(work.loaded * 10 >= report.summary.conductors * 9, "{work:?} of {}", report.summary.conductors);
    assert!(report.summary.modes.iter().all(|mode| mode.solved));
    let solved = solved_text(&netlist);
    assert_eq!(overloaded(&solved), BTreeSet::new(), "sizes that fit");
}

/// Wires whose current is above their capacity alone in free air, by name: an oracle beside the rule.
fn overloaded(solved: &Analysis) -> BTreeSet<String> {
    let over = |id: &WireId| {
        let (wire, loading) = (&solved.model()[*id], solved.electrical().loading(*id));
        let capacity = capacity_of(solved.model(), wire, loading.beside);
        capacity.is_some_and(|capacity| loading.amps > capacity.amps)
    };
    solved.model().wires().map(|(id, _)| id).filter(over).map(|id| solved.model().wire_name(id)).collect()
}

/// What the rule says, by wire.
fn undersized(netlist: &str) -> BTreeSet<String> {
    let report = report(netlist);
    let own = report.findings.iter().filter(|finding| finding.rule == "conductor/undersized");
    own.flat_map(|finding| finding.concerns.first().cloned()).collect()
}

#[test]
fn a_thicker_wire_is_never_undersized_by_being_thicker() {
    // Sizes of a loom cut down until some are too thin; then one wire after the other is made thicker again.
    // Hot air makes some of them too thin even alone.
    let thin = generator::design(60, 3).replace("size: 1.5 mm2", "size: 0.35 mm2").replace("size: 2.5 mm2", "size: 0.5 mm2");
    let thin = ["50", "40", "35"].iter().fold(thin, |text, at| text.replace(&format!("ambient: {at} degC"), "ambient: 97 degC"));
    let before = overloaded(&solved_text(&thin));
    let said = undersized(&thin);
    assert!(!before.is_empty(), "no wire is too thin, so nothing is shown");
    let wires: Vec<(usize, &str)> = thin.lines().enumerate().filter(|(_, line)| line.contains("size: 0.35 mm2")).collect();
    assert!(wires.len() > 5);
    for (number, line) in sample("a_thicker_wire_is_never_undersized_by_being_thicker", wires) {
        for size in ["0.5 mm2", "4 mm2", "35 mm2"] {
            let thicker: Vec<String> = thin
                .lines()
                .enumerate()
                .map(|(at, text)| if at == number { text.replace("0.35 mm2", size) } else { text.to_owned() })
                .collect();
            let thicker = thicker.join("\n");
            let after = overloaded(&solved_text(&thicker));
            assert!(after.is_subset(&before), "{line}: {size} adds {:?}", after.difference(&before));
            let after = undersized(&thicker);
            assert!(after.is_subset(&said), "{line}: {size} adds {:?}", after.difference(&said));
        }
    }
}
