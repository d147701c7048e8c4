//! What is seen on a lamp board, compared with a loom that was built from the wires as written.

use super::{Built, DEMO, analysis, folder, harness, names_first};
use harness_core::bench::{Bench, Code, LampPattern, LampRow, RingOut};

impl Built {
    /// What is seen on a lamp board: in each pattern the lamps that are joined to a switch that is on.
    fn lamps(&self, ring_out: &RingOut, code: Code) -> Vec<LampRow> {
        let row = |pattern: &LampPattern| {
            let all = [&pattern.fed, &pattern.lit, &pattern.dark].into_iter().flatten();
            let lit = all.filter(|place| pattern.fed.iter().any(|fed| self.are_joined(fed, place)));
            LampRow { pattern: pattern.number.to_string(), lit: Some(lit.cloned().collect()), ..LampRow::default() }
        };
        ring_out.lamp_board(code).patterns.iter().map(row).collect()
    }
}

/// A loom on a lamp board: good as it is written, and each slip named by the lamps that are lit.
#[test]
fn what_is_wrong_is_named_by_the_lamps_of_a_board() {
    let analysis = analysis("terrace-tractor/tractor.yaml");
    let front = Bench::of(&analysis).ring_out("front").expect("the loom");
    let built = || Built::of(&analysis, "front");
    for code in [Code::Complement, Code::Modified] {
        let judge = |built: Built| front.compare_lamps(code, &built.lamps(&front, code));
        let good = judge(built());
        assert!(good.is_good && good.failing.is_empty(), "{good:#?}");
        names_first(
            &judge(built().swapped("front.P1.12", "front.P1.13")),
            &["`front.143`", "`front.144`", "swapped at `front.P1`"],
        );
        names_first(&judge(built().without("front.131")), &["`front.131` is open", "not seated"]);
        names_first(&judge(built().bridged("front.P6.1", "front.P6.2")), &["`front.P6.1` and `front.P6.2` have contact"]);
        names_first(&judge(built().bridged("front.P4.1", "front.P14.1")), &["have contact somewhere"]);
    }
}

#[test]
fn a_list_of_lamps_is_filled_in_and_read() {
    let csv = harness(&["ringout", DEMO, "--loom", "rear", "--lamp-board", "--format", "csv"]);
    assert_eq!(csv.code, 0, "{}", csv.err);
    let fill = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        match cells[4] {
            "lamp" => line.to_owned(),
            "lit" => format!("{line}lit"),
            _ => format!("{line}dark"),
        }
    };
    let good: Vec<String> = csv.out.lines().map(fill).collect();
    let judge = |name: &str, lines: &[String]| {
        let folder = folder(&format!("lamps-{name}"), &[("seen.csv", &(lines.join("\n") + "\n"))]);
        let list = folder.join("seen.csv");
        harness(&["ringout", DEMO, "--lamp-board", "--measured", list.to_str().expect("a path")])
    };
    let done = judge("good", &good);
    assert!(done.code == 0 && done.out.contains("Good by these lamps"), "{}\n{}", done.out, done.err);
    let missing: Vec<String> = good.iter().filter(|line| !line.starts_with("2,")).cloned().collect();
    let done = judge("missing", &missing);
    assert!(done.code == 1 && done.out.contains("Not proven") && done.out.contains("pattern 2 is missing"), "{}", done.out);
    let at = good.iter().position(|line| line.starts_with("3,") && line.ends_with(",dark,dark")).expect("a lamp that is dark");
    let mut blank = good.clone();
    blank[at] = blank[at].trim_end_matches("dark").to_owned();
    let done = judge("blank", &blank);
    assert!(done.code == 1 && done.out.contains("1 lamp of pattern 3 not noted"), "{}", done.out);
    let mut wrong = good.clone();
    wrong[at] = wrong[at].trim_end_matches("dark").to_owned() + "lit";
    let done = judge("wrong", &wrong);
    assert!(done.code == 1 && done.out.contains("lamps that fail"), "{}", done.out);
    let done = judge("meter", &["step,measured".to_owned(), "1,0.1".to_owned()]);
    assert!(done.code == 2 && done.err.contains("`pattern`"), "{}", done.err);
}
