//! Which fault explains what was measured, and which reading distinguishes most of what is left.
//!
//! Owns what may be wrong (`suspect`), what can be measured or seen and with which error (`probe`), against which ground (`reference`), where
//! probes reach (`access`), what each fault shows at each of them (`shows`, `ohms`; a `field` of them), how well that explains readings (`weigh`),
//! which faults nobody distinguishes (`groups`), what two at once explain (`pairs`), what to measure next (`next`; with the power off
//! `decide`), what all of it comes to
//! (`verdict`), which faults can have to do with readings at all (`scope`), and in which other modes those show that show nowhere (`elsewhere`). What flows after a fault is [`Lasting`](crate::electrical::single_faults::Lasting)'s.
//!
//! Data flow: a mode → what may be wrong → what each shows → readings → the likeliest causes, those alike as one → the next reading.
//!
//! Idea: every cause is a state of the design, so each reading has an expected figure under each cause, and Bayes' rule weighs them: how
//! often a fault of the kind is the one, times how likely each reading is with it. A reading that is beside the figure by more than its error
//! contradicts the cause. The next reading is the one whose answers split what is left most evenly (expected information, in bits).
//!
//! Cost: a fault is a few passes over the piece of the network that it is in; see [`circuit::altered`](crate::circuit::altered).

mod access;
mod decide;
mod elsewhere;
mod field;
mod groups;
mod next;
mod ohms;
mod pairs;
mod probe;
mod read;
mod reference;
mod scope;
mod search;
mod shows;
mod suspect;
mod verdict;
mod weigh;

pub use decide::Decides;
pub use elsewhere::Silent;
pub use next::Proposal;
pub use probe::{BADLY, CONTRADICTS, NOT, Probe, Seen, WORKS};
pub use read::{Misread, Reading};
pub use search::{PlaceNames, Search, Weighed};
pub use suspect::{CauseKind, NamedFault};
pub use verdict::{Cause, Diagnosis, Verdict};
