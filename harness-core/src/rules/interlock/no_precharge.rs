//! No contact closes onto an empty capacitor with nothing that limits the current.

use crate::{
    analysis::Analysis,
    facts::{
        Facts,
        inrush::{Idle, Inrush},
        precharge::Undrawn,
    },
    finding::{Finding, Level, Weighed},
    model::ElementId,
    quantity::Ampere,
    rules::{Rule, RulePage},
    standards::voltage::class_a_limit,
    wording::{agree, list, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "interlock/no-precharge",
        level: Level::Danger,
        since: "0.1.0",
        finds: "contacts that close onto an empty capacitor with no resistor that limits the current in any mode",
        docs: include_str!("no_precharge.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let drawn = facts.inrushes().iter().filter_map(|inrush| finding(facts, inrush));
    drawn.chain(facts.undrawn_precharges().iter().filter_map(|one| undrawn(facts, one))).collect()
}

/// A precharge resistor that limits too little for the contact before it, whatever is empty behind it.
fn undrawn(facts: &Facts, one: &Undrawn) -> Option<Finding> {
    let model = facts.model();
    let amps = one.amps.filter(|amps| *amps > one.makes)?;
    let [contact, resistor, main] = [one.contact, one.resistor, one.main].map(|element| model.element_name(element));
    let ohms = model[one.resistor].kind.resistance()?;
    let excess = Ampere::new(amps.get() - one.makes.get());
    let headline = format!(
        "`{resistor}` of {ohms} lets {amps} through `{contact}` into what is empty behind it, {excess} more than it makes",
    );
    let finding = RULE
        .finding(
            model[one.resistor].value_span,
            headline,
            [Weighed::larger(amps), Weighed::smaller(ohms), Weighed::larger(excess)],
        )
        .label("limits too little")
        .context(model[one.contact].value_span, format!("makes {}", one.makes))
        .help(format!("fit a larger resistor, so that the current at first is within the rating of `{contact}`"));
    Some(finding.concerns(resistor).concerns(contact).concerns(main))
}

fn finding(facts: &Facts, inrush: &Inrush) -> Option<Finding> {
    let model = facts.model();
    let (first, amps, _) = *inrush.contacts.first()?;
    let (capacitor, volts) = (model.element_name(inrush.capacitor), inrush.volts);
    let names: Vec<String> = inrush.contacts.iter().map(|(contact, ..)| model.element_name(*contact)).collect();
    let mut modes: Vec<String> =
        inrush.contacts.iter().map(|(_, amps, mode)| format!("{amps} in `{}`", model.mode_name(*mode))).collect();
    modes.dedup();
    let place = &model[inrush.capacitor];
    let through = list(&names.iter().map(quoted).collect::<Vec<_>>());
    let ohms = |element: ElementId| model[element].kind.resistance();
    let headline = match inrush.resistor.and_then(|resistor| Some((resistor, ohms(resistor)?))) {
        Some((resistor, ohms)) => format!(
            "`{}` of {ohms} limits the current into the empty capacitor `{capacitor}` too little: up to {amps} through {through}",
            model.element_name(resistor)
        ),
        None => format!("nothing limits the current into the empty capacitor `{capacitor}`: up to {amps} through {through}"),
    };
    let limiting = inrush.resistor.and_then(ohms).map(Weighed::smaller);
    let mut finding = RULE
        .finding(model[first].value_span, headline, [Weighed::larger(amps)].into_iter().chain(limiting))
        .label(if inrush.resistor.is_some() { "closes onto it" } else { "closes onto it with no resistor on the way" })
        .context(place.value_span, format!("{} at {volts}", inrush.farad))
        .figure("inrush", list(&modes))
        .figure("resistance on the way", inrush.ohms)
        .help(match inrush.resistor {
            Some(_) => "fit a larger resistor, so that the current at first is within the rating of the contact that closes first".to_owned(),
            None => format!(
                "fit a precharge resistor in the path that closes first, and state a mode in which `{capacitor}` is charged through it alone"
            ),
        })
        .concerns(&capacitor);
    if let Some((resistor, idle)) = inrush.idle {
        let name = model.element_name(resistor);
        let (why, help) = match idle {
            Idle::NeverClosed(contact) => {
                let contact = model.element_name(contact);
                (
                    format!("`{contact}` before it is closed in no mode"),
                    format!("close `{contact}` in a mode before the main contact"),
                )
            }
            Idle::Bridged(contact) => {
                let contact = contact.map_or_else(String::new, |contact| model.element_name(contact));
                (
                    format!("`{contact}` bridges it whenever it is closed"),
                    format!("state a mode in which `{name}` charges the capacitor and `{contact}` is open"),
                )
            }
            Idle::NoWayBack(contact, mode) => {
                let (contact, mode) = (model.element_name(contact), model.mode_name(mode));
                (format!("`{contact}` is open in `{mode}`: no way back"), format!("close `{contact}` in `{mode}` too"))
            }
            Idle::Nothing => (
                "does not bring the capacitor to half of its voltage".to_owned(),
                "switch off what draws current while the capacitor is charged, or fit a smaller resistor".to_owned(),
            ),
        };
        finding = finding.context(model[resistor].value_span, why).help(help).concerns(name);
    }
    if let Some(resistor) = inrush.resistor {
        finding = finding.context(model[resistor].value_span, "limits too little").concerns(model.element_name(resistor));
    }
    if inrush.is_unordered {
        finding.headline = format!(
            "`{capacitor}` is precharged in no mode: whenever its precharge contact is closed, {through} {} too",
            agree(names.len(), "is", "are")
        );
        finding.primary.text = "closes onto it in the same mode".to_owned();
        finding.stated = Level::Error;
    } else if volts <= class_a_limit(false).value {
        finding.stated = Level::Error;
    }
    for (contact, ..) in inrush.contacts.iter().skip(1) {
        finding = finding.context(model[*contact].value_span, "closes onto it too");
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
