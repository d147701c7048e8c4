//! `harness isolation`: the isolation of voltage class B from three readings of a voltmeter.

use crate::{
    args::{Isolation, NamedReading},
    exit,
    failure::Failure,
    phrase::{all, quoted},
    render::{kit::paper, papers::isolation as render},
    terminal::Look,
};
use harness_core::{
    Analysis,
    bench::{
        Identity,
        isolation::{Pole, ThreeReadings, isolation},
    },
    quantity::Volt,
};
use std::io::{Read, Write};

const TO: &str = "work out the isolation";

/// Works isolation out.
///
/// # Errors
/// If readings are missing, given twice or don't fit each other, if the design can't be read or leaves the voltage open, or if `out` can't be
/// written.
pub fn run(args: &Isolation, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let analysis = match &args.file {
        Some(path) => Some(super::analyse(path, &[], "work out the isolation of", input)?.1),
        None => None,
    };
    let working = match (args.voltage, &analysis) {
        (Some(volts), _) => volts,
        (None, Some(analysis)) => working(args, analysis)?,
        (None, None) => return Err(Failure::Told(format!("{TO}: name a design, or its highest working voltage by `--voltage`"))),
    };
    let mut readings = readings(args)?;
    let of_design = analysis.as_ref().and_then(|analysis| analysis.model().bench.error).map(|error| error.value);
    if let Some(error) = args.meter_error.or(of_design) {
        readings.meter_error = error;
    }
    let found = isolation(&readings, working).map_err(|misfit| Failure::Told(format!("{TO}: {misfit}")))?;
    let identity = analysis.as_ref().map_or_else(Identity::of_no_design, Identity::of);
    paper::write(&[render::paper(&readings, &found)], &identity, (args.format, None), look, out)?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// The highest working voltage of the domain of class B that was measured.
fn working(args: &Isolation, analysis: &Analysis) -> Result<Volt, Failure> {
    let model = analysis.model();
    let domains: Vec<(String, Volt)> = model
        .domains()
        .filter(|(_, domain)| domain.is_class_b() && !domain.is_mains())
        .map(|(_, domain)| (model.text(domain.name).to_owned(), domain.max))
        .collect();
    let names: Vec<&str> = domains.iter().map(|(name, _)| name.as_str()).collect();
    let path = args.file.as_ref().map(|path| path.display().to_string()).unwrap_or_default();
    let because = |what: &str| Failure::Told(format!("{TO} of `{path}`: {what}"));
    match (&args.domain, domains.as_slice()) {
        (Some(name), _) => match domains.iter().find(|(known, _)| known == name) {
            Some((_, max)) => Ok(*max),
            None if names.is_empty() => Err(because("it has no domain of voltage class B beside the mains")),
            None => Err(because(&format!("`{name}` is not one of its domains of voltage class B: {}", all(&quoted(&names))))),
        },
        (None, [(_, max)]) => Ok(*max),
        (None, []) => Err(because("it has no domain of voltage class B beside the mains; `--voltage` gives the working voltage")),
        (None, _) => Err(because(&format!("name one of {} by `--domain`", all(&quoted(&names))))),
    }
}

/// The readings, each once.
fn readings(args: &Isolation) -> Result<ThreeReadings, Failure> {
    let (mut battery, mut negative, mut positive, mut with, mut known) = (None, None, None, None, None);
    for reading in args.readings.iter().flat_map(|readings| &readings.0).copied() {
        let is_second = match reading {
            NamedReading::Battery(shown) => battery.replace(shown).is_some(),
            NamedReading::Without(Pole::Negative, shown) => negative.replace(shown).is_some(),
            NamedReading::Without(Pole::Positive, shown) => positive.replace(shown).is_some(),
            NamedReading::With(pole, shown) => with.replace((pole, shown)).is_some(),
            NamedReading::Known(ohms) => known.replace(ohms).is_some(),
        };
        if is_second {
            return Err(Failure::Told(format!("{TO}: `{}` is given twice, or at both poles", reading.name())));
        }
    }
    let missing = |name: &str| Failure::Told(format!("{TO}: the reading `{name}` is missing"));
    let readings = ThreeReadings::of_usual_tools(
        battery.ok_or_else(|| missing("Vb"))?,
        negative.ok_or_else(|| missing("V1"))?,
        positive.ok_or_else(|| missing("V2"))?,
        with.ok_or_else(|| missing("V1' or V2'"))?,
        known.ok_or_else(|| missing("R0"))?,
    );
    Ok(ThreeReadings {
        known_error: args.resistor_error,
        digits: f64::from(args.digits),
        meter_input: args.meter_input,
        ..readings
    })
}
