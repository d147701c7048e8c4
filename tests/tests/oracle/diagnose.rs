//! Faults that are known, found by what is measured: every single fault of the demo, in every mode, by readings with an error.
//!
//! What is measured is not what the search computes: each fault is made in the circuit of the mode, with the fuses that it blows, and that
//! circuit is solved from the start.

use super::ideal::Ideal;
use harness_core::{
    Analysis, Design,
    bench::diagnose::{BADLY, NOT, NamedFault, Probe, Reading, Search, Verdict, WORKS, Weighed},
    internals::{
        circuit::{Operating, solve::solve_from},
        electrical::{
            altered::Rest,
            single_faults::{Fault, HowTried},
            what_if::Change,
        },
        model::ElementId,
        network::{EdgeId, EdgeRole},
    },
    quantity::Ohm,
};
use harness_tests::{Numbers, corpus::place, fixtures, tier};

/// Standard deviation of a reading, as a share of it.
const NOISE: f64 = 0.02;
/// Deviations from which on a meter shows that something is wrong.
const SHOWS: f64 = 4.0;
/// Faults of a design for which what is left out is compared, in a full run.
const CASES: usize = 240;
/// What a random reading is worth at least, in bits: points of the circuits that the complaint has to do with.
const CONCERNED: f64 = 0.3;

/// A number with mean 0 and standard deviation 1: the sum of twelve even ones less six.
fn normal(numbers: &mut Numbers) -> f64 {
    (0..12).map(|_| numbers.below(1_000_000) as f64 / 1e6).sum::<f64>() - 6.0
}

/// The circuit of a mode with faults in it, solved from the start.
struct Faulty<'a> {
    analysis: &'a Analysis,
    rest: &'a Rest<'a>,
    state: Operating,
}

impl<'a> Faulty<'a> {
    fn new(analysis: &'a Analysis, rest: &'a Rest<'a>, faults: &[Fault], blown: &[ElementId]) -> Option<Self> {
        let network = analysis.network();
        let mut changes: Vec<Change> = Vec::new();
        for fault in faults {
            match *fault {
                Fault::Open(edge) | Fault::Blown(edge) | Fault::Stuck(edge) => changes.push(Change::Open(edge)),
                Fault::Bridged(one, other) => changes.push(Change::Joined(one, other, Ohm::new(1e-3))),
                Fault::Raised(edge) => changes.push(Change::Raised(edge, Ohm::new(0.5))),
                Fault::Welded(edge) => changes.push(Change::Closed(edge)),
            }
        }
        let is_blown = |element: Option<ElementId>| element.is_some_and(|element| blown.contains(&element));
        changes.extend(
            network.edges().filter(|(_, edge)| edge.role.is_fuse() && is_blown(edge.element())).map(|(id, _)| Change::Open(id)),
        );
        let mut circuit = rest.circuit().clone();
        for alteration in changes.iter().filter_map(|change| change.in_circuit(rest.circuit())) {
            alteration.make(&mut circuit);
        }
        let on = network.edges().filter(|(id, edge)| edge.role == EdgeRole::Coil && rest.is_on(*id));
        let on: Vec<u32> = on.map(|(id, _)| id.index() as u32).collect();
        let state = solve_from(&circuit, &on);
        state.unsettled.is_empty().then_some(Self { analysis, rest, state })
    }

    fn between(&self, one: usize, other: usize) -> f64 {
        let is_joined = self.state.island[one] == self.state.island[other];
        if is_joined { (self.state.volts[one] - self.state.volts[other]).get() } else { 0.0 }
    }

