//! Feeds, returns and contacts of the interlock loop whose pins are named after different things.
//!
//! The idea: a signal has one name at both ends, so `signals` reports every other one. A feed may be named after its source at one end
//! and after its load at the other, so one pair of names proves nothing. The design itself says how it names them: where nearly all
//! runs have names that agree, the one that does not is a slip; where many do not, names prove nothing, and that is said.
//!
//! Two names agree if they have a word in common that says what the thing is, and contradict each other by no other word: `horn` and
//! `horn supply`, but not `horn` and `fan supply`, nor `left lamp` and `right lamp`. A name that says no more than that it is a supply
//! or a return, or that is a bare designation such as `F12` or `B+`, agrees with every name of its kind; so do two names that each repeat the name of their own device.
//!
//! Cost: linear in the pins; of one run so many are compared each with each.

use super::{
    Facts,
    names::{Family, Label},
    pins::{PinAt, Pins, RunId},
};
use crate::{
    model::{DeviceId, Model},
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Pins of feeds, returns and the interlock loop whose names agree with none on their run.
    ///
    /// Asked by `netlist/odd-name` and `review/missing-fact`.
    #[must_use]
    pub fn odd_names(&self) -> &OddNames {
        self.made.odd_names.get_or_init(|| odd_names(self))
    }
}

/// How many names of a design agree for each that does not, at least, for its names to prove something.
const HABIT: usize = 5;
/// Names of one run that are compared each with each.
const MOST_COMPARED: usize = 64;

/// What the names of power pins say of a design.
#[derive(Debug, Default)]
pub struct OddNames {
    /// Those that agree with none on their run.
    pub odd: Vec<OddName>,
    /// How many names agree with another on their run.
    pub agree: usize,
}

impl OddNames {
    /// Whether the design names both ends of its feeds alike, so that an odd name is a slip.
    #[must_use]
    pub fn is_habit(&self) -> bool {
        self.agree >= HABIT * self.odd.len()
    }
}

/// A pin whose name agrees with none on its run.
#[derive(Debug, Clone, Copy)]
pub struct OddName {
    /// The pin.
    pub pin: PinAt,
    /// A pin that it is joined to, with another name.
    pub other: PinAt,
}

/// Words that say no more than that a pin gives a supply.
const OF_SUPPLY: [&str; 14] =
    ["supply", "feed", "power", "plus", "volt", "live", "hot", "line", "bus", "main", "permanent", "vcc", "out", "switched"];
/// Words that say no more than that a pin takes a current back.
const OF_RETURN: [&str; 14] = [
    "ground", "return", "earth", "chassis", "common", "mass", "neutral", "vehicle", "body", "case", "housing", "frame", "block",
    "shell",
];

/// What of a name is compared.
struct Meaning {
    /// Words that say what the thing is.
    words: Vec<String>,
    /// Says that it is a return.
    is_return: bool,
}

impl Meaning {
    fn of(label: &Label) -> Self {
        let is_return = label.words.iter().any(|word| word == "-" || OF_RETURN.contains(&word.as_str()));
        let says = |word: &&String| {
            let word = word.as_str();
            // Single letters, short marks and numbers are designations: `F12`, `KL 30`, `87a`.
            word.chars().count() > 2
                && !word.starts_with(|letter: char| letter.is_ascii_digit())
                && !OF_SUPPLY.contains(&word)
                && !OF_RETURN.contains(&word)
        };
        Self { words: label.words.iter().filter(says).cloned().collect(), is_return }
    }

    fn shares_a_word(&self, other: &Self) -> bool {
        self.words.iter().any(|word| other.words.contains(word))
    }
}

/// A pin with what its name says.
struct Named<'p> {
    pin: PinAt,
    label: &'p Label,
    meaning: &'p Meaning,
    /// Says no more than the name of its own device: `pump plus` at `pump`.
    is_own: bool,
}

impl Named<'_> {
    fn agrees(&self, other: &Self) -> bool {
        if self.pin.signal == other.pin.signal {
            return true;
        }
        if self.is_own && other.is_own {
            return true;
        }
        let is_of_a_loop = |named: &Self| Family::of(named.pin.role) == Family::Interlock;
        if is_of_a_loop(self) && is_of_a_loop(other) && self.label.is_of_the_same_loop(other.label) {
            return true;
        }
        let (own, theirs) = (self.meaning, other.meaning);
        if own.shares_a_word(theirs) {
            return !self.label.contradicts(other.label);
        }
        let takes_back = |named: &Self| named.pin.role.is_some_and(Role::takes_back);
        if takes_back(self) && takes_back(other) {
            // The minus of a lamp may be called after the lamp.
            let is_return = |named: &Self| named.meaning.is_return || named.is_own;
            return is_return(self) == is_return(other) || own.words.is_empty() && theirs.words.is_empty();
        }
        own.words.is_empty() || theirs.words.is_empty()
    }
}

