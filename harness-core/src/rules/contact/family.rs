//! Terminals and housings of two families.

use crate::{
    finding::Finding,
    model::{EndId, Mate, Model, Terminal},
    rules::{Rule, mating::pair::Half},
    text::Span,
};

/// Terminals that are looked at before the search for a better one is given up.
pub(super) const MOST_CANDIDATES: usize = 64;

/// Terminals that are named for housings of another family, once for each place that names one.
pub(super) fn strangers(rule: &Rule, model: &Model) -> Vec<Finding> {
    let named = model.ends().flat_map(|(id, end)| {
        let exceptions = end.terminals.iter().map(|(_, terminal, span)| (*terminal, *span));
        end.terminal.into_iter().chain(exceptions).map(move |(terminal, span)| (id, terminal, span))
    });
    let finding = |(end, terminal, span): (EndId, _, Span)| {
        let (half, terminal) = (Half::of(model, Mate::End(end))?, model.terminal(terminal)?);
        if !is_stranger(half, terminal) {
            return None;
        }
        let (fits, family) = (terminal.family?, half.housing.family?);
        let (name, housing) = (model.text(terminal.name), model.text(half.housing.name));
        let (fits_text, family_text) = (model.text(fits.value), model.text(family.value));
        let end = half.name(model);
        let headline =
            format!("terminal `{name}` of family `{fits_text}` is used in `{end}`, a housing of family `{family_text}`");
        let alternative = model
            .terminals()
            .take(MOST_CANDIDATES)
            .find(|(_, other)| other.family.is_some_and(|other| other.value == family.value));
        let remedy = match alternative {
            Some((_, other)) => format!("use a terminal of family `{family_text}`, such as `{}`", model.text(other.name)),
            None => format!("use a terminal of family `{family_text}` in `{end}`"),
        };
        Some(
            rule.finding(span, headline)
                .label(format!("made for `{fits_text}`"))
                .context(fits.span, format!("`{name}`: family `{fits_text}`"))
                .context(family.span, format!("`{housing}`: family `{family_text}`"))
                .help(remedy)
                .concerns(end)
                .concerns(name),
        )
    };
    named.filter_map(finding).collect()
}

/// Whether a terminal is made for another family than its housing's.
pub(super) fn is_stranger(half: Half<'_>, terminal: &Terminal) -> bool {
    matches!((half.housing.family, terminal.family), (Some(own), Some(fits)) if own.value != fits.value)
}
