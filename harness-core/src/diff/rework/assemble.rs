//! The second half of an order: what comes and what is put in.

use super::{
    apply::Action,
    bench_state::{parts_of, within},
    disassemble::set,
    phrases::{at, cut, into, lead, list, local, loom, place, value, value_or_none},
    plan::{Becomes, FactChange, Fate, Plan, thing},
    steps::{Stage, Steps},
};
use crate::{
    diff::{FactKey, Item, Key, Kind},
    format::{Attribute, Work},
};

/// What comes to what is built: devices, looms, ends, splices, elements, fuses.
pub(super) fn fit(plan: &Plan<'_>, steps: &mut Steps) {
    for key in plan.after.articles.keys().filter(|key| key.kind == Kind::Device) {
        if plan.before.articles.contains_key(key) {
            change_device(plan, key, steps);
        } else {
            let headline = format!("fit device `{}`", key.path);
            let mut actions = vec![add(plan, key)];
            actions.extend(inner(plan, key).iter().map(|part| add(plan, part)));
            let labels = parts_of(&plan.after.labels, key);
            actions.extend(labels.map(|(at, new)| Action::Label { key: at.clone(), old: None, new: Some(new.clone()) }));
            steps.push(Stage::Fit, None, headline, Vec::new(), actions);
        }
    }
    for key in plan.after.articles.keys() {
        let is_new = !plan.before.articles.contains_key(key);
        match key.kind {
            Kind::Loom if is_new => build_loom(plan, key, steps),
            Kind::Element => fuse(plan, key, steps),
            Kind::End | Kind::Splice | Kind::Segment if is_new && plan.loom_stays(key) => {
                let facts = plan.after.articles.get(key);
                let said = [Attribute::Housing, Attribute::Ring, Attribute::Terminal, Attribute::At, Attribute::Covering];
                let said = said.iter().filter_map(|name| Some(format!("{name} {}", value(facts?.get(&FactKey::from(*name))?))));
                let said: Vec<String> = said.collect();
                let said = if said.is_empty() { String::new() } else { format!(": {}", said.join(", ")) };
                let headline = match key.kind {
                    Kind::Segment => format!("lay out segment {}{said}", local(key)),
                    _ => format!("prepare {} {}{said}", key.kind.noun(), local(key)),
                };
                steps.push(Stage::Fit, loom(key), headline, Vec::new(), vec![add(plan, key)]);
            }
            _ => {}
        }
    }
}

fn add(plan: &Plan<'_>, key: &Key) -> Action {
    let facts = plan.after.articles.get(key).or_else(|| plan.after.leads.get(key).map(|lead| &lead.facts));
    Action::Add(key.clone(), facts.cloned().unwrap_or_default())
}

/// The ports and elements of a device in the new design.
fn inner(plan: &Plan<'_>, device: &Key) -> Vec<Key> {
    parts_of(&plan.after.articles, device).map(|(key, _)| key.clone()).collect()
}

fn is_fuse_swap(turns: &[FactChange]) -> bool {
    turns.iter().all(|turn| turn.work == Work::Insert)
}

/// A device that stays and is another inside or at its ports.
fn change_device(plan: &Plan<'_>, device: &Key, steps: &mut Steps) {
    let mut actions = Vec::new();
    let mut detail = Vec::new();
    let mut say = |key: &Key, turn: &FactChange| {
        let at = if key == device { String::new() } else { format!("{} {}, ", key.kind.noun(), local(key)) };
        let values = (value_or_none(turn.old.as_ref()), value_or_none(turn.new.as_ref()));
        detail.push(format!("{at}`{}` from {} to {}", turn.fact, values.0, values.1));
        set(key, turn)
    };
    actions.extend(plan.turns(device).iter().map(|turn| say(device, turn)));
    for (key, _) in parts_of(&plan.after.articles, device) {
        let turns: Vec<FactChange> = plan.turns(key).into_iter().filter(|turn| turn.work != Work::Torque).collect();
        if key.kind == Kind::Port || !is_fuse_swap(&turns) {
            actions.extend(turns.iter().map(|turn| say(key, turn)));
        }
    }
    let gone = parts_of(&plan.before.articles, device).map(|(key, _)| key).filter(|key| !plan.after.articles.contains_key(key));
    let mut first = Vec::new();
    for key in gone {
        detail.push(format!("{} {} is gone", key.kind.noun(), local(key)));
        first.push(Action::Remove(key.clone()));
    }
    for key in parts_of(&plan.after.articles, device).map(|(key, _)| key).filter(|key| !plan.before.articles.contains_key(key)) {
        detail.push(format!("{} {} is new", key.kind.noun(), local(key)));
        actions.push(add(plan, key));
    }
    if detail.is_empty() {
        return;
    }
    detail.push("a box that can't be altered is replaced; if it was like this before, the old design was at fault".to_owned());
    let headline = format!("change device `{}` to the new design", device.path);
    steps.push(Stage::Fit, None, headline, detail, first.into_iter().chain(actions).collect());
}

