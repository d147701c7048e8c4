//! `harness live`: what is live in each mode, and what opening something does.

use super::harness;
use serde_json::Value;

const DEMO: &str = "../fixtures/terrace-tractor/tractor.yaml";

fn modes(arguments: &[&str]) -> Vec<Value> {
    let all: Vec<&str> = ["live", DEMO, "--format", "json"].into_iter().chain(arguments.iter().copied()).collect();
    let done = harness(&all);
    assert_eq!(done.code, 0, "{}", done.err);
    let document: Value = serde_json::from_str(&done.out).expect("it is JSON");
    document["modes"].as_array().expect("the modes").clone()
}

fn texts<'a>(of: &'a Value, key: &str) -> Vec<&'a str> {
    of.as_array().expect("a list").iter().filter_map(|one| one[key].as_str()).collect()
}

#[test]
fn the_demo_in_service_is_live_in_its_pack_alone() {
    let modes = modes(&["--mode", "service"]);
    let [service] = modes.as_slice() else { panic!("one mode") };
    assert_eq!(service["touchable"].as_array().map(Vec::len), Some(0));
    assert_eq!(service["openings"].as_array().map(Vec::len), Some(0));
    assert!(service["openings_tried"].as_u64() >= Some(14), "{}", service["openings_tried"]);
    let inside = texts(&service["inside"], "contact");
    assert!(!inside.is_empty() && inside.iter().all(|contact| contact.starts_with("pack.")), "{inside:?}");
    for half in service["inside"].as_array().expect("a list") {
        // Three modules of 51.2 V on each side of the disconnect.
        assert_eq!(half["volts_V"].as_f64(), Some(153.6));
    }
    assert_eq!(texts(&service["charged"], "capacitor"), ["inverter.link"]);
    // 600 uF through 68 kohm from 307.7 V to 60 V.
    let seconds = service["charged"][0]["below_60_V_after_s"].as_f64().expect("it empties");
    assert!((seconds - 66.7).abs() < 0.05, "{seconds}");
}

#[test]
fn a_disconnect_that_was_left_in_shows_what_it_keeps_live() {
    let plain = modes(&["--mode", "service", "--half-out", "pack.SD"]);
    let [service] = plain.as_slice() else { panic!("one mode") };
    let opened = texts(&service["openings"], "opened");
    assert_eq!(opened, ["traction.H1", "traction.H2"]);
    let contacts = service["openings"][0]["touchable"].as_array().expect("a list");
    assert!(contacts.iter().any(|contact| contact["volts_V"].as_f64() == Some(307.2)), "{contacts:?}");
    // With both contactors welded the whole bus is live, at every plug of it.
    let welded =
        modes(&["--mode", "service", "--half-out", "pack.SD", "--welded", "junction-box.K1", "--welded", "junction-box.K2"]);
    let opened = texts(&welded[0]["openings"], "opened");
    let plugs: Vec<String> = (1..=10).map(|plug| format!("traction.H{plug}")).collect();
    assert_eq!(opened, plugs);
}

#[test]
fn unmating_a_plug_opens_the_loop_for_the_controller() {
    let modes = modes(&["--mode", "drive", "--open", "traction.H4"]);
    let effect = &modes[0]["effect"];
    assert_eq!(effect["controller"].as_str(), Some("vcu"), "{effect}");
    let done = harness(&["live", DEMO, "--open", "traction.H444"]);
    assert_ne!(done.code, 0);
    assert!(done.err.contains("nothing is named `traction.H444`"), "{}", done.err);
}
