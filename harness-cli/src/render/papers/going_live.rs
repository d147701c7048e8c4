//! How a vehicle is brought to life, or made safe, as a paper.

use crate::{
    phrase::{agree, all, first, quoted},
    render::kit::paper::{Cell, Column, Group, Paper, Section, Table, three_digits},
};
use harness_core::bench::going_live::{Figure, GoingLive, How, Phase, Reading, Step, Target};

/// Readings that are written beside their step; more are in their tables alone.
const BESIDE: usize = 8;

/// Wires that are named where a clamp goes around several.
const AROUND: usize = 4;

/// Who may do a step of voltage class B.
const TRAINED: &str = "trained people only (voltage class B), two of them";

/// The paper of an order.
#[must_use]
pub fn paper(found: &GoingLive, target: Option<&Target>) -> Paper {
    let (name, title, about) = match target {
        None => ("going-live", "going live", String::new()),
        Some(Target::Vehicle) => ("making-safe", "making safe for work", String::new()),
        Some(Target::Devices(devices)) => ("making-safe", "making safe for work", devices.join(", ")),
    };
    let lead = vec![
        "One step after the other, each ticked before the next begins; a figure outside its limits stops the work.".to_owned(),
        format!("{} Every figure is computed for the state of its step: what is not yet in is open.", hands(found)),
        "Limits hold the spread of batteries and loads, conductors of the highest resistance that they may have, and the error of the meter."
            .to_owned(),
    ];
    let mut sections = vec![Section { table: Some(steps(found)), ..Section::default() }];
    let of = |pick: fn(&Figure) -> bool| -> Vec<(&Step, usize, &Reading)> {
        let all =
            found.steps.iter().flat_map(|step| (1..).zip(&step.readings).map(move |(number, reading)| (step, number, reading)));
        all.filter(|(_, _, reading)| pick(&reading.figure)).collect()
    };
    let tables = [
        readings(
            "voltages",
            "Voltages",
            "V",
            ["expected_v", "least_v", "most_v"],
            &of(|figure| matches!(figure, Figure::Volts(..))),
        ),
        readings(
            "currents",
            "Currents",
            "A",
            ["expected_a", "least_a", "most_a"],
            &of(|figure| matches!(figure, Figure::Amps(..))),
        ),
        readings(
            "resistances",
            "Resistances",
            "Ω",
            ["expected_ohm", "least_ohm", "most_ohm"],
            &of(|figure| matches!(figure, Figure::Ohms(..))),
        ),
    ];
    sections.extend(tables.into_iter().flatten());
    Paper {
        name: name.to_owned(),
        title: title.to_owned(),
        subject: if about.is_empty() { String::new() } else { format!("`{about}`") },
        about,
        has_class_b: found.has_class_b,
        lead,
        unknown: found.unknown.clone(),
        sections,
        sources: vec![
            "order: common practice, no source; class B last, precharge 90 % (rules for student vehicles, EV.5.6.1, seen)".to_owned(),
            "isolate, secure, prove dead, test the meter before and after (practice after DIN VDE 0105 and EN 50110, seen)".to_owned(),
            "limits: batteries 5 %, regulated supplies 2 %, loads 25 %, voltmeter 1 % and 2 digits, clamp 0.1 A (common practice, no source)"
                .to_owned(),
        ],
    }
}

/// The mode in which hands work, with what is out in it.
fn hands(found: &GoingLive) -> String {
    match found.out.as_slice() {
        [] => format!("Hands work in mode `{}`.", found.quiet),
        out => {
            let are = agree(out.len(), "is", "are");
            format!("Hands work in mode `{}`, in which {} {are} out.", found.quiet, all(&quoted(out)))
        }
    }
}

