//! `harness golive` and `harness isolation`: the order of the first power, making safe, and isolation from readings.

use super::harness;

const DEMO: &str = "../fixtures/terrace-tractor/tractor.yaml";
const BOAT: &str = "../fixtures/boat-12v/boat.yaml";

/// The table of that name as rows of text, its heading first.
fn table(arguments: &[&str]) -> Vec<String> {
    let all: Vec<&str> = ["golive"].iter().chain(arguments).copied().chain(["--format", "csv"]).collect();
    let done = harness(&all);
    assert_eq!(done.code, 0, "{}", done.err);
    done.out.lines().map(str::to_owned).collect()
}

fn place(rows: &[String], text: &str) -> usize {
    rows.iter().position(|row| row.contains(text)).unwrap_or_else(|| panic!("`{text}` in {rows:#?}"))
}

#[test]
fn class_b_of_the_demo_comes_last_and_by_trained_people() {
    let steps = table(&[DEMO]);
    let in_order = [
        "keep everything off",
        "see that this holds for `charger`, `coolant-pump`, `dc-dc` and `inverter`: coolant filled and bled",
        "mate everything of voltage class B",
        "measure the insulation of `traction`",
        "measure the resistance of each bus that is charged through a resistor",
        "join `battery.R7` to `aux-battery`",
        "fit fuse `battery-fuse.F1`",
        "fit fuse `fusebox.F1`",
        "switch to mode `drive` with voltage class B out",
        "unplug `traction.H14` in mode `drive`, and see that contacts let go",
        "open `emergency-stop.coils` in mode `drive`, and see that contacts let go",
        "put `pack.SD` in",
        "`junction-box.R1` charges `inverter.link`",
        "measure the isolation of `traction` with its battery in",
        "switch to mode `charge`",
        "let it move for the first time, in mode `drive`",
    ];
    let places: Vec<usize> = in_order.iter().map(|text| place(&steps, text)).collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(steps[place(&steps, "put `pack.SD` in")].contains("trained people only"));
    // The loop is measured in the plug of its controller: some fifteen bridges and three times as many contacts, no more than an ohm.
    let ohms = table(&[DEMO, "--table", "resistances"]);
    assert!(ohms[place(&ohms, "traction.P20.7,traction.P20.8")].contains(",0.57"), "{ohms:#?}");
    // Bled by 68 kohm and charged through 100 ohm: below nine times that it never comes to nine tenths.
    place(&ohms, "junction-box.INV.1,junction-box.INV.2,68000,899");
    // A clamp goes around wires, not into a battery.
    let amps = table(&[DEMO, "--table", "currents"]);
    assert!(amps[place(&amps, "aux-battery.cells")].contains("clamp meter around `battery."), "{amps:#?}");
    // 51.2 V six times, less what the modules lose.
    let voltages = table(&[DEMO, "--table", "voltages"]);
    assert!(voltages.iter().any(|row| row.contains("pack.HV.1,pack.HV.2,307")), "{voltages:#?}");
}

#[test]
fn a_boat_of_12_v_has_nobody_trained_and_two_batteries() {
    let steps = table(&[BOAT]);
    assert!(steps.iter().all(|row| !row.contains("trained")), "{steps:#?}");
    for battery in ["join `battery.HB-` to `house-battery`", "join `engine.SB-` to `start-battery`"] {
        place(&steps, battery);
    }
    // The float switch of the bilge pump is closed in the quietest mode.
    assert!(steps[place(&steps, "fit fuse `fuse-block.F4`")].contains("4 A"));
}

#[test]
fn the_plug_of_an_unseparated_battery_stays_off_until_its_step() {
    let steps = table(&["../fixtures/motorcycle-96v/motorcycle.yaml"]);
    let mated = &steps[place(&steps, "mate everything of voltage class B")];
    assert!(mated.contains("`traction.xd` and `traction.xg` stay off"), "{mated}");
    assert!(place(&steps, "mate everything") < place(&steps, "`traction.xd` and `traction.xg` to `pack`"));
    // What separates a pack by a disconnect in its middle and contactors stays plugged in.
    let van = table(&["../fixtures/sound/delivery-van-350v.yaml"]);
    assert!(van.iter().all(|row| !row.contains("to `pack`, as the last")), "{van:#?}");
    // All phases of the mains come at once.
    place(&table(&["../fixtures/sound/starter-panel-400v.yaml"]), "supply `incomer.l1`, `incomer.l2` and `incomer.l3`");
}

