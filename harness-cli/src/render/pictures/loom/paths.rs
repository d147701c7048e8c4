//! Which branch follows which, and how much room each needs, in units, before anything is drawn.
//!
//! A loom is a forest of branches between nodes. Of each tree the longest way is the trunk; what leaves it is a path of its own, alternately above
//! and below. A path takes a level of its own, so that the leftmost reaches furthest: no line crosses another.

use super::words::{Hung, is_mixed, one, words};
use harness_core::{
    bench::{Branch, Layout, Reached},
    quantity::Metre,
};
use harness_draw::Text;
use std::collections::{BTreeMap, BTreeSet};

/// Between a path and the next one above or below it.
const GAP: f64 = 14.0;
/// Above a line: its name. Below it: air, and each line of words.
const ABOVE: f64 = 26.0;
const BELOW: f64 = 12.0;
const LINE: f64 = 16.0;
/// The length of a branch of which none is given, in millimetres.
const ASSUMED: f64 = 300.0;
/// How far before the end of a branch hangs what is somewhere on it, and the room that this and a break mark need.
const HANGS: f64 = 14.0;
const TAIL: f64 = 46.0;
/// What a mark on a branch takes: a grommet, a hinge.
pub(super) const MARK: f64 = 20.0;
/// Between the lines of both voltage classes.
pub(super) const CLASSES: f64 = 20.0;
/// More branches than this are drawn each by itself.
const MOST: usize = 400;
/// Between two branches that leave at one node to one side.
const BESIDE: f64 = 10.0;

/// The trees of a loom.
pub(super) struct Forest<'a> {
    pub(super) paths: Vec<Path<'a>>,
    /// Branches that close a ring, by name.
    pub(super) rings: Vec<String>,
    /// Whether a branch is not drawn in its length.
    pub(super) has_broken: bool,
}

/// A straight way through the loom, with all that leaves it.
#[derive(Debug, Default)]
pub(super) struct Path<'a> {
    pub(super) stretches: Vec<Stretch<'a>>,
    pub(super) sides: Vec<Side<'a>>,
    /// What hangs at its end, and before its beginning, with the width of that.
    pub(super) hung: Vec<Hung>,
    pub(super) before: Vec<Hung>,
    pub(super) left: f64,
    /// It is the longest way through several branches that are joined.
    pub(super) is_trunk: bool,
    /// Its nodes by where they are.
    pub(super) nodes: Vec<(f64, String)>,
    /// How long it is, how far it reaches to the right with all that is on it, up, and down.
    pub(super) length: f64,
    pub(super) width: f64,
    pub(super) up: f64,
    pub(super) down: f64,
}

/// A branch on a path.
#[derive(Debug)]
pub(super) struct Stretch<'a> {
    pub(super) branch: &'a Branch,
    /// The node that it leads to, where it is named at it.
    pub(super) node: &'a str,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Room at its left for what leaves the node there.
    pub(super) bare: f64,
    /// What its length is on paper, if it is known, and the least that what is written at it needs.
    own: Option<f64>,
    least: f64,
    /// It is drawn longer than it is, or its length is not known.
    pub(super) is_broken: bool,
}

/// What leaves a path.
#[derive(Debug)]
pub(super) struct Side<'a> {
    pub(super) x: f64,
    /// How far below the path it is; above it is negative.
    pub(super) level: f64,
    pub(super) path: Path<'a>,
}

/// Half of the height of so many things that hang below one another.
pub(super) fn half(count: usize) -> f64 {
    count as f64 * 9.0
}

/// The width of what hangs at a place.
pub(super) fn width(hung: &[Hung]) -> f64 {
    hung.iter().map(|one| Text::bold(&one.name).width() + 8.0 + Text::small(&one.words).width()).fold(0.0, f64::max)
}

/// The branches that meet in each node, by their places.
type Meeting<'a> = BTreeMap<&'a str, Vec<usize>>;

