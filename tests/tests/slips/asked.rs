//! What the program says of a slip, rule by rule, until one names what was touched.
//!
//! A whole check makes every fact that any rule asks for, swaps of plugs and single faults among them. Most slips are found by a rule that
//! asks for a few of them, and for one kind of slip it is nearly always the same rule. Only what is quiet is asked of all.

use super::{Said, netlist::Netlist, said_in, sentence, slip::Slip};
use harness_core::{
    Analysis, Checker, Design, MemoryFiles,
    finding::{Finding, Level},
    internals::{
        review::{Scope, judge},
        rules::{Rule, all},
    },
};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::{Mutex, MutexGuard, PoisonError},
    time::{Duration, Instant},
};

/// In which order rules are asked: first those that found slips of the kind before, the last finder first; then the others, those that took
/// longest at the end. It decides when an answer is there, never which.
#[derive(Default)]
pub struct Order(Mutex<Known>);

#[derive(Default)]
struct Known {
    /// By kind of slip.
    finders: BTreeMap<usize, Vec<&'static str>>,
    /// The longest that a rule took, which is when it was the first to ask for a fact.
    longest: BTreeMap<&'static str, Duration>,
}

impl Order {
    fn known(&self) -> MutexGuard<'_, Known> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn rules(&self, kind: usize) -> Vec<&'static Rule> {
        let known = self.known();
        let finders = known.finders.get(&kind).map_or(&[][..], Vec::as_slice);
        let rank = |rule: &&Rule| {
            let name = rule.page.name;
            let found = finders.iter().position(|finder| *finder == name).unwrap_or(finders.len());
            (found, known.longest.get(name).copied().unwrap_or_default())
        };
        let mut rules: Vec<&Rule> = all().collect();
        rules.sort_by_key(rank);
        rules
    }

    fn took(&self, rule: &'static str, time: Duration) {
        let mut known = self.known();
        let longest = known.longest.entry(rule).or_default();
        *longest = time.max(*longest);
    }

    fn found(&self, kind: usize, rule: &'static str) {
        let mut known = self.known();
        let finders = known.finders.entry(kind).or_default();
        finders.retain(|name| *name != rule);
        finders.insert(0, rule);
    }
}

/// What is said of one slip, as a whole check says it.
pub fn said_of(before: &BTreeSet<(Level, String)>, sound: &Netlist, (kind, slip): &(usize, Slip), order: &Order) -> Said {
    let design = Design::load(&MemoryFiles::one("design.yaml", slip.made(sound).written()), "design.yaml");
    let judged = |findings: Vec<Finding>, of: &dyn Fn(&str) -> bool| {
        let scope = Scope { today: None, all_modes: true };
        // Waivers look at what all rules found; of a few findings they would say that they fit none.
        let judged = judge(design.model(), design.sources(), scope, findings).into_iter().filter(|finding| of(finding.rule));
        said_in(before, &judged.map(|finding| sentence(&finding)).collect(), slip)
    };
    if judged(design.mistakes().to_vec(), &|rule| rule.starts_with("format/")) == Said::Here {
        return Said::Here;
    }
    let analysis = Analysis::of_all(&design);
    for rule in order.rules(*kind) {
        let began = Instant::now();
        let found = (rule.check)(&analysis);
        order.took(rule.page.name, began.elapsed());
        if judged(found, &|name| name == rule.page.name) == Said::Here {
            order.found(*kind, rule.page.name);
            return Said::Here;
        }
    }
    said_in(before, &super::sentences(&Checker::new().check(&analysis)), slip)
}
