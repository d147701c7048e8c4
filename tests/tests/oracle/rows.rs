//! What follows from a fault in a row of conductors, contacts and loads is found from another fault of the row; here each is tried by itself.

use super::spice::designs;
use harness_core::{
    Analysis, Design, MemoryFiles,
    internals::electrical::single_faults::{Effects, Fault, HowTried, Lift, StateOf, Supply, Tried},
};
use harness_tests::{
    corpus::{checked_files, side_by_side},
    tier,
};

/// Share of a figure, or of a volt or ampere, by which two may differ.
const SAME: f64 = 1e-6;

/// What a fault changes, and by which figures.
fn outcome(tried: &Tried) -> (Vec<String>, Vec<f64>) {
    let (mut words, mut figures) = (vec![format!("{:?} {}", tried.unknown, tried.idle)], Vec::new());
    for (StateOf { mode, after }, effects) in &tried.effects {
        words.push(format!("in {mode:?} after {after:?}"));
        let Effects { lost, low, on, over, coils, dangerous, live, lifted, guards, .. } = effects;
        for (list, supplies) in [("lost", lost), ("low", low), ("on", on), ("over", over)] {
            for Supply { edge, element, before, after, nominal } in supplies {
                words.push(format!("{list} {edge:?} {element:?}"));
                figures.extend([before.get(), after.get(), nominal.get()]);
            }
        }
        for (list, lifts) in [("dangerous", dangerous), ("live", live), ("lifted", lifted)] {
            for Lift { point, before, after } in lifts {
                words.push(format!("{list} {point:?}"));
                figures.extend([before.get(), after.get()]);
            }
        }
        words.push(format!("{coils:?} {guards:?} {:?} {:?} {:?}", effects.must_open, effects.burns, effects.blind));
        let unsettled = effects.unsettled.len();
        words.push(format!("{} {} {unsettled}", effects.amps.is_some(), effects.heat.is_some()));
        figures.extend(effects.amps.map(|amps| amps.get()));
        figures.extend(effects.heat.map(|heat| heat.get()));
        for (fuse, time) in &effects.opens {
            words.push(format!("opens {fuse:?}"));
            figures.push(time.get());
        }
    }
    (words, figures)
}

/// How many of every so many faults in rows were compared, and how many of them changed something.
fn compare(name: &str, analysis: &Analysis, every: usize) -> (usize, usize) {
    let (electrical, how) = (analysis.electrical(), HowTried::default());
    let is_in_row = |fault: &Fault| matches!(fault, Fault::Open(_) | Fault::Blown(_) | Fault::Raised(_));
    let faults: Vec<Fault> = electrical.single_faults().into_iter().filter(is_in_row).collect();
    let together = electrical.try_faults(&faults, how, &|_| {});
    let (mut compared, mut changed) = (0, 0);
    for together in together.iter().step_by(every) {
        let alone = electrical.try_faults(&[together.fault], how, &|_| {});
        let [alone] = alone.as_slice() else { panic!("{name}: one fault, {} outcomes", alone.len()) };
        let ((words, figures), (expected, of_alone)) = (outcome(together), outcome(alone));
        assert_eq!(words, expected, "{name}: {:?}", together.fault);
        for (found, expected) in figures.iter().zip(&of_alone) {
            let is_same = (found - expected).abs() <= SAME * expected.abs().max(1.0);
            assert!(is_same, "{name}: {:?}: {found}, alone {expected}: {words:#?}", together.fault);
        }
        compared += 1;
        changed += usize::from(!together.effects.is_empty());
    }
    (compared, changed)
}

fn sum(found: &[(usize, usize)]) -> (usize, usize) {
    found.iter().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
}

#[test]
fn a_fault_in_a_row_of_a_whole_design_is_that_tried_by_itself() {
    let every = tier::share("a_fault_in_a_row_of_a_whole_design_is_that_tried_by_itself");
    let whole = ["tractor.yaml", "boat.yaml", "cart.yaml", "motorcycle.yaml", "truck.yaml"];
    let fixtures: Vec<_> = checked_files()
        .iter()
        .filter(|fixture| whole.contains(&fixture.path.file_name().and_then(|name| name.to_str()).unwrap_or_default()))
        .collect();
    let found = side_by_side(&fixtures, |fixture| compare(&fixture.path.display().to_string(), &fixture.checked.analysis, every));
    let (compared, changed) = sum(&found);
    assert!(compared > 20 && changed * 4 > compared, "{compared} compared, {changed} change anything");
}

#[test]
fn a_fault_in_a_row_of_a_random_design_is_that_tried_by_itself() {
    // All faults of a row are tried together first, which takes most of the time: a few designs are enough for a day, not a few faults.
    let every = if tier::share("a_fault_in_a_row_of_a_random_design_is_that_tried_by_itself") == 1 { 1 } else { 5 };
    let seeds = tier::sample("a_fault_in_a_row_of_a_random_design_is_that_tried_by_itself", 0..24_u64);
    let found = side_by_side(&seeds, |seed| {
        let design = Design::load(&MemoryFiles::one("panels.yaml", designs::design(*seed)), "panels.yaml");
        compare(&format!("panels {seed}"), &Analysis::of_all(&design), every)
    });
    let (compared, changed) = sum(&found);
    assert!(compared > 4 * seeds.len() && changed * 8 > compared, "{compared} compared, {changed} change anything");
}
