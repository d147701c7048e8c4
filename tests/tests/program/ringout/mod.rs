//! `harness ringout`: which readings prove a bare loom, and what measured ones say of it.
//!
//! Looms with slips are made here from the wires as written, by a union of names alone, so that what is read owes nothing to the library.

mod lamps;

use super::{document, folder, harness};
use harness_core::{
    Analysis, Design,
    bench::{Bench, MeasuredRow, Purpose, RingOut, RingOutStep, RingOutVerdict, SlipKind},
};
use harness_tests::{
    corpus::{generator::Numbers, place},
    fixtures, tier,
};
use std::collections::BTreeMap;

const DEMO: &str = "../fixtures/terrace-tractor/tractor.yaml";

fn analysis(file: &str) -> Analysis {
    let (folder, root) = place(&fixtures().join(file));
    Analysis::of_all(&Design::load(&folder, &root))
}

/// The wires of a loom as pairs of places: a loom on the bench that can be built wrongly.
#[derive(Clone)]
struct Built {
    wires: BTreeMap<String, [String; 2]>,
    extra: Vec<[String; 2]>,
}

impl Built {
    fn of(analysis: &Analysis, loom: &str) -> Self {
        let model = analysis.model();
        let own = model.wires().filter(|(_, wire)| model.loom_name(wire.loom) == loom);
        let wires =
            own.filter_map(|(id, wire)| Some((model.wire_name(id), [wire.from?, wire.to?].map(|point| model.point_name(point)))));
        Self { wires: wires.collect(), extra: Vec::new() }
    }

    /// What is in a cavity is in another one, for all of these at once.
    fn moved(mut self, moves: &[(&str, &str)]) -> Self {
        for end in self.wires.values_mut().flatten() {
            if let Some((_, to)) = moves.iter().find(|(from, _)| from == end) {
                *end = (*to).to_owned();
            }
        }
        self
    }

    fn swapped(self, one: &str, other: &str) -> Self {
        self.moved(&[(one, other), (other, one)])
    }

    fn without(mut self, wire: &str) -> Self {
        assert!(self.wires.remove(wire).is_some(), "{wire} is there");
        self
    }

    fn bridged(mut self, one: &str, other: &str) -> Self {
        self.extra.push([one.to_owned(), other.to_owned()]);
        self
    }

    fn are_joined(&self, from: &str, to: &str) -> bool {
        let mut reached = vec![from.to_owned()];
        let mut at = 0;
        while let Some(place) = reached.get(at).cloned() {
            at += 1;
            for pair in self.wires.values().chain(&self.extra) {
                for (one, other) in [(0, 1), (1, 0)] {
                    if pair[one] == place && !reached.contains(&pair[other]) {
                        reached.push(pair[other].clone());
                    }
                }
            }
        }
        reached.iter().any(|place| place == to)
    }

    /// Whether something joins the two leads of a step.
    fn reads(&self, ring_out: &RingOut, step: &RingOutStep) -> bool {
        match ring_out.on_strip(step).as_slice() {
            [] => self.are_joined(&step.from, &step.to),
            strip => strip.iter().any(|place| self.are_joined(&step.from, place)),
        }
    }

    fn rows(&self, ring_out: &RingOut) -> Vec<MeasuredRow> {
        let row = |step: &RingOutStep| row(&step.from, &step.to, self.reads(ring_out, step));
        ring_out.steps.iter().map(row).collect()
    }

    fn measured(&self, ring_out: &RingOut) -> RingOutVerdict {
        ring_out.compare(&self.rows(ring_out))
    }

    /// The same after every reading that is proposed, with how many these were.
    fn measured_to_the_end(&self, ring_out: &RingOut) -> (RingOutVerdict, usize) {
        let mut rows = self.rows(ring_out);
        for more in 0..40 {
            let verdict = ring_out.compare(&rows);
            let Some([from, to]) = verdict.causes.iter().find_map(|cause| cause.next_reading().cloned()) else {
                return (verdict, more);
            };
            rows.push(row(&from, &to, self.are_joined(&from, &to)));
        }
        panic!("forty readings are proposed and more");
    }
}

fn row(from: &str, to: &str, is_joined: bool) -> MeasuredRow {
    let value = if is_joined { "0.08 ohm" } else { "OL" }.to_owned();
    MeasuredRow { from: from.to_owned(), to: to.to_owned(), value, ..MeasuredRow::default() }
}

/// The sentences of one cause: the likeliest, and those that the same readings allow.
fn sentences(verdict: &RingOutVerdict, at: usize) -> Vec<&str> {
    let cause = &verdict.causes[at];
    std::iter::once(&cause.what).chain(&cause.equals).map(String::as_str).collect()
}

