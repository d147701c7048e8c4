//! The folder of an imported design: what is made once and left alone, what is replaced, and in which order.

use crate::{
    failure::Failure,
    output,
    source::{disk::DiskFiles, input},
};
use harness_core::{FileError, Files};
use harness_import::Imported;
use std::{
    fs, io,
    path::{Path, PathBuf},
};

/// The folder of generated files.
const IMPORTED: &str = "imported";

/// What generated files begin with.
const MARK: &str = "# Made by `harness import`";

/// The files of a design without those that an import made.
pub(super) struct Own<'a>(pub(super) &'a DiskFiles);

impl Files for Own<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        if name.split('/').next() == Some(IMPORTED) { Ok(Vec::new()) } else { self.0.read(name) }
    }

    fn beside(&self, name: &str) -> Vec<String> {
        self.0.beside(name)
    }
}

/// The folder of a design.
pub(super) struct Place {
    folder: PathBuf,
}

/// What was written.
pub(super) struct Written {
    /// The root of the design.
    pub(super) design: PathBuf,
    /// Files that were made or replaced, as they are shown.
    pub(super) files: Vec<String>,
    /// Files of people that were left alone.
    pub(super) kept: Vec<String>,
    /// What else is to be said.
    pub(super) said: Vec<String>,
}

impl Place {
    /// Looks at the folder; nothing is written yet.
    pub(super) fn open(folder: &Path) -> Result<Self, Failure> {
        let place = Self { folder: folder.to_owned() };
        if folder.exists() && !folder.is_dir() {
            return Err(place.failed(folder, "it is there already and is not a folder; name another"));
        }
        let design = folder.join("design.yaml");
        if design.exists() && !folder.join(IMPORTED).is_dir() {
            return Err(place.failed(folder, "it holds a design that was not imported; name another folder"));
        }
        place.only_generated()?;
        Ok(place)
    }

    fn failed(&self, path: &Path, why: &str) -> Failure {
        Failure::Told(format!("import into `{}`: {why}", path.display()))
    }

    /// The folder of generated files holds nothing of anybody's own.
    fn only_generated(&self) -> Result<(), Failure> {
        let folder = self.folder.join(IMPORTED);
        let Ok(entries) = fs::read_dir(&folder) else { return Ok(()) };
        for entry in entries.filter_map(Result::ok) {
            let path = entry.path();
            let is_ours = path.file_name().is_some_and(|name| name == "not-read.csv")
                || input::file(&path).is_ok_and(|bytes| bytes.starts_with(MARK.as_bytes()));
            if !is_ours {
                return Err(self.failed(&path, "the folder of generated files holds a file of another kind; move it elsewhere, because all there is replaced"));
            }
        }
        Ok(())
    }

    /// The mapping of an earlier import.
    pub(super) fn mapping(&self) -> Option<PathBuf> {
        Some(self.folder.join("mapping.yaml")).filter(|path| path.exists())
    }

    /// The design of an earlier import.
    pub(super) fn design(&self) -> Option<PathBuf> {
        Some(self.folder.join("design.yaml")).filter(|path| path.exists())
    }

    /// Writes what an import made: the generated files in one step, then what people own where it is not there yet.
    pub(super) fn write(&self, made: &Imported, mapping: Option<&Path>, is_named: bool) -> Result<Written, Failure> {
        let system = |error: io::Error| self.failed(&self.folder, &input::reason(&error));
        fs::create_dir_all(&self.folder).map_err(system)?;
        let mut written =
            Written { design: self.folder.join("design.yaml"), files: Vec::new(), kept: Vec::new(), said: Vec::new() };
        self.replace(made)?;
        written.files.extend(made.files.keys().map(|name| format!("{IMPORTED}/{name}")));
        let name = self
            .folder
            .canonicalize()
            .ok()
            .and_then(|path| path.file_name().map(|name| name.to_string_lossy().into_owned()))
            .unwrap_or_else(|| "Imported".to_owned());
        for (file, text) in [("design.yaml", design(&name)), ("facts.yaml", facts(made))] {
            let path = self.folder.join(file);
            if path.exists() {
                written.kept.push(file.to_owned());
            } else {
                output::write(&path, text.as_bytes(), false, &[])?;
                written.files.push(file.to_owned());
            }
        }
        let own = self.folder.join("mapping.yaml");
        match (own.exists(), made.new_lists.is_empty()) {
            (false, _) => {
                output::write(&own, made.mapping.as_bytes(), false, &[])?;
                written.files.push("mapping.yaml".to_owned());
            }
            (true, true) => written.kept.push("mapping.yaml".to_owned()),
            (true, false) => {
                // A mapping from elsewhere says nothing of what the own one lacks.
                if is_named && mapping.is_some_and(|path| !same_file::is_same_file(path, &own).unwrap_or(false)) {
                    written.kept.push("mapping.yaml".to_owned());
                } else {
                    self.add_lists(&own, &made.new_lists, &mut written)?;
                }
            }
        }
        Ok(written)
    }

