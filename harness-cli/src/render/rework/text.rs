//! The rework order: what hands do to turn what is built into what the newer revision asks for, in an order that can be followed.
//!
//! Owns its layout as text, as lines and as a checklist in Markdown; `json` has it for programs.

use crate::{
    phrase::counted,
    render::{
        diff::Compared,
        kit::{
            blocks::{flow, heading, said},
            comment::{code, escaped},
            palette::{self, paint},
            printable,
        },
    },
    terminal::Look,
};
use harness_core::diff::rework::{OnPaper, Rework, Stage, Step, Test, When};
use std::io::{self, Write};

/// What is said where no step has to be done: what changed on paper may still differ from what is built.
pub(crate) fn nothing(rework: &Rework) -> &'static str {
    if rework.paper.is_empty() {
        "nothing that is built changes"
    } else {
        "no steps; compare what is built with what changed on paper"
    }
}

/// What marks what is for trained people.
pub(crate) const TRAINED: &str = "trained people only";

/// Steps that follow one another under one heading.
pub(crate) fn stages(steps: &[Step]) -> Vec<(Stage, &[Step])> {
    steps.chunk_by(|one, next| one.stage == next.stage).filter_map(|chunk| Some((chunk.first()?.stage, chunk))).collect()
}

/// Tests that are made at one time.
pub(crate) fn times(tests: &[Test]) -> Vec<(When, &[Test])> {
    tests.chunk_by(|one, next| one.when == next.when).filter_map(|chunk| Some((chunk.first()?.when, chunk))).collect()
}

/// The order drawn within the width.
///
/// # Errors
/// If `out` can't be written.
pub fn full(compared: &Compared, rework: &Rework, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    flow("", "", &format!("rework order from {old} to {new}"), look, out)?;
    let (design, findings, unread) = (compared.design(), compared.findings(), compared.unread().join("; "));
    let amount = amount(rework);
    let rows = [("design", design.as_str()), ("order", &amount), ("findings", &findings), ("not compared", &unread)];
    said(&rows, look, out)?;
    writeln!(out)?;
    heading("before the first step", look, out)?;
    for caution in &rework.cautions {
        flow("  - ", "    ", caution, look, out)?;
    }
    for (stage, steps) in stages(&rework.steps) {
        writeln!(out)?;
        heading(stage.title(), look, out)?;
        for step in steps {
            entry(step.number, step.trained, step.headline(), &step.detail, look, out)?;
        }
    }
    for (when, tests) in times(&rework.tests) {
        writeln!(out)?;
        heading(&format!("tests, {}", when.title()), look, out)?;
        for test in tests {
            entry(test.number, test.trained, test.headline(), &test.detail, look, out)?;
        }
    }
    if !rework.paper.is_empty() {
        writeln!(out)?;
        heading("on paper only", look, out)?;
        for paper in &rework.paper {
            flow("  - ", "    ", &on_paper(paper), look, out)?;
        }
    }
    Ok(())
}

fn entry(number: u32, trained: bool, headline: &str, detail: &[String], look: Look, out: &mut dyn Write) -> io::Result<()> {
    let mark = if trained { format!("[{TRAINED}] ") } else { String::new() };
    flow(&format!("{number:>4}  "), "      ", &format!("{mark}{headline}"), look, out)?;
    for detail in detail {
        flow("        ", "        ", detail, look, out)?;
    }
    Ok(())
}

/// One line a step, a test and what is on paper.
///
/// # Errors
/// If `out` can't be written.
pub fn short(compared: &Compared, rework: &Rework, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let trained = |trained: bool| {
        if trained {
            format!(" [{}]", paint(look, palette::level(harness_core::finding::Level::Danger), TRAINED))
        } else {
            String::new()
        }
    };
    for caution in &rework.cautions {
        writeln!(out, "caution: {}", printable(caution))?;
    }
    for step in &rework.steps {
        writeln!(out, "step {}: {}{}", step.number, printable(step.headline()), trained(step.trained))?;
    }
    for test in &rework.tests {
        writeln!(out, "test {}, {}: {}{}", test.number, test.when.title(), printable(test.headline()), trained(test.trained))?;
    }
    for paper in &rework.paper {
        writeln!(out, "on paper: {}", printable(&on_paper(paper)))?;
    }
    for unread in compared.unread() {
        writeln!(out, "not compared: {}", printable(&unread))?;
    }
    if rework.is_empty() { writeln!(out, "{}", nothing(rework)) } else { Ok(()) }
}

/// A checklist to tick.
///
/// # Errors
/// If `out` can't be written.
pub fn markdown(compared: &Compared, rework: &Rework, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "## Rework order: {}\n", escaped(compared.new.called()))?;
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    writeln!(out, "From {} to {}; {}. {}.\n", code(&old), code(&new), escaped(&compared.design()), escaped(&amount(rework)))?;
    writeln!(out, "Findings that {}.\n", escaped(&compared.findings()))?;
    for unread in compared.unread() {
        writeln!(out, "**Not compared:** {}.\n", escaped(&unread))?;
    }
    for caution in &rework.cautions {
        writeln!(out, "- {}", escaped(caution))?;
    }
    for (stage, steps) in stages(&rework.steps) {
        writeln!(out, "\n### {}\n", escaped(stage.title()))?;
        for step in steps {
            tick(step.number, step.trained, step.headline(), &step.detail, out)?;
        }
    }
    for (when, tests) in times(&rework.tests) {
        writeln!(out, "\n### Tests, {}\n", escaped(when.title()))?;
        for test in tests {
            tick(test.number, test.trained, test.headline(), &test.detail, out)?;
        }
    }
    if !rework.paper.is_empty() {
        writeln!(out, "\n### On paper only\n")?;
        for paper in &rework.paper {
            writeln!(out, "- {}", escaped(&on_paper(paper)))?;
        }
    }
    Ok(())
}

fn tick(number: u32, trained: bool, headline: &str, detail: &[String], out: &mut dyn Write) -> io::Result<()> {
    let mark = if trained { format!("**{TRAINED}:** ") } else { String::new() };
    writeln!(out, "- [ ] {number} {mark}{}", escaped(headline))?;
    for detail in detail {
        writeln!(out, "  - {}", escaped(detail))?;
    }
    Ok(())
}

/// `23 steps, 9 tests, 4 labels`.
pub(crate) fn amount(rework: &Rework) -> String {
    if rework.is_empty() {
        return nothing(rework).to_owned();
    }
    let parts = [(rework.steps.len(), "step"), (rework.tests.len(), "test"), (rework.labels.len(), "label that changes")];
    let some = parts.iter().filter(|(number, _)| *number > 0);
    let said: Vec<String> = some
        .map(|(number, one)| match (*number, *one) {
            (1, one) => format!("1 {one}"),
            (number, "label that changes") => format!("{number} labels that change"),
            (number, one) => counted(number, one),
        })
        .collect();
    said.join(", ")
}

pub(crate) fn on_paper(paper: &OnPaper) -> String {
    match &paper.remark {
        Some(remark) => format!("{}: {remark}", paper.headline),
        None => paper.headline.clone(),
    }
}
