//! Pieces that give no fact as they are written: what may be meant.

use super::{
    super::{Attribute, reader::clip, rules},
    form::PIN,
    pieces::Piece,
    words::Words,
};
use crate::{
    finding::{Remedy, RemedyKind},
    quantity::{self, QuantityError, SquareMillimetre},
    suggest::{nearest, question},
    wording::{any, quoted},
};

impl Words {
    /// Notes a piece that gives no fact, with what may be meant.
    pub(super) fn unclear(&mut self, piece: &Piece<'_>, before: &Piece<'_>) {
        if self.two_facts(piece) || self.one_segment_more(piece, before) || self.lacks_key(piece) {
            return;
        }
        if let Some(key) = self.form.leaning(piece.text) {
            // What is wrong with it is said where its value is read.
            return self.say(key, *piece, *piece);
        }
        self.is_incomplete = true;
        let finding = if self.number_alone(piece) { return } else { self.unknown(piece) };
        self.findings.push(finding);
    }

    /// Two facts without a comma between them.
    fn two_facts(&mut self, piece: &Piece<'_>) -> bool {
        let fact = |piece: &Piece<'_>| {
            let said = self.key_of(piece).filter(|(_, value)| !value.text.is_empty()).map(|(key, _)| key);
            said.or_else(|| self.form.bare(piece.text))
        };
        let blanks = piece.text.match_indices(char::is_whitespace).map(|(at, _)| at);
        let mut halves = blanks.map(|at| (piece.within(0, at), piece.behind(at)));
        let are_two = |(one, other): &(Piece<'_>, Piece<'_>)| match (fact(one), fact(other)) {
            (Some(one), Some(other)) => one != other,
            _ => false,
        };
        let Some((one, other)) = halves.find(are_two) else { return false };
        let meant = format!("{}, {}", one.text, other.text);
        self.findings.push(self.slip(
            piece,
            format!("`{}` holds two facts without a comma between them", clip(piece.text)),
            &meant,
        ));
        for fact in [one, other] {
            let _ = self.with_key(&fact) || self.without_key(&fact);
        }
        true
    }

    /// A further segment behind a comma.
    fn one_segment_more(&mut self, piece: &Piece<'_>, before: &Piece<'_>) -> bool {
        let is_route = self.key_of(before).is_some_and(|(key, _)| key == Attribute::Via);
        let is_name =
            !piece.text.contains(char::is_whitespace) && !piece.text.starts_with(|letter: char| letter.is_ascii_digit());
        let is_other = self.form.leaning(piece.text).is_some() && piece.text.chars().any(char::is_lowercase);
        if !is_route || !is_name || is_other || !self.form.keys_for(piece.text).is_empty() {
            return false;
        }
        let text = piece.text;
        let place = crate::text::Span::new(self.file, before.at + before.text.len() as u32, piece.at + text.len() as u32);
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(piece.span(self.file), format!("`{}` has no key, and follows `{}`", clip(text), clip(before.text)))
                .label("a further segment?")
                .help(format!(
                    "write `{} and {}` for several segments, or the key of `{1}` before it",
                    clip(before.text),
                    clip(text)
                ))
                .remedy(
                    Remedy::new(RemedyKind::Spelling, format!("write `{} and {}`", clip(before.text), clip(text)))
                        .edit(place, format!(" and {text}")),
                ),
        );
        if let Some(said) = self.said.iter_mut().find(|said| said.key == Attribute::Via) {
            said.values.push((piece.span(self.file), text.to_owned()));
        }
        true
    }

    /// The value of a key that is not written before it.
    fn lacks_key(&mut self, piece: &Piece<'_>) -> bool {
        let keys = self.form.keys_for(piece.text);
        let Some(first) = keys.first() else { return false };
        self.is_incomplete = true;
        let written: Vec<String> = keys.iter().map(|key| quoted(format!("{key} {}", clip(piece.text)))).collect();
        let headline = format!("`{}` has no key before it", clip(piece.text));
        let meant = format!("{first} {}", piece.text);
        self.findings.push(if keys.len() == 1 {
            self.slip(piece, headline, &meant)
        } else {
            rules::UNEXPECTED_VALUE
                .finding(piece.span(self.file), headline)
                .label("of what?")
                .help(format!("write {}", any(&written)))
        });
        true
    }

    /// A number without its unit.
    fn number_alone(&mut self, piece: &Piece<'_>) -> bool {
        let Err(QuantityError::MissingUnit { readings }) = quantity::parse::<SquareMillimetre>(piece.text) else { return false };
        if !self.form.bare.contains(&Attribute::Size) {
            return false;
        }
        let number = clip(piece.text);
        let mut meant: Vec<String> = readings.iter().map(|reading| format!("`{}` for a size", clip(reading))).collect();
        if !number.contains('/') {
            meant.push(format!("`{number} mm` for a length"));
            meant.push(format!("`row {number}` for the row of a list"));
        }
        self.findings.push(
            rules::QUANTITY
                .finding(piece.span(self.file), format!("`{number}` has no unit"))
                .label("a size or a length?")
                .help(format!("write {}", any(&meant))),
        );
        true
    }

    /// A piece of which nothing is known.
    fn unknown(&self, piece: &Piece<'_>) -> crate::finding::Finding {
        let noun = self.form.noun;
        let finding =
            rules::UNEXPECTED_VALUE.finding(piece.span(self.file), format!("`{}` gives no fact of a {noun}", clip(piece.text)));
        let keys = || self.form.record.fields.iter().map(|field| field.key.word());
        let word = piece.text.split_whitespace().next().unwrap_or_default();
        if let Some(near) = nearest(word, keys()).filter(|_| word.len() < piece.text.len()) {
            let place = Piece { text: word, at: piece.at }.span(self.file);
            return finding
                .label(question(word, near))
                .help(format!("write `{near}`, or another key of a {noun}, before its value"))
                .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(place, near));
        }
        let likely = match (self.form.noun == PIN.noun, piece.text.contains('.')) {
            (true, _) => Attribute::Note,
            (false, true) => Attribute::Core,
            (false, false) => Attribute::Via,
        };
        let bare: Vec<&str> = self.form.bare.iter().map(|key| key.word()).collect();
        let others: Vec<String> = keys()
            .filter(|key| !bare.contains(key) && !self.form.first.iter().any(|first| first.word() == *key))
            .map(quoted)
            .collect();
        finding.label("of what?").help(format!(
            "write its key before it, as in `{} {}`; the keys are {}; a {noun} may be a map too",
            likely,
            clip(piece.text),
            others.join(", ")
        ))
    }
}
