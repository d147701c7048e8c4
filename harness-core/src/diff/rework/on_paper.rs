//! What changes on paper only, and what such a change asks of what is built.

use super::{
    apply::Action,
    bench_state::{Built, Touch, kind_of, touch, whole},
    disassemble::set,
    names::shown,
    plan::{Plan, Way},
    words::{lead, list},
};
use crate::diff::{Change, Edits, Inventory, Item, Key, Kind, Thing};

/// One change on paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// The thing, in the new design or, if it is gone, in the old one.
    pub key: Key,
    /// What changes, in one line.
    pub headline: String,
    /// What it asks of what is built, if anything.
    pub remark: Option<String>,
    /// What is built and concerned.
    pub concerned: Vec<Key>,
    /// The same for a program; most have none, because what is built stays as it is.
    pub actions: Vec<Action>,
}

/// All changes on paper.
pub(super) fn paper(old: &Inventory, new: &Inventory, edits: &Edits, plan: &Plan<'_>) -> Vec<Paper> {
    let mut found = Vec::new();
    for alteration in &edits.altered {
        let (kind, fact) = (alteration.new_key.kind, alteration.fact.as_str());
        let by_steps = matches!((kind, fact), (Kind::Loom, "wire") | (Kind::Loom | Kind::Device, "fitted"));
        let at_bench = touch(kind, fact) != Touch::Paper && is_built(&alteration.new_key, plan, (old, new));
        if by_steps || at_bench {
            continue;
        }
        let (remark, concerned) = remark(&alteration.new_key, fact, new, plan.after);
        let left_out = touch(kind, fact) != Touch::Paper;
        let remark = remark.or_else(|| left_out.then(|| "it is not fitted in this build: nothing to do".to_owned()));
        let headline = Change::Altered(alteration.clone()).headline();
        found.push(Paper { key: alteration.new_key.clone(), headline, remark, concerned, actions: Vec::new() });
    }
    for (things, done) in [(&edits.removed, "removed"), (&edits.added, "added")] {
        for (key, thing) in things {
            let with_parent = thing.parent.as_ref().is_some_and(|parent| things.iter().any(|(other, _)| other == parent));
            if with_parent || has_steps(key) && is_built(key, plan, (old, new)) {
                continue;
            }
            let headline = match key.path.as_str() {
                "" => format!("{} {done}", key.kind.noun()),
                _ => format!("{} `{}` {done}", key.kind.noun(), shown(key)),
            };
            let remark = has_steps(key).then(|| "it is not fitted in this build: nothing to do".to_owned());
            found.push(Paper { key: key.clone(), headline, remark, concerned: Vec::new(), actions: Vec::new() });
        }
    }
    for (key, fate) in plan.fates.iter().filter(|(_, fate)| fate.way == Way::Kept) {
        for turn in fate.turns.iter().filter(|turn| turn.old.is_some() && turn.new.is_none()) {
            if matches!(turn.fact.as_str(), "via" | "twist" | "end") {
                continue;
            }
            let headline = format!("{}: the new design gives no {}", lead(key), turn.fact);
            let remark = Some("the wire stays as it is; write down what it is".to_owned());
            found.push(Paper { key: key.clone(), headline, remark, concerned: vec![key.clone()], actions: vec![set(key, turn)] });
        }
    }
    found.sort_by(|a, b| (&a.key, &a.headline).cmp(&(&b.key, &b.headline)));
    found
}

/// Things whose coming and going has steps.
fn has_steps(key: &Key) -> bool {
    matches!(
        key.kind,
        Kind::Device
            | Kind::Port
            | Kind::Element
            | Kind::Loom
            | Kind::End
            | Kind::Splice
            | Kind::Wire
            | Kind::Cable
            | Kind::Segment
    )
}

/// Whether something is built to a thing: itself, or, of a part of a kind of device, any device of that kind.
fn is_built(key: &Key, plan: &Plan<'_>, (old, new): (&Inventory, &Inventory)) -> bool {
    if let Some(rest) = key.path.strip_prefix("kind ") {
        let kind = rest.split('.').next().unwrap_or(rest);
        let used = |inventory: &Inventory| {
            let devices = inventory.things.values().filter_map(kind_of);
            devices.into_iter().any(|of| of.path.strip_prefix("kind ") == Some(kind))
        };
        return used(old) || used(new);
    }
    let has = |built: &Built| {
        let pin = key.kind == Kind::Pin && built.articles.keys().any(|port| is_port_of(port, key));
        built.leads.contains_key(key) || built.articles.contains_key(key) || pin
    };
    has(plan.before) || has(plan.after)
}

fn is_port_of(port: &Key, pin: &Key) -> bool {
    port.kind == Kind::Port && pin.path.strip_prefix(port.path.as_str()).is_some_and(|rest| rest.starts_with('.'))
}

/// What a change of a kind of part asks of those that are built in.
fn remark(key: &Key, fact: &str, new: &Inventory, after: &Built) -> (Option<String>, Vec<Key>) {
    if fact == "note" || fact == "unsure" {
        return (None, Vec::new());
    }
    let named = |facts: &[&str], only: Kind| -> Vec<Key> {
        let all = whole(new);
        let names = |thing: &Thing| {
            let of = thing
                .facts
                .iter()
                .filter(|(name, _)| facts.iter().any(|fact| name.as_str() == *fact || name.starts_with(&format!("{fact}s."))));
            of.flat_map(|(_, fact)| &fact.items).any(|item| matches!(item, Item::Thing(kind, _) if kind == key))
        };
        let is_built = |at: &Key| after.leads.contains_key(at) || after.articles.contains_key(at);
        all.iter()
            .filter(|(at, thing)| (at.kind == only || only == Kind::Design) && is_built(at) && names(thing))
            .map(|(at, _)| at.clone())
            .collect()
    };
    let (concerned, what) = match key.kind {
        Kind::HousingKind => (named(&["housing"], Kind::Design), "exchange or re-key each that is not so"),
        Kind::TerminalKind => (named(&["terminal"], Kind::Design), "crimp anew where the terminal is another part now"),
        Kind::FuseKind => (named(&["fuse"], Kind::Element), "read each, exchange those that differ"),
        Kind::CableKind => (named(&["part"], Kind::Cable), "compare each with the new facts, replace those that differ"),
        Kind::ConductorKind => {
            let of = |at: &Key| {
                after
                    .fact(at, "wire")
                    .and_then(|fact| fact.items.first())
                    .is_some_and(|item| matches!(item, Item::Thing(kind, _) if kind == key))
            };
            (
                after.leads.keys().filter(|at| of(at)).cloned().collect(),
                "compare each with the new facts, replace those that differ",
            )
        }
        _ => return (None, Vec::new()),
    };
    if concerned.is_empty() {
        return (Some("nothing that is built is of this kind".to_owned()), concerned);
    }
    let names: Vec<String> = concerned.iter().map(|at| format!("`{}`", at.path)).collect();
    (Some(format!("concerns {}: {what}", list(&names))), concerned)
}
