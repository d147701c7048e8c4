//! What readings come to, as a paper: what it is, what was read, which causes are left, what to measure next.

use crate::{
    phrase::{counted, quoted},
    render::kit::paper::{Cell, Column, Paper, Section, Table},
};
use harness_core::bench::diagnose::{
    BADLY, Cause, CauseKind, Decides, Diagnosis, NamedFault, Probe, Proposal, Reading, Search, Seen, Verdict, WORKS,
};

/// Alike causes that one row names.
const MOST_ALIKE: usize = 8;

/// Nearest causes of which a line says what contradicts them.
const MOST_CONTRADICTED: usize = 3;

/// What is shown.
#[derive(Debug)]
pub struct Shown<'a> {
    /// The search, for names.
    pub search: &'a Search<'a>,
    /// What was measured or seen.
    pub readings: &'a [Reading],
    /// What it comes to.
    pub found: &'a Diagnosis,
    /// The mode.
    pub mode: &'a str,
    /// Causes to list.
    pub most: usize,
    /// What is not known of the design.
    pub unknown: Vec<String>,
    /// In which other modes faults show that show nowhere in this one.
    pub silent: Option<String>,
}

/// The paper.
#[must_use]
pub fn paper(shown: &Shown<'_>) -> Paper {
    let found = shown.found;
    let mut unknown = shown.unknown.clone();
    if found.unknown > 0 {
        unknown.push(format!(
            "{} after which there is no state of rest: nobody knows what shows then",
            counted(found.unknown, "fault")
        ));
    }
    if found.left_out > 0 {
        unknown.push(format!(
            "{} elsewhere not tried: none of them changes more at these readings than the small drop that circuits share",
            counted(found.left_out, "fault")
        ));
    }
    let class_b = found.proposals.iter().any(|proposal| proposal.is_class_b);
    Paper {
        name: "diagnosis".to_owned(),
        title: "diagnosis".to_owned(),
        subject: format!("mode `{}`", shown.mode),
        has_class_b: class_b,
        lead: vec![
            verdict(found),
            format!(
                "Voltages are taken with everything mated and on in this mode, ohms with all sources disconnected, relays at rest and switches \
                 as in this mode; a reading errs by {} % and what probes add, a cause is contradicted from 3.5 of these on.",
                figure(shown.search.noise() * 100.0)
            ),
        ]
        .into_iter()
        .chain(shown.silent.clone())
        .collect(),
        unknown,
        sections: vec![next(shown), causes(shown), readings(shown)],
        sources: vec![
            "how often a fault is of a kind, errors of readings: common practice, no source; they decide the order alone"
                .to_owned(),
        ],
        ..Paper::default()
    }
}

fn verdict(found: &Diagnosis) -> String {
    let tried = counted(found.tried, "single fault");
    let many = found.causes.len();
    match (found.verdict, found.two) {
        (Verdict::AsDesigned, _) => {
            format!("Every reading is as it should be in this mode; of {tried} none that would show is left.")
        }
        (Verdict::Found, false) => format!("One cause, or several that look alike wherever probes reach, of {tried}."),
        (Verdict::Found, true) => format!("None of {tried} explains all readings; two at once do."),
        (Verdict::Several, false) => format!("{} explain all readings, of {tried}.", counted(many, "cause")),
        (Verdict::Several, true) => {
            format!("None of {tried} explains all readings; {} of two faults at once do.", counted(many, "pair"))
        }
        (Verdict::Nothing, _) => format!(
            "Nothing in the design explains all readings: none of {tried}, and no two at once. Take the readings again that contradict the \
             nearest causes below; else something is wired or mated otherwise than drawn, or a box does something that the design does not say."
        ),
    }
}

fn quantity(probe: Probe) -> (&'static str, &'static str) {
    match probe {
        Probe::Volts { .. } => ("voltage", "V"),
        Probe::Amps(_) => ("current", "A"),
        Probe::Ohms { .. } => ("resistance", "ohm"),
        Probe::Works(_) => ("works", ""),
    }
}

