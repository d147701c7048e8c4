//! What is live when: in each mode what can be touched, what opening something by hand exposes, what stays charged.

use super::{Page, Section, link::Kind};
use crate::{
    phrase::counted,
    render::live::text::{charged, touched},
};
use harness_core::inspect::{LiveContact, LiveMode};
use maud::{Markup, html};

pub(super) fn section(page: &Page<'_>) -> Section {
    let live = page.review.live;
    let body = html! {
        p { "Contacts above 60 V DC or 30 V AC, by mode. What the design calls a service disconnect or contactor is as open as the mode says." }
        @for mode in &live.modes { (one(page, mode)) }
        @if live.modes.is_empty() { p { "The design has no mode, so nothing is known of what is live." } }
        @for assumed in &live.assumed { p { strong { "Assumed: " } (page.links.shown(assumed)) } }
        @for unknown in &live.unknown { p { strong { "Not known: " } (page.links.shown(unknown)) } }
    };
    Section { id: "live", title: "What is live when", body }
}

fn one(page: &Page<'_>, mode: &LiveMode) -> Markup {
    let tried = counted(mode.tried, "plug or cover").replace("plug or covers", "plugs and covers");
    html! {
        article data-k="live" {
            h3 { (page.links.of_kind(Kind::Mode, &mode.name)) @if mode.is_touch_safe { ", to be safe to touch" } }
            dl.wide {
                div { dt { "can be touched" } dd { (contacts(page, &mode.standing)) } }
                @if mode.tried > 0 {
                    div { dt { "after one is opened by hand" } dd {
                        @if mode.steps.is_empty() { "nothing more, of " (tried) " of class B" }
                        @for step in &mode.steps {
                            p { "with " (page.links.name(&step.opened)) " " (step.done) ":" }
                            (contacts(page, &step.contacts))
                            @if !step.charged.is_empty() { ul { @for item in &step.charged { li { (page.links.shown(&charged(item))) } } } }
                        }
                    } }
                }
                div { dt { "inside the boxes, whoever opens them" } dd { (contacts(page, &mode.inside)) } }
                @if !mode.charged.is_empty() {
                    div { dt { "stays charged" } dd { ul { @for item in &mode.charged { li { (page.links.shown(&charged(item))) } } } } }
                }
            }
        }
    }
}

fn contacts(page: &Page<'_>, contacts: &[LiveContact]) -> Markup {
    html! {
        @if contacts.is_empty() { p { "nothing" } } @else {
            ul { @for contact in contacts { li { (page.links.shown(&touched(contact))) " " (page.links.place(contact.span)) } } }
        }
    }
}
