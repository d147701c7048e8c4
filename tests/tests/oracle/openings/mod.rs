//! What is live, what stays charged and what an interlock loop drops, with any set of connectors unmated and wires cut, against the same
//! worked out the long way on random vehicles: every subset where there are few connectors, every one and every two where there are many.

mod by_hand;
mod drawing;

use self::{
    by_hand::{Opened, State},
    drawing::{Item, Kind, STRETCH, Vehicle, vehicle},
};
use harness_core::{
    Analysis, Design, MemoryFiles,
    internals::{
        electrical::what_if::Change,
        facts::{live_steps::LiveStep, openings},
        model::ModeId,
    },
};
use harness_tests::{Numbers, corpus::side_by_side, tier};
use std::collections::BTreeSet;

/// Volts DC above which a contact is dangerous to touch: UN R100.
const LIMIT: f64 = 60.0;
/// Volts around the limit in which the resistance of wires and contacts may decide.
const NEAR: f64 = 1.0;
/// Share by which voltages may differ: the resistance of wires and contacts is left out in the long way.
const SAME: f64 = 0.005;

fn analysed(vehicle: &Vehicle) -> Analysis {
    let design = Design::load(&MemoryFiles::one("boxes.yaml", vehicle.netlist.clone()), "boxes.yaml");
    Analysis::of_all(&design)
}

/// What the library says of a mode with these things open.
fn asked(analysis: &Analysis, vehicle: &Vehicle, mode: ModeId, opened: &Opened) -> LiveStep {
    let facts = analysis.facts();
    let model = analysis.model();
    let names: BTreeSet<&str> = opened.connectors.iter().map(|at| vehicle.connectors[*at].0.as_str()).collect();
    let mut all: Option<openings::Opened> = None;
    for one in facts.unmatings().iter().filter(|one| names.contains(one.what.name(facts).as_str())) {
        match &mut all {
            Some(all) => {
                all.edges.extend(&one.edges);
                all.exposed.extend(&one.exposed);
            }
            None => all = Some(one.clone()),
        }
    }
    let cut: Vec<Change> = model
        .wires()
        .filter(|(id, _)| opened.items.iter().any(|at| vehicle.items[*at].name == model.wire_name(*id)))
        .flat_map(|(id, _)| facts.opened_wire(id).changes())
        .collect();
    facts.live_step(mode, all.as_ref(), &cut).expect("the mode was computed")
}

/// Compares one step; how many places are live in it.
fn compare(context: &str, analysis: &Analysis, vehicle: &Vehicle, mode: usize, opened: &Opened, full: &[f64]) -> usize {
    let model = analysis.model();
    let step = asked(analysis, vehicle, ModeId::from_index(mode), opened);
    let state = State::new(vehicle, mode, opened);
    let bare = opened.connectors.iter().flat_map(|at| vehicle.connectors[*at].1.iter());
    let exposed: Vec<String> = vehicle.bare.iter().chain(bare).cloned().collect();
    let found: Vec<(String, Option<String>, f64)> = step
        .pairs
        .iter()
        .map(|pair| (model.point_name(pair.contact), pair.other.map(|other| model.point_name(other)), pair.volts.get()))
        .collect();
    let mut live = 0;
    for place in &exposed {
        let most = state.most(place, &exposed);
        if (most * STRETCH - LIMIT).abs() < NEAR {
            continue;
        }
        let is = |name: &str| state.are_one(name, place);
        let is_listed = found.iter().any(|(contact, other, _)| is(contact) || other.as_deref().is_some_and(is));
        assert_eq!(is_listed, most * STRETCH > LIMIT, "{context}: {place} at {most} V\n{found:?}\n{}", vehicle.netlist);
        live += usize::from(is_listed);
        for (_, _, volts) in found.iter().filter(|(contact, ..)| contact == place) {
            assert!(
                (volts - most).abs() <= SAME * most,
                "{context}: {place} at {volts} V, by hand {most} V\n{}",
                vehicle.netlist
            );
        }
    }
    for (contact, ..) in &found {
        assert!(exposed.contains(contact), "{context}: {contact} can't be touched\n{}", vehicle.netlist);
    }
    for (item, full) in vehicle.items.iter().filter(|item| matches!(item.kind, Kind::Capacitor(_))).zip(full) {
        charged(context, analysis, vehicle, &state, &step, (item, *full));
    }
    live
}

/// Compares what a capacitor keeps.
fn charged(
    context: &str,
    analysis: &Analysis,
    vehicle: &Vehicle,
    state: &State<'_>,
    step: &LiveStep,
    (item, full): (&Item, f64),
) {
    let now = state.across(item);
    if (now - LIMIT).abs() < NEAR || (full - LIMIT).abs() < NEAR {
        return;
    }
    let found = step.charged.iter().find(|charged| analysis.model().element_name(charged.capacitor) == item.name);
    let context = format!("{context}: {} at {now} V, up to {full} V", item.name);
    assert_eq!(found.is_some(), full > LIMIT && now <= LIMIT, "{context}\n{found:?}\n{}", vehicle.netlist);
    let Some(found) = found else { return };
    assert!((found.volts.get() - full).abs() <= SAME * full, "{context}: {}", found.volts);
    let (ohms, farads) = state.discharge(item);
    let time = ohms.map(|ohms| ohms * farads * (full / LIMIT).ln());
    match (found.time, time) {
        (Some(found), Some(time)) => {
            assert!((found.get() - time).abs() <= 2.0 * SAME * time, "{context}: {found}, by hand {time} s")
        }
        (found, time) => assert_eq!(found.map(|time| time.get()), time, "{context}\n{}", vehicle.netlist),
    }
}

