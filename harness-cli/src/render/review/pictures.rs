//! The pictures: each in a box of its own that scrolls, on white ground even on a dark page. What is drawn in them is a link to its block.

use super::{
    Page, Section,
    link::{Kind, href_of_finding, id, plain},
};
use crate::{args::PictureKind, render::pictures::gallery::Plate};
use clap::ValueEnum;
use harness_draw::{Drawing, Links};
use maud::{Markup, PreEscaped, html};

/// The kinds in the order of the page.
pub(crate) const KINDS: [PictureKind; 9] = [
    PictureKind::Power,
    PictureKind::Chain,
    PictureKind::Precharge,
    PictureKind::Discharge,
    PictureKind::Vehicle,
    PictureKind::Loom,
    PictureKind::Circuit,
    PictureKind::Net,
    PictureKind::Curves,
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let plates = page.review.plates;
    let body = html! {
        @if plates.is_empty() { p { "Nothing of this design is drawn." } }
        @for kind in KINDS {
            @let own: Vec<&Plate> = plates.iter().filter(|plate| plate.kind == kind).collect();
            @if !own.is_empty() {
                h3 { (super::sentence(&word(kind))) }
                @for plate in own {
                    @match page.pictured.has(plate) {
                        Some(finding) => { p { (plain(plate.drawing.title())) ": drawn at " a href=(href_of_finding(finding)) { "a finding" } "." } }
                        None => (one(page, plate)),
                    }
                }
            }
        }
        @for left in page.review.plates_left_out { p { (page.links.shown(left)) } }
    };
    Section { id: "pictures", title: "Pictures", body }
}

fn one(page: &Page<'_>, plate: &Plate) -> Markup {
    html! {
        figure id=(page.links.define(Kind::Picture, &name(plate))) data-k="picture" {
            h4 { (plain(plate.drawing.title())) }
            p.s { (page.links.shown(plate.drawing.about())) }
            (drawn(page, &plate.drawing))
        }
    }
}

/// The id of a picture.
pub(super) fn id_of(plate: &Plate) -> String {
    id(Kind::Picture, &name(plate))
}

/// What a picture is called among all of the page.
pub(super) fn name(plate: &Plate) -> String {
    format!("{} {}", word(plate.kind), plate.name)
}

pub(super) fn word(kind: PictureKind) -> String {
    kind.to_possible_value().map_or_else(String::new, |value| value.get_name().to_owned())
}

/// Links to the pictures of the thing called `name`.
pub(super) fn of(page: &Page<'_>, name_of: &str) -> Markup {
    let own = page.review.plates.iter().filter(|plate| plate.name == name_of || plate.also.iter().any(|also| also == name_of));
    html! {
        @for plate in own {
            @let href = page.pictured.has(plate).map_or_else(|| format!("#{}", id_of(plate)), href_of_finding);
            a href=(href) { "picture: " (word(plate.kind)) } " "
        }
    }
}

/// A drawing in its box.
pub(super) fn drawn(page: &Page<'_>, drawing: &Drawing) -> Markup {
    let address = |key: &str| page.links.href(key);
    framed(drawing, &Links::by(&address))
}

/// The same with what `marks` says marked.
pub(super) fn marked(page: &Page<'_>, drawing: &Drawing, marks: &dyn Fn(&str) -> bool) -> Markup {
    let address = |key: &str| page.links.href(key);
    framed(drawing, &Links::marking(&address, marks))
}

/// A picture in its box; a wide one is printed across its sheet.
fn framed(drawing: &Drawing, links: &Links<'_>) -> Markup {
    let (wide, tall) = drawing.size();
    let class = if wide > tall && wide > UPRIGHT { "pic across" } else { "pic" };
    html! { div class=(class) tabindex="0" role="group" aria-label="picture, which scrolls sideways" { (PreEscaped(drawing.svg(links))) } }
}

/// A picture up to this width is legible on an upright sheet of A4.
const UPRIGHT: f64 = 1100.0;

/// A small picture, of which only a phone scrolls a large one.
pub(super) fn small(svg: &str) -> Markup {
    html! { div.pic tabindex="0" { (PreEscaped(svg)) } }
}
