//! When two names of a signal are one: the same words in another spelling or order, or one the shorter form of the other.

use crate::vocabulary::Role;

/// The words of a signal's name in their usual spelling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Equal for names that are the same words: `CAN_H`, `CAN H`, `can-high` and `CANH`.
    pub key: String,
    /// The words, sorted.
    pub words: Vec<String>,
}

/// Words that each say the opposite of the other: what is swapped by mistake is mostly such a pair.
const PAIRS: [[&str; 2]; 13] = [
    ["left", "right"],
    ["high", "low"],
    ["front", "rear"],
    ["upper", "lower"],
    ["up", "down"],
    ["open", "close"],
    ["stop", "tail"],
    ["brake", "tail"],
    ["inner", "outer"],
    ["in", "out"],
    ["+", "-"],
    ["a", "b"],
    ["tx", "rx"],
];

/// Words that say at which end of a line a pin is.
const DIRECTIONS: [&str; 2] = ["in", "out"];

/// Words that say which end of a loop a contact is.
const OF_LOOP_ENDS: [&str; 10] = ["in", "out", "back", "return", "to", "from", "send", "receive", "forward", "next"];

/// Words that say that a pin is the supply or return of some sensor, and not of which.
const OF_ANY_SENSOR: [&str; 20] = [
    "supply",
    "return",
    "ground",
    "reference",
    "ref",
    "sensor",
    "signal",
    "v",
    "vref",
    "vcc",
    "5",
    "common",
    "feed",
    "excitation",
    "track",
    "channel",
    "ch",
    "pot",
    "+",
    "-",
];

impl Label {
    /// Reads a name.
    #[must_use]
    pub fn of(name: &str) -> Self {
        let mut words = tokens(name);
        let is_bus = words.iter().any(|word| word == "can");
        for word in &mut words {
            usual(word, is_bus);
        }
        // Several numbers belong each to its word: bank 1 cylinder 2 is not bank 2 cylinder 1.
        if words.iter().filter(|word| is_number(word)).count() > 1 {
            let mut joined: Vec<String> = Vec::new();
            for word in words {
                match joined.last_mut() {
                    Some(last) if is_number(&word) && !is_number(last) => last.push_str(&word),
                    _ => joined.push(word),
                }
            }
            words = joined;
        }
        words.sort_unstable();
        words.dedup();
        let key = if words.is_empty() { name.trim().to_owned() } else { words.join(" ") };
        Self { key, words }
    }

    /// Whether one of the two names is the other with fewer words: `brake` and `brake left`.
    #[must_use]
    pub fn shortens(&self, other: &Self) -> bool {
        let within = |one: &Self, other: &Self| !one.words.is_empty() && one.words.iter().all(|word| other.words.contains(word));
        within(self, other) || within(other, self)
    }

    /// Whether the two names differ by words that say the opposite, or by their numbers.
    #[must_use]
    pub fn contradicts(&self, other: &Self) -> bool {
        let has = |label: &Self, word: &str| label.words.iter().any(|own| own == word);
        let only = |label: &Self, [one, two]: [&str; 2]| has(label, one) && !has(label, two);
        let numbers = |label: &Self| label.words.iter().filter(|word| is_number(word)).cloned().collect::<Vec<_>>();
        let (own, theirs) = (numbers(self), numbers(other));
        (!own.is_empty() && !theirs.is_empty() && own != theirs)
            || PAIRS.iter().any(|[one, two]| {
                (only(self, [one, two]) && only(other, [two, one])) || (only(self, [two, one]) && only(other, [one, two]))
            })
    }

    /// How many words the names have in common; numbers count only beside a word that is none.
    #[must_use]
    pub fn words_shared(&self, other: &Self) -> usize {
        let (numbers, words): (Vec<&String>, Vec<&String>) = self
            .words
            .iter()
            .filter(|word| other.words.contains(word))
            .partition(|word| is_number(word) || word.chars().count() == 1 && !is_pole(word));
        if words.is_empty() { 0 } else { words.len() + numbers.len() }
    }

    /// Whether the two names say the opposite, other than of which end of a line they are.
    #[must_use]
    pub fn is_opposite_of(&self, other: &Self) -> bool {
        let has = |label: &Self, word: &str| label.words.iter().any(|own| own == word);
        PAIRS.iter().filter(|pair| **pair != DIRECTIONS).any(|[one, two]| {
            let says = |label: &Self, is: &str, is_not: &str| has(label, is) && !has(label, is_not);
            (says(self, one, two) && says(other, two, one)) || (says(self, two, one) && says(other, one, two))
        })
    }

    /// Whether both name one loop, whichever of its ends: the same words, apart from those that say where it comes from or goes to.
    #[must_use]
    pub fn is_of_the_same_loop(&self, other: &Self) -> bool {
        let of_loop = |label: &Self| -> Vec<String> {
            label.words.iter().filter(|word| !OF_LOOP_ENDS.contains(&word.as_str())).cloned().collect()
        };
        of_loop(self) == of_loop(other)
    }