    fn works(&self, edge: EdgeId) -> Option<f64> {
        let ends = &self.analysis.network()[edge];
        let at = edge.index();
        match ends.role {
            EdgeRole::Coil => return Some(if self.state.energised[at] { WORKS } else { NOT }),
            EdgeRole::ConverterInput => return Some(if self.state.converting[at] { WORKS } else { NOT }),
            _ if !self.rest.runs(edge) => return None,
            _ => {}
        }
        let nominal = self.analysis.electrical().nominal(ends.element()?)?.volts.get();
        let share = self.between(ends.a.index(), ends.b.index()).abs() / nominal;
        // Half of its voltage and three quarters of it: common practice, and ISO 16750-2 from memory, as the library has them.
        Some(if share >= 0.75 {
            WORKS
        } else if share >= 0.5 {
            BADLY
        } else {
            NOT
        })
    }

    /// What is there; `None` where this does not say.
    fn shows(&self, probe: Probe) -> Option<f64> {
        match probe {
            Probe::Volts { point, against } => Some(self.between(point.index(), against.index())),
            Probe::Amps(edge) => Some(self.state.amps[edge.index()].get().abs()),
            Probe::Works(edge) => self.works(edge),
            Probe::Ohms { .. } => None,
        }
    }

    /// What a meter reads, or an eye sees.
    fn read(&self, probe: Probe, numbers: &mut Numbers) -> Option<Reading> {
        let value = self.shows(probe)?;
        let error = if let Probe::Works(_) = probe { 1.0 } else { 1.0 + NOISE * normal(numbers) };
        Some(Reading { probe, value: value * error, written: String::new() })
    }
}

#[derive(Debug, Default)]
struct Tally {
    /// Faults that show somewhere.
    faults: usize,
    /// Faults that show nowhere in their mode.
    silent: usize,
    first: usize,
    first_three: usize,
    /// The same with points anywhere in the vehicle, and at its test points.
    anywhere: usize,
    at_test_points: usize,
    /// The best that any ranking has of each of the three.
    best: [f64; 3],
    /// Found by what was proposed.
    isolated: usize,
    readings: usize,
    most: usize,
}

/// The complaint, then readings at five of these points.
fn five(faulty: &Faulty<'_>, begun: &[Reading], pool: &[Probe], numbers: &mut Numbers) -> Vec<Reading> {
    let mut readings = begun.to_vec();
    for _ in 0..5 {
        let probe = numbers.one(pool).copied();
        let reading = probe.and_then(|probe| faulty.read(probe, numbers));
        readings.extend(reading);
    }
    readings
}

/// The place of the line that has a fault.
fn rank(weighed: &Weighed<'_>, readings: &[Reading], named: &NamedFault) -> Option<usize> {
    let is_it = |alike: &NamedFault| alike.kind == named.kind && alike.names == named.names;
    weighed.diagnose(readings).causes.iter().position(|cause| cause.alike.iter().flatten().any(is_it))
}

