//! The chain of class B: what is between pack and consumer as the netlist has it, everything of class B drawn or named as left out, and what
//! opens what as the circuit says when it is opened.

use super::analysed;
use harness_cli::render::pictures::chain::draw;
use harness_core::{
    Analysis,
    internals::{
        electrical::{ModeState, what_if::Change},
        model::{ElementId, Owner, PointId},
        network::{EdgeId, EdgeRole, MetalKind},
        vocabulary::Role,
    },
    views::{
        Chain,
        chain::{Circuit, CutEnd, Item, Row, Step},
    },
};
use harness_draw::{Drawing, Links};
use harness_tests::corpus::checked_files;
use std::collections::{BTreeMap, BTreeSet};

fn fixture(path: &str) -> &'static Analysis {
    let found = checked_files().iter().find(|file| file.path.ends_with(path));
    &found.unwrap_or_else(|| panic!("no fixture {path}")).checked.analysis
}

fn name(item: &Item) -> String {
    match item {
        Item::Piece { piece, .. } => piece.name.clone(),
        Item::Source { source, .. } => source.name.clone(),
        Item::Consumer { consumer, .. } => consumer.name.clone(),
        Item::Capacitor { name, .. } => name.clone(),
        Item::Undrawn { device, .. } => format!("({device})"),
        Item::Joint { halves: [a, b], .. } => format!("{} {}", a.point, b.point),
        Item::Wire(wire) => wire.name.clone(),
    }
}

/// A way in short: its things, ways side by side in brackets.
fn short(steps: &[Step]) -> Vec<String> {
    let one = |step: &Step| match step {
        Step::Item(item) => Some(name(item)),
        Step::Spot(_) => None,
        Step::Beside(lanes) => {
            Some(format!("[{}]", lanes.iter().map(|lane| short(lane).join(", ")).collect::<Vec<_>>().join(" | ")))
        }
    };
    steps.iter().filter_map(one).collect()
}

/// The elements of a way alone.
fn elements(steps: &[Step]) -> Vec<String> {
    let is_wiring = |text: &String| text.contains(' ') && !text.starts_with('[') || text.starts_with("traction.");
    short(steps).into_iter().filter(|text| !is_wiring(text)).collect()
}

fn drawn(chain: &Chain) -> BTreeSet<String> {
    draw(chain, "Design").iter().flat_map(Drawing::drawn).map(str::to_owned).collect()
}

#[test]
fn the_tractor_runs_from_its_pack_over_both_contactors_to_four_consumers() {
    let chain = Chain::of(fixture("fixtures/terrace-tractor/tractor.yaml"));
    let [traction, mains] = chain.circuits.as_slice() else { panic!("{:?}", chain.circuits) };
    assert_eq!((traction.domain.as_str(), traction.ac, mains.domain.as_str(), mains.ac), ("traction", false, "mains", true));
    let [pack, main] = traction.lanes.as_slice() else { panic!("{:?}", traction.lanes) };
    let cells = ["module6", "module5", "module4", "F0", "SD", "module3", "module2", "module1"];
    assert_eq!(short(pack), cells.map(|cell| format!("pack.{cell}")));
    let way = short(main);
    assert_eq!(
        way[..4],
        [
            "pack.HV.1 traction.H1.1",
            "traction.201",
            "traction.H2.1 junction-box.PACK.1",
            "[junction-box.K1 | junction-box.K3, junction-box.R1]"
        ]
    );
    assert_eq!(way[5..], ["junction-box.K2", "junction-box.PACK.2 traction.H2.2", "traction.202", "traction.H1.2 pack.HV.2"]);
    let Some(Step::Beside(branches)) = main.iter().filter(|step| matches!(step, Step::Beside(_))).nth(1) else {
        panic!("{way:?}")
    };
    let ends: Vec<Vec<String>> = branches.iter().map(|branch| elements(branch)).collect();
    assert_eq!(ends[0], ["junction-box.F2", "charger.charger"]);
    assert_eq!(ends[1], ["junction-box.F3", "dc-dc.converter"]);
    assert_eq!(ends[2], ["junction-box.F4", "heater.gate", "heater.stone"]);
    assert_eq!(ends[3], ["junction-box.F1", "[inverter.link | inverter.bleed | inverter.bridge, inverter.drive]"]);
    assert!(traction.rows.is_empty() && chain.left_out.is_empty(), "{:?}", chain.left_out);
    // The phases are conductors without a source: each from the inverter to the star of the motor.
    let phases: BTreeSet<Vec<String>> = chain.loose.iter().map(|row| elements(&row.steps)).collect();
    assert_eq!(phases, ["u", "v", "w"].map(|phase| vec![format!("motor.{phase}")]).into());
}

