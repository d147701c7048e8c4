//! What measured readings say of a loom: what fails, what is wrong, which reading decides, what was not read.

use crate::{
    phrase::{all, counted},
    render::kit::paper::{Cell, Column, Paper, Section, Table},
};
use harness_core::bench::{Code, NamedCause, RingOut, RingOutVerdict};

const CAUSES: [Column; 6] = [
    Column::figures("cause", "cause", "", 0),
    Column::words("what", "what is wrong", 0),
    Column::words("slip", "slip of the hand", 3),
    Column::words("as_likely", "or, by the same readings", 1),
    Column::words("next_from", "next reading from", 2),
    Column::words("next_to", "to", 2),
];

const FAILING: [Column; 5] = [
    Column::words("step", "step", 0),
    Column::words("from", "from", 0),
    Column::words("to", "to", 0),
    Column::words("should_be", "should be", 0),
    Column::words("was", "was", 0),
];

const LAMPS: [Column; 4] = [
    Column::words("pattern", "pattern", 0),
    Column::words("point", "lamp at", 0),
    Column::words("should_be", "should be", 0),
    Column::words("was", "was", 0),
];

/// Others that would give the same readings are listed up to this many.
const MOST_EQUALS: usize = 6;
/// Steps that were not read are listed up to this many.
const MOST_UNREAD: usize = 12;
/// Lamps of a pattern that were not noted are listed up to this many.
const MOST_LAMPS: usize = 6;

/// By what a loom was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The readings of a meter.
    Readings,
    /// The lamps of a board with the patterns of a code.
    Lamps(Code),
}

