//! The first half of an order: made safe, apart, open, out, and what housings are exchanged for.

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

/// The elements that are taken off before hands get to anything: disconnects, then sources of the old design.
pub(super) fn make_safe(old: &Whole<'_>, built: &BenchState, reach: &Reach, steps: &mut Steps) {
    let things = &old.things;
    let elements = |attribute: Attribute| {
        let found = things.iter().filter(move |(key, thing)| key.kind == Kind::Element && thing.fact(attribute).is_some());
        found.map(|(key, _)| key).filter(|key| built.articles.contains_key(*key))
    };
    let disconnects: Vec<&Key> = elements(Attribute::Disconnect).collect();
    let (high, low): (Vec<&Key>, Vec<&Key>) = elements(Attribute::Source).partition(|key| reach.is_high_source(key));
    for key in &disconnects {
        let headline = format!("take service disconnect `{}` out and lock it", key.path);
        let detail = vec!["the one who works keeps the key; hang a notice where it was taken out".to_owned()];
        steps.push(Stage::MakeSafe, None, headline, detail, vec![Action::Isolate((*key).clone())]);
        steps.trained();
    }
    if !high.is_empty() {
        let boxes: BTreeSet<String> = high.iter().filter_map(|key| owner(key)).map(|device| format!("`{device}`")).collect();
        let mut detail = vec!["key out, contactors open, no charging cable plugged in".to_owned()];
        if disconnects.is_empty() {
            detail.push("the design has no service disconnect: settle first how these sources are parted".to_owned());
        } else {
            detail.push("a disconnect parts a string; its modules stay live on both sides of it".to_owned());
        }
        detail.push("for trained people".to_owned());
        let headline = format!("part what feeds voltage class B: {}", list(&boxes.into_iter().collect::<Vec<_>>()));
        steps.push(Stage::MakeSafe, None, headline, detail, high.iter().map(|key| Action::Isolate((*key).clone())).collect());
    }
    for key in &low {
        let device = key.path.rsplit_once('.').map_or(key.path.as_str(), |(device, _)| device);
        let negative = things.get(*key).and_then(|thing| thing.fact(Attribute::Negative)).and_then(|fact| fact.items.first());
        let stud = negative.and_then(|pole| thing(pole, Kind::Port)).filter(|port| built.fact(port, Attribute::Stud).is_some());
        let headline = match stud {
            Some(stud) => format!("take the ground lead off `{}` and insulate it", stud.path),
            None => format!("take source `{}` off at its ground side", key.path),
        };
        let volts = built.fact(key, Attribute::Source).map(value).unwrap_or_default();
        let detail = vec![format!("source `{}` of `{device}`, {volts}; ground first off, last on", local(key))];
        steps.push(Stage::MakeSafe, None, headline, detail, vec![Action::Isolate((*key).clone())]);
    }
    if !disconnects.is_empty() || !high.is_empty() {
        let detail = vec![
            "wait as long as the makers of the boxes say: capacitors stay charged".to_owned(),
            "two-pole tester, tried at a known voltage before and after; between the poles and from each pole to chassis"
                .to_owned(),
            "for trained people".to_owned(),
        ];
        let headline = "prove absence of voltage at every end of voltage class B".to_owned();
        steps.push(Stage::MakeSafe, None, headline, detail, Vec::new());
        steps.trained();
    }
}

/// Ends that come apart.
pub(super) fn unmate(plan: &Plan<'_>, steps: &mut Steps) {
    for end in &plan.parts {
        let mate = plan.before.mate(end).map(word).unwrap_or_default();
        let is_there = matches!(plan.before.mate(end), Some(Item::Thing(key, _)) if plan.before.articles.contains_key(key));
        let headline = if !is_there {
            format!("make {} free: its counterpart `{mate}` is not built yet", local(end))
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
                detail.push("the design gives no route: find the way of each wire first, open no more than it takes".to_owned());
                let headline = format!("open the covering of loom `{}` along the way of these wires", key.path);
                (headline, Some(key.path.clone()))
            }
        };
        if key.kind != Kind::Splice {
            detail.push("cut along the covering, away from the wires; look at each wire that lay beside the blade".to_owned());
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
        let headline = format!("take loom `{}` out as a whole", key.path);
        steps.push(Stage::TakeOut, Some(key.path.clone()), headline, Vec::new(), vec![Action::Remove(key.clone())]);
    }
    let filled = plan.filled();
    for plug in &before.plugs {
        let Some(end) = thing(plug, Kind::End).filter(|end| plan.stays(end)) else { continue };
        if !plan.after.plugs.contains(plug) || filled.contains(plug) {
            let headline = format!("take the plug out of {}", place(plug));
            steps.push(Stage::TakeOut, loom(&end), headline, Vec::new(), vec![Action::Unplug(plug.clone())]);
        }
    }
    for (key, fate) in &plan.fates {
        match fate.becomes {
            Becomes::Kept => {
                for out in &fate.outs {
                    let verb = if is_cavity(before, out) { "take" } else { "cut" };
                    let headline = format!("{verb} {} {}", lead(key), from(before, out));
                    let mut detail = Vec::new();
                    if !fate.ins.is_empty() {
                        detail.push(format!("it goes {} later", into(plan.after, &fate.ins)));
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
                        "if it can't be drawn out without harm, cut it short, cap both ends and write that on the drawing"
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
        return "its cable is exchanged".to_owned();
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
        if turns.iter().any(|turn| turn.fact == Attribute::Housing) {
            if !seats.is_empty() {
                let moved: Vec<String> = seats.iter().map(|(key, at)| format!("{} to {}", lead(key), place(at))).collect();
                detail.push(format!("all contacts out, then move them over cavity by cavity: {}", list(&moved)));
            }
            detail.push("plugs and seals move over too; look that contacts and secondary lock have clicked in".to_owned());
        }
        if turns.iter().any(|turn| turn.fact != Attribute::Housing) && !seats.is_empty() {
            let wires: Vec<String> = seats.iter().map(|(key, _)| lead(key)).collect();
            detail.push(format!("cut off and crimp anew: {}", list(&wires)));
            detail.push("each crimp costs some length; what then lies taut is cut new".to_owned());
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
        return format!("exchange housing {name}: {}", from_to(turn));
    }
    if let Some(turn) = find(Attribute::Ring) {
        return format!("exchange ring {name}: {}", from_to(turn));
    }
    let cavities: Vec<Item> = seats.iter().map(|(_, place)| place.clone()).collect();
    let first = turns.first().map(from_to).unwrap_or_default();
    if cavities.is_empty() {
        return format!("from now on crimp other terminals in {name}: {first}");
    }
    format!("exchange terminals at {}: {first}", places(&cavities))
}
