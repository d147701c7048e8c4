//! The order in which a vehicle is brought to life, walked through by somebody who trusts none of it.
//!
//! Whoever walks looks at each step in the state that it says: what hands close or open carries next to nothing then, nothing has power before
//! what must be true was seen to, voltage class B comes last and by trained people alone, and later work begins on what is proven dead.

use super::spice::designs;
use harness_core::{
    Analysis, Design, MemoryFiles,
    bench::going_live::{Act, Phase, Planned, Target, devices, later_plan, plan},
    internals::{
        electrical::{ModeState, what_if::Change},
        model::{DeviceId, ElementId, ModeId, Owner, PointId},
        network::EdgeId,
    },
};
use harness_tests::{
    corpus::{checked_files, generator},
    tier,
};
use std::collections::BTreeSet;

/// The most that may flow in a contact of class A that hands make without a word, and in one of class B at all; in ampere.
const BEARABLE: [f64; 2] = [1.0, 0.05];
/// Voltage across a load from which on it has power.
const POWERED: f64 = 1.0;

struct Walk<'a> {
    analysis: &'a Analysis,
    faults: Vec<String>,
}

impl Walk<'_> {
    fn is_class_b(&self, point: PointId) -> bool {
        let model = self.analysis.model();
        self.analysis.electrical().domains().of(point).is_some_and(|domain| model[domain].is_class_b())
    }

    fn state(&self, mode: ModeId, open: &BTreeSet<EdgeId>) -> ModeState {
        let changes: Vec<Change> = open.iter().map(|edge| Change::Open(*edge)).collect();
        self.analysis.electrical().awoken(mode, &changes).expect("the mode was computed")
    }

    fn fault(&mut self, number: usize, what: String) {
        self.faults.push(format!("step {}: {what}", number + 1));
    }

    /// What hands do in a step: nothing under load.
    fn hands(&mut self, number: usize, step: &Planned) {
        let network = self.analysis.network();
        let supplies: BTreeSet<ElementId> =
            network.edges().filter(|(_, edge)| edge.role.drives()).filter_map(|(_, edge)| edge.element()).collect();
        let (before, after) = (self.state(step.hands, &step.before), self.state(step.hands, &step.open));
        let made: Vec<EdgeId> = step.before.difference(&step.open).copied().collect();
        let broken: Vec<EdgeId> = step.open.difference(&step.before).copied().collect();
        // A bolted fuse is worked at with the leads off: those are made and broken.
        let (made, broken) =
            if step.meanwhile.is_empty() { (made, broken) } else { (step.meanwhile.clone(), step.meanwhile.clone()) };
        for (edges, state, what) in [(made, &after, "made"), (broken, &before, "broken")] {
            // A supply is switched on where it is, by what is made for it.
            for id in edges {
                let edge = network[id];
                if edge.element().is_some_and(|element| supplies.contains(&element)) {
                    continue;
                }
                let is_b = self.is_class_b(edge.a) || self.is_class_b(edge.b);
                let amps = state.amps(id).get().abs();
                let said = step.spark.is_some_and(|spark| spark.get() >= amps * (1.0 - 1e-9));
                if (is_b || !said) && amps > BEARABLE[usize::from(is_b)] {
                    self.fault(number, format!("{amps:.2} A in what is {what} by hand"));
                }
                if is_b && !step.trained {
                    self.fault(number, "class B in untrained hands".to_owned());
                }
            }
        }
    }

    /// The devices with anything that has power in the state of a step.
    fn powered(&self, step: &Planned) -> BTreeSet<DeviceId> {
        let (model, network) = (self.analysis.model(), self.analysis.network());
        let state = self.state(step.mode, &step.open);
        let joined = network.components(|id, edge| state.conducts(id) && edge.role.is_galvanic());
        let across = |a: PointId, b: PointId| {
            if joined.of(a) == joined.of(b) { (state.volts(a) - state.volts(b)).get().abs() } else { 0.0 }
        };
        let drawing =
            network.edges().filter(|(id, edge)| edge.role.draws() && state.conducts(*id) && across(edge.a, edge.b) > POWERED);
        let owners = drawing.filter_map(|(_, edge)| match model[edge.element()?].owner {
            Owner::Device(device) => Some(device),
            Owner::Loom(_) => None,
        });
        owners.collect()
    }

    /// Whether a device has cells of its own: what draws in it has power from the start.
    fn has_cells(&self, device: DeviceId) -> bool {
        let model = self.analysis.model();
        self.analysis.network().edges().any(|(_, edge)| {
            let owner = edge.element().map(|element| model[element].owner);
            edge.role.takes_charge() && owner == Some(Owner::Device(device))
        })
    }

    /// Whether something of class B works in the state of a step.
    fn works_with_class_b(&self, step: &Planned) -> bool {
        let state = self.state(step.mode, &step.open);
        self.analysis.network().edges().any(|(id, edge)| {
            edge.role.draws() && self.is_class_b(edge.a) && self.is_class_b(edge.b) && state.amps(id).get().abs() > BEARABLE[1]
        })
    }
}

