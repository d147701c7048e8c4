//! The papers of the bench: which there are, and the words that make them.

use super::{Page, Section};
use crate::{args::PaperKind, render::papers};
use clap::ValueEnum;
use maud::html;

pub(super) fn section(page: &Page<'_>) -> Section {
    let root = &page.review.checked.root;
    let file = if root == "-" { "FILE" } else { root };
    let body = html! {
        p { "The loom is built by papers of its own, made from the same files; " code { "harness papers " (file) " --out papers" } " makes them all." }
        ul { @for kind in papers::ALL {
            @let value = kind.to_possible_value();
            li { code { "harness papers " (file) " " (value.as_ref().map_or("", |value| value.get_name())) } ": " (about(kind)) }
        } }
    };
    Section { id: "bench", title: "Bench papers", body }
}

fn about(kind: PaperKind) -> String {
    kind.to_possible_value().and_then(|value| value.get_help().map(ToString::to_string)).unwrap_or_default()
}
