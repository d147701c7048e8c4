//! Two branches and what collides between them, made visible: on a screen, one line per collision, as a comment.
//!
//! What cannot be read is reported before the collisions, because what is missing looks as if it had been removed.

use crate::{
    phrase::counted,
    render::{
        Checked,
        diff::unread,
        kit::{
            blocks::{flow, heading, pairs},
            caution::{caution, caution_line},
            comment::{self, code, escaped},
            palette::{self, paint},
            printable, wrap,
        },
    },
    terminal::Look,
};
use harness_core::{
    diff::{Collision, Grade},
    finding::Level,
};
use std::{
    borrow::Cow,
    io::{self, Write},
};

/// Two branches, what they come from, and what collides.
#[derive(Debug)]
pub struct Branches {
    /// What both come from.
    pub base: Checked,
    /// Our branch.
    pub ours: Checked,
    /// Their branch.
    pub theirs: Checked,
    /// How many changes ours made, counted as in a comparison with the base.
    pub ours_made: usize,
    /// How many theirs made.
    pub theirs_made: usize,
    /// What collides, what can't hold first.
    pub collisions: Vec<Collision>,
}

impl Branches {
    /// What could not be compared, because it could not be read.
    #[must_use]
    pub fn unread(&self) -> Vec<String> {
        let sides = [("the base", &self.base), ("our branch", &self.ours), ("their branch", &self.theirs)];
        sides.into_iter().filter_map(|(whose, checked)| unread(whose, checked)).collect()
    }

    /// How many collisions are of a grade.
    #[must_use]
    pub fn count(&self, grade: Grade) -> usize {
        self.collisions.iter().filter(|collision| collision.grade == grade).count()
    }

    /// How many edits each branch made.
    fn edits(&self) -> String {
        format!("{} by ours, {} by theirs", counted(self.ours_made, "edit"), counted(self.theirs_made, "edit"))
    }

    /// What a reader must know first.
    fn verdict(&self) -> String {
        let read = if self.unread().is_empty() { "" } else { " in what could be read" };
        match (self.count(Grade::Certain), self.count(Grade::Look)) {
            (0, 0) => format!("no edits collide in meaning{read}; check the merged design anyway"),
            (certain, 0) => format!("{certain} certain"),
            (0, look) => format!("none certain, {look} to look at"),
            (certain, look) => format!("{certain} certain, {look} to look at"),
        }
    }
}

/// What a collision says besides its headline: who or what, and the words.
fn parts(collision: &Collision) -> [(&'static str, Cow<'_, [String]>); 3] {
    let help = Cow::Owned(vec![collision.help.clone()]);
    [("ours", Cow::Borrowed(collision.ours.as_slice())), ("theirs", Cow::Borrowed(collision.theirs.as_slice())), ("help", help)]
}

/// The level of a finding that is as severe as this grade.
fn level(grade: Grade) -> Level {
    match grade {
        Grade::Certain => Level::Error,
        Grade::Look => Level::Warning,
    }
}

/// Writes one screen.
///
/// # Errors
/// If `out` can't be written.
pub fn full(branches: &Branches, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let Branches { base, ours, theirs, .. } = branches;
    heading("two branches of a design", look, out)?;
    let [base, ours, theirs] = [base, ours, theirs].map(|checked| checked.shown(&checked.root));
    let (edits, verdict, unread) = (branches.edits(), branches.verdict(), branches.unread().join("; "));
    let rows = [
        ("base", base.as_str()),
        ("ours", &ours),
        ("theirs", &theirs),
        ("edits", &edits),
        ("not compared", &unread),
        ("collisions", &verdict),
    ];
    pairs(&rows.into_iter().filter(|(_, value)| !value.is_empty()).collect::<Vec<_>>(), look, out)?;
    for collision in &branches.collisions {
        writeln!(out)?;
        let grade = collision.grade.word();
        let text = format!("{grade}: {}", printable(&collision.headline));
        for (at, line) in wrap(&text, look.width.saturating_sub(2)).iter().enumerate() {
            match line.strip_prefix(grade).filter(|_| at == 0) {
                Some(rest) => writeln!(out, "{}{rest}", paint(look, palette::level(level(collision.grade)), grade))?,
                None => writeln!(out, "  {line}")?,
            }
        }
        for (who, told) in parts(collision) {
            for (at, line) in told.iter().enumerate() {
                let who = if at == 0 { format!("{who}:") } else { String::new() };
                flow(&format!("  {who:<8}"), "          ", line, look, out)?;
            }
        }
    }
    writeln!(out)?;
    caution(look, out)
}

/// Writes one line per collision; for logs.
///
/// # Errors
/// If `out` can't be written.
pub fn short(branches: &Branches, look: Look, out: &mut dyn Write) -> io::Result<()> {
    for unread in branches.unread() {
        writeln!(out, "not compared: {}", printable(&unread))?;
    }
    for collision in &branches.collisions {
        let grade = paint(look, palette::level(level(collision.grade)), collision.grade.word());
        write!(out, "{grade}: {}", printable(&collision.headline))?;
        for (who, told) in parts(collision) {
            write!(out, "; {who}: {}", printable(&told.join(", ")))?;
        }
        writeln!(out)?;
    }
    writeln!(out, "edits: {}", branches.edits())?;
    writeln!(out, "collisions: {}", branches.verdict())?;
    caution_line(out)
}

/// Writes one line, as a bot sets the status of a change request.
///
/// # Errors
/// If `out` can't be written.
pub fn line(branches: &Branches, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "collisions: {}; {}", branches.verdict(), branches.edits())
}

/// Writes a comment on a change request, in Markdown.
///
/// # Errors
/// If `out` can't be written.
pub fn markdown(branches: &Branches, out: &mut dyn Write) -> io::Result<()> {
    let Branches { base, ours, theirs, .. } = branches;
    writeln!(out, "## Two branches: {}\n", escaped(base.called()))?;
    writeln!(out, "**Collisions:** {}.\n", escaped(&branches.verdict()))?;
    let [base, ours, theirs] = [base, ours, theirs].map(|checked| code(&checked.shown(&checked.root)));
    writeln!(out, "Ours is {ours}, theirs {theirs}, both from {base}; {}.\n", branches.edits())?;
    for unread in branches.unread() {
        writeln!(out, "**Not compared:** {}.\n", escaped(&unread))?;
    }
    for collision in &branches.collisions {
        writeln!(out, "- **{}** {}", collision.grade.word(), escaped(&collision.headline))?;
        for (who, told) in parts(collision) {
            for line in told.iter() {
                writeln!(out, "  - {who}: {}", escaped(line))?;
            }
        }
    }
    if !branches.collisions.is_empty() {
        writeln!(out)?;
    }
    comment::caution(out)
}
