//! Which keys on which connectors keep all plugs apart that must not be put in each other's place, with the fewest changes.
//!
//! The idea: connectors of one fit are the nodes of a graph, an edge joins two that must not go together (whatever their keys are now), and a
//! key is a colour. Greedy colouring that keeps as many keys as it can gives a cure. If the changes are few, all sets of fewer changes are
//! tried: some edge has two ends of one key, one of the two must change, and so on (a search of bounded depth). If none does, or the search was
//! not broken off, the number is proven; else a bound is given: of each set of connectors that exclude each other and join now, all but
//! one must change.
//!
//! Cost: the pairs, and at most `MOST_STEPS` steps for each fit.

use super::{
    Swaps,
    halves::PlugId,
    keys::{Code, Keys},
    meet::Grade,
};
use crate::{model::Model, text::Name};
use rustc_hash::{FxHashMap, FxHashSet};

/// Looks at a neighbour in the search for fewer changes, for each fit.
const MOST_STEPS: usize = 10_000_000;

/// Another key for a connector, both halves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Recoded {
    /// The connector.
    pub plug: PlugId,
    /// Its key.
    pub key: Code,
}

/// How sure it is that fewer changes do not suffice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// No fewer changes do, with no more letters.
    Fewest,
    /// At least so many are needed; fewer than proposed may suffice.
    NoFewer(usize),
}

/// Keys that remove all pairs of one fit that are as severe as asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cure {
    /// The connectors of the fit.
    pub members: Vec<PlugId>,
    /// What to change, in the order of the design.
    pub changes: Vec<Recoded>,
    /// Keys that the housings of the family have.
    pub letters: Vec<Name>,
    /// Letters that are needed beside these.
    pub letters_more: usize,
    /// Whether fewer changes would do.
    pub proof: Proof,
    /// Pairs that it is meant to remove.
    pub before: usize,
    /// Pairs as severe that are left when they are counted again with the new keys.
    pub left: usize,
}

impl Swaps {
    /// The cure of each fit that has pairs as severe as `least`, in the order of the fits; found once.
    #[must_use]
    pub fn cures(&self, model: &Model, least: Grade) -> &[Cure] {
        self.cured.get(least as usize).map_or(&[], |known| known.get_or_init(|| self.found_cures(model, least)))
    }

    fn found_cures(&self, model: &Model, least: Grade) -> Vec<Cure> {
        let mut excluded: FxHashMap<usize, Vec<(PlugId, PlugId)>> = FxHashMap::default();
        let mut now: FxHashMap<usize, usize> = FxHashMap::default();
        self.each_of(model, &Keys::AsWritten, least, |pair| {
            *now.entry(self.plug(pair.first).fit.0 as usize).or_default() += 1;
        });
        if now.is_empty() {
            return Vec::new();
        }
        self.each_of(model, &Keys::Ignored, least, |pair| {
            let fit = self.plug(pair.first).fit.0 as usize;
            if now.contains_key(&fit) {
                excluded.entry(fit).or_default().push((pair.first, pair.second));
            }
        });
        let mut cures: Vec<Cure> = Vec::new();
        for (fit, members) in self.fits().enumerate() {
            let (Some(before), Some(edges)) = (now.get(&fit), excluded.get(&fit)) else { continue };
            let graph = Graph::new(self, model, members, edges);
            let (colours, proof) = graph.cure();
            let changes: Vec<Recoded> = graph.changes(&colours);
            let letters_more = graph.letters_more(&colours);
            let members = members.to_vec();
            cures.push(Cure { members, changes, letters: graph.letters, letters_more, proof, before: *before, left: 0 });
        }
        // All cures at once: they are of different families, or of different numbers of positions.
        let changed = cures.iter().flat_map(|cure| &cure.changes).map(|change| (change.plug, change.key)).collect();
        let mut left: FxHashMap<u32, usize> = FxHashMap::default();
        self.each_of(model, &Keys::Changed(changed), least, |pair| {
            *left.entry(self.plug(pair.first).fit.0).or_default() += 1;
        });
        for cure in &mut cures {
            let fit = cure.members.first().map(|id| self.plug(*id).fit.0);
            cure.left = fit.and_then(|fit| left.get(&fit)).copied().unwrap_or_default();
        }
        cures
    }
}

/// A colour: the number of a letter; `None` for a connector without a key, which joins all.
type Colour = Option<u32>;

struct Graph {
    members: Vec<PlugId>,
    /// Which others each one must not go together with.
    around: Vec<Vec<usize>>,
    /// The key that each one has.
    now: Vec<Colour>,
    letters: Vec<Name>,
}

fn clash(one: Colour, other: Colour) -> bool {
    one.is_none() || other.is_none() || one == other
}

