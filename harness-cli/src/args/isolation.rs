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
    /// chassis, `V1'=` or `V2'=` (also `V1r`, `V2r`) the higher of them with the known resistor beside it, `R0=` that resistor.
    #[arg(long, required = true, value_name = "NAME=VALUE", value_delimiter = ',', value_parser = reading)]
    pub readings: Vec<NamedReading>,

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

fn reading(text: &str) -> Result<NamedReading, String> {
    let Some((name, value)) = text.split_once('=') else {
        return Err("write a name and its value: `V1=266.7 V`".to_owned());
    };
    let value = value.trim();
    let volts = || quantity_of::<Volt>(value).map(|volts| Shown { volts, digit: digit(value) });
    match name.trim().to_lowercase().replace(['’', '′', 'r'], "'").as_str() {
        "vb" => Ok(NamedReading::Battery(volts()?)),
        "v1" => Ok(NamedReading::Without(Pole::Negative, volts()?)),
        "v2" => Ok(NamedReading::Without(Pole::Positive, volts()?)),
        "v1'" => Ok(NamedReading::With(Pole::Negative, volts()?)),
        "v2'" => Ok(NamedReading::With(Pole::Positive, volts()?)),
        "'0" => quantity_of::<Ohm>(value).map(NamedReading::Known),
        _ => Err(format!("no reading is called `{}`: they are `Vb`, `V1`, `V2`, `V1'` or `V2'`, and `R0`", name.trim())),
    }
}

/// One step of the last digit of a voltage as it is written: 0.1 V of `266.7 V`.
fn digit(written: &str) -> Volt {
    let is_number = |letter: char| letter.is_ascii_digit() || letter == '.';
    let length = written.find(|letter: char| !is_number(letter)).unwrap_or(written.len());
    let (number, unit) = written.split_at(length);
    let Some(last) = number.rfind(|letter: char| letter.is_ascii_digit()) else { return Volt::new(0.0) };
    let step = number.char_indices().map(|(at, letter)| match letter {
        '.' => '.',
        _ if at == last => '1',
        _ => '0',
    });
    let step: String = step.chain(unit.chars()).collect();
    quantity::parse::<Volt>(&step).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::{NamedReading, digit, reading};
    use harness_core::{
        bench::isolation::{Pole, Shown},
        quantity::{Ohm, Volt},
    };

    #[test]
    fn a_reading_has_the_step_of_its_last_digit() {
        let cases = [("266.7 V", 0.1), ("400V", 1.0), ("133.33 V", 0.01), ("0.2 kV", 100.0), ("12 mV", 1e-3), (".5 V", 0.1)];
        for (written, step) in cases {
            assert!((digit(written).get() / step - 1.0).abs() < 1e-9, "{written}: {}", digit(written));
        }
    }

    #[test]
    fn readings_are_named_as_in_the_regulation() {
        let shown = |volts: f64, digit: f64| Shown { volts: Volt::new(volts), digit: Volt::new(digit) };
        for text in ["V1'=133.3 V", "v1r = 133.3 V", "V1’=133.3V"] {
            let Ok(NamedReading::With(Pole::Negative, found)) = reading(text) else { panic!("{text}: {:?}", reading(text)) };
            assert!((found.digit.get() - 0.1).abs() < 1e-12 && found.volts == Volt::new(133.3), "{text}: {found:?}");
        }
        assert_eq!(reading("R0=200 kohm"), Ok(NamedReading::Known(Ohm::new(200e3))));
        assert_eq!(reading("Vb=400 V"), Ok(NamedReading::Battery(shown(400.0, 1.0))));
        for text in ["V3=1 V", "V1", "V1=1 A", "R0=2 V"] {
            assert!(reading(text).is_err(), "{text}");
        }
    }
}
