//! A name changed everywhere, with proof that nothing else means anything else after it.

use super::{
    index::Index,
    proposal::{needs_quotes, quoted},
    symbols::{Sort, SymbolId},
    token::Token,
};
use crate::{
    finding::Edit,
    format::limits::NAME,
    text::{FileId, SourceFile, Sources, letters},
};
use rustc_hash::FxHashMap;
use std::fmt;

/// Why a name can't be changed; a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused(pub String);

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn refused<T>(why: impl Into<String>) -> Result<T, Refused> {
    Err(Refused(why.into()))
}

/// The name at a byte of a file, if it may be changed.
///
/// # Errors
/// If there is no name, it is a label of a housing, it means several things at once, or the design does not define it.
pub fn nameable(index: &Index, file: FileId, offset: u32) -> Result<Token, Refused> {
    let tokens = index.at(file, offset);
    let Some(token) = tokens.first().copied() else { return refused("there is no name here") };
    let path = index.path(token.symbol);
    if tokens.iter().any(|other| other.symbol != token.symbol) {
        return refused(format!("`{path}` is written once for several things"));
    }
    match index.sort(token.symbol) {
        Some(sort) if sort.is_label() => refused(format!("`{path}` has the label of its housing, which gives its positions")),
        Some(sort) if !sort.is_shared() && index.definitions(token.symbol).is_empty() => {
            refused(format!("the {} `{path}` is defined nowhere", sort.noun()))
        }
        Some(_) => Ok(token),
        None => refused("there is no name here"),
    }
}

/// Refuses what another device or loom has too by this name and is like the one that holds it: what it has from there names its own.
fn is_of_one(index: &Index, symbol: SymbolId, sort: Sort) -> Result<(), Refused> {
    let Some(holder) = index.parent(symbol) else { return Ok(()) };
    let gathered = &index.gathered;
    let is_alike = |other: SymbolId| {
        other != holder && (gathered.alike(other).any(|base| base == holder) || gathered.alike(holder).any(|base| base == other))
    };
    let name = index.name(symbol);
    let twins = gathered.symbols.all().filter(|(_, other)| other.sort == sort && index.names.text(other.name) == name);
    let mut twins = twins.filter_map(|(twin, other)| other.parent.filter(|holder| is_alike(*holder)).map(|_| twin));
    match twins.next() {
        Some(twin) => refused(format!("what names `{}` too is written once for several things", index.path(twin))),
        None => Ok(()),
    }
}

/// The edits that give a thing another name, in all files.
///
/// # Errors
/// If the new name can't be one, is taken, or if after it some name of the design would mean another thing than before.
///
/// # Cost
/// The files are read once more.
pub fn rename(index: &Index, sources: &Sources, symbol: SymbolId, new: &str) -> Result<Vec<Edit>, Refused> {
    let Some(sort) = index.sort(symbol) else { return refused("there is no such thing") };
    is_name(sort, new)?;
    if index.name(symbol) == new {
        return Ok(Vec::new());
    }
    is_free(index, symbol, sort, new)?;
    is_of_one(index, symbol, sort)?;
    let mut edits = Vec::new();
    for token in index.of(symbol) {
        let others = index.at(token.span.file, token.span.start);
        if others.iter().any(|other| other.span == token.span && other.symbol != symbol) {
            return refused(format!("{} is written once for several things", sources.place(token.span)));
        }
        if !token.is_verbatim {
            return refused(format!("{} writes the name with escapes: write it plainly first", sources.place(token.span)));
        }
        edits.push(Edit { span: token.span, text: written(sources, token, new) });
    }
    edits.sort_unstable();
    edits.dedup();
    prove(index, sources, symbol, new, &edits)?;
    Ok(edits)
}

fn is_name(sort: Sort, new: &str) -> Result<(), Refused> {
    if new.is_empty() || new.trim() != new {
        return refused("a name holds at least a letter and does not begin or end with a blank");
    }
    if new.chars().any(char::is_control) {
        return refused("a name is written on one line");
    }
    if sort.is_dotted() && (new.contains('.') || new.contains(char::is_whitespace)) {
        return refused("the name would hold a dot or a blank: references are written `device.port.pin`");
    }
    if sort.is_dotted() && needs_quotes(new) {
        return refused(format!("`{new}` would have to be quoted wherever it is written; use letters, digits and dashes"));
    }
    let letters = new.chars().count();
    if letters > NAME.most {
        return refused(format!("the name has {letters} letters, {} too many", letters - NAME.most));
    }
    if letters::oddity(new).is_some() {
        return refused(format!("`{}` holds letters that look like others, or that can't be seen", letters::visible(new)));
    }
    Ok(())
}

