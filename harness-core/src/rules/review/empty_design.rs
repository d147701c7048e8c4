//! A design has something to check.

use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    text::Span,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "review/empty-design",
        level: Level::Error,
        since: "0.1.0",
        finds: "a design in which there is nothing to check: no wire, no end and no pin",
        docs: include_str!("empty_design.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (model, design) = (analysis.model(), analysis.design());
    // Where reading reported mistakes, what is absent may be what could not be read.
    if model.points().len() > 0 || model.wires().len() > 0 || model.ends().len() > 0 || !design.mistakes().is_empty() {
        return Vec::new();
    }
    let (lacks, seen, add) = match model.devices().len() {
        0 => ("devices and no wires", "no `devices` and no `looms` in this file or in what it includes", "`devices` and `looms`"),
        _ => (
            "wires, and its devices have no pins",
            "no `looms` and no `ports` in this file or in what it includes",
            "`ports` and `looms`",
        ),
    };
    let Some((file, source)) = design.sources().files().next() else { return Vec::new() };
    let first = source.text().lines().next().map_or(0, str::len) as u32;
    vec![
        RULE.finding(Span::new(file, 0, first), format!("the design has no {lacks}: nothing was checked"), [])
            .label(seen)
            .concerns("design")
            .help(format!(
                "add {add}, or `include` the files that hold them; a file that others include is checked with its design"
            )),
    ]
}