/// What is wrong with an order of going live.
fn faults(analysis: &Analysis, plan: &[Planned]) -> Vec<String> {
    let model = analysis.model();
    let mut walk = Walk { analysis, faults: Vec::new() };
    let mut seen_to: BTreeSet<(DeviceId, usize)> = BTreeSet::new();
    let (mut insulated, mut is_isolated, mut modes_unmeasured) = (0, false, 0);
    for (number, step) in plan.iter().enumerate() {
        match &step.act {
            Act::Condition(asked) => seen_to.extend(asked.iter().copied()),
            Act::Insulation(_) => insulated += 1,
            Act::Isolation(_) => is_isolated = true,
            Act::Mode(_) if step.phase == Phase::ClassB && !is_isolated => modes_unmeasured += 1,
            _ => {}
        }
        if modes_unmeasured > 1
            && plan.iter().any(|step| matches!(step.act, Act::Disconnect(_) | Act::Battery(_)) && step.trained)
        {
            walk.fault(number, "a second mode runs with class B before its isolation is measured".to_owned());
        }
        let network = analysis.network();
        let is_class_b_plug = |id: &EdgeId| network[*id].element().is_none() && walk.is_class_b(network[*id].a);
        if step.phase >= Phase::ClassB && step.tried.iter().any(is_class_b_plug) {
            walk.fault(number, "class B is opened to try it while it has power".to_owned());
        }
        let previous = number.checked_sub(1).and_then(|at| plan.get(at));
        if let Some(previous) = previous {
            if previous.phase > step.phase {
                walk.fault(number, "an earlier stage comes later".to_owned());
            }
            // A plug from outside is taken out again behind its mode.
            if previous.open != step.before && previous.phase != Phase::Outside {
                walk.fault(number, "it begins with something else open than the step before it left".to_owned());
            }
        }
        walk.hands(number, step);
        let powered = walk.powered(step);
        if step.phase == Phase::Dead {
            let powered: Vec<&str> =
                powered.into_iter().filter(|device| !walk.has_cells(*device)).map(|device| model.device_name(device)).collect();
            if !powered.is_empty() {
                walk.fault(number, format!("{powered:?} has power while nothing may"));
            }
            continue;
        }
        for device in powered {
            for at in 0..model[device].before_power.len() {
                if !seen_to.contains(&(device, at)) {
                    walk.fault(number, format!("`{}` has power before what it needs is true", model.device_name(device)));
                }
            }
        }
        let class_b = model.domains().filter(|(_, domain)| domain.is_class_b()).count();
        if walk.works_with_class_b(step) {
            if !step.trained {
                walk.fault(number, "class B works and nobody trained is asked for".to_owned());
            }
            if insulated < class_b || step.phase < Phase::ClassB {
                walk.fault(number, "class B works before it is measured".to_owned());
            }
        }
    }
    walk.faults
}

/// What is wrong with an order of later work.
fn faults_of_work(analysis: &Analysis, plan: &[Planned]) -> Vec<String> {
    let mut walk = Walk { analysis, faults: Vec::new() };
    let at = |act: &Act| plan.iter().position(|step| step.act == *act);
    let (proven, work) = (at(&Act::ProveDead), at(&Act::Work));
    let (Some(proven), Some(work)) = (proven, work) else { return vec!["nothing is proven dead".to_owned()] };
    if proven + 1 != work {
        walk.fault(work, "something comes between the proof and the work".to_owned());
    }
    for (number, step) in plan.iter().enumerate() {
        walk.hands(number, step);
        if number <= work && !step.before.is_subset(&step.open) || number > work && !step.open.is_subset(&step.before) {
            walk.fault(number, "something goes on before the work, or off behind it".to_owned());
        }
    }
    let step = &plan[proven];
    let alive = step.reads.iter().any(|read| match read.place {
        harness_core::bench::going_live::Place::Between(one, other) => {
            let state = walk.state(step.mode, &step.open);
            let network = analysis.network();
            let joined = network.components(|id, edge| state.conducts(id) && edge.role.is_galvanic());
            joined.of(one) == joined.of(other) && (state.volts(one) - state.volts(other)).get().abs() > 0.1
        }
        harness_core::bench::going_live::Place::In(..) => false,
    });
    if alive {
        walk.fault(proven, "what is to be proven dead is alive".to_owned());
    }
    let first = plan.first().map(|step| step.open.clone()).unwrap_or_default();
    if plan.last().is_none_or(|step| step.open != first) {
        walk.fault(plan.len() - 1, "something is left open".to_owned());
    }
    walk.faults
}

