//! The rework order: what hands do, in which order, to turn what is built to one design into what another asks for.
//!
//! `bench_state` is what hands find, `plan` what becomes of each thing, `disassemble`, `assemble` and `close_up` the steps, `apply` does them to
//! what is built: that the steps lead from the old to the new is a property that tests hold. An order is not a safety certificate.

mod apply;
mod assemble;
mod bench_state;
mod close_up;
mod disassemble;
mod on_paper;
mod phrases;
mod plan;
mod reach;
mod relabel;
mod retest;
mod steps;

pub use apply::{Action, StepError};
pub use bench_state::{BenchState, Lead};
pub use on_paper::OnPaper;
pub use retest::{Proof, Test, When};
pub use steps::{Stage, Step};

use self::{bench_state::Whole, plan::Plan, reach::Reach, steps::Steps};
use super::{Edits, Fact, Item, Key, Kind, Revision};
use crate::format::Attribute;
use std::collections::{BTreeMap, BTreeSet};

/// What a label says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Label {
    /// The name or number of a thing.
    Name,
    /// A signal at a pin or stud.
    Signal,
    /// The value beside a fuse's holder.
    Legend,
}

/// A label that says something else.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LabelChange {
    /// The thing, by its new name.
    pub key: Key,
    /// What the label says.
    pub label: Label,
    /// What it said; `None` where there was none.
    pub old: Option<String>,
    /// What it says now.
    pub new: Option<String>,
}

/// A rework order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rework {
    /// What must be known before the first step.
    pub cautions: Vec<String>,
    /// What hands do, in this order. Empty if nothing that is built changes.
    pub steps: Vec<Step>,
    /// What is measured and tried again.
    pub tests: Vec<Test>,
    /// Labels that change; the steps say so too.
    pub labels: Vec<LabelChange>,
    /// What changes on paper only.
    pub paper: Vec<OnPaper>,
}

impl Rework {
    /// What is built after all steps.
    ///
    /// # Errors
    /// The first step that hands could not do, and why.
    pub fn apply(&self, mut built: BenchState) -> Result<BenchState, StepError> {
        for step in &self.steps {
            built.take(step)?;
        }
        for paper in &self.paper {
            for action in &paper.actions {
                built.act(action).map_err(|reason| StepError { step: 0, headline: paper.headline.clone(), reason })?;
            }
        }
        Ok(built)
    }

    /// Whether nothing that is built changes.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }
}

/// The rework order from `old` to `new`, whose difference is `edits`.
///
/// Cost: linear in the size of the designs but for logarithms, and in the number of edits.
#[must_use]
pub fn rework(old: Revision<'_>, new: Revision<'_>, edits: &Edits) -> Rework {
    let (reach_old, reach_new) = (|| Reach::of(old.design), || Reach::of(new.design));
    let (old, new) = (old.inventory, new.inventory);
    let (old_whole, new_whole) = (Whole::of(old), Whole::of(new));
    let (built, after) = (BenchState::of_whole(&old_whole), BenchState::of_whole(&new_whole));
    let names = relabel::names(&old_whole, new, edits);
    let mut before = built.clone();
    // Names are unique by the way they were found; if they were not, things come and go instead of being renamed.
    let is_named = before.act(&Action::Relabel(names.clone().into_iter().collect())).is_ok();
    let plan = Plan::new(&before, &after);
    let mut work = Steps::default();
    if is_named {
        relabel::steps(&names, edits, &mut work);
    }
    disassemble::unmate(&plan, &mut work);
    disassemble::open(&plan, &mut work);
    disassemble::take_out(&plan, &mut work);
    disassemble::housings(&plan, new, &mut work);
    assemble::fit(&plan, &mut work);
    assemble::put_in(&plan, &mut work);
    close_up::close(&plan, &mut work);
    close_up::mate(&plan, new, &mut work);
    let labels = labels(&plan, edits);
    let paper = on_paper::paper(&old_whole, &new_whole, edits, &plan);
    if work.is_empty() {
        return Rework { cautions: cautions(false), paper, labels, ..Rework::default() };
    }
    let (reach_old, reach_new) = (reach_old(), reach_new());
    let mut tests = Vec::new();
    if work.need_tools() {
        tests = retest::tests(&plan, new, &reach_new);
        let mut isolated = Steps::default();
        disassemble::make_safe(&old_whole, &built, &reach_old, &mut isolated);
        let keys = isolated.isolated().into_iter().map(|key| names.get(&key).cloned().unwrap_or(key)).collect::<Vec<_>>();
        close_up::put_back(&plan, &keys, &reach_new, &tests, &mut isolated);
        work.extend(isolated);
        if let Some(range) = retest::range(&tests, When::Open) {
            let headline = format!("carry out {range}");
            let detail = vec!["with the ends still unmated; fix whatever fails before anything is mated".to_owned()];
            work.push(Stage::TestOpen, None, headline, detail, Vec::new());
        }
    }
    ground_leads(&plan, &names, &mut work);
    let mut high = high(&reach_old, &built);
    // The steps speak the names of the new design, what is off those of the old.
    high.extend(high.clone().iter().filter_map(|key| names.get(key).cloned()));
    high.extend(self::high(&reach_new, &after));
    work.mark(|key| high.contains(key));
    Rework { cautions: cautions(!high.is_empty()), steps: work.numbered(), tests, labels, paper }
}