/// What is there, in words.
fn words(probe: Probe, seen: Seen) -> String {
    if !seen.is_known() {
        return "not known".to_owned();
    }
    match probe {
        Probe::Works(_) => works(seen.low).to_owned(),
        Probe::Volts { .. } if seen.floats => "nothing (joined to nothing)".to_owned(),
        Probe::Volts { .. } => format!("{} V", figure(seen.low)),
        Probe::Amps(_) => format!("{} A", figure(seen.low)),
        Probe::Ohms { .. } => match (seen.low.is_finite(), seen.high.is_finite()) {
            (false, _) => "open".to_owned(),
            (true, false) => format!("{} ohm to open", figure(seen.low)),
            (true, true) if seen.high - seen.low < 0.01 * seen.high => format!("{} ohm", figure(seen.high)),
            (true, true) => format!("{} to {} ohm", figure(seen.low), figure(seen.high)),
        },
    }
}

fn works(value: f64) -> &'static str {
    if value >= WORKS {
        "works"
    } else if value >= BADLY {
        "weak"
    } else {
        "off"
    }
}

fn figure(value: f64) -> String {
    // What a meter shows: no more than a hundredth.
    let rounded = (value * 100.0).round() / 100.0;
    if rounded == 0.0 {
        "0".to_owned()
    } else if rounded.abs() >= 100.0 {
        format!("{rounded:.0}")
    } else {
        format!("{rounded}")
    }
}

const NEXT: &[Column] = &[
    Column::figures("step", "no.", "", 0),
    Column::words("do", "do", 0),
    Column::words("place", "place", 0),
    Column::words("against", "against", 0),
    Column::figures("information_bit", "learned", "bit", 2).as_data(),
    Column::words("answers", "answers by cause", 0),
];

fn next(shown: &Shown<'_>) -> Section {
    let found = shown.found;
    let row = |(place, proposal): (usize, &Proposal)| {
        let names = shown.search.place(proposal.probe);
        let work = match proposal.probe {
            Probe::Works(_) => "look",
            Probe::Volts { .. } if proposal.is_class_b => "measure volts, class B",
            Probe::Volts { .. } => "measure volts",
            Probe::Amps(_) => "measure amperes",
            Probe::Ohms { .. } => "measure ohms, power off",
        };
        vec![
            Cell::count(place + 1),
            Cell::text(work),
            Cell::text(names.at),
            Cell::text(names.against),
            Cell::figure(proposal.bits),
            Cell::text(answers(shown, place, proposal.probe)),
        ]
    };
    let rows: Vec<Vec<Cell>> = found.proposals.iter().enumerate().map(row).collect();
    let lines = match (rows.is_empty(), found.verdict) {
        (false, Verdict::Found | Verdict::AsDesigned) => vec!["Only to be sure: what is left is one cause by far.".to_owned()],
        (false, _) => {
            vec!["The first distinguishes most of what is left for the least work; take one and run this again.".to_owned()]
        }
        (true, Verdict::Nothing) => vec![],
        (true, _) => vec![
            "No reading where probes reach with everything mated distinguishes what is left: open the place itself.".to_owned(),
        ],
    };
    let after = found.decides.iter().map(|decides| deciding(shown, decides)).collect();
    let table = (!rows.is_empty()).then(|| Table::of("next", "Readings worth taking, the best first.", NEXT, rows));
    Section { heading: "Next reading".to_owned(), lines, table, after, ..Section::default() }
}

