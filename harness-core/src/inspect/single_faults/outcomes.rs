//! What a fault changes in one state, as outcomes with names.

use super::{
    Outcome, What,
    grade::{Circumstances, level},
};
use crate::{
    analysis::Analysis,
    electrical::single_faults::{Effects, Fault, Lift, StateOf, Supply},
    model::{ElementId, Owner, PointId},
    network::EdgeId,
    quantity::Volt,
    standards::voltage::class_a_limit,
    vocabulary::{Function, Permission},
};

/// What a fault changes in a state, the most severe first.
pub(super) fn outcomes(analysis: &Analysis, fault: Fault, state: StateOf, effects: &Effects) -> Vec<Outcome> {
    let gather = Gather { analysis, fault, state };
    let mut found = Vec::new();
    gather.classes(&mut found);
    let network = analysis.network();
    let element = |edge: EdgeId| network[edge].element();
    for lift in &effects.dangerous {
        found.push(gather.lift(What::Dangerous, lift));
    }
    for wire in &effects.burns {
        let burns = gather.of(What::Burns, analysis.model().wire_name(*wire), Circumstances::default());
        found.push(Outcome { amps: effects.amps, ..burns });
    }
    for (fuse, time) in &effects.opens {
        let opens = gather.of(What::Opens, analysis.model().element_name(*fuse), Circumstances::default());
        found.push(Outcome { time: Some(*time), amps: effects.amps, ..opens });
    }
    for relay in &effects.must_open {
        found.push(gather.of(What::MustOpen, analysis.model().element_name(*relay), Circumstances::default()));
    }
    for turned in &effects.guards {
        let Some(guard) = analysis.model().pin_at(turned.point).and_then(|pin| pin.guards.get(turned.guard)) else { continue };
        let frees_drive = guard.what == Permission::Drive && guard.permits == turned.is_active;
        let immobile = analysis.model()[state.mode].immobile;
        let at = Circumstances { frees_drive, immobile, ..Circumstances::default() };
        let what = match (guard.what, guard.permits == turned.is_active) {
            (Permission::Drive, true) => "the drive is enabled",
            (Permission::Drive, false) => "the drive is not enabled",
            (Permission::Charge, true) => "charging is enabled",
            (Permission::Charge, false) => "charging is not enabled",
        };
        let signal = gather.of(What::Signal, analysis.model().point_name(turned.point), at);
        found.push(Outcome { note: what, ..signal });
    }
    for lift in &effects.live {
        found.push(gather.lift(What::Live, lift));
    }
    for supply in &effects.over {
        found.push(gather.supply(What::Overvoltage, supply));
    }
    for lift in &effects.lifted {
        found.push(gather.lift(What::Lifted, lift));
    }
    if let Some(heat) = effects.heat {
        let hot = gather.of(What::Overheats, gather.name(), Circumstances::default());
        found.push(Outcome { heat: Some(heat), amps: effects.amps, ..hot });
    }
    let started = if matches!(fault, Fault::Welded(_)) { What::StaysOn } else { What::Starts };
    for (what, list) in [(What::Stops, &effects.lost), (What::Weakens, &effects.low), (started, &effects.on)] {
        found.extend(list.iter().map(|supply| gather.supply(what, supply)));
    }
    if let Some(fuse) = effects.blind {
        found.push(gather.of(What::NoTimes, analysis.model().element_name(fuse), Circumstances::default()));
    }
    for (coil, pulls_in) in &effects.coils {
        let Some(relay) = element(*coil) else { continue };
        let what = if *pulls_in { What::PullsIn } else { What::Releases };
        found.push(gather.of(what, analysis.model().element_name(relay), Circumstances::default()));
    }
    if let Some(first) = effects.unsettled.iter().find_map(|edge| element(*edge)) {
        found.push(gather.of(What::Unsettled, analysis.model().element_name(first), Circumstances::default()));
    } else if !effects.unsettled.is_empty() {
        found.push(gather.of(What::Unsettled, String::new(), Circumstances::default()));
    }
    gather.cannot_open(&mut found);
    found.sort_by_key(|outcome| std::cmp::Reverse(outcome.level));
    found
}

struct Gather<'a> {
    analysis: &'a Analysis,
    fault: Fault,
    state: StateOf,
}

impl Gather<'_> {
    fn of(&self, what: What, name: String, at: Circumstances) -> Outcome {
        Outcome { what, level: level(what, at), name, ..Outcome::none() }
    }

    /// The name of the thing that has the fault.
    fn name(&self) -> String {
        super::names(self.analysis, self.fault).join(" and ")
    }

    fn function(&self, element: ElementId) -> Option<Function> {
        let model = self.analysis.model();
        match model[element].owner {
            Owner::Device(device) => model[device].function.map(|function| function.value),
            Owner::Loom(_) => None,
        }
    }

    fn supply(&self, what: What, supply: &Supply) -> Outcome {
        let function = self.function(supply.element);
        let at = Circumstances { function, ..Circumstances::default() };
        let outcome = self.of(what, self.analysis.model().element_name(supply.element), at);
        let (before, after, limit) = (Some(supply.before), Some(supply.after), Some(supply.nominal));
        Outcome { before, after, limit, function, ..outcome }
    }

    fn lift(&self, what: What, lift: &Lift) -> Outcome {
        let model = self.analysis.model();
        let domain = self.analysis.electrical().domains().of(lift.point).map(|domain| &model[domain]);
        let limit = domain.map(|domain| match what {
            What::Lifted => domain.max,
            _ => class_a_limit(domain.ac).value,
        });
        let at = Circumstances { touch_safe: model[self.state.mode].touch_safe, ..Circumstances::default() };
        let outcome = self.of(what, model.point_name(lift.point), at);
        Outcome { before: Some(lift.before), after: Some(lift.after), limit, ..outcome }
    }

    /// Two contacts of two voltage classes that are bridged: the isolation between them is gone, whatever flows.
    fn classes(&self, found: &mut Vec<Outcome>) {
        let Fault::Bridged(one, other) = self.fault else { return };
        if joins_classes(self.analysis, one, other) {
            found.push(self.of(What::JoinsClasses, self.name(), Circumstances::default()));
        }
    }

    /// A contact that is welded while something depends on its opening.
    fn cannot_open(&self, found: &mut Vec<Outcome>) {
        let Fault::Welded(edge) = self.fault else { return };
        let edge = &self.analysis.network()[edge];
        let class_b = is_class_b(self.analysis, edge.a) || is_class_b(self.analysis, edge.b);
        if class_b && !found.is_empty() {
            found.push(self.of(What::CannotOpen, self.name(), Circumstances { class_b, ..Circumstances::default() }));
        }
    }
}

fn is_class_b(analysis: &Analysis, point: PointId) -> bool {
    let domain = analysis.electrical().domains().of(point);
    domain.is_some_and(|domain| analysis.model()[domain].is_class_b())
}

/// Whether one point is of voltage class A and the other of class B.
pub(super) fn joins_classes(analysis: &Analysis, one: PointId, other: PointId) -> bool {
    let class = |point: PointId| analysis.electrical().domains().of(point).map(|domain| analysis.model()[domain].class());
    class(one).zip(class(other)).is_some_and(|(one, other)| one != other)
}

impl Outcome {
    fn none() -> Self {
        Self {
            level: crate::finding::Level::Note,
            what: What::Stops,
            name: String::new(),
            note: "",
            before: None,
            after: None,
            limit: None::<Volt>,
            amps: None,
            heat: None,
            time: None,
            function: None,
        }
    }
}
