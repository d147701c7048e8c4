//! The power tree: which source feeds which load, through which fuses and contacts, domain by domain.
//!
//! The idea: everything that one conductor joins is one net. From the positive poles of all sources the nets are followed through whatever
//! lets a supply through when it is closed, up to what takes current and never into the net of a negative pole. What leads from net to net
//! is then drawn together: things in a row become one way, ways side by side between the same two nets become one, until only nets remain
//! at which something branches. Each such piece of the network is a tree whose root is the net at which most sources meet. What closes a
//! ring is cut, and both cut ends bear a letter. Cells in series are one feeder; what is taken between them is a tree of its own.
//!
//! A way is the same in all modes: currents and positions are those of the mode that was asked for, margins those of all modes.
//!
//! Cost: a few passes over the edges and one walk over the nets, beside the tables of [`Loads`](crate::inspect::Loads).

mod back;
mod chains;
mod figures;
mod grid;
mod grow;
mod hanging;
mod plan;
mod reduce;
mod rest;
mod show;

use figures::Figures;

pub use figures::{FuseFigures, Least};

use super::{Consumer, Letter, Part, Piece, WireOf};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    quantity::{Ampere, SquareMillimetre, Volt},
    text::Span,
    vocabulary::Reference,
};
use std::cell::OnceCell;

/// The power tree of a design in one mode.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct PowerTree {
    /// The mode whose currents and positions are shown; `None` where none was computed.
    pub mode: Option<String>,
    /// Whether that mode has a steady state; without one its currents read as zero.
    pub settled: bool,
    /// The domains that have sources: class B first, then by voltage, the highest first.
    pub domains: Vec<DomainTree>,
    /// What is not in any tree, and why; with what is shown this is everything that the design has.
    pub not_shown: Vec<NotShown>,
    /// How many letters it has given to cut lines: a picture that cuts more goes on behind them.
    pub letters: u32,
}

/// The trees of one voltage domain.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct DomainTree {
    /// Its name; `None` for what no pin gives a domain.
    pub name: Option<String>,
    /// Its nominal voltage.
    pub nominal: Volt,
    /// Its highest working voltage.
    pub max: Volt,
    /// Alternating.
    pub ac: bool,
    /// Of voltage class B.
    pub class_b: bool,
    /// What its voltage is measured against.
    pub reference: Option<Reference>,
    /// Its trees, those with the most rows first.
    pub trees: Vec<Tree>,
    /// What is in the returns of several rows, or of a source.
    pub returns: Vec<CommonReturn>,
}

/// What several rows, or a source, have in their common return.
#[derive(Debug, Clone, PartialEq)]
pub struct CommonReturn {
    /// It.
    pub piece: Piece,
    /// The consumers whose return it is in, in the order written; empty where it is in the return of all of the domain.
    pub of: Vec<String>,
}

/// A tree: what feeds it, and the nets at which it branches.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// What feeds its root, in the order written.
    pub feeders: Vec<Feeder>,
    /// The nets at which it branches; the first is the root, each comes before those that it leads to.
    pub buses: Vec<Bus>,
}

/// What feeds a net.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeder {
    /// What the current comes through, from the source on: sources in series, fuses, contacts.
    pub way: Vec<Part>,
    /// The letter that it begins with, where it goes on from between the cells of another feeder.
    pub from: Option<Letter>,
    /// The wires on the way, in the order written.
    pub wires: Vec<WireOf>,
    /// The current that it gives in the mode; negative while what is in it is charged.
    pub amps: Ampere,
}

/// A net at which a tree branches.
#[derive(Debug, Clone, PartialEq)]
pub struct Bus {
    /// The place that most is joined at.
    pub name: String,
    /// Its wires, in the order written.
    pub wires: Vec<WireOf>,
    /// What leaves it, in the order of the fuse box.
    pub branches: Vec<Branch>,
}

/// What leaves a net.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// What is on the way; empty for what is joined to the net itself.
    pub way: Vec<Part>,
    /// The wires between and behind what is on the way, in the order written; those of a bus are its own.
    pub wires: Vec<WireOf>,
    /// What is in the return of this branch alone.
    pub back: Vec<Piece>,
    /// The current into the branch in the mode.
    pub amps: Ampere,
    /// The fuse of the way that is last before the load.
    pub fuse: Option<FuseFigures>,
    /// The thinnest conductor that goes by that fuse; without a fuse the thinnest wire of the branch.
    pub size: Option<SquareMillimetre>,
    /// The least margin of that fuse and what goes by it; without a fuse that of the wires of the branch.
    pub least: Option<Least>,
    /// What it leads to.
    pub end: End,
}

/// What a branch leads to.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// The net of this number in the tree, at which it branches.
    Bus(usize),
    /// What takes current there, of one sort.
    Consumers(Vec<Consumer>),
    /// A source that feeds the tree from there.
    Source(Feeder),
    /// It meets the tree once more, at this letter.
    Meets(Letter),
    /// The other cut end.
    From(Letter),
    /// The other side of loads that are shown elsewhere.
    OtherSide(Vec<String>),
    /// Pins that take no current that is drawn: spare, or inputs that only see the voltage.
    Pins(Vec<String>),
}

/// Something that is in no tree.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct NotShown {
    /// Its name.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// Why.
    pub why: Why,
}

