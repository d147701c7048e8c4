//! Which files are the lists: those that are named, and those in folders that are.

use crate::{failure::Failure, source::input};
use std::{
    fs,
    path::{Path, PathBuf},
};

/// Files of lists, and the mappings beside them.
#[derive(Debug, Default)]
pub(super) struct Lists {
    pub(super) files: Vec<PathBuf>,
    pub(super) mappings: Vec<PathBuf>,
}

impl Lists {
    /// Takes the mapping in a folder of lists, once.
    fn mapping_in(&mut self, folder: &Path) {
        let mapping = folder.join("mapping.yaml");
        if mapping.is_file() && !self.mappings.contains(&mapping) {
            self.mappings.push(mapping);
        }
    }
}

/// The lists that arguments name; a folder is all CSV files and workbooks in it.
///
/// # Errors
/// If a folder can't be read or holds no list.
pub(super) fn of(paths: &[PathBuf]) -> Result<Lists, Failure> {
    let mut lists = Lists::default();
    for path in paths {
        if !path.is_dir() {
            lists.files.push(path.clone());
            lists.mapping_in(path.parent().unwrap_or(Path::new("")));
            continue;
        }
        let failed = |why: &str| Failure::Told(format!("read the lists in `{}`: {why}", path.display()));
        let entries = fs::read_dir(path).map_err(|error| failed(&input::reason(&error)))?;
        let mut inside: Vec<PathBuf> =
            entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|path| is_list(path)).collect();
        if inside.is_empty() {
            return Err(failed("no CSV file and no XLSX workbook is in it"));
        }
        inside.sort();
        lists.files.extend(inside);
        lists.mapping_in(path);
    }
    Ok(lists)
}

fn is_list(path: &Path) -> bool {
    let is = |known: &str| path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(known));
    // A spreadsheet program that has a workbook open leaves a file `~$…` beside it.
    let is_lock = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("~$"));
    path.is_file() && !is_lock && ["csv", "tsv", "xlsx", "xlsm"].into_iter().any(is)
}
