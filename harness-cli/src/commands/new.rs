//! `harness new`: a design to begin with, several files for a kind of job, clean and commented.

use crate::{
    args::{New, Starter},
    exit,
    failure::Failure,
    output,
    phrase::counted,
    render::kit::printable,
};
use std::{io::Write, path::PathBuf};

/// The files of a starter: their names and texts.
type Texts = &'static [(&'static str, &'static str)];

macro_rules! starter {
    ($folder:literal: $($file:literal)+) => {
        &[$(($file, include_str!(concat!("../../starters/", $folder, "/", $file)))),+]
    };
}

/// The design's own file in a starter; it is renamed after the design.
const OWN: &str = "design.yaml";

/// The line of it that names the design.
const NAMED: &str = "design: Starter\n";

/// What every starter has beside its netlist.
const COMMON: Texts =
    &[("README.md", include_str!("../../starters/README.md")), ("check.sh", include_str!("../../starters/check.sh"))];

impl Starter {
    fn texts(self) -> Texts {
        match self {
            Self::Loom12v => starter!("loom-12v": "design.yaml" "parts.yaml" "devices.yaml" "looms.yaml"),
            Self::Cart48v => starter!("cart-48v": "design.yaml" "parts.yaml" "devices.yaml" "looms.yaml"),
            Self::ClassB => starter!("class-b": "design.yaml" "parts.yaml" "devices.yaml" "looms.yaml"),
            Self::TrailerSocket => starter!("trailer-socket": "design.yaml" "parts.yaml" "devices.yaml" "looms.yaml"),
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Loom12v => "a 12 V loom",
            Self::Cart48v => "a cart with a 48 V drive",
            Self::ClassB => "a conversion with voltage class B",
            Self::TrailerSocket => "a trailer socket of seven contacts",
        }
    }
}

/// Writes a starter into a folder of its own, all of it or nothing.
///
/// # Errors
/// If the name gives no name of a folder, the folder is there already or can't be written, or `out` can't be written.
pub fn run(args: &New, out: &mut dyn Write) -> Result<u8, Failure> {
    let name = args.name.trim();
    if name.is_empty() || name.contains(char::is_control) {
        return Err(Failure::Told("begin a design without a name; write one, such as `harness new \"Orchard lift\"`".to_owned()));
    }
    let slug = slug(name);
    if slug.is_empty() {
        return Err(Failure::Told(format!("begin the design `{}`: its name has no letter or digit for a file", printable(name))));
    }
    let folder = args.out.clone().unwrap_or_else(|| PathBuf::from(&slug));
    let own = format!("{slug}.yaml");
    let files: Vec<(String, Vec<u8>)> = args
        .kind
        .texts()
        .iter()
        .chain(COMMON)
        .map(|(file, text)| match *file {
            OWN => (own.clone(), text.replace(NAMED, &format!("design: {}\n", quoted(name))).into_bytes()),
            file => (file.to_owned(), text.replace("DESIGN.yaml", &own).into_bytes()),
        })
        .collect();
    output::folder(&folder, &files)?;
    let shown = printable(&folder.display().to_string()).into_owned();
    writeln!(out, "{shown}: {}, {}", args.kind.words(), counted(files.len(), "file"))?;
    for (file, _) in &files {
        writeln!(out, "  {shown}/{file}")?;
    }
    writeln!(
        out,
        "next: `harness check {shown}`; it is clean, and its figures are invented: replace them by those of your parts"
    )?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// A name as the name of a file: lower case, with hyphens for all that is neither letter nor digit.
fn slug(name: &str) -> String {
    let words: Vec<String> =
        name.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect();
    words.join("-")
}

/// A name as a text of YAML, in quotes so that nothing in it means anything else.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::{COMMON, NAMED, OWN, quoted, slug};
    use crate::args::Starter;
    use clap::ValueEnum;

    #[test]
    fn every_starter_names_its_design_once() {
        for starter in Starter::value_variants() {
            let own: Vec<_> = starter.texts().iter().filter(|(file, _)| *file == OWN).collect();
            assert_eq!(own.len(), 1, "{starter:?}");
            assert_eq!(own[0].1.matches(NAMED).count(), 1, "{starter:?}");
        }
        assert!(COMMON.iter().all(|(_, text)| text.contains("DESIGN.yaml")));
    }

    #[test]
    fn a_name_becomes_a_file_and_a_text() {
        assert_eq!(slug("Orchard lift, 48 V"), "orchard-lift-48-v");
        assert_eq!(slug("Mähwerk/2"), "mähwerk-2");
        assert_eq!(slug("../.."), "");
        assert_eq!(quoted(r#"a "b" \c"#), r#""a \"b\" \\c""#);
    }
}
