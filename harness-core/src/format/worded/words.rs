//! The pieces of a text read one after the other: which fact each gives, and what is said of one that gives none.

use super::{
    super::{Attribute, Naming, reader::clip, rules, shape::Shape},
    form::{Form, PIN},
    pieces::Piece,
    pin,
};
use crate::{
    finding::{Finding, Remedy, RemedyKind},
    text::{FileId, Span},
};

/// A fact of a thing: its key and what is behind it.
#[derive(Debug)]
pub(super) struct Said {
    pub(super) key: Attribute,
    /// The piece that gives it, which is the place of its key.
    pub(super) at: Span,
    /// Its values with their places: one, or several of a list.
    pub(super) values: Vec<(Span, String)>,
    pub(super) is_list: bool,
}

/// A text that is being read.
pub(super) struct Words {
    pub(super) form: &'static Form,
    pub(super) file: FileId,
    pub(super) said: Vec<Said>,
    pub(super) findings: Vec<Finding>,
    /// A second colon cut the text, which was noted where the file was read.
    pub(super) is_cut: bool,
    /// Something of the text was not understood, and what is absent may have been meant by it.
    pub(super) is_incomplete: bool,
}

impl Words {
    pub(super) fn new(form: &'static Form, file: FileId) -> Self {
        Self { form, file, said: Vec::new(), findings: Vec::new(), is_cut: false, is_incomplete: false }
    }

    pub(super) fn read(&mut self, pieces: &[Piece<'_>]) {
        let ordered = self.ends_first(pieces);
        let [first, rest @ ..] = ordered.as_deref().unwrap_or(pieces) else { return };
        let rest = if self.form.noun == PIN.noun {
            self.signal(first);
            rest
        } else {
            let used = self.ends(first, rest);
            rest.get(used..).unwrap_or_default()
        };
        let mut before = first;
        let mut at = 0;
        while let Some(piece) = rest.get(at) {
            at += 1;
            match rest.get(at).filter(|next| is_decimal_comma(piece, next)) {
                Some(decimals) => {
                    at += 1;
                    self.decimal_comma(piece, decimals);
                }
                None => self.piece(piece, before),
            }
            before = piece;
        }
    }

    fn signal(&mut self, first: &Piece<'_>) {
        if first.text.is_empty() {
            self.empty(first);
        } else if first.text == pin::SPARE || pin::is_fact(first.text) {
            self.is_incomplete = true;
            if first.text == pin::SPARE {
                let headline = "`spare` says that nothing is behind the pin, and more follows";
                self.findings.push(
                    rules::UNEXPECTED_VALUE
                        .finding(first.span(self.file), headline)
                        .label("nothing, or a signal?")
                        .help("write `spare` alone, or the name of the signal in its place"),
                );
            } else {
                self.findings.push(pin::finding(first.text, first.span(self.file)));
            }
        } else {
            self.say(Attribute::Signal, *first, *first);
        }
    }

    /// A piece behind the first.
    pub(super) fn piece(&mut self, piece: &Piece<'_>, before: &Piece<'_>) {
        if piece.text.is_empty() {
            self.empty(piece);
        } else if !self.with_key(piece) && !self.without_key(piece) {
            self.unclear(piece, before);
        }
    }

    /// A piece with its key before it; whether it is one.
    pub(super) fn with_key(&mut self, piece: &Piece<'_>) -> bool {
        let Some((key, value)) = self.key_of(piece) else { return false };
        let sign = value.text.starts_with([':', '=']);
        let value = if sign { value.behind(1) } else { value };
        if value.text.is_empty() {
            self.is_incomplete = true;
            if self.is_cut {
                return true;
            }
            self.findings.push(
                rules::UNEXPECTED_VALUE
                    .finding(piece.span(self.file), format!("nothing is written behind `{key}`"))
                    .label("no value")
                    .help(format!("write its value behind it, or take `{key}` out")),
            );
            return true;
        }
        let is_bracketed = value.text.starts_with('[');
        self.say(key, *piece, value);
        if sign || is_bracketed {
            let items = value.text.trim_matches(['[', ']']).split(',').map(str::trim).collect::<Vec<_>>().join(" and ");
            let meant = format!("{key} {items}");
            let what = if sign { "a key in words has no sign behind it" } else { "a list in words has no brackets" };
            self.findings.push(self.slip(piece, format!("`{}`: {what}", clip(piece.text)), &meant));
        }
        true
    }

    /// A piece that is known by its form; whether it is one.
    pub(super) fn without_key(&mut self, piece: &Piece<'_>) -> bool {
        let Some(key) = self.form.bare(piece.text) else { return false };
        self.say(key, *piece, *piece);
        true
    }

    /// The key at the beginning of a piece, with what is behind it.
    pub(super) fn key_of<'t>(&self, piece: &Piece<'t>) -> Option<(Attribute, Piece<'t>)> {
        let end =
            piece.text.find(|letter: char| letter.is_whitespace() || letter == ':' || letter == '=').unwrap_or(piece.text.len());
        let field = self.form.field(piece.text.get(..end)?)?;
        Some((field.key, piece.behind(end)))
    }

