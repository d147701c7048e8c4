//! What is seen on a lamp board, read and compared: every slip that a lamp shows is named, and what nobody noted is said.

use super::random::recipe;
use crate::bench::ring_out::{
    bare::Spot,
    compare::{LampRow, compare, noted},
    lamp_board::{Board, Code},
    meter::Meter,
    piece::Shown,
    plan::plan,
    rig::Rig,
    slip::{Slip, each},
    state::State,
};
use proptest::{prelude::*, strategy::ValueTree};

/// Each place with whether its lamp is lit in a pattern, by asking every place that is fed.
fn seen(rig: &Rig, board: &Board, slips: &[Slip], pattern: usize) -> Vec<(Spot, bool)> {
    let state = State::with(rig, slips);
    let is_lit = |spot: Spot| {
        board.fed_in(pattern).any(|fed| {
            fed == spot
                || match state.shown(fed, spot) {
                    Shown::Ohms(ohms) => ohms.nominal < 50.0,
                    Shown::Forward(_) => true,
                    Shown::Open | Shown::Vague => false,
                }
        })
    };
    board.places.iter().map(|spot| (*spot, is_lit(*spot))).collect()
}

/// A row for each lamp of each pattern.
fn rows(rig: &Rig, board: &Board, slips: &[Slip]) -> Vec<LampRow> {
    let mut rows = Vec::new();
    for pattern in 0..board.patterns() {
        for (spot, is_lit) in seen(rig, board, slips, pattern) {
            rows.push(LampRow {
                line: rows.len() + 2,
                pattern: (pattern + 1).to_string(),
                point: rig.bare.spots[spot].name.clone(),
                value: if is_lit { "lit" } else { "dark" }.to_owned(),
                lit: None,
            });
        }
    }
    rows
}

/// The same as a row for each pattern that names the lamps that are lit; those beside switches that are on are left out.
fn short_rows(rig: &Rig, board: &Board, slips: &[Slip]) -> Vec<LampRow> {
    let row = |pattern: usize| {
        let lit = seen(rig, board, slips, pattern).into_iter().filter(|(spot, is_lit)| *is_lit && !board.is_on(*spot, pattern));
        let mut lit: Vec<String> = lit.map(|(spot, _)| rig.bare.spots[spot].name.clone()).collect();
        if lit.is_empty() {
            lit.push("none".to_owned());
        }
        LampRow { line: pattern + 2, pattern: (pattern + 1).to_string(), lit: Some(lit), ..LampRow::default() }
    };
    (0..board.patterns()).map(row).collect()
}

/// Every slip of random looms that the board shows: named first, by itself, in 99 of 100; a sound loom is good, whichever way it is written.
#[test]
fn each_slip_that_a_lamp_shows_is_named_first() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut tried, mut named) = (0usize, 0usize);
    for code in [Code::Complement, Code::Modified] {
        let rig = Rig::new(recipe().new_tree(&mut runner).expect("a recipe").current().loom());
        let (plan, meter, board) = (plan(&rig), Meter::default(), Board::new(&rig, code));
        let sound = noted(&rig, &board, "", &rows(&rig, &board, &[]));
        assert!(sound.troubles.is_empty() && sound.unseen.is_empty(), "{sound:?}");
        assert!(compare(&rig, &plan, &meter, &sound.observed(&board)).failing.is_empty());
        let mut number = 0usize;
        each(&rig, |slip| {
            number += 1;
            let state = State::with(&rig, std::slice::from_ref(&slip));
            if board.first_wrong(&rig, &state).is_none() || !number.is_multiple_of(3) {
                return;
            }
            let slips = [slip];
            let long = noted(&rig, &board, "", &rows(&rig, &board, &slips));
            let short = noted(&rig, &board, "", &short_rows(&rig, &board, &slips));
            assert!(short.troubles.is_empty() && short.unseen.is_empty(), "{short:?}");
            let [long, short] = [&long, &short].map(|noted| compare(&rig, &plan, &meter, &noted.observed(&board)));
            assert!(!long.failing.is_empty(), "{slips:?}");
            assert_eq!(long.failing, short.failing, "{slips:?}");
            tried += 1;
            named += usize::from(super::named_first(&long, &slips[0]));
        });
    }
    println!("{tried} slips on the board: {named} in the first explanation");
    assert!(tried > 60 && named * 100 >= tried * 99, "{named} of {tried}");
}

#[test]
fn what_nobody_noted_or_nobody_can_read_is_said() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let rig = Rig::new(recipe().new_tree(&mut runner).expect("a recipe").current().loom());
    let board = Board::new(&rig, Code::Complement);
    let good = rows(&rig, &board, &[]);
    let read = |rows: &[LampRow]| noted(&rig, &board, "", rows);
    let of_second = |row: &LampRow| row.pattern == "2";
    let without: Vec<LampRow> = good.iter().filter(|row| !of_second(row)).cloned().collect();
    let missing = read(&without).unseen;
    assert!(matches!(missing.as_slice(), [one] if one.pattern == 2 && one.points.is_empty()), "{missing:?}");
    // One lamp whose switch is off.
    let is_off =
        |row: &LampRow| board.places.iter().any(|spot| rig.bare.spots[*spot].name == row.point && !board.is_on(*spot, 1));
    let at = good.iter().position(|row| of_second(row) && is_off(row)).expect("a lamp of the second pattern");
    let mut one = good.clone();
    one[at].value.clear();
    let missing = read(&one).unseen;
    assert!(matches!(missing.as_slice(), [gap] if gap.pattern == 2 && gap.points == [good[at].point.clone()]), "{missing:?}");
    for (change, said) in [("dim", "neither `lit` nor `dark`"), ("lit lit", "neither"), ("?", "neither")] {
        let mut odd = good.clone();
        odd[at].value = change.to_owned();
        assert!(read(&odd).troubles.iter().any(|trouble| trouble.contains(said)), "{change}");
    }
    let mut far = good.clone();
    far[at].pattern = "99".to_owned();
    assert!(read(&far).troubles.iter().any(|trouble| trouble.contains("there is no pattern `99`")));
    let mut strange = good.clone();
    strange[at].point = "P77.1".to_owned();
    assert!(read(&strange).troubles.iter().any(|trouble| trouble.contains("`P77.1`")));
    let mut twice = good.clone();
    let other = if good[at].value == "lit" { "dark" } else { "lit" };
    twice.push(LampRow { value: other.to_owned(), line: 999, ..good[at].clone() });
    let both = read(&twice);
    assert!(both.troubles.iter().any(|trouble| trouble.contains("neither counts")), "{both:?}");
    // A switch that is on lights its own lamp.
    let on = good.iter().position(|row| of_second(row) && !is_off(row)).expect("a switch of the second pattern");
    let mut dead = good;
    dead[on].value = "dark".to_owned();
    assert!(read(&dead).troubles.iter().any(|trouble| trouble.contains("its lamp is lit whatever the loom is")));
}
