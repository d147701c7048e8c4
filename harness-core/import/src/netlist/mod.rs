//! The texts of a netlist made of what was drafted: one file a list, and the few that people own.

mod mapping;
mod yaml;

pub(crate) use mapping::{entries, mapping};

use crate::draft::{Core, Draft, EndKind, InLineKind, PortKind, parted};
use std::collections::{BTreeMap, BTreeSet};
pub(crate) use yaml::quoted;
use yaml::{Block, flow};

/// The name of the file of a list: `front-csv` for `front.csv` only where another list would have the same.
pub(crate) fn file_names(lists: &[String]) -> BTreeMap<String, String> {
    let slug = |list: &str| {
        let (file, tab) = list.split_once(", tab ").map_or((list, None), |(file, tab)| (file, Some(tab)));
        let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
        let stem = stem.rsplit(['/', '\\']).next().unwrap_or(stem);
        let text = tab.map_or_else(|| stem.to_owned(), |tab| format!("{stem}-{tab}"));
        let text: String =
            text.chars().map(|letter| if letter.is_alphanumeric() { letter.to_ascii_lowercase() } else { '-' }).collect();
        let text = text.split('-').filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
        if text.is_empty() || text == "lists" { format!("list-{text}") } else { text }
    };
    let mut names = BTreeMap::new();
    let mut used = BTreeSet::new();
    for list in lists {
        let stem = slug(list);
        let mut free = stem.clone();
        let mut count = 2;
        while !used.insert(free.clone()) {
            free = format!("{stem}-{count}");
            count += 1;
        }
        names.insert(list.clone(), format!("{free}.yaml"));
    }
    names
}

/// The generated files, by name: one a list, and `lists.yaml`, which includes them.
pub(crate) fn files(draft: &Draft, lists: &[String]) -> BTreeMap<String, String> {
    let names = file_names(lists);
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    for (list, file) in &names {
        if let Some(text) = list_file(draft, list) {
            files.insert(file.clone(), text);
        }
    }
    let mut index = "# Made by `harness import`. Do not edit: the next import replaces it.\n".to_owned();
    index.push_str("include:\n");
    for file in files.keys() {
        index.push_str(&format!("  - {}\n", quoted(file)));
    }
    if !draft.retired.is_empty() {
        index.push_str(&format!(
            "retired: [{}]\n",
            draft.retired.keys().map(|number| quoted(number)).collect::<Vec<_>>().join(", ")
        ));
    }
    if draft.ports.values().any(|port| matches!(port.kind, PortKind::Point | PortKind::Tab)) {
        index.push_str("parts:\n  points:\n    point: { note: screws and tabs of which the lists give nothing }\n");
    }
    files.insert("lists.yaml".to_owned(), index);
    files
}

/// What one list gives; `None` if it gives nothing that the netlist holds.
fn list_file(draft: &Draft, list: &str) -> Option<String> {
    let mut file = Block::default();
    parts(draft, list, &mut file);
    devices(draft, list, &mut file);
    looms(draft, list, &mut file);
    if file.is_empty() {
        return None;
    }
    Some(format!(
        "# Made by `harness import` from {list}. Do not edit: the next import replaces it.\nfrom: {}\n{}",
        quoted(list),
        file.text()
    ))
}

fn parts(draft: &Draft, list: &str, file: &mut Block) {
    for (kind, fuse) in draft.fuses.iter().filter(|(_, fuse)| fuse.place.list == list) {
        let mut pairs = vec![("rating", fuse.rating.clone())];
        if fuse.rating.is_none() {
            pairs.push(("note", Some("the lists give no rating: add it in facts.yaml".to_owned())));
        }
        pairs.push(("row", Some(fuse.place.row.to_string())));
        file.leaf(&["parts", "fuses", kind], &flow(pairs));
    }
    for (kind, (cores, place)) in draft.cores.iter().filter(|(_, (_, place))| place.list == list) {
        let core = |(label, (size, colour)): (&String, &Core)| {
            format!("{}: {}", quoted(label), flow(vec![("size", size.clone()), ("colour", colour.clone())]))
        };
        let cores: Vec<String> = cores.iter().map(core).collect();
        file.leaf(&["parts", "cables", kind], &format!("{{ cores: {{ {} }}, row: {} }}", cores.join(", "), place.row));
    }
    for (kind, cable) in draft.cables.iter().filter(|(_, cable)| cable.place.list == list) {
        let cores: Vec<String> = (1..=cable.cores).map(|core| format!("{core}: {{ size: {} }}", quoted(&cable.size))).collect();
        let mut text = format!("{{ cores: {{ {} }}", cores.join(", "));
        if cable.is_twisted {
            let pairs: Vec<String> = (1..=cable.cores)
                .step_by(2)
                .map(|core| if core < cable.cores { format!("[{core}, {}]", core + 1) } else { format!("[{core}]") })
                .filter(|pair| pair.contains(','))
                .collect();
            text.push_str(&format!(", twist: [{}]", pairs.join(", ")));
        }
        if cable.is_screened {
            text.push_str(", note: screened; the list does not say how");
        }
        text.push_str(&format!(", row: {} }}", cable.place.row));
        file.leaf(&["parts", "cables", kind], &text);
    }
}

