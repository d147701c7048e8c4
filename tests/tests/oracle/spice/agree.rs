//! Whether two answers are the same, and whether a state is the one that its figures call for.

use super::{
    deck::{Deck, Figures},
    wiring::{self, Part, held_off},
};
use harness_core::internals::circuit::{BranchKind, Circuit, Operating};

/// Largest difference, relative to the largest voltage or current of the island.
const SAME: f64 = 1e-6;

/// Every voltage and every current is the same, measured against the largest of its island.
///
/// Where an island is at rest the other answer must be at rest too, but for `least` ampere: a reference that takes currents from
/// the voltages of two nodes gives the rounding of these, divided by the resistance of a link, for a current. Gives the largest
/// difference.
pub fn agree(deck: &Deck, ours: &Figures, found: &Figures, least: f64) -> f64 {
    let mut worst = 0.0_f64;
    let zeros = deck.zeros();
    let (mut most_volts, mut most_amps) = (vec![0.0_f64; zeros.len()], vec![0.0_f64; zeros.len()]);
    let raise = |slot: &mut f64, value: f64| *slot = slot.max(value.abs());
    for (volts, zero) in ours.volts.iter().zip(zeros) {
        raise(&mut most_volts[*zero as usize], *volts);
    }
    let ends = &deck.wiring().ends;
    for (amps, (from, _)) in ours.amps.iter().zip(ends) {
        raise(&mut most_amps[zeros[*from as usize] as usize], *amps);
    }
    let name = &deck.name;
    for (node, ((ours, found), zero)) in ours.volts.iter().zip(&found.volts).zip(zeros).enumerate() {
        let most = most_volts[*zero as usize];
        assert!((ours - found).abs() <= SAME * most, "{name}: node {node} at {ours} V, {found} V there, {most} V at most");
        worst = worst.max((ours - found).abs() / most.max(f64::MIN_POSITIVE));
    }
    for (branch, ((ours, found), (from, to))) in ours.amps.iter().zip(&found.amps).zip(ends).enumerate() {
        let most = most_amps[zeros[*from as usize] as usize];
        assert!(
            (ours - found).abs() <= SAME * most + least,
            "{name}: branch {branch} from {from} to {to}, {:?}, carries {ours} A, {found} A there, {most} A at most",
            deck.wiring().parts[branch]
        );
        worst = worst.max(((ours - found).abs() - least).max(0.0) / most.max(f64::MIN_POSITIVE));
    }
    worst
}

/// Each branch is in the state that the simulator's voltages and currents call for.
pub fn called_for(name: &str, circuit: &Circuit, state: &Operating, deck: &Deck, found: &Figures) {
    let zeros = deck.zeros();
    for (number, (branch, part)) in circuit.branches.iter().zip(&deck.wiring().parts).enumerate() {
        let (from, to) = (branch.from as usize, branch.to as usize);
        let (v, i) = (found.volts[from] - found.volts[to], found.amps[number]);
        let together = zeros[from] == zeros[to];
        let size = if together { v.abs() } else { 0.0 };
        let slack = SAME * (1.0 + v.abs());
        let holds = match (branch.kind, part) {
            (BranchKind::Diode { drop, .. }, Part::Absent) => !together || v <= drop.get() + slack,
            (BranchKind::Diode { .. }, _) => i >= -SAME,
            (BranchKind::Source { emf, limit: Some(_), .. }, Part::Absent) => {
                held_off(circuit, state, number) || (together && -v >= emf.get() - slack)
            }
            (BranchKind::Source { emf, resistance, limit: Some(limit) }, Part::Draws(_)) => {
                -v <= emf.get() - resistance.get() * limit.get() + slack
            }
            (BranchKind::Source { limit: Some(limit), .. }, Part::Conducts { .. }) => i >= -SAME && i <= limit.get() + SAME,
            (BranchKind::Coil { hold, .. }, _) if state.energised[number] => size >= hold.get() - slack,
            (BranchKind::Coil { pull_in, .. }, _) => size <= pull_in.get() + slack,
            (BranchKind::ConverterInput { nominal, .. }, Part::Absent) => size <= 0.5 * nominal.get() + slack,
            (BranchKind::ConverterInput { nominal, .. }, _) => size >= 0.5 * nominal.get() - slack,
            (BranchKind::CurrentLoad { nominal, .. } | BranchKind::PowerLoad { nominal, .. }, part) => {
                let alone = state.no_return.contains(&(number as u32));
                match part {
                    Part::Absent if alone => size <= 0.01 * nominal.get() + slack,
                    Part::Absent => !state.live[from] || size <= slack,
                    Part::Conducts { .. } => alone || size <= 0.5 * nominal.get() + slack,
                    _ => size >= 0.5 * nominal.get() - slack,
                }
            }
            _ => true,
        };
        assert!(holds, "{name}: branch {number}, {:?}, is {part:?} at {v} V and {i} A", branch.kind);
    }
}

/// The random circuits hold each kind of branch in each of its states, so that none goes uncompared.
pub fn has_everything(solved: &[(&Circuit, &Operating)]) {
    let mut seen = std::collections::BTreeMap::<&str, u32>::new();
    for (circuit, state) in solved {
        let wiring = wiring::of_state(circuit, state);
        for (branch, part) in circuit.branches.iter().zip(&wiring.parts) {
            let what = match (branch.kind, part) {
                (BranchKind::Diode { .. }, Part::Absent) => "diode that blocks",
                (BranchKind::Diode { .. }, _) => "diode that conducts",
                (BranchKind::RelayContact { .. }, Part::Absent) => "relay contact, open",
                (BranchKind::RelayContact { .. }, _) => "relay contact, closed",
                (BranchKind::ConverterInput { .. }, Part::Absent) => "converter that is off",
                (BranchKind::ConverterInput { .. }, _) => "converter that runs",
                (BranchKind::Source { limit: Some(_), .. }, Part::Absent) => "source with a limit, off",
                (BranchKind::Source { limit: Some(_), .. }, Part::Draws(_)) => "source at its limit",
                (BranchKind::Source { limit: Some(_), .. }, _) => "source below its limit",
                (BranchKind::Source { .. }, _) => "source",
                (BranchKind::CurrentLoad { .. }, Part::Draws(_)) => "load of constant current, fed",
                (BranchKind::PowerLoad { .. }, Part::Power { .. }) => "load of constant power, fed",
                (BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. }, Part::Conducts { .. }) => "load that starves",
                _ => continue,
            };
            *seen.entry(what).or_default() += 1;
        }
    }
    println!("{seen:#?}");
    assert!(seen.len() == 13 && seen.values().all(|count| *count >= 5), "{seen:#?}");
}