#[test]
fn the_loop_of_the_tractor_is_one_line_from_its_controller_and_back() {
    let chain = Chain::of(fixture("fixtures/terrace-tractor/tractor.yaml"));
    let [only] = chain.loops.as_slice() else { panic!("{:?}", chain.loops) };
    assert_eq!((only.from.at.as_slice(), only.to.at.as_slice()), (&["vcu.J2.7".to_owned()][..], &["vcu.J2.8".to_owned()][..]));
    // As the wires 221 to 236 of the netlist run.
    let plugs = [
        "junction-box.PACK",
        "junction-box.INV",
        "junction-box.CHG",
        "junction-box.DCDC",
        "junction-box.HEAT",
        "heater.HV",
        "dc-dc.HV",
        "charger.HV",
        "charger.AC",
        "inlet.AC",
        "inverter.DC",
        "inverter.AC",
        "motor.AC",
        "pack.HV",
        "pack.SDI",
    ];
    let of: Vec<&str> = only.stops.iter().filter_map(|stop| stop.of.as_deref()).collect();
    assert_eq!(of, plugs);
    assert_eq!(only.opens.len(), 1);
    assert_eq!(only.opens[0].program.as_deref(), Some("vcu"));
    assert_eq!(only.opens[0].stay, ["junction-box.K1", "junction-box.K2", "junction-box.K3"]);
    for coil in &chain.coils {
        assert!(coil.plus.way.iter().any(|part| part == "emergency-stop.coils"), "{coil:?}");
        assert!(
            coil.minus.way.iter().any(|part| part.starts_with("vcu.")) && coil.minus.to.as_deref() == Some("chassis"),
            "{coil:?}"
        );
    }
}

/// The edges of the element called `name` that a loop or a coil needs.
fn edges_of(analysis: &Analysis, name: &str) -> Vec<EdgeId> {
    let model = analysis.model();
    let is_named = |element: ElementId| model.element_name(element) == name;
    let network = analysis.network();
    let own = network.edges().filter(|(_, edge)| edge.element().is_some_and(is_named) && edge.role != EdgeRole::Coil);
    own.map(|(id, _)| id).collect()
}

/// The contacts that are shut in one state and open in another, by name.
fn opened(analysis: &Analysis, names: &[String], before: &ModeState, after: &ModeState) -> BTreeSet<String> {
    let opens = |name: &&String| {
        let contacts = edges_of(analysis, name);
        contacts.iter().any(|contact| before.conducts(*contact)) && contacts.iter().all(|contact| !after.conducts(*contact))
    };
    names.iter().filter(opens).cloned().collect()
}

/// Every stop of every loop is opened in the circuit, in every mode for which the chain says what that does.
#[test]
fn what_opens_with_a_loop_is_what_the_circuit_lets_go_at_each_of_its_stops() {
    let (mut stops, mut dropped) = (0, 0);
    for file in checked_files() {
        let analysis = &file.checked.analysis;
        let chain = Chain::of(analysis);
        let contacts: Vec<String> = chain.coils.iter().flat_map(|coil| coil.contacts.clone()).collect();
        for (one, opens) in chain.loops.iter().flat_map(|one| one.opens.iter().map(move |opens| (one, opens))) {
            for mode in &opens.modes {
                let state = analysis.electrical().modes().find(|state| analysis.model().mode_name(state.id) == mode).unwrap();
                let shut: BTreeSet<String> = opens.drops.iter().chain(&opens.stay).cloned().collect();
                for stop in one.stops.iter().filter(|stop| stop.is_bridge && !stop.is_bypassed) {
                    let changes: Vec<Change> = edges_of(analysis, &stop.name).into_iter().map(Change::Open).collect();
                    let Some(after) = analysis.electrical().altered(state.id, &changes) else { continue };
                    let own = opened(analysis, &contacts, state, &after);
                    let said: BTreeSet<String> = opens.drops.iter().cloned().collect();
                    assert_eq!(own, said, "{}: {} in {mode}, of {shut:?}", file.path.display(), stop.name);
                    stops += 1;
                    dropped += own.len();
                }
            }
        }
    }
    assert!(stops > 80 && dropped > 10, "{stops} stops were opened, {dropped} contacts let go");
}