fn devices(draft: &Draft, list: &str, file: &mut Block) {
    for ((device, name), port) in &draft.ports {
        let path = ["devices", device.as_str(), "ports", name.as_str()];
        if port.place.list == list {
            let own = match &port.kind {
                PortKind::Plug => None,
                PortKind::Stud(thread) => Some(("stud", thread.clone())),
                PortKind::Point => Some(("screw", "point".to_owned())),
                PortKind::Tab => Some(("tab", "point".to_owned())),
                PortKind::Given(key, value) => Some((*key, value.clone())),
            };
            let given = port.given.iter().map(|(key, value)| (*key, Some(value.clone())));
            match own {
                Some((key, value)) => {
                    let last = [("note", note(&port.notes)), ("row", Some(port.place.row.to_string()))];
                    file.leaf(&path, &flow([(key, Some(value))].into_iter().chain(given).chain(last).collect()));
                }
                None => {
                    for (key, value) in given.chain([("note", note(&port.notes))]) {
                        if let Some(value) = value {
                            file.leaf(&[path[0], path[1], path[2], path[3], key], &quoted(&value));
                        }
                    }
                    // A plug of which nothing is said is there all the same.
                    if port.given.is_empty() && port.notes.is_empty() && port.pins.is_empty() {
                        file.leaf(&path, "{}");
                    }
                }
            }
        }
        for (label, pin) in &port.pins {
            let Some(place) = pin.place.as_ref().filter(|place| place.list == list) else { continue };
            let path = [path[0], path[1], path[2], path[3], "pins", label.as_str()];
            if pin.is_spare && pin.signal.is_none() && pin.notes.is_empty() && pin.unsure.is_empty() {
                file.leaf(&path, "spare");
                continue;
            }
            let need = pin.need.clone().or_else(|| (pin.is_optional || pin.is_spare).then(|| "optional".to_owned()));
            let mut text = flow(vec![
                ("signal", pin.signal.clone()),
                ("need", need),
                ("note", note(&pin.notes)),
                ("row", Some(place.row.to_string())),
            ]);
            with_unsure(&mut text, &pin.unsure);
            file.leaf(&path, &text);
        }
    }
    for (device, (kind, _)) in draft.of_kind.iter().filter(|(_, (_, place))| place.list == list) {
        file.leaf(&["devices", device, "device"], &quoted(kind));
    }
    for (device, (kind, place)) in draft.fuse_devices.iter().filter(|(_, (_, place))| place.list == list) {
        let pairs = vec![
            ("fuse", Some(kind.clone())),
            ("from", Some("J.in".to_owned())),
            ("to", Some("J.out".to_owned())),
            ("row", Some(place.row.to_string())),
        ];
        file.leaf(&["devices", device, "inside", device], &flow(pairs));
    }
}

fn note(notes: &[String]) -> Option<String> {
    let mut seen = BTreeSet::new();
    let notes: Vec<&str> = notes.iter().map(String::as_str).filter(|note| seen.insert(*note)).collect();
    (!notes.is_empty()).then(|| notes.join("; "))
}

/// Adds the list of what is unsure to a map on one line.
fn with_unsure(text: &mut String, unsure: &[String]) {
    let mut seen = BTreeSet::new();
    let unsure: Vec<String> = unsure.iter().filter(|doubt| seen.insert(doubt.as_str())).map(|doubt| quoted(doubt)).collect();
    if unsure.is_empty() {
        return;
    }
    let list = format!("unsure: [{}]", unsure.join(", "));
    if text == "{}" {
        *text = format!("{{ {list} }}");
    } else if let Some(start) = text.strip_suffix(" }") {
        *text = format!("{start}, {list} }}");
    }
}

/// A value that is there.
fn some(text: &str) -> Option<String> {
    Some(text.to_owned()).filter(|text| !text.is_empty())
}

