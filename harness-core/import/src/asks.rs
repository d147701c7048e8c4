//! Which facts would remove most notes of a report, by number.

use harness_core::Report;
use std::collections::BTreeMap;

/// A fact that is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// What is missing and what to write, in the words of the note.
    pub fact: String,
    /// The things that lack it.
    pub things: Vec<String>,
    /// How many checks wait for it.
    pub checks: usize,
}

/// The facts that most checks wait for, the most first.
#[must_use]
pub fn asks(report: &Report, conductors: usize, most: usize) -> Vec<Ask> {
    let mut by_fact: BTreeMap<String, Ask> = BTreeMap::new();
    for finding in report.findings.iter().filter(|finding| finding.rule == "review/missing-fact") {
        let (checks, fact) = (checks_named(&finding.headline), finding.help.clone());
        let about_all = finding.headline.contains("the design has no ") || finding.headline.contains("no source");
        let things = if about_all { conductors } else { finding.concerns.len() };
        let ask = by_fact.entry(fact.clone()).or_insert_with(|| Ask { fact, things: Vec::new(), checks: 0 });
        if !about_all {
            ask.things.extend(finding.concerns.iter().cloned());
        }
        ask.checks += checks * things.max(1);
    }
    let mut asks: Vec<Ask> = by_fact.into_values().collect();
    for ask in &mut asks {
        ask.things.sort();
        ask.things.dedup();
    }
    asks.sort_by(|one, two| two.checks.cmp(&one.checks).then_with(|| one.fact.cmp(&two.fact)));
    asks.truncate(most);
    asks
}

/// How many checks a headline names: `mating, wires per cavity and voltage class of 3 connectors were not checked` names three.
fn checks_named(headline: &str) -> usize {
    let named = headline.split(" of ").next().unwrap_or("").split(" were not checked").next().unwrap_or("");
    1 + named.matches(", ").count() + named.matches(" and ").count()
}
