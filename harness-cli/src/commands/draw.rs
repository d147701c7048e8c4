//! `harness draw`: pictures of a design, as SVG or PNG.

use crate::{
    args::Draw,
    exit,
    failure::Failure,
    output,
    render::{
        kit::{caution::SHORT_CAUTION, printable},
        pictures::gallery::scaled,
    },
};
use harness_draw::{Drawing, Links};
use std::{
    io::{Read, Write},
    path::Path,
};

/// Draws what is asked for.
///
/// # Errors
/// If the design can't be read, if nothing has this name or there is no such picture of it, or if a file can't be written.
pub fn run(args: &Draw, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let form = Form::of(&args.output)?;
    let (files, analysis) = super::analyse(&args.file, &args.modes, "draw", input)?;
    let because = super::mistakes(&analysis).map_or_else(String::new, |mistakes| format!("; not known: {mistakes}"));
    let told = |reason: String| Failure::Told(format!("draw `{}`: {reason}{because}", args.file.display()));
    let drawn = scaled(&analysis, args.kind, &args.names, args.scale).map_err(told)?;
    if drawn.is_empty() {
        return Err(told("the design has nothing of this kind".to_owned()));
    }
    let read = files.read_so_far();
    let paths = output::beside(&args.output, drawn.iter().map(|plate| plate.name.as_str()));
    for (plate, path) in drawn.iter().zip(&paths) {
        let (bytes, missing) = form.bytes(&plate.drawing).map_err(told)?;
        output::write(path, &bytes, args.force, &read)?;
        writeln!(out, "{}: {}", printable(&path.display().to_string()), plate.drawing.title())?;
        if !missing.is_empty() {
            let letters: String = missing.into_iter().collect();
            writeln!(out, "  not in the program's font, boxes in this picture: {letters}; an SVG has them")?;
        }
    }
    writeln!(out, "{SHORT_CAUTION}")?;
    if !because.is_empty() {
        writeln!(out, "{}", because.trim_start_matches("; "))?;
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// How a picture is written.
#[derive(Clone, Copy)]
enum Form {
    Svg,
    Png,
}

impl Form {
    /// By the end of the name.
    fn of(path: &Path) -> Result<Self, Failure> {
        let end = path.extension().and_then(|end| end.to_str()).unwrap_or_default().to_ascii_lowercase();
        match end.as_str() {
            "svg" => Ok(Self::Svg),
            "png" => Ok(Self::Png),
            _ => Err(Failure::Told(format!("draw into `{}`: the name must end with `.svg` or `.png`", path.display()))),
        }
    }

    /// The file, and the letters that it lacks.
    fn bytes(self, drawing: &Drawing) -> Result<(Vec<u8>, Vec<char>), String> {
        match self {
            Self::Svg => Ok((drawing.svg(&Links::none()).into_bytes(), Vec::new())),
            Self::Png => drawing.png().map(|png| (png.bytes, png.missing)),
        }
    }
}