    /// The name with the opposite word, for a word that says the opposite of one in `other`: of `left lamp feed`, beside `right lamp`,
    /// `right lamp feed`. `None` where the two say no opposite.
    #[must_use]
    pub fn mirrored_at(&self, other: &Self) -> Option<String> {
        let has = |label: &Self, word: &str| label.words.iter().any(|own| own == word);
        let pairs = PAIRS.iter().flat_map(|[one, two]| [(*one, *two), (*two, *one)]);
        let mut opposite =
            pairs.filter(|(own, theirs)| has(self, own) && !has(self, theirs) && has(other, theirs) && !has(other, own));
        let (own, theirs) = opposite.next()?;
        let mut words: Vec<&str> = self.words.iter().map(|word| if word == own { theirs } else { word }).collect();
        words.sort_unstable();
        Some(words.join(" "))
    }

    /// What is left without the words that all sensors share.
    fn of_one_sensor(&self) -> Self {
        let words: Vec<String> = self.words.iter().filter(|word| !OF_ANY_SENSOR.contains(&word.as_str())).cloned().collect();
        Self { key: String::new(), words }
    }

    /// Whether both name a line seen from its two ends: sent here and received there.
    fn is_seen_from_the_other_end(&self, other: &Self) -> bool {
        let turn = |word: &String| match word.as_str() {
            "tx" => "rx".to_owned(),
            "rx" => "tx".to_owned(),
            "out" => "in".to_owned(),
            "in" => "out".to_owned(),
            _ => word.clone(),
        };
        let mut turned: Vec<String> = self.words.iter().map(turn).collect();
        turned.sort_unstable();
        turned == other.words
    }
}

/// What a pin's name is compared as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// A signal: both ends have one name.
    Signal,
    /// Gives or takes power: named after its source at one end and after its load at the other.
    Power,
    /// The supply or return of sensors, which several may share.
    Sensor,
    /// A contact of the interlock loop, whose name says where in the loop it is.
    Interlock,
}

impl Family {
    /// The family of a role.
    #[must_use]
    pub fn of(role: Option<Role>) -> Self {
        match role {
            Some(Role::Reference | Role::SensorReturn) => Self::Sensor,
            Some(Role::Interlock) => Self::Interlock,
            Some(role) if role.takes_back() || role.gives_supply() || role == Role::Screen => Self::Power,
            Some(_) | None => Self::Signal,
        }
    }
}

/// A pin's name with what it does.
#[derive(Debug, Clone, Copy)]
pub struct Named<'l> {
    /// Its name.
    pub label: &'l Label,
    /// Its role.
    pub role: Option<Role>,
}

impl Named<'_> {
    /// Whether two pins that a wire joins may have these names.
    #[must_use]
    pub fn agrees(&self, other: &Self) -> bool {
        if self.label.key == other.label.key {
            return true;
        }
        match (Family::of(self.role), Family::of(other.role)) {
            (Family::Power, Family::Power) | (Family::Interlock, Family::Interlock) => true,
            (Family::Sensor, Family::Sensor | Family::Power) | (Family::Power, Family::Sensor) => self.is_of_one_sensor(other),
            _ => self.label.shortens(other.label) || self.is_one_line(other),
        }
    }

    /// Whether two pins name one line, in one way or each as seen from its own end (`TX` that sends, `RX` that receives).
    #[must_use]
    pub fn is_one_line(&self, other: &Self) -> bool {
        let ends = [(Some(Role::Output), Some(Role::Input)), (Some(Role::Input), Some(Role::Output))];
        let is_interlock = |named: &Self| Family::of(named.role) == Family::Interlock;
        self.label.key == other.label.key
            || (is_interlock(self) && is_interlock(other) && self.label.is_of_the_same_loop(other.label))
            || (ends.contains(&(self.role, other.role)) && self.label.is_seen_from_the_other_end(other.label))
    }

    fn is_of_one_sensor(&self, other: &Self) -> bool {
        let (own, theirs) = (self.label.of_one_sensor(), other.label.of_one_sensor());
        let is_word = |word: &&String| !is_number(word);
        let share = own.words.iter().filter(is_word).any(|word| theirs.words.contains(word));
        let no_word = |label: &Label| !label.words.iter().any(|word| !is_number(word));
        !own.contradicts(&theirs) && (share || no_word(&own) || no_word(&theirs))
    }
}

fn is_pole(word: &str) -> bool {
    matches!(word, "+" | "-")
}

fn is_number(word: &str) -> bool {
    word.starts_with(|letter: char| letter.is_ascii_digit())
}

