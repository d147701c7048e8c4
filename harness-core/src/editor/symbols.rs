//! Things with names, each known by what it is, what it is in, and its name.

use crate::{
    format::Kind,
    text::{Name, Names},
};
use rustc_hash::FxHashMap;

/// What a name is the name of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sort {
    /// A thing of the design.
    Thing(Kind),
    /// A point inside a device.
    Node,
    /// A lid or cover of a device.
    Cover,
    /// A core of a kind of cable.
    Core,
    /// A position of a selector.
    Position,
    /// A cavity of a loom's connector.
    Cavity,
    /// A node of a route.
    Junction,
    /// A twisted group.
    Twist,
    /// A signal.
    Signal,
}

impl Sort {
    /// What the trade calls it.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Thing(kind) => kind.noun(),
            Self::Node => "point inside",
            Self::Cover => "cover",
            Self::Core => "core",
            Self::Position => "position",
            Self::Cavity => "cavity",
            Self::Junction => "node of the route",
            Self::Twist => "twisted group",
            Self::Signal => "signal",
        }
    }

    /// Whether the thing is defined by the places that name it: nothing else does.
    #[must_use]
    pub fn is_shared(self) -> bool {
        matches!(self, Self::Junction | Self::Twist | Self::Signal)
    }

    /// Whether the name is a label of a housing: it changes with the housing only.
    #[must_use]
    pub fn is_label(self) -> bool {
        matches!(self, Self::Cavity | Self::Thing(Kind::Pin))
    }

    /// Whether the name is written within a dotted reference, so that it holds neither dot nor blank.
    #[must_use]
    pub fn is_dotted(self) -> bool {
        match self {
            Self::Thing(kind) => matches!(
                kind,
                Kind::Device
                    | Kind::Port
                    | Kind::Pin
                    | Kind::Element
                    | Kind::Loom
                    | Kind::End
                    | Kind::Splice
                    | Kind::Wire
                    | Kind::Cable
                    | Kind::Segment
            ),
            Self::Node | Self::Cover | Self::Core | Self::Cavity => true,
            Self::Position | Self::Junction | Self::Twist | Self::Signal => false,
        }
    }

    /// Sorts of which two things in one box may not share a name.
    pub(super) fn shares_names_with(self) -> &'static [Self] {
        const IN_LOOM: &[Sort] = &[Sort::Thing(Kind::End), Sort::Thing(Kind::Splice), Sort::Thing(Kind::Element)];
        const IN_DEVICE: &[Sort] = &[Sort::Thing(Kind::Port), Sort::Node];
        match self {
            Self::Thing(Kind::End | Kind::Splice) => IN_LOOM,
            Self::Thing(Kind::Port) | Self::Node => IN_DEVICE,
            _ => &[],
        }
    }
}

/// A thing with a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SymbolId(pub(super) u32);

/// A thing: what it is, what it is in, its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Symbol {
    pub(super) parent: Option<SymbolId>,
    pub(super) sort: Sort,
    pub(super) name: Name,
}

/// All things that are named somewhere.
#[derive(Debug, Default)]
pub(super) struct Symbols {
    all: Vec<Symbol>,
    ids: FxHashMap<Symbol, SymbolId>,
}

impl Symbols {
    /// The thing, added now if it was not known.
    pub(super) fn add(&mut self, parent: Option<SymbolId>, sort: Sort, name: Name) -> SymbolId {
        let symbol = Symbol { parent, sort, name };
        let all = &mut self.all;
        *self.ids.entry(symbol).or_insert_with(|| {
            all.push(symbol);
            SymbolId(all.len() as u32 - 1)
        })
    }

    /// The thing, if it is known.
    pub(super) fn find(&self, parent: Option<SymbolId>, sort: Sort, name: Name) -> Option<SymbolId> {
        self.ids.get(&Symbol { parent, sort, name }).copied()
    }

    /// What is known of a thing.
    pub(super) fn get(&self, id: SymbolId) -> Option<Symbol> {
        self.all.get(id.0 as usize).copied()
    }

    /// All things, in the order in which they were first named.
    pub(super) fn all(&self) -> impl ExactSizeIterator<Item = (SymbolId, Symbol)> + '_ {
        self.all.iter().enumerate().map(|(index, symbol)| (SymbolId(index as u32), *symbol))
    }

    /// Its name from the top, between dots.
    pub(super) fn path(&self, names: &Names, id: SymbolId) -> String {
        let mut parts = Vec::new();
        let mut next = Some(id);
        while let Some(symbol) = next.and_then(|id| self.get(id)) {
            parts.push(names.text(symbol.name));
            next = symbol.parent;
        }
        parts.reverse();
        parts.join(".")
    }
}
