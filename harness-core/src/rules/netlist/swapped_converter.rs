//! The input of a converter is on the side that feeds it.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    evidence::{crossed_poles, in_modes, sides_swapped},
    facts::{
        Facts,
        swapped_converters::{Sign, SwappedConverter},
    },
    finding::{Finding, Level, Weighed},
    model::DomainId,
    rules::{Rule, RulePage},
    standards::contact,
    wording::and_more,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/swapped-converter",
        level: Level::Error,
        since: "0.1.0",
        finds: "a converter or charger whose input and output are swapped",
        docs: include_str!("swapped_converter.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // An input that is fed the wrong way round takes nothing either: `netlist/reversed-polarity` says so.
    let is_reversed = |swapped: &SwappedConverter| {
        let [plus, minus] = swapped.input;
        let across = |mode: &ModeState| mode.volts(plus).get() - mode.volts(minus).get();
        swapped.sign == Sign::Unfed && facts.electrical().modes().any(|mode| across(mode) < -contact::diode_drop().value.get())
    };
    facts.swapped_converters().iter().filter(|swapped| !is_reversed(swapped)).map(|swapped| finding(facts, swapped)).collect()
}

fn finding(facts: &Facts, swapped: &SwappedConverter) -> Finding {
    let model = facts.model();
    let name = model.element_name(swapped.converter);
    let source = swapped.source.map(|source| model.element_name(source));
    let by = source.as_deref().map_or_else(String::new, |source| format!(" by `{source}`"));
    let domain = |id: DomainId| format!("`{}`", model.text(model[id].name));
    let modes = in_modes(model, &swapped.modes);
    let (why, weighed) = match swapped.sign {
        Sign::Volts { gives, input, output } => (
            format!("it gives {gives}, has {input} at its input, and its output is held at {output}{by}{modes}"),
            vec![Weighed::neither(gives), Weighed::neither(input), Weighed::neither(output)],
        ),
        Sign::Domains { input, output } => (
            format!("its input is made for {} and joined to {}, its output the other way round", domain(input), domain(output)),
            Vec::new(),
        ),
        Sign::Unfed => (format!("nothing feeds its input, and its output is fed{by}"), Vec::new()),
    };
    let [plus, minus] = swapped.input.map(|point| model.point_name(point));
    let [out, back] = swapped.output.map(|point| model.point_name(point));
    let crossed = crossed_poles(facts, swapped.input, swapped.output);
    // One pole of each side alone: the other wires are where they belong.
    let (what, move_them) = match crossed.as_slice() {
        [[one, other]] if is_one_of_each(swapped) => {
            let (one, other) = (model.point_name(*one), model.point_name(*other));
            (
                format!("a lead of the input and one of the output of `{name}` are swapped, at `{one}` and `{other}`"),
                format!("swap what is led to `{one}` and `{other}`, and leave the other wires where they are"),
            )
        }
        _ => (
            format!("input and output of `{name}` are swapped"),
            format!("move the wires at `{plus}` and `{minus}` to `{out}` and `{back}`, and those to the first"),
        ),
    };
    let mut finding = RULE
        .finding(model[swapped.converter].value_span, format!("{what}: {why}"), weighed)
        .label("`from` is its input, `to` its output")
        .help(format!("{move_them}; if the device is wired as meant, correct `from` and `to` of `{name}`"))
        .remedy(sides_swapped(facts, &crossed))
        .concerns(name);
    if let Some(source) = swapped.source {
        finding = finding.context(model[source].value_span, "feeds its output").concerns(model.element_name(source));
    }
    if let Some((first, rest)) = swapped.loads.split_first() {
        let more = and_more(rest.len(), "load");
        finding = finding.figure("without voltage", format!("`{}`{more}, at its input", model.element_name(*first)));
    }
    swapped.loads.iter().fold(finding, |finding, load| finding.concerns(model.element_name(*load)))
}

/// Whether input and output have no pole in common.
fn is_one_of_each(swapped: &SwappedConverter) -> bool {
    swapped.input.iter().all(|pole| !swapped.output.contains(pole))
}