/// Opening what is between a coil and its source opens its contacts, unless the coil is fed past it.
#[test]
fn what_is_on_the_way_of_a_coil_opens_its_contacts() {
    let mut opened_by = 0;
    for path in ["fixtures/terrace-tractor/tractor.yaml", "fixtures/hut-truck/truck.yaml", "sound/delivery-van-350v.yaml"] {
        let analysis = fixture(path);
        let chain = Chain::of(analysis);
        for coil in &chain.coils {
            for state in analysis.electrical().modes_as_written() {
                let shut = coil.contacts.iter().any(|name| edges_of(analysis, name).iter().any(|edge| state.conducts(*edge)));
                if !shut {
                    continue;
                }
                // What is nearest to the coil is in its way alone.
                for part in coil.plus.way.first().into_iter().chain(coil.minus.way.first()) {
                    let changes: Vec<Change> = edges_of(analysis, part).into_iter().map(Change::Open).collect();
                    let after = analysis.electrical().altered(state.id, &changes).unwrap();
                    let own = opened(analysis, &coil.contacts, state, &after);
                    assert_eq!(own.len(), coil.contacts.len(), "{path}: {part} and {coil:?}");
                    opened_by += 1;
                }
            }
        }
    }
    assert!(opened_by > 20, "{opened_by}");
}

/// What of a design is of class B, by the model alone: elements and wires with an end in it, connectors with a point in it.
fn of_class_b(analysis: &Analysis) -> (BTreeMap<String, usize>, BTreeSet<String>) {
    let (model, network) = (analysis.model(), analysis.network());
    let is_b = |point: PointId| analysis.electrical().domains().of(point).is_some_and(|domain| model[domain].is_class_b());
    // Protective earth is not of the chain, even where a fault makes it live.
    let is_earth = |point: PointId| matches!(model.role_at(point), Some(Role::Earth | Role::Chassis));
    let mut parts: BTreeMap<String, usize> = BTreeMap::new();
    for (_, edge) in network.edges().filter(|(_, edge)| is_b(edge.a) && is_b(edge.b)) {
        if is_earth(edge.a) || is_earth(edge.b) {
            continue;
        }
        let is_bar = edge.role == EdgeRole::Metal(MetalKind::Bar);
        if let Some(element) = edge.element().filter(|_| edge.role != EdgeRole::Interlock) {
            let count = parts.entry(model.element_name(element)).or_default();
            *count = if is_bar { 1 } else { *count + 1 };
        }
    }
    let fitted = |owner: Owner| match owner {
        Owner::Device(device) => model[device].fitted && !model[device].chassis,
        Owner::Loom(loom) => model[loom].fitted,
    };
    let ports = model.ports().filter(|(_, port)| fitted(Owner::Device(port.device)));
    let connectors = ports.filter(|(_, port)| port.points.iter().any(|point| is_b(point) && !is_earth(point)));
    (parts, connectors.map(|(id, _)| model.port_name(id)).collect())
}

fn count(steps: &[Step], found: &mut BTreeMap<String, usize>) {
    for step in steps {
        match step {
            Step::Item(item @ (Item::Piece { .. } | Item::Source { .. } | Item::Consumer { .. } | Item::Capacitor { .. })) => {
                *found.entry(name(item)).or_default() += 1;
            }
            Step::Item(Item::Undrawn { .. } | Item::Joint { .. } | Item::Wire(_)) | Step::Spot(_) => {}
            Step::Beside(lanes) => lanes.iter().for_each(|lane| count(lane, found)),
        }
    }
}