/// What the search for trunks knows.
struct Search<'a> {
    layout: &'a Layout,
    meeting: Meeting<'a>,
    units: f64,
}

impl<'a> Forest<'a> {
    /// The trees of a loom, in the order of their first branches; so many `units` are a millimetre.
    pub(super) fn of(layout: &'a Layout, units: f64) -> Self {
        let mut meeting = Meeting::new();
        let mut group: BTreeMap<&str, &str> = BTreeMap::new();
        let root = |group: &BTreeMap<&'a str, &'a str>, mut node: &'a str| {
            while let Some(next) = group.get(node).filter(|next| **next != node) {
                node = next;
            }
            node
        };
        let (mut rings, mut single) = (Vec::new(), Vec::new());
        for (at, branch) in layout.branches.iter().enumerate() {
            let [a, b] = &branch.nodes;
            if a.is_empty() || b.is_empty() || layout.branches.len() > MOST {
                single.push(at);
                continue;
            }
            let (first, second) = (root(&group, a), root(&group, b));
            if first == second {
                rings.push(at);
                continue;
            }
            group.insert(first, second);
            meeting.entry(a).or_default().push(at);
            meeting.entry(b).or_default().push(at);
        }
        let search = Search { layout, meeting, units };
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let mut paths: Vec<(usize, Path<'a>)> = Vec::new();
        for (at, branch) in layout.branches.iter().enumerate() {
            if single.contains(&at) || rings.contains(&at) {
                paths.push((at, search.alone(branch)));
            } else if let Some(node) = branch.nodes.first().filter(|node| !seen.contains(node.as_str())) {
                let start = search.far(node, None);
                let start = search.far(start.1, None);
                search.mark(start.1, &mut seen);
                paths.push((at, search.path(start.1, None)));
            }
        }
        let has_broken = paths.iter().any(|(_, path)| path.has_broken());
        let rings = rings.into_iter().filter_map(|at| layout.branches.get(at)).map(|branch| branch.name.clone()).collect();
        Self { paths: paths.into_iter().map(|(_, path)| path).collect(), rings, has_broken }
    }
}

