//! Steps in the order in which hands do them.

use super::apply::Action;
use crate::diff::Key;
use std::fmt;

/// What a step is for; stages are done in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Off, proven dead, disconnect out.
    MakeSafe,
    /// Things get the names of the new design.
    Relabel,
    /// Ends are unmated and unbolted.
    Unmate,
    /// Coverings and splices are opened.
    Open,
    /// Wires leave their places; what is gone goes.
    TakeOut,
    /// Housings, rings and terminals are replaced.
    Housing,
    /// Devices, ends, splices and fuses come.
    Fit,
    /// Wires go to their places.
    PutIn,
    /// Signal names and legends, coverings closed.
    Close,
    /// What is measured before anything is mated.
    TestOpen,
    /// Ends are mated and bolted.
    Mate,
    /// Sources on again.
    PutBack,
}

impl Stage {
    /// The stage as a heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::MakeSafe => "make safe",
            Self::Relabel => "new names",
            Self::Unmate => "unmate and unbolt",
            Self::Open => "cut open",
            Self::TakeOut => "take out",
            Self::Housing => "housings and terminals",
            Self::Fit => "fit what is new or different",
            Self::PutIn => "put in",
            Self::Close => "labels, coverings",
            Self::TestOpen => "test before mating",
            Self::Mate => "mate and bolt",
            Self::PutBack => "put back into service",
        }
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.title())
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its number in the order, from 1.
    pub number: u32,
    /// What it is for.
    pub stage: Stage,
    /// The loom it is done at, if it is one.
    pub loom: Option<String>,
    /// What to do, in one line.
    pub headline: String,
    /// What to mind.
    pub detail: Vec<String>,
    /// Whether it is done at voltage class B, by trained people alone.
    pub trained: bool,
    /// The same for a program.
    pub actions: Vec<Action>,
}

impl Step {
    /// What to do, in one line.
    #[must_use]
    pub fn headline(&self) -> &str {
        &self.headline
    }
}

/// Steps as they are found.
#[derive(Debug, Default)]
pub(super) struct Steps {
    steps: Vec<Step>,
}

impl Steps {
    pub(super) fn push(
        &mut self,
        stage: Stage,
        loom: Option<String>,
        headline: String,
        detail: Vec<String>,
        actions: Vec<Action>,
    ) {
        self.steps.push(Step { number: 0, stage, loom, headline, detail, trained: false, actions });
    }

    pub(super) fn extend(&mut self, others: Self) {
        self.steps.extend(others.steps);
    }

    /// The last step is for trained people alone.
    pub(super) fn trained(&mut self) {
        if let Some(step) = self.steps.last_mut() {
            step.trained = true;
        }
    }

    /// Marks the steps that are done at voltage class B, as `is_high` says of a thing.
    pub(super) fn mark(&mut self, is_high: impl Fn(&Key) -> bool) {
        for step in &mut self.steps {
            step.trained |= step.actions.iter().flat_map(Action::keys).any(&is_high);
        }
    }

    /// The sources and disconnects that the steps take off.
    pub(super) fn isolated(&self) -> Vec<Key> {
        let actions = self.steps.iter().flat_map(|step| &step.actions);
        actions.filter_map(|action| if let Action::Isolate(key) = action { Some(key.clone()) } else { None }).collect()
    }

    /// Moves what is done at one end alone from the steps of one stage to the step of another that takes a source off or puts it back, where
    /// `meant` says so for that source and end and how it is done there.
    pub(super) fn merge(&mut self, from: Stage, to: Stage, meant: impl Fn(&Key, &Key) -> Option<Action>) {
        let mut taken = Vec::new();
        for (at, step) in self.steps.iter().enumerate().filter(|(_, step)| step.stage == from) {
            let end = match step.actions.as_slice() {
                [Action::Part(end) | Action::Join(end)] => end,
                _ => continue,
            };
            let target = self.steps.iter().enumerate().filter(|(_, step)| step.stage == to).find_map(|(into, step)| {
                let source = step.actions.iter().find_map(|action| match action {
                    Action::Isolate(source) | Action::Restore(source) => meant(source, end),
                    _ => None,
                });
                source.map(|action| (into, action))
            });
            if let Some((into, action)) = target {
                taken.push((at, into, action, format!("{}; {}", step.headline, step.detail.join("; "))));
            }
        }
        for (_, into, action, said) in &taken {
            if let Some(step) = self.steps.get_mut(*into) {
                step.detail.insert(0, said.trim_end_matches("; ").to_owned());
                step.actions.push(action.clone());
            }
        }
        for (at, ..) in taken.iter().rev() {
            self.steps.remove(*at);
        }
    }

    /// Whether more is done than writing labels.
    pub(super) fn need_tools(&self) -> bool {
        let mut actions = self.steps.iter().flat_map(|step| &step.actions);
        actions.any(|action| !matches!(action, Action::Relabel(_) | Action::Label { .. }))
    }

    pub(super) fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// All steps, numbered: by stage, loom by loom, and as they were found within these.
    pub(super) fn numbered(mut self) -> Vec<Step> {
        self.steps.sort_by(|a, b| (a.stage, &a.loom).cmp(&(b.stage, &b.loom)));
        for (step, number) in self.steps.iter_mut().zip(1_u32..) {
            step.number = number;
        }
        self.steps
    }
}
