//! Arguments of `harness isolation`.

use crate::render::kit::paper::PaperFormat;
use clap::Args;
use harness_core::{
    bench::isolation::{Pole, Shown},
    quantity::{self, Ohm, Ratio, Volt},
};
use std::path::PathBuf;

/// Arguments of `harness isolation`.
#[derive(Debug, Args)]
#[group(id = "working", required = true, multiple = true)]
pub struct Isolation {
    /// The design, for its working voltage and its meter; `-` reads it from standard input.
    #[arg(value_name = "FILE", group = "working")]
    pub file: Option<PathBuf>,

    /// The domain of voltage class B that was measured, where the design has several.
    #[arg(long, value_name = "NAME", requires = "file")]
    pub domain: Option<String>,

    /// The highest working voltage, in place of that of the design.
    #[arg(long, value_name = "VOLTAGE", group = "working", value_parser = quantity_of::<Volt>)]
    pub voltage: Option<Volt>,

    /// What was read, separated by commas or given one by one: `Vb=` the battery, `V1=` its negative and `V2=` its positive pole against the
    /// chassis, `V1'=` or `V2'=` (also `V1r`, `V2r`) the higher of them with the known resistor beside it, `R0=` that resistor; with units or
    /// without, then in volt and ohm.
    #[arg(long, required = true, value_name = "NAME=VALUE", value_parser = readings)]
    pub readings: Vec<NamedReadings>,

    /// Error of the voltmeter, of its reading [default: that of the design's meter, else 1 %].
    #[arg(long, value_name = "SHARE", value_parser = quantity_of::<Ratio>)]
    pub meter_error: Option<Ratio>,

    /// Error of the voltmeter in steps of the last digit that was written down.
    #[arg(long, value_name = "N", default_value_t = 2)]
    pub digits: u16,

    /// Input resistance of the voltmeter.
    #[arg(long, value_name = "RESISTANCE", default_value = "10 Mohm", value_parser = quantity_of::<Ohm>)]
    pub meter_input: Ohm,

    /// Error of the known resistor.
    #[arg(long, value_name = "SHARE", default_value = "5 %", value_parser = quantity_of::<Ratio>)]
    pub resistor_error: Ratio,

    /// How to show it.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub format: PaperFormat,
}

/// A reading with its name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NamedReading {
    /// Vb.
    Battery(Shown),
    /// V1 or V2.
    Without(Pole, Shown),
    /// V1' or V2'.
    With(Pole, Shown),
    /// R0.
    Known(Ohm),
}

impl NamedReading {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Battery(_) => "Vb",
            Self::Without(Pole::Negative, _) => "V1",
            Self::Without(Pole::Positive, _) => "V2",
            Self::With(Pole::Negative, _) => "V1'",
            Self::With(Pole::Positive, _) => "V2'",
            Self::Known(_) => "R0",
        }
    }
}

fn quantity_of<U: quantity::Unit>(text: &str) -> Result<U, String> {
    quantity::parse::<U>(text).map_err(|_| format!("write a {} with its unit, such as `{}`", U::MEASURES, U::EXAMPLE))
}

/// Readings of one argument, in their order.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedReadings(pub Vec<NamedReading>);

/// Readings with commas or semicolons between them; a comma that no name follows is the decimal one of a figure.
fn readings(text: &str) -> Result<NamedReadings, String> {
    let mut texts: Vec<String> = Vec::new();
    for piece in text.split(';') {
        let mut is_first = true;
        for piece in piece.split(',') {
            match texts.last_mut() {
                Some(last) if !is_first && !piece.contains(['=', ':']) => {
                    last.push(',');
                    last.push_str(piece);
                }
                _ => texts.push(piece.to_owned()),
            }
            is_first = false;
        }
    }
    let named = texts.iter().map(|text| text.trim()).filter(|text| !text.is_empty());
    named.map(reading).collect::<Result<_, _>>().map(NamedReadings)
}