#[test]
fn single_faults_of_the_demo_are_found_by_their_readings() {
    let (folder, root) = place(&fixtures().join("terrace-tractor/tractor.yaml"));
    let analysis = Analysis::of_all(&Design::load(&folder, &root));
    let electrical = analysis.electrical();
    let faults = electrical.single_faults();
    let tried = electrical.try_faults(&faults, HowTried::default(), &|_| ());
    let mut numbers = Numbers::new(7);
    let mut tally = Tally::default();
    for rest in electrical.rests(&[]).iter().filter(|rest| rest.after.is_none()) {
        let search = Search::new(&analysis, rest.state.id, None).expect("the mode");
        let weighed = search.weighed(&[]);
        let faults = weighed.faults();
        let probes: Vec<Probe> = weighed.reached().collect();
        let is_test_point = |probe: &Probe| matches!(probe, Probe::Volts { point, .. } if analysis.model().is_test_point(*point));
        let test_points: Vec<Probe> = probes.iter().copied().filter(is_test_point).collect();
        let sound = Faulty::new(&analysis, rest, &[], &[]).expect("a state of rest");
        let (mut ideal, mut cases) = (Ideal::new(NOISE), Vec::new());
        for tried in tier::sample("single_faults_of_the_demo_are_found_by_their_readings", &tried) {
            let effects = tried.effects.iter().find(|(state, _)| state.mode == rest.state.id && state.after.is_none());
            let blown: Vec<ElementId> =
                effects.map(|(_, effects)| effects.opens.iter().map(|(fuse, _)| *fuse).collect()).unwrap_or_default();
            // What is stuck open shows nothing where it is open anyway.
            let is_idle = matches!(tried.fault, Fault::Stuck(_) | Fault::Welded(_)) && effects.is_none();
            let Some(faulty) = Faulty::new(&analysis, rest, &[tried.fault], &blown).filter(|_| !is_idle) else {
                tally.silent += 1;
                continue;
            };
            let shows = |probe: &Probe| {
                let figures = sound.shows(*probe).zip(faulty.shows(*probe));
                figures.is_some_and(|(sound, shows)| {
                    let error = |value: f64| probe.deviation(harness_core::bench::diagnose::Seen::exactly(value), NOISE);
                    (sound - shows).abs() > SHOWS * error(sound).max(error(shows))
                })
            };
            let shown: Vec<Probe> = probes.iter().copied().filter(shows).collect();
            if shown.is_empty() {
                tally.silent += 1;
                continue;
            }
            tally.faults += 1;
            let named = faults.iter().find(|(known, _)| *known == tried.fault).map(|(_, named)| named).expect("it is tried");
            // People complain of what does not work, where there is such a thing.
            let loads: Vec<Probe> = shown.iter().copied().filter(|probe| matches!(probe, Probe::Works(_))).collect();
            let complaint = numbers.pick(if loads.is_empty() { &shown } else { &loads });
            let begun: Vec<Reading> = faulty.read(complaint, &mut numbers).into_iter().collect();
            let concerned: Vec<Probe> = weighed
                .worth(&begun)
                .iter()
                .filter(|proposal| proposal.bits >= CONCERNED)
                .map(|proposal| proposal.probe)
                .collect();
            let own: Vec<Option<f64>> = probes.iter().map(|probe| faulty.shows(*probe)).collect();
            ideal.add(&probes, own.clone());
            let readings = five(&faulty, &begun, &concerned, &mut numbers);
            let at = rank(&weighed, &readings, named);
            tally.first += usize::from(at == Some(0));
            tally.first_three += usize::from(at.is_some_and(|at| at < 3));
            let anywhere = five(&faulty, &begun, &probes, &mut numbers);
            tally.anywhere += usize::from(rank(&weighed, &anywhere, named).is_some_and(|at| at < 3));
            let at_test_points = five(&faulty, &begun, &test_points, &mut numbers);
            tally.at_test_points += usize::from(rank(&weighed, &at_test_points, named).is_some_and(|at| at < 3));
            cases.push((own, [readings, anywhere, at_test_points]));
            // From the complaint on by what is proposed.
            let mut readings = begun;
            loop {
                let found = weighed.diagnose(&readings);
                let next = found.proposals.iter().find_map(|proposal| faulty.read(proposal.probe, &mut numbers));
                match next.filter(|_| found.verdict == Verdict::Several && readings.len() < 20) {
                    Some(reading) => readings.push(reading),
                    None => break,
                }
            }
            tally.isolated += usize::from(rank(&weighed, &readings, named) == Some(0));
            tally.readings += readings.len() - 1;
            tally.most = tally.most.max(readings.len() - 1);
        }
        for (own, readings) in &cases {
            for (best, readings) in tally.best.iter_mut().zip(readings) {
                *best += ideal.first_three(&probes, own, readings);
            }
        }
    }
    println!("{tally:?}");
    // In the first three lines, of all 1,050 faults that show in their mode: with five readings at random test points 77 %, anywhere in the
    // vehicle 76 %, at points that have to do with the complaint 79 %; by what is proposed 96 % are isolated (one in eight tried), in 2.9
    // readings on average and 7 at most. The goal is 90 % with five at random. No ranking reaches it: one that knows that the fault is one of
    // these, each as likely, and what each shows exactly, by Bayes' rule, has 82 % at test points with a meter that errs by 50 mV beside its
    // 2 %, 84 % with one that errs by 1 mV (81 and 85 % anywhere, 85 and 87 % at points concerned), where of causes that these readings do
    // not distinguish at all one is as good as the other: five readings at random leave a dozen plugs of one loop, or five wires of one feed.
    let share = |part: usize| part as f64 / tally.faults as f64;
    assert!(tally.faults > 100, "{tally:?}");
    assert!(
        share(tally.first_three) >= 0.77 && share(tally.anywhere) >= 0.73 && share(tally.at_test_points) >= 0.74,
        "{tally:?}"
    );
    assert!(share(tally.isolated) >= 0.95 && tally.readings as f64 / tally.faults as f64 <= 7.0, "{tally:?}");
}

