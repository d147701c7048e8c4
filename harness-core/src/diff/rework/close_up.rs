//! The end of an order: labels, coverings, what is mated, what goes back into service.

use super::{
    apply::Action,
    bench_state::{owner, word},
    disassemble::set,
    phrases::{list, local, loom, value, value_or_none},
    plan::{Plan, thing},
    reach::Reach,
    retest::{Test, When, range},
    steps::{Stage, Steps},
};
use crate::{
    diff::{Fact, Inventory, Item, Key, Kind},
    format::{Attribute, Work},
};
use std::collections::BTreeSet;

/// Labels of signals and legends, then coverings.
pub(super) fn close(plan: &Plan<'_>, steps: &mut Steps) {
    labels(plan, steps);
    for key in plan.after.articles.keys().filter(|key| plan.loom_stays(key)) {
        let opened = plan.opens.contains(key) || !plan.before.articles.contains_key(key) && is_born_open(plan, key);
        let mut turns = plan.turns(key);
        turns.retain(|turn| matches!((key.kind, turn.work), (Kind::End, Work::Tie) | (Kind::Splice | Kind::Segment, _)));
        if !opened && turns.is_empty() {
            continue;
        }
        let changes: Vec<String> = turns
            .iter()
            .map(|turn| {
                format!("`{}` from {} to {}", turn.fact, value_or_none(turn.old.as_ref()), value_or_none(turn.new.as_ref()))
            })
            .collect();
        let covers = opened || turns.iter().any(|turn| turn.work == Work::Cover);
        let headline = match (key.kind, opened) {
            // Where only a length or a place changed, nothing is open.
            (Kind::Segment, false) if !covers => format!("tie segment {} to the drawing", local(key)),
            (Kind::Segment, _) => match plan.after.fact(key, Attribute::Covering).map(value).as_deref() {
                Some("open") => format!("leave segment {} open: tie the bundle", local(key)),
                Some(covering) => format!("close segment {}: {covering}", local(key)),
                None => format!("tie segment {} as before", local(key)),
            },
            (Kind::Splice, true) => format!("close splice {}: crimp or weld, insulate, seal", local(key)),
            (Kind::Splice, false) => format!("move splice {} along its branch", local(key)),
            _ => format!("tie {} {} to the drawing", key.kind.noun(), local(key)),
        };
        let mut actions: Vec<Action> = turns.iter().map(|turn| set(key, turn)).collect();
        if opened {
            actions.push(Action::Close(key.clone()));
        }
        steps.push(Stage::Close, loom(key), headline, changes, actions);
    }
    for key in plan.opens.iter().filter(|key| key.kind == Kind::Loom && plan.stays(key)) {
        let headline = format!("close the covering of loom `{}` where it was opened", key.path);
        steps.push(Stage::Close, Some(key.path.clone()), headline, Vec::new(), vec![Action::Close(key.clone())]);
    }
}

fn is_born_open(plan: &Plan<'_>, key: &Key) -> bool {
    key.kind == Kind::Splice || key.kind == Kind::Segment && plan.after.is_covered(key)
}

fn labels(plan: &Plan<'_>, steps: &mut Steps) {
    let keys = plan.before.labels.keys().chain(plan.after.labels.keys());
    let keys: BTreeSet<&Key> = keys.collect();
    for key in keys {
        let (old, new) = (plan.before.labels.get(key), plan.after.labels.get(key));
        if old == new || !is_labelled(plan, key) {
            continue;
        }
        let quoted = |fact: &Fact| format!("`{}`", value(fact));
        let at = format!("{} `{}`", key.kind.noun(), key.path);
        let headline = match (old, new) {
            (Some(old), Some(new)) => format!("relabel {at} from {} to {}", quoted(old), quoted(new)),
            (None, Some(new)) => format!("label {at} {}", quoted(new)),
            (Some(old), None) => format!("remove label {} from {at}", quoted(old)),
            (None, None) => continue,
        };
        let detail = vec!["on the pin list, and on the wire's sleeve if signals are written there".to_owned()];
        let action = Action::Label { key: key.clone(), old: old.cloned(), new: new.cloned() };
        steps.push(Stage::Close, None, headline, detail, vec![action]);
    }
}

