//! What measured readings say of a loom, in words: what fails, what is wrong, what decides, what was not read.

use super::{
    RingOut,
    bare::Spot,
    compare::{Cause, MeasuredRow, Observed, compare, read, sentence},
    piece::Shown,
    planned::{STRIP, StepId},
    reading::{Reading, Setting},
    slip::{Slip, SlipKind},
    state::State,
};

/// What measured readings say of a loom.
#[derive(Debug, Clone, Default, PartialEq)]
#[non_exhaustive]
pub struct RingOutVerdict {
    /// Whether every reading of the plan was taken, none of them contradicts itself, and all are those of a sound loom.
    pub is_good: bool,
    /// How many readings count.
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
    /// The number of its step; `None` for one that is not of the plan.
    pub step: Option<usize>,
    /// Where the one lead was.
    pub from: String,
    /// Where the other was.
    pub to: String,
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
}

pub(super) fn verdict(ring_out: &RingOut, rows: &[MeasuredRow]) -> RingOutVerdict {
    let (rig, plan, meter) = (&ring_out.rig, &ring_out.plan, &ring_out.meter);
    let read = read(rig, plan, &ring_out.loom, rows);
    let comparison = compare(rig, plan, meter, &read.observed);
    let sound = State::with(rig, &[]);
    let name = |spot: Spot| rig.bare.spots[spot].name.clone();
    let other = |observed: &Observed<'_>| if observed.strip.is_empty() { name(observed.to) } else { STRIP.to_owned() };
    let failing_at = |at: &usize| -> Option<Failing> {
        let observed = read.observed.get(*at)?;
        let is_step = |id: &&StepId| {
            let step = &plan.steps[**id];
            let straight = step.from == observed.from && step.to == observed.to;
            let crossed = step.from == observed.to && step.to == observed.from && step.setting == Setting::Ohms;
            step.setting == observed.setting && step.strip.is_empty() == observed.strip.is_empty() && (straight || crossed)
        };
        let step = plan.at[observed.from].iter().find(is_step);
        let shown = sound.shown_on(observed.from, observed.to, observed.strip);
        Some(Failing {
            step: step.map(|id| id.index() + 1),
            from: name(observed.from),
            to: other(observed),
            should_be: should_be(ring_out, shown, observed.setting),
            was: in_words(observed.reading),
        })
    };
    let failing: Vec<Failing> = comparison.failing.iter().filter_map(failing_at).collect();
    let unexplained = comparison.against.iter().filter_map(|at| read.observed.get(*at));
    let unexplained = unexplained.map(|observed: &Observed<'_>| {
        format!("`{}` to `{}`: {}", name(observed.from), other(observed), in_words(observed.reading))
    });
    let unexplained = unexplained.collect();
    let named = |cause: &Cause| NamedCause {
        what: sentence(rig, &cause.slip),
        kind: cause.slip.kind(),
        equals: cause.equals.iter().map(|slip| sentence(rig, slip)).collect(),
        decides: cause.decides.map(|(from, to)| [name(from), name(to)]),
    };
    let instead = |(of, slips): &(Vec<usize>, Vec<Slip>)| OtherCauses {
        instead_of: of.iter().map(|at| at + 1).collect(),
        what: slips.iter().map(|slip| sentence(rig, slip)).collect(),
    };
    RingOutVerdict {
        is_good: failing.is_empty() && comparison.unread.is_empty() && read.troubles.is_empty(),
        taken: read.observed.len(),
        failing,
        causes: comparison.causes.iter().map(named).collect(),
        unexplained,
        others: comparison.others.iter().map(instead).collect(),
        unread: comparison.unread.iter().map(|id| id.index() + 1).collect(),
        strip_unread: comparison.strip_unread,
        troubles: read.troubles,
        notes: read.notes,
        leads: read.leads,
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
