//! A coil that is switched off has somewhere to put its energy.

use crate::{
    analysis::Analysis,
    electrical::coils::{Across, Coil, Driver},
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    vocabulary::Suppression,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/unsuppressed-coil",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a coil without suppression on a driver that does not clamp, or with its diode the wrong way round",
        docs: include_str!("unsuppressed_coil.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let coils = analysis.facts().coils().iter();
    coils.filter_map(|coil| reversed(analysis, coil).or_else(|| bare(analysis, coil))).collect()
}

/// A diode that conducts while the coil is fed.
fn reversed(analysis: &Analysis, coil: &Coil) -> Option<Finding> {
    let model = analysis.model();
    let Across::Reversed(diode) = coil.across else { return None };
    let edge = &analysis.network()[coil.edge];
    if analysis.electrical().modes().any(|mode| mode.is_shorted(edge.a) || mode.is_shorted(edge.b)) {
        return None;
    }
    let (name, coil_name) = (model.element_name(diode), model.element_name(coil.element));
    let finding = RULE
        .finding(model[diode].value_span, format!("the diode `{name}` conducts when the coil `{coil_name}` is fed"), [])
        .label("its cathode is at the negative side of the coil")
        .context(model[coil.element].value_span, "this coil")
        .help(format!("reverse `{name}`, so that it blocks while the coil is fed"))
        .concerns(name)
        .concerns(coil_name);
    Some(finding)
}

/// A coil with nothing that takes its voltage.
fn bare(analysis: &Analysis, coil: &Coil) -> Option<Finding> {
    let model = analysis.model();
    if coil.own != Some(Suppression::Nothing) || coil.across != Across::Nothing {
        return None;
    }
    let by = match coil.driver {
        Driver::Pin(point) => model.point_name(point),
        Driver::Contact(element) => model.element_name(element),
        Driver::Unknown | Driver::Clamped => return None,
    };
    let name = model.element_name(coil.element);
    let edge = &analysis.network()[coil.edge];
    let mut finding = RULE
        .finding(
            model[coil.element].value_span,
            format!("nothing limits the voltage of the coil `{name}` when `{by}` switches it off"),
            [],
        )
        .label("no suppression, and its driver does not clamp")
        .help(format!(
            "fit a diode or a clamp at the coil, the cathode of a diode at `{}`, or switch it by an output that clamps",
            model.point_name(edge.a)
        ))
        .concerns(name);
    let place = match coil.driver {
        Driver::Pin(point) => Some(model[point].span),
        Driver::Contact(element) => Some(model[element].value_span),
        Driver::Unknown | Driver::Clamped => None,
    };
    if let Some(place) = place {
        finding = finding.context(place, "switches it");
    }
    Some(finding.concerns(by))
}
