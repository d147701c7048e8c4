//! Pictures by name: the time-current picture of a fuse (`harness trace FUSE --svg FILE`), a net (`harness draw FILE net NAME`).

use super::{folder, inspect::lift};
use harness_cli::exit;
use std::fs;

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

#[test]
fn a_net_is_drawn_by_what_is_on_it_and_an_element_between_two_says_what_to_write() {
    let folder = folder("inspect/net", &[]);
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let by_wire = lift(&["draw", "-", "net", "lift.2", "--output", &path("wire.svg")]);
    assert_eq!((by_wire.code, by_wire.err.as_str()), (exit::CLEAN, ""));
    assert!(by_wire.out.contains("wire.svg: Net of "), "{}", by_wire.out);
    let drawn = fs::read_to_string(path("wire.svg")).unwrap();
    assert!(drawn.starts_with("<svg ") && drawn.contains("lift.2"));
    let refused = lift(&["draw", "-", "net", "F1", "--output", &path("fuse.svg")]);
    assert_eq!(refused.code, exit::FAILED);
    assert!(refused.err.contains("it is on several nets; write one of its points: `"), "{}", refused.err);
    let unknown = lift(&["draw", "-", "net", "nothing-like-it", "--output", &path("no.svg")]);
    assert!(unknown.code == exit::FAILED && unknown.err.contains("nothing has this name"), "{}", unknown.err);
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
}
