//! A lamp behind a fuse, one thing changed at a time.

use super::{exchanged, of_texts, renames};
use harness_core::{
    diff::{
        effect::{Crossing, NetTurn, Supply, Turn},
        renames::Renames,
    },
    finding::Level,
    inspect::Against,
    quantity::{Ampere, SquareMillimetre},
};

/// Each wire is in a loom or a segment of its own, so that none has loaded neighbours.
const LAMP: &str = "format: 1
design: Orchard lift
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
zones: { deck: { ambient: 40 degC } }
modes: { parked: {}, work: {} }
policy: { contact-resistance: 0.01 uohm, joint-resistance: 0.01 uohm }
parts:
  conductors: { thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin } }
  fuses:
    blade-15: { standard: ISO 8820-3, rating: 15 A, type: C }
    blade-30: { standard: ISO 8820-3, rating: 30 A, type: C }
devices:
  battery:
    ports: { POS: { stud: M8, role: supply, domain: aux }, NEG: { stud: M8, role: return, domain: aux } }
    inside: { cells: { source: 12.6 V, resistance: 8 mohm, positive: POS, negative: NEG } }
  fuse-box:
    zone: deck
    ports: { IN: { stud: M6 }, OUT: { stud: M6 } }
    inside: { F1: { fuse: blade-15, from: IN, to: OUT } }
  lamp:
    ports: { A: { stud: M5, signal: lamp feed }, B: { stud: M5 } }
    inside: { bulb: { load: 10 A, from: A, to: B, in: [work], kind: lamp } }
looms:
  lead:
    wire: thin
    zone: deck
    ends: { R1: { ring: M8, bolts-to: battery.POS }, R2: { ring: M6, bolts-to: fuse-box.IN } }
    wires: { 1: { from: R1, to: R2, size: 6 mm2, colour: RD, length: 150 mm } }
  feed:
    wire: thin
    zone: deck
    ends: { R3: { ring: M6, bolts-to: fuse-box.OUT }, R4: { ring: M5, bolts-to: lamp.A } }
    splices: { S1: {} }
    wires:
      2: { from: R3, to: S1, size: 1.5 mm2, colour: RD/WH, length: 2 m, via: [FRONT] }
      3: { from: S1, to: R4, size: 1.5 mm2, colour: RD/WH, length: 4 m, via: [REAR] }
    route: { FRONT: { length: 1 m, covering: open }, REAR: { length: 3 m, covering: open } }
  back:
    wire: thin
    zone: deck
    ends: { R5: { ring: M5, bolts-to: lamp.B }, R6: { ring: M8, bolts-to: battery.NEG } }
    wires: { 4: { from: R5, to: R6, size: 2.5 mm2, colour: BK, length: 6 m } }
";

/// Copper's resistance at `t` degC over that at 20 degC: 0.00393 per kelvin, the IEC coefficient at 20 degC (definition).
fn copper(t: f64) -> f64 {
    1.0 + 0.00393 * (t - 20.0)
}

/// A size of the published tables: ohm per metre at 20 degC (ISO 6722-1, printed greatest value), and the ampere that hold
/// 70 degC in air of 30 degC (DIN VDE 0298-4).
struct Size {
    ohm: f64,
    amps: f64,
}

const SIZE_1_5: Size = Size { ohm: 12.7e-3, amps: 24.0 };
const SIZE_2_5: Size = Size { ohm: 7.6e-3, amps: 32.0 };
const SIZE_4: Size = Size { ohm: 4.71e-3, amps: 42.0 };

impl Size {
    /// Watt that a metre gives off for each kelvin, by the table's own point.
    fn cooling(&self) -> f64 {
        self.amps * self.amps * self.ohm * copper(70.0) / 40.0
    }

    /// The steady temperature with `amps` in air of 40 degC: heat made is heat given off, both straight lines.
    fn steady(&self, amps: f64) -> f64 {
        let heat = amps * amps * self.ohm;
        (self.cooling() * 40.0 + heat * (1.0 - 0.00393 * 20.0)) / (self.cooling() - heat * 0.00393)
    }

    /// The current that holds 105 degC in air of 40 degC.
    fn capacity(&self) -> f64 {
        (self.cooling() * 65.0 / (self.ohm * copper(105.0))).sqrt()
    }

    fn drop(&self, amps: f64, metres: f64) -> f64 {
        amps * self.ohm * copper(self.steady(amps)) * metres
    }
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found}, {expected} by hand");
}