/// What was measured, on paper.
#[must_use]
pub fn paper(ring_out: &RingOut, verdict: &RingOutVerdict, by: By) -> Paper {
    let mut lead = vec![head(verdict, by)];
    match verdict.leads.filter(|_| by == By::Readings) {
        Some(ohm) => lead.push(format!("{ohm} ohm of the leads were taken off each reading.")),
        None if verdict.taken > 0 && by == By::Readings => {
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
    lead.extend(unseen_lamps(verdict));
    lead.extend(verdict.troubles.iter().chain(&verdict.notes).cloned());
    let mut sections = Vec::new();
    if !verdict.causes.is_empty() {
        sections.push(causes(verdict, by));
    }
    if !verdict.failing.is_empty() {
        sections.push(failing(verdict, by));
    }
    if let (true, By::Lamps(code)) = (verdict.is_good, by) {
        sections.extend(left_to_the_meter(ring_out, code));
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

/// What lamps do not show and a meter does.
fn left_to_the_meter(ring_out: &RingOut, code: Code) -> Option<Section> {
    let (first, count) = ring_out.lamp_board(code).missed;
    let what = "Lamps show what is joined, not by how many ohms";
    let line = match count {
        0 => return None,
        _ => format!(
            "{what}: {} that the readings of a meter find and lamps do not, such as: {}. Take those readings too.",
            counted(count, "slip"),
            first.join("; ")
        ),
    };
    Some(Section { lines: vec![line], ..Section::default() })
}

/// The lamps that nobody noted, pattern by pattern.
fn unseen_lamps(verdict: &RingOutVerdict) -> Vec<String> {
    let whole: Vec<String> =
        verdict.unseen_lamps.iter().filter(|unseen| unseen.points.is_empty()).map(|unseen| unseen.pattern.to_string()).collect();
    let mut lines = Vec::new();
    if !whole.is_empty() {
        let (noun, not) = if whole.len() == 1 { ("pattern", "is") } else { ("patterns", "are") };
        lines.push(format!("{noun} {} {not} missing: no lamp was noted.", all(&whole)));
    }
    for unseen in verdict.unseen_lamps.iter().filter(|unseen| !unseen.points.is_empty()) {
        let first: Vec<String> = unseen.points.iter().take(MOST_LAMPS).map(|point| format!("`{point}`")).collect();
        let more = unseen.points.len() - first.len();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        lines.push(format!(
            "{} of pattern {} not noted, lit or dark: {}{more}.",
            counted(unseen.points.len(), "lamp"),
            unseen.pattern,
            first.join(", ")
        ));
    }
    lines
}

fn head(verdict: &RingOutVerdict, by: By) -> String {
    let (taken, each) = match by {
        By::Readings => (counted(verdict.taken, "reading"), "reading"),
        By::Lamps(_) => (format!("{} noted", counted(verdict.taken, "lamp")), "lamp"),
    };
    if verdict.is_good {
        let rest = match (verdict.strip_unread, by) {
            (0, _) | (_, By::Lamps(_)) => "no two nets touch",
            (_, By::Readings) => {
                "not proven: that nets without neighbouring cavities are apart, which the readings against the strip or a lamp board show"
            }
        };
        return format!("Good by these {each}s: {taken}, each that of a sound loom; {rest}.");
    }
    if verdict.failing.is_empty() {
        let taken = if by == By::Readings { format!("{taken} taken") } else { taken };
        return format!("Not proven: {taken} and none fails, but what is missing or can't be read proves nothing.");
    }
    let failing = verdict.failing.len();
    let explained = failing.saturating_sub(verdict.unexplained.len());
    let by = match verdict.causes.len() {
        0 => "no slip of the hand that is known explains them".to_owned(),
        1 if verdict.unexplained.is_empty() => format!("one cause explains every {each}"),
        more if verdict.unexplained.is_empty() => format!("{more} causes together explain every {each}"),
        _ => format!("what is named explains {explained} of them"),
    };
    format!("Do not fit: {failing} of {taken} fail; {by}.")
}

fn causes(verdict: &RingOutVerdict, by: By) -> Section {
    let row = |(number, cause): (usize, &NamedCause)| {
        let more = cause.equals.len().saturating_sub(MOST_EQUALS);
        let mut equals: Vec<String> = cause.equals.iter().take(MOST_EQUALS).cloned().collect();
        if more > 0 {
            equals.push(format!("{more} more"));
        }
        if cause.confirms.is_some() {
            equals.push("conductors that are open at these places: then the next reading is open, else it is joined".to_owned());
        }
        let [from, to] = cause.next_reading().cloned().unwrap_or_default();
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
        let (causes, name) = if undecided.len() == 1 { ("cause", "it names") } else { ("causes", "they name") };
        after.push(format!(
            "No reading decides between what is given for {causes} {}: look at the colours and numbers at the ends that {name}.",
            all(&undecided)
        ));
    }
    for reading in &verdict.unexplained {
        after.push(format!("Not explained: {reading}."));
    }
    if verdict.causes.iter().any(|cause| cause.next_reading().is_some()) {
        after.push(
            match by {
                By::Readings => "Take the next reading, add it to the list as a row of its own, and run this again.",
                By::Lamps(_) => "The next reading is one with a meter: leads at the two places, open or joined.",
            }
            .to_owned(),
        );
    }
    let table = Table::of("causes", "the fewest causes that together explain the most readings", &CAUSES, rows);
    Section { heading: "what is wrong".to_owned(), table: Some(table), after, ..Section::default() }
}

fn failing(verdict: &RingOutVerdict, by: By) -> Section {
    let rows = verdict.failing.iter().map(|failing| {
        let step = failing.step.map_or(Cell::Text("own".to_owned()), |step| Cell::text(step.to_string()));
        let places = std::iter::once(&failing.from).chain(&failing.to).map(Cell::text);
        let words = [&failing.should_be, &failing.was].map(Cell::text);
        std::iter::once(step).chain(places).chain(words).collect()
    });
    let (heading, caption, columns) = match by {
        By::Readings => ("readings that fail", "the readings that a sound loom does not give", FAILING.as_slice()),
        By::Lamps(_) => ("lamps that fail", "the lamps that are others in a sound loom", LAMPS.as_slice()),
    };
    let table = Table::of("failing", caption, columns, rows.collect());
    Section { heading: heading.to_owned(), table: Some(table), ..Section::default() }
}
