//! The first half of an order: made safe, unmated, opened, taken out, and which housings are replaced.

use super::{
    apply::Action,
    bench_state::{BenchState, Whole, owner, word},
    phrases::{from, into, is_cavity, lead, list, local, loom, place, places, value, value_or_none},
    plan::{Becomes, FactChange, Plan, thing},
    reach::Reach,
    steps::{Stage, Steps},
};
use crate::{
    diff::{Fact, Inventory, Item, Key, Kind},
    format::{Attribute, Work},
};
use std::collections::BTreeSet;

/// How the vehicle is made safe before hands get to anything, in this order: switched off, waited for and proven dead behind the contactors,
/// disconnects out, low voltage off, and each end of class B proven dead again.
///
/// Switch off, secure against switching on, prove the absence of voltage: the first three of the five rules of EN 50110-1 (seen as
/// practice; the last two, earthing and covering, are rarely used on a vehicle). That the load side is proven dead before the disconnect
/// is pulled, so that none is pulled under load behind a welded contactor, is common practice, no source.
pub(super) fn make_safe(old: &Whole<'_>, built: &BenchState, reach: &Reach, steps: &mut Steps) {
    let things = &old.things;
    let elements = |attribute: Attribute| {
        let found = things.iter().filter(move |(key, thing)| key.kind == Kind::Element && thing.fact(attribute).is_some());
        found.map(|(key, _)| key).filter(|key| built.articles.contains_key(*key))
    };
    let disconnects: Vec<&Key> = elements(Attribute::Disconnect).collect();
    let (high, low): (Vec<&Key>, Vec<&Key>) = elements(Attribute::Source).partition(|key| reach.is_high_source(key));
    let is_low = reach.is_low(built);
    if !is_low && (!disconnects.is_empty() || !high.is_empty()) {
        high_voltage_off(&disconnects, &high, steps);
    } else if !disconnects.is_empty() {
        low_voltage_off(&disconnects, steps);
    } else if !low.is_empty() {
        steps.push(
            Stage::MakeSafe,
            None,
            "switch everything off, take the key out, unplug any charger".to_owned(),
            Vec::new(),
            Vec::new(),
        );
    }
    let ground = |key: &Key| {
        let negative = things.get(key).and_then(|thing| thing.fact(Attribute::Negative)).and_then(|fact| fact.items.first());
        negative.and_then(|pole| thing(pole, Kind::Port)).filter(|port| built.fact(port, Attribute::Stud).is_some())
    };
    let volts = |key: &Key| built.fact(key, Attribute::Source).map(value).unwrap_or_default();
    let mut inside: Vec<&Key> = Vec::new();
    for key in low {
        let headline = match ground(key) {
            Some(stud) => format!("take the ground lead off `{}` and insulate it", stud.path),
            // A battery inside a box, behind the disconnect, has no lead to take off.
            None if is_low && !disconnects.is_empty() => {
                inside.push(key);
                continue;
            }
            None => format!("disconnect source `{}` at its ground side", key.path),
        };
        let detail = vec![format!("source `{}`, {}; the ground lead comes off first and goes on last", key.path, volts(key))];
        steps.push(Stage::MakeSafe, None, headline, detail, vec![Action::Isolate(key.clone())]);
    }
    if !inside.is_empty() {
        let names: Vec<String> = inside.iter().map(|key| format!("`{}` ({})", key.path, volts(key))).collect();
        let headline = format!("unplug or cover what stays live: {}", list(&names));
        let detail = vec!["no tool and no wire end may reach both poles: the current of a short burns and welds".to_owned()];
        let actions = inside.into_iter().map(|key| Action::Isolate(key.clone())).collect();
        steps.push(Stage::MakeSafe, None, headline, detail, actions);
    }
    if !is_low && (!disconnects.is_empty() || !high.is_empty()) {
        let detail = vec!["measure each end of voltage class B as it is opened, before anyone touches it".to_owned()];
        let headline = "prove each end of voltage class B dead again, now that the disconnect is out".to_owned();
        let headline = if disconnects.is_empty() { "prove each end of voltage class B dead".to_owned() } else { headline };
        steps.push(Stage::MakeSafe, None, headline, detail, Vec::new());
        steps.trained();
    }
}

