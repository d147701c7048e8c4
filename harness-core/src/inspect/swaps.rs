//! What `harness swaps` shows: which plugs fit each other's place, what a swap of two of them does, and the keys that rule the worst out.

use crate::{
    Analysis,
    evidence::plug_swaps::{Consequence, Shorts, consequence, effect_word, ended, way_words},
    facts::swaps::{Code, Counts, Cure, Effect, FitId, Grade, Insertion, Keys, Pair, PlugId, Proof, Turned, Verdict, plug_name},
    model::Model,
    quantity::{Ampere, Second},
};
use std::{
    cmp::Reverse,
    collections::{BTreeMap, BTreeSet},
};

/// The place of a row among those of its grade.
type Rank = (Reverse<Effect>, [Option<PlugId>; 2], Option<&'static str>);

/// Which rows are asked for.
#[derive(Debug, Clone, Copy)]
pub struct Asked {
    /// The least grade that is listed.
    pub least: Grade,
    /// The least grade that keys are to rule out.
    pub cured: Grade,
    /// Most rows of one grade.
    pub most: usize,
}

/// Shorts of which the current is computed, the most severe first; of the others only the way of it is known.
const MOST_SHORTS: usize = 60;

/// What two plugs in each other's place do.
#[derive(Debug, Clone)]
pub struct Swap {
    /// The two connectors; for a plug that goes into its own place the wrong way, it alone.
    pub plugs: Vec<String>,
    /// What each mates now, in the same order; empty where it mates nothing.
    pub mates: Vec<String>,
    /// The half that is moved.
    pub moved: String,
    /// Where it is put.
    pub onto: String,
    /// How a plug goes into its own place, where it is that.
    pub way: Option<&'static str>,
    /// How much it matters.
    pub grade: Grade,
    /// What happens at the worst position, as one of a few words.
    pub effect: &'static str,
    /// The two points that meet there, that of the moved half first.
    pub points: Option<[String; 2]>,
    /// What happens, in words.
    pub words: String,
    /// The current of a short.
    pub amps: Option<Ampere>,
    /// The fuse that opens, with the latest time.
    pub fuse: Option<(String, Second)>,
    /// How a short ends, in words.
    pub ends: Option<String>,
}

/// Connectors of one family, positions and labels.
#[derive(Debug, Clone)]
pub struct FitRow {
    /// The family.
    pub family: String,
    /// How many positions.
    pub positions: usize,
    /// Its connectors that are in a pair, in the order of the design.
    pub plugs: Vec<String>,
    /// How many more there are: in no pair, or too many to draw.
    pub left_out: usize,
    /// The grade of each pair that fits and can reach each other, by places in `plugs`, the lower one first.
    pub grades: Vec<(usize, usize, Grade)>,
}

/// New keys for the connectors of one family.
#[derive(Debug, Clone)]
pub struct CureRow {
    /// The family.
    pub family: String,
    /// How many positions.
    pub positions: usize,
    /// The keys that its housings have in the design.
    pub letters: Vec<String>,
    /// How many letters more are needed.
    pub letters_more: usize,
    /// Each connector that gets another key, what its key is, and what it becomes.
    pub changes: Vec<(String, Option<String>, String)>,
    /// Whether fewer changes are known not to suffice; else the least that may.
    pub at_least: Option<usize>,
    /// Pairs that it removes.
    pub before: usize,
    /// Pairs that are left, counted again with the new keys.
    pub left: usize,
}

/// Everything about plugs that fit each other's place.
#[derive(Debug, Clone, Default)]
pub struct Swaps {
    /// How many connectors were compared.
    pub plugs: usize,
    /// How many families and numbers of positions they are of.
    pub fits: usize,
    /// How many pairs, by what came out.
    pub counts: Counts,
    /// Pairs and turned plugs, the most severe first.
    pub rows: Vec<Swap>,
    /// Pairs of the grades asked for that are not among the rows, because there are too many.
    pub left_out: usize,
    /// Keys that rule out what is asked for.
    pub cures: Vec<CureRow>,
    /// Plugs that go into their own place the wrong way round, by what the design says.
    pub turned: usize,
    /// Connectors that can't be compared.
    pub unknown: Vec<String>,
    /// Connectors of pairs that fit of which no zone is known: they are taken to reach all.
    pub without_zone: Vec<String>,
    /// Connectors without a key and without a face: nothing says whether they go in turned.
    pub without_face: Vec<String>,
}

impl Swaps {
    /// Compares the plugs of a design.
    ///
    /// Cost: that of the pairs, and the current of at most 60 shorts.
    #[must_use]
    pub fn of(analysis: &Analysis, asked: Asked) -> Self {
        let (facts, model) = (analysis.facts(), analysis.model());
        let swaps = facts.swaps();
        let mut kept: BTreeMap<Grade, BTreeMap<Rank, Shown>> = BTreeMap::new();
        let mut left_out = 0;
        let mut keep = |(grade, effect): (Grade, Effect), plugs: [Option<PlugId>; 2], shown: Shown| {
            if grade < asked.least {
                return;
            }
            let of_grade = kept.entry(grade).or_default();
            let rank = (Reverse(effect), plugs, shown.way());
            // Of too many of one grade the first ones in the order in which they are shown.
            if of_grade.len() >= asked.most {
                left_out += 1;
                if of_grade.last_key_value().is_none_or(|(last, _)| *last <= rank) {
                    return;
                }
                of_grade.pop_last();
            }
            of_grade.insert(rank, shown);
        };
        let mut is_paired = vec![false; swaps.plugs().count()];
        let counts = swaps.each_pair(model, &Keys::AsWritten, |pair| {
            for id in [pair.first, pair.second] {
                if let Some(is_paired) = is_paired.get_mut(id.index()) {
                    *is_paired = true;
                }
            }
            keep((pair.grade, pair.effect), [Some(pair.first), Some(pair.second)], Shown::Pair(pair));
        });
        let without_zone = swaps.plugs().zip(is_paired).filter(|((_, plug), is_paired)| *is_paired && plug.zones.is_empty());
        let without_zone: Vec<PlugId> = without_zone.map(|((id, _), _)| id).collect();
        let turns = swaps.turns(model);
        for turned in &turns.turned {
            keep((turned.verdict.grade, turned.verdict.effect), [Some(turned.plug), None], Shown::Turned(*turned));
        }
        let mut shorts = Shorts::new(facts, MOST_SHORTS);
        let found = kept.into_iter().rev().flat_map(|(_, rows)| rows.into_values());
        let mut rows: Vec<Swap> = found.filter_map(|shown| shown_row(analysis, &shown, &mut shorts)).collect();
        // A current may have made a danger of what was thought to be ended by a fuse.
        rows.sort_by_key(|row| Reverse(row.grade));
        let names = |ids: &[PlugId]| ids.iter().map(|id| plug_name(model, swaps.plug(*id))).collect::<Vec<_>>();
        let cures = swaps.cures(model, asked.cured).iter().map(|cure| cure_row(model, swaps, cure)).collect();
        Self {
            plugs: swaps.plugs().count(),
            fits: swaps.fits().count(),
            counts,
            rows,
            left_out,
            cures,
            turned: turns.turned.len(),
            unknown: swaps.unknown().iter().map(|half| model.mate_name(*half)).collect(),
            without_zone: names(&without_zone),
            without_face: names(&turns.without_face),
        }
    }

    /// What two connectors in each other's place do, by the names of an end or port of each; `None` where they do not fit or cannot reach
    /// each other.
    ///
    /// # Errors
    /// The name that is none of a connector.
    pub fn pair(analysis: &Analysis, names: [&str; 2]) -> Result<Option<Swap>, String> {
        let (facts, model) = (analysis.facts(), analysis.model());
        let swaps = facts.swaps();
        let find = |name: &str| {
            let is_named = |plug: &crate::facts::swaps::Plug| plug.halves().any(|half| model.mate_name(half.at) == name);
            swaps.plugs().find(|(_, plug)| is_named(plug)).map(|(id, _)| id).ok_or_else(|| name.to_owned())
        };
        let [one, other] = names;
        let (one, other) = (find(one)?, find(other)?);
        let pair = swaps.pair(model, &Keys::AsWritten, one, other);
        Ok(pair.and_then(|pair| shown_row(analysis, &Shown::Pair(pair), &mut Shorts::new(analysis.facts(), 1))))
    }

    /// The names of all connectors, for who looks for one.
    #[must_use]
    pub fn names(analysis: &Analysis) -> Vec<String> {
        let model = analysis.model();
        let halves = analysis.facts().swaps().plugs().flat_map(|(_, plug)| plug.halves());
        halves.map(|half| model.mate_name(half.at)).collect()
    }
}

/// What a row is about.
#[derive(Debug, Clone, Copy)]
enum Shown {
    Pair(Pair),
    Turned(Turned),
}

impl Shown {
    fn way(&self) -> Option<&'static str> {
        match self {
            Self::Pair(_) => None,
            Self::Turned(turned) => Some(way_words(turned.way)),
        }
    }
}

