//! Isolation from three readings, as a paper.

use crate::render::kit::paper::{Cell, Column, Paper, Section, Table};
use harness_core::bench::isolation::{Isolation, Pole, Reached, ThreeReadings, Verdict};

/// The paper of what three readings give.
#[must_use]
pub fn paper(readings: &ThreeReadings, found: &Isolation) -> Paper {
    let weaker = found.weaker;
    let mut lead = vec![format!(
        "The {weaker} pole has the weaker isolation; the figures are of it, at a working voltage of {}.",
        found.working
    )];
    lead.extend(found.judged.iter().map(|judged| {
        let verdict = match judged.verdict {
            Verdict::Holds => "enough, whatever the errors of the readings",
            Verdict::Fails => "not enough, whatever the errors of the readings: no voltage class B before the leak is found",
            Verdict::Undecided => {
                "open within the errors of the readings: read again with better tools, and work as if it were not enough"
            }
        };
        format!("{} of each volt, {} in all ({}): {verdict}.", judged.per_volt.value, judged.least, judged.per_volt.source)
    }));
    lead.push(
        "Direct voltage alone needs the lower limit; joined to alternating voltage, as by an inverter, it needs the higher one."
            .to_owned(),
    );
    let mut unknown = Vec::new();
    if found.other.is_none() {
        unknown.push(format!("isolation of the {} pole: beyond what the meter shows", weaker.other()));
    }
    let mut rows =
        vec![row("isolation of the weaker pole", "ohm", &found.ohms), row("the same of each volt", "ohm/V", &found.per_volt)];
    if let Some(other) = found.other {
        let shown = vec![
            Cell::text(format!("isolation of the {} pole", weaker.other())),
            Cell::text("ohm"),
            Cell::figure(other.get()),
            Cell::None("not worked out"),
            Cell::None("not worked out"),
            Cell::None("not worked out"),
        ];
        rows.push(shown);
    }
    let columns = [
        Column::words("figure", "figure", 0),
        Column::words("unit", "unit", 0),
        Column::figures("value", "value", "", 0),
        Column::figures("least", "least", "", 0),
        Column::figures("most", "most", "", 0),
        Column::figures("likely_error", "likely ±", "", 1),
    ];
    let caption = "with all errors at their worst, and as the root of the sum of their squares";
    let table = Table::of("isolation", caption, &columns, rows);
    let mut after = vec![with(readings)];
    if found.unusual_resistor {
        after.push(
            "R0 is not within a fifth of 100 or 500 ohm for each volt of the battery: any is valid, but errors reach further."
                .to_owned(),
        );
    }
    Paper {
        name: "isolation".to_owned(),
        title: "isolation from three readings".to_owned(),
        has_class_b: true,
        lead,
        unknown,
        sections: vec![Section { table: Some(table), after, ..Section::default() }],
        sources: vec![format!("{}", harness_core::bench::isolation::source())],
        ..Paper::default()
    }
}

/// What the figures were worked out from.
fn with(readings: &ThreeReadings) -> String {
    let (pole, shown) = readings.with;
    let name = match pole {
        Pole::Negative => "V1'",
        Pole::Positive => "V2'",
    };
    format!(
        "From Vb = {}, V1 = {}, V2 = {}, {name} = {}, R0 = {} within {}; a meter within {} and {} digits, with an input of {}.",
        readings.battery.volts,
        readings.negative.volts,
        readings.positive.volts,
        shown.volts,
        readings.known,
        readings.known_error,
        readings.meter_error,
        readings.digits,
        readings.meter_input,
    )
}

fn row(figure: &str, unit: &str, reached: &Reached) -> Vec<Cell> {
    vec![
        Cell::text(figure),
        Cell::text(unit),
        Cell::figure_or(reached.value.map(|ohms| ohms.get()), "the reading was zero"),
        Cell::figure(reached.least.get()),
        Cell::figure_or(reached.most.map(|ohms| ohms.get()), "no limit"),
        Cell::figure_or(reached.likely.map(|ohms| ohms.get()), "the reading was zero"),
    ]
}