/// A design of class A with a disconnect: key, cable, contactors; the capacitors empty; the disconnect out.
fn low_voltage_off(disconnects: &[&Key], steps: &mut Steps) {
    let mut push = |headline: String, detail: Vec<String>, actions: Vec<Action>| {
        steps.push(Stage::MakeSafe, None, headline, detail, actions);
    };
    let detail = vec!["the person who does the work keeps the key".to_owned()];
    push("switch off: key out, charging cable unplugged, all contactors open".to_owned(), detail, Vec::new());
    let detail = vec!["capacitors stay charged: wait as long as the label or the maker of each box says".to_owned()];
    push("wait, then measure that no voltage is left behind the contactors".to_owned(), detail, Vec::new());
    for key in disconnects {
        let detail = vec!["what is on the battery side of it stays live".to_owned()];
        push(format!("take disconnect `{}` out and keep it", key.path), detail, vec![Action::Isolate((*key).clone())]);
    }
}

/// Voltage class B off: key, cable, contactors; waited and proven dead; the disconnects out.
fn high_voltage_off(disconnects: &[&Key], high: &[&Key], steps: &mut Steps) {
    let mut trained = |headline: String, detail: Vec<String>, actions: Vec<Action>| {
        steps.push(Stage::MakeSafe, None, headline, detail, actions);
        steps.trained();
    };
    let detail = vec!["the person who does the work keeps the key".to_owned()];
    trained("switch off: key out, charging cable unplugged, all contactors open".to_owned(), detail, Vec::new());
    let detail = vec![
        "wait as long as the label or the maker of each box says: capacitors stay charged".to_owned(),
        "two-pole tester, tried on a known voltage before and after; between the poles and from each pole to chassis".to_owned(),
        "if there is still voltage, a contactor may be welded: stop, and do not pull the disconnect".to_owned(),
    ];
    trained("wait, then prove the absence of voltage behind the contactors".to_owned(), detail, Vec::new());
    let mut sources: Vec<Action> = high.iter().map(|key| Action::Isolate((*key).clone())).collect();
    for (at, key) in disconnects.iter().enumerate() {
        let mut detail = vec!["the person who does the work keeps it; hang up a notice".to_owned()];
        let mut actions = vec![Action::Isolate((*key).clone())];
        if at + 1 == disconnects.len() {
            detail.push("what is on the battery side of it stays live".to_owned());
            actions.append(&mut sources);
        }
        trained(format!("take service disconnect `{}` out and lock it away", key.path), detail, actions);
    }
    if disconnects.is_empty() {
        let boxes: BTreeSet<String> = high.iter().filter_map(|key| owner(key)).map(|device| format!("`{device}`")).collect();
        let detail = vec!["the design has no service disconnect: settle first how these sources are isolated".to_owned()];
        let headline = format!("isolate what feeds voltage class B: {}", list(&boxes.into_iter().collect::<Vec<_>>()));
        trained(headline, detail, sources);
    }
}

/// Ends that are unmated or unbolted.
pub(super) fn unmate(plan: &Plan<'_>, steps: &mut Steps) {
    for end in &plan.parts {
        let mate = plan.before.mate(end).map(word).unwrap_or_default();
        let is_there = matches!(plan.before.mate(end), Some(Item::Thing(key, _)) if plan.before.articles.contains_key(key));
        let headline = if !is_there {
            format!("free {}: its counterpart `{mate}` is not built yet", local(end))
        } else if plan.before.fact(end, Attribute::BoltsTo).is_some() {
            format!("unbolt ring {} from `{mate}`", local(end))
        } else if plan.before.fact(end, Attribute::LandsOn).is_some() {
            format!("disconnect the wires of {} from `{mate}`", local(end))
        } else {
            format!("unmate {} from `{mate}`", local(end))
        };
        steps.push(Stage::Unmate, loom(end), headline, Vec::new(), vec![Action::Part(end.clone())]);
    }
}

/// What is cut open.
pub(super) fn open(plan: &Plan<'_>, steps: &mut Steps) {
    for key in &plan.opens {
        let concerned = concerned(plan, key);
        let mut detail = Vec::new();
        if !concerned.is_empty() {
            detail.push(format!("for {}", list(&concerned)));
        }
        let (headline, loom) = match key.kind {
            Kind::Segment => {
                let covering = plan.before.fact(key, Attribute::Covering).map(value).unwrap_or_default();
                (format!("cut open the {covering} of segment {}", local(key)), loom(key))
            }
            Kind::Splice => (format!("cut open the cover of splice {}", local(key)), loom(key)),
            _ => {
                detail.push("the design gives no route: trace each wire first, and open no more than needed".to_owned());
                let headline = format!("open the covering of loom `{}` along these wires", key.path);
                (headline, Some(key.path.clone()))
            }
        };
        if key.kind != Kind::Splice {
            detail.push("cut along the covering, away from the wires; inspect every wire that was beside the blade".to_owned());
        }
        steps.push(Stage::Open, loom, headline, detail, vec![Action::Open(key.clone())]);
    }
}

