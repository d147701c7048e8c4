//! Rework orders: their steps turn what is built to one design into what the other asks for, and read well.

mod random;

use harness_core::{
    Design, Document, Files, MemoryFiles,
    diff::{
        Edits, Inventory, Revision, inventory,
        rework::{Action, BenchState, Rework, Stage, rework},
    },
};
use harness_tests::{
    Numbers,
    tier::{sample, share},
};
use random::Draft;
use std::fmt::Write;

fn of(text: &str) -> Read {
    Read::new(&MemoryFiles::one("design.yaml", text), "design.yaml")
}

/// A design with what it is made of.
struct Read {
    design: Design,
    inventory: Inventory,
}

impl Read {
    fn new(files: &dyn Files, root: &str) -> Self {
        let document = Document::read(files, root);
        Self { inventory: inventory(&document), design: Design::of(document) }
    }

    fn revision(&self) -> Revision<'_> {
        Revision { design: &self.design, inventory: &self.inventory }
    }
}

fn order(old: &Read, new: &Read) -> Rework {
    rework(old.revision(), new.revision(), &Edits::between(&old.inventory, &new.inventory))
}

/// An order as text, for a failing test and for the eye.
fn text(order: &Rework) -> String {
    let mut text = String::new();
    for caution in &order.cautions {
        let _ = writeln!(text, "! {caution}");
    }
    let mut stage = None;
    for step in &order.steps {
        if stage != Some((step.stage, &step.loom)) {
            let loom = step.loom.as_ref().map(|loom| format!(", loom `{loom}`")).unwrap_or_default();
            let _ = writeln!(text, "\n{}{loom}", step.stage);
            stage = Some((step.stage, &step.loom));
        }
        let trained = if step.trained { " [class B]" } else { "" };
        let _ = writeln!(text, "  {:>3}  {}{trained}", step.number, step.headline());
        for line in &step.detail {
            let _ = writeln!(text, "         - {line}");
        }
    }
    let mut when = None;
    for test in &order.tests {
        if when != Some(test.when) {
            let _ = writeln!(text, "\ntests {}", test.when);
            when = Some(test.when);
        }
        let _ = writeln!(text, "  {:>3}  {}", test.number, test.headline());
        for line in &test.detail {
            let _ = writeln!(text, "         - {line}");
        }
    }
    text.push_str("\nlabels\n");
    for label in &order.labels {
        let _ = writeln!(text, "  {} ({:?}): {:?} to {:?}", label.key, label.label, label.old, label.new);
    }
    text.push_str("\npaper\n");
    for paper in &order.paper {
        let remark = paper.remark.as_ref().map(|remark| format!("; {remark}")).unwrap_or_default();
        let _ = writeln!(text, "  {}{remark}", paper.headline);
    }
    text
}

/// Does an order and looks over its shoulder at every action.
fn done(old: &Read, new: &Read, what: &str) -> Rework {
    let order = order(old, new);
    let asked = BenchState::of(&new.inventory);
    let mut built = BenchState::of(&old.inventory);
    for step in &order.steps {
        for action in &step.actions {
            if let Action::PutIn { place, .. } = action {
                let (has, may) = (built.taken(place), asked.taken(place));
                assert!(has < may, "{what}: step {}: {place:?} holds {has} of {may}\n{}", step.number, text(&order));
            }
            if let Action::TakeOut { lead, place } = action {
                let has = built.leads.get(lead).is_some_and(|lead| lead.places.contains(place));
                assert!(has, "{what}: step {}: {lead} is not at {place:?}\n{}", step.number, text(&order));
            }
            built.act(action).unwrap_or_else(|reason| panic!("{what}: step {}: {reason}\n{}", step.number, text(&order)));
        }
    }
    let applied = order.apply(BenchState::of(&old.inventory)).unwrap_or_else(|error| panic!("{what}: {error}"));
    if applied != asked {
        let lost: Vec<_> = asked.leads.iter().filter(|(key, lead)| applied.leads.get(key) != Some(lead)).collect();
        let more: Vec<_> = applied.leads.iter().filter(|(key, lead)| asked.leads.get(key) != Some(lead)).collect();
        let lost_articles: Vec<_> =
            asked.articles.iter().filter(|(key, facts)| applied.articles.get(key) != Some(facts)).collect();
        let more_articles: Vec<_> =
            applied.articles.iter().filter(|(key, facts)| asked.articles.get(key) != Some(facts)).collect();
        panic!(
            "{what}: something else was built\n{}\nmissing {lost:#?} {lost_articles:#?}\ntoo much {more:#?} {more_articles:#?}\nplugs {:?} {:?}\nlabels {:?} {:?}\nstate {:?} {:?} {:?}",
            text(&order),
            applied.plugs,
            asked.plugs,
            applied.labels,
            asked.labels,
            applied.parted,
            applied.opened,
            applied.isolated,
        );
    }
    order
}