fn steps(found: &GoingLive) -> Table {
    let columns = [
        Column::figures("step", "step", "", 0),
        Column::words("work", "do", 0).on_paper(),
        Column::words("do", "do", 0).as_data(),
        Column::words("how", "how", 3).as_data(),
        Column::words("mode", "mode", 2).as_data(),
        Column::words("see", "see", 0),
        Column::words("stop_here", "stop at", 1).on_paper(),
        Column::words("stop", "stop at", 1).as_data(),
        Column::words("who", "who", 0).as_data(),
        Column::words("stage", "stage", 4).as_data(),
        Column::words("done", "done", 0).on_paper(),
    ];
    let mut groups: Vec<Group> = Vec::new();
    let mut last: Option<Phase> = None;
    let mut said = String::new();
    for step in &found.steps {
        let stage = stage(step.phase);
        if last != Some(step.phase) {
            groups.push(Group { heading: stage.to_owned(), rows: Vec::new() });
            last = Some(step.phase);
        }
        let who = if step.trained { TRAINED } else { "" };
        // What stops a row of like steps is said with the first of them.
        let is_said = groups.last().is_some_and(|group| !group.rows.is_empty()) && said == step.stop;
        said.clone_from(&step.stop);
        let row = vec![
            Cell::count(step.number),
            Cell::text(work(step, who)),
            Cell::text(step.does.clone()),
            Cell::text(step.how.join("; ")),
            Cell::text(step.mode.clone()),
            Cell::text(see(step)),
            if is_said { Cell::text("as before") } else { Cell::text(step.stop.clone()) },
            Cell::text(step.stop.clone()),
            Cell::text(who),
            Cell::text(stage),
            Cell::Tick,
        ];
        if let Some(group) = groups.last_mut() {
            group.rows.push(row);
        }
    }
    let count = found.steps.len();
    Table { key: "steps", caption: format!("{count} steps, in their order"), columns: columns.to_vec(), groups }
}

/// What hands do at a step: in one line, then how, in which mode and who.
fn work(step: &Step, who: &str) -> String {
    let mode = if step.mode.is_empty() { String::new() } else { format!("in mode `{}`", step.mode) };
    let lines = std::iter::once(step.does.as_str()).chain(step.how.iter().map(String::as_str)).chain([mode.as_str(), who]);
    lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
}

fn stage(phase: Phase) -> &'static str {
    match phase {
        Phase::Dead => "before any voltage",
        Phase::ClassA => "supplies and fuses of voltage class A",
        Phase::Modes => "every mode in turn",
        Phase::ClassB => "voltage class B",
        Phase::Outside => "supplies from outside",
        Phase::Moving => "first movement",
        Phase::MakeSafe => "make safe",
        Phase::AtWork => "prove dead and work",
        Phase::PutBack => "put back",
    }
}

/// What a step shows, a line a reading.
fn see(step: &Step) -> String {
    let number = step.number;
    let all = step.readings.len();
    let mut said: Vec<String> = Vec::new();
    if all > BESIDE {
        said.push(format!("readings {number}.1 to {number}.{all} of the tables below"));
    } else {
        said.extend((1..).zip(&step.readings).map(|(at, reading)| format!("{number}.{at} {}", one_line(reading))));
    }
    if step.more > 0 {
        said.push(format!("{} more could be read", step.more));
    }
    said.join("\n")
}

fn one_line(reading: &Reading) -> String {
    let place = if reading.against.is_empty() {
        format!("in `{}`", reading.at)
    } else {
        format!("`{}` against `{}`", reading.at, reading.against)
    };
    let place = match reading.how {
        How::Probes | How::TestPoint => place,
        How::Clamp if reading.around.is_empty() => place,
        How::Clamp | How::InPlace | How::Unplugged | How::Reported => format!("{place}, {}", with(reading)),
    };
    let when = match (reading.before, reading.after) {
        (true, _) => "before: ".to_owned(),
        (false, Some(time)) => format!("after {time}: "),
        (false, None) => String::new(),
    };
    let Limits { expected, least, most, unit } = limits(&reading.figure);
    let shown = |value: f64| format!("{} {unit}", three_digits(value));
    let limits = match (least, most) {
        (Some(least), Some(most)) => format!("{} to {}", three_digits(least), shown(most)),
        (Some(least), None) => format!("{} or more", shown(least)),
        (None, Some(most)) => format!("{} or less", shown(most)),
        (None, None) => String::new(),
    };
    match expected {
        Some(expected) if limits.is_empty() => format!("{when}{place}: {}", shown(expected)),
        Some(expected) => format!("{when}{place}: {} ({limits})", shown(expected)),
        None => format!("{when}{place}: {limits}"),
    }
}