impl<'a> Search<'a> {
    fn branch(&self, at: usize) -> Option<&'a Branch> {
        self.layout.branches.get(at)
    }

    fn other(branch: &'a Branch, node: &str) -> &'a str {
        let [a, b] = &branch.nodes;
        if a == node { b } else { a }
    }

    /// The branches that leave a node, but the one by which it was reached.
    fn leaving(&self, node: &str, by: Option<usize>) -> impl Iterator<Item = usize> + use<'_, 'a> {
        self.meeting.get(node).into_iter().flatten().copied().filter(move |at| Some(*at) != by)
    }

    /// How far the farthest node is, and which; of equal ones the one that is reached by the first branch.
    fn far(&self, node: &'a str, by: Option<usize>) -> (f64, &'a str) {
        let mut most = (0.0, node);
        for at in self.leaving(node, by) {
            let Some(branch) = self.branch(at) else { continue };
            let (beyond, end) = self.far(Self::other(branch, node), Some(at));
            let far = millimetres(branch) + beyond;
            if far > most.0 {
                most = (far, end);
            }
        }
        most
    }

    fn mark(&self, node: &'a str, seen: &mut BTreeSet<&'a str>) {
        if seen.insert(node) {
            for at in self.leaving(node, None) {
                self.branch(at).into_iter().for_each(|branch| self.mark(Self::other(branch, node), seen));
            }
        }
    }

    /// A branch by itself, with what hangs on it at its middle.
    fn alone(&self, branch: &'a Branch) -> Path<'a> {
        let mut path = Path::default();
        path.add((branch, ""), self.units, 0.0);
        self.both_sides(&mut path, branch);
        path.close()
    }

    /// The longest way from a node, beginning with the branch `first` if one is given, with all that leaves it.
    fn path(&self, node: &'a str, first: Option<usize>) -> Path<'a> {
        let mut path = Path::default();
        let (mut node, mut by) = (node, None);
        // The node where a side path begins is that of the path that it leaves.
        path.is_trunk = first.is_none();
        if path.is_trunk {
            path.nodes.push((0.0, node.to_owned()));
        }
        let mut next = first;
        loop {
            let farthest = |at: &usize| {
                let branch = self.branch(*at)?;
                Some((millimetres(branch) + self.far(Self::other(branch, node), Some(*at)).0, *at))
            };
            let chosen = next.take().or_else(|| {
                let all = self.leaving(node, by).filter_map(|at| farthest(&at));
                all.reduce(|most, one| if one.0 > most.0 { one } else { most }).map(|(_, at)| at)
            });
            let Some(chosen) = chosen else { break };
            let Some(branch) = self.branch(chosen) else { break };
            // What else leaves the node does so here; where a side path begins the path that it leaves has drawn it.
            let sides: Vec<usize> = match by {
                Some(_) => self.leaving(node, by).filter(|at| *at != chosen).collect(),
                None => Vec::new(),
            };
            let bare = sides.len().div_ceil(2) as f64 * BESIDE;
            for side in sides {
                path.leave(self.path(node, Some(side)), path.length);
            }
            node = Self::other(branch, node);
            // Those of a trunk are named where their distances are.
            path.add((branch, if path.is_trunk { "" } else { node }), self.units, bare);
            let begins = path.is_trunk && by.is_none();
            by = Some(chosen);
            path.nodes.push((path.length, node.to_owned()));
            let is_last = self.leaving(node, by).next().is_none();
            match (begins, is_last) {
                (true, true) => self.both_sides(&mut path, branch),
                (true, false) => path.before = self.hung(branch),
                (false, true) => path.hung = self.hung(branch),
                (false, false) => path.hang(self.hung(branch)),
            }
        }
        path.close()
    }

    /// What hangs at both sides of a branch that is joined to no other.
    fn both_sides(&self, path: &mut Path<'a>, branch: &'a Branch) {
        let [one, other, along] = &branch.reached;
        path.before = self.reaching(one);
        path.hung = self.reaching(other);
        path.hang(self.at(branch).into_iter().chain(self.reaching(along)).collect());
    }

    /// What hangs on a branch, at whichever side.
    fn hung(&self, branch: &Branch) -> Vec<Hung> {
        self.at(branch).into_iter().chain(self.reaching(branch.reached.iter().flatten())).collect()
    }

    /// What says that it hangs on a branch.
    fn at(&self, branch: &Branch) -> Vec<Hung> {
        let hung =
            |(end, reach): &(String, Option<Metre>)| one(end, *reach, (self.wires_of(end), self.wires_of(end)), self.mate(end));
        branch.ends.iter().map(hung).collect()
    }

    /// What has wires that leave through a branch.
    fn reaching<'e>(&self, ends: impl IntoIterator<Item = &'e Reached>) -> Vec<Hung> {
        let hung = |reached: &Reached| {
            one(&reached.end, reached.reach, (reached.wires, self.wires_of(&reached.end)), self.mate(&reached.end))
        };
        ends.into_iter().map(hung).collect()
    }

    fn mate(&self, end: &str) -> Option<&'a String> {
        self.layout.mates.get(end)
    }

    fn wires_of(&self, end: &str) -> usize {
        self.layout.wires_of_ends.get(end).copied().unwrap_or(0)
    }
}

/// The room at the end of a branch, for a break mark, for what hangs somewhere on it, and for its marks.
pub(super) fn tail(branch: &Branch) -> f64 {
    let marks = usize::from(branch.passage.is_some()) + usize::from(branch.moves);
    TAIL + MARK * marks as f64
}

fn millimetres(branch: &Branch) -> f64 {
    branch.length.map_or(ASSUMED, |length| length.get() * 1000.0)
}