impl Graph {
    fn new(swaps: &Swaps, model: &Model, members: &[PlugId], edges: &[(PlugId, PlugId)]) -> Self {
        let place: FxHashMap<PlugId, usize> = members.iter().enumerate().map(|(at, id)| (*id, at)).collect();
        let mut around = vec![Vec::new(); members.len()];
        for (one, other) in edges {
            let (Some(one), Some(other)) = (place.get(one).copied(), place.get(other).copied()) else { continue };
            for (own, its) in [(one, other), (other, one)] {
                if let Some(list) = around.get_mut(own) {
                    list.push(its);
                }
            }
        }
        around.iter_mut().for_each(|list| list.sort_unstable());
        let letters = letters(swaps, model, members);
        let number = |key: Name| letters.iter().position(|known| *known == key).map(|at| at as u32);
        let now = members.iter().map(|id| swaps.key(*id).and_then(number)).collect();
        Self { members: members.to_vec(), around, now, letters }
    }

    fn neighbours(&self, at: usize) -> &[usize] {
        self.around.get(at).map_or(&[], Vec::as_slice)
    }

    fn colour(colours: &[Colour], at: usize) -> Colour {
        colours.get(at).copied().flatten()
    }

    /// Who clashes with whom in a colouring: the first such pair.
    fn clashing(&self, colours: &[Colour], steps: &mut usize) -> Option<(usize, usize)> {
        (0..self.members.len()).find_map(|at| {
            let own = Self::colour(colours, at);
            *steps = steps.saturating_sub(self.neighbours(at).len());
            let other = self.neighbours(at).iter().find(|other| clash(own, Self::colour(colours, **other)))?;
            Some((at, *other))
        })
    }

    fn cure(&self) -> (Vec<Colour>, Proof) {
        let greedy = self.greedy();
        let most = self.count(&greedy);
        let least = self.bound();
        if least >= most && self.used(&greedy) <= self.letters.len() {
            return (greedy, Proof::Fewest);
        }
        let mut steps = MOST_STEPS;
        // More letters than there are only where no arrangement of these does.
        if self.used(&greedy) > self.letters.len() {
            for depth in least..=self.members.len() {
                match self.tried(depth, self.letters.len(), &mut steps) {
                    Some(Some(found)) => return (found, Proof::Fewest),
                    Some(None) => {}
                    None => return (greedy, Proof::NoFewer(least)),
                }
            }
        }
        for depth in least..most {
            match self.tried(depth, self.used(&greedy).max(self.letters.len()), &mut steps) {
                Some(Some(found)) => return (found, Proof::Fewest),
                Some(None) => {}
                None => return (greedy, Proof::NoFewer(depth)),
            }
        }
        (greedy, Proof::Fewest)
    }

    /// The keys after so many changes with so many letters, if they suffice; `None` if the steps do not suffice to say.
    fn tried(&self, depth: usize, letters: usize, steps: &mut usize) -> Option<Option<Vec<Colour>>> {
        let (mut trial, mut changed) = (self.now.clone(), vec![false; self.members.len()]);
        Some(self.search(&mut trial, &mut changed, depth, letters, steps)?.then_some(trial))
    }

    /// Whether so many changes suffice, which are then made; `None` if the steps do not suffice to say.
    fn search(
        &self,
        colours: &mut Vec<Colour>,
        changed: &mut Vec<bool>,
        depth: usize,
        most: usize,
        steps: &mut usize,
    ) -> Option<bool> {
        let Some((one, other)) = self.clashing(colours, steps) else { return Some(true) };
        if *steps == 0 {
            return None;
        }
        if depth == 0 {
            return Some(false);
        }
        for at in [one, other] {
            if changed.get(at) != Some(&false) {
                continue;
            }
            let before = Self::colour(colours, at);
            // Of letters that nobody has one is as good as another.
            let mut is_new_tried = false;
            for colour in 0..most as u32 {
                let is_used = colours.contains(&Some(colour));
                if Some(colour) == before || !is_used && std::mem::replace(&mut is_new_tried, true) {
                    continue;
                }
                *steps = steps.checked_sub(self.neighbours(at).len().max(1))?;
                let clashes = |its: &usize| changed.get(*its) == Some(&true) && Self::colour(colours, *its) == Some(colour);
                if self.neighbours(at).iter().any(clashes) {
                    continue;
                }
                set(colours, at, Some(colour));
                set(changed, at, true);
                if self.search(colours, changed, depth - 1, most, steps)? {
                    return Some(true);
                }
                set(colours, at, before);
                set(changed, at, false);
            }
        }
        Some(false)
    }

