//! What one run gives: the sources, the findings in their order, and what was checked.

use crate::{finding::Judged, text::Sources};
use std::{ops::Range, sync::Arc};

/// The result of one run over one design.
#[derive(Debug, Default)]
pub struct Report {
    /// The files that were read.
    pub sources: Arc<Sources>,
    /// All findings: reading mistakes first, then by level and cause, what may only follow from a reading mistake last.
    pub findings: Vec<Judged>,
    /// Which of them have one cause, in their order; together they cover all findings.
    pub causes: Vec<Cause>,
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

/// Findings that one change is likely to put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cause {
    /// Where its findings are in the report; never empty.
    pub findings: Range<usize>,
    /// Whether they may only follow from a reading mistake.
    pub held_back: bool,
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
    /// How many conductors were judged for what, and how many were not, and why.
    pub coverage: Coverage,
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

/// How many conductors were judged for load, for shorts and for voltage drop.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Coverage {
    /// Current and temperature against what the conductor may carry.
    pub load: Covered,
    /// The worst short against what the conductor withstands.
    pub shorts: Covered,
    /// The volts along it, counted for what it feeds.
    pub drop: Covered,
    /// Of those judged for shorts, the ones whose insulation the design does not give and whose rating leaves open what it is: the worse
    /// material was taken.
    pub insulation_assumed: usize,
    /// Pins with a wire of which no signal is given: among those of one role and domain a swap is not seen.
    pub unnamed_pins: usize,
}

/// How many conductors were judged, and why the others were not.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Covered {
    /// Conductors that were judged.
    pub judged: usize,
    /// Those that were not, by reason in the order of [`Unjudged`]; reasons without a conductor are left out.
    pub unjudged: Vec<(Unjudged, usize)>,
}

/// Why a conductor was not judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unjudged {
    /// It joins nothing, or its loom is not fitted.
    NotJoined,
    /// No mode was computed, or none that could be solved.
    NoMode,
    /// It leads a supply or a phase from which nothing in the design draws, and no current is given for it.
    NoCurrent,
    /// It carries nothing in any mode.
    Idle,
    /// It carries the current of a starter alone, which lasts for seconds.
    ShortTime,
    /// It has no size.
    NoSize,
    /// It has no length.
    NoLength,
    /// Its rated temperature is not given.
    NoRating,
    /// The air around it is not given.
    NoAir,
    /// The capacity table ends below its size.
    BeyondTable,
    /// The fuse before it has no operating times.
    NoTimes,
    /// A fault reaches it past no fuse: the rules of missing fuses and unfused lengths judge that.
    Unfused,
    /// No source can drive a fault current through it, or no more than it carries anyway.
    NoFault,
}

impl Unjudged {
    /// The reason in a word for machines: `no-current`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::NotJoined => "not-joined",
            Self::NoMode => "no-mode",
            Self::NoCurrent => "no-current",
            Self::Idle => "idle",
            Self::ShortTime => "short-time",
            Self::NoSize => "no-size",
            Self::NoLength => "no-length",
            Self::NoRating => "no-rating",
            Self::NoAir => "no-air",
            Self::BeyondTable => "beyond-table",
            Self::NoTimes => "no-times",
            Self::Unfused => "unfused",
            Self::NoFault => "no-fault",
        }
    }

    /// The reason behind a number of conductors: `of unknown current`.
    #[must_use]
    pub const fn reason(self) -> &'static str {
        match self {
            Self::NotJoined => "that join nothing",
            Self::NoMode => "without a computed mode",
            Self::NoCurrent => "of unknown current",
            Self::Idle => "without current in any mode",
            Self::ShortTime => "that carry the current of a starter, for seconds",
            Self::NoSize => "without a size",
            Self::NoLength => "without a length",
            Self::NoRating => "without a rated temperature",
            Self::NoAir => "without an ambient",
            Self::BeyondTable => "larger than the capacity table",
            Self::NoTimes => "behind a fuse without operating times",
            Self::Unfused => "that no fuse protects",
            Self::NoFault => "that no fault current reaches",
        }
    }
}