/// Fuses that are replaced, and elements in looms.
fn fuse(plan: &Plan<'_>, key: &Key, steps: &mut Steps) {
    let in_loom = plan.loom_stays(key);
    let Some(before) = plan.before.articles.get(key) else {
        if in_loom {
            let kind = plan.after.fact(key, Attribute::Fuse).map(|fuse| format!(", {}", value(fuse))).unwrap_or_default();
            let headline = format!("fit {}{kind}", local(key));
            steps.push(Stage::Fit, loom(key), headline, Vec::new(), vec![add(plan, key)]);
        }
        return;
    };
    let turns = plan.turns(key);
    if turns.is_empty() || !(in_loom || is_fuse_swap(&turns)) {
        return;
    }
    let owner = if in_loom { loom(key) } else { None };
    let values = |fact: Attribute| (before.get(&FactKey::from(fact)).map(value), plan.after.fact(key, fact).map(value));
    let is_out = |fitted: &Option<String>| fitted.as_deref() == Some("false");
    let headline = match (values(Attribute::Fuse), values(Attribute::Fitted)) {
        ((_, Some(kind)), (was, now)) if is_out(&was) && !is_out(&now) => format!("put fuse `{}` in: {kind}", key.path),
        ((Some(kind), _), (was, now)) if !is_out(&was) && is_out(&now) => format!("take fuse `{}` out: {kind}", key.path),
        ((Some(old), Some(new)), _) if old != new => format!("replace fuse `{}`: {old} out, {new} in", key.path),
        _ => {
            let told = turns.iter().map(|turn| {
                format!("`{}` from {} to {}", turn.fact, value_or_none(turn.old.as_ref()), value_or_none(turn.new.as_ref()))
            });
            format!("alter `{}`: {}", key.path, list(&told.collect::<Vec<_>>()))
        }
    };
    let mut detail = Vec::new();
    if turns.iter().any(|turn| turn.fact == Attribute::Fuse) {
        detail.push("read the rating on the fuse itself, not on the lid; change the legend beside its holder".to_owned());
    }
    steps.push(Stage::Fit, owner, headline, detail, turns.iter().map(|turn| set(key, turn)).collect());
}

/// A loom that is new is built by its drawing.
fn build_loom(plan: &Plan<'_>, key: &Key, steps: &mut Steps) {
    let parts = |kind: Kind| within(&plan.after.articles, kind, &key.path).map(|(part, _)| part);
    let mut actions = vec![add(plan, key)];
    let in_device = plan.after.articles.contains_key(&Key::new(Kind::Device, key.path.as_str()));
    let all = [Kind::Element, Kind::End, Kind::Splice, Kind::Segment].into_iter().flat_map(parts);
    actions.extend(all.filter(|part| !(in_device && part.kind == Kind::Element)).map(|part| add(plan, part)));
    // Cables before their cores.
    let mut leads: Vec<&Key> = [Kind::Wire, Kind::Cable]
        .into_iter()
        .flat_map(|kind| within(&plan.after.leads, kind, &key.path))
        .map(|(lead, _)| lead)
        .collect();
    leads.reverse();
    actions.extend(leads.iter().map(|lead| add(plan, lead)));
    for lead in leads.iter().copied() {
        actions.extend(put(plan, lead, plan.after.leads.get(lead).map_or(&[][..], |lead| &lead.places)));
    }
    let own = format!("{}.", key.path);
    let from = Item::Thing(Key::new(Kind::End, own.as_str()), String::new());
    let is_own = |plug: &&Item| plug.thing().is_some_and(|end| end.kind == Kind::End && end.path.starts_with(&own));
    let plugs = plan.after.plugs.range(from..).take_while(is_own);
    actions.extend(plugs.map(|plug| Action::Plug(plug.clone())));
    actions.push(Action::Close(key.clone()));
    let (wires, ends) = (leads.len(), actions.iter().filter(|action| is_end(action)).count());
    let headline = format!("build loom `{}` to its drawing and lay it: {wires} wires and cables, {ends} ends", key.path);
    let opened = parts(Kind::Splice).chain(parts(Kind::Segment).filter(|part| plan.after.is_covered(part)));
    actions.extend(opened.map(|part| Action::Close(part.clone())));
    steps.push(Stage::Fit, Some(key.path.clone()), headline, Vec::new(), actions);
}