#[test]
fn everything_of_class_b_is_drawn_once_or_named_as_left_out() {
    let (mut designs, mut things, mut lost) = (0, 0, Vec::new());
    for file in checked_files() {
        let analysis = &file.checked.analysis;
        let of = file.path.display();
        let chain = Chain::of(analysis);
        let (parts, connectors) = of_class_b(analysis);
        assert!(!chain.is_empty() || (parts.is_empty() && connectors.is_empty()), "{of}: {parts:?}");
        let on_sheet = drawn(&chain);
        let left: BTreeSet<&str> = chain.left_out.iter().map(|one| one.name.as_str()).collect();
        let mut once: BTreeMap<String, usize> = BTreeMap::new();
        let rows = chain.circuits.iter().flat_map(|circuit| &circuit.rows).chain(&chain.loose);
        chain.circuits.iter().flat_map(|circuit| &circuit.lanes).for_each(|lane| count(lane, &mut once));
        rows.for_each(|row| count(&row.steps, &mut once));
        for (part, edges) in &parts {
            let is_drawn = on_sheet.contains(part);
            if !is_drawn && !left.contains(part.as_str()) {
                lost.push(format!("{of}: {part}"));
            }
            if let Some(count) = once.get(part) {
                assert!(count <= edges, "{of}: {part} is drawn {count} times, and has {edges} edges");
            }
        }
        for connector in &connectors {
            if !on_sheet.contains(connector) && !left.contains(connector.as_str()) {
                lost.push(format!("{of}: {connector}"));
            }
        }
        designs += usize::from(!chain.is_empty());
        things += parts.len() + connectors.len();
    }
    assert!(lost.is_empty(), "lost: {lost:#?}");
    assert!(designs > 100 && things > 1500, "{designs} designs, {things} things");
}

/// Each letter is at exactly two places of its circuit, or at the ends of all arms of one star.
fn letters_are_paired(circuit: &Circuit, of: &str) {
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    let mut note = |steps: &[Step]| {
        let mut waiting: Vec<&Step> = steps.iter().collect();
        while let Some(step) = waiting.pop() {
            match step {
                Step::Spot(spot) => spot.letters.iter().for_each(|letter| *at.entry(letter.to_string()).or_default() += 1),
                Step::Beside(lanes) => waiting.extend(lanes.iter().flatten()),
                Step::Item(_) => {}
            }
        }
    };
    circuit.lanes.iter().for_each(|lane| note(lane));
    note(&[Step::Spot(circuit.plus.clone()), Step::Spot(circuit.minus.clone())]);
    for Row { from, steps, to } in &circuit.rows {
        note(steps);
        for end in [from, to] {
            match end {
                CutEnd::Open(spot) => note(&[Step::Spot(spot.clone())]),
                CutEnd::Letter(_) => {}
            }
        }
    }
    for row in &circuit.rows {
        for end in [&row.from, &row.to] {
            if let CutEnd::Letter(letter) = end {
                *at.entry(letter.to_string()).or_default() += 1;
            }
        }
    }
    assert!(at.values().all(|count| *count == 2), "{of}: {at:?}");
}

#[test]
fn every_cut_has_its_letter_at_both_ends_in_every_fixture() {
    let mut cuts = 0;
    for file in checked_files() {
        for circuit in &Chain::of(&file.checked.analysis).circuits {
            letters_are_paired(circuit, &file.path.display().to_string());
            cuts += circuit.rows.len();
        }
    }
    assert!(cuts > 50, "{cuts}");
}

const HEAD: &str =
    "format: 1\ndesign: Press\ndomains: { hv: { nominal: 300 V, max: 350 V, reference: floating } }\nmodes: { on: {} }\n";

/// One box with everything inside; its plus and minus are pins of class B.
fn boxed(nodes: &str, inside: &str) -> Analysis {
    analysed(&format!(
        "{HEAD}devices:\n  box:\n    ports: {{ P: {{ stud: M8, role: supply, domain: hv }}, N: {{ stud: M8, role: return, domain: hv }} }}\n    nodes: [{nodes}]\n    inside:\n{inside}"
    ))
}

