//! The interlock loop is closed where contactors of voltage class B are to be closed.

use crate::{
    analysis::Analysis,
    evidence::{few_names, in_modes},
    facts::{Facts, loops::OpenLoop},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::{count, list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/loop-open",
        level: Level::Error,
        since: "0.1.0",
        finds: "an interlock loop that is not closed where the contactors are to be closed",
        docs: include_str!("loop_open.md"),
    },
    check,
};

/// Dead ends that are named.
const MOST: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.loops().open.iter().filter_map(|open| finding(facts, open)).collect()
}

fn finding(facts: &Facts, open: &OpenLoop) -> Option<Finding> {
    let model = facts.model();
    let names: Vec<String> = open.bridges.iter().map(|bridge| model.element_name(*bridge)).collect();
    let ends: Vec<String> = open.dead_ends.iter().map(|point| model.point_name(*point)).collect();
    let by: Vec<String> = open.opened_by.iter().map(|element| model.element_name(*element)).collect();
    let when = if open.is_never_closed { String::new() } else { in_modes(model, &open.modes) };
    let closed_by = if by.is_empty() { String::new() } else { format!(": `{}` is open", list_plain(&by)) };
    let at = match ends.as_slice() {
        [] => String::new(),
        ends => format!(", it ends at nothing at {}", few_names(&ends.iter().take(MOST).cloned().collect::<Vec<_>>())),
    };
    let place = open.opened_by.first().or(open.bridges.first())?;
    let what = match names.as_slice() {
        [only] => format!("`{only}`"),
        names => format!("{} and {}", quoted(names.first()?), count(names.len() - 1, "more bridge")),
    };
    let mut finding = RULE
        .finding(model[*place].value_span, format!("the interlock loop over {what} is not closed{when}{closed_by}{at}"), [])
        .label(if by.is_empty() { "no current can flow over it" } else { "open here" });
    for point in open.dead_ends.iter().take(MOST) {
        finding = finding.context(model[*point].span, "the loop goes no further");
    }
    finding = finding.help(if by.is_empty() {
        "lead a wire from one of these ends to the other, so that the loop goes from its controller through every bridge and back"
            .to_owned()
    } else {
        format!("close {} in the modes in which the contactors are closed", list(&by.iter().map(quoted).collect::<Vec<_>>()))
    });
    Some(names.into_iter().chain(ends).chain(by).fold(finding, Finding::concerns))
}

fn list_plain(names: &[String]) -> String {
    names.join("`, `")
}