/// The wires for which something is opened.
fn concerned(plan: &Plan<'_>, opened: &Key) -> Vec<String> {
    let fates = plan.fates.iter().filter(|(key, fate)| {
        let at = |item: &Item| matches!(item, Item::Thing(thing, _) if thing == opened);
        let drawn = fate.becomes != Becomes::Kept || fate.turn(Work::Lay).is_some();
        let through = |built: &BenchState| built.leads.contains_key(*key) && built.way(key).contains(opened);
        fate.outs.iter().chain(&fate.ins).any(at) || drawn && (through(plan.before) || through(plan.after))
    });
    fates.map(|(key, _)| lead(key)).collect()
}

/// What leaves its place and what goes.
pub(super) fn take_out(plan: &Plan<'_>, steps: &mut Steps) {
    let before = plan.before;
    for key in before.articles.keys().filter(|key| key.kind == Kind::Loom && !plan.stays(key)) {
        let headline = format!("remove loom `{}` as a whole", key.path);
        steps.push(Stage::TakeOut, Some(key.path.clone()), headline, Vec::new(), vec![Action::Remove(key.clone())]);
    }
    let filled = plan.filled();
    for plug in &before.plugs {
        let Some(end) = thing(plug, Kind::End).filter(|end| plan.stays(end)) else { continue };
        if !plan.after.plugs.contains(plug) || filled.contains(plug) {
            let headline = format!("remove the cavity plug from {}", place(plug));
            steps.push(Stage::TakeOut, loom(&end), headline, Vec::new(), vec![Action::Unplug(plug.clone())]);
        }
    }
    for (key, fate) in &plan.fates {
        match fate.becomes {
            Becomes::Kept => {
                for out in &fate.outs {
                    let headline = match is_cavity(before, out) {
                        true => format!("unpin {} from {}", lead(key), place(out)),
                        false => format!("cut {} {}", lead(key), from(before, out)),
                    };
                    let mut detail = Vec::new();
                    if !fate.ins.is_empty() {
                        detail.push(format!("it goes {} later", into(plan.after, &fate.ins)));
                        if is_cavity(before, out) && fate.ins.iter().any(|at| plan.keeps_contact(out, at)) {
                            detail.push("keep its contact: release it with the tool for it, do not cut it off".to_owned());
                        }
                    }
                    let action = Action::TakeOut { lead: key.clone(), place: out.clone() };
                    steps.push(Stage::TakeOut, loom(key), headline, detail, vec![action]);
                }
            }
            Becomes::Gone | Becomes::Replaced => {
                let outs = fate.outs.iter().map(|out| Action::TakeOut { lead: key.clone(), place: out.clone() });
                let ways: Vec<String> = fate.outs.iter().map(|out| from(before, out)).collect();
                let off = if ways.is_empty() { String::new() } else { format!(" {}", list(&ways)) };
                let headline = format!("take {}{off} and remove it", lead(key));
                let mut detail = Vec::new();
                if fate.becomes == Becomes::Replaced {
                    detail.push(why_replaced(plan, key));
                } else {
                    detail.push(
                        "if it can't be pulled out without damage, cut it short, cap both ends and note that on the drawing"
                            .to_owned(),
                    );
                }
                let actions = outs.chain([Action::Remove(key.clone())]).collect();
                steps.push(Stage::TakeOut, loom(key), headline, detail, actions);
            }
            Becomes::New => {}
        }
    }
    for key in before.articles.keys().filter(|key| plan.loom_stays(key) && !plan.after.articles.contains_key(key)) {
        let what = match key.kind {
            Kind::End | Kind::Splice | Kind::Segment | Kind::Element => format!("remove {} {}", key.kind.noun(), local(key)),
            _ => continue,
        };
        steps.push(Stage::TakeOut, loom(key), what, Vec::new(), vec![Action::Remove(key.clone())]);
    }
    for key in before.articles.keys().filter(|key| key.kind == Kind::Device && !plan.after.articles.contains_key(key)) {
        let headline = format!("remove device `{}`", key.path);
        steps.push(Stage::TakeOut, None, headline, Vec::new(), vec![Action::Remove(key.clone())]);
    }
}

