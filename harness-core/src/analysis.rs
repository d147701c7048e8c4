//! A design with everything that was computed for it, once, for all who ask: rules, tables, a comparison, an editor.

use crate::{
    design::Design,
    electrical::{self, Electrical},
    facts::Facts,
    model::{ModeId, Model},
    network::Network,
};
use std::fmt;

/// In which modes a design is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Modes<'a> {
    /// In all that it has.
    All,
    /// In those with these names; in none if there are no names.
    Named(&'a [String]),
}

/// A mode was asked for that the design does not have.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct UnknownMode {
    /// The name that was asked for.
    pub name: String,
    /// The modes that there are, in the order written.
    pub known: Vec<String>,
}

impl fmt::Display for UnknownMode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the design has no mode `{}`; it has `{}`", self.name, self.known.join("`, `"))
    }
}

impl std::error::Error for UnknownMode {}

/// An analysed design. Owns what was computed, so it can be kept, moved to another thread and looked at from several.
#[derive(Debug)]
pub struct Analysis {
    facts: Facts,
}

impl Analysis {
    /// Computes what flows in a design, in the modes that are asked for, in the order in which the design writes them.
    ///
    /// # Errors
    /// [`UnknownMode`] if the design does not have one of the modes: nothing was computed then.
    ///
    /// # Example
    /// ```
    /// use harness_core::{Analysis, Design, MemoryFiles, Modes};
    ///
    /// let files = MemoryFiles::one("lift.yaml", "format: 1\ndesign: Orchard lift\nmodes: { lift: {}, park: {} }\n");
    /// let design = Design::load(&files, "lift.yaml");
    /// let analysis = Analysis::of(&design, Modes::Named(&["lift".to_owned()])).expect("the design has the mode");
    /// assert_eq!(analysis.electrical().modes().len(), 1);
    /// let unknown = Analysis::of(&design, Modes::Named(&["lfit".to_owned()])).expect_err("no such mode");
    /// assert_eq!(unknown.to_string(), "the design has no mode `lfit`; it has `lift`, `park`");
    /// ```
    pub fn of(design: &Design, modes: Modes<'_>) -> Result<Self, UnknownMode> {
        let mut asked: Vec<ModeId> = match modes {
            Modes::All => design.model().modes().map(|(id, _)| id).collect(),
            Modes::Named(names) => names.iter().map(|name| find(design, name)).collect::<Result<_, _>>()?,
        };
        asked.sort_unstable();
        asked.dedup();
        Ok(Self::in_modes(design, &asked))
    }

    /// Computes what flows in a design in every mode that it has.
    #[must_use]
    pub fn of_all(design: &Design) -> Self {
        let modes: Vec<ModeId> = design.model().modes().map(|(id, _)| id).collect();
        Self::in_modes(design, &modes)
    }

    fn in_modes(design: &Design, modes: &[ModeId]) -> Self {
        let electrical = electrical::electrical(design.shared_network(), modes);
        Self { facts: Facts::new(design.clone(), electrical) }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        self.facts.design()
    }

    /// The resolved design.
    #[must_use]
    pub fn model(&self) -> &Model {
        self.facts.model()
    }

    /// Who is joined to whom.
    #[must_use]
    pub fn network(&self) -> &Network {
        self.facts.network()
    }

    /// What flows, in every mode that was asked for.
    #[must_use]
    pub fn electrical(&self) -> &Electrical {
        self.facts.electrical()
    }

    /// What follows from all of it: named queries, each answered when it is first asked.
    #[must_use]
    pub fn facts(&self) -> &Facts {
        &self.facts
    }
}

fn find(design: &Design, name: &str) -> Result<ModeId, UnknownMode> {
    design
        .mode(name)
        .ok_or_else(|| UnknownMode { name: name.to_owned(), known: design.mode_names().map(str::to_owned).collect() })
}

#[cfg(test)]
mod tests {
    use super::{Analysis, Design};
    use crate::{facts::Connector, files::MemoryFiles};

    #[test]
    fn a_design_and_its_analysis_go_from_thread_to_thread() {
        fn both<T: Send + Sync + 'static>() {}
        both::<Design>();
        both::<Analysis>();
    }

    #[test]
    fn a_fact_is_made_once_for_all_who_ask_at_once_and_again_for_another_analysis() {
        const DESIGN: &str = "format: 1
design: Orchard lift
parts: { housings: { two-way-pins: { family: QL, positions: 2, contacts: pin } } }
devices: { horn: { ports: { J1: { housing: two-way-pins, pins: { 1: { signal: horn feed } } } } } }
";
        let design = Design::load(&MemoryFiles::one("lift.yaml", DESIGN), "lift.yaml");
        let (analysis, other) = (Analysis::of_all(&design), Analysis::of_all(&design));
        let answers: Vec<&[Connector]> = std::thread::scope(|scope| {
            let asking: Vec<_> = (0..4).map(|_| scope.spawn(|| analysis.facts().connectors())).collect();
            asking.into_iter().map(|one| one.join().expect("a thread that does not panic")).collect()
        });
        assert!(answers.iter().all(|answer| answer.len() == 1 && std::ptr::eq(*answer, answers[0])));
        assert!(!std::ptr::eq(other.facts().connectors(), answers[0]));
    }
}
