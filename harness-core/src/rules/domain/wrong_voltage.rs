//! Everything gets the voltage of its own domain.

use crate::{
    analysis::Analysis,
    evidence::{domain_figure, in_modes, nominal_words},
    facts::{
        Facts,
        wrong_voltages::{Fed, Wrong, WrongVoltage},
    },
    finding::{Finding, Level, Weighed},
    model::{DomainId, Model},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::contact,
    text::Span,
    wording::{agree, and_more},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/wrong-voltage",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load, coil, input or pin that gets the voltage of another domain, or a coil that gets too little to pull in, or far too much",
        docs: include_str!("wrong_voltage.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    // A converter whose input and output are swapped is a fault of its own.
    let follows = |wrong: &WrongVoltage| {
        let is_swapped = |thing: &Fed| matches!(thing, Fed::Element(element) if facts.is_swapped(*element));
        wrong.things.iter().all(is_swapped) || wrong.source.is_some_and(|source| facts.is_swapped(source))
    };
    facts.wrong_voltages().iter().filter(|wrong| !follows(wrong)).filter_map(|wrong| finding(facts, wrong)).collect()
}

/// Things beside the first whose place is shown.
const SHOWN: usize = 6;

/// The name of a thing, where its voltage is written, and where it is.
fn named(model: &Model, thing: Fed) -> (String, Span) {
    match thing {
        Fed::Element(element) => (model.element_name(element), model[element].value_span),
        Fed::Pin(point, pin) => (model.point_name(point), model[pin].domain.map_or(model[point].span, |(_, span)| span)),
    }
}

fn finding(facts: &Facts, wrong: &WrongVoltage) -> Option<Finding> {
    let model = facts.model();
    let WrongVoltage { things, domain, volts, limit, source, other, modes, .. } = wrong;
    let (name, span) = named(model, *things.first()?);
    let own = nominal_words(model, *domain, other.unwrap_or(*domain));
    let made_for = wrong
        .supply
        .map_or_else(|| format!("of {own}"), |supply| format!("of the sensor supply `{}`", model.element_name(supply)));
    let modes = in_modes(model, modes);
    let (more, gets) = (and_more(things.len() - 1, "thing"), agree(things.len(), "gets", "get"));
    let from = match (source, other.filter(|other| other != domain)) {
        (Some(source), Some(other)) => {
            format!(" from `{}` of {}", model.element_name(*source), nominal_words(model, other, *domain))
        }
        (Some(source), None) => format!(" from `{}`", model.element_name(*source)),
        (None, Some(other)) => format!(" from {}", nominal_words(model, other, *domain)),
        (None, None) => String::new(),
    };
    let supply = other.filter(|other| other != domain).map(|other| format!("`{}`", model.text(model[other].name)));
    let away = supply.clone().unwrap_or_else(|| "the supply that it is on".to_owned());
    let text = wrong.supply.map_or_else(|| model.text(model[*domain].name).to_owned(), |supply| model.element_name(supply));
    // The limit of a coil is that many times the voltage at which it pulls in.
    let pulls_in = Volt::new(limit.get() / contact::coil_most().value.get());
    let (headline, label, help) = match wrong.wrong {
        Wrong::TooMuch => (
            format!(
                "`{name}`{more} {made_for} {gets} {volts}{from}{modes}, {} above its limit",
                Volt::new(volts.get() - limit.get())
            ),
            format!("takes {limit} at most"),
            format!(
                "take `{name}` off {away} and feed it from `{text}`, or correct the `domain` of its pins if it is made for {volts}"
            ),
        ),
        Wrong::TooLittle => (
            format!("`{name}`{more} of {own} {gets} only {volts}{from}{modes}"),
            format!("made for {limit}"),
            format!(
                "feed `{name}` from `{text}`, fit one made for the supply that it is on, or correct the `domain` of its pins"
            ),
        ),
        Wrong::NoPullIn => (
            format!(
                "the coil `{name}`{more} {gets} {volts}{modes}, {} below the {limit} at which it pulls in",
                Volt::new(limit.get() - volts.get())
            ),
            format!("pulls in at {limit}"),
            format!("fit a relay that is sure to pull in at {volts}, or reduce the voltage drop on the way to its coil"),
        ),
        Wrong::OverCoil => (
            format!(
                "the coil `{name}`{more} gets {volts}{modes} and pulls in at {pulls_in} already: it was made for less and overheats"
            ),
            format!("made for far less: pulls in at {pulls_in}"),
            format!(
                "fit a relay whose coil is made for {volts}, feed `{name}` from a lower supply, correct its `pull-in`, or waive this if its datasheet allows {volts} for long"
            ),
        ),
        Wrong::Joined => {
            let second = things.get(1).map_or_else(String::new, |thing| named(model, *thing).0);
            let other = nominal_words(model, (*other)?, *domain);
            (
                format!("the supply pins `{name}` of {own} and `{second}` of {other} are joined"),
                "one conductor joins both".to_owned(),
                format!("separate them: feed `{name}` from `{text}`, or correct the `domain` of one of the two pins"),
            )
        }
    };
    let excess = Weighed::larger(Volt::new((volts.get() - limit.get()).abs()));
    let nominal = |domain: DomainId| Weighed::neither(model[domain].nominal);
    let own = wrong.supply.is_none().then(|| nominal(*domain));
    let weighed: Vec<Weighed> = match wrong.wrong {
        Wrong::TooMuch => own.into_iter().chain([Weighed::larger(volts)]).chain(other.map(nominal)).chain([excess]).collect(),
        Wrong::TooLittle => [nominal(*domain), Weighed::smaller(volts)].into_iter().chain(other.map(nominal)).collect(),
        Wrong::OverCoil => {
            vec![Weighed::larger(volts), Weighed::smaller(pulls_in)]
        }
        Wrong::NoPullIn => vec![Weighed::smaller(volts), excess, Weighed::larger(limit)],
        Wrong::Joined => [nominal(*domain)].into_iter().chain(other.map(nominal)).collect(),
    };
    let mut finding = RULE.finding(span, headline, weighed).label(label).path(wrong.path.clone());
    if wrong.wrong != Wrong::Joined {
        finding = finding.figure("voltage across it", volts).figure("limit", limit);
    }
    if wrong.wrong == Wrong::OverCoil {
        finding = finding.figure("source", contact::coil_most().source);
    }
    finding = finding.figure("domain", domain_figure(model, &model[*domain]));
    if let Some(other) = other.filter(|other| other != domain) {
        finding = finding.figure("joined to", domain_figure(model, &model[other]));
    }
    for thing in things.iter().skip(1).take(SHOWN) {
        let (name, span) = named(model, *thing);
        finding = finding.context(span, format!("`{name}` too"));
    }
    finding = finding.help(help);
    Some(things.iter().fold(finding, |finding, thing| finding.concerns(named(model, *thing).0)))
}
