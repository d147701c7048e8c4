//! A wiring as a deck of the circuit simulator, and where to find each figure in its answer.
//!
//! What conducts is given by its law, `v = emf - r i` with the current as an unknown: a source that is also the ammeter, and a
//! voltage controlled by its current. Given as plain resistors, ten thousand siemens of a wire and a microsiemens of a leak
//! would meet in one sum of the simulator's matrix, which then keeps ten digits of the leak.

use super::wiring::{Part, Wiring};
use std::fmt::Write;

/// Convergence: the simulator repeats until nothing changes by more than this; loads of constant power are all that it repeats
/// for. The conductance that it adds across junctions is made next to nothing, though no part here has a junction.
const OPTIONS: &str = ".options reltol=1e-9 vntol=1e-9 abstol=1e-9 gmin=1e-20 itl1=500 noacct\n";

/// A deck of its own.
#[derive(Debug)]
pub struct Deck {
    /// What it is called in a failure.
    pub name: String,
    /// The deck; empty where nothing conducts.
    pub text: String,
    wiring: Wiring,
    zeros: Vec<u32>,
}

/// The figures of one deck.
#[derive(Debug)]
pub struct Figures {
    /// Per node, against the zero of its island.
    pub volts: Vec<f64>,
    /// Per branch, positive from `from` to `to`.
    pub amps: Vec<f64>,
}

impl Deck {
    /// The deck of a wiring, with voltages to begin from.
    ///
    /// Loads of constant power have a second state, near a short, and a simulator that begins at zero volt can end there or
    /// nowhere. It is given a beginning in whole tenths of a volt, which shows it the state and leaves the figures to it.
    pub fn new(name: String, wiring: Wiring, begin: &[f64]) -> Self {
        let zeros = wiring.zeros();
        let mut deck = Self { name, text: String::new(), wiring, zeros };
        let mut text = String::new();
        for number in 0..deck.wiring.parts.len() {
            deck.part(&mut text, number);
        }
        let repeats = |part: &Part| matches!(part, Part::Power { .. } | Part::Converts { .. });
        if deck.wiring.parts.iter().any(repeats) {
            for (node, volts) in (0..).zip(begin).filter(|(node, _)| deck.zeros[*node as usize] != *node) {
                let _ = writeln!(text, ".nodeset v(n{node})={:.1}", volts);
            }
        }
        if !text.is_empty() {
            deck.text = format!("* {}\n{text}{OPTIONS}.end\n", deck.name);
        }
        deck
    }

    /// A node as the simulator names it.
    fn node(&self, node: u32) -> String {
        if self.zeros[node as usize] == node { "0".to_owned() } else { format!("n{node}") }
    }

    /// The voltage from one node to another.
    fn across(&self, from: u32, to: u32) -> String {
        format!("v({},{})", self.node(from), self.node(to))
    }

    // Writing to a String never fails, so the results of `write!` say nothing here.
    fn part(&self, text: &mut String, k: usize) {
        let (from, to) = self.wiring.ends[k];
        let (a, b) = (self.node(from), self.node(to));
        let facing = |forward: bool| if forward { self.across(from, to) } else { self.across(to, from) };
        let sign = |forward: bool| if forward { "" } else { "-" };
        match self.wiring.parts[k] {
            Part::Absent => {}
            // The current of the ammeter counts from its first node through it to the second, against ours.
            Part::Conducts { emf, ohms } => {
                let _ = writeln!(text, "v{k} m{k} {a} {emf:e}\nh{k} m{k} {b} v{k} {:e}", -ohms);
            }
            Part::Short => {
                let _ = writeln!(text, "v{k} {b} {a} 0");
            }
            Part::Draws(amps) => {
                let _ = writeln!(text, "i{k} {a} {b} {amps:e}");
            }
            Part::Power { watts, least, forward } => {
                let (volts, sign) = (facing(forward), sign(forward));
                let _ = writeln!(text, "v{k} m{k} {a} 0\nb{k} m{k} {b} i={sign}{watts:e}/max({volts},{least:e})");
            }
            Part::Converts { output, efficiency, least, forward } => {
                let (volts, sign) = (facing(forward), sign(forward));
                let (out_from, out_to) = self.wiring.ends[output];
                let amps = match self.wiring.parts[output] {
                    Part::Draws(amps) => format!("{amps:e}"),
                    _ => format!("(-i(v{output}))"),
                };
                let given = format!("max({}*{amps},0)", self.across(out_to, out_from));
                let _ = writeln!(text, "v{k} m{k} {a} 0\nb{k} m{k} {b} i={sign}{given}/{efficiency:e}/max({volts},{least:e})");
            }
        }
    }

    /// What the simulator found, by the names of its answer.
    pub fn figures(&self, found: impl Fn(&str) -> f64) -> Figures {
        let volts = (0..self.wiring.nodes).map(|node| {
            let stands_alone = self.zeros[node as usize] == node;
            if stands_alone { 0.0 } else { found(&format!("v(n{node})")) }
        });
        let amps = self.wiring.parts.iter().enumerate().map(|(k, part)| match part {
            Part::Absent => 0.0,
            Part::Draws(amps) => *amps,
            _ => -found(&format!("i(v{k})")),
        });
        Figures { volts: volts.collect(), amps: amps.collect() }
    }

    /// Voltages against the zeros of the islands, from voltages against any node of each.
    pub fn against_zeros(&self, volts: &[f64]) -> Vec<f64> {
        volts.iter().zip(&self.zeros).map(|(own, zero)| own - volts[*zero as usize]).collect()
    }

    /// For each node the zero of its island.
    pub fn zeros(&self) -> &[u32] {
        &self.zeros
    }

    /// The wiring that the deck was made of.
    pub fn wiring(&self) -> &Wiring {
        &self.wiring
    }
}
