//! What changes on paper only, and what such a change asks of what is built.

use super::{
    apply::Action,
    assemble::is_laid,
    bench_state::{BenchState, Whole, kind_of},
    disassemble::set,
    phrases::{lead, list},
    plan::{Becomes, Plan},
};
use crate::{
    diff::{Change, Edits, Fact, FactKey, Inventory, Key, Kind},
    format::{Attribute, Bench},
};
use std::collections::{BTreeMap, BTreeSet};

/// One change on paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnPaper {
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
pub(super) fn paper(old: &Whole<'_>, new: &Whole<'_>, edits: &Edits, plan: &Plan<'_>) -> Vec<OnPaper> {
    let mut found = Vec::new();
    let used = used_kinds(old.inventory, new.inventory);
    let uses = Uses::of(new);
    for alteration in &edits.altered {
        let is_on_paper = alteration.class.bench == Bench::Paper;
        let by_steps = alteration.class.bench == Bench::Through;
        let at_bench = !is_on_paper && is_built(&alteration.new_key, plan, &used);
        if by_steps || at_bench {
            continue;
        }
        let (remark, concerned) = remark(&alteration.new_key, &alteration.fact, &uses, plan.after);
        let left_out = !is_on_paper;
        let remark = remark.or_else(|| left_out.then(|| "it is not fitted in this build: nothing to do".to_owned()));
        let headline = Change::Altered(alteration.clone()).headline();
        found.push(OnPaper { key: alteration.new_key.clone(), headline, remark, concerned, actions: Vec::new() });
    }
    for (things, done) in [(&edits.removed, "removed"), (&edits.added, "added")] {
        let keys: BTreeSet<&Key> = things.iter().map(|(key, _)| key).collect();
        for (key, thing) in things {
            let with_parent = thing.parent.as_ref().is_some_and(|parent| keys.contains(parent));
            if with_parent || has_steps(key) && is_built(key, plan, &used) {
                continue;
            }
            let headline = match key.path.as_str() {
                "" => format!("{} {done}", key.kind.noun()),
                _ => format!("{} `{}` {done}", key.kind.noun(), key.shown()),
            };
            let remark = has_steps(key).then(|| "it is not fitted in this build: nothing to do".to_owned());
            found.push(OnPaper { key: key.clone(), headline, remark, concerned: Vec::new(), actions: Vec::new() });
        }
    }
    for (key, fate) in plan.fates.iter().filter(|(_, fate)| fate.becomes == Becomes::Kept) {
        for turn in fate.turns.iter().filter(|turn| turn.old.is_some() && turn.new.is_none()) {
            if is_laid(turn.work) {
                continue;
            }
            let headline = format!("{}: the new design gives no {}", lead(key), turn.fact);
            let remark = Some("the wire stays as it is; write down what is built".to_owned());
            found.push(OnPaper {
                key: key.clone(),
                headline,
                remark,
                concerned: vec![key.clone()],
                actions: vec![set(key, turn)],
            });
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

/// The kinds of devices that are used before or after.
fn used_kinds<'a>(old: &'a Inventory, new: &'a Inventory) -> BTreeSet<&'a str> {
    [old, new].into_iter().flat_map(|inventory| inventory.things.values().filter_map(kind_of)).map(Key::shown).collect()
}

/// Whether something is built to a thing: itself, or, of a part of a kind of device, any device of that kind.
fn is_built(key: &Key, plan: &Plan<'_>, used: &BTreeSet<&str>) -> bool {
    if key.is_of_kind() {
        let rest = key.shown();
        return used.contains(rest.split('.').next().unwrap_or(rest));
    }
    let has = |built: &BenchState| {
        let port = || ports_of(key).any(|port| built.articles.contains_key(&port));
        built.leads.contains_key(key) || built.articles.contains_key(key) || (key.kind == Kind::Pin && port())
    };
    has(plan.before) || has(plan.after)
}

/// The ports that a pin can be in, by its name.
fn ports_of(pin: &Key) -> impl Iterator<Item = Key> {
    pin.path.match_indices('.').filter_map(|(at, _)| pin.path.get(..at)).map(|port| Key::new(Kind::Port, port))
}

/// Which things name a kind of part, by that.
struct Uses<'a>(BTreeMap<&'a Key, Vec<&'a Key>>);

impl<'a> Uses<'a> {
    fn of(new: &'a Whole<'_>) -> Self {
        let mut uses: BTreeMap<&Key, Vec<&Key>> = BTreeMap::new();
        for (key, thing) in &new.things {
            let mut named: Vec<&Key> = thing.facts.values().flat_map(Fact::things).filter(|named| named.kind.is_part()).collect();
            named.sort_unstable();
            named.dedup();
            named.into_iter().for_each(|named| uses.entry(named).or_default().push(key));
        }
        Self(uses)
    }
}

/// What a change of a kind of part asks of those that are built in.
fn remark(key: &Key, fact: &FactKey, uses: &Uses<'_>, after: &BenchState) -> (Option<String>, Vec<Key>) {
    if *fact == Attribute::Note || *fact == Attribute::Unsure {
        return (None, Vec::new());
    }
    let named = |only: Option<Kind>| -> Vec<Key> {
        let is_built = |at: &Key| after.leads.contains_key(at) || after.articles.contains_key(at);
        let users = uses.0.get(key).into_iter().flatten();
        users.filter(|at| only.is_none_or(|only| at.kind == only) && is_built(at)).map(|at| (*at).clone()).collect()
    };
    let (concerned, what) = match key.kind {
        Kind::HousingKind => (named(None), "replace or re-key each that is different"),
        Kind::TerminalKind => (named(None), "crimp a new terminal on where it is another part now"),
        Kind::PointKind => (named(None), "compare each with the new facts, replace those that differ"),
        Kind::FuseKind => (named(Some(Kind::Element)), "read each, replace those that differ"),
        Kind::CableKind => (named(Some(Kind::Cable)), "compare each with the new facts, replace those that differ"),
        Kind::ConductorKind => {
            let of = |at: &Key| after.fact(at, Attribute::Wire).is_some_and(|fact| fact.names(key));
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
