//! Rows of measured readings, as a person wrote them, to places and figures: what can't be read is said, nothing is guessed.

use super::Metered;
use crate::{
    bench::ring_out::{
        bare::Spot,
        plan::Plan,
        planned::{STRIP, StepId},
        reading::{Reading, Setting},
        rig::Rig,
    },
    suggest::nearest,
};
use std::collections::BTreeMap;

/// One row of a list of measured readings, as it is written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MeasuredRow {
    /// Its line in the file.
    pub line: usize,
    /// The loom; empty where the list does not say it.
    pub loom: String,
    /// One place, or `leads` for the reading with the tips of the leads held together.
    pub from: String,
    /// The other place, or `strip` for all that are clipped together.
    pub to: String,
    /// What was read: `0.3`, `0.3 ohm`, `1.2 kohm`, `0.55 V`, `open`, `OL`; empty where nothing was.
    pub value: String,
}

/// What a list of rows comes to.
#[derive(Debug, Default)]
pub(in crate::bench::ring_out) struct Read<'p> {
    pub(in crate::bench::ring_out) observed: Vec<Metered<'p>>,
    /// What could not be read or contradicts itself, in the order of the lines.
    pub(in crate::bench::ring_out) troubles: Vec<String>,
    /// What is odd and changes nothing.
    pub(in crate::bench::ring_out) notes: Vec<String>,
    /// The leads by themselves, in ohm, which are taken off each reading.
    pub(in crate::bench::ring_out) leads: Option<f64>,
}

/// Words of a meter and of people for what nothing joins.
const OPEN: [&str; 9] = ["open", "ol", "o.l", "o.l.", "0l", "inf", "infinite", "∞", "overload"];

pub(in crate::bench::ring_out) fn read<'p>(rig: &Rig, plan: &'p Plan, loom: &str, rows: &[MeasuredRow]) -> Read<'p> {
    let names: BTreeMap<&str, Spot> = rig.bare.spots.iter().map(|(spot, place)| (place.name.as_str(), spot)).collect();
    let mut read = Read::default();
    let is_ours = |row: &&MeasuredRow| row.loom.is_empty() || row.loom == loom;
    let is_leads = |row: &&MeasuredRow| ["leads", "tips"].contains(&row.from.as_str());
    let rows: Vec<&MeasuredRow> = rows.iter().filter(is_ours).collect();
    for row in rows.iter().filter(|row| is_leads(row)) {
        match figure(&row.value, Setting::Ohms) {
            Ok(Some(Reading::Ohms(ohm))) => read.leads = Some(ohm),
            Ok(None) => {}
            Ok(Some(_)) | Err(_) => {
                read.troubles.push(format!("line {}: `{}` is not the resistance of leads", row.line, row.value))
            }
        }
    }
    let mut taken: BTreeMap<Place, (usize, Reading)> = BTreeMap::new();
    let mut conflicting: Vec<Place> = Vec::new();
    let place = |name: &str, line: usize, troubles: &mut Vec<String>| {
        found(&names, loom, name).map_err(|why| troubles.push(format!("line {line}: {why}"))).ok()
    };
    for row in rows.into_iter().filter(|row| !is_leads(row)) {
        let from = place(&row.from, row.line, &mut read.troubles);
        let strip = (row.to == STRIP).then(|| from.and_then(|from| plan.at[from].iter().copied().find(|id| is_strip(plan, *id))));
        let to = match strip {
            None => place(&row.to, row.line, &mut read.troubles),
            Some(Some(id)) => Some(plan.steps[id].to),
            Some(None) => {
                if from.is_some() {
                    read.troubles.push(format!("line {}: no step holds `{}` against the strip", row.line, row.from));
                }
                None
            }
        };
        let (Some(from), Some(to)) = (from, to) else { continue };
        if from == to {
            read.troubles.push(format!("line {}: both leads are at `{}`", row.line, row.from));
            continue;
        }
        let strip = strip.flatten();
        let setting = if strip.is_some() { Setting::Ohms } else { setting(plan, from, to, &row.value) };
        let reading = match figure(&row.value, setting) {
            Ok(Some(reading)) => reading,
            Ok(None) => continue,
            Err(why) => {
                read.troubles.push(format!("line {}: `{}` is {why}", row.line, row.value));
                continue;
            }
        };
        let reading = match (reading, read.leads) {
            (Reading::Ohms(ohm), Some(leads)) => Reading::Ohms(ohm - leads),
            (reading, _) => reading,
        };
        let key = match (strip, setting) {
            (Some(id), _) => Place::Strip(id),
            (None, Setting::Ohms) => Place::Pair(from.min(to), from.max(to)),
            (None, Setting::Diode) => Place::Diode(from, to),
        };
        match taken.get(&key) {
            Some((line, before)) if *before == reading => {
                read.notes.push(format!("line {}: the same reading as in line {line}", row.line));
            }
            Some((line, _)) => {
                let what = "another reading of the same two places; neither counts: take it again";
                read.troubles.push(format!("line {}: {what} (line {line})", row.line));
                conflicting.push(key);
            }
            None => {
                taken.insert(key, (row.line, reading));
            }
        }
    }
    for (key, (_, reading)) in taken {
        if conflicting.contains(&key) {
            continue;
        }
        let (from, to, setting, strip) = match key {
            Place::Pair(from, to) => (from, to, Setting::Ohms, None),
            Place::Diode(from, to) => (from, to, Setting::Diode, None),
            Place::Strip(id) => {
                let step = &plan.steps[id];
                (step.from, step.to, step.setting, Some(&plan.strip))
            }
        };
        read.observed.push(Metered { from, to, strip, setting, reading });
    }
    read
}