    /// Adds the lists that are new to the mapping of people, whose lines stay as they are.
    fn add_lists(&self, path: &Path, lists: &str, written: &mut Written) -> Result<(), Failure> {
        let old = input::file(path).map_err(|unread| self.failed(path, &unread.why()))?;
        let text = String::from_utf8_lossy(&old).into_owned();
        let new = match text.find("\nlists:\n").map(|at| at + 1).or_else(|| text.starts_with("lists:\n").then_some(0)) {
            Some(at) => {
                let (before, behind) = text.split_at(at + "lists:\n".len());
                format!("{before}{lists}{behind}")
            }
            None if !text.contains("lists:") => {
                format!("{text}{}lists:\n{lists}", if text.is_empty() || text.ends_with('\n') { "" } else { "\n" })
            }
            None => {
                written.kept.push("mapping.yaml".to_owned());
                written.said.push(format!("mapping.yaml does not name every list, and its `lists` are not written one below the other; add there:\n{lists}"));
                return Ok(());
            }
        };
        output::rewrite(&[output::Rewrite { path: path.to_owned(), old: &old, new: new.as_bytes() }])?;
        written.files.push("mapping.yaml (lists added)".to_owned());
        Ok(())
    }

    /// Puts the generated files in the place of those of the last import, all or none.
    fn replace(&self, made: &Imported) -> Result<(), Failure> {
        let system = |error: io::Error| self.failed(&self.folder.join(IMPORTED), &input::reason(&error));
        let (new, old, own) = (self.folder.join(".imported.new"), self.folder.join(".imported.old"), self.folder.join(IMPORTED));
        for left in [&new, &old] {
            if left.is_dir() {
                fs::remove_dir_all(left).map_err(system)?;
            }
        }
        let files: Vec<(String, Vec<u8>)> =
            made.files.iter().map(|(name, text)| (name.clone(), text.clone().into_bytes())).collect();
        output::folder(&new, &files)?;
        if own.is_dir() {
            fs::rename(&own, &old).map_err(system)?;
        }
        if let Err(error) = fs::rename(&new, &own) {
            let _ = fs::rename(&old, &own);
            return Err(system(error));
        }
        if old.is_dir() {
            fs::remove_dir_all(&old).map_err(system)?;
        }
        Ok(())
    }
}

fn design(name: &str) -> String {
    let name = name.replace(['"', '\\'], "");
    format!(
        "# The design. This file is yours: `harness import` made it once and leaves it alone.\n\
         format: 1\n\
         design: \"{name}\"\n\
         include:\n  - imported/lists.yaml\n  - facts.yaml\n\n\
         # What no list says. An example:\n\
         # domains:\n#   aux: {{ nominal: 12 V, max: 15 V, reference: chassis }}\n\
         # zones:\n#   cabin: {{ ambient: 60 degC }}\n"
    )
}

fn facts(made: &Imported) -> String {
    let loom = made.looms.first().map_or("loom", String::as_str);
    format!(
        "# What the lists don't say. This file is yours: `harness import` made it once and leaves it alone.\n\
         # Whatever is written here comes on top of what was imported, key by key, under the same names.\n\n\
         # parts:\n#   housings:\n#     four-way: {{ family: any name, positions: 4, contacts: socket }}\n\
         #   conductors:\n#     thin-wall: {{ rated: 105 degC, voltage: 60 V, insulation: PVC }}\n\
         parts: {{}}\n\n\
         # devices:\n#   P1:\n#     ports: {{ J: {{ housing: four-way-header }} }}\n\
         #     inside: {{ lamp: {{ load: 55 W, from: J.1, to: J.2, kind: lamp }} }}\n\
         devices: {{}}\n\n\
         # looms:\n#   {loom}:\n#     wire: thin-wall\n#     ends:\n#       P1: {{ housing: four-way }}\n\
         looms: {{}}\n"
    )
}
