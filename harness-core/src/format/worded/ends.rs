//! The first piece of a wire: from where to where.

use super::{
    super::{Attribute, reader::clip, rules},
    pieces::Piece,
    words::{Words, between},
};
use crate::finding::{Remedy, RemedyKind};

/// What people write between the two ends of a wire in place of `to`.
const SIGNS: [&str; 12] = ["->", "→", "=>", "-->", "<->", "↔", "--", "–", "-", ">", "/", "TO"];

impl Words {
    /// The pieces of a wire with its ends first, where they come later: noted, and read all the same.
    pub(super) fn ends_first<'t>(&mut self, pieces: &[Piece<'t>]) -> Option<Vec<Piece<'t>>> {
        let first = pieces.first().filter(|first| self.form.first.len() > 1 && !first.text.is_empty())?;
        let are_ends = |piece: &Piece<'_>| self.key_of(piece).is_none() && between(piece.text, "to").len() == 1;
        let at = pieces.iter().position(are_ends).filter(|at| *at > 0)?;
        if self.key_of(first).is_none() && self.form.bare(first.text).is_none() {
            return None;
        }
        let mut ordered = pieces.to_vec();
        let ends = ordered.remove(at);
        ordered.insert(0, ends);
        let (here, there) = (first.span(self.file), ends.span(self.file));
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(
                    there,
                    format!("`{}` is behind `{}`, and the ends of a wire come first", clip(ends.text), clip(first.text)),
                )
                .label("the ends")
                .help(format!("begin with `{}`", clip(ends.text)))
                .remedy(
                    Remedy::new(RemedyKind::Spelling, format!("write `{}` first", clip(ends.text)))
                        .edit(here, ends.text)
                        .edit(there, first.text),
                ),
        );
        Some(ordered)
    }

    /// Reads `A to B`; `from A` and `to B` may be pieces of their own. How many pieces behind the first were taken for an end.
    pub(super) fn ends(&mut self, first: &Piece<'_>, rest: &[Piece<'_>]) -> usize {
        let whole = *first;
        let is_said = |piece: &Piece<'_>| self.key_of(piece).is_some();
        let named = if let Some((Attribute::From, value)) = self.key_of(first) { value } else { whole };
        match between(named.text, "to").as_slice() {
            &[(start, end)] => {
                let (from, to) = (named.within(0, start), named.behind(end));
                self.say(Attribute::From, from, from);
                self.to(to);
                0
            }
            [] if is_said(first) => {
                self.with_key(first);
                0
            }
            [] => self.no_to(first, rest),
            [_, _, ..] => {
                self.is_incomplete = true;
                self.findings.push(
                    rules::UNEXPECTED_VALUE
                        .finding(first.span(self.file), format!("`{}` goes to more than one place", clip(first.text)))
                        .label("from where to where?")
                        .help("a wire has two ends: write one for each stretch"),
                );
                0
            }
        }
    }

    /// The second end. No name holds a blank: what is behind one is a further fact.
    fn to(&mut self, to: Piece<'_>) {
        let end = to.text.find(char::is_whitespace).unwrap_or(to.text.len());
        let (name, more) = (to.within(0, end), to.behind(end));
        let is_fact = self.form.bare(more.text).is_some() || self.key_of(&more).is_some();
        if !is_fact {
            return self.say(Attribute::To, to, to);
        }
        self.say(Attribute::To, name, name);
        let meant = format!("{}, {}", name.text, more.text);
        self.findings.push(self.slip(
            &to,
            format!("`{}` holds an end and a fact without a comma between them", clip(to.text)),
            &meant,
        ));
        self.piece(&more, &name);
    }

    /// Notes words that do not say where the wire goes.
    fn no_to(&mut self, first: &Piece<'_>, rest: &[Piece<'_>]) -> usize {
        self.is_incomplete = true;
        let span = first.span(self.file);
        let finding =
            rules::MISSING_KEY.finding(span, format!("`{}` does not say from where to where a wire goes", clip(first.text)));
        let finding = finding.label("`to` where?");
        // A second end behind a comma.
        let next = rest.first().filter(|next| {
            let is_name = !next.text.is_empty() && !next.text.contains(char::is_whitespace);
            is_name && self.form.bare(next.text).is_none() && self.form.leaning(next.text).is_none()
        });
        let behind_comma = next.map(|next| (first.text, next.text, span.to(next.span(self.file))));
        let here = apart(first.text).map(|(from, to)| (from, to, span));
        let used = usize::from(here.is_none() && behind_comma.is_some());
        let meant = here.or(behind_comma);
        self.findings.push(match meant.filter(|(from, to, _)| !from.is_empty() && !to.is_empty()) {
            Some((from, to, place)) => {
                let meant = format!("{from} to {to}");
                finding
                    .help(format!("write `{}`", clip(&meant)))
                    .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{}`", clip(&meant))).edit(place, meant))
            }
            None => finding.help(format!("write its two ends first: `{}`", self.form.example)),
        });
        used
    }
}

/// The two ends where something other than `to` is between them.
fn apart(text: &str) -> Option<(&str, &str)> {
    for sign in SIGNS {
        if let [(start, end)] = between(text, sign).as_slice() {
            return Some((text.get(..*start)?.trim(), text.get(*end..)?.trim()));
        }
    }
    // Arrows need no blanks.
    let arrow = ["->", "→", "=>", "↔"].iter().find_map(|sign| text.split_once(sign));
    let two = || {
        let mut names = text.split_whitespace();
        let (from, to) = (names.next()?, names.next()?);
        (names.next().is_none() && from != "to" && to != "to").then_some((from, to))
    };
    arrow.map(|(from, to)| (from.trim_end_matches(['-', '<', '=']).trim(), to.trim())).or_else(two)
}