/// What each answer would mean: answers that a meter distinguishes, with the numbers of the causes that give them.
fn answers(shown: &Shown<'_>, place: usize, probe: Probe) -> String {
    let predicts = (1..).zip(&shown.found.causes).filter_map(|(number, cause)| Some((number, *cause.predicts.get(place)?)));
    let mut predicts: Vec<(usize, Seen)> = predicts.collect();
    predicts.sort_by(|(_, a), (_, b)| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
    let mut answers: Vec<(Seen, Seen, Vec<usize>)> = Vec::new();
    for (number, seen) in predicts {
        let apart = 4.0 * probe.deviation(seen, shown.search.noise());
        match answers.last_mut() {
            Some((_, last, numbers))
                if seen.is_known() == last.is_known() && (!seen.is_known() || seen.low - last.high <= apart) =>
            {
                *last = seen;
                numbers.push(number);
            }
            _ => answers.push((seen, seen, vec![number])),
        }
    }
    let said = |(first, last, numbers): &(Seen, Seen, Vec<usize>)| {
        let mut numbers = numbers.clone();
        numbers.sort_unstable();
        let (from, to) = (words(probe, *first), words(probe, *last));
        let answer = if from == to || first.floats { to } else { format!("{} to {to}", bare(&from)) };
        format!("{answer}: {}", spans(&numbers))
    };
    answers.iter().map(said).collect::<Vec<_>>().join("; ")
}

/// A figure without its unit.
fn bare(words: &str) -> &str {
    words.split_once(' ').map_or(words, |(figure, _)| figure)
}

/// Which resistance distinguishes the causes of the first line.
fn deciding(shown: &Shown<'_>, decides: &Decides) -> String {
    let names = shown.search.place(decides.probe);
    let alike = shown.found.causes.first().map_or(&[][..], |cause| cause.alike.as_slice());
    let mut answers: Vec<(String, Vec<String>)> = Vec::new();
    for (set, seen) in alike.iter().zip(&decides.answers) {
        let (answer, fault) = (words(decides.probe, *seen), set.iter().map(one).collect::<Vec<_>>().join(" and "));
        match answers.iter_mut().find(|(known, _)| *known == answer) {
            Some((_, faults)) => faults.push(fault),
            None => answers.push((answer, vec![fault])),
        }
    }
    let said: Vec<String> = answers.iter().map(|(answer, faults)| format!("{answer}: {}", faults.join(", or "))).collect();
    format!(
        "The resistance from `{}` to `{}` with the power off decides between the causes of line 1: {}.",
        names.at,
        names.against,
        said.join("; ")
    )
}

/// Numbers with those that follow each other as one: `1-3, 7`.
fn spans(numbers: &[usize]) -> String {
    let mut spans: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match spans.last_mut() {
            Some((_, end)) if *end + 1 == *number => *end = *number,
            _ => spans.push((*number, *number)),
        }
    }
    let most = 4;
    let said = spans.iter().take(most).map(|(from, to)| if from == to { from.to_string() } else { format!("{from}-{to}") });
    let mut said: Vec<String> = said.collect();
    if spans.len() > most {
        said.push("…".to_owned());
    }
    said.join(", ")
}

const CAUSES: &[Column] = &[
    Column::figures("cause", "no.", "", 0),
    Column::words("fault", "fault", 0),
    Column::figures("share_percent", "share", "%", 0),
    Column::words("opens", "fuse that opens", 1),
    Column::figures("alike", "alike", "", 3),
    Column::words("contradicted_by", "contradicted by", 1),
    Column::words("instead", "should be", 1),
];

