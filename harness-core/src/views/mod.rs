//! What a picture shows, as data: who feeds whom, what is in a line, what runs through what.
//!
//! Owns the choice of what belongs into a picture, its order and its nesting, and a list of what does not belong with the reason, so that
//! nothing is lost between a design and its drawing. Lays nothing out and words nothing but names; figures are those of `inspect`.

pub mod chain;
pub mod function;
mod letter;
pub mod net;
mod piece;
pub mod plan;
pub mod power_tree;
pub mod timeline;

pub use crate::vocabulary::{LoadKind, Reference};
pub use chain::Chain;
pub use function::Function;
pub use letter::Letter;
pub use net::Net;
pub use piece::{Consumer, ConsumerKind, Part, Piece, PieceKind, Side, Source, SourceKind, WireOf};
pub use plan::{Between, Lead, Plan, PlanLoom, PlanZone};
pub use power_tree::{PowerTree, PowerTrees};
pub use timeline::{DischargeTimeline, PrechargeTimeline, TimedContact};
