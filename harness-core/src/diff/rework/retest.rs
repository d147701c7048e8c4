//! What must be measured and tried again after a rework.

use super::{
    bench_state::{owner, word},
    phrases::{lead, list, local, place, value},
    plan::{Becomes, Plan},
    reach::{Reach, mated},
};
use crate::{
    diff::{FactKey, Inventory, Item, Key, Kind},
    format::{Attribute, Work},
};
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt,
};

/// When a test is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum When {
    /// Before anything is mated.
    Open,
    /// Mated, before voltage.
    Mated,
    /// With low voltage on and the disconnect in, contactors still open.
    Armed,
    /// With all voltages on, mode by mode.
    InService,
    /// On the design.
    Design,
}

impl When {
    /// The time of a test as a heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Open => "before mating",
            Self::Mated => "mated, without voltage",
            Self::Armed => "low voltage on, disconnect in, contactors open",
            Self::InService => "in service",
            Self::Design => "on the design",
        }
    }
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.title())
    }
}

/// What is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Proof {
    /// A wire leads from end to end.
    Continuity,
    /// A cavity is not joined to its neighbours.
    Separation,
    /// The insulation of what is of voltage class B.
    Insulation,
    /// The value of a fuse.
    Fuse,
    /// The poles of a source.
    Polarity,
    /// The interlock loop opens at an end.
    Interlock,
    /// Everything works in a mode.
    Mode,
    /// The design is checked again.
    Check,
}

/// One test.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Test {
    /// Its number, from 1.
    pub number: u32,
    /// When it is made.
    pub when: When,
    /// What is tested.
    pub proof: Proof,
    /// What it is made at.
    pub at: Option<Key>,
    /// Where the probes go.
    pub points: Vec<Item>,
    /// What to do, in one line.
    pub headline: String,
    /// What to mind.
    pub detail: Vec<String>,
    /// Whether only trained people make it.
    pub trained: bool,
}

impl Test {
    /// What to do, in one line.
    #[must_use]
    pub fn headline(&self) -> &str {
        &self.headline
    }
}

/// Tests as they are found.
#[derive(Default)]
struct Tests(Vec<Test>);

impl Tests {
    fn push(&mut self, (when, proof): (When, Proof), at: Option<&Key>, points: Vec<Item>, headline: String, detail: Vec<String>) {
        let trained = matches!(proof, Proof::Insulation | Proof::Interlock);
        self.0.push(Test { number: 0, when, proof, at: at.cloned(), points, headline, detail, trained });
    }
}

/// The tests of an order.
pub(super) fn tests(plan: &Plan<'_>, new: &Inventory, reach: &Reach) -> Vec<Test> {
    let mut tests = Tests::default();
    let touched = touched(plan);
    for key in &touched {
        continuity(plan, reach, key, &mut tests);
    }
    separation(plan, new, reach, &touched, &mut tests);
    for key in touched.iter().filter(|key| reach.is_high(plan.after, key)) {
        let points = plan.after.leads.get(key).map(|lead| lead.places.clone()).unwrap_or_default();
        let mated: BTreeSet<Key> = points.iter().flat_map(|point| still_mated(plan, reach, point)).collect();
        let unmated = if mated.is_empty() { String::new() } else { format!("; unmate for this test: {}", names_of(&mated)) };
        let detail = vec![
            format!("leave the boxes unmated, the test voltage damages their electronics{unmated}"),
            "at least 500 ohm for each volt of the domain's highest voltage (ISO 6469-3, from memory)".to_owned(),
        ];
        let headline = format!("insulation of {} to chassis, screen and every other wire of its loom", lead(key));
        tests.push((When::Open, Proof::Insulation), Some(key), points, headline, detail);
    }
    fuses(plan, &mut tests);
    polarity(plan, &mut tests);
    interlock(plan, new, &touched, &mut tests);
    modes(new, &mut tests);
    let headline = "check the new design again and keep its report with this order".to_owned();
    tests.push((When::Design, Proof::Check), None, Vec::new(), headline, Vec::new());
    let mut tests = tests.0;
    tests.sort_by_key(|test| (test.when, test.proof));
    for (test, number) in tests.iter_mut().zip(1_u32..) {
        test.number = number;
    }
    tests
}

