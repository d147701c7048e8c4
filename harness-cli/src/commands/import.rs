//! `harness import`: a netlist made of wire lists.

mod lists;
mod place;

use crate::{
    args::{Import, ImportFormat},
    exit,
    failure::Failure,
    render::import::{self as render, Made},
    source::{design, input},
    terminal::Look,
};
use harness_core::{
    Analysis, Design, Document,
    diff::{Comparison, Inventory, effect::Pair, inventory},
};
use harness_import::{Kinds, asks::asks, import, mapping::Mapping};
use harness_sheets::{Book, Options, read};
use place::Place;
use std::{
    collections::BTreeMap,
    io::{Read, Write},
    path::{Path, PathBuf},
};

/// How many facts are asked for.
const ASKS: usize = 5;

/// Makes or renews a netlist.
///
/// # Errors
/// If a list or the mapping can't be read, if no wire was read, or if the folder can't be written.
pub fn run(args: &Import, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let place = Place::open(&args.out)?;
    let mapping_path = args.mapping.clone().or_else(|| place.mapping());
    let mut mapping = match &mapping_path {
        Some(path) => mapping(path)?,
        None => Mapping::default(),
    };
    let lists = lists::of(&args.lists)?;
    for path in &lists.mappings {
        mapping.take(self::mapping(path)?);
    }
    let books = books(&lists.files, args.encoding.clone())?;
    let kinds = place.design().map(|path| kinds(&path, input)).transpose()?.unwrap_or_default();
    let shown: Vec<String> = args.lists.iter().map(|path| format!("`{}`", path.display())).collect();
    let mut made =
        import(&books, &mapping, &kinds).map_err(|refused| Failure::Told(format!("import {}: {refused}", shown.join(", "))))?;
    let before = place.design().map(|path| revision(&path, input)).transpose()?;
    let written = place.write(&made, mapping_path.as_deref(), args.mapping.is_some())?;
    // The generated files are as long as the lists, and nothing asks for them any more.
    made.files.clear();
    let now = revision(&written.design, input)?;
    let checker = super::checker()?;
    let report = checker.check(&now.1);
    let conductors = report.summary.conductors;
    let asks = asks(&report, conductors, ASKS);
    let changes = before.map(|before| {
        let inventories = Pair { old: before.0, new: now.0 };
        let compared = Comparison::between(inventories, &before.1, &now.1, &checker);
        compared.changes.iter().map(|change| change.headline()).collect()
    });
    let remarks =
        books.iter().flat_map(|book| book.remarks.iter().map(|remark| (book.name.clone(), remark.to_string()))).collect();
    let shown = Made {
        made,
        remarks,
        written: written.files,
        kept: written.kept,
        said: written.said,
        out: args.out.display().to_string(),
        changes,
        asks,
        report,
    };
    match args.format {
        ImportFormat::Text => render::text(&shown, look, out)?,
        ImportFormat::Json => render::json(&shown, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

fn mapping(path: &Path) -> Result<Mapping, Failure> {
    let failed = |why: String| Failure::Told(format!("read the mapping `{}`: {why}", path.display()));
    let bytes = input::file(path).map_err(|unread| failed(unread.why()))?;
    let text = String::from_utf8(bytes).map_err(|_| failed("it is not UTF-8".to_owned()))?;
    Mapping::read(&text).map_err(failed)
}

/// Reads all lists; two of one name are called by their paths.
fn books(lists: &[PathBuf], encoding: Option<String>) -> Result<Vec<Book>, Failure> {
    let options = Options { encoding };
    let mut count: BTreeMap<String, u32> = BTreeMap::new();
    let name =
        |path: &PathBuf| path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    for path in lists {
        *count.entry(name(path)).or_default() += 1;
    }
    let mut books = Vec::new();
    for path in lists {
        let failed = |why: String| Failure::Told(format!("read `{}`: {why}", path.display()));
        let bytes = input::file(path).map_err(|unread| failed(unread.why()))?;
        let own = name(path);
        let own =
            if count.get(&own).is_some_and(|count| *count > 1) { path.display().to_string().replace('\\', "/") } else { own };
        books.push(read(&own, &bytes, &options).map_err(|why| failed(why.to_string()))?);
    }
    Ok(books)
}

/// The kinds of parts that people have written into a design: those of the last import are made anew.
fn kinds(path: &Path, input: &mut dyn Read) -> Result<Kinds, Failure> {
    let files = design::open(path, input)?;
    Ok(Kinds::of(&Document::read(&place::Own(&files), files.root())))
}

/// The design in a folder: what it is made of, and what flows in it.
fn revision(path: &Path, input: &mut dyn Read) -> Result<(Inventory, Analysis), Failure> {
    let files = design::open(path, input)?;
    let document = Document::read(&files, files.root());
    let inventory = inventory(&document);
    Ok((inventory, Analysis::of_all(&Design::of(document))))
}
