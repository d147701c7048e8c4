//! What one run gives: the sources, the findings in their order, and what was checked.

use crate::{finding::Judged, text::Sources};
use std::sync::Arc;

/// The result of one run over one design.
#[derive(Debug, Default)]
pub struct Report {
    /// The files that were read.
    pub sources: Arc<Sources>,
    /// All findings, in the order of [`Judged::order`].
    pub findings: Vec<Judged>,
    /// What was checked.
    pub summary: Summary,
    /// All modes that the design has, checked or not.
    pub known_modes: Vec<String>,
    /// Rules that broke off, by name; each has a finding. Where there is one, the report is not whole.
    pub broken_rules: Vec<&'static str>,
    /// Findings whose remedies were not tried because the limit of trials was reached.
    pub untried: usize,
    /// How the findings compare with a baseline, if they were compared with one.
    pub compared: Option<Compared>,
}

/// What a baseline knew of a design, beside the findings marked [`known`](Judged::known).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Compared {
    /// The baseline names the design; otherwise all its findings are new.
    pub listed: bool,
    /// Findings of the baseline that were not found any more.
    pub gone: usize,
    /// Findings that are more severe than the baseline says, and therefore new.
    pub worse: usize,
}

/// What was checked, for the end of a report.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Summary {
    /// The design's name; empty if it has none.
    pub design: String,
    /// Its revision; empty if it has none.
    pub revision: String,
    /// Number of files read.
    pub files: usize,
    /// Number of devices.
    pub devices: usize,
    /// Number of looms.
    pub looms: usize,
    /// Number of loom ends (connectors and rings).
    pub ends: usize,
    /// Number of conductors (wires and cores).
    pub conductors: usize,
    /// Number of electrical nets.
    pub nets: usize,
    /// The modes in which currents were computed, with how that went.
    pub modes: Vec<ModeSummary>,
    /// The conductors nearest to the temperature that they are rated for, the worst first; at most three.
    pub hottest: Vec<HotConductor>,
    /// Rules that ran to their end.
    pub rules: usize,
    /// Checks that could not be made for want of a fact.
    pub unchecked: usize,
    /// Keys that the design gives and that nothing reads yet, by their words, with how often each is given.
    pub unread: Vec<(&'static str, usize)>,
}

/// How one mode went.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ModeSummary {
    /// The mode's name.
    pub name: String,
    /// Conductors that carry current in it.
    pub loaded: usize,
    /// `false` if the mode could not be solved; a finding then says why.
    pub solved: bool,
}

/// A conductor that carries current, in the mode in which it is hottest.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct HotConductor {
    /// The wire, such as `front.107`.
    pub name: String,
    /// The mode's name.
    pub mode: String,
    /// Its steady temperature in degC, to a tenth; `None` where it has none: it warms without end.
    pub temperature: Option<f64>,
    /// The temperature in degC that it is computed for: its rating, or the last for which the capacity table is right.
    pub rated: f64,
}