#[track_caller]
fn names_first(verdict: &RingOutVerdict, words: &[&str]) {
    assert!(!verdict.is_good && verdict.causes.len() == 1 && verdict.unexplained.is_empty(), "{verdict:#?}");
    let said = sentences(verdict, 0);
    assert!(said.iter().any(|said| words.iter().all(|word| said.contains(word))), "{words:?} in {said:#?}");
}

#[test]
fn a_loom_that_is_built_as_written_is_good_and_each_slip_is_named() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let bench = Bench::of(&analysis);
    for loom in ["front", "cab", "rear"] {
        let ring_out = bench.ring_out(loom).expect("the loom");
        let verdict = Built::of(&analysis, loom).measured(&ring_out);
        assert!(verdict.is_good && verdict.failing.is_empty(), "{loom}: {verdict:#?}");
    }
    let front = bench.ring_out("front").expect("the loom");
    let built = || Built::of(&analysis, "front");
    let swapped = built().swapped("front.P1.12", "front.P1.13").measured(&front);
    names_first(&swapped, &["`front.143`", "`front.144`", "swapped at `front.P1`"]);
    names_first(&built().without("front.131").measured(&front), &["`front.131` is open", "not seated"]);
    names_first(&built().bridged("front.P6.1", "front.P6.2").measured(&front), &["`front.P6.1` and `front.P6.2` have contact"]);
    let free = built().moved(&[("front.P1.15", "front.P1.16")]).measured(&front);
    names_first(&free, &["`front.146` is in `front.P1.16`", "belongs in `front.P1.15`"]);
    let shifted: Vec<(String, String)> =
        (1..=4).map(|at| (format!("front.P6.{at}"), format!("front.P6.{}", at % 4 + 1))).collect();
    let shifted: Vec<(&str, &str)> = shifted.iter().map(|(from, to)| (from.as_str(), to.as_str())).collect();
    names_first(&built().moved(&shifted).measured(&front), &["`front.P6` is shifted by one"]);
}

/// Three slips in one loom, at ends that have nothing to do with each other: all three are named, and nothing else.
#[test]
fn three_slips_in_a_loom_are_named() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let front = Bench::of(&analysis).ring_out("front").expect("the loom");
    let built = Built::of(&analysis, "front");
    let built = built.swapped("front.P2.9", "front.P2.10").without("front.103").bridged("front.P7.1", "front.P7.2");
    let verdict = built.measured(&front);
    assert!(verdict.unexplained.is_empty(), "{verdict:#?}");
    let all: Vec<&str> = (0..verdict.causes.len()).flat_map(|at| sentences(&verdict, at)).collect();
    for words in [["`front.152`", "swapped at `front.P2`"], ["`front.103`", "open"], ["`front.P7.1`", "have contact"]] {
        assert!(all.iter().any(|said| words.iter().all(|word| said.contains(word))), "{words:?} in {all:#?}");
    }
    assert_eq!(verdict.causes.len(), 3, "{verdict:#?}");
}

