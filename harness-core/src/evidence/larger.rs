//! What has to change with a larger wire: terminals, housings and seals that do not take it.

use crate::{
    electrical::conductors::conductor::over_insulation_at,
    facts::{Facts, mated_pairs::Half},
    model::{Mate, Model, PointKind, WireId},
    quantity::SquareMillimetre,
    wording::{agree, list_of_first},
};

/// Most terminals and housings that are named.
const NAMED: usize = 3;
/// Most wires and cables that are to be larger.
const CONDUCTORS: usize = 6;

/// The end of a help that proposes these sizes: `` ; too small for 4 mm2 are terminal `blade-2` in `front.P1.3` (up to 2.5 mm2) ``. Empty
/// where all of them take their wire.
#[must_use]
pub fn too_small(facts: &Facts, wires: &[(WireId, SquareMillimetre)]) -> String {
    let mut small: Vec<String> = wires.iter().flat_map(|(wire, size)| of_wire(facts, *wire, *size)).collect();
    small.sort();
    small.dedup();
    if small.is_empty() {
        String::new()
    } else {
        format!("; change what is too small for it: {}", list_of_first(&small, NAMED, 0))
    }
}

fn of_wire(facts: &Facts, wire: WireId, size: SquareMillimetre) -> Vec<String> {
    let model = facts.model();
    let ends = [model[wire].from, model[wire].to].into_iter().flatten();
    let small = ends.flat_map(|cavity| {
        let PointKind::Cavity(end) = model[cavity].kind else { return Vec::new() };
        let terminal = facts.terminal_in(cavity).map(|(terminal, _)| &model[terminal]);
        let of_terminal = terminal.and_then(|kind| Some((kind.size?, kind.name, "terminal")));
        let housing = Half::of(model, Mate::End(end)).map(|half| half.housing);
        let of_housing = housing.and_then(|housing| Some((housing.takes_size?, housing.name, "housing")));
        let small = [of_terminal, of_housing].into_iter().flatten().filter_map(|(range, name, what)| {
            let most = range.value.most;
            (size > most).then(|| format!("{what} `{}` in `{}` (up to {most})", model.text(name), model.point_name(cavity)))
        });
        let seals = [
            terminal.and_then(|kind| Some((kind.insulation?, kind.name))),
            housing.and_then(|housing| Some((housing.takes_insulation?, housing.name))),
        ];
        let tight = seals.into_iter().flatten().filter_map(|(range, name)| {
            let (diameter, most) = (over_insulation_at(model, &model[wire], size)?.value, range.value.most);
            let words = || {
                format!("the seal of `{}` in `{}` (up to {most}, here {diameter})", model.text(name), model.point_name(cavity))
            };
            (diameter > most).then(words)
        });
        small.chain(tight).collect()
    });
    small.collect()
}

/// What to use for a conductor that is too thin: a larger wire; for a core, of which the size can't be chosen alone, another cable.
#[must_use]
pub fn larger_wire(model: &Model, wire: WireId) -> String {
    let name = model.wire_name(wire);
    match model[wire].core {
        None => format!("use a larger wire for `{name}`"),
        Some((cable, _)) => format!("use a cable with larger cores for `{}`, one of which is `{name}`", model.cable_name(cable)),
    }
}

/// The same for several: ``use larger wires for `a` and `b` and a cable with larger cores for `C1` ``.
#[must_use]
pub fn larger_wires(model: &Model, wires: &[WireId]) -> String {
    if let [only] = wires {
        return larger_wire(model, *only);
    }
    let (mut single, mut cables) = (Vec::new(), Vec::new());
    for wire in wires {
        match model[*wire].core {
            None => single.push(format!("`{}`", model.wire_name(*wire))),
            Some((cable, _)) => cables.push(format!("`{}`", model.cable_name(cable))),
        }
    }
    cables.dedup();
    let of_singles =
        format!("{} for {}", agree(single.len(), "a larger wire", "larger wires"), list_of_first(&single, CONDUCTORS, 0));
    let of_cables =
        format!("{} with larger cores for {}", agree(cables.len(), "a cable", "cables"), list_of_first(&cables, CONDUCTORS, 0));
    match (single.is_empty(), cables.is_empty()) {
        (_, true) => format!("use {of_singles}"),
        (true, false) => format!("use {of_cables}"),
        (false, false) => format!("use {of_singles}, and {of_cables}"),
    }
}

/// Whether the terminals and the housings at both ends of a wire take a size, as far as they are known.
#[must_use]
pub(super) fn fits(facts: &Facts, wire: WireId, size: SquareMillimetre) -> bool {
    of_wire(facts, wire, size).is_empty()
}
