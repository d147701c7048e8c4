//! Places within the words of a wire or pin, as if each piece had its key before it; and what may be written where none has one yet.

use super::{
    cursor::{self, Level, Place, Side},
    expected::{expected, map_of},
    proposal::{Proposal, ProposalKind},
    values,
};
use crate::format::{
    Attribute,
    shape::{RecordShape, Shape},
    worded::{Form, form_of, pieces},
};

/// Where the byte `offset` of `text` is; `None` within a comment. In the words of a wire or pin it is behind the key of the piece that it is in.
#[must_use]
pub fn place(text: &str, offset: usize) -> Option<Place> {
    let place = cursor::place(text, offset)?;
    Some(within(&place, text, offset).unwrap_or(place))
}

/// How a record is written as words, if a value of it may be.
pub(super) fn form(shape: Shape) -> Option<&'static Form> {
    match map_of(shape)? {
        Shape::Record(record) => form_of(record),
        _ => None,
    }
}

/// The piece of the words that holds the place.
fn within(place: &Place, text: &str, offset: usize) -> Option<Place> {
    let form = form(expected(place)?.shape).filter(|_| place.side == Side::Value)?;
    let words = text.get(place.start..place.end).filter(|words| !words.starts_with(['{', '[', '|', '>', '&', '*']))?;
    let all = pieces(words, place.start as u32);
    let key_of = |text: &str| {
        let (word, _) = text.split_once(char::is_whitespace)?;
        form.field(word).map(|field| field.key)
    };
    // The blank behind a comma belongs to what will be written there.
    let at = all.iter().rposition(|piece| piece.at as usize <= offset).unwrap_or(0);
    let piece = all.get(at)?;
    let others = all.iter().enumerate().filter(|(number, _)| *number > 0 && *number != at).map(|(_, piece)| piece.text);
    let given = others.filter_map(|other| key_of(other).or_else(|| form.bare(other))).map(key_word);
    let given: Vec<String> = form.first.iter().copied().map(key_word).chain(given).collect();
    let (start, end) = (piece.at as usize, piece.at as usize + piece.text.len());
    let start = if piece.text.is_empty() { offset } else { start };
    let behind = |key: Attribute, start: usize, end: usize| {
        let mut levels = place.levels.clone();
        levels.push(Level::Key { name: key_word(key), beside: given.clone() });
        let (mut start, mut end) = (start, end.max(start));
        if is_list(form.record, key) {
            levels.push(Level::Item);
            let typed = text.get(start..end).unwrap_or_default();
            let before = text.get(start..offset.clamp(start, end)).unwrap_or_default();
            let from = before.rfind(" and ").map_or(start, |and| start + and + " and ".len());
            end = typed.get(from - start..).and_then(|rest| rest.find(" and ")).map_or(end, |and| from + and);
            start = from;
        }
        Place { levels, side: Side::Value, beside: given.clone(), start, end, is_quoted: true, is_flow: true }
    };
    if at == 0 {
        let [first, rest @ ..] = form.first else { return None };
        let Some(second) = rest.first() else {
            // One word may be `spare` too.
            return (all.len() > 1).then(|| behind(*first, start, end));
        };
        return Some(match piece.text.find(" to ") {
            Some(to) if offset >= start + to + " to ".len() => behind(*second, start + to + " to ".len(), end),
            // A blank behind `to` is the end of what is typed.
            None if piece.text.ends_with(" to") && offset > end => behind(*second, offset, offset),
            to => behind(*first, start, to.map_or(end, |to| start + to)),
        });
    }
    if let Some(key) = key_of(piece.text) {
        let word = key.word().len() + 1;
        if offset >= start + word {
            return Some(behind(key, start + word, end));
        }
    }
    // At its end a piece may still become another: `1 m` is the beginning of `1 mm2`.
    Some(match form.bare(piece.text).filter(|_| offset < end) {
        Some(key) => behind(key, start, end),
        None => Place { beside: given, start, end: end.max(start), is_quoted: true, ..place.clone() },
    })
}

fn key_word(key: Attribute) -> String {
    key.word().to_owned()
}

fn is_list(record: &RecordShape, key: Attribute) -> bool {
    record.fields.iter().any(|field| field.key == key && matches!((field.shape)(), Shape::List(_)))
}

/// What may be written where a piece begins: a key with a blank behind it, or a value that is known by its form.
pub(super) fn of_piece(form: &'static Form, place: &Place, typed: &str, items: &mut Vec<Proposal>) {
    let free = |key: Attribute| !place.beside.iter().any(|given| given == key.word());
    for key in form.bare.iter().copied().filter(|key| free(*key)) {
        if let Some(field) = form.field(key.word()) {
            values::of_shape((field.shape)(), typed, items);
        }
    }
    let others = form.record.fields.iter().filter(|field| free(field.key) && !form.bare.contains(&field.key));
    items.extend(others.map(|field| {
        let word = field.key.word();
        let proposal = Proposal::new(ProposalKind::Key, word).doc(field.doc.trim()).detail(values::words((field.shape)()));
        Proposal { text: format!("{word} "), ..proposal }.rank(2)
    }));
}

#[cfg(test)]
mod tests {
    use super::{Level, place};

    /// The way to `|`, and what is typed there.
    fn at(rest: &str) -> (String, String) {
        let text = format!("looms:\n  l:\n    wires:\n      {rest}\n");
        let offset = text.find('|').unwrap();
        let text = text.replacen('|', "", 1);
        let place = place(&text, offset).unwrap();
        let way = place.levels.iter().skip(4).map(|level| if let Level::Key { name, .. } = level { name.as_str() } else { "-" });
        (way.collect::<Vec<_>>().join(" "), text[place.start..place.end].to_owned())
    }

    #[test]
    fn a_place_in_words_is_behind_the_key_of_its_piece() {
        for (text, way, typed) in [
            ("1: |", "from", ""),
            ("1: P1.|", "from", "P1."),
            ("1: P1|.2 to P2.1, RD", "from", "P1.2"),
            ("1: P1.2 to |", "to", ""),
            ("1: P1.2 to P2.|, RD", "to", "P2."),
            ("1: P1.2 to P2.1, R|D, 1 m", "colour", "RD"),
            ("1: P1.2 to P2.1, 0.7|5 mm2", "size", "0.75 mm2"),
            ("1: P1.2 to P2.1, |", "", ""),
            ("1: P1.2 to P2.1, tw|", "", "tw"),
            ("1: P1.2 to P2.1, twist T|, 1 m", "twist", "T"),
            ("1: P1.2 to P2.1, via TR|", "via -", "TR"),
            ("1: P1.2 to P2.1, via TRUNK and R|E", "via -", "RE"),
            ("1: P1.2 to P2.1, via TR|UNK and RE", "via -", "TRUNK"),
            ("1: \"P1.2 to P2.|\"", "to", "P2."),
            ("1: { from: P1.|", "from", "P1."),
        ] {
            assert_eq!(at(text), (way.to_owned(), typed.to_owned()), "{text}");
        }
    }
}