/// Three slips at ends and in nets that have nothing to do with each other, drawn at random in the looms of the demo: every reading is explained at
/// once by no more slips than were made, and after the readings that are proposed all three are named.
#[test]
fn three_slips_drawn_at_random_are_named() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let model = analysis.model();
    let mut numbers = Numbers::new(3);
    let (mut tried, mut named, mut more) = (0usize, 0usize, 0usize);
    for loom in tier::sample("three_slips_drawn_at_random_are_named", ["rear", "cab", "front"]) {
        let ring_out = Bench::of(&analysis).ring_out(loom).expect("the loom");
        let built = Built::of(&analysis, loom);
        let mut pairs: Vec<[String; 2]> = Vec::new();
        for (_, end) in model.ends().filter(|(_, end)| model.loom_name(end.loom) == loom) {
            let used = end.points.iter().map(|point| model.point_name(point));
            let used: Vec<String> = used.filter(|name| built.wires.values().flatten().any(|end| end == name)).collect();
            pairs.extend(used.windows(2).map(|pair| [pair[0].clone(), pair[1].clone()]));
        }
        pairs.retain(|[one, other]| !built.are_joined(one, other));
        let before = tried;
        for _ in 0..40 {
            if tried == before + 6 {
                break;
            }
            let mut draw = |count: usize| numbers.below(count as u64) as usize;
            let (swapped, bridged) = (pairs[draw(pairs.len())].clone(), pairs[draw(pairs.len())].clone());
            let (wire, [from, to]) = built.wires.iter().nth(draw(built.wires.len())).expect("a wire");
            let plug = |place: &str| place.rsplit_once('.').map_or(place, |(plug, _)| plug).to_owned();
            let places = [&swapped[0], &swapped[1], &bridged[0], &bridged[1], from, to];
            let is_near = |one: &str, other: &str| built.are_joined(one, other) || plug(one) == plug(other);
            let groups = [&places[..2], &places[2..4], &places[4..]];
            let are_near = |one: usize, other: usize| groups[one].iter().any(|a| groups[other].iter().any(|b| is_near(a, b)));
            if are_near(0, 1) || are_near(0, 2) || are_near(1, 2) {
                continue;
            }
            let faulty = built.clone().swapped(&swapped[0], &swapped[1]).without(wire).bridged(&bridged[0], &bridged[1]);
            let first = faulty.measured(&ring_out);
            assert!(!first.is_good && first.causes.len() <= 3 && first.unexplained.is_empty(), "{first:#?}");
            let (last, readings) = faulty.measured_to_the_end(&ring_out);
            let all: Vec<&str> = (0..last.causes.len()).flat_map(|at| sentences(&last, at)).collect();
            let quoted = |places: &[String; 2]| places.clone().map(|place| format!("`{place}`"));
            let says = |words: &[&str]| all.iter().any(|said| words.iter().all(|word| said.contains(word)));
            let ([a, b], [c, d]) = (quoted(&swapped), quoted(&bridged));
            tried += 3;
            more += readings;
            named += usize::from(says(&["swapped", &a, &b]));
            named += usize::from(says(&["have contact", &c, &d]));
            named += usize::from(says(&[&format!("`{wire}`"), "open"]));
        }
    }
    println!("{named} of {tried} slips named, {more} readings more");
    assert!(tried >= 3 && named * 100 >= tried * 95, "{named} of {tried}");
}

/// Every pair of terminals of every plug of a loom, swapped: found, and named first.
#[test]
fn every_swap_of_a_loom_is_named_first() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let ring_out = Bench::of(&analysis).ring_out("rear").expect("the loom");
    let model = analysis.model();
    let mut tried = 0;
    for (_, end) in model.ends().filter(|(_, end)| model.loom_name(end.loom) == "rear") {
        let built = Built::of(&analysis, "rear");
        let used: Vec<String> = end
            .points
            .iter()
            .map(|point| model.point_name(point))
            .filter(|name| built.wires.values().flatten().any(|end| end == name))
            .collect();
        for (at, one) in used.iter().enumerate() {
            for other in &used[at + 1..] {
                if built.are_joined(one, other) {
                    continue;
                }
                let verdict = built.clone().swapped(one, other).measured(&ring_out);
                let places = [format!("`{one}`"), format!("`{other}`")];
                names_first(&verdict, &["swapped", &places[0], &places[1]]);
                tried += 1;
            }
        }
    }
    assert!(tried > 30, "{tried} swaps");
}

/// Each design of the repository gives a ring-out: every loom has its readings, what is not found has a reason, and no reading is impossible.
#[test]
fn every_whole_design_rings_out() {
    let designs = ["terrace-tractor/tractor.yaml", "hut-truck/truck.yaml", "boat-12v", "cart-48v", "truck-24v", "motorcycle-96v"];
    for design in designs {
        let path = fixtures().join(design);
        let path = if path.is_dir() { harness_tests::netlists(&path).into_iter().next().expect("a design") } else { path };
        let (folder, root) = place(&path);
        let analysis = Analysis::of_all(&Design::load(&folder, &root));
        let bench = Bench::of(&analysis);
        for loom in bench.looms() {
            let ring_out = bench.ring_out(&loom).expect("the loom");
            assert!(ring_out.changes >= ring_out.fewest_changes, "{design} {loom}");
            for step in &ring_out.steps {
                assert_ne!(step.from, step.to, "{design} {loom}");
                if step.purpose == Purpose::Joined {
                    assert!(step.most.is_some_and(|most| most > step.expected.unwrap_or(0.0)), "{design} {loom}: {step:?}");
                    assert!(!step.through.is_empty(), "{design} {loom}: {step:?}");
                }
            }
            let tried: usize = ring_out.coverage.iter().map(|row| row.tried).sum();
            let found: usize = ring_out.coverage.iter().map(|row| row.found).sum();
            let unseen: usize = ring_out.unseen.iter().map(|slips| slips.count).sum();
            assert_eq!(tried, found + unseen, "{design} {loom}");
            let open = ring_out.coverage.iter().filter(|row| row.kind == SlipKind::Open);
            let open: usize = open.map(|row| row.tried).sum();
            assert!(open > 0, "{design} {loom} has conductors");
        }
    }
}