fn reading(text: &str) -> Result<NamedReading, String> {
    let Some((name, value)) = text.split_once(['=', ':']) else {
        return Err(format!("`{text}`: write a name and its value: `V1=266.7 V`"));
    };
    let (name, value) = (name.trim(), value.trim());
    let plain = name.to_lowercase().replace(['’', '′', '´', '`'], "'").replace('_', "");
    let volts = |value: &str| figure::<Volt>(value).map(|(volts, digit)| Shown { volts, digit });
    // The negative pole is below the chassis: with the black lead there it reads below zero.
    let below = value.strip_prefix(['-', '\u{2212}']).map_or(value, str::trim_start);
    match plain.as_str() {
        "vb" => volts(value).map(NamedReading::Battery),
        "v1" => volts(below).map(|shown| NamedReading::Without(Pole::Negative, shown)),
        "v2" => volts(value).map(|shown| NamedReading::Without(Pole::Positive, shown)),
        "v1'" | "v1r" => volts(below).map(|shown| NamedReading::With(Pole::Negative, shown)),
        "v2'" | "v2r" => volts(value).map(|shown| NamedReading::With(Pole::Positive, shown)),
        "r0" | "ro" => figure::<Ohm>(value).map(|(ohms, _)| NamedReading::Known(ohms)),
        _ => Err(format!("no reading is called `{name}`: they are `Vb`, `V1`, `V2`, `V1'` or `V2'`, and `R0`")),
    }
}

/// A figure as a hand writes it, and one step of its last digit: `400`, `400 V`, `400v`, `0.2 kV`, `200k`, `400,5 V`.
fn figure<U: quantity::Unit>(written: &str) -> Result<(U, U), String> {
    let unit = U::SPELLINGS.first().map_or("", |(spelling, _)| spelling);
    let refused =
        |why: &str| Err(format!("`{written}` {why}: write a {} as `{}`, or without a unit in {unit}", U::MEASURES, U::EXAMPLE));
    if written.starts_with(['-', '\u{2212}']) {
        return refused("is below zero, so the leads are swapped or something else feeds it");
    }
    let is_number = |letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',');
    let (number, rest) = written.split_at(written.find(|letter| !is_number(letter)).unwrap_or(written.len()));
    let number = match number.split_once(',') {
        None => number.to_owned(),
        Some((_, after)) if after.contains([',', '.']) || number.contains('.') || after.len() == 3 => {
            return refused("has a comma that is one of thousands or the decimal one");
        }
        Some((whole, after)) => format!("{whole}.{after}"),
    };
    let rest = spelled::<U>(rest.trim());
    let read = |number: &str| quantity::parse::<U>(&format!("{number} {rest}"));
    match read(&number) {
        Ok(value) => Ok((value, read(&last_digit(&number)).unwrap_or(value))),
        Err(_) => refused(&format!("is not a {} that can be", U::MEASURES)),
    }
}

/// A unit as the library spells it; that of `U` for none. Only the prefix of a million depends on capitals.
fn spelled<U: quantity::Unit>(unit: &str) -> String {
    let base = U::SPELLINGS.first().map_or("", |(spelling, _)| spelling);
    let (prefix, name) = match unit.chars().next() {
        Some(first @ ('k' | 'K' | 'm' | 'M')) => (Some(first), unit.get(1..).unwrap_or_default()),
        _ => (None, unit),
    };
    let is_ohm = base == "ohm";
    let is_base = match name.trim().to_lowercase().as_str() {
        "" => prefix.is_none() || is_ohm && prefix != Some('m'),
        "v" | "volt" | "volts" => !is_ohm,
        "ohm" | "ohms" | "ω" | "r" => is_ohm,
        _ => false,
    };
    match prefix {
        _ if !is_base => unit.to_owned(),
        None => base.to_owned(),
        Some('K') => format!("k{base}"),
        Some(prefix) => format!("{prefix}{base}"),
    }
}

