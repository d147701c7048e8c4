//! A floating voltage domain is not tied to the chassis.

use crate::{
    analysis::Analysis,
    evidence::{at_joint, domain_words, in_modes},
    facts::{Joint, second_bonds::SecondBond},
    finding::{Finding, Level, Weighed},
    model::{Domain, Model},
    network::Potential,
    rules::{Rule, RulePage},
    vocabulary::Reference,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/chassis-tied",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a floating voltage domain tied to the chassis, or the neutral of the grid bonded a second time by a contact",
        docs: include_str!("chassis_tied.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let mut findings = Vec::new();
    let (facts, pins) = (analysis.facts(), analysis.facts().pins());
    // Where the earth is swapped with a conductor of the domain, that is the fault.
    let is_swapped = |joint: &&Joint| [joint.domain.1, joint.other.1].iter().any(|at| facts.is_of_swapped_earth(pins.run(*at)));
    for joint in facts.chassis_ties().iter().filter(|joint| !is_swapped(joint)) {
        let domain = &model[joint.domain.0];
        let ground = if joint.other.0 == Potential::Earth { "protective earth" } else { "the chassis" };
        let floating = if domain.reference == Reference::Floating { "floating domain" } else { "domain" };
        let words = domain_words(model, domain);
        let headline = |what: &str| format!("{floating} {words} is tied to {ground} by {what}");
        let name = model.text(domain.name);
        let help = match domain.reference {
            // Its neutral is earthed at its supply, and has to be.
            Reference::Earth => format!(
                "separate it from {ground} here: the neutral of `{name}` is joined to the earth where it is made, and at no other place"
            ),
            Reference::Floating | Reference::Chassis => format!(
                "separate it from {ground}: both poles of `{name}` stay isolated; a measuring path needs its least isolation resistance"
            ),
        };
        findings.push(at_joint(facts, &RULE.page, joint, headline).help(help));
    }
    findings.extend(model.domains().filter(|(_, domain)| is_on_chassis(domain)).map(|(_, domain)| on_chassis(model, domain)));
    findings.extend(analysis.facts().second_bonds().iter().map(|bond| second_bond(analysis, bond)));
    findings
}

/// Whether direct voltage of class B states the chassis as its reference.
fn is_on_chassis(domain: &Domain) -> bool {
    domain.reference == Reference::Chassis && domain.is_class_b() && !domain.ac
}

/// A domain of class B that is meant to be on the chassis.
fn on_chassis(model: &Model, domain: &Domain) -> Finding {
    let name = model.text(domain.name);
    let mut finding = RULE
        .finding(
            domain.span,
            format!("{} has the chassis as its reference", domain_words(model, domain)),
            [Weighed::larger(domain.max)],
        )
        .label("direct voltage of class B keeps off the chassis")
        .figure("least isolation from the chassis", domain.least_isolation())
        .help(format!("write `reference: floating` at `{name}`, and lead neither of its poles to the chassis"))
        .concerns(name);
    finding.stated = Level::Error;
    finding
}

/// A contact that bonds the neutral of the grid a second time.
fn second_bond(analysis: &Analysis, bond: &SecondBond) -> Finding {
    let model = analysis.model();
    let (name, source) = (model.element_name(bond.element), model.element_name(bond.source));
    RULE.finding(
        model[bond.element].value_span,
        format!("`{name}` joins the neutral of `{source}` to protective earth{}", in_modes(model, &bond.modes)),
        [],
    )
    .label("a second bond: the grid has its own where it comes from")
    .context(model[bond.source].span, "feeds this neutral")
    .figure("effect", "the earth carries current of the neutral, and a residual-current device before it trips, or does not see all of a fault")
    .help(format!("let `{name}` open while `{source}` feeds: the bond belongs to what makes mains on board, and holds while that alone feeds"))
    .concerns(name)
    .concerns(source)
}
