//! In which modes a switch is closed: where it rests, and the modes that differ from that.

use super::{build::Builder, ids::ModeSet};
use crate::{
    format::{
        rules,
        values::{Choice, List},
    },
    text::{Span, Text},
    vocabulary::Rest,
    wording::{agree, list_of_first, quoted},
};

/// Modes that are named.
const SHOWN: usize = 4;

impl Builder {
    /// The modes in which a switch is closed. What the key of the other rest position says is compared with that: it changes nothing.
    pub(super) fn closed(&mut self, name: &Text, rest: Choice<Rest>, closed_in: &List<Text>, open_in: &List<Text>) -> ModeSet {
        let [closed, open] = [closed_in, open_in].map(|named| self.mode_set(named));
        let (is_closed, against, other) = match rest.value {
            Rest::Open => (closed, open_in, open),
            Rest::Closed => (self.all_but(open), closed_in, closed),
        };
        let (rests, own, unread, own_is_empty) = match rest.value {
            Rest::Open => ("open", "closed-in", "open-in", closed_in.iter().next().is_none()),
            Rest::Closed => ("closed", "open-in", "closed-in", open_in.iter().next().is_none()),
        };
        let Some(first) = against.iter().next() else { return is_closed };
        let switch = quoted(self.model.names.text(name.value));
        let named = |set: ModeSet| -> Vec<String> {
            let own = self.model.modes().filter(|(mode, _)| set.has(*mode));
            own.filter_map(|(_, mode)| Some(quoted(self.model.names.text(mode.name?)))).collect()
        };
        let both = named(closed.and(open));
        // Of the modes that the key does not name it leaves open what happens in them: the rest position, or the opposite of it.
        let unnamed = if own_is_empty { named(self.all_but(other)) } else { Vec::new() };
        let (what, help) = if both.is_empty() && !unnamed.is_empty() {
            (
                format!(
                    "`{unread}` of switch {switch} changes nothing, because it rests {rests}: it counts as {rests} in {} {} too",
                    agree(unnamed.len(), "mode", "modes"),
                    list_of_first(&unnamed, SHOWN, 0)
                ),
                format!(
                    "write `switch: {}` if it rests {} and the key names where it differs, or name under `{own}` where it is not {rests}",
                    opposite(rests),
                    opposite(rests)
                ),
            )
        } else if both.is_empty() {
            return is_closed;
        } else {
            (
                format!(
                    "switch {switch} is open and closed in {} {}",
                    agree(both.len(), "mode", "modes"),
                    list_of_first(&both, SHOWN, 0)
                ),
                "take the mode out of `closed-in` or of `open-in`".to_owned(),
            )
        };
        let span: Span = first.span;
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(span, what)
                .label(format!("`{unread}`"))
                .context(rest.span, format!("rests {rests}"))
                .help(help),
        );
        is_closed
    }
}

fn opposite(rests: &str) -> &'static str {
    if rests == "open" { "closed" } else { "open" }
}
