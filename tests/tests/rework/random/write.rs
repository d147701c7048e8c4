//! The random design as YAML.

use super::{Draft, Loom};
use std::fmt::Write;

impl Draft {
    /// The design as it is written.
    pub(crate) fn yaml(&self) -> String {
        let mut text = String::from(
            "format: 1\ndesign: random\ndomains:\n  low: { nominal: 12 V, max: 15 V, reference: chassis }\n  high: { nominal: 307 V, max: 350 V, reference: floating }\nparts:\n  housings:\n",
        );
        for (name, key) in [("Q4A", "A"), ("Q4B", "B"), ("Q6A", "A"), ("H4A", "A")] {
            let more = if name == "H4A" { ", hv: true, interlock: [3, 4]" } else { "" };
            let count = if name == "Q6A" { 6 } else { 4 };
            let _ = writeln!(
                text,
                "    {name}: {{ family: {}, positions: {count}, contacts: socket, key: {key}{more} }}",
                &name[..2]
            );
        }
        text.push_str("  terminals: { tin: { plating: tin }, gold: { plating: gold } }\n  conductors: { thin: {}, thick: {} }\n");
        text.push_str("  cables: { pair: { cores: { 1: { size: 1 mm2 }, 2: { size: 1 mm2 } } }, other-pair: { cores: { 1: { size: 2 mm2 }, 2: { size: 1 mm2 } } } }\n");
        text.push_str("  fuses: { blade-5: { rating: 5 A }, blade-10: { rating: 10 A }, blade-15: { rating: 15 A } }\n");
        let _ = writeln!(
            text,
            "  devices:\n    twin: {{ ports: {{ K1: {{ housing: Q4A, pins: {{ 1: {{ signal: twin }} }} }} }}, inside: {{ F2: {{ fuse: {}, from: K1.1, to: K1.2 }} }} }}",
            self.kind_fuse
        );
        text.push_str("devices:\n");
        for (name, device) in &self.devices {
            let _ = writeln!(text, "  {name}:\n    note: box");
            if device.of_kind {
                text.push_str("    device: twin\n");
            }
            if device.left_out {
                text.push_str("    fitted: false\n");
            }
            text.push_str("    ports:\n");
            for (port, body) in &device.ports {
                let _ = writeln!(text, "      {port}: {{ {body} }}");
            }
            text.push_str("    inside:\n");
            for (fuse, kind) in &device.fuses {
                let _ = writeln!(text, "      {fuse}: {{ fuse: {kind}, from: A, to: B }}");
            }
            match device.source {
                Some(disconnect) if disconnect.starts_with("disconnect") => {
                    let _ = writeln!(text, "      SD: {{ {disconnect}, from: A, to: B }}");
                }
                Some(source) => {
                    let _ = writeln!(text, "      cells: {{ {source}, positive: J1.1, negative: J1.2 }}");
                }
                None => {}
            }
        }
        text.push_str("looms:\n");
        for (name, loom) in &self.looms {
            loom_yaml(&mut text, name, loom);
        }
        text
    }
}

fn loom_yaml(text: &mut String, name: &str, loom: &Loom) {
    let _ = writeln!(text, "  {name}:\n    wire: thin");
    if loom.left_out {
        text.push_str("    fitted: false\n");
    }
    text.push_str("    ends:\n");
    for (end, body) in &loom.ends {
        let plugged: Vec<&str> = body.plugged.iter().map(String::as_str).collect();
        let plugged = if plugged.is_empty() { String::new() } else { format!("plugged: [{}]", plugged.join(", ")) };
        let said: Vec<&str> = [&body.body, &body.joint, &body.more, &plugged]
            .into_iter()
            .map(String::as_str)
            .filter(|said| !said.is_empty())
            .collect();
        let _ = writeln!(text, "      {end}: {{ {} }}", said.join(", "));
    }
    text.push_str("    splices:\n");
    for (splice, at) in &loom.splices {
        let _ = writeln!(text, "      {splice}: {{ {at} }}");
    }
    text.push_str("    route:\n");
    for (segment, covering) in &loom.segments {
        let _ = writeln!(text, "      {segment}: {{ length: 300 mm, covering: {covering} }}");
    }
    text.push_str("    inside:\n");
    for (fuse, kind) in &loom.fuses {
        let _ = writeln!(text, "      {fuse}: {{ fuse: {kind}, from: IN, to: OUT }}");
    }
    text.push_str("    cables:\n");
    let at = loom.segments.keys().next().map(|segment| format!(", via: [{segment}]")).unwrap_or_default();
    for (cable, (part, length)) in &loom.cables {
        let screen = loom.ends.keys().find(|end| end.starts_with('R')).map(|end| format!(", screen: {{ from: {end} }}"));
        let _ = writeln!(text, "      {cable}: {{ part: {part}, length: {length} mm{at}{} }}", screen.unwrap_or_default());
    }
    text.push_str("    wires:\n");
    for (number, wire) in &loom.wires {
        let facts: Vec<String> = wire.facts.iter().map(|(key, value)| format!(", {key}: {value}")).collect();
        let _ = writeln!(text, "      {number}: {{ from: {}, to: {}{} }}", wire.places[0], wire.places[1], facts.concat());
    }
}
