//! Where in a file a place is: which keys lead to it, and what is being typed there.
//!
//! Read from the lines alone, outwards from the place: what is half typed there, or broken elsewhere, does not matter. Block style
//! goes by indentation, flow style by the brackets that are open at the place. Cost: the lines up to the top of what the place is in.

mod scan;

use super::lines::{Line, end_of, start_of};
use scan::Scan;

/// One step on the way from the top of a file to a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Level {
    /// A key, with those beside it that are known.
    Key {
        /// The key.
        name: String,
        /// The keys of the same map, itself among them; not all of them far from the place.
        beside: Vec<String>,
    },
    /// An item of a list.
    Item,
}

/// Whether a key or a value is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// A key, or the first item of something that is still to become a map or a list.
    Key,
    /// A value.
    Value,
}

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The way to it from the top.
    pub levels: Vec<Level>,
    /// A key or a value.
    pub side: Side,
    /// The other keys of the map in which a key is typed.
    pub beside: Vec<String>,
    /// Where the text begins that is typed, without its quote.
    pub start: usize,
    /// Where it ends, which may be behind the place.
    pub end: usize,
    /// It is written in quotes.
    pub is_quoted: bool,
    /// It is within brackets.
    pub is_flow: bool,
}

/// Where the byte `offset` of `text` is; `None` within a comment.
#[must_use]
pub fn place(text: &str, offset: usize) -> Option<Place> {
    let offset = (0..=offset.min(text.len())).rev().find(|at| text.is_char_boundary(*at))?;
    let here = start_of(text, offset);
    let line = text.get(here..end_of(text, here))?;
    let read = Line::read(line);
    // On an empty line the place itself is the indentation.
    let is_empty = line.trim().is_empty();
    let indent = if is_empty { offset - here } else { read.start() };
    let first = flow_start(text, here, indent);
    let mut scan = Scan::new(text, first);
    scan.run(offset);
    if scan.is_comment {
        return None;
    }
    let own = Line::read(text.get(first..end_of(text, first))?);
    let column = if first == here && is_empty { offset - here } else { own.start() };
    let is_key = scan.frames.is_empty() && scan.key.is_none();
    let near = Near { levels: if scan.frames.is_empty() { 2 } else { 0 } };
    let (mut levels, mut beside) = above(text, first, column, &own, near);
    if is_key && !own.dashes.is_empty() {
        // A sibling above begins at the column of the key, not of the dash.
        beside.clear();
    }
    if let Some(key) = &scan.key {
        let mut keys = std::mem::take(&mut beside);
        keys.push(key.clone());
        levels.push(Level::Key { name: key.clone(), beside: keys });
    } else if is_key {
        beside.extend(below(text, first, if is_empty { column } else { own.column }));
    }
    let depth = scan.frames.len();
    let token = scan.token.unwrap_or(offset);
    let (mut open, is_quoted) = (scan.frames.clone(), scan.quote.is_some());
    // Keys behind the place, as far as its line goes.
    scan.closed.clear();
    scan.run(end_of(text, offset));
    for (frame, later) in open.iter_mut().zip(&scan.frames) {
        frame.keys = later.keys.clone();
    }
    if let Some(frame) = open.last_mut().filter(|_| scan.frames.len() < depth)
        && let Some((_, keys)) = scan.closed.into_iter().find(|(at, _)| *at == depth)
    {
        frame.keys = keys;
    }
    let innermost = open.len();
    let mut side = if is_key { Side::Key } else { Side::Value };
    for (number, frame) in open.into_iter().enumerate() {
        match (frame.is_map, frame.key) {
            (false, _) => {
                levels.push(Level::Item);
                side = Side::Value;
            }
            (true, Some(key)) => {
                levels.push(Level::Key { name: key, beside: frame.keys });
                side = Side::Value;
            }
            (true, None) => {
                side = Side::Key;
                if number + 1 == innermost {
                    beside = frame.keys;
                }
            }
        }
    }
    let (start, end) = extent(text, token, offset, (depth > 0, side, is_quoted));
    if side == Side::Key {
        // What is being typed is not beside itself.
        let typed = text.get(start..end).unwrap_or("");
        if let Some(at) = beside.iter().position(|key| key == typed) {
            beside.remove(at);
        }
    }
    beside.dedup();
    Some(Place { levels, side, beside, start, end, is_quoted, is_flow: depth > 0 })
}