/// What is of voltage class B: wires, the ends that they are in, the segments that they run through, sources, and the boxes that hold any of
/// it with all that is in them.
fn high(reach: &Reach, built: &BenchState) -> BTreeSet<Key> {
    let mut high = BTreeSet::new();
    for (key, lead) in built.leads.iter().filter(|(key, _)| reach.is_high(built, key)) {
        high.insert(key.clone());
        high.extend(built.way(key).into_iter().filter(|part| part.kind == Kind::Segment));
        high.extend(lead.places.iter().filter_map(|place| plan::thing(place, Kind::End)));
    }
    high.extend(built.articles.keys().filter(|key| reach.is_high_source(key) || reach.is_in_high_box(key)).cloned());
    high
}

/// A ring on the ground stud of a low-voltage source comes off and goes on with its source, not a second time in the steps of its loom.
fn ground_leads(plan: &Plan<'_>, names: &BTreeMap<Key, Key>, work: &mut Steps) {
    let old_name = |key: &Key| names.iter().find(|(_, new)| *new == key).map_or_else(|| key.clone(), |(old, _)| old.clone());
    let new_name = |key: &Key| names.get(key).cloned().unwrap_or_else(|| key.clone());
    let ground = |built: &BenchState, source: &Key| {
        let pole = built.fact(source, Attribute::Negative).and_then(|fact| fact.items.first());
        pole.and_then(|pole| plan::thing(pole, Kind::Port)).filter(|port| built.fact(port, Attribute::Stud).is_some())
    };
    let is_on = |built: &BenchState, end: &Key, stud: Option<Key>| {
        stud.is_some() && built.mate(end).and_then(Item::thing) == stud.as_ref()
    };
    work.merge(Stage::Unmate, Stage::MakeSafe, |source, end| {
        is_on(plan.before, end, ground(plan.before, &new_name(source))).then(|| Action::Part(old_name(end)))
    });
    work.merge(Stage::Mate, Stage::PutBack, |source, end| {
        is_on(plan.after, end, ground(plan.after, source)).then(|| Action::Join(end.clone()))
    });
}

fn cautions(high: bool) -> Vec<String> {
    let mut said = Vec::new();
    if high {
        said.push("the design has voltage class B (above 60 V DC or 30 V AC): work on it is for trained people only; isolate, lock against reconnection and prove the absence of voltage before touching anything".to_owned());
    }
    said.push("local codes and the rules of the workshop take precedence over this order".to_owned());
    said.push("the order assumes that the old looms are built as their design says: look before you cut".to_owned());
    said.push("a rework order is no safety certificate: it covers what the two designs say, nothing else".to_owned());
    said
}

fn labels(plan: &Plan<'_>, edits: &Edits) -> Vec<LabelChange> {
    let mut found: Vec<LabelChange> = edits
        .renamed
        .iter()
        .map(|renamed| LabelChange {
            key: renamed.new.clone(),
            label: Label::Name,
            old: Some(renamed.old.shown().to_owned()),
            new: Some(renamed.new.shown().to_owned()),
        })
        .collect();
    let mut change = |key: &Key, label: Label, old: Option<&Fact>, new: Option<&Fact>| {
        if old != new {
            found.push(LabelChange { key: key.clone(), label, old: old.map(phrases::value), new: new.map(phrases::value) });
        }
    };
    let (before, after) = (plan.before, plan.after);
    for key in before.labels.keys().filter(|key| close_up::is_labelled(plan, key)) {
        change(key, Label::Signal, before.labels.get(key), after.labels.get(key));
    }
    for key in after.labels.keys().filter(|key| !before.labels.contains_key(key) && close_up::is_labelled(plan, key)) {
        change(key, Label::Signal, None, after.labels.get(key));
    }
    for key in after.articles.keys().filter(|key| key.kind == Kind::Element) {
        change(key, Label::Legend, before.fact(key, Attribute::Fuse), after.fact(key, Attribute::Fuse));
    }
    found.sort();
    found
}
