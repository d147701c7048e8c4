//! A wire is as long as the segments that it runs through.

use crate::{
    analysis::Analysis,
    facts::segment_runs::{Reaching, ShortRun},
    finding::{Finding, Level, Weighed},
    model::Model,
    rules::{Rule, RulePage},
    wording::{agree, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/short-wire",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire or cable that is shorter than the segments of the route that it runs through",
        docs: include_str!("short_wire.md"),
    },
    check,
};

/// Segments that a message names.
const NAMED: usize = 3;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    // Where one segment without nodes decides, `review/missing-fact` asks where the end hangs.
    let known = analysis.facts().short_runs().iter().filter(|run| run.reaching != Reaching::Unknown);
    known.map(|run| finding(model, run)).collect()
}

fn finding(model: &Model, run: &ShortRun) -> Finding {
    let (what, name) = match run.cable {
        Some(cable) => ("cable", model.cable_name(cable)),
        None => ("wire", model.wire_name(run.wire)),
    };
    let (length, route, short) = (run.length.value, run.route, run.route - run.length.value);
    let names: Vec<String> = run.segments.iter().map(|segment| quoted(model.text(model[*segment].name))).collect();
    let headline = format!(
        "{what} `{name}` is {length} long, {short} shorter than the {} {} that it runs through ({route})",
        agree(names.len(), "segment", "segments"),
        list_of_first(&names, NAMED, 0)
    );
    let mut help =
        format!("cut `{name}` to {route} and what its ends need beyond that, or correct `via` or the lengths of the segments");
    let level = match run.reaching {
        Reaching::Never => Level::Error,
        Reaching::Hardly | Reaching::Unknown => {
            help.push_str("; if it leaves one of them midway, write that segment as `at` of its end or splice");
            Level::Warning
        }
    };
    let figures = [Weighed::smaller(length), Weighed::larger(short), Weighed::neither(route)];
    let mut finding = RULE.finding(run.length.span, headline, figures).label(length.to_string()).help(help).concerns(&name);
    for segment in &run.segments {
        if let Some(own) = model[*segment].length {
            finding = finding.figure("segment", format!("`{}`, {}", model.text(model[*segment].name), own.value));
        }
    }
    for segment in run.segments.iter().filter_map(|segment| model[*segment].length).take(NAMED) {
        finding = finding.context(segment.span, "of its route");
    }
    if let Some((twin, long)) = run.twin {
        let twin_name = model.wire_name(twin);
        finding = finding
            .context(long.span, format!("`{twin_name}`, between the same two connectors"))
            .figure("beside it", format!("`{twin_name}`, {}, from and to the same two connectors by the same way", long.value));
    }
    finding.at_level(level)
}