fn looms(draft: &Draft, list: &str, file: &mut Block) {
    for (name, loom) in &draft.looms {
        if loom.place.as_ref().is_some_and(|place| place.list == list) {
            for (key, value) in [("wire", &loom.kind), ("note", &note(&loom.notes_of_all))] {
                if let Some(value) = value {
                    file.leaf(&["looms", name, key], &quoted(value));
                }
            }
            if !loom.unsure.is_empty() {
                let doubts: Vec<String> = loom.unsure.iter().map(|doubt| quoted(doubt)).collect();
                file.leaf(&["looms", name, "unsure"], &format!("[{}]", doubts.join(", ")));
            }
            if loom.is_left_out {
                file.leaf(&["looms", name, "fitted"], "no");
            }
        }
        for (end, held) in loom.ends.iter().filter(|(_, end)| end.place.list == list) {
            let row = ("row", Some(held.place.row.to_string()));
            let mut pairs = match &held.kind {
                EndKind::Mates(port) => vec![("mates", some(port))],
                EndKind::Ring { thread, bolts_to } => vec![("ring", Some(thread.clone())), ("bolts-to", some(bolts_to))],
                EndKind::Lands(port) => vec![("lands-on", some(port))],
            };
            pairs.extend(held.given.iter().map(|(key, value)| (*key, some(value))));
            pairs.extend([("note", note(&held.notes)), row]);
            let mut text = flow(pairs);
            for (key, map) in [("pins", &held.pins), ("terminals", &held.terminals)] {
                if let Some(start) = text.strip_suffix(" }").filter(|_| !map.is_empty()) {
                    let pairs = map.iter().map(|(cavity, value)| format!("{}: {}", quoted(cavity), quoted(value)));
                    text = format!("{start}, {key}: {{ {} }} }}", pairs.collect::<Vec<_>>().join(", "));
                }
            }
            with_unsure(&mut text, &held.unsure);
            if !held.plugged.is_empty()
                && let Some(start) = text.strip_suffix(" }")
            {
                text = format!(
                    "{start}, plugged: [{}] }}",
                    held.plugged.iter().map(|label| quoted(label)).collect::<Vec<_>>().join(", ")
                );
            }
            file.leaf(&["looms", name, "ends", end], &text);
        }
        for (splice, place) in loom.splices.iter().filter(|(_, place)| place.list == list) {
            let note = ("note", loom.notes.get(splice).cloned());
            file.leaf(&["looms", name, "splices", splice], &flow(vec![note, ("row", Some(place.row.to_string()))]));
        }
        for (element, held) in loom.inside.iter().filter(|(_, held)| held.place.list == list) {
            let (key, value) = match &held.kind {
                InLineKind::Fuse(kind) => ("fuse", quoted(kind)),
                InLineKind::Resistor(value) => ("resistor", quoted(value)),
                InLineKind::Capacitor(value) => ("capacitor", quoted(value)),
                InLineKind::Diode => ("diode", "0.7 V".to_owned()),
                InLineKind::Given("link", points) => {
                    let points: Vec<String> = parted(points).iter().map(|point| quoted(point)).collect();
                    ("link", format!("[{}]", points.join(", ")))
                }
                InLineKind::Given(key, value) => (*key, quoted(value)),
                InLineKind::Link(one, two) => ("link", format!("[{}, {}]", quoted(one), quoted(two))),
            };
            let rest = flow(vec![("note", held.note.clone()), ("row", Some(held.place.row.to_string()))]);
            let text = format!("{{ {key}: {value}, {}", rest.trim_start_matches("{ "));
            file.leaf(&["looms", name, "inside", element], &text);
        }
        for (cable, (kind, place)) in loom.cables.iter().filter(|(_, (_, place))| place.list == list) {
            file.leaf(
                &["looms", name, "cables", cable],
                &flow(vec![
                    ("part", some(kind)),
                    ("length", loom.cable_lengths.get(cable).cloned()),
                    ("note", loom.notes.get(cable).cloned()),
                    ("row", Some(place.row.to_string())),
                ]),
            );
        }
        for (number, wire) in loom.wires.iter().filter(|(_, wire)| wire.place.list == list) {
            let mut text = flow(vec![
                ("from", Some(wire.from.written())),
                ("to", Some(wire.to.written())),
                ("core", wire.core.clone()),
                ("size", wire.size.clone()),
                ("colour", wire.colour.clone()),
                ("length", wire.length.clone()),
                ("twist", wire.twist.clone()),
                ("wire", wire.kind.clone()),
                ("note", note(&wire.notes)),
                ("row", Some(wire.place.row.to_string())),
            ]);
            with_unsure(&mut text, &wire.unsure);
            file.leaf(&["looms", name, "wires", number], &text);
        }
    }
}