fn why_replaced(plan: &Plan<'_>, key: &Key) -> String {
    let mut said = Vec::new();
    use Attribute::{Colour, Core, Length, Part, Size, Wire};
    for fact in [Size, Colour, Wire, Part, Core, Length] {
        let (old, new) = (plan.before.fact(key, fact), plan.after.fact(key, fact));
        if old != new {
            said.push(format!("{fact} from {} to {}", value_or_none(old), value_or_none(new)));
        }
    }
    if said.is_empty() {
        return "its cable is replaced".to_owned();
    }
    format!("it is replaced: {}", said.join(", "))
}

/// Housings, rings and terminals of ends that stay.
pub(super) fn housings(plan: &Plan<'_>, new: &Inventory, steps: &mut Steps) {
    for end in plan.after.articles.keys().filter(|key| key.kind == Kind::End && plan.stays(key)) {
        let turns: Vec<FactChange> = plan.turns(end).into_iter().filter(|turn| turn.work == Work::Contact).collect();
        if turns.is_empty() {
            continue;
        }
        let seats = plan.reseated.get(end).map_or(&[][..], Vec::as_slice);
        let headline = headline(end, &turns, seats, new);
        let mut detail = Vec::new();
        let recrimped = turns.iter().any(|turn| turn.fact != Attribute::Housing);
        if turns.iter().any(|turn| turn.fact == Attribute::Housing) {
            if !seats.is_empty() {
                let moved: Vec<String> = seats.iter().map(|(key, at)| format!("{} to {}", lead(key), place(at))).collect();
                let (how, then) = if recrimped {
                    ("unpin all wires and fit the new contacts", "then pin")
                } else {
                    ("unpin all wires with their contacts", "then re-pin")
                };
                detail.push(format!("{how}, {then} cavity by cavity: {}", list(&moved)));
            }
            detail.push(
                "cavity plugs and seals move over too; make sure that contacts and secondary lock have clicked in".to_owned(),
            );
        }
        if recrimped && !seats.is_empty() {
            let wires: Vec<String> = seats.iter().map(|(key, _)| lead(key)).collect();
            detail.push(format!("cut the old contacts off and crimp new ones on: {}", list(&wires)));
            detail.push("each crimp costs some length; replace a wire that is then taut".to_owned());
        }
        let out = seats.iter().map(|(key, at)| Action::TakeOut { lead: key.clone(), place: at.clone() });
        let sets = turns.iter().map(|turn| set(end, turn));
        let put = seats.iter().map(|(key, at)| Action::PutIn { lead: key.clone(), place: at.clone(), most: plan.most(at) });
        steps.push(Stage::Housing, loom(end), headline, detail, out.chain(sets).chain(put).collect());
    }
}

/// The action that makes a fact another.
pub(super) fn set(key: &Key, turn: &FactChange) -> Action {
    Action::Set { key: key.clone(), fact: turn.fact.clone(), old: turn.old.clone(), new: turn.new.clone() }
}

fn headline(end: &Key, turns: &[FactChange], seats: &[(Key, Item)], new: &Inventory) -> String {
    let name = local(end);
    let find = |attribute: Attribute| turns.iter().find(|turn| turn.fact == attribute);
    let from_to =
        |turn: &FactChange| format!("{} out, {} in", value_or_none(turn.old.as_ref()), value_or_none(turn.new.as_ref()));
    if let Some(turn) = find(Attribute::Housing) {
        let kind = |fact: Option<&Fact>| fact.and_then(|fact| thing(fact.items.first()?, Kind::HousingKind));
        let facts = |fact| kind(fact).and_then(|key| new.things.get(&key));
        if let (Some(old), Some(now)) = (facts(turn.old.as_ref()), facts(turn.new.as_ref())) {
            use Attribute::{Contacts, Face, Family, Positions};
            let same = [Family, Positions, Face, Contacts].into_iter().all(|fact| old.fact(fact) == now.fact(fact));
            if same && old.fact(Attribute::Key) != now.fact(Attribute::Key) {
                let keys = (value_or_none(old.fact(Attribute::Key)), value_or_none(now.fact(Attribute::Key)));
                return format!("re-key housing {name} from {} to {}: {}", keys.0, keys.1, from_to(turn));
            }
        }
        return format!("replace housing {name}: {}", from_to(turn));
    }
    if let Some(turn) = find(Attribute::Ring) {
        return format!("replace ring {name}: {}", from_to(turn));
    }
    let cavities: Vec<Item> = seats.iter().map(|(_, place)| place.clone()).collect();
    let first = turns.first().map(from_to).unwrap_or_default();
    if cavities.is_empty() {
        return format!("use other terminals in {name} from now on: {first}");
    }
    format!("replace the terminals at {}: {first}", places(&cavities))
}