/// Whether a pin or stud needs a step of its own: what comes or goes with its device or port does not.
pub(super) fn is_labelled(plan: &Plan<'_>, key: &Key) -> bool {
    let Some(device) = owner(key).map(|owner| Key::new(Kind::Device, owner)) else { return false };
    let mut above = Some(key.path.as_str());
    while let Some(path) = above {
        let port = Key::new(Kind::Port, path);
        if plan.before.articles.contains_key(&port) || plan.after.articles.contains_key(&port) {
            return plan.stays(&device) && plan.after.articles.contains_key(&port);
        }
        above = path.rsplit_once('.').map(|(head, _)| head);
    }
    false
}

/// Ends together again, studs to their torque.
pub(super) fn mate(plan: &Plan<'_>, new: &Inventory, steps: &mut Steps) {
    let ends = plan.after.articles.keys().filter(|key| key.kind == Kind::End);
    for end in ends {
        let born = !plan.before.articles.contains_key(end) && plan.after.mate(end).is_some();
        let apart = born || plan.parts.contains(end);
        let mut turns = plan.turns(end);
        turns.retain(|turn| turn.work == Work::Mate);
        if !apart && turns.is_empty() {
            continue;
        }
        let mate = plan.after.mate(end).cloned();
        let port = mate.as_ref().and_then(|mate| match mate {
            Item::Thing(key, _) => Some(key),
            Item::Word(_) => None,
        });
        let mut detail = Vec::new();
        let called = mate.as_ref().map(word);
        let is_there = port.is_some_and(|port| plan.after.articles.contains_key(port));
        let headline = match (called, plan.after.fact(end, Attribute::BoltsTo).is_some()) {
            (Some(port_name), _) if !is_there => {
                detail.push(format!("its counterpart `{port_name}` is not built"));
                format!("cap {} and tie it back", local(end))
            }
            (Some(port_name), _) if plan.after.fact(end, Attribute::LandsOn).is_some() => {
                let torque =
                    port.and_then(|port| plan.after.fact(port, Attribute::Torque)).map(|torque| format!(", {}", value(torque)));
                detail.push("no strand beside the clamp, no insulation under it; pull each wire".to_owned());
                format!("connect the wires of {} to `{port_name}`{}", local(end), torque.unwrap_or_default())
            }
            (Some(port_name), true) => {
                let torque =
                    port.and_then(|port| plan.after.fact(port, Attribute::Torque)).map(|torque| format!(", {}", value(torque)));
                detail.push("bare, clean faces; mark the nut".to_owned());
                format!("bolt ring {} to `{port_name}`{}", local(end), torque.unwrap_or_default())
            }
            (Some(port_name), false) => {
                detail.extend(keys(new, plan, end, port));
                detail.push("it goes on without force; if not, it is the wrong connector; lock it".to_owned());
                format!("mate {} with `{port_name}`", local(end))
            }
            (None, _) => {
                detail.push("it has no mate in the new design".to_owned());
                format!("cap {} and tie it back", local(end))
            }
        };
        if let Some(old) = turns.iter().find_map(|turn| turn.old.as_ref()) {
            detail.push(format!("before, it was mated with `{}`", value(old)));
        }
        let mut actions: Vec<Action> = turns.iter().map(|turn| set(end, turn)).collect();
        if apart {
            actions.push(Action::Join(end.clone()));
        }
        steps.push(Stage::Mate, loom(end), headline, detail, actions);
    }
    for port in plan.after.articles.keys().filter(|key| key.kind == Kind::Port && plan.stays(key)) {
        let torque = plan.turns(port).into_iter().find(|turn| turn.work == Work::Torque);
        let Some(turn) = torque else { continue };
        let headline = match &turn.new {
            Some(new) => format!("tighten `{}` to {}", port.path, value(new)),
            None => format!("the new design gives no torque for `{}`: find it out", port.path),
        };
        steps.push(Stage::Mate, None, headline, Vec::new(), vec![set(port, &turn)]);
    }
}