struct Limits {
    expected: Option<f64>,
    least: Option<f64>,
    most: Option<f64>,
    unit: &'static str,
}

fn limits(figure: &Figure) -> Limits {
    match figure {
        Figure::Volts(volts, least, most) => {
            Limits { expected: Some(volts.get()), least: Some(least.get()), most: Some(most.get()), unit: "V" }
        }
        Figure::Amps(amps, least, most) => {
            Limits { expected: Some(amps.get()), least: Some(least.get()), most: Some(most.get()), unit: "A" }
        }
        Figure::Ohms(ohms, least, most) => Limits {
            expected: ohms.map(|ohms| ohms.get()),
            least: least.map(|ohms| ohms.get()),
            most: most.map(|ohms| ohms.get()),
            unit: "Ω",
        },
    }
}

/// The readings of one quantity as a table; `None` where there are none.
fn readings(
    key: &'static str,
    heading: &str,
    unit: &'static str,
    [expected, least, most]: [&'static str; 3],
    rows: &[(&Step, usize, &Reading)],
) -> Option<Section> {
    let columns = [
        Column::words("reading", "reading", 0),
        Column::words("when", "when", 3),
        Column::words("at", "at", 0),
        Column::words("against", "against", 1),
        Column::figures(expected, "expected", unit, 0),
        Column::figures(least, "least", unit, 0),
        Column::figures(most, "most", unit, 0),
        Column::words("mode", "mode", 4),
        Column::words("with", "with", 2),
        Column::words("measured", "measured", 0),
    ];
    let mut groups: Vec<Group> = Vec::new();
    for (step, number, reading) in rows {
        let heading = format!("{}  {}", step.number, step.does);
        if groups.last().is_none_or(|group| group.heading != heading) {
            groups.push(Group { heading, rows: Vec::new() });
        }
        let Limits { expected, least, most, .. } = limits(&reading.figure);
        let when = match (reading.before, reading.after) {
            (true, _) => "before".to_owned(),
            (false, Some(time)) => format!("after {time}"),
            (false, None) => "after".to_owned(),
        };
        let row = vec![
            Cell::text(format!("{}.{number}", step.number)),
            Cell::text(when),
            Cell::text(reading.at.clone()),
            Cell::text(reading.against.clone()),
            Cell::figure_or(expected, ""),
            Cell::figure_or(least, ""),
            Cell::figure_or(most, ""),
            Cell::text(step.mode.clone()),
            Cell::text(with(reading)),
            Cell::Write(20),
        ];
        if let Some(group) = groups.last_mut() {
            group.rows.push(row);
        }
    }
    let caption = format!("{} readings, by step; a figure outside its limits stops the work", rows.len());
    let table = Table { key, caption, columns: columns.to_vec(), groups };
    (!rows.is_empty()).then(|| Section { heading: heading.to_owned(), own_sheet: true, table: Some(table), ..Section::default() })
}

fn with(reading: &Reading) -> String {
    let with = match reading.how {
        How::Probes => "probes",
        How::TestPoint => "probes, test point",
        How::Clamp => "clamp meter",
        How::InPlace => "clamp meter, a fused lead in place of the fuse",
        How::Unplugged => "probes, unplugged",
        How::Reported => "as the box reports it",
    };
    match reading.around.as_slice() {
        [] => with.to_owned(),
        wires => format!("{with} around {}", first(&quoted(wires), AROUND, 0)),
    }
}