fn causes(shown: &Shown<'_>) -> Section {
    let found = shown.found;
    let row = |(number, cause): (usize, &Cause)| {
        let against = cause.against.and_then(|(reading, seen)| Some((shown.readings.get(reading)?, seen)));
        let (by, instead) = match against {
            Some((reading, seen)) => (Cell::text(reading.written.clone()), Cell::text(words(reading.probe, seen))),
            None => (Cell::None(""), Cell::None("")),
        };
        vec![
            Cell::count(number + 1),
            Cell::text(fault(cause)),
            Cell::figure((cause.share * 1000.0).round() / 10.0),
            Cell::text(quoted(&cause.opens).join(", ")),
            Cell::count(cause.alike.len()),
            by,
            instead,
        ]
    };
    let rows: Vec<Vec<Cell>> = found.causes.iter().take(shown.most).enumerate().map(row).collect();
    let caption = match found.verdict {
        Verdict::Nothing => "Causes that come nearest, with the reading that contradicts each.",
        _ => "Causes that explain all readings, the likeliest first; those in one line look alike wherever probes reach.",
    };
    // The columns that say it are the first that a narrow screen leaves out.
    let contradicted = |(number, cause): (usize, &Cause)| {
        let (reading, seen) = cause.against?;
        let reading = shown.readings.get(reading)?;
        Some(format!("{}: contradicted by `{}`, where it would be {}.", number + 1, reading.written, words(reading.probe, seen)))
    };
    let lines: Vec<String> = found.causes.iter().enumerate().take(MOST_CONTRADICTED).filter_map(contradicted).collect();
    let more = found.causes.len().saturating_sub(shown.most);
    let after = if more > 0 { vec![format!("and {}; `--most` lists them", counted(more, "more cause"))] } else { vec![] };
    Section {
        heading: "Causes".to_owned(),
        lines,
        table: Some(Table::of("causes", caption, CAUSES, rows)),
        after,
        ..Section::default()
    }
}

/// What a cause is, in words.
fn fault(cause: &Cause) -> String {
    let most = if cause.as_designed { 0 } else { MOST_ALIKE };
    let mut said: Vec<String> = Vec::new();
    if cause.as_designed {
        said.push(match cause.alike.len() {
            0 => "nothing: the design as it should be".to_owned(),
            many => format!("nothing, or one of {} that show nowhere in this mode", counted(many, "fault")),
        });
    }
    for set in cause.alike.iter().take(most) {
        said.push(set.iter().map(one).collect::<Vec<_>>().join(" and "));
    }
    let more = if most == 0 { 0 } else { cause.alike.len().saturating_sub(most) };
    if more > 0 {
        said.push(format!("{more} more"));
    }
    said.join("; or ")
}

fn one(fault: &NamedFault) -> String {
    let names = quoted(&fault.names).join(" and ");
    match fault.kind {
        CauseKind::Blown => format!("fuse {names} blown"),
        CauseKind::Open => format!("conductor {names} open"),
        CauseKind::Apart => format!("contact {names} not made"),
        CauseKind::Raised => {
            let by = fault.raised.map_or_else(String::new, |[least, most]| format!(", {} to {} more", least, most));
            format!("contact {names} corroded{by}")
        }
        CauseKind::Dead => format!("{names} does nothing"),
        CauseKind::Stuck => format!("contact of {names} does not close"),
        CauseKind::Welded => format!("contact of {names} welded"),
        CauseKind::Shorted => format!("{names} shorted to ground"),
        CauseKind::Bridged => format!("{names} bridged"),
    }
}

const READINGS: &[Column] = &[
    Column::words("place", "place", 0),
    Column::words("against", "against", 0),
    Column::words("quantity", "what", 2),
    Column::words("value", "read", 0),
    Column::words("as_designed", "should be", 0),
];

fn readings(shown: &Shown<'_>) -> Section {
    let row = |(reading, sound): (&Reading, &Seen)| {
        let names = shown.search.place(reading.probe);
        let (what, _) = quantity(reading.probe);
        let read = Seen::exactly(reading.value);
        let read = if reading.value.is_finite() { words(reading.probe, read) } else { "open".to_owned() };
        vec![
            Cell::text(names.at),
            Cell::text(names.against),
            Cell::text(what),
            Cell::text(read),
            Cell::text(words(reading.probe, *sound)),
        ]
    };
    let rows: Vec<Vec<Cell>> = shown.readings.iter().zip(&shown.found.sound).map(row).collect();
    let lines =
        if rows.is_empty() { vec!["None yet: what is proposed finds out most of all faults.".to_owned()] } else { vec![] };
    let table = (!rows.is_empty()).then(|| {
        Table::of("readings", "What was read, beside what the design shows in this mode without a fault.", READINGS, rows)
    });
    Section { heading: "Readings".to_owned(), lines, table, ..Section::default() }
}
