//! The ring-out on paper: the readings of a bare loom, what each finds, what is asked of the insulation.

use super::Wanted;
use crate::render::kit::paper::{Cell, Column, Group, Paper, Section, Table, three_digits};
use harness_core::bench::{Bench, Covered, InsulationTest, Purpose, RingOut, RingOutStep, Serves, UnseenSlips};

const STEPS: [Column; 15] = [
    Column::figures("step", "step", "", 0),
    Column::words("loom", "loom", 9).as_data(),
    Column::words("from", "from", 0),
    Column::words("to", "to", 0),
    Column::words("expect", "must be", 0),
    Column::figures("expected_ohm", "computed", "Ω", 3),
    Column::figures("least_ohm", "least", "Ω", 2),
    Column::figures("most_ohm", "most", "Ω", 1),
    Column::figures("drop_V", "diode", "V", 4),
    Column::words("through", "through", 5),
    Column::words("serves", "belongs to", 6),
    Column::figures("finds", "finds", "slips", 7),
    Column::words("measured", "measured", 9).as_data(),
    Column::words("reading", "measured", 0).on_paper(),
    Column::words("done", "✓", 0).on_paper(),
];

const COVERAGE: [Column; 6] = [
    Column::words("slip", "slip of the hand", 0),
    Column::words("end", "at", 0),
    Column::figures("simulated", "simulated", "", 0),
    Column::figures("found", "found", "", 0),
    Column::figures("not_found", "not", "", 0),
    Column::words("first_steps", "found first by step", 1),
];

const UNSEEN: [Column; 5] = [
    Column::words("slip", "slip of the hand", 0),
    Column::words("end", "at", 0),
    Column::figures("count", "how many", "", 0),
    Column::words("reason", "why no reading finds it", 0),
    Column::words("first", "such as", 1),
];

const INSULATION: [Column; 13] = [
    Column::words("loom", "loom", 9).as_data(),
    Column::words("from", "from", 0),
    Column::words("against", "against", 1).as_data(),
    Column::words("domain", "domain", 2),
    Column::figures("highest_V", "highest", "V", 2),
    Column::figures("test_V", "test with", "V", 0),
    Column::figures("least_test_R100_V", "least by UN R100", "V", 3).as_data(),
    Column::figures("least_test_ISO_6469_3_V", "least by ISO 6469-3", "V", 3).as_data(),
    Column::figures("least_dc_ohm", "least, DC alone", "Ω", 0),
    Column::figures("least_ac_ohm", "least, with AC", "Ω", 0),
    Column::words("measured", "measured", 9).as_data(),
    Column::words("reading", "measured", 0).on_paper(),
    Column::words("by", "by", 0).on_paper(),
];

/// The ring-out of each loom that is wanted.
pub(super) fn papers(bench: &Bench<'_>, wanted: &Wanted) -> Vec<Paper> {
    let looms = bench.looms().into_iter().filter(|loom| wanted.has_loom(loom));
    looms.filter_map(|loom| bench.ring_out(&loom)).map(|ring_out| paper(&ring_out)).collect()
}

/// The ring-out of a loom.
#[must_use]
pub fn paper(ring_out: &RingOut) -> Paper {
    let mut sections = vec![readings(ring_out)];
    if !ring_out.insulation.is_empty() {
        sections.push(insulation(ring_out));
    }
    sections.push(coverage(ring_out));
    if !ring_out.unseen.is_empty() {
        sections.push(unseen(&ring_out.unseen));
    }
    let mut sources: Vec<String> = ring_out.sources().iter().map(ToString::to_string).collect();
    sources.push(
        "conductors: their most resistance at 20 degC by the standard of their kind; contacts: as the design says or usual"
            .to_owned(),
    );
    Paper {
        lead: vec![
            "Nothing is mated: this is the loom alone. Hold the tips of the leads together, note what the meter shows, and take it off each \
             reading. A reading below the least or above the most fails; a loom with a failed reading is not fitted."
                .to_owned(),
            "Write what the meter shows into the column `measured` of the comma-separated table (`OL` or `open` where it shows nothing): \
             `harness ringout FILE --measured TABLE` says what is wrong."
                .to_owned(),
        ],
        unknown: ring_out.unknown.clone(),
        sections,
        sources,
        ..head("ring-out", "ring-out", ring_out)
    }
}

