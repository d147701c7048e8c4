//! The step that finds a slip first, by what the slip changes, against building the loom with each slip.

use super::random::recipe;
use crate::bench::ring_out::{
    bare::{Bare, Kind},
    coverage::coverage,
    first::{Finder, first_step},
    meter::Meter,
    plan::plan,
    rig::Rig,
    slip::each,
};
use proptest::prelude::*;

/// Some joins of a loom as another kind: lengths that nobody gave, coils, resistors and diodes between nets, long thin wires.
fn altered(mut bare: Bare, kinds: &[u8]) -> Bare {
    for (join, sort) in bare.joins.ids().zip(kinds.iter().cycle().copied()).collect::<Vec<_>>() {
        let own = bare.joins[join].kind;
        bare.joins[join].kind = match sort {
            0 => Kind::Metal(None),
            1 => Kind::Vague,
            2 => Kind::Resistor(47.0, 0.05),
            3 => Kind::Diode(0.6),
            4 => Kind::Metal(Some(3.0)),
            _ => own,
        };
    }
    bare
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn each_slip_is_found_by_the_step_that_finds_it_where_the_loom_is_built(
        recipe in recipe(),
        kinds in prop::collection::vec(0u8..60, 1..40),
        leads in prop::sample::select(vec![0.0, 0.1, 0.5]),
    ) {
        let rig = Rig::new(altered(recipe.loom(), &kinds));
        let (plan, meter) = (plan(&rig), Meter { leads, ..Meter::default() });
        let finder = Finder::new(&rig, &plan, &meter);
        let mut tried = 0;
        each(&rig, |slip| {
            tried += 1;
            let (own, built) = (finder.first(&slip), first_step(&rig, &plan, &meter, &slip));
            assert_eq!(own, built, "{slip:?} in {rig:#?} by {:#?}", plan.steps);
        });
        prop_assert_eq!(coverage(&rig, &finder).rows.values().map(|row| row.tried).sum::<usize>(), tried);
    }
}
