//! Looms at random, each with every slip of the hand that it can have.

mod first;
mod lamps;
mod random;

use super::{
    compare::{Comparison, Metered, Observed, compare},
    coverage::coverage,
    first::{Finder, first_step},
    lamp_board::{Board, Code},
    meter::Meter,
    plan::{Plan, accessible, plan},
    reading::Setting,
    rig::Rig,
    slip::{Slip, each},
    state::State,
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
                let reading = State::read(state.shown(*from, *to), setting);
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
        let plan = plan(&rig);
        for (_, step) in plan.steps.iter() {
            let reading = sound.reading_of(step, &plan.strip).expect("no coil in these looms");
            prop_assert!(step.accepts(&meter, reading), "{step:?} reads {reading:?}");
        }
        prop_assert!(coverage(&rig, &Finder::new(&rig, &plan, &meter)).rows.values().all(|row| row.tried >= row.unseen.len()));
    }
}

/// The readings of the plan on a loom with slips, as a meter takes them.
fn measured<'p>(rig: &Rig, plan: &'p Plan, slips: &[Slip]) -> Vec<Observed<'p>> {
    let state = State::with(rig, slips);
    let steps = plan.steps.iter().filter_map(|(_, step)| {
        let reading = state.reading_of(step, &plan.strip)?;
        let strip = step.is_on_strip().then_some(&plan.strip);
        Some(Observed::Metered(Metered { from: step.from, to: step.to, strip, setting: step.setting, reading }))
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
    for _ in 0..3 {
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
    println!(
        "{tried} slips: {named} in the first explanation, {likeliest} at its head; {:.1} equals on the average",
        equals as f64 / tried as f64
    );
    assert!(tried > 200 && named * 100 >= tried * 99, "{named} of {tried}");
}

/// Whether two slips are of other ends and other nets.
fn are_apart(rig: &Rig, one: &Slip, other: &Slip) -> bool {
    let pieces = |slip: &Slip| State::with(rig, std::slice::from_ref(slip)).shaken();
    let plug = one.plug(&rig.bare);
    pieces(one).is_disjoint(&pieces(other)) && (plug.is_none() || plug != other.plug(&rig.bare))
}

/// Three slips at once, as tired hands make them: the loom is called faulty, what is named explains every reading with no more slips than were made,
/// and after the readings that are proposed all three are named where they are at other ends and of other nets.
#[test]
fn three_slips_at_once_are_named() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut tried, mut named, mut readings, mut round) = (0usize, 0usize, 0usize, 0usize);
    while tried < 5 {
        round += 1;
        let loom = recipe().new_tree(&mut runner).expect("a recipe").current().loom();
        let (rig, meter) = (Rig::new(loom), Meter::default());
        let plan = plan(&rig);
        let finder = Finder::new(&rig, &plan, &meter);
        let mut all = Vec::new();
        each(&rig, |slip| {
            if finder.first(&slip).is_some() {
                all.push(slip);
            }
        });
        if all.is_empty() {
            continue;
        }
        let slips: Vec<Slip> = (1..4usize).map(|at| all[(round * 7919 + at * 104_729) % all.len()].clone()).collect();
        let [one, two, three] = slips.as_slice() else { continue };
        if ![(one, two), (one, three), (two, three)].iter().all(|(one, other)| are_apart(&rig, one, other)) {
            continue;
        }
        let state = State::with(&rig, &slips);
        let mut observed = measured(&rig, &plan, &slips);
        let first = compare(&rig, &plan, &meter, &observed);
        assert!(!first.failing.is_empty() && first.against.is_empty() && first.causes.len() <= 3, "{slips:?}: {first:?}");
        let last = loop {
            let comparison = compare(&rig, &plan, &meter, &observed);
            let Some((from, to)) = comparison.causes.iter().find_map(|cause| cause.decides.or(cause.confirms)) else {
                break comparison;
            };
            let reading = State::read(state.shown(from, to), Setting::Ohms).expect("no coil in these looms");
            observed.push(Observed::Metered(Metered { from, to, strip: None, setting: Setting::Ohms, reading }));
            readings += 1;
        };
        let is_named = |slip: &Slip| last.causes.iter().any(|cause| cause.slip == *slip || cause.equals.contains(slip));
        tried += 1;
        named += slips.iter().filter(|slip| is_named(slip)).count();
    }
    println!("{tried} looms with three slips: {named} of {} slips named, {readings} readings more", 3 * tried);
    assert!(named * 100 >= tried * 3 * 95, "{named} of {}", 3 * tried);
}

