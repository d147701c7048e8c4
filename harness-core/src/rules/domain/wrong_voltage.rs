//! Everything gets the voltage of its own domain.

use crate::{
    analysis::Analysis,
    electrical::conductors::drop::load_kind,
    evidence::{domain_figure, in_modes, nominal_words},
    facts::{
        Facts,
        wrong_voltages::{Fed, Wrong, WrongVoltage},
    },
    finding::{Finding, Level, Weighed},
    model::{DomainId, ElementId, ElementKind, Model},
    quantity::{Celsius, Volt},
    rules::{Rule, RulePage},
    standards::{Source, conductor::temperature_ratio, contact, made_for::MadeFor},
    text::Span,
    vocabulary::LoadKind,
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
    // A converter whose input and output are swapped is a fault of its own, and so is a load that has an earth for its return.
    let by_earth = |element: ElementId| facts.loaded_earths().iter().any(|loaded| loaded.load == element);
    let follows = |wrong: &WrongVoltage| {
        let is_swapped = |thing: &Fed| matches!(thing, Fed::Element(element) if facts.is_swapped(*element) || by_earth(*element));
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

/// What a coil or load says of the voltage that it is made for.
struct Made {
    /// As written; empty where it gives none.
    text: String,
    own: Option<MadeFor>,
    is_coil: bool,
    /// The voltage at which a relay pulls in cold.
    pull_in: Option<Volt>,
}

impl Made {
    /// Where the limit of a fault comes from, if it follows from what the thing says itself.
    fn source(&self, model: &Model, wrong: &WrongVoltage) -> Option<&'static Source> {
        if self.own.is_some_and(|own| own.is_range) && wrong.wrong != Wrong::NoWarmPullIn {
            return None;
        }
        match wrong.wrong {
            Wrong::OverOwn => Some(self.own?.takes(model[wrong.domain].service()).source),
            Wrong::NoPullIn if self.pull_in.is_none() => Some(self.own?.coil_needs().source),
            Wrong::NoWarmPullIn => Some(temperature_ratio(Celsius::new(20.0)).source),
            Wrong::NoPullIn | Wrong::UnderOwn | Wrong::OtherKind | Wrong::TooMuch | Wrong::TooLittle => None,
            Wrong::OddPullIn => Some(contact::coil_most().source),
            Wrong::OverCoil | Wrong::HighCoil | Wrong::Joined => None,
        }
    }
}

fn made_of(model: &Model, thing: Fed) -> Option<Made> {
    let Fed::Element(element) = thing else { return None };
    let kind = &model[element].kind;
    let own = kind.made_for().map(|own| own.value);
    let (pull_in, is_relay) = match kind {
        ElementKind::Relay { pull_in, .. } => (pull_in.map(|at| at.value), true),
        ElementKind::Load { .. } | ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => {
            (None, false)
        }
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Switch { .. } => (None, false),
        ElementKind::Disconnect { .. } | ElementKind::Link { .. } => (None, false),
        ElementKind::Converter { .. } | ElementKind::Interlock { .. } => (None, false),
    };
    let is_coil = is_relay || load_kind(kind) == Some(LoadKind::Coil);
    Some(Made { text: own.map_or_else(String::new, |own| own.to_string()), own, is_coil, pull_in })
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
    let made = made_of(model, *things.first()?);
    let pulls_in = made.as_ref().and_then(|made| made.pull_in).unwrap_or(*limit);
    let is_coil = made.as_ref().is_some_and(|made| made.is_coil);
    let what = if is_coil { "the coil " } else { "" };
    let sort = made.as_ref().filter(|_| things.len() == 1).map(|made| made.text.clone()).unwrap_or_default();
    let cold = made.as_ref().and_then(|made| made.pull_in).filter(|cold| cold < limit);
    let (headline, label, help) = match wrong.wrong {
        Wrong::OverOwn => (
            format!(
                "{what}`{name}`{more}, made for {sort}, {gets} {volts}{from}{modes}, {} above its limit",
                Volt::new(volts.get() - limit.get())
            ),
            format!("takes {limit} at most"),
            format!("fit one that is made for the supply that it is on, or feed `{name}` from a supply of {sort}"),
        ),
        Wrong::UnderOwn => (
            format!("`{name}`{more}, made for {sort}, {gets} only {volts}{from}{modes}, and needs {limit}"),
            format!("needs {limit}"),
            format!("fit one that is made for the supply that it is on, or feed `{name}` from a supply of {sort}"),
        ),
        Wrong::OtherKind => {
            let kind = if model[*domain].ac { "alternating" } else { "direct" };
            (
                format!("{what}`{name}`{more}, made for {sort}, {gets} {volts} of {kind} voltage{modes}"),
                format!("made for {sort}"),
                format!("fit one that is made for {kind} voltage, or feed `{name}` from a supply of {sort}"),
            )
        }
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
        Wrong::NoPullIn | Wrong::NoWarmPullIn => (
            format!(
                "the coil `{name}`{more}{} {gets} {volts}{modes}, {} below the {limit} at which it {}",
                if sort.is_empty() { String::new() } else { format!(", made for {sort},") },
                Volt::new(limit.get() - volts.get()),
                if cold.is_some() {
                    "pulls in warm"
                } else if sort.is_empty() {
                    "pulls in"
                } else {
                    "is sure to pull in"
                },
            ),
            cold.map_or_else(|| format!("pulls in at {limit}"), |cold| format!("pulls in at {cold} cold, {limit} warm")),
            if volts.get() < limit.get() / 1.5 && !sort.is_empty() {
                format!("fit one whose coil is made for the supply that it is on, or feed `{name}` from a supply of {sort}")
            } else {
                format!("fit a relay that is sure to pull in at {volts}, or reduce the voltage drop on the way to its coil")
            },
        ),
        Wrong::OverCoil | Wrong::HighCoil => (
            format!(
                "the coil `{name}`{more} {gets} {volts}{modes} and {} in at {pulls_in} already: made for less, it overheats",
                agree(things.len(), "pulls", "pull")
            ),
            format!("made for far less: pulls in at {pulls_in}"),
            format!(
                "fit a relay whose coil is made for {volts}, feed `{name}` from a lower supply, state its `coil-voltage`, or waive this if its datasheet allows {volts} for long"
            ),
        ),
        Wrong::OddPullIn => (
            format!(
                "the coil `{name}`{more}, made for {sort}, pulls in at {pulls_in} by its `pull-in`, {} below the least of such a coil",
                Volt::new(limit.get() - pulls_in.get())
            ),
            format!("no coil for {sort} pulls in below {limit}"),
            format!(
                "correct the `pull-in` or the `coil-voltage` of `{name}` from its datasheet: with a wrong one nobody knows when it switches"
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
    let stated = made.as_ref().and_then(|made| made.own);
    let stated = || stated.into_iter().flat_map(|own| [own.least, own.most]).map(Weighed::neither);
    let weighed: Vec<Weighed> = match wrong.wrong {
        Wrong::TooMuch => own.into_iter().chain([Weighed::larger(volts)]).chain(other.map(nominal)).chain([excess]).collect(),
        Wrong::TooLittle => [nominal(*domain), Weighed::smaller(volts)].into_iter().chain(other.map(nominal)).collect(),
        Wrong::OverOwn => stated().chain([Weighed::larger(volts), excess]).collect(),
        Wrong::UnderOwn => stated().chain([Weighed::smaller(volts), Weighed::larger(limit)]).collect(),
        Wrong::OtherKind => stated().chain([Weighed::larger(volts)]).collect(),
        Wrong::OddPullIn => stated().chain([Weighed::smaller(pulls_in), Weighed::neither(limit), excess]).collect(),
        Wrong::OverCoil | Wrong::HighCoil => {
            vec![Weighed::larger(volts), Weighed::smaller(pulls_in)]
        }
        Wrong::NoPullIn | Wrong::NoWarmPullIn => {
            stated().chain([Weighed::smaller(volts), excess, Weighed::larger(limit)]).collect()
        }
        Wrong::Joined => [nominal(*domain)].into_iter().chain(other.map(nominal)).collect(),
    };
    let mut finding = RULE.finding(span, headline, weighed).label(label).path(wrong.path.clone());
    if !matches!(wrong.wrong, Wrong::Joined | Wrong::OddPullIn) {
        finding = finding.figure("voltage across it", volts).figure("limit", limit);
    }
    if wrong.wrong == Wrong::OverCoil {
        finding = finding.figure("source", contact::coil_most().source);
    }
    // Above what every coil takes it is sure to burn in the end; far above, at once.
    if wrong.wrong == Wrong::HighCoil {
        finding = finding.figure("source", contact::coil_sure().source);
        finding.stated = Level::Warning;
    }
    if let Some(source) = made.as_ref().and_then(|made| made.source(model, wrong)) {
        finding = finding.figure("source", source);
    }
    // A warm coil that still pulls in cold may work for years.
    if wrong.wrong == Wrong::NoWarmPullIn {
        finding.stated = Level::Warning;
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
