//! Random designs whose things are known by number, so that it is known which is which whatever they are called.

use super::writer::Text;
use harness_tests::Numbers;

/// A thing with its name; `gone` once it is removed, so that the numbers of the others stay.
#[derive(Debug, Clone)]
pub struct Named<T> {
    pub name: String,
    pub gone: bool,
    pub what: T,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    Cavity(usize, usize),
    Splice(usize),
}

#[derive(Debug, Clone)]
pub struct Wire {
    pub ends: [Place; 2],
    /// Hundredths of a square millimetre.
    pub size: usize,
    pub colour: &'static str,
    /// Millimetres.
    pub length: usize,
}

#[derive(Debug, Clone)]
pub struct Loom {
    /// Each with the device that it mates.
    pub ends: Vec<Named<usize>>,
    /// Each with its zone.
    pub splices: Vec<Named<usize>>,
    pub wires: Vec<Named<Wire>>,
    /// In-line fuses: the kind, and the splices between which they sit.
    pub fuses: Vec<Named<(usize, [usize; 2])>>,
}

#[derive(Debug, Clone)]
pub struct Device {
    pub zone: usize,
    /// A kind that gives it its port, or a port of its own.
    pub kind: Option<usize>,
    pub housing: usize,
    pub signals: Vec<String>,
    /// Milliamperes, and the mode in which it runs.
    pub load: (usize, usize),
}

#[derive(Debug, Clone)]
pub struct Housing {
    pub positions: usize,
    pub key: char,
    pub amps: usize,
}

#[derive(Debug, Clone)]
pub struct Design {
    pub revision: char,
    pub retired: Vec<usize>,
    pub zones: Vec<Named<usize>>,
    pub modes: Vec<Named<bool>>,
    pub fuses: Vec<Named<usize>>,
    pub housings: Vec<Named<Housing>>,
    /// Kinds of devices: the housing and the load.
    pub kinds: Vec<Named<(usize, usize)>>,
    pub devices: Vec<Named<Device>>,
    pub looms: Vec<Named<Loom>>,
}

pub const COLOURS: [&str; 6] = ["RD", "BK", "YE/BU", "GN", "WH/VT", "BU"];
pub const SIZES: [usize; 5] = [50, 75, 100, 150, 250];
const SIGNALS: [&str; 5] = ["supply", "ground", "request", "lamp feed", "sense"];

fn all<T>(count: usize, before: &str, mut make: impl FnMut(usize) -> T) -> Vec<Named<T>> {
    (0..count).map(|number| Named { name: format!("{before}{}", number + 1), gone: false, what: make(number) }).collect()
}

impl Design {
    pub fn random(numbers: &mut Numbers, size: usize) -> Self {
        let zones = all(2, "zone-", |number| 30 + 10 * number);
        let modes = all(2, "mode-", |number| number == 0);
        let fuses = all(3, "blade-", |number| 5 * (number + 1));
        let housings = all(3, "QL-", |number| Housing { positions: 4 + 2 * number, key: 'A', amps: 10 + number });
        let kinds = all(2, "kind-", |number| (number, 300 + 500 * number));
        let devices = all(3 + size, "unit-", |_| {
            let kind = (numbers.below(3) == 0).then(|| numbers.below(2));
            let housing = kind.unwrap_or_else(|| numbers.below(3));
            let signals = (0..2).map(|_| numbers.pick(&SIGNALS).to_owned()).collect();
            Device { zone: numbers.below(2), kind, housing, signals, load: (100 * (1 + numbers.below(9)), numbers.below(2)) }
        });
        let count = 1 + size.min(3);
        let mut looms =
            all(count, "loom-", |_| Loom { ends: Vec::new(), splices: Vec::new(), wires: Vec::new(), fuses: Vec::new() });
        for (number, loom) in looms.iter_mut().enumerate() {
            let mates: Vec<usize> = (0..devices.len()).filter(|device| device % count == number).collect();
            let loom = &mut loom.what;
            loom.ends = all(mates.len(), "P", |end| mates[end]);
            loom.splices = all(1 + numbers.below(3), "S", |_| numbers.below(2));
            let wires = 2 + numbers.below(3 + 2 * size);
            let mut free = Vec::new();
            for (end, device) in mates.iter().enumerate() {
                free.extend(
                    (1..=housings[devices[*device].what.housing].what.positions).map(|cavity| Place::Cavity(end, cavity)),
                );
            }
            for wire in 0..wires {
                if free.is_empty() {
                    break;
                }
                let from = free.remove(numbers.below(free.len()));
                let to = if free.is_empty() || numbers.below(3) == 0 {
                    Place::Splice(numbers.below(loom.splices.len()))
                } else {
                    free.remove(numbers.below(free.len()))
                };
                let what = Wire {
                    ends: [from, to],
                    size: numbers.pick(&SIZES),
                    colour: numbers.pick(&COLOURS),
                    length: 300 + 10 * numbers.below(200),
                };
                loom.wires.push(Named { name: (101 + wire).to_string(), gone: false, what });
            }
            if loom.splices.len() > 1 && numbers.below(2) == 0 {
                loom.fuses = all(1, "F", |_| (numbers.below(3), [0, 1]));
            }
        }
        Self { revision: 'A', retired: vec![99], zones, modes, fuses, housings, kinds, devices, looms }
    }

