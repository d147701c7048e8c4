//! What measured readings say of a loom: what fails, what is wrong, which reading decides, what was not read.

use crate::{
    phrase::{all, counted},
    render::kit::paper::{Cell, Column, Paper, Section, Table},
};
use harness_core::bench::{NamedCause, RingOut, RingOutVerdict};

const CAUSES: [Column; 6] = [
    Column::figures("cause", "cause", "", 0),
    Column::words("what", "what is wrong", 0),
    Column::words("slip", "slip of the hand", 3),
    Column::words("as_likely", "or, by the same readings", 1),
    Column::words("decide_from", "decide by reading from", 2),
    Column::words("decide_to", "to", 2),
];

const FAILING: [Column; 5] = [
    Column::words("step", "step", 0),
    Column::words("from", "from", 0),
    Column::words("to", "to", 0),
    Column::words("should_be", "should be", 0),
    Column::words("was", "was", 0),
];

/// Others that would give the same readings are listed up to this many.
const MOST_EQUALS: usize = 6;
/// Steps that were not read are listed up to this many.
const MOST_UNREAD: usize = 12;

/// What was measured, on paper.
#[must_use]
pub fn paper(ring_out: &RingOut, verdict: &RingOutVerdict) -> Paper {
    let mut lead = vec![head(verdict)];
    match verdict.leads {
        Some(ohm) => lead.push(format!("{ohm} ohm of the leads were taken off each reading.")),
        None if verdict.taken > 0 => {
            lead.push("The list has no row from `leads`: the readings count as written, the leads taken off already.".to_owned());
        }
        None => {}
    }
    if !verdict.unread.is_empty() {
        let numbers: Vec<String> = verdict.unread.iter().take(MOST_UNREAD).map(ToString::to_string).collect();
        let more = verdict.unread.len() - numbers.len();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let (noun, not) = (counted(verdict.unread.len(), "reading"), if verdict.unread.len() == 1 { "is" } else { "are" });
        lead.push(format!("{noun} of the plan {not} missing: step {}{more}.", numbers.join(", ")));
    }
    lead.extend(verdict.troubles.iter().chain(&verdict.notes).cloned());
    let mut sections = Vec::new();
    if !verdict.causes.is_empty() {
        sections.push(causes(verdict));
    }
    if !verdict.failing.is_empty() {
        sections.push(failing(verdict));
    }
    if verdict.is_good && !ring_out.unseen.is_empty() {
        let count: usize = ring_out.unseen.iter().map(|slips| slips.count).sum();
        let line = format!(
            "{} that no reading finds: `harness ringout` lists them; colours and numbers show them.",
            counted(count, "slip")
        );
        sections.push(Section { lines: vec![line], ..Section::default() });
    }
    Paper {
        name: "ring-out-verdict".to_owned(),
        title: "ring-out, measured,".to_owned(),
        subject: format!("loom `{}`", ring_out.loom),
        about: ring_out.loom.clone(),
        has_class_b: ring_out.has_class_b,
        lead,
        unknown: Vec::new(),
        sections,
        sources: Vec::new(),
    }
}

fn head(verdict: &RingOutVerdict) -> String {
    let taken = counted(verdict.taken, "reading");
    if verdict.is_good {
        let rest = match verdict.strip_unread {
            0 => "no two nets touch",
            _ => {
                "not proven: that nets without neighbouring cavities are apart, which the readings against the strip or a lamp board show"
            }
        };
        return format!("Good by these readings: {taken}, each that of a sound loom; {rest}.");
    }
    if verdict.failing.is_empty() {
        return format!("Not proven: {taken} taken and none fails, but what is missing or can't be read proves nothing.");
    }
    let failing = verdict.failing.len();
    let explained = failing.saturating_sub(verdict.unexplained.len());
    let by = match verdict.causes.len() {
        0 => "no slip of the hand that is known explains them".to_owned(),
        1 if verdict.unexplained.is_empty() => "one cause explains every reading".to_owned(),
        more if verdict.unexplained.is_empty() => format!("{more} causes together explain every reading"),
        _ => format!("what is named explains {explained} of them"),
    };
    format!("Do not fit: {failing} of {taken} fail; {by}.")
}

fn causes(verdict: &RingOutVerdict) -> Section {
    let row = |(number, cause): (usize, &NamedCause)| {
        let more = cause.equals.len().saturating_sub(MOST_EQUALS);
        let mut equals: Vec<String> = cause.equals.iter().take(MOST_EQUALS).cloned().collect();
        if more > 0 {
            equals.push(format!("{more} more"));
        }
        let [from, to] = cause.decides.clone().unwrap_or_default();
        vec![
            Cell::count(number + 1),
            Cell::text(&cause.what),
            Cell::text(cause.kind.heading()),
            Cell::text(equals.join("; ")),
            Cell::text(from),
            Cell::text(to),
        ]
    };
    let rows = verdict.causes.iter().enumerate().map(row).collect();
    let mut after: Vec<String> = Vec::new();
    for other in &verdict.others {
        let of: Vec<String> = other.instead_of.iter().map(ToString::to_string).collect();
        after.push(format!("As good an explanation, instead of {}: {}.", all(&of), all(&other.what)));
    }
    let undecided = verdict.causes.iter().enumerate().filter(|(_, cause)| cause.decides.is_none() && !cause.equals.is_empty());
    let undecided: Vec<String> = undecided.map(|(number, _)| (number + 1).to_string()).collect();
    if !undecided.is_empty() {
        after.push(format!(
            "No reading decides what cause {} is: look at the colours and numbers at the ends that it names.",
            all(&undecided)
        ));
    }
    for reading in &verdict.unexplained {
        after.push(format!("Not explained: {reading}."));
    }
    if verdict.causes.iter().any(|cause| cause.decides.is_some()) {
        after.push("Take the reading that decides, add it to the list as a row of its own, and run this again.".to_owned());
    }
    let table = Table::of("causes", "the fewest causes that together explain the most readings", &CAUSES, rows);
    Section { heading: "what is wrong".to_owned(), table: Some(table), after, ..Section::default() }
}

fn failing(verdict: &RingOutVerdict) -> Section {
    let rows = verdict.failing.iter().map(|failing| {
        vec![
            failing.step.map_or(Cell::Text("own".to_owned()), |step| Cell::text(step.to_string())),
            Cell::text(&failing.from),
            Cell::text(&failing.to),
            Cell::text(&failing.should_be),
            Cell::text(&failing.was),
        ]
    });
    let table = Table::of("failing", "the readings that a sound loom does not give", &FAILING, rows.collect());
    Section { heading: "readings that fail".to_owned(), table: Some(table), ..Section::default() }
}