/// From where to where goes the text that is typed.
fn extent(text: &str, token: usize, offset: usize, (is_flow, side, is_quoted): (bool, Side, bool)) -> (usize, usize) {
    let line_end = end_of(text, offset);
    let rest = text.get(offset..line_end).unwrap_or("");
    if is_quoted {
        let quote = text.as_bytes().get(token).copied().map_or('"', char::from);
        return (token + 1, rest.find(quote).map_or(offset, |at| offset + at));
    }
    let ends = |at: usize, letter: char| match letter {
        ',' | ']' | '}' | '[' | '{' => is_flow,
        ':' => {
            side == Side::Key && rest.get(at + 1..).is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', ',', '}', ']']))
        }
        '#' => at > 0 && rest.get(..at).is_some_and(|before| before.ends_with(' ')) || at == 0,
        _ => false,
    };
    let end = rest.char_indices().find(|(at, letter)| ends(*at, *letter)).map_or(rest.len(), |(at, _)| at);
    let kept = rest.get(..end).unwrap_or("").trim_end().len();
    (token.min(offset), offset + kept)
}

/// The line in which the outermost bracket opens that is open at the line `here`; itself if none is.
fn flow_start(text: &str, here: usize, indent: usize) -> usize {
    let (mut first, mut least, mut probe) = (here, indent, here);
    while least > 0 && probe > 0 {
        probe = start_of(text, probe - 1);
        let line = text.get(probe..end_of(text, probe)).unwrap_or("");
        let read = Line::read(line);
        if read.is_blank || read.start() >= least {
            continue;
        }
        let mut scan = Scan::new(text, probe);
        scan.run(probe + line.len());
        if scan.frames.is_empty() {
            break;
        }
        (first, least) = (probe, read.start());
    }
    first
}

/// How many levels next to the place are asked for the keys beside them.
struct Near {
    levels: usize,
}

/// The keys that lead to the line `first`, whose first column is `column`, and those beside what it begins with.
fn above(text: &str, first: usize, column: usize, own: &Line<'_>, near: Near) -> (Vec<Level>, Vec<String>) {
    let mut levels: Vec<Level> = Vec::new();
    let (mut at, mut of_list) = (column, !own.dashes.is_empty());
    let mut beside: Vec<Vec<String>> = vec![Vec::new()];
    let mut probe = first;
    let keeps = |levels: &[Level]| levels.len() <= near.levels;
    while (at > 0 || of_list) && probe > 0 {
        probe = start_of(text, probe - 1);
        let line = Line::read(text.get(probe..end_of(text, probe)).unwrap_or(""));
        if line.is_blank {
            continue;
        }
        match line.key {
            Some(key) if line.column < at || (of_list && line.dashes.is_empty() && line.column == at) => {
                levels.push(Level::Key { name: key.to_owned(), beside: Vec::new() });
                beside.push(vec![key.to_owned()]);
                (at, of_list) = (line.column, false);
            }
            Some(key) if line.column == at && !of_list && keeps(&levels) => {
                if let Some(keys) = beside.last_mut() {
                    keys.push(key.to_owned());
                }
            }
            _ => {}
        }
        let is_around = line.column <= at;
        for dash in line.dashes.iter().rev() {
            if is_around && *dash < at {
                levels.push(Level::Item);
                beside.push(Vec::new());
                (at, of_list) = (*dash, true);
            }
        }
    }
    // What is found last is outermost; the keys beside a level were found after it.
    let mut own_beside = beside.first().cloned().unwrap_or_default();
    own_beside.reverse();
    for (level, keys) in levels.iter_mut().zip(beside.into_iter().skip(1)) {
        if let Level::Key { beside, .. } = level {
            *beside = keys;
        }
    }
    levels.reverse();
    levels.extend(own.dashes.iter().map(|_| Level::Item));
    (levels, own_beside)
}

/// The keys below a line that are of the same map.
fn below(text: &str, first: usize, column: usize) -> Vec<String> {
    let (mut keys, mut probe) = (Vec::new(), end_of(text, first));
    while let Some(next) = text.get(probe..).and_then(|rest| rest.find('\n')).map(|newline| probe + newline + 1) {
        probe = end_of(text, next);
        let line = Line::read(text.get(next..probe).unwrap_or(""));
        if line.is_blank || line.start() > column {
            continue;
        }
        match line.key.filter(|_| line.start() == column && line.dashes.is_empty()) {
            Some(key) => keys.push(key.to_owned()),
            None => break,
        }
    }
    keys
}

#[cfg(test)]
mod tests {
    use super::{Level, Place, Side, place};