fn shown_row(analysis: &Analysis, shown: &Shown, shorts: &mut Shorts<'_>) -> Option<Swap> {
    match shown {
        Shown::Pair(pair) => {
            let verdict = analysis.facts().swaps().verdict(analysis.model(), pair)?;
            Some(row(analysis, &verdict, &[pair.first, pair.second], None, shorts))
        }
        Shown::Turned(turned) => Some(row(analysis, &turned.verdict, &[turned.plug], shown.way(), shorts)),
    }
}

fn row(analysis: &Analysis, verdict: &Verdict, plugs: &[PlugId], way: Option<&'static str>, shorts: &mut Shorts<'_>) -> Swap {
    let (facts, model) = (analysis.facts(), analysis.model());
    let swaps = facts.swaps();
    let Consequence { words, grade, short, points, .. } = consequence(facts, verdict, shorts);
    let Insertion { socket, pin } = verdict.insertion;
    let name = |half: Option<&crate::facts::swaps::Half>| half.map(|half| model.mate_name(half.at)).unwrap_or_default();
    let mates = plugs.iter().map(|id| {
        let plug = swaps.plug(*id);
        let own = plug_name(model, plug);
        plug.halves().map(|half| model.mate_name(half.at)).find(|name| *name != own).unwrap_or_default()
    });
    Swap {
        plugs: plugs.iter().map(|id| plug_name(model, swaps.plug(*id))).collect(),
        mates: mates.collect(),
        moved: name(swaps.plug(socket).socket.as_ref()),
        onto: name(swaps.plug(pin).pin.as_ref()),
        way,
        grade,
        effect: effect_word(verdict.effect),
        points: points.map(|(own, other)| [model.point_name(own), model.point_name(other)]),
        words,
        amps: short.as_ref().map(|short| short.amps),
        fuse: short.as_ref().and_then(|short| short.fuse).map(|(fuse, time)| (model.element_name(fuse), time)),
        ends: short.as_ref().map(|short| ended(model, short)),
    }
}

