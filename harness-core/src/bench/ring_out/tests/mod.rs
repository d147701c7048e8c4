//! Looms at random, each with every slip of the hand that it can have.

mod random;

use super::{
    compare::{Comparison, Observed, compare},
    coverage::{coverage, first_step},
    meter::Meter,
    plan::{Plan, accessible, plan},
    slip::{Slip, each},
    state::{Rig, Setting, State},
};
use crate::bench::ring_out::bare::Spot;
use proptest::{prelude::*, strategy::ValueTree};
use random::recipe;

/// Whether any two places of the loom read otherwise than in the sound one.
fn shows_anywhere(rig: &Rig, meter: &Meter, slip: &Slip) -> bool {
    let (sound, state) = (State::with(rig, &[]), State::with(rig, std::slice::from_ref(slip)));
    let places: Vec<Spot> = accessible(rig).into_values().flatten().collect();
    places.iter().any(|from| {
        places.iter().filter(|to| *to != from).any(|to| {
            [Setting::Ohms, Setting::Diode].into_iter().any(|setting| {
                let reading = state.reading(*from, *to, setting);
                reading.is_some_and(|reading| !meter.agrees(reading, sound.shown(*from, *to), setting))
            })
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// What the plan does not find, no two probes anywhere on the loom would: every used place against every other, both ways, in ohms and with
    /// the test of diodes.
    #[test]
    fn what_the_plan_does_not_find_no_reading_finds(recipe in recipe()) {
        let (rig, meter) = (Rig::new(recipe.loom()), Meter::default());
        let plan = plan(&rig);
        each(&rig, |slip| {
            if first_step(&rig, &plan, &meter, &slip).is_none() {
                assert!(!shows_anywhere(&rig, &meter, &slip), "{slip:?} shows, but not in {:?}", plan.steps);
            }
        });
    }

    /// A sound loom passes each step, and so it does with every conductor at its best.
    #[test]
    fn a_sound_loom_passes(recipe in recipe()) {
        let (rig, meter) = (Rig::new(recipe.loom()), Meter::default());
        let sound = State::with(&rig, &[]);
        for (_, step) in plan(&rig).steps.iter() {
            let reading = sound.reading(step.from, step.to, step.setting).expect("no coil in these looms");
            prop_assert!(step.accepts(&meter, reading), "{step:?} reads {reading:?}");
        }
        prop_assert!(coverage(&rig, &plan(&rig), &meter).rows.values().all(|row| row.tried >= row.unseen.len()));
    }
}

/// The readings of the plan on a loom with slips, as a meter takes them.
fn measured(rig: &Rig, plan: &Plan, slips: &[Slip]) -> Vec<Observed> {
    let state = State::with(rig, slips);
    let steps = plan.steps.iter().filter_map(|(_, step)| {
        let reading = state.reading(step.from, step.to, step.setting)?;
        Some(Observed { from: step.from, to: step.to, setting: step.setting, reading })
    });
    steps.collect()
}

fn named_first(comparison: &Comparison, slip: &Slip) -> bool {
    matches!(comparison.causes.as_slice(), [cause] if cause.slip == *slip || cause.equals.contains(slip))
}

/// Every slip of random looms: never called good where a reading shows it, and named first, by itself, in 99 of 100.
#[test]
fn each_single_slip_of_random_looms_is_named_first() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut tried, mut named, mut likeliest, mut equals) = (0usize, 0usize, 0usize, 0usize);
    for _ in 0..12 {
        let loom = recipe().new_tree(&mut runner).expect("a recipe").current().loom();
        let (rig, meter) = (Rig::new(loom), Meter::default());
        let plan = plan(&rig);
        each(&rig, |slip| {
            let observed = measured(&rig, &plan, std::slice::from_ref(&slip));
            let comparison = compare(&rig, &plan, &meter, &observed);
            let is_shown = shows_anywhere(&rig, &meter, &slip);
            assert_eq!(is_shown, !comparison.failing.is_empty(), "{slip:?}");
            if is_shown {
                tried += 1;
                named += usize::from(named_first(&comparison, &slip));
                likeliest += usize::from(comparison.causes.first().is_some_and(|cause| cause.slip == slip));
                equals += comparison.causes.first().map_or(0, |cause| cause.equals.len());
            }
        });
    }
    println!("{tried} slips: {named} in the first explanation, {likeliest} at its head; {:.1} equals on the average", equals as f64 / tried as f64);
    assert!(tried > 500 && named * 100 >= tried * 99, "{named} of {tried}");
}
