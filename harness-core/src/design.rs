//! A design that was read: its files, what they say, what that means, and who is joined to whom.
//!
//! Owns the order of the first stages, `format` to `network`. A design is loaded once and shared: an analysis, a comparison and an
//! editor all hold the same one.

use crate::{
    files::Files,
    finding::Finding,
    format::{Document, Unread},
    model::{self, ModeId, Model},
    network::{self, Network},
    text::Sources,
};
use std::sync::Arc;

/// A design that was read. Cheap to clone: all clones share what was read.
#[derive(Debug, Clone)]
pub struct Design(Arc<Parts>);

#[derive(Debug)]
struct Parts {
    root: String,
    sources: Arc<Sources>,
    mistakes: Vec<Finding>,
    unread: Unread,
    network: Arc<Network>,
}

impl Design {
    /// Reads the design in the file `root` with all that it includes, resolves its names and builds its network.
    ///
    /// Never fails: what can't be read or resolved is among the [`mistakes`](Self::mistakes), and the rest of the design is there.
    ///
    /// # Cost
    /// Linear in the size of the files.
    ///
    /// # Example
    /// ```
    /// use harness_core::{Design, MemoryFiles};
    ///
    /// let files = MemoryFiles::one("lift.yaml", "format: 1\ndesign: Orchard lift\nmodes: { lift: {}, park: {} }\n");
    /// let design = Design::load(&files, "lift.yaml");
    /// assert!(design.mistakes().is_empty());
    /// assert_eq!(design.mode_names().collect::<Vec<_>>(), ["lift", "park"]);
    /// ```
    #[must_use]
    pub fn load(files: &dyn Files, root: &str) -> Self {
        Self::of(Document::read(files, root))
    }

    /// Resolves the names of a document and builds its network. Never fails, as [`load`](Self::load).
    ///
    /// The document is let go piece by piece as it is resolved: a large one would take as much memory as all that is made of it.
    #[must_use]
    pub fn of(document: Document) -> Self {
        let Document { root, sources, names, design, findings: mut mistakes, unread } = document;
        let (model, unresolved) = model::build(design, names);
        mistakes.extend(unresolved);
        let network = network::network(Arc::new(model));
        Self(Arc::new(Parts { root, sources: Arc::new(sources), mistakes, unread, network: Arc::new(network) }))
    }

    /// The name of the design's own file, as it was asked for.
    #[must_use]
    pub fn root(&self) -> &str {
        &self.0.root
    }

    /// The files that were read.
    #[must_use]
    pub fn sources(&self) -> &Arc<Sources> {
        &self.0.sources
    }

    /// Every mistake of reading and of resolving names, in no particular order.
    #[must_use]
    pub fn mistakes(&self) -> &[Finding] {
        &self.0.mistakes
    }

    /// Keys that were given and that no rule, figure or paper reads yet, by their words, with how often each is in the files.
    pub fn unread(&self) -> impl ExactSizeIterator<Item = (&'static str, usize)> {
        self.0.unread.iter().map(|(key, count)| (key.word(), *count))
    }

    /// The design with its names resolved.
    #[must_use]
    pub fn model(&self) -> &Model {
        self.0.network.model()
    }

    /// Who is joined to whom.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.0.network
    }

    /// The same network, to be held beyond the design.
    #[must_use]
    pub fn shared_network(&self) -> &Arc<Network> {
        &self.0.network
    }

    /// The names of its modes in the order written; never empty: a design that names no mode has one called `always`.
    pub fn mode_names(&self) -> impl ExactSizeIterator<Item = &str> {
        let mut modes: Vec<_> = self.model().modes().map(|(id, mode)| (mode.span, id)).collect();
        modes.sort_unstable();
        modes.into_iter().map(|(_, id)| self.model().mode_name(id))
    }

    /// The mode called `name`.
    #[must_use]
    pub fn mode(&self, name: &str) -> Option<ModeId> {
        self.model().modes().map(|(id, _)| id).find(|id| self.model().mode_name(*id) == name)
    }
}