    /// The design as text without a form yet.
    pub fn text(&self) -> Text {
        let word = |word: &str| Text::Word(word.to_owned());
        let map = |entries: Vec<(&str, Text)>| Text::Map(entries.into_iter().map(|(key, text)| (key.to_owned(), text)).collect());
        let things = |entries: Vec<(String, Text)>| Text::Map(entries);
        let port = |housing: usize, signals: &[String]| {
            let pins = signals.iter().enumerate().map(|(number, signal)| {
                ((number + 1).to_string(), map(vec![("signal", word(signal)), ("role", word("input")), ("domain", word("aux"))]))
            });
            things(vec![(
                "J1".to_owned(),
                map(vec![("housing", word(&self.housings[housing].name)), ("pins", things(pins.collect()))]),
            )])
        };
        let load = |milliamperes: usize, mode: usize| {
            things(vec![(
                "load".to_owned(),
                map(vec![
                    ("load", Text::Amperes(milliamperes)),
                    ("from", word("J1.1")),
                    ("to", word("J1.2")),
                    ("in", Text::Set(vec![self.modes[mode].name.clone()])),
                ]),
            )])
        };
        let domains = things(vec![(
            "aux".to_owned(),
            map(vec![("nominal", word("12 V")), ("max", word("15 V")), ("reference", word("chassis"))]),
        )]);
        let plain = [SIGNALS[0].to_owned(), SIGNALS[1].to_owned()];
        let parts = map(vec![
            (
                "fuses",
                each(&self.fuses, |amps| map(vec![("standard", word("ISO 8820-3")), ("rating", Text::Amperes(1000 * amps))])),
            ),
            (
                "housings",
                each(&self.housings, |housing| {
                    map(vec![
                        ("family", word("QL")),
                        ("positions", word(&housing.positions.to_string())),
                        ("contacts", word("pin")),
                        ("key", word(&housing.key.to_string())),
                        ("current", Text::Amperes(1000 * housing.amps)),
                    ])
                }),
            ),
            (
                "devices",
                each(&self.kinds, |(housing, amps)| map(vec![("ports", port(*housing, &plain)), ("inside", load(*amps, 0))])),
            ),
        ]);
        let devices = each(&self.devices, |device| {
            let zone = ("zone", word(&self.zones[device.zone].name));
            match device.kind {
                Some(kind) => map(vec![("device", word(&self.kinds[kind].name)), zone]),
                None => {
                    let (amps, mode) = device.load;
                    map(vec![zone, ("ports", port(device.housing, &device.signals)), ("inside", load(amps, mode))])
                }
            }
        });
        let looms = each(&self.looms, |loom| {
            let ends = each(&loom.ends, |device| {
                map(vec![
                    ("housing", word(&self.housings[self.devices[*device].what.housing].name)),
                    ("mates", word(&format!("{}.J1", self.devices[*device].name))),
                ])
            });
            let place = |place: &Place| match place {
                Place::Cavity(end, cavity) => word(&format!("{}.{cavity}", loom.ends[*end].name)),
                Place::Splice(splice) => word(&loom.splices[*splice].name),
            };
            let wires = each(&loom.wires, |wire| {
                map(vec![
                    ("from", place(&wire.ends[0])),
                    ("to", place(&wire.ends[1])),
                    ("size", Text::Area(wire.size)),
                    ("colour", word(wire.colour)),
                    ("length", Text::Length(wire.length)),
                ])
            });
            let splices = each(&loom.splices, |zone| map(vec![("zone", word(&self.zones[*zone].name))]));
            let inside = each(&loom.fuses, |(kind, between)| {
                map(vec![
                    ("fuse", word(&self.fuses[*kind].name)),
                    ("from", word(&loom.splices[between[0]].name)),
                    ("to", word(&loom.splices[between[1]].name)),
                ])
            });
            map(vec![("ends", ends), ("splices", splices), ("wires", wires), ("inside", inside)])
        });
        map(vec![
            ("format", word("1")),
            ("design", word("Random rig")),
            ("revision", word(&self.revision.to_string())),
            ("domains", domains),
            ("zones", each(&self.zones, |ambient| map(vec![("ambient", Text::Celsius(*ambient)), ("wet", word("true"))]))),
            ("modes", each(&self.modes, |still| map(vec![("immobile", word(if *still { "true" } else { "false" }))]))),
            ("parts", parts),
            ("devices", devices),
            ("looms", looms),
            ("retired", Text::Set(self.retired.iter().map(ToString::to_string).collect())),
        ])
    }
}

fn each<T>(all: &[Named<T>], make: impl Fn(&T) -> Text) -> Text {
    Text::Map(all.iter().filter(|named| !named.gone).map(|named| (named.name.clone(), make(&named.what))).collect())
}