fn is_end(action: &Action) -> bool {
    matches!(action, Action::Add(key, _) if key.kind == Kind::End)
}

fn put(plan: &Plan<'_>, key: &Key, places: &[Item]) -> Vec<Action> {
    places.iter().map(|place| Action::PutIn { lead: key.clone(), place: place.clone(), most: plan.most(place) }).collect()
}

/// Wires and cables to their places, then plugs.
pub(super) fn put_in(plan: &Plan<'_>, steps: &mut Steps) {
    // Cables before their cores.
    let cables = plan.fates.iter().filter(|(key, _)| key.kind == Kind::Cable);
    for (key, fate) in cables.chain(plan.fates.iter().filter(|(key, _)| key.kind != Kind::Cable)) {
        match fate.becomes {
            Becomes::New | Becomes::Replaced => cut_new(plan, key, fate, steps),
            Becomes::Kept => kept(plan, key, fate, steps),
            Becomes::Gone => {}
        }
    }
    let filled = plan.filled();
    for plug in &plan.after.plugs {
        let Some(end) = thing(plug, Kind::End).filter(|end| plan.loom_stays(end)) else { continue };
        if !plan.before.plugs.contains(plug) || (filled.contains(plug) && plan.stays(&end)) {
            let headline = format!("close {} with a cavity plug", place(plug));
            steps.push(Stage::PutIn, loom(&end), headline, Vec::new(), vec![Action::Plug(plug.clone())]);
        }
    }
}

fn cut_new(plan: &Plan<'_>, key: &Key, fate: &Fate, steps: &mut Steps) {
    let facts = plan.after.leads.get(key).map(|lead| lead.facts.clone()).unwrap_or_default();
    let what = match facts.get(&FactKey::from(Attribute::Core)) {
        Some(core) => format!("take core {} for {}", core.items.first().map(place).unwrap_or_default(), lead(key)),
        None => format!("cut {}: {}", lead(key), cut(&facts)),
    };
    let to = match (fate.ins.is_empty(), key.kind) {
        (true, Kind::Cable) => " and lay it".to_owned(),
        (true, _) => " and insulate both ends".to_owned(),
        (false, Kind::Cable) => format!(", and connect its screen: {}", into(plan.after, &fate.ins)),
        (false, _) => format!(", and terminate it {}", at(plan.after, &fate.ins)),
    };
    let mut detail = way(plan, key);
    if let Some(group) = facts.get(&FactKey::from(Attribute::Twist)) {
        detail.push(format!("twist it with the other wires of `{}`", value(group)));
    }
    detail.extend(terminals(plan, &fate.ins));
    detail.extend(shared_rings(plan, key, &fate.ins));
    detail.push("put its number on both ends".to_owned());
    let mut actions = vec![Action::Add(key.clone(), facts)];
    actions.extend(put(plan, key, &fate.ins));
    steps.push(Stage::PutIn, loom(key), format!("{what}{to}"), detail, actions);
}

/// Through which segments a wire is laid.
fn way(plan: &Plan<'_>, key: &Key) -> Vec<String> {
    let segments: Vec<String> =
        plan.after.way(key).iter().filter(|part| part.kind == Kind::Segment).map(|part| local(part).to_owned()).collect();
    if segments.is_empty() { Vec::new() } else { vec![format!("through {}", list(&segments))] }
}

/// The terminals at the places that a wire goes to.
fn terminals(plan: &Plan<'_>, places: &[Item]) -> Vec<String> {
    let known = places.iter().filter_map(|at| {
        let Item::Thing(end, cavity) = at else { return None };
        let terminal = Plan::terminal(plan.after, end, cavity)?;
        Some(format!("terminal {} at {}", value(terminal), place(at)))
    });
    known.collect()
}

