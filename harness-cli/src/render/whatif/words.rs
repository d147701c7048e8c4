//! Outcomes of faults in words.

use crate::phrase::{all, first, fitting, quoted};
use harness_core::{
    inspect::single_faults::{FaultRow, Outcome, What},
    quantity::Volt,
};

/// Names that a line lists.
const MOST: usize = 4;

/// What has the fault: `bridged front.P1.3 and front.P1.4`.
pub(crate) fn fault(row: &FaultRow) -> String {
    format!("{} {}", row.kind.word(), row.names.join(" and "))
}

/// Outcomes of one kind and level in one sentence; `in_full` lists every name.
pub(crate) fn sentence(outcomes: &[&Outcome], in_full: bool) -> String {
    let Some(outcome) = outcomes.first() else { return String::new() };
    if outcomes.len() == 1 {
        return single(outcome);
    }
    let names = quoted(outcomes.iter().map(|outcome| &outcome.name));
    let shown = if in_full { names.len() } else { fitting(names.len(), MOST) };
    let names = if shown == names.len() { all(&names) } else { first(&names, MOST, 0) };
    match outcome.what {
        What::Dangerous => format!("{names} are above voltage class A"),
        What::Burns => format!("conductors {names} burn{}", burning(outcome)),
        What::Live => format!("{names} become live"),
        What::Overvoltage => format!("{names} get more voltage than they may have"),
        What::Lifted => format!("{names} are beyond the voltage of their domains"),
        What::Stops => format!("{names} stop{}", needed(outcome)),
        What::Weakens => format!("{names} get too little voltage{}", needed(outcome)),
        What::Starts => format!("{names} get a supply{}", needed(outcome)),
        What::StaysOn => format!("{names} cannot be switched off{}", needed(outcome)),
        What::Releases => format!("{names} release"),
        What::PullsIn => format!("{names} pull in"),
        What::Opens => format!("fuses {names} open one after the other"),
        What::Signal | What::JoinsClasses | What::MustOpen | What::CannotOpen => {
            outcomes.iter().map(|it| single(it)).collect::<Vec<_>>().join("; ")
        }
        What::Overheats | What::NoTimes | What::Unsettled => outcomes.iter().map(|it| single(it)).collect::<Vec<_>>().join("; "),
    }
}

/// One outcome in words.
pub(super) fn single(outcome: &Outcome) -> String {
    let name = &outcome.name;
    let volts = |volts: Option<Volt>| volts.unwrap_or_default();
    let (before, after, limit) = (volts(outcome.before), volts(outcome.after), volts(outcome.limit));
    match outcome.what {
        What::Dangerous => format!("`{name}` is at {after}, above voltage class A ({limit})"),
        What::JoinsClasses => "voltage classes A and B are joined: the isolation between them is gone".to_owned(),
        What::Burns => format!("conductor `{name}` burns{}", burning(outcome)),
        What::MustOpen => format!("`{name}` stays closed, and the mode requires it to be open"),
        What::CannotOpen => format!("`{name}` cannot open a circuit of voltage class B"),
        What::Live => format!("`{name}` becomes live, {after}"),
        What::Overvoltage => format!("`{name}` gets {after}, made for {limit}"),
        What::Lifted => format!("`{name}` goes from {before} to {after}, its domain allows {limit}"),
        What::Overheats => {
            let amps = outcome.amps.map_or_else(String::new, |amps| format!("{amps} make "));
            let heat = outcome.heat.map_or_else(String::new, |heat| format!("{heat} in it"));
            format!("`{name}` overheats: {amps}{heat}")
        }
        What::Signal => format!("the signal `{name}` changes: {}", outcome.note),
        What::Stops if after > Volt::new(0.05) => format!("`{name}` stops, {after} of {limit} left{}", needed(outcome)),
        What::Stops => format!("`{name}` stops{}", needed(outcome)),
        What::Weakens => format!("`{name}` gets {after} of {limit}{}", needed(outcome)),
        What::Starts => format!("`{name}` gets a supply of {after}{}", needed(outcome)),
        What::StaysOn => format!("`{name}` cannot be switched off{}", needed(outcome)),
        What::Releases => format!("relay `{name}` releases"),
        What::PullsIn => format!("relay `{name}` pulls in"),
        What::Opens => {
            let time = outcome.time.map_or_else(String::new, |time| format!(" within {time}"));
            format!("fuse `{name}` opens{time}")
        }
        What::NoTimes => format!("fuse `{name}` carries more than its rating and its operating times are not known"),
        What::Unsettled if name.is_empty() => "no steady state was found; not judged".to_owned(),
        What::Unsettled => format!("no steady state was found, `{name}` keeps switching; not judged"),
    }
}

fn burning(outcome: &Outcome) -> String {
    outcome.amps.map_or_else(|| ": no fuse opens in time".to_owned(), |amps| format!(": no fuse ends {amps} in time"))
}

fn needed(outcome: &Outcome) -> String {
    outcome.function.map_or_else(String::new, |function| format!(" ({})", function.word()))
}