/// The wires and cables of the new design that were worked on.
fn touched(plan: &Plan<'_>) -> BTreeSet<Key> {
    let fated = plan.fates.iter().filter(|(_, fate)| {
        let moved = !fate.outs.is_empty() || !fate.ins.is_empty() || fate.is_cut_back();
        fate.becomes != Becomes::Gone && (fate.becomes != Becomes::Kept || moved || fate.turn(Work::Lay).is_some())
    });
    let mut touched: BTreeSet<Key> = fated.map(|(key, _)| key.clone()).collect();
    touched.extend(plan.reseated.values().flatten().map(|(key, _)| key.clone()));
    touched.extend(plan.after.leads.keys().filter(|key| !plan.loom_stays(key)).cloned());
    touched
}

fn continuity(plan: &Plan<'_>, reach: &Reach, key: &Key, tests: &mut Tests) {
    let Some(found) = plan.after.leads.get(key) else { return };
    match found.places.as_slice() {
        [] => {}
        [one] => {
            let headline = match key.kind {
                Kind::Cable => format!("continuity of the screen of {} to {}, and none to any core", lead(key), place(one)),
                _ => format!("{}: connected at {} only, its other end insulated", lead(key), place(one)),
            };
            tests.push((When::Open, Proof::Continuity), Some(key), vec![one.clone()], headline, Vec::new());
        }
        [first, .., last] => {
            let what = if key.kind == Kind::Cable { "the screen of " } else { "" };
            let headline = format!("continuity of {what}{}: {} to {}", lead(key), place(first), place(last));
            let far: Vec<String> = [first, last].into_iter().filter_map(|at| mated(plan.after, at)).map(|at| word(&at)).collect();
            let mut detail = if far.is_empty() { Vec::new() } else { vec![format!("their mates: {}", list(&far))] };
            let mated = still_mated(plan, reach, first);
            if mated.len() > 1 {
                detail.push(format!("unmate all but one of these first: {}", names_of(&mated)));
            }
            tests.push((When::Open, Proof::Continuity), Some(key), vec![first.clone(), last.clone()], headline, detail);
        }
    }
}

fn separation(plan: &Plan<'_>, new: &Inventory, reach: &Reach, touched: &BTreeSet<Key>, tests: &mut Tests) {
    let mut taken: BTreeMap<&Key, BTreeSet<&str>> = BTreeMap::new();
    for place in plan.after.leads.values().flat_map(|lead| &lead.places) {
        if let Item::Thing(end, cavity) = place {
            taken.entry(end).or_default().insert(cavity);
        }
    }
    let mut named: BTreeSet<(&Key, BTreeSet<String>)> = BTreeSet::new();
    for place_at in handled(plan, touched) {
        let Item::Thing(end, cavity) = place_at else { continue };
        let Some(rows) = rows(plan, new, end) else { continue };
        let used = taken.get(end);
        let near: Vec<Item> = neighbours(&rows, cavity)
            .into_iter()
            .filter(|near| used.is_some_and(|used| used.contains(near.as_str())))
            .filter(|near| named.insert((end, BTreeSet::from([cavity.clone(), near.clone()]))))
            .map(|near| Item::Thing(end.clone(), near))
            .filter(|near| !reach.are_joined(place_at, near))
            .collect();
        if near.is_empty() {
            continue;
        }
        let names: Vec<String> = near.iter().map(place).collect();
        let loom = owner(end).unwrap_or_default();
        let headline = format!("no connection from {} of loom `{loom}` to {}", place(place_at), list(&names));
        let own = still_mated(plan, reach, place_at);
        let others: BTreeSet<Key> = near.iter().flat_map(|near| still_mated(plan, reach, near)).collect();
        // What is connected to both conducts; what is connected to one does not.
        let detail = if own.is_empty() || others.is_empty() {
            Vec::new()
        } else {
            vec![format!(
                "unmate {} for this test: what is connected there conducts",
                names_of(if own.len() <= others.len() { &own } else { &others })
            )]
        };
        let points = std::iter::once(place_at.clone()).chain(near).collect();
        tests.push((When::Open, Proof::Separation), Some(end), points, headline, detail);
    }
}

