//! Slips as a person says them, with what to do.

use crate::bench::ring_out::{
    bare::{Bare, Join, Kind, Spot},
    rig::Rig,
    slip::Slip,
};

/// What is wrong, in one sentence without a full stop.
pub(in crate::bench::ring_out) fn sentence(rig: &Rig, slip: &Slip) -> String {
    let bare = &rig.bare;
    let name = |spot: Spot| format!("`{}`", bare.spots[spot].name);
    let of = |join: Join| format!("{} `{}`", bare.joins[join].noun, bare.joins[join].name);
    match slip {
        Slip::Open(join) => open(rig, *join),
        Slip::Unseated(spot) => format!("the terminal of {} is not seated at {}", content(rig, *spot), name(*spot)),
        Slip::Swapped(one, other) => format!(
            "{} are swapped at {} (they belong in {} and {})",
            contents(rig, *one, *other),
            end(bare, *one),
            name(*one),
            name(*other)
        ),
        Slip::Misplaced { from, to } => format!("{} is in {} and belongs in {}", content(rig, *from), name(*to), name(*from)),
        Slip::Crowded { from, to } => {
            format!(
                "{} is crimped together with {} at {} and belongs in {}",
                content(rig, *from),
                content(rig, *to),
                name(*to),
                name(*from)
            )
        }
        Slip::Shifted { plug, moves } => {
            let used: Vec<&(Spot, Spot)> = moves.iter().filter(|(from, _)| bare.spots[*from].is_used).collect();
            let shown: Vec<String> =
                used.iter().take(3).map(|(from, to)| format!("what belongs in {} is in {}", name(*from), name(*to))).collect();
            let more = if used.len() > 3 { format!(", and so on for {} in all", used.len()) } else { String::new() };
            let whole = bare.plugs[*plug]
                .spots
                .iter()
                .all(|spot| !bare.spots[*spot].is_used || used.iter().any(|(from, _)| from == spot));
            let what = if whole { String::new() } else { "a row of ".to_owned() };
            format!("{what}`{}` is shifted by one: {}{more}", bare.plugs[*plug].name, shown.join(", "))
        }
        Slip::Bridged(one, other) => {
            format!("{} and {} have contact ({})", name(*one), name(*other), contents(rig, *one, *other))
        }
        Slip::Reversed(join) => format!("{} is the wrong way round", of(*join)),
        Slip::Shorted(join) => format!("{} is bridged, or a wire is in its place", of(*join)),
        Slip::Poor(join, ohm) => format!("{}, or a crimp or contact of it, has {} ohm too much", of(*join), rounded(*ohm)),
        Slip::Wrong(join, ohm) => {
            let meant = match bare.joins[*join].kind {
                Kind::Resistor(meant, _) => format!(" instead of {} ohm", rounded(meant)),
                Kind::Metal(_) | Kind::Diode(_) | Kind::Vague => String::new(),
            };
            format!("{} is of about {} ohm{meant}", of(*join), rounded(*ohm))
        }
        Slip::Touching(one, other) => {
            format!(
                "the nets of {} and {} have contact somewhere: chafed insulation, a strand, a pinched wire",
                name(*one),
                name(*other)
            )
        }
        Slip::Leaky(one, other, ohm) => {
            format!(
                "about {} ohm lead from {} to {}: moisture, soot, or an element too many",
                rounded(*ohm),
                name(*one),
                name(*other)
            )
        }
    }
}

fn open(rig: &Rig, join: Join) -> String {
    let item = &rig.bare.joins[join];
    let of = format!("{} `{}`", item.noun, item.name);
    if item.noun != "wire" {
        return format!("{of} is open or missing");
    }
    let ends: Vec<String> = [item.from, item.to]
        .into_iter()
        .filter(|spot| rig.bare.spots[*spot].plug.is_some() && rig.joins_at[*spot].len() == 1)
        .map(|spot| format!("`{}`", rig.bare.spots[spot].name))
        .collect();
    match ends.as_slice() {
        [] => format!("{of} is open"),
        ends => format!("{of} is open, or its terminal is not seated or crimped at {}", ends.join(" or ")),
    }
}

/// The wires that belong in a cavity.
fn content(rig: &Rig, spot: Spot) -> String {
    let joins = &rig.joins_at[spot];
    let names: Vec<String> = joins.iter().map(|join| format!("`{}`", rig.bare.joins[*join].name)).collect();
    let noun = |join: &Join| rig.bare.joins[*join].noun;
    match joins.as_slice() {
        [] => format!("what belongs in `{}`", rig.bare.spots[spot].name),
        [one] => format!("{} {}", noun(one), names.concat()),
        [first, ..] => format!("{}s {}", noun(first), names.join(" and ")),
    }
}

/// The wires that belong in two cavities.
fn contents(rig: &Rig, one: Spot, other: Spot) -> String {
    match (rig.joins_at[one].as_slice(), rig.joins_at[other].as_slice()) {
        ([one], [other]) if rig.bare.joins[*one].noun == rig.bare.joins[*other].noun => {
            let (one, other) = (&rig.bare.joins[*one], &rig.bare.joins[*other]);
            format!("{}s `{}` and `{}`", one.noun, one.name, other.name)
        }
        _ => format!("{} and {}", content(rig, one), content(rig, other)),
    }
}

fn end(bare: &Bare, spot: Spot) -> String {
    bare.spots[spot].plug.map_or_else(|| format!("`{}`", bare.spots[spot].name), |plug| format!("`{}`", bare.plugs[plug].name))
}

/// A figure to two significant digits.
fn rounded(ohm: f64) -> String {
    if ohm <= 0.0 || !ohm.is_finite() {
        return "0".to_owned();
    }
    let places = (1 - ohm.log10().floor() as i32).clamp(0, 6) as usize;
    let unit = 10f64.powi((ohm.log10().floor() as i32 - 1).max(0));
    format!("{:.places$}", (ohm / unit).round() * unit)
}