impl<'a> Path<'a> {
    /// Puts a branch at the end, at least as long as what is written at it.
    fn add(&mut self, (branch, node): (&'a Branch, &'a str), units: f64, bare: f64) {
        let words = words(branch, node);
        let least = words.width + bare + tail(branch) + 16.0;
        let own = branch.length.map(|_| millimetres(branch) * units);
        let is_broken = own.is_none_or(|own| own < least);
        let from = self.length;
        self.length += (millimetres(branch) * units).max(least);
        self.up = self.up.max(ABOVE);
        let both = if is_mixed(branch) { CLASSES } else { 0.0 };
        self.down = self.down.max(BELOW + both + LINE * words.below.len() as f64);
        self.stretches.push(Stretch { branch, node, from, to: self.length, bare, own, least, is_broken });
    }

    /// What hangs on the last branch, nobody knows where.
    fn hang(&mut self, hung: Vec<Hung>) {
        let Some(last) = self.stretches.last().filter(|_| !hung.is_empty()) else { return };
        let x = last.to - HANGS;
        let path = Path { hung, ..Path::default() };
        self.leave(path.close(), x);
    }

    fn leave(&mut self, path: Path<'a>, x: f64) {
        self.sides.push(Side { x, level: 0.0, path });
    }

    /// Takes from its first branch what is drawn before it turns.
    fn turned(&mut self, level: f64) {
        let Some(first) = self.stretches.first_mut() else { return };
        let Some(own) = first.own else { return };
        let rest = (own - level).max(first.least);
        first.is_broken = own < first.least + level;
        let back = first.to - first.from - rest;
        first.to -= back;
        for later in self.stretches.iter_mut().skip(1) {
            later.from -= back;
            later.to -= back;
        }
        self.sides.iter_mut().for_each(|side| side.x -= back);
        self.nodes.iter_mut().for_each(|(x, _)| *x -= back);
        self.length -= back;
        self.width -= back;
    }

    fn has_broken(&self) -> bool {
        self.stretches.iter().any(|stretch| stretch.is_broken) || self.sides.iter().any(|side| side.path.has_broken())
    }

    /// Gives all that leaves it a level, alternately above and below, and sums up.
    fn close(mut self) -> Self {
        let beside = |hung: &[Hung]| width(hung) + if hung.is_empty() { 0.0 } else { 28.0 };
        self.width = self.length + beside(&self.hung);
        self.left = beside(&self.before);
        let half = half(self.hung.len().max(self.before.len()));
        self.up = self.up.max(half);
        self.down = self.down.max(half);
        for is_up in [true, false] {
            let picked = |at: usize| at.is_multiple_of(2) == is_up;
            let mut own: Vec<&mut Side<'a>> =
                self.sides.iter_mut().enumerate().filter(|(at, _)| picked(*at)).map(|(_, side)| side).collect();
            // Those that leave at one place are set beside one another.
            for at in 1..own.len() {
                let before = own.get(at - 1).map_or(0.0, |side| side.x);
                own.get_mut(at).into_iter().filter(|side| side.x < before + BESIDE).for_each(|side| side.x = before + BESIDE);
            }
            let mut reach = if is_up { self.up } else { self.down };
            let base = reach;
            // What is taken: from where to where, and how far out.
            let mut taken: Vec<(f64, f64, f64)> = Vec::new();
            for side in own.into_iter().rev() {
                let (near, far) = if is_up { (side.path.down, side.path.up) } else { (side.path.up, side.path.down) };
                let (left, right) = (side.x - BESIDE, side.x + side.path.width + BESIDE);
                let inner =
                    taken.iter().filter(|(from, to, _)| *from < right && left < *to).map(|(_, _, out)| *out).fold(base, f64::max);
                let level = inner + GAP + near;
                side.path.turned(level);
                side.level = if is_up { -level } else { level };
                taken.push((left, right, level + far));
                reach = reach.max(level + far);
                self.width = self.width.max(side.x + side.path.width);
            }
            if is_up {
                self.up = reach;
            } else {
                self.down = reach;
            }
        }
        self
    }
}