pub(super) fn head(name: &str, title: &str, ring_out: &RingOut) -> Paper {
    Paper {
        name: name.to_owned(),
        title: title.to_owned(),
        subject: format!("loom `{}`", ring_out.loom),
        about: ring_out.loom.clone(),
        has_class_b: ring_out.has_class_b,
        ..Paper::default()
    }
}

fn readings(ring_out: &RingOut) -> Section {
    let mut groups: Vec<Group> = Vec::new();
    for step in &ring_out.steps {
        let heading = ends(step);
        let row = row(ring_out, step);
        match groups.last_mut().filter(|group| group.heading == heading) {
            Some(group) => group.rows.push(row),
            None => groups.push(Group { heading, rows: vec![row] }),
        }
    }
    let (changes, fewest) = (ring_out.changes, ring_out.fewest_changes);
    let order = match changes.checked_sub(fewest) {
        None | Some(0) => format!("A lead goes to another end {changes} times; no order of these readings needs fewer."),
        Some(_) => format!("A lead goes to another end {changes} times; no order of these readings needs fewer than {fewest}."),
    };
    let meter = &ring_out.meter;
    let limits = format!(
        "The limits allow for the meter: {} % of the reading, {} Ω of its last digits and {} Ω that are left of its leads. Open is above {} MΩ.",
        three_digits(meter.error * 100.0),
        three_digits(meter.digits),
        three_digits(meter.leads),
        three_digits(meter.open / 1e6)
    );
    let mut lines = vec![order, limits];
    if ring_out.steps.iter().any(|step| matches!(step.purpose, Purpose::Forward | Purpose::Backward)) {
        lines.push("Where a diode conducts or blocks: test of diodes, the red lead at `from`, the black one at `to`.".to_owned());
    }
    let strip = ring_out.steps.iter().filter(|step| step.purpose == Purpose::Strip).count();
    if strip > 0 {
        lines.push(format!(
            "The last {strip} readings hold each net against all before it: one lead on the strip, and each net is clipped to the strip after its \
             reading. They prove that no two nets touch anywhere; with them, what must be open between neighbours may be left out. Without them \
             nets that have no neighbouring cavities are not proven to be apart; a lamp board proves it too."
        ));
    }
    let caption = "one row a reading, in the order in which they are taken".to_owned();
    Section {
        heading: "readings".to_owned(),
        lines,
        table: Some(Table { key: "steps", caption, columns: STEPS.to_vec(), groups }),
        ..Section::default()
    }
}

/// The two ends where the leads are.
fn ends(step: &RingOutStep) -> String {
    if step.purpose == Purpose::Strip {
        return "each net against the strip".to_owned();
    }
    let end = |end: &str, place: &str| if end.is_empty() { place.to_owned() } else { end.to_owned() };
    let (from, to) = (end(&step.from_end, &step.from), end(&step.to_end, &step.to));
    let (low, high) = if from <= to { (from, to) } else { (to, from) };
    if low == high { format!("within {low}") } else { format!("{low} and {high}") }
}

fn row(ring_out: &RingOut, step: &RingOutStep) -> Vec<Cell> {
    let expect = match step.purpose {
        Purpose::Joined => "joined",
        Purpose::Resistor => "resistor",
        Purpose::Apart => "open",
        Purpose::Forward => "diode conducts",
        Purpose::Backward => "diode blocks",
        Purpose::Strip => "open",
    };
    let is_joined = matches!(step.purpose, Purpose::Joined | Purpose::Resistor);
    let serves = match step.serves {
        None => "",
        Some(Serves::Interlock) => "interlock loop",
        Some(Serves::Bus) => "data bus",
    };
    let through = match step.through.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [one, other] => format!("{one}, {other}"),
        [first, .., last] => format!("{first} to {last}, {} in all", step.through.len()),
    };
    let finds: usize = step.finds.iter().map(|(_, count)| count).sum();
    vec![
        Cell::count(step.number),
        Cell::text(&ring_out.loom),
        Cell::text(&step.from),
        Cell::text(&step.to),
        Cell::text(expect),
        if is_joined { Cell::figure_or(step.expected, "not known") } else { Cell::None("") },
        Cell::figure_or(step.least, ""),
        Cell::figure_or(step.most, ""),
        Cell::figure_or(step.volts, ""),
        Cell::text(through),
        Cell::text(serves),
        Cell::count(finds),
        Cell::None(""),
        Cell::Write(18),
        Cell::Tick,
    ]
}

