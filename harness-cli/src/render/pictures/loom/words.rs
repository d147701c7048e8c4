//! What is written at a branch, and at what hangs on it.

use crate::phrase::counted;
use harness_core::{
    bench::{Branch, Strand},
    quantity::Metre,
};
use harness_draw::{Text, clipped};

/// An end that hangs somewhere.
#[derive(Debug, Clone)]
pub(super) struct Hung {
    pub(super) key: String,
    pub(super) name: String,
    pub(super) words: String,
}

/// What is written at a branch.
pub(super) struct Words {
    pub(super) name: String,
    pub(super) length: String,
    pub(super) below: Vec<String>,
    pub(super) width: f64,
}

/// The length of a branch as a figure.
pub(super) fn length(branch: &Branch) -> String {
    branch.length.map_or_else(|| "length not given".to_owned(), |length| format!("{:.0} mm", length.get() * 1000.0))
}

/// What is written at a branch.
pub(super) fn words(branch: &Branch, node: &str) -> Words {
    let covering = branch.covering.map(|covering| covering.word().to_owned());
    let mut strands = match is_mixed(branch) {
        true => vec![format!("class B: {}", strand(&branch.class_b)), format!("class A: {}", strand(&branch.class_a))],
        false if branch.class_b.is_empty() => vec![strand(&branch.class_a)],
        false => vec![format!("class B: {}", strand(&branch.class_b))],
    };
    strands.last_mut().into_iter().for_each(|line| {
        let all: Vec<String> = [line.clone()].into_iter().chain(covering.clone()).filter(|word| !word.is_empty()).collect();
        *line = all.join(", ");
    });
    let mut second = Vec::new();
    second.extend(branch.moves.then(|| "moves".to_owned()));
    second.extend(branch.has_barrier.then(|| "barrier between class A and B".to_owned()));
    second.extend(branch.bend.map(|bend| format!("bend {} mm", bend.get())));
    second.extend(branch.passage.map(|passage| format!("through {} mm", passage.get())));
    second.extend((!branch.zone.is_empty()).then(|| format!("zone {}", branch.zone)));
    let third: Vec<String> = branch.splices.iter().map(|splice| local(splice).to_owned()).collect();
    let third = if third.is_empty() { String::new() } else { format!("splices {}", third.join(", ")) };
    let node = if node.is_empty() { String::new() } else { format!("to {node}") };
    let below = [node].into_iter().chain(strands).chain([second.join(", "), third]).filter(|line| !line.is_empty());
    let fitting = |line: String| Text::small(line).within(WIDEST);
    let below: Vec<Text> = below.map(fitting).collect();
    let (name, length) = (Text::bold(&branch.name).within(WIDEST), length(branch));
    let above = name.width() + 10.0 + Text::plain(&length).width();
    let width = below.iter().map(Text::width).fold(above, f64::max);
    Words { name: name.words().to_owned(), length, below: below.iter().map(|line| line.words().to_owned()).collect(), width }
}

/// Whether both voltage classes run in a branch: each is a bundle of its own.
pub(super) const fn is_mixed(branch: &Branch) -> bool {
    !branch.class_a.is_empty() && !branch.class_b.is_empty()
}

/// What runs in a branch of one class, and how thick it is.
fn strand(strand: &Strand) -> String {
    let count = |number: usize, what: &str| (number > 0).then(|| counted(number, what));
    let thick = strand.diameter.map(|diameter| format!("diameter {:.0} mm", diameter.get()));
    [count(strand.wires, "wire"), count(strand.cables, "cable"), thick].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The widest name of a branch and line below it.
const WIDEST: f64 = 330.0;

/// A name without its loom.
fn local(name: &str) -> &str {
    name.split_once('.').map_or(name, |(_, local)| local)
}

/// The widest name of what an end meets.
const MATE: f64 = 180.0;

/// An end with so many of its wires, and what it meets.
pub(super) fn one(end: &str, reach: Option<Metre>, (wires, all): (usize, usize), mate: Option<&String>) -> Hung {
    let count = if wires < all { format!("{wires} of {all} wires") } else { counted(wires, "wire") };
    let free = reach.map(|reach| format!("free {:.0} mm", reach.get() * 1000.0));
    let mate = mate.map_or_else(|| "meets nothing".to_owned(), |mate| format!("to {}", clipped(mate, 12.0, false, MATE)));
    let words = [Some(count), free, Some(mate)].into_iter().flatten().collect::<Vec<_>>().join(", ");
    let name = Text::bold(local(end)).within(WIDEST).words().to_owned();
    Hung { key: end.to_owned(), name, words }
}