#[test]
fn a_main_switch_goes_in_behind_the_fuses_before_it() {
    let steps = table(&["../fixtures/cart-48v/cart.yaml"]);
    let in_order = ["fit fuse `pack.F0`", "put `switch-box.main-plug` in", "fit fuse `switch-box.F1`"];
    let places: Vec<usize> = in_order.iter().map(|text| place(&steps, text)).collect();
    assert!(places.is_sorted(), "{places:?}");
    // The 12 V side has a minus of its own, that of its converter.
    let voltages = table(&["../fixtures/cart-48v/cart.yaml", "--table", "voltages"]);
    assert!(voltages[place(&voltages, "fuse-box.IO.4")].contains(",dc-dc.OUT.2,"), "{voltages:#?}");
}

#[test]
fn a_device_is_made_safe_by_what_feeds_it() {
    let of_socket = table(&[DEMO, "--work-on", "cab-socket"]);
    place(&of_socket, "pull fuse `fusebox.F25` (15 A)");
    assert!(of_socket.iter().all(|row| !row.contains("take `pack.SD` out")), "{of_socket:#?}");
    let of_inverter = table(&[DEMO, "--work-on", "inverter"]);
    let in_order = [
        "take `pack.SD` out",
        "take `battery.R7` off",
        "falls below 60 V in 66.7 s",
        "prove `inverter` dead",
        "work on `inverter`",
    ];
    let places: Vec<usize> = in_order.iter().map(|text| place(&of_inverter, text)).collect();
    assert!(places.is_sorted(), "{places:?}");
    let done = harness(&["golive", DEMO, "--work-on", "invertor"]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("did you mean `inverter`?"), "{}", done.err);
}

#[test]
fn isolation_says_the_pole_the_figures_and_the_verdict() {
    let readings = "Vb=400 V,V1=22.6415 V,V2=377.358 V,V2'=330.5785 V,R0=200 kohm";
    let done = harness(&["isolation", "--voltage", "400 V", "--readings", readings]);
    assert_eq!(done.code, 0, "{}", done.err);
    for said in ["The negative pole has the weaker isolation", "75", "not enough, whatever the errors"] {
        assert!(done.out.contains(said), "`{said}` in {}", done.out);
    }
    // The highest working voltage of the demo is 350 V: 30 kohm are 85.7 ohm of each volt.
    let done = harness(&["isolation", DEMO, "--readings", readings]);
    assert!(done.code == 0 && done.out.contains("working voltage of 350 V"), "{}{}", done.out, done.err);
    // As a hand writes them, the same.
    let by_hand = "Vb=400; V1=-22,6415 v, V2: 377.358, V2' = 0.3305785 kV, R0=200k";
    let again = harness(&["isolation", DEMO, "--readings", by_hand]);
    assert!(again.code == 0 && again.out.contains("working voltage of 350 V"), "{}{}", again.out, again.err);
    for (arguments, because) in [
        (["--voltage", "400 V", "--readings", "Vb=400 A,V1=10 V"], "without a unit in V"),
        (["--voltage", "400 V", "--readings", "Vb=1,234 V"], "a comma that is one of thousands"),
        (["--voltage", "400 V", "--readings", "Vb=400 V,V1=10 V"], "`V2` is missing"),
        (["--voltage", "400 V", "--readings", "Vb=400 V,V1=1 V,V1=2 V"], "given twice"),
        (["--voltage", "400 V", "--readings", "V3=400 V"], "no reading is called `V3`"),
        ([BOAT, "--readings", readings, "--digits=1"], "no domain of voltage class B"),
    ] {
        let all: Vec<&str> = ["isolation"].into_iter().chain(arguments).collect();
        let done = harness(&all);
        assert_eq!(done.code, 2, "{}", done.out);
        assert!(done.err.contains(because), "`{because}` in {}", done.err);
    }
}