/// The keys of both halves.
fn keys(new: &Inventory, plan: &Plan<'_>, end: &Key, port: Option<&Key>) -> Option<String> {
    let key_of = |key: &Key| {
        let housing = plan.after.fact(key, Attribute::Housing)?.items.first().and_then(|item| thing(item, Kind::HousingKind))?;
        new.things.get(&housing)?.fact(Attribute::Key).map(value)
    };
    let (own, other) = (key_of(end)?, key_of(port?)?);
    if own == other {
        return Some(format!("key {own} on both halves"));
    }
    Some(format!("key {own} does not fit key {other} of `{}`: check the design first", port?.path))
}

/// Sources and disconnects of the old design that the new one has too: low voltage first, then the disconnect, and class B on after the
/// tests that need the disconnect in.
pub(super) fn put_back(plan: &Plan<'_>, isolated: &[Key], reach: &Reach, tests: &[Test], steps: &mut Steps) {
    let back = isolated.iter().filter(|key| plan.after.articles.contains_key(key));
    let (low, high): (Vec<&Key>, Vec<&Key>) =
        back.partition(|key| plan.after.fact(key, Attribute::Source).is_some() && !reach.is_high_source(key));
    let before = |when: When| range(tests, when).map(|range| format!("pass {range} first"));
    let names = |keys: &[&Key]| list(&keys.iter().map(|key| format!("`{}`", key.path)).collect::<Vec<_>>());
    let restore = |keys: &[&Key]| keys.iter().map(|key| Action::Restore((*key).clone())).collect::<Vec<_>>();
    if !low.is_empty() {
        let mut detail: Vec<String> = before(When::Mated).or_else(|| before(When::Open)).into_iter().collect();
        let has_stud = |key: &&Key| {
            let pole = plan.after.fact(key, Attribute::Negative).and_then(|fact| fact.items.first());
            pole.and_then(|pole| thing(pole, Kind::Port)).is_some_and(|port| plan.after.fact(&port, Attribute::Stud).is_some())
        };
        if low.iter().any(has_stud) {
            detail.push("the ground lead goes on last".to_owned());
        }
        let headline = format!("reconnect {}", names(&low));
        steps.push(Stage::PutBack, None, headline, detail, restore(&low));
    }
    if high.is_empty() {
        return;
    }
    let (disconnects, sources): (Vec<&Key>, Vec<&Key>) =
        high.iter().partition(|key| plan.after.fact(key, Attribute::Source).is_none());
    let is_low = reach.is_low(plan.after);
    let mut trained = |headline: String, detail: Vec<String>, actions: Vec<Action>| {
        steps.push(Stage::PutBack, None, headline, detail, actions);
        if !is_low {
            steps.trained();
        }
    };
    if !disconnects.is_empty() {
        let tests = if low.is_empty() { before(When::Mated).or_else(|| before(When::Open)) } else { None };
        let mut detail: Vec<String> = tests.into_iter().collect();
        detail.push("all covers on, key still out, contactors open".to_owned());
        let what = if is_low { "disconnect" } else { "service disconnect" };
        trained(format!("put {what} {} back in", names(&disconnects)), detail, restore(&disconnects));
    }
    let tests = before(When::Armed)
        .or_else(|| if disconnects.is_empty() { before(When::Mated).or_else(|| before(When::Open)) } else { None });
    let mut detail: Vec<String> = tests.into_iter().collect();
    detail.push("all covers on, nobody near the ends".to_owned());
    let headline = if is_low { "switch on" } else { "switch voltage class B on" };
    trained(headline.to_owned(), detail, restore(&sources));
}
