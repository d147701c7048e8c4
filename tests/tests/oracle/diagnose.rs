//! Faults that are known, found by what is measured: every single fault of the demo, by readings with an error.

use harness_core::{
    Analysis, Design,
    bench::diagnose::{Probe, Reading, Search, Verdict, Weighed},
};
use harness_tests::{Numbers, corpus::place, fixtures, tier};

/// Standard deviation of a reading, as a share of it.
const NOISE: f64 = 0.02;

/// A number with mean 0 and standard deviation 1: the sum of twelve even ones less six.
fn normal(numbers: &mut Numbers) -> f64 {
    (0..12).map(|_| numbers.below(1_000_000) as f64 / 1e6).sum::<f64>() - 6.0
}

fn take(weighed: &Weighed<'_>, fault: usize, probe: Probe, numbers: &mut Numbers) -> Reading {
    let seen = weighed.shows(Some(fault), probe).expect("a figure");
    let error = match probe {
        Probe::Works(_) => 1.0,
        _ => 1.0 + NOISE * normal(numbers),
    };
    Reading { probe, value: seen.low * error, written: String::new() }
}

#[derive(Debug, Default)]
struct Tally {
    faults: usize,
    silent: usize,
    first: usize,
    first_three: usize,
    isolated: usize,
    wrong: usize,
    readings: usize,
    most: usize,
}

#[test]
fn single_faults_of_the_demo_are_found_by_their_readings() {
    let (folder, root) = place(&fixtures().join("terrace-tractor/tractor.yaml"));
    let analysis = Analysis::of_all(&Design::load(&folder, &root));
    let mut tally = Tally::default();
    for state in analysis.electrical().modes() {
        let search = Search::new(&analysis, state.id, None).expect("the mode");
        let begin = std::time::Instant::now();
        let weighed = search.weighed(&[]);
        let suspects: Vec<_> = weighed.suspects().collect();
        let probes: Vec<Probe> = weighed.reached().collect();
        println!(
            "{}: {} suspects, {} probes in {:?}",
            analysis.model().mode_name(state.id),
            suspects.len(),
            probes.len(),
            begin.elapsed()
        );
        let mut numbers = Numbers::new(7);
        let all: Vec<usize> = (0..suspects.len()).collect();
        for fault in tier::sample("single_faults_of_the_demo_are_found_by_their_readings", all) {
            let differs: Vec<Probe> = probes
                .iter()
                .copied()
                .filter(|probe| {
                    let (Some(sound), Some(shows)) = (weighed.shows(None, *probe), weighed.shows(Some(fault), *probe)) else {
                        return false;
                    };
                    (sound.low - shows.low).abs() > 4.0 * probe.deviation(sound, NOISE).max(probe.deviation(shows, NOISE))
                })
                .collect();
            if differs.is_empty() {
                tally.silent += 1;
                continue;
            }
            tally.faults += 1;
            let mut readings: Vec<Reading> = Vec::new();
            // The complaint, then five at random.
            let seen: Vec<Probe> = differs.iter().copied().filter(|probe| matches!(probe, Probe::Works(_))).collect();
            let complaint = if seen.is_empty() { numbers.pick(&differs) } else { numbers.pick(&seen) };
            readings.push(take(&weighed, fault, complaint, &mut numbers));
            let begun = readings.clone();
            for _ in 0..5 {
                let probe = numbers.pick(&probes);
                readings.push(take(&weighed, fault, probe, &mut numbers));
            }
            let found = weighed.diagnose(&readings);
            let rank = found.causes.iter().position(|cause| cause.alike.iter().any(|alike| alike[0] == suspects[fault]));
            tally.first += usize::from(rank == Some(0));
            tally.first_three += usize::from(rank.is_some_and(|rank| rank < 3));
            // From the complaint on by what is proposed.
            let mut readings = begun;
            let found = loop {
                let found = weighed.diagnose(&readings);
                if found.verdict != Verdict::Several || found.proposals.is_empty() || readings.len() > 30 {
                    break found;
                }
                readings.push(take(&weighed, fault, found.proposals[0].probe, &mut numbers));
            };
            let is_found = found.causes[0].alike.iter().any(|alike| alike[0] == suspects[fault]);
            tally.isolated += usize::from(is_found);
            tally.wrong += usize::from(!is_found);
            tally.readings += readings.len() - 1;
            tally.most = tally.most.max(readings.len() - 1);
        }
        println!("{tally:?} {:?}", begin.elapsed());
    }
}
