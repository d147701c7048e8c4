//! Swaps as text that stays within a width.

use super::word;
use crate::{
    phrase::{all, counted, quoted},
    render::{
        Checked,
        kit::{
            blocks::{flow, heading, said},
            caution::caution,
            printable,
        },
    },
    terminal::Look,
};
use harness_core::inspect::{CureRow, Grade, Swap, Swaps};
use std::io::{self, Write};

/// Pairs of one grade that are listed; JSON has all.
pub const MOST: usize = 30;
/// Names in one line.
const MOST_NAMES: usize = 12;

/// Writes what was compared, the pairs by grade, and the keys that rule the worst out.
///
/// # Errors
/// If `out` can't be written.
pub fn write(
    checked: &Checked,
    swaps: &Swaps,
    (dangerous, unknown): (bool, Option<&str>),
    look: Look,
    out: &mut dyn Write,
) -> io::Result<()> {
    writeln!(out, "swaps of {}", checked.shown(&checked.root))?;
    let counts = &swaps.counts;
    let of_fits = format!("{} of {}", counted(swaps.plugs, "connector"), counted(swaps.fits, "family and size"));
    let of_fits = of_fits.replace("family and sizes", "families and sizes");
    let of_one_size = counts.pairs + counts.keyed + counts.apart;
    let fit = format!(
        "{} of {} of one family and size; keys keep {} apart, zones and free lengths {}",
        counts.pairs,
        counted(of_one_size, "pair"),
        counts.keyed,
        counts.apart
    );
    let number = |count: usize| count.to_string();
    let turned = if swaps.turned == 0 { "none".to_owned() } else { counted(swaps.turned, "way") };
    let (danger, damage, unjudged) = (number(counts.danger), number(counts.damage), number(counts.unjudged));
    let (mixed, harmless) = (number(counts.mixed), number(counts.harmless));
    let missing = few(&swaps.unknown);
    let faces = few(&swaps.without_face);
    let zones = match swaps.without_zone.as_slice() {
        [] => String::new(),
        names => format!("{}, taken to reach all", few(names)),
    };
    said(
        &[
            ("compared", &of_fits),
            ("fit", &fit),
            ("danger", &danger),
            ("damage", &damage),
            ("not judged", &unjudged),
            ("mixed up", &mixed),
            ("harmless", &harmless),
            ("turned", &turned),
            ("not compared", &missing),
            ("no zone", &zones),
            ("no face, no key", &faces),
            ("not known", unknown.unwrap_or_default()),
        ],
        look,
        out,
    )?;
    writeln!(out)?;
    flow("", "", &verdict(swaps), look, out)?;
    for grade in [Grade::Danger, Grade::Damage, Grade::Unjudged, Grade::Mixed] {
        list(swaps, grade, look, out)?;
    }
    if !swaps.cures.is_empty() {
        writeln!(out)?;
        heading(if dangerous { "keys against danger" } else { "keys against danger and damage" }, look, out)?;
        for row in &swaps.cures {
            cure(row, look, out)?;
        }
    }
    writeln!(out)?;
    caution(look, out)
}

/// Writes what two connectors in each other's place do.
///
/// # Errors
/// If `out` can't be written.
pub fn pair(checked: &Checked, names: [&str; 2], found: Option<&Swap>, look: Look, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "swaps of {}", checked.shown(&checked.root))?;
    let [one, other] = names.map(printable);
    match found {
        Some(row) => {
            writeln!(out)?;
            entry(row, look, out)?;
        }
        None => flow("  ", "  ", &format!("`{one}` and `{other}` do not fit each other's place, or cannot reach it"), look, out)?,
    }
    writeln!(out)?;
    caution(look, out)
}

fn verdict(swaps: &Swaps) -> String {
    let dangers = swaps.rows.iter().filter(|row| row.grade == Grade::Danger).count();
    let what = match (dangers, swaps.counts.pairs) {
        (0, 0) => "no dangerous pair: no plug fits another one's place".to_owned(),
        (0, 1) => "no dangerous pair: the one that fits is not dangerous".to_owned(),
        (0, pairs) => format!("no dangerous pair: of the {pairs} that fit none is dangerous"),
        (1, _) => "1 dangerous swap".to_owned(),
        (many, _) => format!("{many} dangerous swaps"),
    };
    let open = swaps.counts.unjudged + swaps.unknown.len();
    let rest = if open == 0 { "" } else { "; what could not be judged or compared may hold more" };
    format!("{what}{rest}")
}