fn is_free(index: &Index, symbol: SymbolId, sort: Sort, new: &str) -> Result<(), Refused> {
    let parent = index.parent(symbol);
    let sorts = [sort].into_iter().chain(sort.shares_names_with().iter().copied());
    for sort in sorts {
        let Some(other) = index.find(parent, sort, new) else { continue };
        if !index.definitions(other).is_empty() {
            return refused(format!("the {} `{}` bears this name already", sort.noun(), index.path(other)));
        }
    }
    Ok(())
}

/// The new name as it is written in the place of a token.
fn written(sources: &Sources, token: &Token, new: &str) -> String {
    let before = token.span.start.checked_sub(1);
    let quote = before.and_then(|at| sources.file(token.span.file)?.text().as_bytes().get(at as usize).copied());
    match quote {
        Some(b'"') => new.replace('\\', "\\\\").replace('"', "\\\""),
        Some(b'\'') => new.replace('\'', "''"),
        _ if needs_quotes(new) => quoted(new),
        _ => new.to_owned(),
    }
}

/// Reads the edited files: each name must mean what it meant, under the new name where it is that of the renamed thing.
fn prove(index: &Index, sources: &Sources, symbol: SymbolId, new: &str, edits: &[Edit]) -> Result<(), Refused> {
    let Some(edited) = edited(sources, edits) else { return refused("two places of the name touch each other") };
    let after = Index::new(&edited);
    let elsewhere = |token: &Token| refused(format!("after that {} would mean another thing", sources.place(token.span)));
    let mut pairs: FxHashMap<SymbolId, SymbolId> = FxHashMap::default();
    let mut back: FxHashMap<SymbolId, SymbolId> = FxHashMap::default();
    // Where the same place bears several names, their order is that of the things, which is another after a rename.
    let key = |index: &Index, token: &Token, old: bool| {
        let path = if old { renamed_path(index, token.symbol, symbol, new) } else { index.path(token.symbol) };
        (index.sort(token.symbol), path, token.defines)
    };
    let (mut one, mut other) = (groups(index), groups(&after));
    loop {
        let (now, then) = match (one.next(), other.next()) {
            (None, None) => return Ok(()),
            (Some(now), Some(then)) => (now, then),
            (Some(rest), None) | (None, Some(rest)) => {
                return rest.first().map_or_else(|| refused("after that names would be lost"), elsewhere);
            }
        };
        let Some(first) = now.first() else { continue };
        let mut was: Vec<_> = now.iter().map(|token| (key(index, token, true), token.symbol)).collect();
        let mut is: Vec<_> = then.iter().map(|token| (key(&after, token, false), token.symbol)).collect();
        was.sort_unstable();
        is.sort_unstable();
        if was.len() != is.len() {
            return elsewhere(first);
        }
        for ((was, id), (is, other)) in was.into_iter().zip(is) {
            let is_same = *pairs.entry(id).or_insert(other) == other && *back.entry(other).or_insert(id) == id;
            if was != is || !is_same {
                return elsewhere(first);
            }
        }
    }
}

/// The path of a thing once another bears its new name.
fn renamed_path(index: &Index, of: SymbolId, renamed: SymbolId, new: &str) -> String {
    let mut parts = Vec::new();
    let mut next = Some(of);
    while let Some(id) = next {
        parts.push(if id == renamed { new } else { index.name(id) });
        next = index.parent(id);
    }
    parts.reverse();
    parts.join(".")
}

/// The tokens of one place after the other.
fn groups(index: &Index) -> impl Iterator<Item = &[Token]> {
    index.tokens().chunk_by(|one, other| one.span == other.span)
}

/// The files with edits made, in the same order.
fn edited(sources: &Sources, edits: &[Edit]) -> Option<Sources> {
    let mut after = Sources::new();
    for (id, file) in sources.files() {
        let (mut text, mut done) = (String::with_capacity(file.text().len()), 0);
        for edit in edits.iter().filter(|edit| edit.span.file == id) {
            text.push_str(file.text().get(done..edit.span.start as usize)?);
            text.push_str(&edit.text);
            done = edit.span.end as usize;
        }
        text.push_str(file.text().get(done..)?);
        after.add(SourceFile::new(file.name().to_owned(), text))?;
    }
    Some(after)
}
