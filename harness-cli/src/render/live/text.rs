//! What is live as text: a block for each mode.

use crate::{
    phrase::counted,
    render::{
        Checked,
        kit::{
            blocks::{flow, heading},
            caution::caution,
            printable,
        },
    },
    terminal::Look,
};
use harness_core::inspect::{ChargedPart, Live, LiveContact, LiveMode, OpenEffect};
use std::io::{self, Write};

/// Writes a block for each mode, then what was taken for granted.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, live: &Live, look: Look, out: &mut dyn Write) -> io::Result<()> {
    heading(&format!("live parts of {}", checked.shown(&checked.root)), look, out)?;
    for altered in &live.altered {
        flow("", "  ", &format!("with: {altered}"), look, out)?;
    }
    for mode in &live.modes {
        writeln!(out)?;
        block(mode, look, out)?;
    }
    writeln!(out)?;
    for assumed in &live.assumed {
        flow("assumed: ", "  ", assumed, look, out)?;
    }
    for unknown in &live.unknown {
        flow("not known: ", "  ", unknown, look, out)?;
    }
    if !live.assumed.is_empty() || !live.unknown.is_empty() {
        writeln!(out)?;
    }
    caution(look, out)
}

fn block(mode: &LiveMode, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let safe = if mode.is_touch_safe { ", to be safe to touch" } else { "" };
    heading(&format!("{}{safe}", printable(&mode.name)), look, out)?;
    if let Some(effect) = &mode.effect {
        opened(effect, look, out)?;
    }
    let controller = mode.effect.as_ref().and_then(|effect| effect.controller.as_ref());
    let can = match (&mode.effect, controller) {
        (Some(_), Some(controller)) => format!("can be touched until `{controller}` lets go"),
        (Some(_), None) => "can be touched then".to_owned(),
        (None, _) => "can be touched".to_owned(),
    };
    if mode.standing.is_empty() {
        flow("  ", "    ", &format!("{can} above 60 V DC or 30 V AC: nothing"), look, out)?;
    } else {
        flow("  ", "    ", &format!("{can} above 60 V DC or 30 V AC:"), look, out)?;
        contacts(&mode.standing, look, out)?;
    }
    if let Some(effect) = mode.effect.as_ref().filter(|effect| effect.controller.is_some()) {
        let nothing = if effect.once_let_go.is_empty() { " nothing" } else { "" };
        flow("  ", "    ", &format!("can be touched once it has:{nothing}"), look, out)?;
        contacts(&effect.once_let_go, look, out)?;
    }
    if mode.tried > 0 {
        let tried = counted(mode.tried, "plug or cover").replace("plug or covers", "plugs and covers");
        if mode.steps.is_empty() {
            flow("  ", "    ", &format!("after any one of {tried} of class B is opened by hand: nothing more"), look, out)?;
        }
        for step in &mode.steps {
            flow("  ", "    ", &format!("with `{}` {}:", step.opened, step.done), look, out)?;
            contacts(&step.contacts, look, out)?;
            for part in &step.charged {
                flow("    ", "      ", &charged(part), look, out)?;
            }
        }
    }
    if mode.inside.is_empty() {
        flow("  ", "    ", "inside the boxes: nothing", look, out)?;
    } else {
        flow("  ", "    ", "inside the boxes, whoever opens them:", look, out)?;
        contacts(&mode.inside, look, out)?;
    }
    for part in &mode.charged {
        flow("  ", "    ", &format!("stays charged: {}", charged(part)), look, out)?;
    }
    Ok(())
}

fn opened(effect: &OpenEffect, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let lists = |names: &[String]| names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let text = match (effect.has_loop, effect.loop_opened.as_slice()) {
        (false, _) => "the design has no interlock loop".to_owned(),
        (true, []) => "the interlock loop stays closed".to_owned(),
        (true, bridges) => format!("the interlock loop opens (over {})", lists(bridges)),
    };
    flow("  ", "    ", &text, look, out)?;
    if effect.dropped.is_empty() && effect.stay.is_empty() {
        return flow("  ", "    ", "no contactor of voltage class B is closed in this mode", look, out);
    }
    if !effect.dropped.is_empty() {
        flow("  ", "    ", &format!("let go, as computed: {}", lists(&effect.dropped)), look, out)?;
    }
    if !effect.stay.is_empty() {
        let text = match &effect.controller {
            Some(controller) => format!(
                "by the program of `{controller}`, which sees the loop open and must let them go (not computed): {}",
                lists(&effect.stay)
            ),
            None => format!("stay closed: {}", lists(&effect.stay)),
        };
        flow("  ", "    ", &text, look, out)?;
    }
    Ok(())
}

fn contacts(contacts: &[LiveContact], look: Look, out: &mut dyn Write) -> io::Result<()> {
    contacts.iter().try_for_each(|contact| flow("    ", "      ", &touched(contact), look, out))
}

/// What is between a contact and another one or the chassis, and which way it comes.
pub(crate) fn touched(contact: &LiveContact) -> String {
    let against = contact.against.as_ref().map_or_else(|| "the chassis".to_owned(), |against| format!("`{against}`"));
    let kind = if contact.is_ac { "AC" } else { "DC" };
    let from = contact.source.as_ref().map_or_else(String::new, |source| format!(", from `{source}`"));
    let way = if contact.path.len() > 2 { format!(" by {}", contact.path.join(" > ")) } else { String::new() };
    format!("`{}` against {against}: {} {kind}{from}{way}", contact.contact, contact.volts)
}

/// What stays in a capacitor, and for how long.
pub(crate) fn charged(part: &ChargedPart) -> String {
    let through = match (part.by_own_means, part.through.as_slice()) {
        (true, _) => " by a means of its own".to_owned(),
        (false, []) => String::new(),
        (false, through) => format!(" through {}", through.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")),
    };
    let after = part.time.map_or_else(|| ", nothing empties it".to_owned(), |time| format!(", below 60 V after {time}{through}"));
    let touched = part.touched.as_ref().map_or_else(String::new, |[a, b]| format!("; can be touched at `{a}` and `{b}`"));
    format!("`{}` ({}), up to {} from mode `{}`{after}{touched}", part.capacitor, part.farad, part.volts, part.from_mode)
}