fn few(names: &[String]) -> String {
    let shown = crate::phrase::fitting(names.len(), MOST_NAMES);
    let listed: Vec<&str> = names.iter().take(shown).map(String::as_str).collect();
    match names.len() - shown {
        0 => listed.join(", "),
        more => format!("{} and {more} more (`--format json` has all)", listed.join(", ")),
    }
}

fn list(swaps: &Swaps, grade: Grade, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let rows: Vec<&Swap> = swaps.rows.iter().filter(|row| row.grade == grade).collect();
    if rows.is_empty() {
        return Ok(());
    }
    let counts = &swaps.counts;
    let turned = rows.iter().filter(|row| row.way.is_some()).count();
    let of_grade = match grade {
        Grade::Danger => counts.danger,
        Grade::Damage => counts.damage,
        Grade::Unjudged => counts.unjudged,
        Grade::Mixed => counts.mixed,
        Grade::Harmless => counts.harmless,
    };
    let number = (of_grade + turned).max(rows.len());
    writeln!(out)?;
    heading(&format!("{} ({number})", word(grade)), look, out)?;
    for row in &rows {
        entry(row, look, out)?;
    }
    match number - rows.len() {
        0 => Ok(()),
        more => flow("  ", "  ", &format!("and {more} more (`--format json` and `--format csv` have them)"), look, out),
    }
}

fn entry(row: &Swap, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let each: Vec<String> = row
        .plugs
        .iter()
        .zip(&row.mates)
        .map(|(plug, mate)| if mate.is_empty() { format!("{plug} (mates nothing)") } else { format!("{plug} (on {mate})") })
        .collect();
    let title = match row.way {
        Some(way) => format!("{}, {way}", each.join("")),
        None => each.join(" and "),
    };
    flow("  ", "    ", &title, look, out)?;
    flow("    ", "    ", &format!("{}: {}", word(row.grade), row.words), look, out)?;
    if row.way.is_some() && row.grade >= Grade::Damage {
        let cure = "cure: a family with a key; if the shape keeps it from that, `key-at` says where the shape is on the face";
        flow("    ", "    ", cure, look, out)?;
    }
    if let Some(amps) = row.amps {
        let ends = row.ends.as_ref().map_or_else(String::new, |ends| format!("; {ends}"));
        flow("    ", "    ", &format!("current {amps}{ends}"), look, out)?;
    }
    Ok(())
}

fn cure(row: &CureRow, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let name = format!("family {} with {}", row.family, counted(row.positions, "position"));
    flow("  ", "    ", &format!("{name}: {}", counted(row.changes.len(), "connector")), look, out)?;
    for (plug, was, key) in row.changes.iter().take(MOST) {
        let was = was.as_ref().map_or_else(|| "no key".to_owned(), |was| format!("key {was}"));
        flow("    ", "      ", &format!("{plug}: {was} -> {key}, both halves"), look, out)?;
    }
    if let Some(more) = row.changes.len().checked_sub(MOST).filter(|more| *more > 0) {
        flow("    ", "      ", &format!("and {more} more (`--format json` has all)"), look, out)?;
    }
    let fewest = match row.at_least {
        None => "fewer changes do not suffice".to_owned(),
        Some(least) => format!("at least {least} changes are needed; whether fewer than these suffice is not proven"),
    };
    let letters = match (row.letters_more, row.letters.as_slice()) {
        (0, _) => String::new(),
        (more, []) => format!("; the family needs {}, and its housings in the design have none", counted(more, "key")),
        (more, known) => format!("; {} more than {} needed", counted(more, "key"), all(&quoted(known))),
    };
    let tried = format!("counted again with these keys: {} before, {} left", counted(row.before, "pair"), row.left);
    flow("    ", "    ", &format!("{fewest}{letters}; {tried}"), look, out)
}