/// One step of the last digit of a number: `0.1` of `266.7`.
fn last_digit(number: &str) -> String {
    let last = number.rfind(|letter: char| letter.is_ascii_digit());
    let step = number.char_indices().map(|(at, letter)| match letter {
        '.' => '.',
        _ if Some(at) == last => '1',
        _ => '0',
    });
    step.collect()
}

#[cfg(test)]
mod tests {
    use super::{NamedReading, figure, reading, readings};
    use harness_core::{
        bench::isolation::{Pole, Shown},
        quantity::{Ohm, Volt},
    };

    fn is_near(one: f64, other: f64) -> bool {
        (one / other - 1.0).abs() < 1e-9
    }

    #[test]
    fn figures_are_taken_as_hands_write_them() {
        let volts = [
            ("266.7 V", 266.7, 0.1),
            ("400V", 400.0, 1.0),
            ("400", 400.0, 1.0),
            ("400 v", 400.0, 1.0),
            ("400 volts", 400.0, 1.0),
            ("133,33 V", 133.33, 0.01),
            ("0.2 kV", 200.0, 100.0),
            ("0,2KV", 200.0, 100.0),
            ("12 mV", 0.012, 1e-3),
            (".5 V", 0.5, 0.1),
        ];
        for (written, value, step) in volts {
            let (found, digit) = figure::<Volt>(written).unwrap_or_else(|error| panic!("{written}: {error}"));
            assert!(is_near(found.get(), value) && is_near(digit.get(), step), "{written}: {found} {digit}");
        }
        for written in
            ["200 kohm", "200k", "200 K", "200kΩ", "200 kOhm", "200000", "0.2 M", "0,2 Mohm", "200000 ohms", "200000 R"]
        {
            let (found, _) = figure::<Ohm>(written).unwrap_or_else(|error| panic!("{written}: {error}"));
            assert!(is_near(found.get(), 200e3), "{written}: {found}");
        }
        for written in ["", "V", "1,234 V", "1,234.5 V", "-3 V", "400 A", "4k", "four volts", "1.2.3 V", "400 ohm"] {
            let refused = figure::<Volt>(written).expect_err(written);
            assert!(refused.contains("without a unit in V"), "{written}: {refused}");
        }
        assert!(figure::<Ohm>("200 mV").is_err());
    }

    #[test]
    fn readings_are_named_as_in_the_regulation() {
        let shown = |volts: f64, digit: f64| Shown { volts: Volt::new(volts), digit: Volt::new(digit) };
        for text in ["V1'=133.3 V", "v1r = 133.3 V", "V1’=133.3V", "V1' = -133.3 V", "v1': 133,3"] {
            let Ok(NamedReading::With(Pole::Negative, found)) = reading(text) else { panic!("{text}: {:?}", reading(text)) };
            assert!(is_near(found.digit.get(), 0.1) && found.volts == Volt::new(133.3), "{text}: {found:?}");
        }
        assert_eq!(reading("R0=200 kohm"), Ok(NamedReading::Known(Ohm::new(200e3))));
        assert_eq!(reading("Vb=400 V"), Ok(NamedReading::Battery(shown(400.0, 1.0))));
        for text in ["V3=1 V", "V1", "V1=1 A", "R0=2 V", "V2=-3 V", "Vb=-400 V"] {
            assert!(reading(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_comma_may_separate_readings_or_digits() {
        let found = readings("Vb=400,V1=22,6, V2=377,4 V; R0=200k").expect("readings").0;
        let volts = |volts: f64, digit: f64| Shown { volts: Volt::new(volts), digit: Volt::new(digit) };
        let meant = [
            NamedReading::Battery(volts(400.0, 1.0)),
            NamedReading::Without(Pole::Negative, volts(22.6, 0.1)),
            NamedReading::Without(Pole::Positive, volts(377.4, 0.1)),
            NamedReading::Known(Ohm::new(200e3)),
        ];
        assert_eq!(found, meant);
        assert!(readings("Vb=400,V1,V2=3").is_err());
    }
}
