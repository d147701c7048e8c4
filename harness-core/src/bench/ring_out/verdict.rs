//! What measured readings say of a loom, in words: what fails, what is wrong, what decides, what was not read.

use super::{
    RingOut,
    bare::Spot,
    compare::{Cause, LampRow, MeasuredRow, Observed, UnseenLamps, compare, noted, read, sentence, unread},
    lamp_board::{Board, Code, Lamp},
    piece::Shown,
    planned::{STRIP, StepId},
    reading::{Reading, Setting},
    slip::{Slip, SlipKind},
    state::State,
};

use std::collections::BTreeSet;

/// What measured readings say of a loom.
#[derive(Debug, Clone, Default, PartialEq)]
#[non_exhaustive]
pub struct RingOutVerdict {
    /// Whether every reading of the plan was taken, none of them contradicts itself, and all are those of a sound loom.
    pub is_good: bool,
    /// How many readings count, or how many times a lamp was noted.
    pub taken: usize,
    /// The readings that a sound loom does not give.
    pub failing: Vec<Failing>,
    /// What is wrong: the fewest slips that together explain the most readings.
    pub causes: Vec<NamedCause>,
    /// Readings that these do not explain, in words.
    pub unexplained: Vec<String>,
    /// What would explain as much in the place of several causes.
    pub others: Vec<OtherCauses>,
    /// The numbers of the steps that were not read.
    pub unread: Vec<usize>,
    /// How many readings against the strip were not taken: without them nets that have no neighbouring cavities are not proven to be apart.
    pub strip_unread: usize,
    /// The lamps that nobody noted.
    pub unseen_lamps: Vec<UnseenLamps>,
    /// Rows that could not be read or contradict each other.
    pub troubles: Vec<String>,
    /// Rows that are odd and change nothing.
    pub notes: Vec<String>,
    /// The resistance of the leads that was taken off each reading, in ohm; `None` where the list has no row for them: then the readings count
    /// as they are written.
    pub leads: Option<f64>,
}

/// A reading that a sound loom does not give.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Failing {
    /// The number of its step, of a lamp that of its pattern; `None` for a reading that is not of the plan.
    pub step: Option<usize>,
    /// Where the one lead was, or the lamp.
    pub from: String,
    /// Where the other lead was; `None` for a lamp.
    pub to: Option<String>,
    /// What it should be, in words.
    pub should_be: String,
    /// What was read, in words.
    pub was: String,
}

/// Slips that explain as much as several causes do.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct OtherCauses {
    /// The numbers of the causes that they are instead of, from 1.
    pub instead_of: Vec<usize>,
    /// What would be wrong, as sentences.
    pub what: Vec<String>,
}

/// One slip that explains readings.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct NamedCause {
    /// What is wrong, as a sentence.
    pub what: String,
    /// Its sort.
    pub kind: SlipKind,
    /// What would give the same readings, the likeliest first.
    pub equals: Vec<String>,
    /// Two places whose reading decides between them; `None` where nothing is to be decided, or no reading does.
    pub decides: Option<[String; 2]>,
    /// Two places that are joined if it is one of these, and open if conductors are open instead, which explains as much.
    pub confirms: Option<[String; 2]>,
}

impl NamedCause {
    /// The reading worth taking next: the one that decides, else the one that confirms.
    #[must_use]
    pub fn next_reading(&self) -> Option<&[String; 2]> {
        self.decides.as_ref().or(self.confirms.as_ref())
    }
}

/// What readings of a meter say.
pub(super) fn of_readings(ring_out: &RingOut, rows: &[MeasuredRow]) -> RingOutVerdict {
    let (rig, plan) = (&ring_out.rig, &ring_out.plan);
    let read = read(rig, plan, &ring_out.loom, rows);
    let observed: Vec<Observed<'_>> = read.observed.iter().copied().map(Observed::Metered).collect();
    let (unread, strip_unread) = unread(rig, plan, &read.observed);
    let explained = explained(ring_out, &observed);
    RingOutVerdict {
        is_good: explained.failing.is_empty() && unread.is_empty() && read.troubles.is_empty(),
        taken: read.observed.len(),
        unread: unread.iter().map(|id| id.index() + 1).collect(),
        strip_unread,
        troubles: read.troubles,
        notes: read.notes,
        leads: read.leads,
        ..explained
    }
}

/// What the lamps of a board say.
pub(super) fn of_lamps(ring_out: &RingOut, code: Code, rows: &[LampRow]) -> RingOutVerdict {
    let board = Board::new(&ring_out.rig, code);
    let noted = noted(&ring_out.rig, &board, &ring_out.loom, rows);
    let explained = explained(ring_out, &noted.observed(&board));
    RingOutVerdict {
        is_good: explained.failing.is_empty() && noted.unseen.is_empty() && noted.troubles.is_empty(),
        taken: noted.taken,
        unseen_lamps: noted.unseen,
        troubles: noted.troubles,
        notes: noted.notes,
        ..explained
    }
}

