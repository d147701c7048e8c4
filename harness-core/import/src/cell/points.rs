//! End points: where a wire goes, as people write it in one cell or two.

use super::{
    element::{Element, element},
    ground::is_ground,
    known::Known,
    pieces::{is_cavity, is_thread, pieces_of_chain, without_words},
    state::{State, state},
};

/// One place where a wire may end.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Plain {
    /// A cavity of a plug.
    Cavity {
        /// The plug, as written.
        plug: String,
        /// The cavity, as written.
        cavity: String,
    },
    /// A thing without a cavity, or a stud, screw or tab.
    Whole {
        /// Its name as written, its sign included.
        name: String,
        /// How the wire is fixed to it, if the cell says so: `ring`, `stud`, `screw`, `tab` or a thread such as `M8`.
        fixing: Option<String>,
    },
}

/// One station of an end cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// One place.
    At(Plain),
    /// Several at once: a splice with a branch to each.
    Several(Vec<Plain>),
    /// A splice by its name.
    Splice(String),
    /// A splice on another wire.
    On(String),
    /// A splice in the wire that goes to this place.
    Tap(Plain),
    /// A jumper to this place.
    Link(Plain),
    /// Something in line.
    Element(Element),
    /// No place: a state.
    State(State),
}

/// The stations of an end cell from its start to its end: several if it is a chain, as in `A -> F7 -> B`.
///
/// # Errors
/// Why it can't be read.
pub fn chain(cell: &str, known: &Known) -> Result<Vec<End>, String> {
    let mut chain = Vec::new();
    for piece in pieces_of_chain(cell) {
        chain.extend(stations(piece.trim(), known)?);
    }
    if chain.is_empty() { Err("names no end".to_owned()) } else { Ok(chain) }
}

/// A piece between arrows: an end, and perhaps what is in line before it or behind it.
fn stations(piece: &str, known: &Known) -> Result<Vec<End>, String> {
    if let Some(state) = state(piece) {
        return Ok(vec![End::State(state)]);
    }
    let lower = piece.to_lowercase();
    for word in [" via ", " through "] {
        if let Some(at) = lower.find(word)
            && let (Some(end), Some(part)) = (piece.get(..at), piece.get(at + word.len()..))
        {
            let part =
                element(part).ok_or_else(|| format!("goes via `{part}`, which is not a fuse, resistor, diode or capacitor"))?;
            return Ok(vec![End::At(plain(end, known)), End::Element(part)]);
        }
    }
    if lower.starts_with("via ") {
        if let Some(both) = via_to(piece, known) {
            return Ok(both);
        }
        return element(piece)
            .map(|part| vec![End::Element(part)])
            .ok_or_else(|| "goes via something that is not a fuse, resistor, diode or capacitor".to_owned());
    }
    for word in ["short to ", "shorted to ", "jumper to ", "jumpered to ", "jump to ", "link to ", "bridge to ", "jumper "] {
        if let Some(to) = lower.strip_prefix(word).and_then(|rest| piece.get(piece.len() - rest.len()..)) {
            return Ok(vec![End::Link(plain(to, known))]);
        }
    }
    if let Some(rest) =
        lower.strip_suffix(" tap").or_else(|| lower.strip_prefix("tap off ")).or_else(|| lower.strip_prefix("tap "))
    {
        let at = lower.find(rest).unwrap_or(0);
        return Ok(vec![End::Tap(plain(piece.get(at..at + rest.len()).unwrap_or(piece), known))]);
    }
    if known.splices.contains(piece) {
        return Ok(vec![End::Splice(piece.to_owned())]);
    }
    if let Some(splice) = splice(piece) {
        return Ok(vec![splice]);
    }
    if !known.plugs.contains(piece)
        && !known.whole.contains(piece)
        && let Some(part) = element(piece)
    {
        return Ok(vec![End::Element(part)]);
    }
    let places = several(piece, known);
    match <[Plain; 1]>::try_from(places) {
        Ok([place]) => Ok(vec![End::At(place)]),
        Err(places) => Ok(vec![End::Several(places)]),
    }
}

/// `via 10k resistor P8:1`: what is in line, and the end behind it.
fn via_to(piece: &str, known: &Known) -> Option<Vec<End>> {
    let words: Vec<&str> = piece.split_whitespace().collect();
    (2..words.len()).rev().find_map(|at| {
        let part = element(&words.get(..at)?.join(" "))?;
        let end = plain(&words.get(at..)?.join(" "), known);
        matches!(end, Plain::Cavity { .. }).then(|| vec![End::Element(part), End::At(end)])
    })
}

/// `splice (W015)`, `splice 3`, `SP4`, `SPL-2`: how splices are written (conventions seen).
fn splice(piece: &str) -> Option<End> {
    let lower = piece.to_lowercase();
    let rest = [
        "spliced to",
        "splice to",
        "spliced into",
        "splice into",
        "splice on",
        "splice",
        "joint",
        "junction",
        "lötverbinder",
        "quetschverbinder",
        "spleiß",
        "spleiss",
        "épissure",
        "giunzione",
        "empalme",
    ]
    .iter()
    .find_map(|word| lower.strip_prefix(word));
    if let Some(rest) = rest {
        let rest = piece.get(piece.len() - rest.len()..)?;
        let named = rest.trim().trim_matches(['(', ')', '#', ':', '.', '-']).trim();
        let bracketed = rest.trim().starts_with('(') || lower.contains("to ") || lower.contains("on ");
        return Some(match named {
            "" => End::Splice("splice".to_owned()),
            wire if bracketed => End::On(wire.trim_start_matches("wire ").to_owned()),
            name => End::Splice(format!("splice-{name}")),
        });
    }
    let digits = ["SPL", "SP"].iter().find_map(|word| piece.strip_prefix(word))?.trim_start_matches(['-', ' ', '_']);
    (!digits.is_empty() && digits.len() <= 4 && digits.chars().all(|letter| letter.is_ascii_digit()))
        .then(|| End::Splice(piece.replace(' ', "-")))
}

