//! What must open a contact does open it.

use crate::{
    analysis::Analysis,
    facts::{Facts, stop_paths::StaysClosed},
    finding::{Finding, Level},
    model::OpenedBy,
    rules::{Rule, RulePage},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/stays-closed",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a contact that stays closed in a mode, or with something open, that must open it (`opens`)",
        docs: include_str!("stays_closed.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.stay_closed().iter().map(|one| finding(facts, one)).collect()
}

fn finding(facts: &Facts, one: &StaysClosed) -> Finding {
    let model = facts.model();
    let contact = model.element_name(one.contact);
    let mode = model.mode_name(one.mode);
    let (by, headline, help) = match one.by {
        OpenedBy::Mode(_) => (
            None,
            format!("`{contact}` is closed in `{mode}`, and must be open there"),
            format!("open what feeds the coil of `{contact}` in `{mode}`, or the contact itself"),
        ),
        OpenedBy::Element(element) => {
            let name = model.element_name(element);
            let headline = if one.is_open_anyway {
                format!("`{contact}` is closed in `{mode}` though `{name}`, which must open it, is open")
            } else {
                format!("`{contact}` stays closed in `{mode}` with `{name}` open, which must open it")
            };
            let help = format!(
                "lead the supply of the coil of `{contact}` through `{name}`, or lead `{name}` to the controller that drives it"
            );
            (Some(name), headline, help)
        }
        OpenedBy::Cover(cover) => {
            let name = model.cover_name(cover);
            let why = if one.is_unsensed { ": no interlock is in it" } else { "" };
            (
                Some(name.clone()),
                format!("`{contact}` stays closed in `{mode}` with `{name}` off, which must open it{why}"),
                format!(
                    "fit an interlock to `{name}` (`of: {}`) in the supply of the coil of `{contact}`",
                    model.text(model[cover].name)
                ),
            )
        }
    };
    let mut finding = RULE
        .finding(one.span, headline, [])
        .label("must be open then")
        .context(model[one.contact].value_span, "stays closed")
        .help(help)
        .concerns(contact);
    if let OpenedBy::Element(element) = one.by {
        finding = finding.context(model[element].value_span, "opens in vain");
    }
    by.into_iter().fold(finding, Finding::concerns)
}