/// What was seen against what should be, and the slips that explain it.
fn explained(ring_out: &RingOut, observed: &[Observed<'_>]) -> RingOutVerdict {
    let (rig, plan, meter) = (&ring_out.rig, &ring_out.plan, &ring_out.meter);
    let comparison = compare(rig, plan, meter, observed);
    let name = |spot: Spot| rig.bare.spots[spot].name.clone();
    let of = |places: &BTreeSet<usize>| -> Vec<Failing> {
        places.iter().filter_map(|at| observed.get(*at)).flat_map(|observed| failing(ring_out, observed)).collect()
    };
    let unexplained = of(&comparison.against).into_iter().map(|failing| match failing.to {
        None => format!("`{}` in pattern {}: {}", failing.from, failing.step.unwrap_or_default(), failing.was),
        Some(to) => format!("`{}` to `{to}`: {}", failing.from, failing.was),
    });
    let named = |cause: &Cause| NamedCause {
        what: sentence(rig, &cause.slip),
        kind: cause.slip.kind(),
        equals: cause.equals.iter().map(|slip| sentence(rig, slip)).collect(),
        decides: cause.decides.map(|(from, to)| [name(from), name(to)]),
        confirms: cause.confirms.map(|(from, to)| [name(from), name(to)]),
    };
    let instead = |(of, slips): &(Vec<usize>, Vec<Slip>)| OtherCauses {
        instead_of: of.iter().map(|at| at + 1).collect(),
        what: slips.iter().map(|slip| sentence(rig, slip)).collect(),
    };
    RingOutVerdict {
        failing: of(&comparison.failing),
        causes: comparison.causes.iter().map(named).collect(),
        unexplained: unexplained.collect(),
        others: comparison.others.iter().map(instead).collect(),
        ..RingOutVerdict::default()
    }
}

/// What was seen of a place in words: one reading, or a lamp in each pattern in which it is not as it should be.
fn failing(ring_out: &RingOut, observed: &Observed<'_>) -> Vec<Failing> {
    let (rig, plan) = (&ring_out.rig, &ring_out.plan);
    let name = |spot: Spot| rig.bare.spots[spot].name.clone();
    match observed {
        Observed::Metered(reading) => {
            let is_step = |id: &&StepId| {
                let step = &plan.steps[**id];
                let straight = step.from == reading.from && step.to == reading.to;
                let crossed = step.from == reading.to && step.to == reading.from && step.setting == Setting::Ohms;
                step.setting == reading.setting && step.is_on_strip() == reading.strip.is_some() && (straight || crossed)
            };
            let step = plan.at[reading.from].iter().find(is_step);
            let shown = State::with(rig, &[]).shown_on(reading.from, reading.to, reading.strip);
            vec![Failing {
                step: step.map(|id| id.index() + 1),
                from: name(reading.from),
                to: Some(if reading.strip.is_some() { STRIP.to_owned() } else { name(reading.to) }),
                should_be: should_be(ring_out, shown, reading.setting),
                was: in_words(reading.reading),
            }]
        }
        Observed::Lamp { board, at, seen } => {
            let word = |is_lit: bool| if is_lit { "lit" } else { "dark" }.to_owned();
            let wrong = seen.iter().enumerate().filter_map(|(pattern, is_lit)| {
                let should = match board.should_be(*at, pattern) {
                    Lamp::Lit => true,
                    Lamp::Dark => false,
                    Lamp::Unsure => return None,
                };
                let is_lit = (*is_lit).filter(|is_lit| *is_lit != should)?;
                Some(Failing { step: Some(pattern + 1), from: name(*at), to: None, should_be: word(should), was: word(is_lit) })
            });
            wrong.collect()
        }
    }
}

fn should_be(ring_out: &RingOut, shown: Shown, setting: Setting) -> String {
    match shown {
        Shown::Open => format!("open, above {}", ohms(ring_out.meter.open)),
        Shown::Vague => "not known".to_owned(),
        Shown::Forward(drop) if setting == Setting::Diode => format!("about {drop} V, a diode"),
        Shown::Forward(_) => "a diode".to_owned(),
        Shown::Ohms(resistance) => {
            let [least, most] = ring_out.meter.limits(resistance);
            if least > 0.0 { format!("{} to {}", ohms(least), ohms(most)) } else { format!("at most {}", ohms(most)) }
        }
    }
}

fn in_words(reading: Reading) -> String {
    match reading {
        Reading::Open => "open".to_owned(),
        Reading::Ohms(ohm) => ohms(ohm),
        Reading::Volts(volts) => format!("{} V", (volts * 1e3).round() / 1e3),
    }
}

/// A resistance with three digits, in the unit that people say.
fn ohms(ohm: f64) -> String {
    let (scaled, unit) = match ohm.abs() {
        1e6.. => (ohm / 1e6, "Mohm"),
        1e3.. => (ohm / 1e3, "kohm"),
        _ => (ohm, "ohm"),
    };
    let places = (2 - scaled.abs().max(0.1).log10().floor() as i32).clamp(0, 3) as usize;
    let shown = format!("{scaled:.places$}");
    let shown = if shown.contains('.') { shown.trim_end_matches('0').trim_end_matches('.') } else { &shown };
    format!("{shown} {unit}")
}
