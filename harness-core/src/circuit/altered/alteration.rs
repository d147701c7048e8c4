//! One small change of a circuit, and how it is made in one.

use crate::circuit::{Branch, BranchKind, Circuit};

/// One small change of a circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Alteration {
    /// A branch becomes another kind of branch between its nodes: it opens, it welds, its resistance rises.
    ///
    /// The input of a converter that becomes something else takes its output with it; the contacts of a coil that opens are as without
    /// current.
    Becomes {
        /// The branch.
        branch: u32,
        /// What it becomes.
        kind: BranchKind,
    },
    /// A branch comes between two nodes: a resistance, a source from outside.
    Joins {
        /// One node; of a source its negative pole.
        from: u32,
        /// The other.
        to: u32,
        /// What it is.
        kind: BranchKind,
    },
}

impl Alteration {
    /// Makes it in a circuit; what is joined is a branch at the end of its list.
    pub fn make(self, circuit: &mut Circuit) {
        match self {
            Self::Becomes { branch, kind } => {
                let own = circuit.branches.get(branch as usize).map(|branch| branch.kind);
                if let Some(BranchKind::ConverterInput { output, .. }) = own
                    && let Some(output) = circuit.branches.get_mut(output as usize)
                {
                    output.kind = BranchKind::Open;
                }
                if let Some(branch) = circuit.branches.get_mut(branch as usize) {
                    branch.kind = kind;
                }
            }
            Self::Joins { from, to, kind } => circuit.branches.push(Branch { from, to, kind }),
        }
    }
}