fn coverage(ring_out: &RingOut) -> Section {
    let total = |of: fn(&Covered) -> usize| ring_out.coverage.iter().map(of).sum::<usize>();
    let (tried, found) = (total(|row| row.tried), total(|row| row.found));
    let rows = ring_out.coverage.iter().map(|row| {
        vec![
            Cell::text(row.kind.heading()),
            if row.end.is_empty() { Cell::text("conductors") } else { Cell::text(&row.end) },
            Cell::count(row.tried),
            Cell::count(row.found),
            Cell::count(row.tried - row.found),
            Cell::text(spans(&row.steps)),
        ]
    });
    let lines = vec![format!(
        "{tried} slips of the hand were made in the computed loom, one by one, and each reading was taken: {found} are found, {} by no reading.",
        tried - found
    )];
    let table = Table::of("coverage", "one row for the slips of one sort at one end", &COVERAGE, rows.collect());
    Section { heading: "what the readings find".to_owned(), lines, table: Some(table), ..Section::default() }
}

/// Numbers as people list them: `1 to 4, 7`, the first few of many.
fn spans(numbers: &[usize]) -> String {
    let mut spans: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match spans.last_mut().filter(|(_, last)| last + 1 == *number) {
            Some((_, last)) => *last = *number,
            None => spans.push((*number, *number)),
        }
    }
    let words = |(first, last): &(usize, usize)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    };
    let shown: Vec<String> = spans.iter().take(4).map(words).collect();
    let more = if spans.len() > 4 { ", …" } else { "" };
    format!("{}{more}", shown.join(", "))
}

fn unseen(unseen: &[UnseenSlips]) -> Section {
    let rows = unseen.iter().map(|slips| {
        vec![
            Cell::text(slips.kind.heading()),
            if slips.end.is_empty() { Cell::text("conductors") } else { Cell::text(&slips.end) },
            Cell::count(slips.count),
            Cell::text(slips.reason.reason()),
            Cell::text(slips.first.join("; ")),
        ]
    });
    let table = Table::of("unseen", "one row for the slips of one sort, end and reason", &UNSEEN, rows.collect());
    let lines = vec!["Look at these: colours, numbers, and a pull at each terminal show what a meter can't.".to_owned()];
    Section { heading: "what no reading finds".to_owned(), lines, table: Some(table), ..Section::default() }
}

fn insulation(ring_out: &RingOut) -> Section {
    let row = |test: &InsulationTest| {
        let [(half, _), (full, _)] = test.volts;
        let [(dc, _), (ac, _)] = test.least;
        vec![
            Cell::text(&ring_out.loom),
            Cell::text(&test.from),
            Cell::text("all others of the loom, joined"),
            Cell::text(&test.domain),
            Cell::figure(test.highest.get()),
            Cell::figure_or(test.step.map(|step| step.value.get()), "above 1000"),
            Cell::figure(half.get()),
            Cell::figure(full.get()),
            Cell::figure(dc.get()),
            Cell::figure(ac.get()),
            Cell::None(""),
            Cell::Write(18),
            Cell::Write(18),
        ]
    };
    let rows = ring_out.insulation.iter().map(row).collect();
    let mut after: Vec<String> = Vec::new();
    if let Some(test) = ring_out.insulation.first() {
        let sources = test.volts.iter().map(|(_, source)| *source).chain(test.least.iter().map(|(_, source)| *source));
        after.extend(sources.map(|source| format!("source: {source}")));
        after.extend(test.step.map(|step| format!("source: {}", step.source)));
    }
    let lines = vec![
        "Class B, for trained people alone: the test voltage is dangerous. Loom unplugged at both ends and taken away from people, test leads on \
         before the tester is switched on, conductors discharged after each reading."
            .to_owned(),
        "The two texts differ by a factor of two in the least test voltage: the higher one counts here, if every part withstands it. The \
         limits are those of a whole vehicle: a dry loom by itself reads far above them, and one that is near to them is not fitted."
            .to_owned(),
    ];
    let table = Table::of(
        "insulation",
        "one row for each conductor of voltage class B, each against all others of the loom, joined",
        &INSULATION,
        rows,
    );
    Section {
        heading: "insulation of voltage class B".to_owned(),
        own_sheet: true,
        lines,
        table: Some(table),
        after,
        ..Section::default()
    }
}