    /// The place of `|`, as its way, its side and what is typed.
    fn at(text: &str) -> (String, Side, String, Vec<String>) {
        let offset = text.find('|').unwrap();
        let text = text.replacen('|', "", 1);
        let Place { levels, side, start, end, beside, .. } = place(&text, offset).unwrap();
        let way: Vec<&str> =
            levels.iter().map(|level| if let Level::Key { name, .. } = level { name.as_str() } else { "-" }).collect();
        (way.join(" "), side, text[start..end].to_owned(), beside)
    }

    const LOOMS: &str = "format: 1\nlooms:\n  front:\n    ends:\n      P1: { housing: A }\n    wires:\n";

    #[test]
    fn a_place_is_found_in_block_and_flow_style() {
        let way = |rest: &str| {
            let (way, side, typed, _) = at(&format!("{LOOMS}{rest}"));
            (way, side == Side::Key, typed)
        };
        let found = |levels: &str, is_key, typed: &str| (levels.to_owned(), is_key, typed.to_owned());
        assert_eq!(way("      101: { from: P1.|, to: S1 }\n"), found("looms front wires 101 from", false, "P1."));
        assert_eq!(way("      101: { from: P1.1, to: |"), found("looms front wires 101 to", false, ""));
        assert_eq!(way("      101: { from: P1.1, si|"), found("looms front wires 101", true, "si"));
        assert_eq!(way("      101: { from: P1.1, via: [A, |"), found("looms front wires 101 via -", false, ""));
        assert_eq!(way("      101:\n        fr|\n"), found("looms front wires 101", true, "fr"));
        assert_eq!(way("      101:\n        from: P1|.2\n"), found("looms front wires 101 from", false, "P1.2"));
        assert_eq!(way("      101: { from: P1.1,\n             to: P|\n"), found("looms front wires 101 to", false, "P"));
        assert_eq!(way("      1|01: { from: P1.1 }\n"), found("looms front wires", true, "101"));
        assert_eq!(way("    ro|\n"), found("looms front", true, "ro"));
        assert_eq!(way("      101: { from: \"P|\", to: S1 }\n"), found("looms front wires 101 from", false, "P"));
        assert_eq!(way("po|\n"), found("", true, "po"));
    }

    #[test]
    fn a_line_that_is_open_above_takes_no_line_of_its_own_indentation_along() {
        let (way, side, typed, _) = at(&format!("{LOOMS}      101: {{ from: P1.1, to:\n      102: {{ from: |\n"));
        assert_eq!((way.as_str(), side, typed.as_str()), ("looms front wires 102 from", Side::Value, ""));
    }

    #[test]
    fn items_of_lists_are_found_where_they_are_indented_and_where_not() {
        for indent in ["", "  "] {
            let text = format!("waivers:\n{indent}- finding: a/b\n{indent}  at: |\n");
            assert_eq!(at(&text).0, "waivers - at", "{text}");
            let text = format!("waivers:\n{indent}- finding: a/b\n{indent}  r|\n");
            let (way, side, _, beside) = at(&text);
            assert_eq!((way.as_str(), side, beside), ("waivers -", Side::Key, vec!["finding".to_owned()]), "{text}");
            let text = format!("waivers:\n{indent}- finding: a/b\n{indent}- fi|\n");
            assert_eq!(at(&text).0, "waivers -", "{text}");
        }
    }

    #[test]
    fn the_keys_beside_a_place_are_known() {
        let text = format!("{LOOMS}      101: {{ from: P1.1, |, size: 1 mm2 }}\n");
        assert_eq!(at(&text).3, ["from", "size"]);
        let text = "devices:\n  pump:\n    zone: hood\n    |\n    ports: {}\n  fan: {}\n";
        assert_eq!(at(text).3, ["zone", "ports"]);
        let text = "devices:\n  pump:\n    inside:\n      F1:\n        fuse: a\n        from: |\n";
        let offset = text.find('|').unwrap();
        let levels = place(text, offset).unwrap().levels;
        assert_eq!(
            levels.last(),
            Some(&Level::Key { name: "from".to_owned(), beside: vec!["fuse".to_owned(), "from".to_owned()] })
        );
    }

    #[test]
    fn there_is_nothing_to_type_in_a_comment() {
        assert_eq!(place("a: 1 # b", 7), None);
        assert!(place("a: 1#b", 6).is_some());
        // Any place of any text has an answer.
        let text = "ä: {ß: [é, \"\u{1f600}\n  - x: }]\n\t- -: '\n";
        for offset in 0..=text.len() + 3 {
            if let Some(place) = place(text, offset) {
                assert!(text.get(place.start..place.end).is_some(), "{offset}: {place:?}");
            }
        }
    }
}