/// The words of a name in small letters: split at what is not a letter or digit, between letters and digits, and where a small letter
/// is followed by a capital. A plus, and a minus at the end, are words.
fn tokens(name: &str) -> Vec<String> {
    let letters: Vec<char> = name.trim().chars().collect();
    let mut words: Vec<String> = vec![String::new()];
    for (at, &letter) in letters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| letters.get(at)).copied();
        let next = letters.get(at + 1).copied();
        if letter == '+' && !next.is_some_and(|next| next.is_ascii_digit()) || letter == '-' && next.is_none() {
            words.push(letter.to_string());
            words.push(String::new());
            continue;
        }
        if !letter.is_alphanumeric() {
            words.push(String::new());
            continue;
        }
        let starts = before.is_some_and(|before| {
            before.is_alphanumeric()
                && (before.is_ascii_digit() != letter.is_ascii_digit() || (before.is_lowercase() && letter.is_uppercase()))
        });
        if starts {
            words.push(String::new());
        }
        if let Some(word) = words.last_mut() {
            word.extend(letter.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    let mut split = Vec::new();
    for word in words {
        match word.as_str() {
            "canh" | "canhi" | "canhigh" => split.extend(["can".to_owned(), "high".to_owned()]),
            "canl" | "canlo" | "canlow" => split.extend(["can".to_owned(), "low".to_owned()]),
            // A converter from direct voltage to direct voltage is one word, however it is spelt.
            "dc" if split.last().is_some_and(|last: &String| last == "dc") => {
                split.pop();
                split.push("dcdc".to_owned());
            }
            _ => split.push(word),
        }
    }
    split
}

/// A word in its usual spelling.
fn usual(word: &mut String, is_bus: bool) {
    let usual = match (word.as_str(), is_bus) {
        ("h" | "hi", true) | ("hi", false) => "high",
        ("l" | "lo", true) | ("lo", false) => "low",
        ("l" | "lh" | "lt" | "lhs", false) => "left",
        ("r" | "rh" | "rt" | "rhs", false) => "right",
        ("pos" | "positive" | "plus", _) => "+",
        ("neg" | "negative" | "minus", _) => "-",
        ("gnd" | "grnd" | "gd", _) => "ground",
        ("rtn" | "ret", _) => "return",
        ("closed" | "closes", _) => "close",
        ("output", _) => "out",
        ("input", _) => "in",
        ("sup", _) => "supply",
        ("sig", _) => "signal",
        _ => {
            // A plural is the same word.
            if word.len() > 3 && word.ends_with('s') && !word.ends_with("ss") {
                word.pop();
            }
            return;
        }
    };
    usual.clone_into(word);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn agree(one: (&str, Option<Role>), other: (&str, Option<Role>)) -> bool {
        let (a, b) = (Label::of(one.0), Label::of(other.0));
        Named { label: &a, role: one.1 }.agrees(&Named { label: &b, role: other.1 })
    }

    #[test]
    fn the_same_words_spelt_differently_are_one_name() {
        let same = [
            &["CAN_H", "CAN H", "can-high", "CANH", "CanHigh", "CAN Hi"][..],
            &["CAN1_L", "CAN 1 low", "CANL 1", "can1-lo"],
            &["left lamp", "lamp left", "Lamp_L", "LAMP LH", "leftLamp", "left lamps"],
            &["lift down", "Lift-Down", "LIFT_DOWN"],
            &["sig +", "signal plus", "SIG_POS"],
            &["B+", "b +"],
            &["bank 1 cyl 2", "cyl2 bank1"],
        ];
        for names in same {
            let keys: Vec<String> = names.iter().map(|name| Label::of(name).key).collect();
            assert!(keys.windows(2).all(|pair| pair[0] == pair[1]), "{names:?} {keys:?}");
        }
        let different = [
            ("CAN_H", "CAN_L"),
            ("left lamp", "right lamp"),
            ("stop", "tail"),
            ("track 1", "track 2"),
            ("sig+", "sig-"),
            ("bank 1 cyl 2", "bank 2 cyl 1"),
            ("RS485 A", "RS485 B"),
        ];
        for (one, other) in different {
            assert_ne!(Label::of(one).key, Label::of(other).key);
            assert!(!agree((one, None), (other, None)), "{one}, {other}");
        }
    }

    #[test]
    fn a_shorter_name_agrees_and_sensors_share_a_return() {
        let (supply, back, input, output) =
            (Some(Role::Reference), Some(Role::SensorReturn), Some(Role::Input), Some(Role::Output));
        assert!(agree(("brake", output), ("brake left", input)));
        assert!(agree(("TX", output), ("RX", input)));
        assert!(!agree(("TX", output), ("RX", output)));
        assert!(agree(("sensor return", back), ("coolant return", back)));
        assert!(agree(("APP1 supply", supply), ("track 1 supply", supply)));
        assert!(!agree(("APP1 supply", supply), ("track 2 supply", supply)));
        assert!(!agree(("pedal 5 V", supply), ("pressure 5 V", supply)));
        assert!(agree(("interlock out", Some(Role::Interlock)), ("HVIL in", Some(Role::Interlock))));
        assert!(!agree(("interlock out", Some(Role::Interlock)), ("drive enable", input)));
        assert!(agree(("battery feed", Some(Role::Supply)), ("pump", Some(Role::Supply))));
    }
}
