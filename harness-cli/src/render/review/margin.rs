//! A margin: its figure, a bar with the limit as a line, and what it is held against.

use crate::render::kit::figures::times;
use harness_core::{
    inspect::Margin,
    values::{Source, Status},
};
use maud::{Markup, html};

/// Units of a bar for a margin of one.
const ONE: f64 = 16.0;
/// The longest bar.
const MOST: f64 = 4.0;
/// Below this margin a bar is black and its figure bold.
const NEAR: f64 = 1.1;

/// The least margin of a thing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Least {
    pub ratio: f64,
    /// What it is held against, in a word.
    pub against: &'static str,
    /// Whether its limit rests on a value that nobody has read: from memory, or common practice.
    pub unread: bool,
}

impl Least {
    pub(super) fn of(margin: Option<&Margin>) -> Option<Self> {
        let unread = |source: &&Source| matches!(source.status, Status::Memory | Status::Practice);
        margin.map(|margin| Self {
            ratio: margin.ratio,
            against: margin.against.word(),
            unread: margin.sources.iter().any(unread),
        })
    }

    /// The figure with its marks and what it is held against.
    pub(super) fn words(&self) -> String {
        format!("{} {}", self.figure(), self.against)
    }

    fn figure(&self) -> String {
        let beyond = if self.ratio < 1.0 { "! " } else { "" };
        let unread = if self.unread { "*" } else { "" };
        format!("{beyond}{}{unread}", times(self.ratio))
    }
}

/// What the marks of a table of margins mean, where it has any.
pub(super) fn legend<'a>(rows: impl Iterator<Item = &'a Option<Least>> + Clone) -> Markup {
    let unread = rows.clone().flatten().any(|least| least.unread);
    let beyond = rows.flatten().any(|least| least.ratio < 1.0);
    html! {
        p.small {
            "Margin: limit over figure; 1 is at the limit (the line), the bar ends at 4. Bold: below 1.1."
            @if beyond { " !: beyond its limit." }
            @if unread { " *: the limit rests on a value from memory or common practice; give that of the part in your hand." }
        }
    }
}

/// A cell with figure, bar and word.
pub(super) fn cell(least: Option<&Least>) -> Markup {
    let Some(least) = least else { return html! { span.none { "\u{2013}" } } };
    html! {
        span.mg {
            @if least.ratio < NEAR { b { (least.figure()) } } @else { i { (least.figure()) } }
            (bar(least.ratio)) (least.against)
        }
    }
}

/// The bar of a margin: grey, black near the limit, hatched in a frame beyond it. One that is longer than there is room is cut; the style draws it.
fn bar(ratio: f64) -> Markup {
    let long = (ratio.clamp(0.0, MOST) * ONE).round().max(2.0);
    let outline = format!("M1 2h{long}v8H1z");
    html! {
        @if ratio > MOST { i.bar {} } @else if ratio < 1.0 {
            svg.bar aria-hidden="true" {
                path.l d=(format!("{outline}{}M17 0v12", (3..long as usize).step_by(4).map(|at| format!("M{at} 10l2-8")).collect::<String>())) {}
            }
        } @else {
            svg class=(if ratio < NEAR { "bar near" } else { "bar" }) aria-hidden="true" {
                path d=(outline) {}
                path.l d="M17 0v12" {}
            }
        }
    }
}
