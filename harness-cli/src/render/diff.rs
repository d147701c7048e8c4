//! A difference made visible: one file an output format, and what they share.

pub mod effect;
pub mod full;
pub mod json;
mod json_conductors;
mod json_effect;
mod json_steps;
pub mod line;
pub mod markdown;
pub mod picture;
pub mod short;

use super::Checked;
use crate::phrase::counted;
use harness_core::{
    Analysis,
    diff::{
        Change, Edits, Inventory, Key, Kind,
        effect::{Effect, Pair, Told},
    },
    finding::Level,
};

/// What is said where nothing changed.
pub const SAME: &str = "the two revisions say the same";

/// Two revisions and what is between them.
#[derive(Debug)]
pub struct Compared {
    /// The older revision.
    pub old: Checked,
    /// The newer revision.
    pub new: Checked,
    /// What each is made of.
    pub inventories: Pair<Inventory>,
    /// Both with what was computed for them: each figure of one is held against that of the other.
    pub analyses: Pair<Analysis>,
    /// The whole difference.
    pub edits: Edits,
    /// The same as a person would say it.
    pub changes: Vec<Change>,
    /// What the changes do.
    pub effect: Effect,
}

/// The changes to one part of the design.
#[derive(Debug)]
pub struct Group<'a> {
    /// `loom front`, `device vcu`, `parts`.
    pub title: String,
    /// The changes, in their order.
    pub changes: Vec<&'a Change>,
}

impl Compared {
    /// Whether both revisions say the same.
    #[must_use]
    pub fn is_same(&self) -> bool {
        self.edits.is_empty() && self.effect.is_empty()
    }

    /// The findings that the changes brought and nobody has accepted: those that came, and those that are more severe than before or
    /// no longer accepted.
    pub fn brought(&self) -> impl Iterator<Item = &Told> {
        let findings = &self.effect.findings;
        let worse = findings
            .changed
            .iter()
            .filter(|stayed| stayed.new.level > stayed.old.level || (stayed.old.waived.is_some() && stayed.new.waived.is_none()));
        findings.came.iter().chain(worse.map(|stayed| &stayed.new)).filter(|told| told.waived.is_none())
    }

    /// The changes by loom, device or what else they are in.
    #[must_use]
    pub fn groups(&self) -> Vec<Group<'_>> {
        let mut groups: Vec<((u8, String), Group<'_>)> = Vec::new();
        for change in &self.changes {
            let area = self.area(change);
            match groups.iter_mut().find(|(known, _)| *known == area) {
                Some((_, group)) => group.changes.push(change),
                None => groups.push((area.clone(), Group { title: area.1, changes: vec![change] })),
            }
        }
        groups.sort_by(|(a, _), (b, _)| a.cmp(b));
        groups.into_iter().map(|(_, group)| group).collect()
    }

    /// Where a change belongs, with the place of that among others.
    fn area(&self, change: &Change) -> (u8, String) {
        let top = change.key().map(|key| self.top(key));
        match top.as_ref().map(|key| (key.kind, key.path.as_str())) {
            Some((Kind::Loom, name)) => (3, format!("loom {name}")),
            Some((Kind::Device, name)) => (2, format!("device {name}")),
            Some((Kind::Waiver, _)) => (4, "waivers".to_owned()),
            Some((Kind::Design | Kind::Policy | Kind::Domain | Kind::Zone | Kind::Mode, _)) | None => (0, "design".to_owned()),
            Some(_) => (1, "parts".to_owned()),
        }
    }

    /// The loom, device or other thing that `key` is in, or `key` itself.
    fn top(&self, key: &Key) -> Key {
        let parent = |key: &Key| {
            let thing = self.inventories.new.things.get(key).or_else(|| self.inventories.old.things.get(key));
            thing.and_then(|thing| thing.parent.clone())
        };
        let mut top = key.clone();
        while let Some(above) = parent(&top) {
            top = above;
        }
        top
    }

    /// What could not be compared, because it could not be read.
    #[must_use]
    pub fn unread(&self) -> Vec<String> {
        let sides = [("the older revision", &self.old), ("the newer revision", &self.new)];
        sides.iter().filter_map(|(whose, checked)| unread(whose, checked)).collect()
    }

    /// The name and revision of the design, and those it had where they were others.
    #[must_use]
    pub fn design(&self) -> String {
        let (old, new) = (&self.old.report.summary, &self.new.report.summary);
        let name = match (old.design.as_str(), new.design.as_str()) {
            (before, now) if before == now => now.to_owned(),
            (before, now) => format!("{}, before {}", or_unnamed(now), or_unnamed(before)),
        };
        let revision = match (old.revision.as_str(), new.revision.as_str()) {
            ("", "") => String::new(),
            (before, now) if before == now => format!("revision {now} in both"),
            ("", now) => format!("now revision {now}"),
            (before, "") => format!("revision {before} before"),
            (before, now) => format!("from revision {before} to revision {now}"),
        };
        [name, revision].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// How the findings compare, in one line.
    #[must_use]
    pub fn findings(&self) -> String {
        let findings = &self.effect.findings;
        let told = |list: &[Told]| if list.is_empty() { "none".to_owned() } else { by_level(list) };
        let stay = findings.unchanged + findings.changed.len();
        let changed = match findings.changed.len() {
            0 => String::new(),
            changed => format!(" ({changed} with other figures or another level)"),
        };
        format!("came: {}; went: {}; stay: {stay}{changed}", told(&findings.came), told(&findings.went))
    }
}

/// What of a design could not be compared, because it could not be read.
pub(crate) fn unread(whose: &str, checked: &Checked) -> Option<String> {
    let findings = &checked.report.findings;
    let mistakes = findings.iter().filter(|it| it.rule.starts_with("format/") && it.level >= Level::Error).count();
    let file = checked.shown(&checked.root);
    (mistakes > 0).then(|| {
        let mistakes = counted(mistakes, "mistake");
        format!("what {whose} says at {mistakes} (`harness check {file}` lists them)")
    })
}

fn or_unnamed(name: &str) -> &str {
    if name.is_empty() { "without a name" } else { name }
}

/// `1 danger, 2 warnings, 1 accepted`.
fn by_level(list: &[Told]) -> String {
    let mut parts = Vec::new();
    for level in Level::ALL {
        let number = list.iter().filter(|told| told.level == level && told.waived.is_none()).count();
        if number > 0 {
            parts.push(counted(number, level.name()));
        }
    }
    let accepted = list.iter().filter(|told| told.waived.is_some()).count();
    if accepted > 0 {
        parts.push(format!("{accepted} accepted"));
    }
    parts.join(", ")
}
