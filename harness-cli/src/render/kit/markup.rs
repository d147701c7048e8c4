//! Pieces of pages: texts of a design made harmless, figures below each other, colours, the sign of electricity.

use super::printable;
use harness_core::colours::{Colour, WireColour};
use maud::{Markup, html};

/// Words beyond so many letters may break behind a point, a hyphen and the like.
const LONG_WORD: usize = 12;

/// So many letters without such a place may break anywhere.
const LONG_STRETCH: usize = 14;

/// A figure whose decimal point is below those of its column.
pub(crate) fn figure(text: &str, places: usize) -> Markup {
    let text = text.replace('-', "\u{2212}");
    let (whole, fraction) = text.split_at(text.find('.').unwrap_or(text.len()));
    html! {
        (whole)
        @if places > 0 { span class=(format!("f f{}", places.min(6))) { (fraction) } }
    }
}

/// Text without what would act on a reader, what is between backticks as code.
pub(crate) fn shown(text: &str) -> Markup {
    let is_paired = text.matches('`').count().is_multiple_of(2);
    html! {
        @for (at, piece) in text.split('`').enumerate() {
            @if at % 2 == 1 && is_paired { code { (plain(piece)) } } @else { @if at > 0 && !is_paired { "`" } (plain(piece)) }
        }
    }
}

/// Text in which control characters are shown and marks of direction stay inside; a word that is too long for its column may break.
pub(crate) fn plain(text: &str) -> Markup {
    let safe = printable(text);
    let turns = |letter: char| matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let is_long = safe
        .split(|letter: char| letter.is_whitespace() || BREAKS_BEHIND.contains(&letter))
        .any(|stretch| stretch.chars().count() > LONG_STRETCH);
    let words = html! {
        @for word in safe.split_inclusive(char::is_whitespace) {
            @if word.chars().count() <= LONG_WORD { (word) } @else {
                @for (at, stretch) in word.split_inclusive(BREAKS_BEHIND).enumerate() {
                    @if at > 0 { wbr; }
                    (stretch)
                }
            }
        }
    };
    match (safe.contains(turns), is_long) {
        (true, _) => html! { bdi.long { (words) } },
        (false, true) => html! { span.long { (words) } },
        (false, false) => words,
    }
}

/// Behind these a long word may break.
const BREAKS_BEHIND: [char; 6] = ['.', '-', '_', '/', ':', ','];

/// The same with a capital at its beginning.
pub(crate) fn sentence(text: &str) -> Markup {
    let mut letters = text.chars();
    let first: String = letters.next().map(|letter| letter.to_uppercase().collect()).unwrap_or_default();
    shown(&format!("{first}{}", letters.as_str()))
}

/// ISO 7010 W012, warning of electricity, drawn plainly: triangle, rim and arrow work without the yellow.
pub(crate) fn warning_sign() -> Markup {
    html! {
        svg width="24" height="22" viewBox="0 0 24 22" role="img" aria-label="warning: electricity" { (warning_shape()) }
    }
}

/// What is drawn of it, in a box of 24 by 22.
pub(crate) fn warning_shape() -> Markup {
    html! {
        path d="M12 1.5L23 20.5H1z" fill="#f9a800" stroke="#000" stroke-width="2" stroke-linejoin="round" {}
        path d="M13.6 6.5L9 13h3l-1.6 3.2H9l2 3.3 2.6-2.9h-1.4L15 12h-3.2z" fill="#000" {}
    }
}

/// The colours of a conductor beside its letters.
pub(crate) fn swatch(colour: WireColour) -> Markup {
    let [base, stripe] = [colour.base, colour.stripe.unwrap_or(colour.base)].map(tint);
    html! {
        svg width="22" height="12" viewBox="0 0 22 12" aria-hidden="true" {
            rect x=".5" y=".5" width="21" height="11" fill=(base) stroke="#000" {}
            @if colour.stripe.is_some() { rect x="1" y="4.5" width="20" height="3" fill=(stripe) {} }
        }
    }
}

pub(crate) fn tint(colour: Colour) -> &'static str {
    match colour {
        Colour::Black => "#000000",
        Colour::Brown => "#7a4a21",
        Colour::Red => "#d01c1c",
        Colour::Orange => "#f28500",
        Colour::Yellow => "#f7d917",
        Colour::Green => "#1e8a3c",
        Colour::Blue => "#1c5fd0",
        Colour::Violet => "#7a3fa0",
        Colour::Grey => "#8c8c8c",
        Colour::White => "#ffffff",
        Colour::Pink => "#f5a3bd",
        Colour::Gold => "#c9a227",
        Colour::Turquoise => "#35b5b0",
        Colour::Silver => "#c4c8cc",
    }
}
