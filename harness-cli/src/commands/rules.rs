//! `harness rules`: the table of rules, and the values that verdicts rest on.

use super::values;
use crate::render::kit::document;
use crate::{
    args::{ListFormat, Rules},
    exit,
    failure::Failure,
    render::kit::{palette, wrap},
    terminal::Look,
};
use harness_core::finding::RulePage;
use serde::Serialize;
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

/// Lists `rules`, or the values that verdicts rest on.
///
/// # Errors
/// If `out` can't be written.
pub fn run(args: &Rules, rules: &[&RulePage], look: Look, out: &mut dyn Write) -> Result<u8, Failure> {
    match (args.values, args.format) {
        (false, ListFormat::Table) => table(rules, look, out)?,
        (false, ListFormat::Json) => json(rules, out)?,
        (true, ListFormat::Table) => values::text(&harness_core::values::all(), look, out)?,
        (true, ListFormat::Json) => values::json(&harness_core::values::all(), out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// Three columns, the last wrapped; where that leaves the last too narrow, it goes below the others.
fn table(rules: &[&RulePage], look: Look, out: &mut dyn Write) -> io::Result<()> {
    const LEVEL: usize = 7;
    const LEAST: usize = 24;
    const BELOW: usize = 4;
    let name = rules.iter().map(|rule| rule.name.width()).chain([4]).max().unwrap_or(4);
    let indent = name + LEVEL + 4;
    let beside = look.width >= indent + LEAST;
    let heading = |text: &str, width: usize| palette::paint(look, palette::heading(), &format!("{text:width$}"));
    write!(out, "{}  ", heading("rule", name))?;
    match beside {
        true => writeln!(out, "{}  {}", heading("level", LEVEL), heading("finds", 0))?,
        false => writeln!(out, "{}\n{:BELOW$}{}", heading("level", 0), "", heading("finds", 0))?,
    }
    for rule in rules {
        let level = palette::paint(look, palette::level(rule.level), rule.level.name());
        write!(out, "{:name$}  {level}", rule.name)?;
        if beside {
            let gap = LEVEL - rule.level.name().len() + 2;
            writeln!(out, "{:gap$}{}", "", wrap(rule.finds, look.width - indent).join(&format!("\n{:indent$}", "")))?;
        } else {
            writeln!(out)?;
            for line in wrap(rule.finds, look.width - BELOW) {
                writeln!(out, "{:BELOW$}{line}", "")?;
            }
        }
    }
    Ok(())
}

#[derive(Serialize)]
struct List<'a> {
    version: u32,
    rules: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    name: &'a str,
    group: &'a str,
    level: &'a str,
    since: &'a str,
    finds: &'a str,
}

fn json(rules: &[&RulePage], out: &mut dyn Write) -> io::Result<()> {
    let row = |rule: &&RulePage| Row {
        name: rule.name,
        group: rule.group(),
        level: rule.level.name(),
        since: rule.since,
        finds: rule.finds,
    };
    document(&List { version: 1, rules: rules.iter().map(row).collect() }, out)
}

#[cfg(test)]
mod tests {
    use super::{json, table};
    use crate::terminal::Look;
    use harness_core::finding::{Level, RulePage};
    use unicode_width::UnicodeWidthStr;

    fn rules() -> [RulePage; 2] {
        let rule = |name, level, finds| RulePage { name, level, since: "0.1.0", finds, docs: "" };
        [
            rule("conductor/undersized", Level::Error, "a current above what the conductor may carry in its zone and bundle"),
            rule("protection/fuse-over-conductor", Level::Danger, "a fuse above its weakest wire"),
        ]
    }

    fn drawn(width: usize) -> String {
        let rules = rules();
        let mut out = Vec::new();
        table(&rules.iter().collect::<Vec<_>>(), Look { width, colour: false, unicode: true }, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn the_table_stays_within_the_width() {
        for width in [40, 60, 80, 100] {
            let drawn = drawn(width);
            assert!(drawn.lines().all(|line| line.width() <= width), "{width}:\n{drawn}");
            let words: Vec<&str> = drawn.split_whitespace().collect();
            assert!(words.join(" ").contains("may carry"), "{drawn}");
        }
        let wide = drawn(80);
        assert!(wide.starts_with("rule                            level    finds\n"), "{wide}");
        assert!(wide.contains("\nprotection/fuse-over-conductor  danger   a fuse above its weakest wire\n"), "{wide}");
    }

    #[test]
    fn the_list_in_json_has_every_column() {
        let rules = rules();
        let mut out = Vec::new();
        json(&rules.iter().collect::<Vec<_>>(), &mut out).unwrap();
        let list: serde_json::Value = serde_json::from_slice(&out).unwrap();
        assert_eq!(list["rules"][1]["group"], "protection");
        assert_eq!(list["rules"][1]["level"], "danger");
        assert_eq!(list["rules"].as_array().map(Vec::len), Some(2));
    }
}