#[test]
fn the_steps_lead_from_any_design_to_what_edits_make_of_it() {
    let test = "the_steps_lead_from_any_design_to_what_edits_make_of_it";
    let mut steps = 0;
    for seed in sample(test, 0..150) {
        let mut numbers = Numbers::new(seed);
        let before = Draft::random(&mut numbers);
        let mut after = before.clone();
        for _ in 0..1 + numbers.below(8) {
            after.edit(&mut numbers);
        }
        let (old, new) = (of(&before.yaml()), of(&after.yaml()));
        assert!(!old.inventory.things.is_empty() && !new.inventory.things.is_empty());
        steps += done(&old, &new, &format!("seed {seed}")).steps.len();
        done(&new, &old, &format!("seed {seed}, back"));
    }
    assert!(steps > 2000 / share(test), "{steps} steps prove little");
}

#[test]
fn the_steps_lead_from_any_design_to_any_other() {
    for seed in sample("the_steps_lead_from_any_design_to_any_other", 1000..1040) {
        let mut numbers = Numbers::new(seed);
        let (one, other) = (Draft::random(&mut numbers), Draft::random(&mut numbers));
        done(&of(&one.yaml()), &of(&other.yaml()), &format!("seed {seed}"));
        done(&of(&one.yaml()), &of("format: 1\n"), &format!("seed {seed}, all away"));
        done(&of("format: 1\n"), &of(&one.yaml()), &format!("seed {seed}, from nothing"));
        assert!(order(&of(&one.yaml()), &of(&one.yaml())).is_empty());
    }
}

#[test]
fn an_order_is_the_same_each_time_and_its_stages_follow_each_other() {
    let mut numbers = Numbers::new(7);
    let before = Draft::random(&mut numbers);
    let mut after = before.clone();
    for _ in 0..12 {
        after.edit(&mut numbers);
    }
    let (old, new) = (of(&before.yaml()), of(&after.yaml()));
    let first = order(&old, &new);
    assert_eq!(first, order(&old, &new));
    assert!(first.steps.is_sorted_by_key(|step| step.stage));
    assert!(first.steps.iter().zip(1_u32..).all(|(step, number)| step.number == number));
    let late = |step: &&harness_core::diff::rework::Step| step.stage > Stage::Housing;
    let out = first
        .steps
        .iter()
        .filter(late)
        .flat_map(|step| &step.actions)
        .filter(|action| matches!(action, Action::Remove(key) if key.kind == harness_core::diff::Kind::Wire));
    assert_eq!(out.count(), 0, "{}", text(&first));
}

/// The demo with some lines of its files swapped.
fn demo(edits: &[(&str, &str, &str)]) -> Read {
    let folder = harness_tests::fixtures().join("written-out/terrace-tractor");
    let mut files = MemoryFiles::default();
    let mut made = 0;
    for path in harness_tests::netlists(&folder) {
        let name = path.strip_prefix(&folder).unwrap().to_str().unwrap().to_owned();
        let mut text = std::fs::read_to_string(&path).unwrap();
        for (_, old, new) in edits.iter().filter(|(file, ..)| *file == name) {
            assert_eq!(text.matches(old).count(), 1, "`{old}` is once in {name}");
            text = text.replace(old, new);
            made += 1;
        }
        files = files.and(&name, text);
    }
    assert_eq!(made, edits.len());
    Read::new(&files, "tractor.yaml")
}

