//! What the page shows of modes, findings and ways: against the netlist as another reader reads it, and against itself.

use super::{DEMO, DRAFT, is_sound, large, page_of, values};
use crate::program::folder;
use harness_tests::netlists;
use serde_yaml::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
};

/// The names that a row of a mode links to, by the words of the row.
fn rows(page: &str, mode: &str) -> BTreeMap<String, Vec<String>> {
    let block = page.split(&format!("<article id=\"m-{mode}\"")).nth(1).and_then(|rest| rest.split("</article>").next());
    let block = block.unwrap_or_else(|| panic!("{mode} has no block"));
    let row = |row: &str| {
        let (head, held) = row.split_once("<dd>").expect("a row");
        let names = values(held, "href").into_iter().map(|href| href.trim_start_matches("#e-").to_owned());
        (head.split(" (").next().unwrap_or(head).to_owned(), names.collect())
    };
    block.split("<dt>").skip(1).map(row).collect()
}

fn words(value: Option<&Value>) -> Option<Vec<String>> {
    match value? {
        Value::Sequence(list) => Some(list.iter().filter_map(Value::as_str).map(str::to_owned).collect()),
        value => value.as_str().map(|word| vec![word.to_owned()]),
    }
}

/// Each switch is closed in the modes that the netlist names and open in the others; each load runs, or is meant to, where the netlist says so.
#[test]
fn what_is_on_in_a_mode_is_what_the_netlist_says() {
    const DESIGN: &str = "../fixtures/motorcycle-96v/motorcycle.yaml";
    let page = page_of(DESIGN);
    let netlist: Value = serde_yaml::from_str(&fs::read_to_string(DESIGN).expect("a design")).expect("YAML");
    let modes: Vec<String> =
        netlist["modes"].as_mapping().expect("modes").keys().filter_map(Value::as_str).map(str::to_owned).collect();
    let shown: BTreeMap<&str, BTreeMap<String, Vec<String>>> =
        modes.iter().map(|mode| (mode.as_str(), rows(&page, mode))).collect();
    let (mut switches, mut loads, mut relays) = (0, 0, 0);
    for (device, of) in netlist["devices"].as_mapping().expect("devices") {
        for (element, item) in of["inside"].as_mapping().into_iter().flatten() {
            let name = format!("{}.{}", device.as_str().expect("a name"), element.as_str().expect("a name"));
            for mode in &modes {
                let rows = &shown[mode.as_str()];
                let is_in = |row: &str| rows.get(row).is_some_and(|names| names.contains(&name));
                let in_mode = |key: &str| words(item.get(key)).is_none_or(|listed| listed.contains(mode));
                if item.get("switch").is_some() {
                    let is_closed = in_mode("closed-in");
                    assert_eq!((is_in("switches closed"), is_in("switches open")), (is_closed, !is_closed), "{name} in {mode}");
                    switches += 1;
                }
                if item.get("load").is_some() {
                    let is_meant = in_mode("in");
                    assert_eq!(is_in("run") || is_in("meant to run, and nothing flows"), is_meant, "{name} in {mode}");
                    assert_eq!(is_in("off"), !is_meant, "{name} in {mode}");
                    loads += 1;
                }
                if item.get("relay").is_some() {
                    assert!(is_in("relays pulled in") != is_in("relays at rest"), "{name} in {mode}");
                    relays += 1;
                }
            }
        }
    }
    assert!(switches > 15 && loads > 10 && relays > 5, "{switches} {loads} {relays}");
    // The drive contactor is in while it rides, and out when it is parked.
    assert!(shown["ride"]["relays pulled in"].len() > shown["key-off"].get("relays pulled in").map_or(0, Vec::len));
}