fn lanes(analysis: &Analysis) -> Vec<String> {
    let chain = Chain::of(analysis);
    assert_eq!(chain.circuits.len(), 1, "{:?}", chain.circuits);
    letters_are_paired(&chain.circuits[0], "a design of one box");
    for sheet in draw(&chain, "Press") {
        let measured = sheet.measured();
        assert!(measured.is_clean() && measured.crossings == 0, "{measured:#?}");
    }
    chain.circuits[0].lanes.iter().map(|lane| short(lane).join(" ")).collect()
}

#[test]
fn forms_of_packs_are_rows_and_ways_side_by_side() {
    // Two strings side by side behind a fuse each, a load on the common bus.
    let strings = boxed(
        "a, b",
        "      one: { source: 300 V, positive: a, negative: N }\n      two: { source: 300 V, positive: b, negative: N }\n      Fa: { switch: open, from: a, to: P, closed-in: [on] }\n      Fb: { switch: open, from: b, to: P, closed-in: [on] }\n      load: { load: 1 kW, from: P, to: N, kind: heater }\n",
    );
    assert_eq!(lanes(&strings), ["box.one", "box.Fa [box.Fb, box.two | box.load]"]);
    // A disconnect in the middle, a contactor on one pole alone, and a load on half of the pack.
    let halves = boxed(
        "m, n, o",
        "      upper: { source: 150 V, positive: o, negative: m }\n      SD: { disconnect: [], from: m, to: n }\n      lower: { source: 150 V, positive: n, negative: N }\n      K: { switch: open, from: o, to: P, closed-in: [on] }\n      half: { load: 100 W, from: n, to: N }\n      load: { load: 1 kW, from: P, to: N }\n",
    );
    assert_eq!(lanes(&halves), ["box.K box.load", "box.upper box.SD [box.lower | box.half]"].map(str::to_owned).to_vec());
}

#[test]
fn a_ring_of_another_form_is_cut_and_nothing_is_lost() {
    // Two feeds to two loads and a tie between them: a bridge, neither a row nor ways side by side.
    let bridge = boxed(
        "x, y",
        "      cells: { source: 300 V, positive: P, negative: N }\n      Fx: { switch: closed, from: P, to: x }\n      Fy: { switch: closed, from: P, to: y }\n      tie: { switch: open, from: x, to: y, closed-in: [on] }\n      lx: { load: 1 kW, from: x, to: N }\n      ly: { load: 1 kW, from: y, to: N }\n",
    );
    let chain = Chain::of(&bridge);
    assert_eq!(chain.circuits[0].rows.len(), 1);
    assert_eq!(short(&chain.circuits[0].rows[0].steps), ["box.tie"]);
    assert_eq!(lanes(&bridge), ["box.cells", "box.Fx box.lx", "box.Fy box.ly"]);
    let names: BTreeSet<String> = drawn(&chain);
    assert!(["cells", "Fx", "Fy", "tie", "lx", "ly"].iter().all(|part| names.contains(&format!("box.{part}"))), "{names:?}");
}

#[test]
fn a_design_without_class_b_has_no_chain_and_hostile_names_are_drawn_as_text() {
    let low = analysed("format: 1\ndesign: Lamp\ndomains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }\n");
    assert!(Chain::of(&low).is_empty());
    let wide = "x".repeat(120);
    let hostile = boxed(
        &format!("\"{wide}\""),
        &format!(
            "      \"<b>&\": {{ source: 300 V, positive: P, negative: N }}\n      \"{wide}\": {{ switch: open, from: P, to: \"{wide}\", closed-in: [on] }}\n      load: {{ load: 1 kW, from: \"{wide}\", to: N }}\n"
        ),
    );
    for sheet in draw(&Chain::of(&hostile), "</text><script>") {
        let svg = sheet.svg(&Links::none());
        assert!(!svg.contains("<script") && !svg.contains("<b>"), "{svg}");
        assert!(sheet.measured().is_clean(), "{:#?}", sheet.measured());
    }
}