    /// Adds a fact, or notes that it is given already.
    pub(super) fn say(&mut self, key: Attribute, piece: Piece<'_>, value: Piece<'_>) {
        let at = piece.span(self.file);
        if let Some(first) = self.said.iter().find(|said| said.key == key) {
            self.findings.push(
                rules::REPEATED_KEY
                    .finding(
                        at,
                        format!("the `{key}` of a {} is given twice: `{}` is the second", self.form.noun, clip(piece.text)),
                    )
                    .label("second time")
                    .context(first.at, "first time")
                    .help("take one of them out"),
            );
            return;
        }
        let field = self.form.record.fields.iter().find(|field| field.key == key);
        let is_list = field.is_some_and(|field| matches!((field.shape)(), Shape::List(_)));
        let is_of_names = field.is_some_and(|field| !matches!(field.class.naming, Naming::Nothing));
        let items = if is_list && is_of_names { items(value) } else { vec![value] };
        let values = items.into_iter().map(|item| (item.span(self.file), item.joined().into_owned())).collect();
        self.said.push(Said { key, at, values, is_list });
    }

    fn empty(&mut self, piece: &Piece<'_>) {
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(piece.span(self.file), "a comma has nothing beside it")
                .label("nothing here")
                .help(format!("take the comma out, or write a fact of the {} here", self.form.noun)),
        );
    }

    /// Notes a text whose pieces have no places of their own.
    pub(super) fn escaped(&mut self, span: Span) {
        self.is_incomplete = true;
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(span, format!("a {} in words is written with escapes, doubled quotes or as a block", self.form.noun))
                .label("written otherwise than it reads")
                .help("write it on one line as it reads, or as a map"),
        );
    }

    /// Notes a figure that a comma has cut.
    fn decimal_comma(&mut self, piece: &Piece<'_>, decimals: &Piece<'_>) {
        self.is_incomplete = true;
        let meant = format!("{}.{}", piece.text, decimals.text);
        let whole = Piece { text: "", at: piece.at }.span(self.file).to(decimals.span(self.file));
        let headline = format!("`{},{}` has a comma in its number", clip(piece.text), clip(decimals.text));
        self.findings.push(
            rules::QUANTITY
                .finding(whole, headline)
                .label("a comma ends the piece here")
                .help(format!("write `{}`: a point separates the decimals and nothing separates thousands", clip(&meant)))
                .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{}`", clip(&meant))).edit(whole, meant)),
        );
    }

    /// A piece with what is meant by it.
    pub(super) fn slip(&self, piece: &Piece<'_>, headline: String, meant: &str) -> Finding {
        let span = piece.span(self.file);
        rules::UNEXPECTED_VALUE
            .finding(span, headline)
            .label(format!("did you mean `{}`?", clip(meant)))
            .help(format!("write `{}`", clip(meant)))
            .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{}`", clip(meant))).edit(span, meant))
    }
}

/// The items of a list: `TRUNK and REAR`, or what is between square brackets.
fn items(value: Piece<'_>) -> Vec<Piece<'_>> {
    let inner = value.text.strip_prefix('[').map(|inner| inner.strip_suffix(']').unwrap_or(inner));
    if let Some(inner) = inner {
        return super::pieces(inner, value.at + 1).into_iter().filter(|item| !item.text.is_empty()).collect();
    }
    let mut items = Vec::new();
    let mut from = 0;
    for (start, end) in between(value.text, "and") {
        items.push(value.within(from, start));
        from = end;
    }
    items.push(value.behind(from));
    items
}

/// Where a word is in a text with blanks on both sides: from the first of these to the last.
pub(super) fn between(text: &str, word: &str) -> Vec<(usize, usize)> {
    let stands_apart = |at: usize| {
        let (before, behind) = (text.get(..at)?, text.get(at + word.len()..)?);
        let is_apart = before.ends_with(char::is_whitespace) && behind.starts_with(char::is_whitespace);
        (is_apart && !before.trim().is_empty() && !behind.trim().is_empty()).then_some((at, at + word.len()))
    };
    text.match_indices(word).filter_map(|(at, _)| stands_apart(at)).collect()
}

/// Whether two pieces are a number that a comma has cut: `0,75 mm2`.
fn is_decimal_comma(piece: &Piece<'_>, next: &Piece<'_>) -> bool {
    let is_number = !piece.text.is_empty() && piece.text.bytes().all(|letter| letter.is_ascii_digit());
    is_number
        && piece.at + piece.text.len() as u32 + 1 == next.at
        && next.text.starts_with(|letter: char| letter.is_ascii_digit())
}
