//! The styles, in one place. Each marks what the words say already.

use crate::terminal::Look;
use anstyle::{AnsiColor, Style};
use harness_core::finding::Level;
use miette::{GraphicalTheme, ThemeCharacters, ThemeStyles};

/// The style of a level's word.
#[must_use]
pub fn level(level: Level) -> Style {
    match level {
        Level::Danger => AnsiColor::White.on(AnsiColor::Red).bold(),
        Level::Error => AnsiColor::Red.on_default().bold(),
        Level::Warning => AnsiColor::Yellow.on_default().bold(),
        Level::Note => AnsiColor::Cyan.on_default().bold(),
    }
}

/// The style of headings and of names of facts.
#[must_use]
pub fn heading() -> Style {
    Style::new().bold()
}

/// The style of `code` in running text.
#[must_use]
pub fn code() -> Style {
    AnsiColor::Cyan.on_default()
}

/// `text` in `style`, if `look` has colour.
#[must_use]
pub fn paint(look: Look, style: Style, text: &str) -> String {
    if look.colour { format!("{style}{text}{style:#}") } else { text.to_owned() }
}

/// The theme in which a finding of `level` is drawn, with `head` before its headline.
///
/// `primary` says for each label in the order drawn whether it is the primary one.
pub(crate) fn theme(look: Look, level: Level, head: String, primary: impl Iterator<Item = bool>) -> GraphicalTheme {
    let mut characters = if look.unicode { ThemeCharacters::unicode() } else { ThemeCharacters::ascii() };
    characters.error = head;
    let mut styles = ThemeStyles::none();
    if look.colour {
        let plain = owo_colors::Style::new();
        let strong = match level {
            Level::Danger | Level::Error => plain.red().bold(),
            Level::Warning => plain.yellow().bold(),
            Level::Note => plain.cyan().bold(),
        };
        styles.error = if level == Level::Danger { plain.white().on_red().bold() } else { strong };
        styles.link = plain.bold();
        styles.linum = plain.dimmed();
        styles.highlights = primary.map(|primary| if primary { strong } else { plain.blue() }).collect();
        if styles.highlights.is_empty() {
            styles.highlights.push(plain);
        }
    }
    GraphicalTheme { characters, styles }
}
