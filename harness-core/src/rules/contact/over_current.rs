//! No mated contact carries more than it is rated for beside its loaded neighbours.

use crate::{
    analysis::Analysis,
    arena::IdVec,
    electrical::Charged,
    evidence::charging,
    facts::{landings::LandingUse, mated_pairs::Half},
    finding::{Finding, Level, Weighed},
    model::{End, EndId, Mate, ModeId, PointId},
    network::{EdgeId, EdgeKind},
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::{capacity::counts_from, contact::loaded_factor},
    text::{Name, Span},
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

/// Current below which a contact without a rating carries nothing.
const NOTHING: f64 = 1e-6;
/// Share of a limit by which a computed current may miss it and still count as equal.
const EQUAL: f64 = 1e-6;

/// What a contact is rated for, and what says so.
#[derive(Debug, Clone, Copy)]
struct Rating {
    amps: Ampere,
    place: Span,
    holder: Name,
    /// Where the end names the terminal that sets the limit; `None` if a housing or the partner's terminal does.
    chosen: Option<Span>,
}

/// A mated contact with its worst mode.
#[derive(Debug, Clone, Copy)]
struct Contact {
    end: EndId,
    cavity: PointId,
    edge: EdgeId,
    rating: Option<Rating>,
    worst: Worst,
}

#[derive(Debug, Clone, Copy, Default)]
struct Worst {
    /// Current over what is allowed.
    share: f64,
    amps: Ampere,
    allowed: Ampere,
    loaded: u32,
    mode: Option<ModeId>,
    battery: Charged,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut contacts = contacts(analysis);
    for mode in analysis.electrical().loaded_states() {
        let amps = |contact: &Contact| mode.working_amps(contact.edge, &analysis.network()[contact.edge]).get().abs();
        let mut loaded: IdVec<EndId, u32> = IdVec::of(0, analysis.model().ends().len());
        for contact in &contacts {
            // The share is taken over from the rule for cables.
            let counts_from = contact.rating.map_or(NOTHING, |rating| counts_from().value * rating.amps.get());
            if amps(contact) > counts_from {
                loaded[contact.end] += 1;
            }
        }
        for contact in &mut contacts {
            let Some(rating) = contact.rating.filter(|rating| rating.amps.get() > 0.0) else { continue };
            let loaded = loaded[contact.end];
            let allowed = rating.amps.get() * if loaded > 1 { loaded_factor().value.get() } else { 1.0 };
            let share = amps(contact) / allowed;
            if share > contact.worst.share {
                let (amps, allowed) = (Ampere::new(amps(contact)), Ampere::new(allowed));
                contact.worst = Worst { share, amps, allowed, loaded, mode: Some(mode.id), battery: mode.battery };
            }
        }
    }
    contacts.retain(|contact| contact.worst.share > 1.0 + EQUAL);
    // The edges of one end follow each other, so its contacts do too.
    let mut findings: Vec<Finding> =
        contacts.chunk_by(|a, b| a.end == b.end).filter_map(|contacts| finding(analysis, contacts)).collect();
    findings.extend(analysis.facts().landings().iter().filter_map(|landing| point_finding(analysis, landing)));
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
        .help(format!("share the {amps} between several points, or use a {what} rated {amps} or more"));
    Some(finding.concerns(name))
}

/// Every mated contact, those of one end side by side.
fn contacts(analysis: &Analysis) -> Vec<Contact> {
    let model = analysis.model();
    let edges = analysis.network().edges().filter_map(|(edge, joined)| {
        let EdgeKind::Contact(end) = joined.kind else { return None };
        let halves = [Some(Mate::End(end)), model[end].mate].into_iter().flatten();
        let housings = halves.filter_map(|mate| Half::of(model, mate)).filter_map(|half| {
            let current = half.housing.current?;
            Some(Rating { amps: current.value, place: current.span, holder: half.housing.name, chosen: None })
        });
        let terminals = [(joined.a, true), (joined.b, false)].into_iter().filter_map(|(cavity, own)| {
            let (terminal, named) = analysis.facts().terminal_in(cavity)?;
            let terminal = &model[terminal];
            let current = terminal.current?;
            Some(Rating { amps: current.value, place: current.span, holder: terminal.name, chosen: own.then_some(named) })
        });
        let rating = housings.chain(terminals).reduce(|least, next| if next.amps < least.amps { next } else { least });
        Some(Contact { end, cavity: joined.a, edge, rating, worst: Worst::default() })
    });
    edges.collect()
}

/// One finding for the overloaded contacts of an end, led by the worst.
fn finding(analysis: &Analysis, contacts: &[Contact]) -> Option<Finding> {
    let model = analysis.model();
    let mut worst = contacts.first()?;
    for contact in contacts {
        if contact.worst.share > worst.worst.share {
            worst = contact;
        }
    }
    let Worst { amps, allowed, loaded, mode, battery, .. } = worst.worst;
    let (rating, end): (Rating, &End) = (worst.rating?, &model[worst.end]);
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
    Some(finding.help(format!(
        "share the {amps} between {needed} contacts, or use housings and terminals rated {better} or more per contact"
    )))
}
