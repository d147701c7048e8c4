//! The pictures: each in a box of its own that scrolls, on white ground even on a dark page.

use super::link::plain;
use super::{Page, Section};
use maud::{Markup, PreEscaped, html};

/// A picture.
#[derive(Debug, Clone)]
pub(crate) struct Picture {
    /// Its id on the page: kind and name with letters, digits, `.` and `-` alone.
    pub id: String,
    pub title: String,
    /// What it shows and how to read it, in a sentence.
    pub about: String,
    /// An `<svg>` element whose ids begin with its own.
    pub svg: String,
}

pub(super) fn section(page: &Page<'_>) -> Section {
    let pictures = page.review.pictures;
    let body = html! {
        @if pictures.is_empty() { p { "No picture of this design is drawn yet; each connector has its faces above." } }
        @for picture in pictures {
            figure id=(picture.id) data-k="picture" {
                h3 { (plain(&picture.title)) }
                p.s { (plain(&picture.about)) }
                (framed(&picture.svg))
            }
        }
    };
    Section { id: "pictures", title: "Pictures", body }
}

/// A picture in its box.
pub(super) fn framed(svg: &str) -> Markup {
    html! { div.pic tabindex="0" role="region" aria-label="picture" { (PreEscaped(svg)) } }
}