/// The place of a name, with the loom before it or without; else what is there.
pub(super) fn found(names: &BTreeMap<&str, Spot>, loom: &str, name: &str) -> Result<Spot, String> {
    let full = format!("{loom}.{name}");
    names.get(name).or_else(|| names.get(full.as_str())).copied().ok_or_else(|| {
        let near = nearest(name, names.keys().copied()).or_else(|| nearest(&full, names.keys().copied()));
        let near = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        format!("loom `{loom}` has no `{name}`{near}")
    })
}

/// What a reading is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Place {
    /// Two places, whichever lead is where.
    Pair(Spot, Spot),
    /// A diode from the one to the other.
    Diode(Spot, Spot),
    /// A step against the strip.
    Strip(StepId),
}

fn is_strip(plan: &Plan, id: StepId) -> bool {
    plan.steps[id].is_on_strip()
}

/// What the meter was set to: as the plan has it for these places, else by the unit.
fn setting(plan: &Plan, from: Spot, to: Spot, value: &str) -> Setting {
    let is_step = |id: &&StepId| {
        let step = &plan.steps[**id];
        step.from == from && step.to == to && !step.is_on_strip()
    };
    match plan.at[from].iter().find(is_step) {
        Some(step) => plan.steps[*step].setting,
        None if value.trim_end().ends_with(['V', 'v']) => Setting::Diode,
        None => Setting::Ohms,
    }
}

/// A figure with its unit; nothing for an empty cell.
fn figure(written: &str, setting: Setting) -> Result<Option<Reading>, &'static str> {
    let text = written.trim().trim_start_matches(['>', '~', '=']).trim();
    if text.is_empty() {
        return Ok(None);
    }
    if OPEN.contains(&text.to_lowercase().as_str()) {
        return Ok(Some(Reading::Open));
    }
    let digits = text.find(|letter: char| !(letter.is_ascii_digit() || ".,-+".contains(letter))).unwrap_or(text.len());
    let (number, unit) = text.split_at_checked(digits).ok_or("no figure")?;
    let number: f64 = number.replace(',', ".").parse().map_err(|_| "no figure: write what the meter shows, or `open`")?;
    let unit = unit.trim();
    let reading = match (unit, setting) {
        ("", Setting::Ohms) => Reading::Ohms(number),
        ("", Setting::Diode) | ("V" | "v" | "volt" | "volts", _) => Reading::Volts(number),
        ("mV", _) => Reading::Volts(number / 1e3),
        _ => {
            let (prefix, base) = unit.char_indices().next_back().map_or((unit, ""), |_| split_ohm(unit));
            let scale = match prefix {
                "" => 1.0,
                "m" => 1e-3,
                "k" | "K" => 1e3,
                "M" => 1e6,
                "G" => 1e9,
                _ => return Err("of a unit that is not known: ohm, kohm, Mohm or V"),
            };
            if base.is_empty() && prefix.is_empty() {
                return Err("of a unit that is not known: ohm, kohm, Mohm or V");
            }
            Reading::Ohms(number * scale)
        }
    };
    let is_off = matches!((reading, setting), (Reading::Ohms(_), Setting::Diode))
        || matches!((reading, setting), (Reading::Volts(_), Setting::Ohms));
    if is_off {
        return Err("of another setting of the meter than this step asks for");
    }
    Ok(Some(reading))
}

/// The prefix of a unit of resistance, and the unit.
fn split_ohm(unit: &str) -> (&str, &str) {
    for base in ["ohms", "Ohms", "ohm", "Ohm", "OHM", "Ω", "Ω", "R"] {
        if let Some(prefix) = unit.strip_suffix(base) {
            return (prefix.trim(), base);
        }
    }
    (unit, "")
}

#[cfg(test)]
mod tests {
    use super::{Reading, Setting, figure};

    #[test]
    fn figures_are_read_as_meters_and_people_write_them() {
        let ohms = |written| figure(written, Setting::Ohms).expect(written).expect(written);
        for (written, ohm) in [
            ("0.3", 0.3),
            ("0,3 ohm", 0.3),
            ("120 mohm", 0.12),
            ("1.2k", 1200.0),
            ("1.2 kΩ", 1200.0),
            ("> 20 Mohm", 2e7),
            ("-0.1", -0.1),
        ] {
            let Reading::Ohms(read) = ohms(written) else { panic!("{written}") };
            assert!((read - ohm).abs() < 1e-9 * ohm.abs(), "{written}: {read}");
        }
        for written in ["OL", "o.l", "open", "∞", " Open "] {
            assert_eq!(ohms(written), Reading::Open, "{written}");
        }
        assert_eq!(figure("0.55", Setting::Diode), Ok(Some(Reading::Volts(0.55))));
        assert_eq!(figure("550 mV", Setting::Diode), Ok(Some(Reading::Volts(0.55))));
        assert_eq!(figure("  ", Setting::Ohms), Ok(None));
        for written in ["ok", "beep", "3 apples", "1.2.3", "0.55 V", "--", "5 A"] {
            assert!(figure(written, Setting::Ohms).is_err(), "{written}");
        }
        assert!(figure("120 ohm", Setting::Diode).is_err());
    }
}