    /// A colouring that keeps the keys of as many as it easily can: those with the fewest clashes first.
    fn greedy(&self) -> Vec<Colour> {
        let count = self.members.len();
        let clashes = |at: &usize| {
            let own = Self::colour(&self.now, *at);
            self.neighbours(*at).iter().filter(|other| clash(own, Self::colour(&self.now, **other))).count()
        };
        let mut order: Vec<(usize, usize)> = (0..count).map(|at| (clashes(&at), at)).collect();
        order.sort_unstable();
        let mut colours: Vec<Colour> = vec![None; count];
        let mut done = vec![false; count];
        let mut moved = Vec::new();
        for (clashing, at) in order {
            let own = Self::colour(&self.now, at);
            let is_free = self
                .neighbours(at)
                .iter()
                .all(|other| done.get(*other) != Some(&true) || !clash(own, Self::colour(&colours, *other)));
            // One without a key joins all: it stays as it is only if nothing clashes with it.
            if is_free && (own.is_some() || clashing == 0) {
                set(&mut colours, at, own);
                set(&mut done, at, true);
            } else {
                moved.push(at);
            }
        }
        for at in moved {
            let taken: FxHashSet<Colour> = self
                .neighbours(at)
                .iter()
                .filter(|other| done.get(**other) == Some(&true))
                .map(|other| Self::colour(&colours, *other))
                .collect();
            let own = Self::colour(&self.now, at).filter(|own| !taken.contains(&Some(*own)));
            let free =
                own.or_else(|| (0..=count as u32 + self.letters.len() as u32).find(|colour| !taken.contains(&Some(*colour))));
            set(&mut colours, at, free);
            set(&mut done, at, true);
        }
        colours
    }

    /// How many changes are needed at least: of connectors that all exclude each other and join now, all but one.
    fn bound(&self) -> usize {
        let mut used = vec![false; self.members.len()];
        let mut sum = 0;
        for at in 0..self.members.len() {
            if used.get(at) == Some(&true) {
                continue;
            }
            let own = Self::colour(&self.now, at);
            let mut clique = vec![at];
            for other in self.neighbours(at) {
                let joins = |its: &usize| {
                    self.neighbours(*other).binary_search(its).is_ok()
                        && clash(Self::colour(&self.now, *its), Self::colour(&self.now, *other))
                };
                let is_near = clash(own, Self::colour(&self.now, *other));
                if used.get(*other) == Some(&false) && is_near && clique.iter().skip(1).all(joins) {
                    clique.push(*other);
                }
                if clique.len() > MOST_CLIQUE {
                    break;
                }
            }
            if clique.len() > 1 {
                // One without a key in it has to change whoever keeps his.
                let keyless = clique.iter().filter(|at| Self::colour(&self.now, **at).is_none()).count();
                sum += (clique.len() - 1).max(keyless);
                clique.iter().for_each(|at| set(&mut used, *at, true));
            }
        }
        sum
    }

    fn count(&self, colours: &[Colour]) -> usize {
        self.now.iter().zip(colours).filter(|(now, then)| now != then).count()
    }

    /// One more than the highest letter.
    fn used(&self, colours: &[Colour]) -> usize {
        colours.iter().flatten().max().map_or(0, |most| *most as usize + 1)
    }

    fn letters_more(&self, colours: &[Colour]) -> usize {
        let more: FxHashSet<u32> =
            colours.iter().flatten().copied().filter(|colour| *colour as usize >= self.letters.len()).collect();
        more.len()
    }

    fn changes(&self, colours: &[Colour]) -> Vec<Recoded> {
        let each = self.members.iter().zip(&self.now).zip(colours).filter(|((_, now), then)| now != then);
        each.filter_map(|((plug, _), then)| {
            let then = (*then)?;
            let more = || Code::More(then.saturating_sub(self.letters.len() as u32));
            let key = self.letters.get(then as usize).map_or_else(more, |name| Code::Known(*name));
            Some(Recoded { plug: *plug, key })
        })
        .collect()
    }
}

/// Members of a set that exclude each other, beyond which no larger one is looked for.
const MOST_CLIQUE: usize = 64;

fn set<T>(list: &mut [T], at: usize, value: T) {
    if let Some(place) = list.get_mut(at) {
        *place = value;
    }
}

/// The keys of the housings of this family and these positions, sorted as text.
fn letters(swaps: &Swaps, model: &Model, members: &[PlugId]) -> Vec<Name> {
    let Some(half) = members.first().and_then(|id| swaps.plug(*id).halves().next()) else { return Vec::new() };
    let own = &model[half.housing];
    let labels = |housing: &crate::model::Housing| housing.index.iter().map(|(label, _)| *label).collect::<Vec<_>>();
    let is_fit = |housing: &crate::model::Housing| {
        housing.family.map(|family| family.value) == own.family.map(|family| family.value) && labels(housing) == labels(own)
    };
    let mut letters: Vec<Name> =
        model.housings().filter(|(_, housing)| is_fit(housing)).filter_map(|(_, housing)| Some(housing.key?.value)).collect();
    letters.sort_by_key(|key| model.text(*key));
    letters.dedup();
    letters
}
