//! No mated contact carries more than it is rated for beside its loaded neighbours.

use crate::{
    analysis::Analysis,
    evidence::charging,
    facts::{
        contact_loads::{ContactLoad, ContactRating, ContactWorst},
        landings::LandingUse,
    },
    finding::{Finding, Level, Weighed},
    model::End,
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::contact::loaded_factor,
    wording::{agree, count},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "contact/over-current",
        level: Level::Error,
        since: "0.1.0",
        finds: "a contact that carries more current than it is rated for",
        docs: include_str!("over_current.md"),
    },
    check,
};

/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let over: Vec<ContactLoad> =
        facts.contact_loads().iter().filter(|contact| contact.worst.share > 1.0 + EQUAL).copied().collect();
    // The edges of one end follow each other, so its contacts do too.
    let mut findings: Vec<Finding> =
        over.chunk_by(|a, b| a.end == b.end).filter_map(|contacts| finding(analysis, contacts)).collect();
    findings.extend(facts.landings().iter().filter_map(|landing| point_finding(analysis, landing)));
    findings
}

/// The finding about a screw, tab or clamp through which more flows than it is rated for, all its wires together.
fn point_finding(analysis: &Analysis, landing: &LandingUse) -> Option<Finding> {
    let model = analysis.model();
    let kind = &model[landing.kind];
    let rated = kind.current?;
    let (amps, mode) = analysis.facts().landing_current(landing)?;
    if amps.get() <= rated.value.get() * (1.0 + EQUAL) {
        return None;
    }
    let excess = Ampere::new(amps.get() - rated.value.get());
    let (what, name) = (landing.fixing.noun(), model.port_name(landing.port));
    let mut finding = RULE
        .finding(
            model[landing.port].housing_span,
            format!("{what} `{name}` carries {amps}, {excess} above its limit of {}", rated.value),
            [Weighed::larger(amps), Weighed::larger(excess), Weighed::smaller(rated.value)],
        )
        .label(format!("carries {amps}"))
        .context(rated.span, format!("`{}` is rated {}", model.text(kind.name), rated.value));
    for end in &landing.wires {
        finding = finding.context(end.span, format!("wire `{}` goes to it", model.wire_name(end.wire)));
    }
    finding = finding
        .figure("current", amps)
        .figure("rating", format!("{}; `{}`", rated.value, model.text(kind.name)))
        .figure("mode", model.mode_name(mode))
        .help(format!("the {what} must be rated for the {amps} that flow through it: fit another kind, or share the current between several points"));
    Some(finding.concerns(name))
}

/// One finding for the overloaded contacts of an end, led by the worst.
fn finding(analysis: &Analysis, contacts: &[ContactLoad]) -> Option<Finding> {
    let model = analysis.model();
    let mut worst = contacts.first()?;
    for contact in contacts {
        if contact.worst.share > worst.worst.share {
            worst = contact;
        }
    }
    let ContactWorst { amps, allowed, loaded, mode, battery, .. } = worst.worst;
    let (rating, end): (ContactRating, &End) = (worst.rating?, &model[worst.end]);
    let excess = Ampere::new(amps.get() - allowed.get());
    let name = model.point_name(worst.cavity);
    let others = match contacts.len() - 1 {
        0 => String::new(),
        more => format!("; {} of the connector {} overloaded", count(more, "more contact"), agree(more, "is", "are")),
    };
    let holder = model.text(rating.holder);
    let mut finding = RULE
        .finding(
            rating.chosen.unwrap_or(end.housing_span),
            format!("contact `{name}` carries {amps}, {excess} above its limit of {allowed}{others}"),
            [Weighed::larger(amps), Weighed::larger(excess), Weighed::smaller(allowed)],
        )
        .label(format!("carries {amps} in its worst contact"))
        .context(rating.place, format!("`{holder}` is rated {} with one contact loaded", rating.amps))
        .concerns(&name);
    for contact in contacts {
        for (_, edge, _) in analysis.network().around(contact.cavity) {
            let Some(id) = edge.wire() else { continue };
            let wire = &model[id];
            let place = if wire.from == Some(contact.cavity) { wire.from_span } else { wire.to_span };
            let cavity = model.text(model[contact.cavity].label);
            let text = format!("cavity `{cavity}`, wire `{}`: {} in the contact", model.wire_name(id), contact.worst.amps);
            finding = finding.context(place, text);
        }
        if contact.cavity != worst.cavity {
            finding = finding.concerns(model.point_name(contact.cavity));
        }
    }
    finding = finding.figure("current", amps).figure("rating", format!("{}; `{holder}`", rating.amps));
    if loaded > 1 {
        finding = finding.figure("factor", format!("with {loaded} contacts loaded {}", loaded_factor()));
    }
    if let Some(mode) = mode {
        finding = finding.figure("mode", format!("{}{}", model.mode_name(mode), charging(analysis.facts(), mode, battery)));
    }
    let factor = loaded_factor().value.get();
    let needed = (amps.get() / (rating.amps.get() * factor)).ceil().max(2.0);
    // Rounded up to a tenth, so that the rating that is printed does carry the current.
    let better = Ampere::new((amps.get() / if loaded > 1 { factor } else { 1.0 } * 10.0).ceil() / 10.0);
    let needed = needed as usize;
    let room = analysis.facts().wire_ends().free_positions(model, worst.end).len();
    let must = format!("a contact here must be rated {better} in its housing and its terminal");
    Some(finding.help(if room + 1 >= needed {
        format!("{must}; or share the {amps} between {needed} contacts of this kind, where the pins behind them are meant for it")
    } else {
        format!("{must}; no {needed} contacts of this connector are free to share the current")
    }))
}