/// Why something is in no tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// No source is joined to it.
    Unfed,
    /// It is left out of this build.
    LeftOut,
    /// It carries next to nothing: a signal.
    Signal,
    /// It is in an interlock loop.
    Interlock,
    /// It stores and takes nothing for long.
    Stores,
    /// A bar or link: it is drawn as the conductor that it is.
    Bar,
    /// A diode that no feed passes: it is across something, or turned.
    Blocks,
    /// Both its ends are one conductor.
    OneNet,
}

impl Why {
    /// All of them, in the order in which they are listed.
    pub const ALL: [Self; 8] =
        [Self::Unfed, Self::LeftOut, Self::Signal, Self::Interlock, Self::Stores, Self::Bar, Self::Blocks, Self::OneNet];

    /// In words, behind a list of names.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Unfed => "no source is joined to it",
            Self::LeftOut => "left out of this build",
            Self::Signal => "signals: next to no current",
            Self::Interlock => "in an interlock loop",
            Self::Stores => "capacitors: nothing flows for long",
            Self::Bar => "bars and links: drawn as conductors",
            Self::Blocks => "diodes that no feed passes",
            Self::OneNet => "both ends are one conductor",
        }
    }
}

/// The power trees of a design, one a mode; the tables that they share are made once, with the first.
#[derive(Debug)]
pub struct PowerTrees<'a> {
    analysis: &'a Analysis,
    modes: Vec<&'a ModeState>,
    figures: OnceCell<Figures>,
}

impl<'a> PowerTrees<'a> {
    /// Those of all modes that were computed, in the order written; none is made yet.
    #[must_use]
    pub fn of(analysis: &'a Analysis) -> Self {
        Self { analysis, modes: analysis.electrical().modes_as_written(), figures: OnceCell::new() }
    }

    /// The modes, in the order written: none where no mode was computed.
    pub fn modes(&self) -> impl Iterator<Item = &'a str> {
        self.modes.iter().map(|mode| self.analysis.model().mode_name(mode.id))
    }

    /// The tree in the mode of this place; where no mode was computed, the one tree that has none.
    #[must_use]
    pub fn at(&self, mode: usize) -> PowerTree {
        let figures = self.figures.get_or_init(|| Figures::new(self.analysis));
        PowerTree::in_state(self.analysis, self.modes.get(mode).copied(), figures)
    }
}

impl PowerTree {
    /// The tree of a design in the mode in which its sources give most.
    #[must_use]
    pub fn of(analysis: &Analysis) -> Self {
        let watts = |mode: &&ModeState| -> f64 {
            let network = analysis.network();
            let gives = network.edges().filter(|(_, edge)| edge.role.drives());
            gives.map(|(id, edge)| mode.amps(id).get().max(0.0) * (mode.volts(edge.b) - mode.volts(edge.a)).get().abs()).sum()
        };
        // Of modes with the same power the first that is written.
        let most = analysis.electrical().modes_as_written().into_iter().rev().max_by(|a, b| watts(a).total_cmp(&watts(b)));
        Self::in_state(analysis, most, &Figures::new(analysis))
    }

    /// The tree in the mode called `mode`; `None` where that was not computed.
    #[must_use]
    pub fn in_mode(analysis: &Analysis, mode: &str) -> Option<Self> {
        let state = analysis.electrical().modes().find(|state| analysis.model().mode_name(state.id) == mode)?;
        Some(Self::in_state(analysis, Some(state), &Figures::new(analysis)))
    }

    fn in_state(analysis: &Analysis, mode: Option<&ModeState>, figures: &Figures) -> Self {
        let grow::Grown { domains, not_shown, letters } = grow::grow(analysis, mode, figures);
        Self {
            mode: mode.map(|mode| analysis.model().mode_name(mode.id).to_owned()),
            settled: mode.is_none_or(ModeState::is_settled),
            domains,
            not_shown,
            letters,
        }
    }

    /// The names of everything that is shown, sorted, each as often as it is: sources, consumers and what is on the way.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        let mut names = Vec::new();
        for domain in &self.domains {
            names.extend(domain.returns.iter().map(|common| common.piece.name.as_str()));
            for tree in &domain.trees {
                tree.feeders.iter().for_each(|feeder| of_way(&feeder.way, &mut names));
                for branch in tree.buses.iter().flat_map(|bus| &bus.branches) {
                    of_way(&branch.way, &mut names);
                    names.extend(branch.back.iter().map(|piece| piece.name.as_str()));
                    match &branch.end {
                        End::Consumers(consumers) => names.extend(consumers.iter().map(|one| one.name.as_str())),
                        End::Source(feeder) => of_way(&feeder.way, &mut names),
                        End::Bus(_) | End::Meets(_) | End::From(_) | End::OtherSide(_) | End::Pins(_) => {}
                    }
                }
            }
        }
        names.sort_unstable();
        names
    }
}

fn of_way<'a>(way: &'a [Part], names: &mut Vec<&'a str>) {
    names.extend(Part::pieces(way).iter().map(|piece| piece.name.as_str()));
    for part in way {
        if let Part::Sources(sources) = part {
            names.extend(sources.iter().map(|source| source.name.as_str()));
        }
    }
}