/// The sets of connectors to unmate: all of them where there are few, else each one, each two and some of more.
fn subsets(count: usize, numbers: &mut Numbers) -> Vec<Vec<usize>> {
    let of = |bits: usize| (0..count).filter(|at| bits >> at & 1 == 1).collect::<Vec<usize>>();
    if count <= 6 {
        return (0..1 << count).map(of).collect();
    }
    let few = (0..1_usize << count).filter(|bits| bits.count_ones() <= 2).map(of);
    few.chain((0..12).map(|_| of(numbers.below(1 << count)))).collect()
}

#[test]
fn what_is_live_with_anything_unmated_is_what_trying_shows() {
    let every = tier::share("what_is_live_with_anything_unmated_is_what_trying_shows");
    let seeds: Vec<u64> = (0..24).step_by(every).collect();
    let live = side_by_side(&seeds, |seed| {
        let boxes = 1 + (*seed % 5) as usize;
        let vehicle = vehicle(*seed, boxes);
        assert_eq!(vehicle.connectors.len(), 2 * boxes + 2);
        let analysis = analysed(&vehicle);
        let mut numbers = Numbers::new(*seed);
        let capacitors = || vehicle.items.iter().filter(|item| matches!(item.kind, Kind::Capacitor(_)));
        let modes = [0, 1].map(|mode| State::new(&vehicle, mode, &Opened::default()));
        let full: Vec<f64> = capacitors().map(|item| modes[0].across(item).max(modes[1].across(item))).collect();
        let wires: Vec<usize> = (0..vehicle.items.len()).filter(|at| vehicle.items[*at].name.starts_with("main.")).collect();
        let mut live = 0;
        for connectors in subsets(vehicle.connectors.len(), &mut numbers) {
            for mode in 0..2 {
                // Now and then a wire is cut besides.
                let items = if numbers.chance(20) { vec![numbers.pick(&wires)] } else { Vec::new() };
                let opened = Opened { connectors: connectors.clone(), items };
                let context = format!("seed {seed}, mode {mode}, {opened:?}");
                live += compare(&context, &analysis, &vehicle, mode, &opened, &full);
            }
        }
        live
    });
    assert!(live.iter().sum::<usize>() * every > 200, "{live:?}");
    assert!(live.iter().filter(|live| **live > 0).count() * every > 10, "{live:?}");
}

#[test]
fn what_a_loop_misses_or_passes_is_what_opening_each_bridge_shows() {
    let mut seen = [0; 3];
    for seed in 100..220 {
        let vehicle = vehicle(seed, 1 + (seed % 5) as usize);
        let analysis = analysed(&vehicle);
        let model = analysis.model();
        let loops = analysis.facts().loops();
        let named = |elements: &[harness_core::internals::model::ElementId]| -> Vec<String> {
            elements.iter().map(|element| model.element_name(*element)).collect()
        };
        let passed = loops.bypasses.iter().map(|one| &one.bridges).chain(loops.feeds.iter().map(|one| &one.bridges));
        let passed: BTreeSet<String> = passed.flat_map(|bridges| named(bridges)).collect();
        let open: BTreeSet<String> = loops.open.iter().flat_map(|one| named(&one.bridges)).collect();
        let closed = State::new(&vehicle, 0, &Opened::default());
        for bridge in &vehicle.bridges {
            let at = vehicle.items.iter().position(|item| item.name == *bridge).expect("it is drawn");
            let item = &vehicle.items[at];
            let state = State::new(&vehicle, 0, &Opened { connectors: Vec::new(), items: vec![at] });
            // What leads on from the cavities at its two pins.
            let leads = |pin: &str| {
                let contact = vehicle.items.iter().find(|item| matches!(item.kind, Kind::Contact(_)) && item.from == *pin);
                let cavity = contact.map_or("", |contact| contact.to.as_str());
                vehicle.items.iter().any(|item| item.name.starts_with("main.") && (item.from == cavity || item.to == cavity))
            };
            let is_wired = leads(&item.from) || leads(&item.to);
            let is_fed = closed.energised != [false; 2] && state.energised != [false; 2];
            let is_passed = is_wired && state.are_one(&item.from, &item.to)
                || state.are_in_one_ring(&item.from, &item.to) && is_fed && is_wired;
            let is_open = is_wired && !is_passed && !state.are_in_one_ring(&item.from, &item.to);
            let context = format!("seed {seed}, {bridge}: passed {passed:?}, open {open:?}\n{}", vehicle.netlist);
            assert_eq!(passed.contains(bridge), is_passed, "{context}");
            assert_eq!(open.contains(bridge), is_open, "{context}");
            seen[if is_passed {
                0
            } else if is_open {
                1
            } else {
                2
            }] += 1;
        }
    }
    assert!(seen.iter().all(|count| *count > 30), "{seen:?}");
}