#[test]
fn a_thinner_return_is_warmer_and_loses_more() {
    let new = exchanged(LAMP, "size: 2.5 mm2", "size: 1.5 mm2");
    let found = of_texts(LAMP, &new, &Renames::default());
    let names: Vec<&str> = found.conductors.iter().map(|change| change.name.as_str()).collect();
    assert_eq!(names, ["back.4"], "the current is the lamp's, so no other conductor changes");
    let change = &found.conductors[0];
    assert_eq!((change.was.as_deref(), &change.amps), (None, &None));
    assert_eq!(change.size.old, Some(SquareMillimetre::new(2.5)));
    let temperature = change.temperature.unwrap();
    // A round of the heat ends at 0.1 K, and the straight line of copper through 234.5 differs by 0.01 %.
    near(temperature.old.unwrap().get(), SIZE_2_5.steady(10.0), 0.15);
    near(temperature.new.unwrap().get(), SIZE_1_5.steady(10.0), 0.15);
    let drop = change.drop.unwrap();
    near(drop.old.get(), SIZE_2_5.drop(10.0, 6.0), 1e-3);
    near(drop.new.get(), SIZE_1_5.drop(10.0, 6.0), 1e-3);
    let capacity = change.capacity.unwrap();
    near(capacity.old.unwrap().get(), SIZE_2_5.capacity(), 0.01 * SIZE_2_5.capacity());
    near(capacity.new.unwrap().get(), SIZE_1_5.capacity(), 0.01 * SIZE_1_5.capacity());
    let load = change.margins.iter().find(|margin| margin.against == Against::Load).unwrap();
    near(load.margin.old.as_ref().unwrap().ratio, SIZE_2_5.capacity() / 10.0, 0.03);
    near(load.margin.new.as_ref().unwrap().ratio, SIZE_1_5.capacity() / 10.0, 0.03);
    assert_eq!(load.crossing, Crossing::Within);
    let modes: Vec<&str> = change.modes.iter().map(|mode| mode.mode.as_str()).collect();
    assert_eq!(modes, ["work"]);

    // The lamp loses what both wires lose, and the fuse's 15 A drop is part of it in both.
    let [lamp] = found.loads.as_slice() else { panic!("{:?}", found.loads) };
    assert_eq!((lamp.name.as_str(), lamp.what), ("lamp.bulb", "lamp"));
    let lost = lamp.drop.as_ref().unwrap();
    let change = lost.new.as_ref().unwrap().volts.get() - lost.old.as_ref().unwrap().volts.get();
    near(change, SIZE_1_5.drop(10.0, 6.0) - SIZE_2_5.drop(10.0, 6.0), 2e-3);
    assert!(lamp.supply.is_empty() && lamp.fuses.is_none() && found.nets.is_empty() && found.fuses.is_empty());
    // More of the drop is reported by the finding that was there before.
    let [stayed] = found.findings.changed.as_slice() else { panic!("{:?}", found.findings) };
    assert_eq!(stayed.new.rule, "conductor/voltage-drop");
    let figure = stayed.figures.iter().find(|(name, _)| *name == "lost").unwrap();
    assert_ne!(figure.1.old, figure.1.new);
    assert!(found.findings.came.is_empty() && found.findings.went.is_empty());
}

#[test]
fn a_thicker_feed_takes_a_finding_away() {
    let new = exchanged(&exchanged(LAMP, "size: 1.5 mm2", "size: 4 mm2"), "size: 2.5 mm2", "size: 4 mm2");
    let new = exchanged(&new, "length: 6 m", "length: 3 m");
    let new = exchanged(&new, "length: 4 m,", "length: 1 m,");
    let new = exchanged(&new, "REAR: { length: 3 m", "REAR: { length: 900 mm");
    let found = of_texts(LAMP, &new, &Renames::default());
    let went: Vec<&str> = found.findings.went.iter().map(|told| told.rule).collect();
    // 10 A over 1.5 mm2 and 2.5 mm2 of 6 m lose 1.3 V; over 4 mm2 of 3 m each 0.3 V: 3 % of 12 V are 0.36 V.
    near(2.0 * SIZE_4.drop(10.0, 3.0), 0.3, 0.02);
    assert_eq!(went, ["conductor/voltage-drop"]);
    assert!(found.findings.came.is_empty() && found.findings.changed.is_empty(), "{:?}", found.findings);
    assert_eq!(found.loads[0].drop_crossing(), Crossing::Back);
}

