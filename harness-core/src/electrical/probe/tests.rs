//! A divider with changes made in it, at once and by turns, against values worked out by hand.

use crate::{Analysis, Design, MemoryFiles, electrical::what_if::Change, model::PointId, network::EdgeId, quantity::Ohm};

const DIVIDER: &str = "format: 1
design: Divider
devices:
  box:
    ports: { P: { stud: M5 }, M: { stud: M5 }, N: { stud: M5 } }
    inside:
      cells: { source: 12 V, resistance: 1 mohm, positive: P, negative: N }
      upper: { resistor: 100 ohm, from: P, to: M }
      lower: { resistor: 200 ohm, from: M, to: N }
      beside: { resistor: 200 ohm, from: M, to: N }
";

/// 100 ohm from outside beside the two of 200 ohm make 50 ohm: 4 V of 12 V are left below 100 ohm. Without one of them it is 66.67 ohm and 4.8 V,
/// without the upper one nothing.
#[test]
fn changes_by_turns_are_those_at_once() {
    let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("divider.yaml", DIVIDER), "divider.yaml"));
    let (model, network, electrical) = (analysis.model(), analysis.network(), analysis.electrical());
    let point = |name: &str| -> PointId {
        let found = model.points().map(|(id, _)| id).find(|id| model.point_name(*id) == name);
        found.expect("a point of the box")
    };
    let edge = |name: &str| -> EdgeId {
        let is_named = |edge: &crate::network::Edge| edge.element().is_some_and(|element| model.element_name(element) == name);
        network.edges().find(|(_, edge)| is_named(edge)).expect("an element of the box").0
    };
    let mode = electrical.modes().next().expect("a mode").id;
    let (middle, minus) = (point("box.M"), point("box.N"));
    let joined = Change::Joined(middle, minus, Ohm::new(100.0));
    let from = electrical.probing(mode, vec![joined]).expect("a mode that was computed");
    let cases = [(None, 4.0), (Some("box.beside"), 4.8), (Some("box.lower"), 4.8), (Some("box.upper"), 0.0)];
    for (open, by_hand) in cases {
        let more: Vec<Change> = open.map(|name| Change::Open(edge(name))).into_iter().collect();
        let by_turns = from.with(&more).expect("a state");
        let at_once = electrical.probe(mode, &[vec![joined], more].concat()).expect("a state");
        for state in [by_turns, at_once] {
            let volts = state.between(middle, minus).expect("a voltage").get();
            assert!(state.is_settled() && (volts - by_hand).abs() < 1e-3, "{open:?}: {volts} V, not {by_hand} V");
        }
    }
}