/// A large design is cut down to what the readings hang on: what is left out decides nothing. The yardstick is the same design with everything
/// tried: each line of the one has the share that its causes have together in the other.
#[test]
fn what_is_left_out_of_a_large_design_decides_nothing() {
    let share = tier::share("what_is_left_out_of_a_large_design_decides_nothing");
    let mut all_left_out = 0;
    for name in ["boat-12v/boat.yaml", "truck-24v/truck.yaml", "terrace-tractor/tractor.yaml"] {
        let (folder, root) = place(&fixtures().join(name));
        let analysis = Analysis::of_all(&Design::load(&folder, &root));
        let rests = analysis.electrical().rests(&[]);
        // The mode in which most runs.
        let busy = |rest: &&Rest<'_>| analysis.network().edges().filter(|(id, _)| rest.state.conducts(*id)).count();
        let rest = rests.iter().max_by_key(busy).expect("a mode");
        let search = Search::new(&analysis, rest.state.id, None).expect("the mode");
        let part = Search::new(&analysis, rest.state.id, None).expect("the mode").trying(0);
        let all = search.weighed(&[]);
        let probes: Vec<Probe> = all.reached().collect();
        let mut numbers = Numbers::new(11);
        let (mut compared, mut left_out) = (0, 0);
        let step = (all.faults().len() * share / CASES).max(1);
        for (fault, named) in all.faults().into_iter().step_by(step) {
            let Some(faulty) = Faulty::new(&analysis, rest, &[fault], &[]) else { continue };
            let at = all.faults().iter().position(|(of, known)| *of == fault && *known == named).expect("it is tried");
            let is_shown = |probe: &&Probe| {
                let seen = all.shows(Some(at), **probe).zip(all.shows(None, **probe));
                seen.is_some_and(|(seen, sound)| seen.is_known() && probe.beside(seen.low, sound, NOISE) >= 6.0)
            };
            let shown: Vec<Probe> = probes.iter().filter(is_shown).copied().collect();
            let Some(complaint) = numbers.one(&shown).copied() else { continue };
            let mut taken = vec![complaint];
            taken.extend((0..2).filter_map(|_| numbers.one(&probes).copied()));
            taken.dedup();
            let readings: Vec<Reading> = taken.into_iter().filter_map(|probe| faulty.read(probe, &mut numbers)).collect();
            let (full, cut) = (all.diagnose(&readings), part.weighed(&readings).diagnose(&readings));
            if full.two || full.verdict == Verdict::Nothing {
                continue;
            }
            compared += 1;
            left_out += cut.left_out;
            for cause in cut.causes.iter().filter(|cause| cause.share > 0.02) {
                let has = |names: &Vec<NamedFault>| cause.alike.contains(names);
                let together: f64 = full
                    .causes
                    .iter()
                    .map(|line| {
                        line.share * line.alike.iter().filter(|names| has(names)).count() as f64 / line.alike.len() as f64
                    })
                    .sum();
                assert!(
                    (together - cause.share).abs() < 0.05,
                    "{name}, {named:?}: {cause:?} has {together} of all; {readings:?}"
                );
            }
        }
        println!("{name}: {compared} compared, {left_out} left out");
        assert!(compared > 0, "{name}: {compared}");
        all_left_out += left_out;
    }
    assert!(all_left_out > 100, "{all_left_out}");
}