/// The board with its numbers and their complements sees every slip that a meter in ohms sees by what is joined; what only a resistance or a diode
/// shows is left to the meter.
#[test]
fn the_lamp_board_finds_what_is_joined_otherwise() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    for _ in 0..3 {
        let loom = recipe().new_tree(&mut runner).expect("a recipe").current().loom();
        let (rig, meter) = (Rig::new(loom), Meter::default());
        let plan = plan(&rig);
        let boards = [Code::Modified, Code::Complement].map(|code| Board::new(&rig, code));
        let has_elements = rig.bare.joins.iter().any(|(_, join)| !join.kind.is_metal());
        each(&rig, |slip| {
            let state = State::with(&rig, std::slice::from_ref(&slip));
            let is_found = first_step(&rig, &plan, &meter, &slip).is_some();
            for board in &boards {
                let is_seen = board.first_wrong(&rig, &state).is_some();
                assert!(is_found || !is_seen, "{slip:?} shows on the board alone");
                let is_by_ohms = has_elements || matches!(slip, Slip::Open(_));
                assert!(is_seen || !is_found || is_by_ohms, "{slip:?} does not show on the board");
            }
        });
    }
}

/// Taking the reading that is proposed, again and again, leaves what was done, or what no reading distinguishes from it.
#[test]
fn the_readings_that_are_proposed_come_down_to_what_was_done() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut tried, mut rounds) = (0usize, 0usize);
    for _ in 0..2 {
        let loom = recipe().new_tree(&mut runner).expect("a recipe").current().loom();
        let (rig, meter) = (Rig::new(loom), Meter::default());
        let plan = plan(&rig);
        let mut number = 0usize;
        each(&rig, |slip| {
            number += 1;
            let state = State::with(&rig, std::slice::from_ref(&slip));
            let mut observed = measured(&rig, &plan, std::slice::from_ref(&slip));
            if !number.is_multiple_of(5) || first_step(&rig, &plan, &meter, &slip).is_none() {
                return;
            }
            tried += 1;
            for _ in 0..40 {
                let comparison = compare(&rig, &plan, &meter, &observed);
                assert!(named_first(&comparison, &slip), "{slip:?} is lost: {:?}", comparison.causes);
                let Some((from, to)) = comparison.causes.first().and_then(|cause| cause.decides.or(cause.confirms)) else {
                    return;
                };
                let reading = State::read(state.shown(from, to), Setting::Ohms).expect("no coil in these looms");
                observed.push(Observed::Metered(Metered { from, to, strip: None, setting: Setting::Ohms, reading }));
                rounds += 1;
            }
            panic!("{slip:?} is not isolated by forty readings");
        });
    }
    println!("{tried} slips, {:.1} readings more on the average", rounds as f64 / tried as f64);
    assert!(tried > 20);
}

/// Any two nets that have contact anywhere fail a reading against the strip, and the comparison names them.
#[test]
fn two_nets_that_touch_anywhere_are_found_on_the_strip() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut tried = 0;
    for _ in 0..4 {
        let loom = recipe().new_tree(&mut runner).expect("a recipe").current().loom();
        let (rig, meter) = (Rig::new(loom), Meter::default());
        let plan = plan(&rig);
        let roots: Vec<Spot> = accessible(&rig).into_values().filter_map(|net| net.last().copied()).collect();
        for (at, one) in roots.iter().enumerate() {
            for other in roots.iter().skip(at + 1).filter(|other| !rig.hang_together(*one, **other)) {
                let slip = Slip::Touching(*one, *other);
                let observed = measured(&rig, &plan, std::slice::from_ref(&slip));
                let on_strip: Vec<_> = observed
                    .iter()
                    .filter(|seen| seen.metered().is_some_and(|reading| reading.strip.is_some()))
                    .copied()
                    .collect();
                let comparison = compare(&rig, &plan, &meter, &on_strip);
                assert!(!comparison.failing.is_empty(), "{slip:?}");
                let is_meant = |slip: &Slip| match slip {
                    Slip::Touching(a, b) | Slip::Bridged(a, b) => {
                        let nets = [a, b].map(|spot| rig.nets.of(*spot));
                        nets.contains(&rig.nets.of(*one)) && nets.contains(&rig.nets.of(*other))
                    }
                    _ => false,
                };
                let all = comparison.causes.iter().flat_map(|cause| cause.equals.iter().chain([&cause.slip]));
                assert!(all.into_iter().any(is_meant), "{slip:?} in {:?}", comparison.causes);
                tried += 1;
            }
        }
    }
    assert!(tried > 50, "{tried}");
}
