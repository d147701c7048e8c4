//! Counts and lengths that a list states, against its rows.

use super::{Place, RowWire};
use crate::{
    cell,
    columns::{Meaning, Sheet},
    report::{Findings, Trouble},
};
use harness_sheets::{Odd, Row};

/// Counts and lengths against what headings and last rows say.
#[derive(Default)]
pub(super) struct Sum {
    wires: u32,
    millimetres: f64,
    unmeasured: u32,
}

impl Sum {
    pub(super) fn add(&mut self, wire: &RowWire) {
        if wire.from.is_empty() && wire.to.is_empty() {
            return;
        }
        self.wires += 1;
        match wire.length.as_deref().and_then(millimetres) {
            Some(length) => self.millimetres += length,
            None => self.unmeasured += 1,
        }
    }

    /// Whether a row is the sum of those above, which is then compared.
    pub(super) fn is_total(&self, sheet: &Sheet<'_>, row: &Row, first: &str, findings: &mut Findings) -> bool {
        let lower = first.to_lowercase();
        if !["total", "sum", "totals", "count", "summe", "gesamt", "gesamtlänge", "somme", "totale", "totaal", "summa"]
            .iter()
            .any(|word| lower == *word || lower.starts_with(&format!("{word} ")) || lower.starts_with(&format!("{word}:")))
        {
            return false;
        }
        if let Some(column) = sheet.column(Meaning::Length(None))
            && let Meaning::Length(unit) = column.meaning
        {
            let (text, mut not_compared) = (row.text(column.index), None);
            if row.cell(column.index).is_some_and(|cell| cell.odd.contains(&Odd::NoValue)) {
                not_compared = Some("is a formula whose value was not stored, so that the total was not compared with the rows");
            } else if let Ok(total) = cell::length(&cell::doubt(text).text, unit) {
                self.compare(&total, sheet, row.number, findings);
            } else if !text.is_empty() {
                not_compared = Some("is not a length, so that the total was not compared with the rows");
            }
            if let Some(why) = not_compared {
                findings.trouble(Trouble::cell(&sheet.list, row.number, &column.key, text, why));
            }
        }
        self.counted(first, sheet, row.number, findings);
        true
    }

    fn compare(&self, total: &str, sheet: &Sheet<'_>, row: u32, findings: &mut Findings) {
        let Some(stated) = millimetres(total) else { return };
        if (stated - self.millimetres).abs() > 0.005 * stated.max(1.0) && self.millimetres > 0.0 {
            let without = if self.unmeasured > 0 {
                format!(
                    "; {} without a length",
                    if self.unmeasured == 1 { "1 row is".to_owned() } else { format!("{} rows are", self.unmeasured) }
                )
            } else {
                String::new()
            };
            findings.conflict(
                "total",
                format!("the total says {total}, and the rows add up to {:.0} mm{without}", self.millimetres),
                vec![Place::of_row(&sheet.list, row)],
            );
        }
    }

    /// `24 wires` in a text.
    fn counted(&self, text: &str, sheet: &Sheet<'_>, row: u32, findings: &mut Findings) {
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let count = words.windows(2).find_map(|pair| match pair {
            [count, "wires" | "wire" | "conductors" | "circuits"] | ["wires" | "conductors", count] => count.parse::<u32>().ok(),
            _ => None,
        });
        if let Some(count) = count.filter(|count| *count != self.wires) {
            findings.conflict(
                "total",
                format!("`{text}` says {count} wires, and there are {} rows of wires", self.wires),
                vec![Place::of_row(&sheet.list, row)],
            );
        }
    }

    pub(super) fn titles(&self, sheet: &Sheet<'_>, findings: &mut Findings) {
        for (row, title) in &sheet.titles {
            self.counted(title, sheet, *row, findings);
            let lower = title.to_lowercase();
            if let Some(at) = lower.find("total")
                && let Some(digits) = lower.get(at..).and_then(|rest| rest.find(|letter: char| letter.is_ascii_digit()))
                && let Some(text) = lower.get(at + digits..)
            {
                let words: Vec<&str> = text.split_whitespace().take(2).collect();
                if let Ok(total) = cell::length(words.join(" ").trim_end_matches(['.', ',', ')']), None)
                    .or_else(|_| cell::length(words.first().unwrap_or(&""), None))
                {
                    self.compare(&total, sheet, *row, findings);
                }
            }
        }
    }
}

/// A written length in millimetres.
fn millimetres(length: &str) -> Option<f64> {
    let (number, unit) = length.split_once(' ')?;
    let number: f64 = number.parse().ok()?;
    Some(if unit == "m" { number * 1000.0 } else { number })
}
