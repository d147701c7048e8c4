//! What a meter shows over a bare loom, against the simulator: one ampere from lead to lead, and the volts between them are the ohms.

use super::{
    deck::Deck,
    run,
    wiring::{Part, Wiring},
};
use harness_core::{
    Analysis, Design, MemoryFiles,
    bench::{Bench, RingOutStep},
    internals::{
        electrical::conductors::{conductor::resistance_as, joint},
        model::{ElementKind, LoomId, Model, Owner, PointKind},
    },
};
use harness_tests::{
    corpus::{generator::Numbers, place},
    fixtures,
};
use std::{collections::BTreeMap, fmt::Write};

/// What joins two places of a loom, in ohm; `None` where the design does not give it.
struct Joined {
    ends: [String; 2],
    ohm: Option<f64>,
}

/// A loom on the bench: what joins its places, and the contact by which a lead is put to each.
struct Loom {
    joined: Vec<Joined>,
    contacts: BTreeMap<String, f64>,
}

fn loom(model: &Model, id: LoomId) -> Loom {
    let mut joined = Vec::new();
    for (_, wire) in model.wires().filter(|(_, wire)| wire.loom == id) {
        let (Some(from), Some(to)) = (wire.from, wire.to) else { continue };
        let per_metre = wire.size.and_then(|size| resistance_as(model, wire, size.value));
        let ohm = per_metre.zip(wire.length).map(|(per_metre, length)| per_metre.get() * length.value.get());
        joined.push(Joined { ends: [from, to].map(|point| model.point_name(point)), ohm });
    }
    for (_, element) in model.elements().filter(|(_, element)| element.owner == Owner::Loom(id)) {
        let names: Vec<String> = element.points.iter().map(|point| model.point_name(*point)).collect();
        let ohm = if let ElementKind::Resistor(resistor) = &element.kind { Some(resistor.ohm.value.get()) } else { None };
        for pair in names.windows(2) {
            joined.push(Joined { ends: [pair[0].clone(), pair[1].clone()], ohm });
        }
    }
    for (_, cable) in model.cables().filter(|(_, cable)| cable.loom == id) {
        let ends: Vec<String> = cable.screen.iter().flatten().map(|(point, _)| model.point_name(*point)).collect();
        if let [from, to] = ends.as_slice() {
            joined.push(Joined { ends: [from.clone(), to.clone()], ohm: None });
        }
    }
    let mut contacts = BTreeMap::new();
    for point in model[id].ends.iter().flat_map(|end| model[*end].points.iter()) {
        let contact = match model[point].kind {
            PointKind::Cavity(end) => joint::mated(model, end).get(),
            PointKind::Ring(_) => joint::bolted(model).get(),
            _ => 0.0,
        };
        contacts.insert(model.point_name(point), contact);
    }
    Loom { joined, contacts }
}

impl Loom {
    /// What hangs together with a place by what a meter reads ohms over; `None` where the ohms of any of it are not given.
    fn around<'a>(&'a self, place: &'a str) -> Option<(Vec<&'a str>, Vec<&'a Joined>)> {
        let mut places = vec![place];
        let mut at = 0;
        while let Some(here) = places.get(at).copied() {
            at += 1;
            for Joined { ends: [one, other], .. } in &self.joined {
                for (near, far) in [(one, other), (other, one)] {
                    if near == here && !places.contains(&far.as_str()) {
                        places.push(far);
                    }
                }
            }
        }
        let own: Vec<&Joined> = self.joined.iter().filter(|joined| places.contains(&joined.ends[0].as_str())).collect();
        own.iter().all(|joined| joined.ohm.is_some()).then_some((places, own))
    }

    /// Adds what is around the leads of a step as an island of its own, with the ampere; gives the node of the first lead.
    fn add(&self, wiring: &mut Wiring, step: &RingOutStep) -> Option<u32> {
        let (places, own) = self.around(&step.from)?;
        let base = wiring.nodes;
        let node = |name: &str| places.iter().position(|place| *place == name).map(|at| base + at as u32);
        let (from, to) = (node(&step.from)?, node(&step.to)?);
        for joined in own {
            let [a, b] = [0, 1].map(|end| node(&joined.ends[end]).expect("it is around"));
            wiring.ends.push((a, b));
            wiring.parts.push(Part::Conducts { emf: 0.0, ohms: joined.ohm.expect("all are given") });
        }
        wiring.ends.push((to, from));
        wiring.parts.push(Part::Draws(1.0));
        wiring.references.push(to);
        wiring.nodes += places.len() as u32;
        Some(from)
    }
}