/// What is short because it goes with the way of a load: the load is there, and its own way comes by the step that is named.
#[test]
fn a_way_that_names_a_load_goes_with_the_way_of_that_load() {
    let page = page_of(DEMO);
    let block = |id: &str| page.split(&format!("<article id=\"{id}\"")).nth(1).and_then(|rest| rest.split("</article>").next());
    let step = |text: &str| text.split(['<', ',']).next().unwrap_or(text).to_owned();
    let (mut feeds, mut backs) = (0, 0);
    for (at, rest) in page.match_indices("as to <a href=\"#").map(|(at, words)| (at, &page[at + words.len()..])) {
        let load = rest.split('"').next().expect("a link");
        let (_, after) = rest.split_once(" up to ").expect("up to where");
        let last = step(after.split_once('>').map_or(after, |(tag, text)| if tag.starts_with("<a ") { text } else { after }));
        let way = block(load).and_then(|block| block.split("From the source").nth(1)).and_then(|way| way.split("<p").next());
        assert!(way.is_some_and(|way| way.contains(&last)), "{load}: {last} at {at}");
        feeds += 1;
    }
    for (at, _) in page.match_indices(", from there on as from <a href=\"#") {
        let before = page[..at].trim_end_matches("</a>");
        let last = before.rsplit(['>', '\u{203a}']).next().expect("a step").trim().to_owned();
        let load = page[at..].split("href=\"#").nth(1).and_then(|rest| rest.split('"').next()).expect("a link");
        let way = block(load).and_then(|block| block.split("Back to it: ").nth(1)).and_then(|way| way.split("<p").next());
        assert!(way.is_some_and(|way| way.contains(&last)), "{load}: {last} at {at}");
        backs += 1;
    }
    assert!(feeds > 80 && backs > 80, "{feeds} {backs}");
}

/// The findings of a page that are in full, each as it is written.
fn articles(page: &str) -> Vec<&str> {
    let section = page.split("<section id=\"findings\"").nth(1).and_then(|rest| rest.split("</section>").next());
    section.expect("findings").split("<article ").skip(1).collect()
}

#[test]
fn a_finding_has_a_picture_in_which_what_it_names_is_framed() {
    let page = page_of(DRAFT);
    is_sound(&page, DRAFT);
    let mut framed = 0;
    for article in articles(&page) {
        let Some(figure) = article.split("<figure ").nth(1) else { continue };
        let Some((_, names)) = figure.split_once(". Framed: ") else { continue };
        let names = names.split("<div").next().expect("names");
        let svg = figure.split("<svg").nth(1).expect("a picture");
        for href in values(names, "href") {
            // A frame is two closed outlines.
            let own = svg.split("<a ").skip(1).filter(|thing| thing.starts_with(&format!("href=\"{href}\"")));
            assert!(
                own.into_iter().any(|thing| thing.split("</a>").next().is_some_and(|thing| thing.matches("Z").count() >= 2)),
                "{href}"
            );
            framed += 1;
        }
    }
    assert!(framed > 5, "{framed}");
}

#[test]
fn pages_of_examples_of_rules_are_sound_and_most_of_their_findings_are_drawn() {
    let (mut findings, mut drawn) = (0, 0);
    for (number, design) in netlists(&harness_tests::fixtures().join("cases")).into_iter().enumerate() {
        if number % 4 != 0 {
            continue;
        }
        let of = design.display().to_string();
        let page = page_of(&of);
        is_sound(&page, &of);
        for article in articles(&page).iter().filter(|article| !article.contains("finding note")) {
            findings += 1;
            drawn += usize::from(["<figure ", ">Picture: ", "Faces: "].iter().any(|part| article.contains(part)));
        }
    }
    assert!(findings > 8 && drawn * 4 >= findings * 3, "{drawn} of {findings}");
}

/// Hundreds of findings: so many pictures, and how many have none is said.
#[test]
fn of_very_many_findings_the_first_have_a_picture_and_the_rest_are_counted() {
    let place = folder("review-many-findings", &[]).join("board.yaml");
    fs::write(&place, large(300).replace("size: 1 mm2", "size: 0.05 mm2")).expect("a design");
    let page = page_of(&place.display().to_string());
    is_sound(&page, "many findings");
    let pictures = articles(&page).iter().filter(|article| article.contains("<figure ")).count();
    assert!(pictures > 0 && pictures <= 20, "{pictures}");
    let about = page.split(" more have none on the page").next().and_then(|before| before.rsplit(' ').next());
    let counted: usize = about.and_then(|word| word.parse().ok()).expect("a count");
    assert!(counted > 250, "{counted}");
}

#[test]
fn a_design_too_large_for_opening_its_plugs_says_how_many_were_not_opened() {
    let place = folder("review-unopened", &[]).join("board.yaml");
    fs::write(&place, large(1_001)).expect("a design");
    let page = page_of(&place.display().to_string());
    assert!(page.contains("2002 connectors were not taken apart here"), "no word of the connectors");
    let ids: BTreeSet<&str> = values(&page, "id").into_iter().collect();
    assert!(ids.contains("x-board.P1000"));
    // A small one says nothing of the kind.
    assert!(!page_of(DRAFT).contains("not taken apart here"));
}
