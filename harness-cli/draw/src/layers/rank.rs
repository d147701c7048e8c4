//! Which layer each box is in: behind all that feed it, as near to what it feeds as it can be.

use super::{Graph, Side};

/// The layer of each box.
pub(super) fn of(graph: &Graph) -> Vec<usize> {
    let count = graph.nodes.len();
    let mut ahead: Vec<Vec<usize>> = vec![Vec::new(); count];
    for net in &graph.nets {
        let at = |side: Side| net.ports.iter().filter(move |port| port.side == side && port.node < count);
        for from in at(Side::Right) {
            for to in at(Side::Left).filter(|to| to.node != from.node) {
                ahead.get_mut(from.node).into_iter().for_each(|ahead| ahead.push(to.node));
            }
        }
    }
    for followers in &mut ahead {
        followers.sort_unstable();
        followers.dedup();
    }
    let order = without_circles(&mut ahead);
    let mut ranks = vec![0_usize; count];
    for node in &order {
        let rank = ranks.get(*node).copied().unwrap_or(0);
        for follower in ahead.get(*node).into_iter().flatten() {
            ranks.get_mut(*follower).into_iter().for_each(|its| *its = (*its).max(rank + 1));
        }
    }
    // What nothing feeds comes as near to what it feeds as it can.
    let mut is_fed = vec![false; count];
    for follower in ahead.iter().flatten() {
        is_fed.get_mut(*follower).into_iter().for_each(|is_fed| *is_fed = true);
    }
    for node in order {
        let nearest = ahead.get(node).into_iter().flatten().filter_map(|follower| ranks.get(*follower)).min();
        if let (Some(false), Some(nearest)) = (is_fed.get(node), nearest.copied()) {
            ranks.get_mut(node).into_iter().for_each(|its| *its = nearest.saturating_sub(1));
        }
    }
    ranks
}

/// Takes out what leads back, found from the first box on, and gives the boxes so that each is before all that follow it.
fn without_circles(ahead: &mut [Vec<usize>]) -> Vec<usize> {
    #[derive(Clone, Copy, PartialEq)]
    enum State {
        New,
        Open,
        Done,
    }
    let mut state = vec![State::New; ahead.len()];
    let mut order = Vec::with_capacity(ahead.len());
    let is_entered = {
        let mut is_entered = vec![false; ahead.len()];
        for follower in ahead.iter().flatten() {
            is_entered.get_mut(*follower).into_iter().for_each(|is| *is = true);
        }
        is_entered
    };
    let starts = (0..ahead.len()).filter(|node| is_entered.get(*node) == Some(&false)).chain(0..ahead.len());
    for start in starts.collect::<Vec<_>>() {
        if state.get(start) != Some(&State::New) {
            continue;
        }
        // Each with how many of its followers were entered.
        let mut path = vec![(start, 0_usize)];
        state.get_mut(start).into_iter().for_each(|its| *its = State::Open);
        while let Some((node, next)) = path.last_mut() {
            let node = *node;
            let Some(follower) = ahead.get(node).and_then(|followers| followers.get(*next)).copied() else {
                state.get_mut(node).into_iter().for_each(|its| *its = State::Done);
                order.push(node);
                path.pop();
                continue;
            };
            match state.get(follower) {
                Some(State::Open) => {
                    let place = *next;
                    ahead.get_mut(node).into_iter().for_each(|followers| {
                        followers.remove(place);
                    });
                }
                Some(State::New) => {
                    *next += 1;
                    state.get_mut(follower).into_iter().for_each(|its| *its = State::Open);
                    path.push((follower, 0));
                }
                _ => *next += 1,
            }
        }
    }
    order.reverse();
    order
}
