//! What a text of the design must be before it is taken for a name: not endless, and not the double of another.

use super::{
    limits::{Limit, NAME, TEXT, grouped},
    reader::{Reader, clip},
    rules,
};
use crate::{
    finding::Finding,
    text::{
        Name, Span,
        letters::{Oddity, described, oddity, visible},
    },
};

/// Keys whose texts people read and nothing is looked up by.
const PROSE: [&str; 3] = ["note", "reason", "unsure"];
/// Keys whose texts may be long, though something is looked up by them.
const PATHS: [&str; 1] = ["include"];

impl Reader<'_> {
    /// Whether the text `name` at `span` may be taken: what is too long is not. Notes what makes it look like another name.
    pub(super) fn take_name(&mut self, name: Name, span: Span) -> bool {
        self.take(name, span, &NAME, true)
    }

    /// The same for a text behind the key that is being read.
    pub(super) fn take_text(&mut self, name: Name, span: Span) -> bool {
        let is_prose = PROSE.contains(&self.key);
        let limit = if is_prose || PATHS.contains(&self.key) { &TEXT } else { &NAME };
        self.take(name, span, limit, !is_prose)
    }

    fn take(&mut self, name: Name, span: Span, limit: &'static Limit, is_name: bool) -> bool {
        let text = self.names.text(name);
        // No text has more letters than bytes.
        if text.len() > limit.most {
            let letters = text.chars().count();
            if letters > limit.most {
                let headline =
                    format!("`{}` has {} letters, {} too many", clip(text), grouped(letters), grouped(letters - limit.most));
                self.findings.push(limit.exceeded(span, headline));
                return false;
            }
        }
        if is_name && let Some(oddity) = oddity(text) {
            self.findings.push(looks_like_another(text, span, &oddity));
        }
        true
    }
}

fn looks_like_another(text: &str, span: Span, oddity: &Oddity) -> Finding {
    let shown = clip(&visible(text));
    let without = |letter: char| clip(&text.chars().filter(|other| *other != letter).collect::<String>());
    let numbers = |text: &str| text.chars().map(|letter| format!("U+{:04X}", u32::from(letter))).collect::<Vec<_>>().join(" ");
    let (headline, label, help) = match oddity {
        Oddity::Invisible(letter) => (
            format!("`{shown}` holds a character that can't be seen, {}", described(*letter)),
            "looks like another name".to_owned(),
            format!("take the character out: `{}`", without(*letter)),
        ),
        Oddity::Blank(letter) => (
            format!("`{shown}` begins or ends with a blank that can't be seen, {}", described(*letter)),
            "looks like another name".to_owned(),
            format!("take the blank out: `{}`", clip(text.trim_matches(*letter))),
        ),
        Oddity::Composed { written, composed } => (
            format!("`{shown}` has `{written}` as {}, which looks like {}", numbers(written), numbers(composed)),
            "looks like another name".to_owned(),
            format!("write `{composed}` as {}, as keyboards do", numbers(composed)),
        ),
        Oddity::Mixed { word, letter, twin } => (
            format!(
                "`{shown}` mixes letters of two scripts: `{letter}` ({}) looks like `{twin}` ({})",
                described(*letter),
                described(*twin)
            ),
            format!("`{letter}` is not `{twin}`"),
            format!("write `{}`, wherever the name is written", clip(&word.replace(*letter, twin.encode_utf8(&mut [0; 4])))),
        ),
    };
    rules::LOOKALIKE_NAME.finding(span, headline).label(label).help(help)
}
