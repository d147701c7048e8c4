//! What several rules and outputs ask of an analysed design: named queries, each answered once.
//!
//! Owns one file for each fact, with its query as a method of [`Facts`], and the place where the answer is kept. A fact states what is
//! so; it makes no finding, knows no rule and no limit of the workshop. An answer is made when it is first asked for and is the same for
//! all who ask, from any thread. It holds ids, never references, so that it can be kept; what needs the model to be read is handed out
//! together with the model, so that no answer can be read with another design.

mod batteries;
mod coils;
mod potentials;
mod taps;

pub use taps::{Tap, TapGroup};

use crate::{
    design::Design,
    electrical::{Electrical, battery::Strings, coils::Coils},
    model::Model,
    network::{Nearest, Network, Potential},
};
use std::sync::OnceLock;

/// An analysed design and what was asked of it so far.
#[derive(Debug)]
pub struct Facts {
    design: Design,
    electrical: Electrical,
    made: Made,
}

/// The answers. A fact asks only for those that stand above its own: two that wait for each other would wait for ever.
#[derive(Debug, Default)]
struct Made {
    potentials: OnceLock<Nearest<Potential>>,
    coils: OnceLock<Coils>,
    batteries: OnceLock<Strings>,
    taps: OnceLock<Vec<TapGroup>>,
}

impl Facts {
    /// The facts of a design of which `electrical` was computed; nothing is answered yet.
    pub(crate) fn new(design: Design, electrical: Electrical) -> Self {
        Self { design, electrical, made: Made::default() }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// The resolved design.
    #[must_use]
    pub fn model(&self) -> &Model {
        self.design.model()
    }

    /// Who is joined to whom.
    #[must_use]
    pub fn network(&self) -> &Network {
        self.design.network()
    }

    /// What flows, in every mode that was asked for.
    #[must_use]
    pub fn electrical(&self) -> &Electrical {
        &self.electrical
    }
}
