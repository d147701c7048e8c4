//! `harness explain`: a rule's own documentation, in the terminal.

use crate::{
    args::Explain,
    exit,
    failure::Failure,
    phrase::{all as listed, did_you_mean, quoted},
    render::kit::{page, palette},
    terminal::Look,
};
use harness_core::finding::RulePage;
use std::{collections::BTreeSet, io::Write};

/// Prints the documentation of the rule asked for, one of `rules`.
///
/// # Errors
/// If there is no such rule, if several groups have such a fault, or if `out` can't be written.
pub fn run(args: &Explain, rules: &[&RulePage], look: Look, out: &mut dyn Write) -> Result<u8, Failure> {
    let rule = find(&args.rule, rules)?;
    let title = palette::paint(look, palette::heading(), rule.name);
    let level = palette::paint(look, palette::level(rule.level), rule.level.name());
    writeln!(out, "{title} ({level}, since {})", rule.since)?;
    page::write(out, rule.docs, look)?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// The rules that `names` choose: by name, by fault, by group; `None` if there are no names.
///
/// # Errors
/// If a name chooses no rule.
pub fn picked(names: &[String], rules: &[&RulePage]) -> Result<Option<BTreeSet<&'static str>>, Failure> {
    let mut picked = BTreeSet::new();
    for name in names {
        let fits = |rule: &&&RulePage| rule.name == name || fault(rule) == name || rule.group() == name;
        let found: Vec<&str> = rules.iter().filter(fits).map(|rule| rule.name).collect();
        if found.is_empty() {
            let groups = rules.iter().map(|rule| rule.group());
            let all: Vec<&str> = rules.iter().flat_map(|rule| [rule.name, fault(rule)]).chain(groups).collect();
            let near = did_you_mean(name, &all);
            let near = if near.is_empty() { "; `harness rules` lists all".to_owned() } else { near };
            return Err(Failure::Told(format!("show `{name}`: there is no such rule{near}")));
        }
        picked.extend(found);
    }
    Ok((!names.is_empty()).then_some(picked))
}

/// The rule called `name`, or the only one whose fault is called so.
fn find<'a>(name: &str, rules: &[&'a RulePage]) -> Result<&'a RulePage, Failure> {
    let told = |reason: String| Err(Failure::Told(format!("explain `{name}`: {reason}")));
    if let Some(rule) = rules.iter().find(|rule| rule.name == name) {
        return Ok(rule);
    }
    let same: Vec<&RulePage> = rules.iter().copied().filter(|rule| fault(rule) == name).collect();
    match same.as_slice() {
        [rule] => Ok(rule),
        [] => {
            let all: Vec<&str> = rules.iter().flat_map(|rule| [rule.name, fault(rule)]).collect();
            let near = match did_you_mean(name, &rules.iter().map(|rule| rule.name).collect::<Vec<_>>()) {
                none if none.is_empty() => did_you_mean(name, &all),
                near => near,
            };
            told(format!("there is no such rule{}", if near.is_empty() { "; `harness rules` lists all" } else { &near }))
        }
        several => {
            let names = quoted(several.iter().map(|rule| rule.name));
            told(format!("several groups have this fault: {}", listed(&names)))
        }
    }
}

/// The part of a rule's name behind the group.
fn fault(rule: &RulePage) -> &'static str {
    rule.name.split_once('/').map_or(rule.name, |(_, fault)| fault)
}

#[cfg(test)]
mod tests {
    use super::run;
    use crate::{args::Explain, terminal::Look};
    use harness_core::finding::{Level, RulePage};

    const LOOK: Look = Look { width: 80, colour: false, unicode: true };

    fn rule(name: &'static str) -> RulePage {
        RulePage { name, level: Level::Error, since: "0.1.0", finds: "something", docs: "## What it checks\nThings.\n" }
    }

    fn explain(name: &str) -> Result<String, String> {
        let rules = [rule("conductor/undersized"), rule("inlet/earth"), rule("netlist/earth")];
        let rules: Vec<&RulePage> = rules.iter().collect();
        let mut out = Vec::new();
        match run(&Explain { rule: name.to_owned() }, &rules, LOOK, &mut out) {
            Ok(_) => Ok(String::from_utf8(out).unwrap()),
            Err(failure) => Err(failure.to_string()),
        }
    }

    #[test]
    fn a_rule_is_found_by_its_name_or_its_fault_alone() {
        let full = explain("conductor/undersized").unwrap();
        assert_eq!(full, "conductor/undersized (error, since 0.1.0)\n\nWhat it checks\n  Things.\n");
        assert_eq!(explain("undersized").unwrap(), full);
    }

    #[test]
    fn a_name_that_fits_no_rule_or_several_is_answered_with_names() {
        assert_eq!(explain("undersised").unwrap_err(), "explain `undersised`: there is no such rule; did you mean `undersized`?");
        assert_eq!(
            explain("conductor/undersize").unwrap_err(),
            "explain `conductor/undersize`: there is no such rule; did you mean `conductor/undersized`?"
        );
        assert_eq!(explain("x").unwrap_err(), "explain `x`: there is no such rule; `harness rules` lists all");
        assert_eq!(
            explain("earth").unwrap_err(),
            "explain `earth`: several groups have this fault: `inlet/earth` and `netlist/earth`"
        );
    }
}