/// The places of the new design where a contact was set.
fn handled<'a>(plan: &'a Plan<'_>, touched: &'a BTreeSet<Key>) -> BTreeSet<&'a Item> {
    let mut handled = plan.filled();
    let new = touched.iter().filter(|key| !plan.loom_stays(key)).filter_map(|key| plan.after.leads.get(key));
    handled.extend(new.flat_map(|lead| &lead.places));
    handled
}

/// The ends that a place leads to within its loom and that stay mated.
fn still_mated(plan: &Plan<'_>, reach: &Reach, at: &Item) -> BTreeSet<Key> {
    let is_mated = |end: &Key| plan.before.mate(end).is_some() && plan.after.mate(end).is_some() && !plan.parts.contains(end);
    reach.ends(at).filter(|end| is_mated(end)).cloned().collect()
}

fn names_of(ends: &BTreeSet<Key>) -> String {
    list(&ends.iter().map(|end| local(end).to_owned()).collect::<Vec<_>>())
}

/// The numbers of the tests that are made at one time: `tests 3 to 7`.
pub(super) fn range(tests: &[Test], when: When) -> Option<String> {
    let mut numbers = tests.iter().filter(|test| test.when == when).map(|test| test.number);
    let first = numbers.next()?;
    Some(numbers.next_back().map_or_else(|| format!("test {first}"), |last| format!("tests {first} to {last}")))
}

/// The positions of an end's housing in rows; one row where no face is given.
fn rows(plan: &Plan<'_>, new: &Inventory, end: &Key) -> Option<Vec<Vec<String>>> {
    let Item::Thing(housing, _) = plan.after.fact(end, Attribute::Housing)?.items.first()? else { return None };
    let kind = new.things.get(housing)?;
    if let Some(face) = kind.fact(Attribute::Face) {
        return Some(face.items.iter().map(|row| word(row).split_whitespace().map(str::to_owned).collect()).collect());
    }
    let labels: Vec<String> = kind.fact(Attribute::Positions)?.items.iter().map(word).collect();
    match labels.as_slice() {
        // A hundred times the largest housing that is sold; anything above is not a number of positions.
        [count] => count
            .parse::<u32>()
            .ok()
            .filter(|count| *count < 100_000)
            .map(|count| vec![(1..=count).map(|number| number.to_string()).collect()]),
        _ => Some(vec![labels]),
    }
}

/// The positions beside, above and below one.
fn neighbours(rows: &[Vec<String>], label: &str) -> Vec<String> {
    let found = rows.iter().enumerate().find_map(|(row, labels)| Some((row, labels.iter().position(|each| each == label)?)));
    let Some((row, column)) = found else { return Vec::new() };
    let at = |row: Option<usize>, column: Option<usize>| rows.get(row?)?.get(column?).cloned();
    let near = [
        at(Some(row), column.checked_sub(1)),
        at(Some(row), Some(column + 1)),
        at(row.checked_sub(1), Some(column)),
        at(Some(row + 1), Some(column)),
    ];
    near.into_iter().flatten().collect()
}

fn fuses(plan: &Plan<'_>, tests: &mut Tests) {
    for (key, facts) in plan.after.articles.iter().filter(|(key, _)| key.kind == Kind::Element) {
        let Some(kind) = facts.get(&FactKey::from(Attribute::Fuse)) else { continue };
        let same = |fact: Attribute| plan.before.fact(key, fact) == facts.get(&FactKey::from(fact));
        if plan.before.articles.contains_key(key) && same(Attribute::Fuse) && same(Attribute::Fitted) {
            continue;
        }
        let out = facts.get(&FactKey::from(Attribute::Fitted)).is_some_and(|fitted| value(fitted) == "false");
        let headline = if out {
            format!("make sure that the holder of fuse `{}` is empty", key.path)
        } else {
            format!("read the rating of fuse `{}`: {}", key.path, value(kind))
        };
        tests.push((When::Open, Proof::Fuse), Some(key), Vec::new(), headline, Vec::new());
    }
}

