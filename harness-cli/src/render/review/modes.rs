//! The modes: what is closed and open in each, what gives current, what runs, and how far each was computed.

use super::{
    Page, Section,
    link::{Kind, plain},
};
use crate::phrase::counted;
use harness_core::{
    ModeSummary,
    inspect::{ModeContact, ModeCurrent, ModeSheet, Position, mode_sheets},
    quantity::Unit,
};
use maud::{Markup, html};

/// Names of one list of a mode: of more it says how many.
const MOST: usize = 60;

/// Currents below this, in ampere, are none.
const FLOWS: f64 = 1e-6;

pub(super) fn section(page: &Page<'_>) -> Section {
    let summary = &page.review.checked.report.summary;
    let sheets = mode_sheets(page.review.analysis);
    let body = html! {
        p {
            "A mode is an operating state: what is closed, what runs. Currents, temperatures and volts are computed in each; tables show the worst. "
            span #explore-modes {}
        }
        @for mode in &summary.modes { (one(page, mode, sheets.iter().find(|sheet| sheet.mode == mode.name))) }
        @if summary.modes.is_empty() { p { "The design has no mode, so no current was computed." } }
    };
    Section { id: "modes", title: "Modes", body }
}

fn one(page: &Page<'_>, mode: &ModeSummary, sheet: Option<&ModeSheet>) -> Markup {
    let hottest = page.review.checked.report.summary.hottest.iter().filter(|hot| hot.mode == mode.name);
    html! {
        article id=(page.links.define(Kind::Mode, &mode.name)) data-k="mode" {
            h3 { (plain(&mode.name)) }
            p.s {
                @if mode.solved { (counted(mode.loaded, "conductor")) " loaded" } @else {
                    strong { "not computed" } "; " a href="#findings" { "a finding says why" }
                }
                @if let Some(sheet) = sheet {
                    @if sheet.is_immobile { "; nothing may enable the drive in it" }
                    @if sheet.is_touch_safe { "; nothing live can be touched in it, as the design says: " a href="#live" { "what is live" } }
                }
                @for hot in hottest {
                    "; " (page.links.name(&hot.name)) " is among the hottest: "
                    @match hot.temperature { Some(at) => { (format!("{at:.0}")) " °C" } None => "without end" } " of " (format!("{:.0} °C", hot.rated))
                }
            }
            @if let Some(sheet) = sheet { dl.wide { (contacts(page, sheet)) (gives(page, sheet)) (takes(page, sheet)) } }
        }
    }
}

/// A row of a mode, if it has anything in it: names as links, each with what is said of it.
fn row(page: &Page<'_>, head: &str, items: &[(&str, String)]) -> Markup {
    let shown = crate::phrase::fitting(items.len(), MOST);
    html! {
        @if !items.is_empty() {
            div {
                dt { (head) " (" (items.len()) ")" }
                dd {
                    @for (at, (name, said)) in items.iter().take(shown).enumerate() { @if at > 0 { ", " } (page.links.name(name)) (plain(said)) }
                    @if items.len() > shown { " and " (items.len() - shown) " more" }
                }
            }
        }
    }
}

fn contacts(page: &Page<'_>, sheet: &ModeSheet) -> Markup {
    let named = |contact: &ModeContact| match contact.what {
        "switch" | "relay" | "selector" | "service disconnect" => String::new(),
        other => format!(" ({other})"),
    };
    let at = |position: Option<Position>| -> Vec<(&str, String)> {
        let own = sheet.contacts.iter().filter(|contact| contact.position == position);
        own.map(|contact| (contact.name.as_str(), named(contact))).collect()
    };
    let stays: Vec<(&str, String)> =
        sheet.stays.iter().map(|(name, after)| (name.as_str(), format!(" (if it was in {after})"))).collect();
    html! {
        @for position in Position::ALL { (row(page, head(position), &at(Some(position)))) }
        (row(page, "relays of which no state of rest is known", &at(None)))
        (row(page, "relays that stay pulled in if they were", &stays))
    }
}

/// What is in this position, in words.
const fn head(position: Position) -> &'static str {
    match position {
        Position::Closed => "switches closed",
        Position::PulledIn => "relays pulled in",
        Position::In => "service disconnects in",
        Position::Open => "switches open",
        Position::AtRest => "relays at rest",
        Position::Out => "service disconnects out",
    }
}

fn amps(current: &ModeCurrent) -> Option<f64> {
    current.amps.map(Unit::get)
}

/// A list of what has a current, each with it.
fn with_amps(list: Vec<&ModeCurrent>) -> Vec<(&str, String)> {
    let said = |current: &ModeCurrent| {
        let flows = current.amps.map_or_else(String::new, |amps| format!(" {}", amps.abs()));
        let charging = current
            .charging
            .filter(|charging| charging.flat != charging.full)
            .map(|charging| format!(" (batteries flat {}, full {})", charging.flat.abs(), charging.full.abs()));
        let short = if current.is_shorted { " (source shorted)" } else { "" };
        format!("{flows}{}{short}", charging.unwrap_or_default())
    };
    list.into_iter().map(|current| (current.name.as_str(), said(current))).collect()
}

/// A list of what has none, by name.
fn without_amps(list: Vec<&ModeCurrent>) -> Vec<(&str, String)> {
    list.into_iter().map(|current| (current.name.as_str(), String::new())).collect()
}

fn gives(page: &Page<'_>, sheet: &ModeSheet) -> Markup {
    let of = |keep: &dyn Fn(&ModeCurrent) -> bool| -> Vec<&ModeCurrent> {
        sheet.gives.iter().filter(|current| keep(current)).collect()
    };
    let is = |keep: fn(f64) -> bool| of(&move |current| amps(current).is_some_and(keep));
    html! {
        (row(page, "give current", &with_amps(is(|amps| amps > FLOWS))))
        (row(page, "are charged", &with_amps(is(|amps| amps < -FLOWS))))
        (row(page, "there, and give nothing", &without_amps(of(&|current| current.is_meant && amps(current).is_some_and(|amps| amps.abs() <= FLOWS)))))
        (row(page, "sources that are not there", &without_amps(of(&|current| !current.is_meant && amps(current).is_none_or(|amps| amps.abs() <= FLOWS)))))
        (row(page, "sources not computed", &without_amps(of(&|current| current.is_meant && current.amps.is_none()))))
    }
}

fn takes(page: &Page<'_>, sheet: &ModeSheet) -> Markup {
    let of =
        |keep: fn(&ModeCurrent) -> bool| -> Vec<&ModeCurrent> { sheet.takes.iter().filter(|current| keep(current)).collect() };
    let flows = |current: &ModeCurrent| amps(current).is_some_and(|amps| amps.abs() > FLOWS);
    let mut runs: Vec<&ModeCurrent> = sheet.takes.iter().filter(|current| flows(current)).collect();
    runs.sort_by(|one, other| amps(other).unwrap_or(0.0).abs().total_cmp(&amps(one).unwrap_or(0.0).abs()));
    html! {
        (row(page, "run", &with_amps(runs)))
        (row(page, "meant to run, and nothing flows", &without_amps(of(|current| {
            current.is_meant && amps(current).is_some_and(|amps| amps.abs() <= FLOWS)
        }))))
        (row(page, "not computed", &without_amps(of(|current| current.is_meant && current.amps.is_none()))))
        (row(page, "off", &without_amps(of(|current| {
            !current.is_meant && amps(current).is_none_or(|amps| amps.abs() <= FLOWS)
        }))))
    }
}
