//! The cable of a starter carries its current for as long as an engine is cranked.

use crate::{
    analysis::Analysis,
    electrical::conductors::conductor::surroundings,
    evidence::{larger_wire, remedies},
    finding::{Finding, Level, Weighed},
    model::{ModeId, WireId},
    quantity::{Ampere, Celsius, Second},
    rules::{Rule, RulePage},
    standards::{
        heat::{cranking, unknown_air},
        short_circuit::{Metal, adiabatic_time, k, least_area},
    },
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "conductor/thin-for-starter",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductor that the current of a starter overheats within the seconds for which an engine is cranked",
        docs: include_str!("thin_for_starter.md"),
    },
    check,
};

/// What a starter takes through a conductor in its worst mode.
struct Cranked {
    wire: WireId,
    amps: Ampere,
    mode: ModeId,
    start: Celsius,
    end: Celsius,
    time: Second,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let modes: Vec<_> = analysis.electrical().modes().filter(|mode| mode.starts()).collect();
    if modes.is_empty() {
        return Vec::new();
    }
    let wires = analysis.model().wires().map(|(wire, _)| wire);
    let worst = wires.filter_map(|wire| {
        let amps = modes.iter().map(|mode| (mode.starter_amps(wire), mode.id));
        let (amps, mode) = amps.reduce(|a, b| if b.0 > a.0 { b } else { a }).filter(|(amps, _)| *amps > Ampere::ZERO)?;
        cranked(analysis, wire, amps, mode)
    });
    worst.filter(|one| one.time < cranking().value).map(|one| finding(analysis, &one)).collect()
}

fn cranked(analysis: &Analysis, wire: WireId, amps: Ampere, mode: ModeId) -> Option<Cranked> {
    let item = &analysis.model()[wire];
    let around = surroundings(analysis.model(), item);
    let end = around.class()?;
    let start = around.ambient.unwrap_or_else(|| unknown_air(end).value);
    let time = adiabatic_time(k(Metal::Copper, start, end).value, item.size?.value, amps)?;
    Some(Cranked { wire, amps, mode, start, end, time })
}

fn finding(analysis: &Analysis, one: &Cranked) -> Finding {
    let model = analysis.model();
    let wire = &model[one.wire];
    let (name, mode, limit) = (model.wire_name(one.wire), model.mode_name(one.mode), cranking());
    let constant = k(Metal::Copper, one.start, one.end);
    let mut finding = RULE
        .finding(
            wire.size.map_or(wire.span, |size| size.span),
            format!(
                "the {} of a starter heat wire `{name}` to the {} that it is rated for within {} in `{mode}`",
                one.amps, one.end, one.time
            ),
            [Weighed::larger(one.amps), Weighed::smaller(one.end), Weighed::smaller(one.time)],
        )
        .label(format!("has to carry it for {}", limit.value))
        .figure("from", format!("{}, its air", one.start))
        .figure("rule", format!("adiabatic heating, {}; {}", constant.source, limit.source))
        .concerns(name);
    let least = least_area(constant.value, one.amps, limit.value);
    finding = match least {
        Some(least) => finding.help(format!("{}: {least} or more", larger_wire(model, one.wire))),
        None => finding.help("use a wire that is rated for more, or route it where it is cooler".to_owned()),
    };
    match least {
        Some(least) => remedies::larger(analysis.facts(), one.wire, least).into_iter().fold(finding, Finding::remedy),
        None => finding,
    }
}