fn odd_names(facts: &Facts) -> OddNames {
    let pins = facts.pins();
    // What was reported as mixed signals or as clashing roles is not a second fault.
    let mixed = facts.mixed_signals().iter().flat_map(|mixed| mixed.runs.iter().copied());
    // A clash of two pins of one run is of that run; where a bar inside a device joins them, each of their wires may be at fault.
    let clashing = facts.role_clashes().iter().flat_map(|clash| [clash.one, clash.other].map(|pin| pins.run(pin.point)));
    let reported: FxHashSet<RunId> = mixed.chain(clashing).collect();
    let mut read = Read::default();
    let mut found = OddNames::default();
    for run in pins.runs().filter(|run| !reported.contains(run)) {
        run_of(facts.model(), pins, run, &mut read, &mut found);
    }
    found
}

/// Names that were split into words.
#[derive(Default)]
struct Read {
    /// By signal.
    meanings: FxHashMap<u32, Meaning>,
    /// Names of devices.
    devices: FxHashMap<DeviceId, Label>,
}

/// Adds what the names of one run say.
fn run_of(model: &Model, pins: &Pins, run: RunId, read: &mut Read, found: &mut OddNames) {
    let is_compared = |pin: &&PinAt| match pins.named_as(pin).map(|named| Family::of(named.role)) {
        Some(Family::Power | Family::Interlock) => true,
        Some(Family::Signal | Family::Sensor) | None => false,
    };
    // A name that several devices have from their kind says nothing of the one it is joined to, as long as no other of the kind fits it.
    let of_run = pins.of_run(run);
    let is_free = |pin: &PinAt| of_run.iter().all(|other| other.device == pin.device || pins.fits_best(pin, other));
    let compared: Vec<&PinAt> = of_run.iter().filter(is_compared).filter(|pin| !is_free(pin)).take(MOST_COMPARED).collect();
    if compared.len() < 2 {
        return;
    }
    for pin in &compared {
        read.devices.entry(pin.device).or_insert_with(|| Label::of(model.device_name(pin.device)));
        if let Some((signal, named)) = pin.signal.zip(pins.named_as(pin)) {
            read.meanings.entry(signal).or_insert_with(|| Meaning::of(named.label));
        }
    }
    let named: Vec<Named<'_>> = compared
        .iter()
        .filter_map(|pin| {
            let (label, meaning) = (pins.named_as(pin)?.label, read.meanings.get(&pin.signal?)?);
            let device = read.devices.get(&pin.device)?;
            let is_own = !meaning.words.is_empty() && meaning.words.iter().all(|word| device.words.contains(word));
            Some(Named { pin: **pin, label, meaning, is_own })
        })
        .collect();
    let mut groups = UnionFind::<usize>::new(named.len());
    for (at, one) in named.iter().enumerate() {
        for (to, other) in named.iter().enumerate().skip(at + 1) {
            if one.agrees(other) {
                groups.union(at, to);
            }
        }
    }
    let labels = groups.into_labeling();
    let mut sizes: FxHashMap<usize, usize> = FxHashMap::default();
    for label in &labels {
        *sizes.entry(*label).or_default() += 1;
    }
    // The most belong together; of equals those that come first.
    let Some(most) = labels.iter().max_by_key(|label| (sizes.get(label), std::cmp::Reverse(**label))).copied() else { return };
    found.agree += sizes.get(&most).copied().unwrap_or_default().saturating_sub(1);
    let Some(other) = named.iter().zip(&labels).find(|(_, label)| **label == most).map(|(named, _)| named.pin) else { return };
    let mut seen: FxHashSet<usize> = FxHashSet::from_iter([most]);
    // Of several that agree with each other and with no more, the first is named.
    for (odd, label) in named.iter().zip(&labels) {
        if seen.insert(*label) {
            found.odd.push(OddName { pin: odd.pin, other });
        } else if *label != most {
            found.agree += 1;
        }
    }
}