/// A day's changes: two wires swapped, one moved to a plugged cavity, one cut new, one shorter, a fuse, a key, a connector away, an
/// orange cable longer, a number and a signal renamed.
const CHANGES: [(&str, &str, &str); 16] = [
    ("looms/front.yaml", "101: { from: P1.1, to: P3.1", "101: { from: P1.3, to: P3.1"),
    ("looms/front.yaml", "103: { from: P1.3, to: P5.1", "103: { from: P1.1, to: P5.1"),
    ("looms/front.yaml", "104: { from: P1.8,", "104: { from: P1.16,"),
    ("looms/front.yaml", "mates: fusebox.J1, plugged: [16]", "mates: fusebox.J1, plugged: [8]"),
    (
        "looms/front.yaml",
        "131: { from: SW, to: P10.1, size: 1 mm2, colour: WH/BK, length: 900 mm",
        "131: { from: SW, to: P10.1, size: 1.5 mm2, colour: WH/RD, length: 950 mm",
    ),
    (
        "looms/front.yaml",
        "142: { from: P2.2, to: R1, size: 0.75 mm2, colour: BK, length: 500 mm",
        "142: { from: P2.2, to: R1, size: 0.75 mm2, colour: BK, length: 450 mm",
    ),
    ("looms/front.yaml", "      P13: { housing: QL-2E-S, mates: brake-fluid-switch.J1 }\n", ""),
    (
        "looms/front.yaml",
        "      153: { from: P13.1, to: P2.10, size: 0.5 mm2, colour: GN/RD, length: 900 mm, via: [SENSORS] }\n",
        "",
    ),
    ("looms/front.yaml", "      158: { from: P13.2, to: SR, size: 0.5 mm2, colour: BN, length: 500 mm, via: [SENSORS] }\n", ""),
    ("looms/front.yaml", "      160: { from: SR, to: P2.8", "      165: { from: SR, to: P2.8"),
    ("looms/front.yaml", "P9:  { housing: QL-2A-S,", "P9:  { housing: QL-2E-S,"),
    (
        "looms/traction.yaml",
        "201: { from: H1.1, to: H2.1, size: 35 mm2, colour: OG, length: 1700 mm",
        "201: { from: H1.1, to: H2.1, size: 35 mm2, colour: OG, length: 1800 mm",
    ),
    ("devices/auxiliary.yaml", "F4:  { fuse: blade-7.5, from: BAT, to: J2.3 }", "F4:  { fuse: blade-10, from: BAT, to: J2.3 }"),
    ("devices/auxiliary.yaml", "10: { signal: controller supply,", "10: { signal: controller feed,"),
    (
        "parts/conductors-and-fuses.yaml",
        "blade-15:  { standard: ISO 8820-3, rating: 15 A }",
        "blade-15:  { standard: ISO 8820-3, rating: 15 A, voltage: 32 V }",
    ),
    ("tractor.yaml", "fuse-loading: 75 %", "fuse-loading: 70 %"),
];

/// A segment that only becomes longer is not opened, so nothing is closed; one whose covering changes is.
#[test]
fn a_segment_is_closed_only_where_it_was_open() {
    let file = "looms/front.yaml";
    let old = "PUMPS:   { length: 300 mm, covering: sleeve";
    let steps = |new: &str| {
        let order = done(&demo(&[]), &demo(&[(file, old, new)]), new);
        order.steps.iter().map(|step| step.headline.clone()).filter(|step| step.contains("PUMPS")).collect::<Vec<_>>()
    };
    let longer = steps("PUMPS:   { length: 350 mm, covering: sleeve");
    assert_eq!(longer, ["tie segment PUMPS to the drawing"]);
    let covered = steps("PUMPS:   { length: 300 mm, covering: conduit");
    assert_eq!(covered, ["cut open the sleeve of segment PUMPS", "close segment PUMPS: conduit"]);
    let both = steps("PUMPS:   { length: 350 mm, covering: conduit");
    assert_eq!(both, covered);
}

#[test]
fn an_order_for_the_demo_reads_well() {
    let (old, new) = (demo(&[]), demo(&CHANGES));
    let order = done(&old, &new, "the demo");
    insta::assert_snapshot!("rework__demo", text(&order));
}
