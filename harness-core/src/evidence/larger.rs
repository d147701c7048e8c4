//! A larger wire as a remedy, with what has to change with it.

use crate::{
    analysis::Analysis,
    facts::mated_pairs::Half,
    model::{Mate, PointKind, WireId},
    quantity::SquareMillimetre,
    wording::commas,
};

/// ``use 4 mm2 or more for `front.3` ``, and where a terminal or housing at its ends does not take that, which.
#[must_use]
pub fn use_larger(analysis: &Analysis, wire: WireId, size: SquareMillimetre) -> String {
    let model = analysis.model();
    let name = model.wire_name(wire);
    let what = match model[wire].core {
        Some(_) => format!("use a cable with cores of {size} or more for `{name}`"),
        None => format!("use {size} or more for `{name}`"),
    };
    match too_small(analysis, wire, size).as_slice() {
        [] => what,
        small => format!("{what}, and change what is too small for it: {}", commas(small)),
    }
}

/// Terminals and housings at the ends of a wire that do not take `size`: `` `blade-2` in `P1.3` (up to 2.5 mm2) ``.
#[must_use]
pub fn too_small(analysis: &Analysis, wire: WireId, size: SquareMillimetre) -> Vec<String> {
    let model = analysis.model();
    let ends = [model[wire].from, model[wire].to].into_iter().flatten();
    let small = ends.filter_map(|cavity| {
        let PointKind::Cavity(end) = model[cavity].kind else { return None };
        let terminal = analysis.facts().terminal_in(cavity).map(|(terminal, _)| &model[terminal]);
        let of_terminal = terminal.and_then(|kind| Some((kind.size?, kind.name, "terminal")));
        let of_housing = || {
            let housing = Half::of(model, Mate::End(end))?.housing;
            Some((housing.takes_size?, housing.name, "housing"))
        };
        let (range, name, what) = of_terminal.or_else(of_housing)?;
        let most = range.value.most;
        (size > most).then(|| format!("{what} `{}` in `{}` (up to {most})", model.text(name), model.point_name(cavity)))
    });
    small.collect()
}
