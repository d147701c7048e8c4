//! `harness diagnose`: which fault explains what was measured, and what to measure next.

use crate::{
    args::Diagnose,
    exit,
    failure::Failure,
    phrase::{all, counted, quoted},
    render::{kit::paper, papers::diagnosis},
    source::input,
    terminal::Look,
};
use harness_core::{
    Analysis,
    bench::{
        Identity,
        diagnose::{Reading, Search, Silent, Verdict},
    },
    inspect::{Found, Names, Thing},
    internals::model::PointId,
};
use std::io::{Read, Write};

/// Looks for the fault that explains readings.
///
/// # Errors
/// If the design or the table can't be read, if a reading can't be read or names nothing, if there is no such mode, or if `out` can't be written.
pub fn run(args: &Diagnose, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let asked: Vec<String> = args.mode.iter().cloned().collect();
    let (_, analysis) = super::analyse(&args.file, &asked, "look for a fault of", input)?;
    let told = |why: String| Failure::Told(format!("look for a fault of `{}`: {why}", args.file.display()));
    let modes: Vec<_> = analysis.electrical().modes_as_written().iter().map(|state| state.id).collect();
    let mode = match modes.as_slice() {
        [mode] => *mode,
        [] => return Err(told("it has no modes, so nothing flows in it".to_owned())),
        modes => {
            let names: Vec<&str> = modes.iter().map(|mode| analysis.model().mode_name(*mode)).collect();
            return Err(told(format!("name the mode in which something does not work with `--mode`: {}", all(&quoted(&names)))));
        }
    };
    let Some(search) = Search::new(&analysis, mode, args.noise) else {
        return Err(told("nothing is known of that mode".to_owned()));
    };
    let against = args.against.as_deref().map(|name| point(&analysis, name)).transpose().map_err(told)?;
    let mut texts = args.readings.clone();
    if let Some(path) = &args.table_of_readings {
        let named = |why: String| Failure::Told(format!("read the readings of `{}`: {why}", path.display()));
        let bytes = input::file(path).map_err(|unread| named(unread.why()))?;
        texts.extend(rows(&bytes).map_err(named)?);
    }
    let readings = readings(&search, &texts, against).map_err(told)?;
    if readings.is_empty() && search.is_large() {
        return Err(told(
            "say what was measured or seen with `--reading`: the design is too large to try every fault of it".to_owned(),
        ));
    }
    let weighed = search.weighed(&readings);
    let found = weighed.diagnose(&readings);
    let unknown: Vec<String> = super::mistakes(&analysis).into_iter().collect();
    let mode = analysis.model().mode_name(mode);
    let is_fine = found.verdict == Verdict::AsDesigned && !search.is_large();
    let silent = if is_fine { elsewhere(args, mode, &analysis) } else { None };
    let shown = diagnosis::Shown { search: &search, readings: &readings, found: &found, mode, most: args.most, unknown, silent };
    let papers = [diagnosis::paper(&shown)];
    paper::write(&papers, &Identity::of(&analysis), (args.format, args.table.as_deref()), look, out)?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// Where faults show that show nowhere in this mode, in one sentence.
fn elsewhere(args: &Diagnose, mode: &str, analysis: &Analysis) -> Option<String> {
    // Of the same design in all of its modes.
    let analysis = Analysis::of_all(analysis.design());
    let model = analysis.model();
    let own = analysis.electrical().modes_as_written().iter().map(|state| state.id).find(|id| model.mode_name(*id) == mode);
    let silent = own.and_then(|own| Silent::of(&analysis, own, args.noise));
    silent.filter(|silent| silent.faults > 0).map(|silent| {
        let others = silent.shown_in.iter().map(|(mode, faults)| format!("{faults} in `{}`", model.mode_name(*mode)));
        let mut said: Vec<String> = others.collect();
        said.push(format!(
            "{} in no mode, because next to nothing flows there or both contacts are at one voltage",
            silent.nowhere
        ));
        format!(
            "Of {} that show nowhere in this mode, these show elsewhere: {}.",
            counted(silent.faults, "fault"),
            said.join(", ")
        )
    })
}

/// All readings, or what is wrong with each that is none.
fn readings(search: &Search<'_>, texts: &[String], against: Option<PointId>) -> Result<Vec<Reading>, String> {
    let (mut readings, mut wrong): (Vec<Reading>, Vec<String>) = (Vec::new(), Vec::new());
    for (text, found) in texts.iter().zip(search.read(texts, against)) {
        match found {
            Ok(reading) => {
                let twice = readings.iter().find(|known| known.probe == reading.probe && known.value != reading.value);
                if let Some(twice) = twice {
                    wrong.push(format!(
                        "reading `{text}` is of the same place as `{}`: keep the one that is true now",
                        twice.written
                    ));
                } else if !readings.iter().any(|known| known.probe == reading.probe) {
                    readings.push(reading);
                }
            }
            Err(why) => wrong.push(format!("reading `{text}`: {why}")),
        }
    }
    if wrong.is_empty() { Ok(readings) } else { Err(wrong.join("; ")) }
}

fn point(analysis: &Analysis, name: &str) -> Result<PointId, String> {
    match Names::new(analysis.model()).find(name) {
        Found::One(Thing::Point(point)) => Ok(point),
        Found::Nothing(near) => Err(format!("`--against {name}`: {}", crate::phrase::nothing(&near))),
        Found::Several { names, more } => Err(format!("`--against {name}`: {}", crate::phrase::several(&names, more))),
        Found::One(_) => Err(format!("`--against {name}`: no probe fits there; name a contact, a stud or a ring")),
    }
}

/// The readings of a table, each as `PLACE=VALUE`.
fn rows(bytes: &[u8]) -> Result<Vec<String>, String> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let mut columns: Option<[Option<usize>; 3]> = None;
    let mut found = Vec::new();
    for (row, record) in (1..).zip(reader.records()) {
        let record = record.map_err(|error| error.to_string())?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let at = match columns {
            Some(columns) => columns,
            None => {
                let of = |names: &[&str]| record.iter().position(|cell| names.contains(&cell.to_lowercase().as_str()));
                let headed = [of(&["place", "point", "at"]), of(&["value", "reading", "read"]), of(&["against", "black lead"])];
                match headed {
                    [Some(_), Some(_), _] => {
                        columns = Some(headed);
                        continue;
                    }
                    _ => *columns.insert([Some(0), Some(1), Some(2)]),
                }
            }
        };
        let cell = |at: Option<usize>| at.and_then(|at| record.get(at)).filter(|cell| !cell.is_empty());
        let [place, value, against] = at.map(cell);
        let (Some(place), Some(value)) = (place, value) else {
            return Err(format!("row {row} has no place or no value; write `place,value` or `place,value,against`"));
        };
        found.push(match against {
            Some(against) => format!("{place}-{against}={value}"),
            None => format!("{place}={value}"),
        });
    }
    Ok(found)
}