/// The places of a piece: `K1 86 and K2 86`, `X A26+B18`, `a; b; c`.
fn several(piece: &str, known: &Known) -> Vec<Plain> {
    let piece = without_aside(piece);
    if known.whole.contains(piece.as_str()) {
        return vec![plain(&piece, known)];
    }
    let parts = split_places(&piece);
    let mut places: Vec<Plain> = Vec::new();
    for (at, part) in parts.iter().enumerate() {
        let inherited = match places.last() {
            Some(Plain::Cavity { plug, .. }) if at > 0 && is_cavity(part) => Some(plug.clone()),
            _ => None,
        };
        places.push(match inherited {
            Some(plug) => Plain::Cavity { plug, cavity: part.clone() },
            None => plain(part, known),
        });
    }
    // Pieces that are neither cavities nor things of their own: the sign belonged to a name, as in `lamp, left`.
    let is_one_name = places.len() > 1
        && !piece.contains(';')
        && !piece.contains(" and ")
        && !piece.contains(" & ")
        && places.iter().any(|place| matches!(place, Plain::Whole { .. }));
    if is_one_name { vec![plain(&piece, known)] } else { places }
}

/// Words that say how the ends are joined, which the netlist shows anyway.
fn without_aside(piece: &str) -> String {
    let mut text = piece.to_owned();
    for word in
        ["(one ferrule)", "in one ferrule", "one ferrule", "(same ferrule)", "same ferrule", "(spliced)", "spliced together"]
    {
        if let Some(at) = text.to_lowercase().find(word) {
            text.replace_range(at..at + word.len(), "");
        }
    }
    text.trim().trim_end_matches([',', ';', '&']).trim().to_owned()
}

fn split_places(piece: &str) -> Vec<String> {
    let joined = piece.replace(" and ", ";").replace(" und ", ";").replace(" et ", ";").replace(" & ", ";").replace('&', ";");
    let mut parts: Vec<String> = Vec::new();
    for part in joined.split([';', ',']) {
        // A plus between two cavities; behind a name it is its sign.
        let mut rest = part.trim();
        while let Some((left, right)) = rest.split_once('+') {
            let (left, right) = (left.trim(), right.trim());
            if left.is_empty()
                || right.is_empty()
                || !is_cavity(right.split([' ', '+', ':']).next().unwrap_or("")) && !right.contains([' ', ':'])
            {
                break;
            }
            parts.push(left.to_owned());
            rest = right;
        }
        parts.push(rest.to_owned());
    }
    parts.retain(|part| !part.is_empty());
    parts
}

/// One place, as `plug:cavity`, `plug cavity`, `plug-cavity`, `plug pin 3`, or a thing by its name.
#[must_use]
pub fn plain(text: &str, known: &Known) -> Plain {
    let text = text.trim();
    if known.whole.contains(text) {
        return Plain::Whole { name: text.to_owned(), fixing: None };
    }
    let spoken = without_words(text);
    let cavity = |plug: &str, cavity: &str| Plain::Cavity { plug: plug.trim().to_owned(), cavity: cavity.trim().to_owned() };
    if let Some((plug, label)) = spoken.rsplit_once(':')
        && !plug.trim().is_empty()
        && is_label(label.trim())
    {
        return cavity(plug, label);
    }
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((plug, label)) = spoken.strip_suffix(close).and_then(|inner| inner.rsplit_once(open))
            && !plug.trim().is_empty()
            && is_cavity(label.trim())
            && !is_ground(plug)
        {
            return cavity(plug, label);
        }
    }
    if let Some((plug, label)) = spoken.rsplit_once(char::is_whitespace)
        && is_cavity(label)
        && !is_ground(plug)
        && (known.plugs.contains(plug.trim()) || !(is_thread(label) || is_fixing(plug)))
    {
        return cavity(plug, label);
    }
    if let Some((plug, label)) = spoken.rsplit_once('.')
        && is_cavity(label)
        && plug.contains(char::is_alphabetic)
    {
        return cavity(plug, label);
    }
    if let Some((plug, label)) = spoken.rsplit_once(['-', '/'])
        && is_cavity(label)
        && !is_ground(plug)
        && (known.is_stem(plug) || known.plugs.contains(plug))
    {
        return cavity(plug, label);
    }
    whole(text)
}

/// A thing by its name; words for how the wire is fixed to it are taken out of it.
pub(crate) fn whole(text: &str) -> Plain {
    let mut fixing = None;
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut kept = Vec::new();
    for word in &words {
        let bare = word.trim_matches(['(', ')', ',']);
        let lower = bare.to_lowercase();
        if is_thread(bare) {
            fixing = Some(bare.to_owned());
        } else if is_fixing(&lower) && words.len() > 1 {
            let plain = if ["ring", "lug", "bolt", "bolted", "stud"].contains(&lower.as_str()) { "stud" } else { lower.as_str() };
            fixing = fixing.or_else(|| Some(plain.to_owned()));
        } else {
            kept.push(*word);
        }
    }
    let name = if kept.is_empty() { text.to_owned() } else { kept.join(" ") };
    Plain::Whole { name, fixing }
}

fn is_fixing(word: &str) -> bool {
    ["ring", "stud", "lug", "bolt", "bolted", "screw", "tab"].contains(&word.trim().to_lowercase().as_str())
}

/// What may be a cavity behind a colon or in a column of its own: any short text without blanks.
fn is_label(text: &str) -> bool {
    !text.is_empty() && text.chars().count() <= 12 && !text.contains(char::is_whitespace)
}