fn polarity(plan: &Plan<'_>, tests: &mut Tests) {
    let born = plan.after.articles.keys().filter(|key| key.kind == Kind::End && !plan.before.articles.contains_key(key));
    let ends = plan.parts.iter().chain(born);
    let ports: BTreeSet<&Key> = ends
        .filter_map(|end| match plan.after.mate(end)? {
            Item::Thing(port, _) => Some(port),
            Item::Word(_) => None,
        })
        .collect();
    let mut poles: BTreeMap<&str, BTreeSet<(bool, &Item)>> = BTreeMap::new();
    for (key, facts) in plan.after.articles.iter().filter(|(key, _)| key.kind == Kind::Element) {
        let (true, Some(device)) = (facts.contains_key(&FactKey::from(Attribute::Source)), owner(key)) else { continue };
        let is_other = plan.before.articles.get(key) != Some(facts);
        for (pole, is_minus) in [(Attribute::Positive, false), (Attribute::Negative, true)] {
            let Some(item) = facts.get(&FactKey::from(pole)).and_then(|fact| fact.items.first()) else { continue };
            if matches!(item, Item::Thing(port, _) if port.kind == Kind::Port && (is_other || ports.contains(port))) {
                poles.entry(device).or_default().insert((is_minus, item));
            }
        }
    }
    for (device, poles) in poles {
        let said: Vec<String> =
            poles.iter().map(|(is_minus, at)| format!("{} at {}", if *is_minus { "minus" } else { "plus" }, place(at))).collect();
        let headline = format!("check the polarity of `{device}` before it is switched on: {}", list(&said));
        let points = poles.into_iter().map(|(_, at)| at.clone()).collect();
        let at = Key::new(Kind::Device, device);
        tests.push((When::Mated, Proof::Polarity), Some(&at), points, headline, Vec::new());
    }
}

fn interlock(plan: &Plan<'_>, new: &Inventory, touched: &BTreeSet<Key>, tests: &mut Tests) {
    let mut ends: BTreeSet<&Key> = plan.parts.iter().filter(|end| plan.after.articles.contains_key(*end)).collect();
    let places = touched.iter().filter_map(|key| plan.after.leads.get(key)).flat_map(|lead| &lead.places);
    ends.extend(places.filter_map(|at| match at {
        Item::Thing(end, _) if end.kind == Kind::End => Some(end),
        _ => None,
    }));
    for end in ends {
        let housing = plan.after.fact(end, Attribute::Housing).and_then(|fact| fact.items.first());
        let is_mated = matches!(plan.after.mate(end), Some(Item::Thing(mate, _)) if plan.after.articles.contains_key(mate));
        let (Some(Item::Thing(housing, _)), true) = (housing, is_mated) else { continue };
        let Some(kind) = new.things.get(housing) else { continue };
        if kind.fact(Attribute::Interlock).is_none() {
            continue;
        }
        let detail = vec![
            "with the key out, open the interlock contact of this end and leave its power contacts covered".to_owned(),
            "key on, nobody near the ends: the contactors must not pull in; key out before it is closed again".to_owned(),
        ];
        let headline = format!("interlock loop opened at `{}`: the contactors stay open", end.path);
        tests.push((When::Armed, Proof::Interlock), Some(end), Vec::new(), headline, detail);
    }
}

fn modes(new: &Inventory, tests: &mut Tests) {
    let modes: Vec<(&Key, Option<String>)> = new
        .things
        .iter()
        .filter(|(key, _)| key.kind == Kind::Mode)
        .map(|(key, thing)| (key, thing.fact(Attribute::Note).map(value)))
        .collect();
    if modes.is_empty() {
        let headline = "try every function once".to_owned();
        tests.push((When::InService, Proof::Mode), None, Vec::new(), headline, Vec::new());
    }
    for (key, note) in modes {
        let headline = format!("mode `{}`: try each of its functions once", key.path);
        tests.push((When::InService, Proof::Mode), Some(key), Vec::new(), headline, note.into_iter().collect());
    }
}