/// The rings among the places of a new wire that hold other wires already: a crimped ring takes no further wire.
fn shared_rings(plan: &Plan<'_>, key: &Key, places: &[Item]) -> Vec<String> {
    let held = |end: &Key| {
        let stays = plan.before.leads.iter().filter(|(other, _)| *other != key && plan.after.leads.contains_key(*other));
        let here = stays.filter(|(_, lead)| lead.places.iter().any(|place| thing(place, Kind::End).as_ref() == Some(end)));
        here.map(|(other, _)| lead(other)).collect::<Vec<_>>()
    };
    let rings = places.iter().filter_map(|at| thing(at, Kind::End)).filter(|end| plan.after.fact(end, Attribute::Ring).is_some());
    let shared = rings.map(|end| (held(&end), end)).filter(|(held, _)| !held.is_empty());
    shared.map(|(held, end)| format!("ring {} holds {}: crimp a new ring on all its wires", local(&end), list(&held))).collect()
}

/// Whether no more of it means that it is done otherwise, not that nothing is said of it.
pub(super) fn is_laid(work: Work) -> bool {
    match work {
        Work::Lay | Work::Twist | Work::Cap => true,
        Work::Cut
        | Work::Length
        | Work::Core
        | Work::Contact
        | Work::Mate
        | Work::Tie
        | Work::Cover
        | Work::Torque
        | Work::Insert
        | Work::Alter => false,
    }
}

fn kept(plan: &Plan<'_>, key: &Key, fate: &Fate, steps: &mut Steps) {
    let (mut detail, mut sets) = (Vec::new(), Vec::new());
    let mut verbs: Vec<String> = Vec::new();
    let cut_at = if fate.outs.is_empty() && fate.is_cut_back() { plan.cut_place(key) } else { None };
    for turn in &fate.turns {
        let now = value_or_none(turn.new.as_ref());
        match (turn.work, &turn.old, &turn.new) {
            (work, Some(_), None) if !is_laid(work) => continue,
            (Work::Length, Some(old), Some(_)) => verbs.push(format!("shorten it from {} to {now}", value(old))),
            (Work::Lay, _, Some(_)) => {
                verbs.push("lay it along its new route".to_owned());
                detail.extend(way(plan, key));
                detail.push("make sure that it reaches without strain".to_owned());
            }
            (Work::Lay, _, None) => detail.push("the new design gives no route for it".to_owned()),
            (Work::Twist, _, Some(_)) => verbs.push(format!("twist it with the other wires of `{now}`")),
            (Work::Twist, _, None) => verbs.push("take it out of its twisted group".to_owned()),
            (Work::Cap, _, Some(_)) => verbs.push("cap its loose end".to_owned()),
            (Work::Cap, _, None) => verbs.push("take the cap off its end".to_owned()),
            _ => {
                let fact = &turn.fact;
                verbs.push(format!("check that its {fact} is {now}"));
                detail.push(format!("the old design gave no {fact}; if it differs, replace the wire"));
            }
        }
        sets.push(set(key, turn));
    }
    if !fate.ins.is_empty() {
        let (kept, new): (Vec<Item>, Vec<Item>) =
            fate.ins.iter().cloned().partition(|at| fate.outs.iter().any(|out| plan.keeps_contact(out, at)));
        if !kept.is_empty() {
            verbs.push(format!("re-pin it {}", into(plan.after, &kept)));
            detail.push("with the contact that it has; replace a contact that was bent or damaged".to_owned());
        }
        if !new.is_empty() {
            verbs.push(format!("terminate it {}", at(plan.after, &new)));
            detail.extend(terminals(plan, &new));
        }
        if let (None, Some(length)) = (fate.turn(Work::Length), plan.after.fact(key, Attribute::Length)) {
            detail.push(format!("its length stays {}: make sure that it reaches without strain, or replace it", value(length)));
        }
    }
    if verbs.is_empty() && sets.is_empty() {
        return;
    }
    let mut actions: Vec<Action> = Vec::new();
    if let Some(at) = cut_at {
        detail.push(format!("at {}, with a new contact there", place(at)));
        actions.push(Action::TakeOut { lead: key.clone(), place: at.clone() });
    }
    actions.extend(sets);
    actions.extend(put(plan, key, &fate.ins));
    if let Some(at) = cut_at {
        actions.extend(put(plan, key, std::slice::from_ref(at)));
    }
    let headline = format!("{}: {}", lead(key), if verbs.is_empty() { "leave it as it is".to_owned() } else { list(&verbs) });
    steps.push(Stage::PutIn, loom(key), headline, detail, actions);
}
