use harness_core::electrical::{circuit::*, solve::solve};
use harness_core::quantity::*;
fn main() {
    let nodes = 300_000u32;
    let mut seed = 1u64;
    let mut rnd = move || { seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407); (seed >> 33) as u32 };
    for (loads, loops, off, style) in [(20_000u32, 1000u32, 0u32, 0), (20_000, 1000, 10, 0), (20_000, 1000, 3, 1), (20_000,20_000,3,1)] {
        // Two trees (feed and return) of 150 k nodes joined by a battery and loads.
        let half = nodes / 2;
        let mut b = vec![Branch { from: half, to: 0, kind: BranchKind::Source { emf: Volt::new(13.0), resistance: Ohm::new(1e-6), limit: None } }];
        for base in [0, half] {
            for n in 1..half {
                let parent = if style == 0 { rnd() % n } else { n - 1 - rnd() % n.min(40) };
                // Long trees would drop everything: keep the resistance small with the count.
                let parent = if n % 50 == 0 { rnd() % (1 + n / 50) } else { parent };
                let open = off > 0 && base == 0 && n % 97 < off && n > 1000;
                b.push(Branch { from: base + parent, to: base + n, kind: if open { BranchKind::Open } else { BranchKind::Resistance(Ohm::new(1e-9 * (1.0 + (rnd() % 1000) as f64))) } });
            }
        }
        for _ in 0..loops { let base = if rnd() % 2 == 0 { 0 } else { half }; let (x, y) = (rnd() % half, rnd() % half); if x != y { b.push(Branch { from: base + x, to: base + y, kind: BranchKind::Resistance(Ohm::new(1e-7)) }); } }
        for k in 0..loads { let kind = if k % 5 == 0 { BranchKind::PowerLoad { watts: Watt::new(10.0), nominal: Volt::new(12.0) } } else { BranchKind::CurrentLoad { amps: Ampere::new(1.0), nominal: Volt::new(12.0) } };
            b.push(Branch { from: rnd() % half, to: half + rnd() % half, kind }); }
        for _ in 0..500 { let c = b.len() as u32; b.push(Branch { from: rnd() % half, to: half + rnd() % half, kind: BranchKind::Coil { resistance: Ohm::new(90.0), pull_in: Volt::new(8.0) } });
            b.push(Branch { from: half + rnd() % half, to: rnd() % half, kind: BranchKind::Diode { drop: Volt::new(0.7), resistance: Ohm::new(0.01) } });
            b.push(Branch { from: rnd() % half, to: rnd() % half, kind: BranchKind::RelayContact { coil: c, closed_when_energised: true, resistance: Ohm::new(0.001) } }); }
        let circuit = Circuit { nodes, branches: b, references: vec![half] };
        let t = std::time::Instant::now();
        let s = solve(&circuit);
        println!("loads {loads} loops {loops} off {off}: {:?} rounds {} branches {} residual {:e} unsettled {} no_return {} refused {} min V {:?}", t.elapsed(), s.rounds, circuit.branches.len(), s.residual, s.unsettled.len(), s.no_return.len(), s.refused.len(), s.volts[..half as usize].iter().map(|v| v.get()).fold(99.0f64, f64::min));
    }
}