#[test]
fn a_list_that_is_wrong_or_not_whole_is_never_good() {
    let csv = harness(&["ringout", DEMO, "--loom", "rear", "--format", "csv"]);
    assert_eq!(csv.code, 0, "{}", csv.err);
    let fill = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let value = match (cells[0], cells[4]) {
            ("step", _) => return line.to_owned(),
            (_, "open" | "diode blocks") => "OL",
            (_, "joined") => "0.05",
            _ => panic!("{line}"),
        };
        format!("{}{value}", &line[..=line.rfind(',').expect("the last cell is empty")])
    };
    let good: Vec<String> = csv.out.lines().map(fill).collect();
    let judge = |name: &str, lines: &[String]| {
        let folder = folder(&format!("ringout-{name}"), &[("measured.csv", &(lines.join("\n") + "\n"))]);
        let list = folder.join("measured.csv");
        harness(&["ringout", DEMO, "--measured", list.to_str().expect("a path")])
    };
    let done = judge("good", &good);
    assert!(done.code == 0 && done.out.contains("Good by these readings"), "{}\n{}", done.out, done.err);
    let neighbours: Vec<String> = good.iter().filter(|line| !line.contains(",strip,")).cloned().collect();
    let done = judge("neighbours", &neighbours);
    assert!(done.code == 0 && done.out.contains("not proven:"), "{}", done.out);
    let missing: Vec<String> = neighbours.iter().enumerate().filter(|(at, _)| *at != 3).map(|(_, line)| line.clone()).collect();
    let done = judge("missing", &missing);
    assert!(done.code == 1 && done.out.contains("Not proven") && done.out.contains("step 3"), "{}", done.out);
    let mut empty = neighbours.clone();
    let cut = empty[5].rfind(',').expect("a cell") + 1;
    empty[5].truncate(cut);
    let done = judge("empty", &empty);
    assert!(done.code == 1 && done.out.contains("step 5"), "{}", done.out);
    let mut twice = good.clone();
    twice.push(good[1].replace("0.05", "7").replace("OL", "0.1"));
    let done = judge("twice", &twice);
    assert!(done.code == 1 && done.out.contains("(line 2)"), "{}", done.out);
    let mut strange = good.clone();
    strange.push("99,rear,rear.Q9.1,rear.Q9.2,joined,,,,,,,,0.05".to_owned());
    let done = judge("strange", &strange);
    assert!(done.code == 1 && done.out.contains("rear.Q9.1"), "{}", done.out);
    let mut word = good.clone();
    word[2] = word[2].replace(",0.05", ",beep").replace(",OL", ",fine");
    let done = judge("word", &word);
    assert!(done.code == 1 && done.out.contains("no figure"), "{}", done.out);
    let done = judge("none", &["from,to".to_owned(), "a,b".to_owned()]);
    assert!(done.code == 2 && done.err.contains("no column is called `measured`"), "{}", done.err);
}

/// Two wires that chafe through where no two cavities are neighbours: the strip shows it, and the comparison names both nets.
#[test]
fn a_chafed_pair_of_wires_is_found_on_the_strip() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let front = Bench::of(&analysis).ring_out("front").expect("the loom");
    let verdict = Built::of(&analysis, "front").bridged("front.P4.1", "front.P14.1").measured(&front);
    names_first(&verdict, &["`front.P1.2`", "`front.P2.9`", "have contact somewhere"]);
}

#[test]
fn a_ring_out_is_shown_in_every_format_and_a_loom_that_is_not_there_is_said() {
    for format in ["text", "csv", "html"] {
        let done = harness(&["ringout", DEMO, "--loom", "front", "--format", format]);
        assert!(done.code == 0 && done.out.contains("front.P1.12"), "{format}: {}", done.err);
    }
    document("papers", &harness(&["ringout", DEMO, "--loom", "front", "--format", "json"]));
    let board = harness(&["ringout", DEMO, "--loom", "front", "--lamp-board"]);
    assert!(board.out.contains("nets by") && board.out.contains("complement"), "{}", board.out);
    let fewer = harness(&["ringout", DEMO, "--loom", "front", "--lamp-board", "modified", "--format", "csv"]);
    assert!(fewer.code == 0 && fewer.out.starts_with("pattern,loom,point,switch,lamp"), "{}", fewer.out);
    let done = harness(&["ringout", DEMO, "--loom", "frnt"]);
    assert!(done.code == 2 && done.err.contains("did you mean `front`?"), "{}", done.err);
}
