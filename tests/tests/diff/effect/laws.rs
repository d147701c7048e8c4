//! Laws that hold for any two designs.

use super::{between, of_texts};
use harness_core::diff::{
    effect::{Crossing, Effect, NetTurn, Pair, Threshold, Turn, effect},
    renames::Renames,
};
use harness_tests::{
    corpus::{Checked, Folder, checked_texts, generator, place},
    fixtures, netlists,
};
use std::path::PathBuf;

fn turned<T: Clone>(pair: &Pair<T>) -> Pair<T> {
    Pair { old: pair.new.clone(), new: pair.old.clone() }
}

fn crossed(crossing: Crossing) -> Crossing {
    match crossing {
        Crossing::Out => Crossing::Back,
        Crossing::Back => Crossing::Out,
        other => other,
    }
}

/// An effect with old and new swapped, in words, sorted: the order goes by gravity, which is not the same both ways.
fn rows(effect: &Effect, exchange: bool) -> Vec<String> {
    let turn = |text: String, other: String| if exchange { other } else { text };
    let mut rows = Vec::new();
    for told in &effect.findings.came {
        rows.push(format!("{} {told:?}", turn("came".into(), "went".into())));
    }
    for told in &effect.findings.went {
        rows.push(format!("{} {told:?}", turn("went".into(), "came".into())));
    }
    for stayed in &effect.findings.changed {
        let mut figures = stayed.figures.clone();
        let (mut old, mut new) = (&stayed.old, &stayed.new);
        if exchange {
            std::mem::swap(&mut old, &mut new);
            figures.iter_mut().for_each(|(_, pair)| *pair = turned(pair));
        }
        figures.sort_by_key(|(name, _)| *name);
        rows.push(format!("stayed {old:?} {new:?} {figures:?}"));
    }
    rows.push(format!("unchanged {}", effect.findings.unchanged));
    for change in &effect.conductors {
        let mut change = change.clone();
        if exchange {
            change.crossing = crossed(change.crossing);
            change.size = turned(&change.size);
            change.amps = change.amps.as_ref().map(turned);
            change.drop = change.drop.as_ref().map(turned);
            change.temperature = change.temperature.as_ref().map(turned);
            change.capacity = change.capacity.as_ref().map(turned);
            change.short = change.short.as_ref().map(turned);
            for margin in &mut change.margins {
                (margin.crossing, margin.margin) = (crossed(margin.crossing), turned(&margin.margin));
            }
            for mode in &mut change.modes {
                (mode.amps, mode.drop) = (turned(&mode.amps), turned(&mode.drop));
                mode.temperature = turned(&mode.temperature);
            }
        }
        change.modes.sort_by(|a, b| a.mode.cmp(&b.mode));
        rows.push(format!("{change:?}"));
    }
    for change in &effect.fuses {
        let mut change = change.clone();
        if exchange {
            change.crossing = crossed(change.crossing);
            (change.rating, change.amps) = (change.rating.as_ref().map(turned), change.amps.as_ref().map(turned));
            for margin in &mut change.margins {
                (margin.crossing, margin.margin) = (crossed(margin.crossing), turned(&margin.margin));
            }
        }
        rows.push(format!("{change:?}"));
    }
    for change in &effect.loads {
        let mut change = change.clone();
        // Its kind is reported as the newer design gives it.
        change.what = "";
        if exchange {
            (change.fuses, change.drop) = (change.fuses.as_ref().map(turned), change.drop.as_ref().map(turned));
            for supply in &mut change.supply {
                supply.turn = if supply.turn == Turn::Lost { Turn::Gained } else { Turn::Lost };
            }
        }
        change.supply.iter_mut().for_each(|supply| supply.modes.sort());
        change.supply.sort_by_key(|supply| (supply.turn, supply.supply));
        rows.push(format!("{change:?}"));
    }
    for change in &effect.nets {
        let mut change = change.clone();
        if exchange {
            change.turn = if change.turn == NetTurn::Split { NetTurn::Joined } else { NetTurn::Split };
        }
        rows.push(format!("{change:?}"));
    }
    let (mut only_old, mut only_new) = (effect.modes.only_old.clone(), effect.modes.only_new.clone());
    let mut unsettled = effect.modes.unsettled.clone();
    if exchange {
        std::mem::swap(&mut only_old, &mut only_new);
        unsettled = turned(&unsettled);
    }
    rows.push(format!("{only_old:?} {only_new:?} {unsettled:?}"));
    rows.sort();
    rows
}

fn assert_mirrored(what: &str, forth: &Effect, back: &Effect) {
    assert_eq!(rows(forth, false), rows(back, true), "{what}");
}

#[test]
fn a_design_has_no_effect_on_itself() {
    for (text, Checked { analysis, report }) in checked_texts() {
        let found = effect(analysis, report, analysis, report, &Renames::default(), Threshold::default());
        assert!(found.is_empty(), "{}: {found:#?}", text.name);
        assert_eq!(found.findings.unchanged, report.findings.len(), "{}", text.name);
        assert_eq!(found.modes.both, analysis.design().mode_names().collect::<Vec<_>>());
    }
}

/// Each case as it was built beside its fixed form.
fn cases() -> Vec<(PathBuf, PathBuf)> {
    let mended = netlists(&fixtures().join("cases")).into_iter().filter(|path| path.to_string_lossy().contains("-mended"));
    let pairs = mended.map(|path| (PathBuf::from(path.to_string_lossy().replace("-mended", "")), path));
    let mut pairs: Vec<(PathBuf, PathBuf)> = pairs.filter(|(before, _)| before.exists()).collect();
    let draft = fixtures().join("terrace-tractor-draft");
    pairs.push((draft.join("draft.yaml"), draft.join("mended.yaml")));
    assert!(pairs.len() > 20, "the cases have moved");
    pairs
}

#[test]
fn exchanged_designs_give_exchanged_effects() {
    for (before, after) in cases() {
        let ((old, old_root), (new, new_root)): ((Folder, String), (Folder, String)) = (place(&before), place(&after));
        let (old, new) = ((&old as _, old_root.as_str()), (&new as _, new_root.as_str()));
        let forth = between(old, new, &Renames::default());
        let back = between(new, old, &Renames::default());
        assert_mirrored(&before.display().to_string(), &forth, &back);
        // What was fixed is reported as gone.
        assert!(!forth.findings.went.is_empty(), "{}: {forth:#?}", before.display());
    }
    // Designs that share names and little else.
    let (old, new) = (generator::design(80, 1), generator::design(80, 2));
    let none = Renames::default();
    assert_mirrored("generated", &of_texts(&old, &new, &none), &of_texts(&new, &old, &none));
}

#[test]
fn the_same_designs_give_the_same_effect() {
    let (old, new) = (generator::design(80, 1), generator::design(80, 2));
    let none = Renames::default();
    assert_eq!(of_texts(&old, &new, &none), of_texts(&old, &new, &none));
}
