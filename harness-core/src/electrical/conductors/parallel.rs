//! Conductors in parallel: wires, or chains of them, that join the same two places ([`side_by_side`]).
//!
//! How they share is what the solved network says. What the others carry when one opens follows without solving again: between the
//! same two places each takes its share of the same total, so all grow by the same factor.

use super::{
    installation::Installation,
    load,
    side_by_side::{Chain, side_by_side},
};
use crate::{
    arena::IdVec,
    electrical::{ModeState, conductors::conductor::capacity_of},
    model::{ModeId, Model, WireId},
    network::Network,
    quantity::Ampere,
    standards::capacity::Beside,
};

/// What is wrong with conductors in parallel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// One carries more than it may, though together they would carry the whole.
    Uneven,
    /// One would carry more than it may if this one opened.
    Opened(WireId),
}

/// Conductors in parallel with a trouble, in the mode in which it is worst.
#[derive(Debug, Clone, PartialEq)]
pub struct Parallel {
    /// All of them, in the order written.
    pub wires: Vec<WireId>,
    /// What each carries in the mode, in the same order.
    pub amps: Vec<Ampere>,
    /// What is wrong.
    pub trouble: Trouble,
    /// The one that is overloaded, or would be.
    pub over: WireId,
    /// What it carries, or would.
    pub carries: Ampere,
    /// What it may, among the conductors loaded beside it.
    pub takes: Ampere,
    /// What is beside it.
    pub beside: Beside,
    /// The mode.
    pub mode: ModeId,
}

/// What differs by less than this factor is alike, and the first of them is taken.
const SAME: f64 = 1.0 + 1e-6;

/// The groups that have a trouble. Cost: two passes over the edges, and one over the wires a mode.
pub(in crate::electrical) fn parallel(network: &Network, modes: &[&ModeState], installation: &Installation) -> Vec<Parallel> {
    let model = network.model();
    let groups = side_by_side(network);
    if groups.is_empty() {
        return Vec::new();
    }
    let mut worst: Vec<Option<Parallel>> = vec![None; groups.len()];
    // Groups that lack copper in some mode: other rules say so, at each of their wires.
    let mut short = vec![false; groups.len()];
    for mode in modes {
        let currents = load::lasting(network, mode);
        let beside = installation.beside(&currents);
        for ((group, slot), short) in groups.iter().zip(&mut worst).zip(&mut short) {
            let Some(members) = members(model, group, &currents, &beside) else { continue };
            *short |= members.iter().map(|member| member.amps).sum::<Ampere>() > members.iter().map(|member| member.takes).sum();
            let Some(found) = judge(&members, mode.id) else { continue };
            let over = |one: &Parallel| one.carries / one.takes;
            let graver = slot.as_ref().is_none_or(|before| match (before.trouble, found.trouble) {
                (Trouble::Uneven, Trouble::Opened(_)) => false,
                (Trouble::Opened(_), Trouble::Uneven) => true,
                (Trouble::Uneven, Trouble::Uneven) | (Trouble::Opened(_), Trouble::Opened(_)) => {
                    over(&found) > over(before) * SAME
                }
            });
            if graver {
                *slot = Some(found);
            }
        }
    }
    let mut found: Vec<Parallel> =
        worst.into_iter().zip(short).filter(|(_, short)| !short).filter_map(|(found, _)| found).collect();
    found.sort_by(|a, b| a.wires.cmp(&b.wires));
    found
}

/// One of a group with what it carries and may.
struct Member {
    wire: WireId,
    amps: Ampere,
    takes: Ampere,
    beside: Beside,
}

/// The conductors of a group, of a chain the wire that may carry least; `None` where what one of them may carry is not known.
fn members(
    model: &Model,
    group: &[Chain],
    currents: &IdVec<WireId, Ampere>,
    beside: &IdVec<WireId, Beside>,
) -> Option<Vec<Member>> {
    let member = |wire: WireId| {
        let beside = beside[wire];
        let takes = capacity_of(model, &model[wire], beside)?.amps;
        Some(Member { wire, amps: currents[wire], takes, beside })
    };
    let weakest = |chain: &Chain| {
        let members: Option<Vec<Member>> = chain.iter().map(|(wire, _)| member(*wire)).collect();
        members?.into_iter().reduce(|weakest, other| if other.takes < weakest.takes { other } else { weakest })
    };
    group.iter().map(weakest).collect()
}

fn judge(members: &[Member], mode: ModeId) -> Option<Parallel> {
    let total: Ampere = members.iter().map(|member| member.amps).sum();
    if total <= Ampere::ZERO {
        return None;
    }
    let worst = |carries: &dyn Fn(&Member) -> Ampere| {
        let over = members.iter().filter(|member| carries(member) > member.takes);
        let over = over.map(|member| (carries(member), member));
        over.reduce(|a, b| if b.0 / b.1.takes > a.0 / a.1.takes * SAME { b } else { a })
    };
    let (trouble, (carries, over)) = match worst(&|member| member.amps) {
        Some(over) => (Trouble::Uneven, over),
        None => {
            // The one that carries most leaves most to the others.
            let opens = members.iter().reduce(|a, b| if b.amps > a.amps * SAME { b } else { a })?;
            let left = total - opens.amps;
            if left <= Ampere::ZERO {
                return None;
            }
            let grown =
                |member: &Member| if member.wire == opens.wire { Ampere::ZERO } else { member.amps * total.get() / left.get() };
            (Trouble::Opened(opens.wire), worst(&grown)?)
        }
    };
    Some(Parallel {
        wires: members.iter().map(|member| member.wire).collect(),
        amps: members.iter().map(|member| member.amps).collect(),
        trouble,
        over: over.wire,
        carries,
        takes: over.takes,
        beside: over.beside,
        mode,
    })
}
