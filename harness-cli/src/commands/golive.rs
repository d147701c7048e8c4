//! `harness golive`: the order in which a vehicle is brought to life, or made safe for work and put back.

use crate::{
    args::Golive,
    exit,
    failure::Failure,
    phrase::{all, did_you_mean, quoted},
    render::{kit::paper, papers},
    terminal::Look,
};
use harness_core::bench::{
    Identity,
    going_live::{Target, devices, going_live, later_work},
};
use std::io::{Read, Write};

/// Shows the order of a design.
///
/// # Errors
/// If the design can't be read, if it has no such device or table, or if `out` can't be written.
pub fn run(args: &Golive, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let to = if args.work_on.is_empty() && !args.make_safe { "bring to life" } else { "make safe" };
    let (_, analysis) = super::analyse(&args.file, &[], to, input)?;
    let path = args.file.display();
    let target = if args.make_safe { Some(Target::Vehicle) } else { None };
    let target = match args.work_on.as_slice() {
        [] => target,
        names => {
            let known: Vec<String> = devices(&analysis);
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            if let Some(unknown) = names.iter().find(|name| !known.contains(&name.as_str())) {
                let near = match did_you_mean(unknown, &known) {
                    near if near.is_empty() => format!("; it has {}", all(&quoted(&known))),
                    near => near,
                };
                return Err(Failure::Told(format!("make `{unknown}` of `{path}` safe: the design has no such device{near}")));
            }
            Some(Target::Devices(names.to_vec()))
        }
    };
    let found = match &target {
        None => going_live(&analysis),
        Some(target) => later_work(&analysis, target),
    };
    let mut found =
        found.ok_or_else(|| Failure::Told(format!("{to} `{path}`: the design has no mode that could be computed")))?;
    let report = super::checker()?.check(&analysis);
    found.unknown.extend(super::mistakes(&analysis));
    let mut paper = papers::going_live::paper(&found, target.as_ref());
    paper.lead.insert(0, super::papers::verdict(&report.findings));
    paper::write(&[paper], &Identity::of(&analysis), (args.format, args.table.as_deref()), look, out)?;
    out.flush()?;
    Ok(exit::CLEAN)
}
