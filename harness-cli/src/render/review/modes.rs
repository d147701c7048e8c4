//! The modes: what is on in each, and how far each was computed.

use super::{Page, Section, link::Kind};
use crate::phrase::counted;
use maud::html;

pub(super) fn section(page: &Page<'_>) -> Section {
    let summary = &page.review.checked.report.summary;
    let body = html! {
        p {
            "A mode is an operating state: what is closed, what runs. Currents, temperatures and volts are computed in each; tables show the worst. "
            span #explore-modes {}
        }
        ul.plain {
            @for mode in &summary.modes {
                @let hottest = summary.hottest.iter().filter(|hot| hot.mode == mode.name);
                li id=(page.links.define(Kind::Mode, &mode.name)) data-k="mode" {
                    strong { (super::link::plain(&mode.name)) } ": "
                    @if mode.solved { (counted(mode.loaded, "conductor")) " loaded" } @else {
                        strong { "not computed" } "; " a href="#findings" { "a finding says why" }
                    }
                    @for hot in hottest {
                        "; " (page.links.name(&hot.name)) " is among the hottest: "
                        @match hot.temperature { Some(at) => { (format!("{at:.0}")) " °C" } None => "without end" } " of " (format!("{:.0} °C", hot.rated))
                    }
                }
            }
        }
        @if summary.modes.is_empty() { p { "The design has no mode, so no current was computed." } }
    };
    Section { id: "modes", title: "Modes", body }
}
