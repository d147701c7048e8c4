//! The time-current picture of a fuse: `harness trace FUSE --svg FILE`.

use super::{folder, inspect::lift};
use harness_cli::{exit, render::trace::picture, source::design};
use harness_core::{Analysis, Design, inspect::TimeCurrent};
use harness_tests::fixtures;
use std::fs;
use unicode_width::UnicodeWidthStr;

#[test]
fn a_picture_is_the_same_each_time_and_goes_over_no_file() {
    let folder = folder("inspect/same", &[]);
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    for name in ["a.svg", "b.svg"] {
        let done = lift(&["trace", "-", "F1", "--svg", &path(name)]);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
        assert!(done.out.contains(&format!("time-current picture: {}", path(name))), "{}", done.out);
    }
    let first = fs::read_to_string(path("a.svg")).unwrap();
    assert_eq!(first, fs::read_to_string(path("b.svg")).unwrap());
    assert!(first.starts_with("<svg ") && first.trim_end().ends_with("</svg>"));
    fs::write(path("a.svg"), "mine").unwrap();
    let refused = lift(&["trace", "-", "F1", "--svg", &path("a.svg")]);
    assert_eq!((refused.code, refused.out.as_str()), (exit::FAILED, ""));
    assert!(refused.err.contains("there is a file already; `--force` replaces it"), "{}", refused.err);
    assert_eq!(fs::read_to_string(path("a.svg")).unwrap(), "mine");
    assert_eq!(lift(&["trace", "-", "F1", "--svg", &path("a.svg"), "--force"]).code, exit::CLEAN);
    assert_eq!(fs::read_to_string(path("a.svg")).unwrap(), first);
    let wire = lift(&["trace", "-", "lift.2", "--svg", &path("c.svg")]);
    assert_eq!(wire.code, exit::FAILED);
    assert!(wire.err.ends_with("`lift.2` is not a fuse\n"), "{}", wire.err);
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
}

/// The texts of a picture as boxes: left, top, right, bottom, in its own units; wide and high as no font is more so.
fn boxes(svg: &str) -> Vec<(f64, f64, f64, f64, String)> {
    let attribute = |tag: &str, name: &str| -> f64 {
        let value = tag.split(&format!(" {name}=\"")).nth(1).and_then(|rest| rest.split('"').next()).unwrap();
        value.parse().unwrap_or(0.0)
    };
    let mut boxes = Vec::new();
    for part in svg.split("<text ").skip(1) {
        let (tag, rest) = part.split_once('>').unwrap();
        let text = rest.split('<').next().unwrap().trim().to_owned();
        let tag = format!(" {tag}");
        if tag.contains("rotate(") {
            continue;
        }
        let (x, y, size) = (attribute(&tag, "x"), attribute(&tag, "y"), attribute(&tag, "font-size"));
        let wide = text.width() as f64 * size * 0.58;
        let left = match () {
            () if tag.contains("text-anchor=\"middle\"") => x - wide / 2.0,
            () if tag.contains("text-anchor=\"end\"") => x - wide,
            () => x,
        };
        // `dy` sets the baseline: below the point for a text that hangs from it, on it for one that sits on it.
        let top = if tag.contains("dy=\"0.76em\"") { y } else { y - size * 0.5 };
        boxes.push((left, top, left + wide, top + size, text));
    }
    boxes
}

#[test]
fn no_label_of_any_picture_of_the_demo_lies_on_another() {
    let path = fixtures().join("terrace-tractor/tractor.yaml");
    let files = design::open(&path, &mut std::io::empty()).unwrap();
    let analysis = Analysis::of_all(&Design::load(&files, files.root()));
    let pictures: Vec<TimeCurrent> =
        analysis.model().elements().filter_map(|(id, _)| TimeCurrent::of(&analysis, id).ok()).collect();
    assert!(pictures.len() >= 20, "{} pictures", pictures.len());
    for picture in &pictures {
        let svg = picture::draw(picture, "Terrace tractor").unwrap();
        let boxes = boxes(&svg);
        assert!(boxes.len() > 15, "{}: {boxes:?}", picture.name);
        for (at, a) in boxes.iter().enumerate() {
            assert!(a.0 >= 0.0 && a.2 <= 4800.0, "{}: {a:?} leaves the picture", picture.name);
            for b in &boxes[at + 1..] {
                let apart = a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1;
                assert!(apart, "{}: {a:?} and {b:?}", picture.name);
            }
        }
    }
}