/// Compares every reading of every loom whose ohms the design gives; gives how many there were.
fn compare(name: &str, analysis: &Analysis) -> usize {
    let (model, bench) = (analysis.model(), Bench::of(analysis));
    let mut wiring = Wiring::default();
    let mut asked: Vec<(u32, f64, String)> = Vec::new();
    for (id, _) in model.looms() {
        let Some(ring_out) = bench.ring_out(model.loom_name(id)) else { continue };
        let loom = loom(model, id);
        for step in &ring_out.steps {
            let Some(expected) = step.expected else { continue };
            let Some(from) = loom.add(&mut wiring, step) else { continue };
            let contact = |place: &str| loom.contacts.get(place).copied().unwrap_or_default();
            let ours = expected - contact(&step.from) - contact(&step.to);
            asked.push((from, ours, format!("{name}: {} to {}", step.from, step.to)));
        }
    }
    let deck = Deck::new(name.to_owned(), wiring, &[]);
    let Some(figures) = run::run(std::slice::from_ref(&deck), "ring-outs") else { return asked.len() };
    for (from, ours, what) in &asked {
        let theirs = figures[0].volts[*from as usize];
        assert!((ours - theirs).abs() <= 1e-7 * theirs.abs() + 1e-9, "{what}: {ours} and {theirs} ohm");
    }
    asked.len()
}

#[test]
fn the_ohms_of_the_looms_of_whole_designs_agree() {
    let mut compared = 0;
    for file in ["terrace-tractor/tractor.yaml", "hut-truck/truck.yaml"] {
        let (folder, root) = place(&fixtures().join(file));
        compared += compare(file, &Analysis::of_all(&Design::load(&folder, &root)));
    }
    println!("{compared} readings");
    assert!(compared > 150, "{compared} readings");
}

/// Looms of plugs, splices and resistors in line, with wires side by side and rings of wires.
fn random(seed: u64) -> String {
    const SIZES: [&str; 5] = ["0.5", "1", "2.5", "6", "16"];
    let mut numbers = Numbers::new(seed);
    let mut text = "format: 1\ndesign: Winch sledge\ndomains:\n  aux: { nominal: 12 V, max: 15 V }\nparts:\n  housings:\n    \
                    Q: { family: QQ, positions: 9, contacts: socket, voltage: 60 V, current: 20 A }\nlooms:\n  main:\n    ends:\n"
        .to_owned();
    for plug in 0..5 {
        let _ = writeln!(text, "      P{plug}: {{ housing: Q }}");
    }
    let (mut splices, mut inside, mut wires) = (String::new(), String::new(), String::new());
    let mut cavities: Vec<String> = (0..5).flat_map(|plug| (1..=9).map(move |at| format!("P{plug}.{at}"))).collect();
    let mut count = 0;
    let mut wire = |numbers: &mut Numbers, from: &str, to: &str| {
        count += 1;
        let (size, length) = (SIZES[numbers.below(5) as usize], 50 + numbers.below(9_000));
        let _ = writeln!(wires, "      w{count}: {{ from: {from}, to: {to}, size: {size} mm2, length: {length} mm }}");
    };
    for net in 0..8 {
        let mut places: Vec<String> = vec![format!("S{net}"), format!("T{net}")];
        let _ = writeln!(splices, "      S{net}: {{}}\n      T{net}: {{}}");
        for _ in 0..2 + numbers.below(3) {
            let cavity = cavities.swap_remove(numbers.below(cavities.len() as u64) as usize);
            let from = places[numbers.below(places.len() as u64) as usize].clone();
            wire(&mut numbers, &from, &cavity);
            places.push(cavity);
        }
        // The two splices are joined by one wire, by several, or over a resistor.
        match numbers.below(3) {
            0 => {
                let ohm = 47 + numbers.below(900);
                let _ = writeln!(inside, "      R{net}: {{ resistor: {ohm} ohm, from: S{net}, to: T{net} }}");
            }
            more => (0..more).for_each(|_| wire(&mut numbers, &format!("S{net}"), &format!("T{net}"))),
        }
        let (from, to) = (places[0].clone(), places[places.len() - 1].clone());
        wire(&mut numbers, &from, &to);
    }
    text + "    splices:\n" + &splices + "    inside:\n" + &inside + "    wires:\n" + &wires
}

#[test]
fn the_ohms_of_random_looms_agree() {
    let mut compared = 0;
    for seed in 0..8 {
        let netlist = random(seed);
        let design = Design::load(&MemoryFiles::one("design.yaml", netlist), "design.yaml");
        compared += compare(&format!("random loom {seed}"), &Analysis::of_all(&design));
    }
    println!("{compared} readings");
    assert!(compared > 100, "{compared} readings");
}