/// The designs that are whole, by name.
fn sound() -> impl Iterator<Item = (String, &'static Analysis)> {
    let whole = checked_files().iter().filter(|fixture| {
        let name = fixture.path.display().to_string();
        let is_whole = !name.contains("/rules/") && !name.contains("/cases/") && !name.contains("draft");
        is_whole && fixture.netlist.lines().any(|line| line.starts_with("design:"))
    });
    whole.map(|fixture| (fixture.path.display().to_string(), &fixture.checked.analysis))
}

#[test]
fn nothing_has_power_too_early_and_nothing_is_joined_under_load() {
    let (mut tried, mut wrong) = (0, Vec::new());
    for (name, analysis) in sound() {
        let plan = plan(analysis);
        wrong.extend(faults(analysis, &plan).into_iter().map(|fault| format!("{name}: {fault}")));
        tried += 1;
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(tried >= 20, "only {tried} designs");
}

#[test]
fn generated_designs_are_brought_to_life_in_order_too() {
    let (mut steps, mut wrong) = (0, Vec::new());
    for seed in 0..6 {
        let netlist = generator::design(40, seed);
        let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", netlist.as_str()), "design.yaml"));
        let plan = plan(&analysis);
        wrong.extend(faults(&analysis, &plan).into_iter().map(|fault| format!("design {seed}: {fault}")));
        steps += plan.len();
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(steps > 60, "only {steps} steps");
}

/// Panels of studs with everything that a mode can hold, several batteries in loops: nothing has power too early there either.
#[test]
fn random_panels_are_brought_to_life_in_order_too() {
    let (mut steps, mut wrong) = (0, Vec::new());
    for seed in tier::sample("random_panels_are_brought_to_life_in_order_too", 0..40) {
        let netlist = designs::design(seed);
        let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", netlist.as_str()), "design.yaml"));
        let plan = plan(&analysis);
        wrong.extend(faults(&analysis, &plan).into_iter().map(|fault| format!("panels {seed}: {fault}")));
        steps += plan.len();
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(steps > 30, "only {steps} steps");
}

#[test]
fn later_work_begins_on_what_is_proven_dead() {
    let (mut tried, mut wrong) = (0, Vec::new());
    for (name, analysis) in sound() {
        let all = devices(analysis);
        let targets = all.iter().step_by(9).map(|device| Target::Devices(vec![device.clone()]));
        for target in targets.chain([Target::Vehicle]) {
            let plan = later_plan(analysis, &target);
            wrong.extend(faults_of_work(analysis, &plan).into_iter().map(|fault| format!("{name}, {target:?}: {fault}")));
            tried += 1;
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(tried >= 40, "only {tried} orders");
}

/// Whoever walks sees it where an order is wrong: steps swapped, a condition left out, people left out, a disconnect that goes in early.
#[test]
fn a_wrong_order_is_seen() {
    let (_, analysis) = sound().find(|(name, _)| name.ends_with("terrace-tractor/tractor.yaml")).expect("the demo");
    let right = plan(analysis);
    assert!(faults(analysis, &right).is_empty());
    let at = |wanted: fn(&Act) -> bool| right.iter().position(|step| wanted(&step.act)).expect("a step of the demo");
    let changed = |change: &dyn Fn(&mut Vec<Planned>)| {
        let mut wrong = right.clone();
        change(&mut wrong);
        faults(analysis, &wrong)
    };
    let disconnect = at(|act| matches!(act, Act::Disconnect(_)));
    assert!(!changed(&|plan| plan.swap(disconnect, disconnect - 3)).is_empty(), "a disconnect that goes in early");
    assert!(!changed(&|plan| plan[disconnect].trained = false).is_empty(), "nobody trained");
    let insulation = at(|act| matches!(act, Act::Insulation(_)));
    assert!(!changed(&|plan| drop(plan.remove(insulation))).is_empty(), "class B that was never measured");
    let isolation = at(|act| matches!(act, Act::Isolation(_)));
    let late = changed(&|plan| {
        let step = plan.remove(isolation);
        let drive = plan.iter().rposition(|step| step.phase == Phase::ClassB).expect("a mode with class B");
        let again = plan[drive].clone();
        plan.insert(drive, again);
        plan.push(step);
    });
    assert!(late.iter().any(|fault| fault.contains("isolation")), "class B that runs on unmeasured: {late:?}");
    let trial = at(|act| matches!(act, Act::Trial(_)));
    assert!(!changed(&|plan| plan[trial].phase = Phase::ClassB).is_empty(), "a plug of class B that is opened alive");
    let drive = right.last().expect("steps").mode;
    assert!(!changed(&|plan| plan[disconnect].hands = drive).is_empty(), "a disconnect that goes in under load");
    let fuse = at(|act| matches!(act, Act::Fuse(_)));
    assert!(!changed(&|plan| std::sync::Arc::make_mut(&mut plan[fuse].open).clear()).is_empty(), "everything at once");
}