/// Pairs of a family that are looked at for the connectors to draw, the most severe ones.
const MOST_RANKED: usize = 400;

impl FitRow {
    /// The families with pairs that fit, by name, each with at most so many connectors: those of its most severe pairs.
    #[must_use]
    pub fn of(analysis: &Analysis, most: usize) -> Vec<Self> {
        let (swaps, model) = (analysis.facts().swaps(), analysis.model());
        let mut ranked: BTreeMap<FitId, BTreeSet<(Reverse<Grade>, PlugId, PlugId)>> = BTreeMap::new();
        swaps.each_pair(model, &Keys::AsWritten, |pair| {
            let of_fit = ranked.entry(swaps.plug(pair.first).fit).or_default();
            of_fit.insert((Reverse(pair.grade), pair.first, pair.second));
            if of_fit.len() > MOST_RANKED {
                of_fit.pop_last();
            }
        });
        let rows = ranked.into_iter().map(|(fit, pairs)| {
            let members = swaps.members(fit);
            let mut drawn: BTreeSet<PlugId> = BTreeSet::new();
            for (_, one, other) in pairs {
                let new = [one, other].iter().filter(|id| !drawn.contains(id)).count();
                if drawn.len() + new <= most {
                    drawn.extend([one, other]);
                }
            }
            let drawn: Vec<PlugId> = drawn.into_iter().collect();
            let mut grades = Vec::new();
            for (at, one) in drawn.iter().enumerate() {
                for (its, other) in drawn.iter().enumerate().skip(at + 1) {
                    let pair = swaps.pair(model, &Keys::AsWritten, *one, *other);
                    grades.extend(pair.map(|pair| (at, its, pair.grade)));
                }
            }
            let (family, positions) = fit_name(model, swaps, members);
            let plugs: Vec<String> = drawn.iter().map(|id| plug_name(model, swaps.plug(*id))).collect();
            Self { family, positions, left_out: members.len() - plugs.len(), plugs, grades }
        });
        let mut rows: Vec<Self> = rows.collect();
        rows.sort_by(|one, other| (&one.family, one.positions).cmp(&(&other.family, other.positions)));
        rows
    }
}

fn fit_name(model: &Model, swaps: &crate::facts::swaps::Swaps, members: &[PlugId]) -> (String, usize) {
    let half = members.first().and_then(|id| swaps.plug(*id).halves().next());
    let housing = half.map(|half| &model[half.housing]);
    let family = housing.and_then(|housing| housing.family).map_or("", |family| model.text(family.value));
    (family.to_owned(), housing.map_or(0, |housing| housing.labels.len()))
}

fn cure_row(model: &Model, swaps: &crate::facts::swaps::Swaps, cure: &Cure) -> CureRow {
    let (family, positions) = fit_name(model, swaps, &cure.members);
    let changes = cure.changes.iter().map(|change| {
        let was = swaps.key(change.plug).map(|key| model.text(key).to_owned());
        (plug_name(model, swaps.plug(change.plug)), was, code(model, change.key))
    });
    CureRow {
        family,
        positions,
        letters: cure.letters.iter().map(|key| model.text(*key).to_owned()).collect(),
        letters_more: cure.letters_more,
        changes: changes.collect(),
        at_least: match cure.proof {
            Proof::Fewest => None,
            Proof::NoFewer(least) => Some(least),
        },
        before: cure.before,
        left: cure.left,
    }
}

/// A key in words: a letter that is there, or the first, second … new one.
fn code(model: &Model, code: Code) -> String {
    match code {
        Code::Known(name) => model.text(name).to_owned(),
        Code::More(number) => format!("new key {}", number + 1),
    }
}