#[test]
fn a_larger_fuse_is_told_at_the_fuse_the_load_and_every_conductor_behind_it() {
    let new = exchanged(LAMP, "fuse: blade-15", "fuse: blade-30");
    let found = of_texts(LAMP, &new, &Renames::default());
    let [fuse] = found.fuses.as_slice() else { panic!("{:?}", found.fuses) };
    assert_eq!(fuse.name, "fuse-box.F1");
    let rating = fuse.rating.unwrap();
    assert_eq!((rating.old, rating.new), (Some(Ampere::new(15.0)), Some(Ampere::new(30.0))));
    assert_eq!(fuse.amps, None, "the lamp takes what it took");
    assert_eq!(fuse.crossing, Crossing::Out);
    let margin = fuse.margins.iter().find(|margin| margin.against == Against::Rating).unwrap();
    // The thinnest conductor is of 1.5 mm2 and carries less than 30 A.
    near(margin.margin.old.as_ref().unwrap().ratio, SIZE_1_5.capacity() / 15.0, 0.02);
    near(margin.margin.new.as_ref().unwrap().ratio, SIZE_1_5.capacity() / 30.0, 0.01);
    for name in ["feed.2", "feed.3"] {
        let change = found.conductors.iter().find(|change| change.name == name).unwrap();
        assert_eq!(change.crossing, Crossing::Out);
        assert!(change.amps.is_none() && change.temperature.is_none() && change.drop.is_none() && change.modes.is_empty());
        let short = change.short.as_ref().unwrap();
        let (before, after) = (short.old.as_ref().unwrap(), short.new.as_ref().unwrap());
        assert!(after.ends.unwrap() > before.ends.unwrap(), "the larger fuse opens later");
        // Ohm's law: 12.6 V over the source, at the doubled resistance of an aged one as only the new one is given, and all conductors at the 105 degC that they are rated for. The fuse itself has a
        // few milliohms, the larger one fewer. 3.14 mohm/m are those of 6 mm2 (ISO 6722-1, printed greatest value). The smaller fuse
        // opens last at the lamp; the larger one leaves the least time where the short is at the end of the feed, past no return.
        let feed = 2.0 * 8e-3 + copper(105.0) * (3.14e-3 * 0.15 + SIZE_1_5.ohm * 6.0);
        let whole = feed + copper(105.0) * SIZE_2_5.ohm * 6.0;
        for (amps, ohms) in [(before.amps, whole), (after.amps, feed)] {
            assert!(amps.get() < 12.6 / ohms && amps.get() > 0.97 * 12.6 / ohms, "{amps:?}, {} by hand", 12.6 / ohms);
        }
    }
    let [lamp] = found.loads.as_slice() else { panic!("{:?}", found.loads) };
    let fuses = lamp.fuses.as_ref().unwrap();
    let rating = |fuses: &[harness_core::diff::effect::FuseName]| fuses[0].rating.unwrap().get();
    assert_eq!((rating(&fuses.old.fuses), rating(&fuses.new.fuses)), (15.0, 30.0));
    assert_eq!((fuses.old.fuses[0].name.as_str(), fuses.new.fuses.len()), ("fuse-box.F1", 1));
    let came: Vec<&str> = found.findings.came.iter().map(|told| told.rule).collect();
    assert!(came.contains(&"protection/fuse-over-conductor"), "{came:?}");
    assert!(found.nets.is_empty());
}

#[test]
fn a_splice_that_is_cut_splits_its_net_and_starves_the_load() {
    let new = exchanged(&exchanged(LAMP, "from: S1, to: R4", "from: S2, to: R4"), "S1: {} }", "S1: {}, S2: {} }");
    let found = of_texts(LAMP, &new, &Renames::default());
    let [net] = found.nets.as_slice() else { panic!("{:?}", found.nets) };
    assert_eq!(net.turn, NetTurn::Split);
    // Before: the stud of the fuse, R3, S1, R4, the stud of the lamp. After: three of them, and R4 with the lamp.
    assert_eq!(net.whole.to_string(), "fuse-box.OUT with 4 more points (signal `lamp feed`)");
    let parts: Vec<String> = net.parts.iter().map(ToString::to_string).collect();
    assert_eq!(parts, ["fuse-box.OUT with 2 more points", "lamp.A with 1 more point (signal `lamp feed`)"]);
    assert_cut(&found, Supply::Source);
    let lamp = &found.loads[0];
    let fuses = lamp.fuses.as_ref().unwrap();
    assert_eq!((fuses.old.fuses.len(), fuses.new.fuses.len()), (1, 0));
}

