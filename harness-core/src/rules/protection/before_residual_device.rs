//! What is fed from mains with a residual-current device is behind it.

use crate::{
    analysis::Analysis,
    facts::residual::BeforeResidual,
    finding::{Finding, Level},
    rules::{Rule, RulePage},
    wording::count_of,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "protection/before-residual-device",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a socket or load whose line and neutral are both taken from before the residual-current device",
        docs: include_str!("before_residual_device.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().before_residual().iter().map(|before| finding(analysis, before)).collect()
}

fn finding(analysis: &Analysis, before: &BeforeResidual) -> Finding {
    let model = analysis.model();
    let user = before.user;
    let name = match user.load {
        Some(load) => model.element_name(load),
        None => {
            model.device_at(user.line).map_or_else(|| model.point_name(user.line), |device| model.device_name(device).to_owned())
        }
    };
    let (place, what) = match user.load {
        Some(load) => (model[load].value_span, "load"),
        None => (model[user.line].span, "socket"),
    };
    let pole = model.element_name(before.pole);
    let mut finding = RULE
        .finding(place, format!("{what} `{name}` is fed from before the residual-current device of `{pole}`: it does not protect it"), [])
        .label(format!("line and neutral come from `{}` past no pole of it", model.element_name(before.source)))
        .context(model[before.pole].span, format!("a pole of it; {} behind it", count_of(before.behind, "user is", "users are")))
        .figure("effect", "a fault to a case, or a hand on a live part, does not trip it")
        .help(format!(
            "take line and neutral of `{name}` from behind the device; if it is meant to be without, or has a device of its own, accept this with a waiver"
        ))
        .concerns(name)
        .concerns(pole)
        .concerns(model.point_name(user.line));
    // A load that is wired for good needs one in some installations only; a socket for hand-held appliances does in nearly all.
    if user.load.is_some() {
        finding.stated = Level::Note;
    }
    finding
}