#[test]
fn a_return_that_is_cut_is_lost() {
    let new = exchanged(LAMP, "R6: { ring: M8, bolts-to: battery.NEG }", "R6: { ring: M8 }");
    let found = of_texts(LAMP, &new, &Renames::default());
    assert_eq!(found.nets[0].turn, NetTurn::Split);
    assert_cut(&found, Supply::Return);
}

/// The lamp lacks what it had in the one mode in which it runs, the conductors lack its 10 A.
fn assert_cut(found: &harness_core::diff::effect::Effect, supply: Supply) {
    let [lamp] = found.loads.as_slice() else { panic!("{:?}", found.loads) };
    let [lost] = lamp.supply.as_slice() else { panic!("{:?}", lamp.supply) };
    assert_eq!((lost.supply, lost.turn, lost.modes.as_slice()), (supply, Turn::Lost, ["work".to_owned()].as_slice()));
    assert_eq!(lamp.drop, None, "a load that is not fed loses nothing on the way");
    assert_eq!(found.conductors.len(), 4);
    for change in &found.conductors {
        let amps = change.amps.as_ref().unwrap();
        near(amps.old.figure.get(), 10.0, 1e-6);
        assert_eq!((amps.new.figure, amps.new.mode.as_deref()), (Ampere::default(), None));
        assert_eq!(amps.old.mode.as_deref(), Some("work"));
    }
    assert!(found.findings.came.iter().any(|told| told.level >= Level::Error), "{:?}", found.findings.came);
}

#[test]
fn a_wire_across_two_nets_joins_them() {
    let new = exchanged(
        LAMP,
        "covering: open } }\n",
        "covering: open } }\n  strap:\n    wire: thin\n    zone: deck\n    ends: { R7: { ring: M6, bolts-to: fuse-box.IN }, R8: { ring: M6, bolts-to: fuse-box.OUT } }\n    wires: { 9: { from: R7, to: R8, size: 6 mm2, colour: RD, length: 100 mm } }\n",
    );
    let found = of_texts(LAMP, &new, &Renames::default());
    let [net] = found.nets.as_slice() else { panic!("{:?}", found.nets) };
    assert_eq!((net.turn, net.parts.len()), (NetTurn::Joined, 2));
    assert_eq!(net.whole.points, net.parts.iter().map(|part| part.points).sum::<usize>());
    // What bridges a fuse takes it away from what is behind it.
    let fuses = found.loads[0].fuses.as_ref().unwrap();
    assert_eq!((fuses.old.fuses.len(), fuses.new.fuses.len()), (1, 0), "{fuses:?}");
}

#[test]
fn modes_that_one_design_has_are_said_and_the_others_compared() {
    let new = exchanged(LAMP, "modes: { parked: {}, work: {} }", "modes: { parked: {}, work: {}, tow: {} }");
    let found = of_texts(LAMP, &new, &Renames::default());
    assert_eq!((found.modes.both.join(" "), found.modes.only_new.join(" ")), ("parked work".to_owned(), "tow".to_owned()));
    assert!(found.modes.only_old.is_empty() && found.conductors.is_empty() && !found.is_empty());
}

#[test]
fn what_was_only_renamed_has_no_effect() {
    let swaps = [
        ("feed.R4", "feed.X9", "R4", "X9"),
        ("fuse-box", "carrier", "fuse-box", "carrier"),
        ("feed.3", "feed.203", "      3: {", "      203: {"),
        ("feed.S1", "feed.S9", "S1", "S9"),
        ("back", "returns", "  back:", "  returns:"),
    ];
    let new = swaps.iter().fold(LAMP.to_owned(), |text, (_, _, from, to)| exchanged(&text, from, to));
    let pairs: Vec<(&str, &str)> = swaps.iter().map(|(old, new, _, _)| (*old, *new)).collect();
    let found = of_texts(LAMP, &new, &renames(&pairs));
    assert!(found.is_empty(), "{found:#?}");
    assert!(found.findings.unchanged > 0, "the lamp's drop is reported in both");
    let found = of_texts(&new, LAMP, &renames(&pairs).inverse());
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_changed_thing_is_told_by_both_names_where_it_was_renamed_too() {
    let new = exchanged(&LAMP.replace("  back:", "  returns:"), "size: 2.5 mm2", "size: 1.5 mm2");
    let found = of_texts(LAMP, &new, &renames(&[("back", "returns")]));
    let [change] = found.conductors.as_slice() else { panic!("{:?}", found.conductors) };
    assert_eq!((change.name.as_str(), change.was.as_deref()), ("returns.4", Some("back.4")));
    // Without the renaming both are things of one design alone.
    assert!(of_texts(LAMP, &new, &Renames::default()).conductors.is_empty());
}
