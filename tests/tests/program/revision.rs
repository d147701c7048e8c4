//! Designs at a git revision, in repositories made for each test by git itself.

use harness_cli::source::git::{NoRevision, RevisionFiles, changed_since, is_revision};
use harness_core::{Checker, FileError, Files, check};
use harness_tests::repository::Repository;
use std::{collections::BTreeSet, fs, path::Path};

const ROOT: &str =
    "format: 1\ndesign: Orchard lift\ninclude: [parts/fuses.yaml]\ndevices: { tower: { ports: { A: { stud: M6 } } } }\n";
const FUSES: &str = "parts:\n  fuses:\n    blade-30: { standard: ISO 8820-3, rating: 30 A }\n";

/// Two commits of a design with an include, the first tagged `built`; what is on disk differs from both.
fn lift(name: &str) -> Repository {
    let repository = Repository::new(name);
    repository.write("designs/lift.yaml", ROOT);
    repository.write("designs/parts/fuses.yaml", FUSES);
    repository.write("other/tower.yaml", ROOT);
    repository.commit("first");
    repository.git(&["tag", "built"]);
    repository.write("designs/lift.yaml", ROOT.replace("include", "revision: B\ninclude"));
    repository.write("designs/parts/fuses.yaml", FUSES.replace("30 A", "40 A"));
    repository.commit("second");
    repository.write("designs/lift.yaml", "on disk");
    repository
}

fn refusal(revision: &str, path: &Path) -> String {
    RevisionFiles::open(revision, path).unwrap_err().to_string()
}

#[test]
fn a_design_and_its_includes_are_read_as_they_stood() {
    let repository = lift("as-they-stood");
    let path = repository.path("designs/lift.yaml");
    for (revision, root, rating) in [("HEAD", "revision: B", "40 A"), ("HEAD~1", "lift\ninclude", "30 A"), ("built", "", "30 A")]
    {
        let files = RevisionFiles::open(revision, &path).unwrap();
        let text = |name: &str| String::from_utf8(files.read(name).unwrap()).unwrap();
        assert_eq!(files.root(), "lift.yaml");
        assert!(text("lift.yaml").contains(root) && text("parts/fuses.yaml").contains(rating), "{revision}");
        assert_eq!(files.prefix(), format!("{revision}:{}/designs/", repository.top.display()));
        let report = check(&files, files.root(), &Checker::new());
        assert_eq!((report.summary.files, report.findings.len()), (2, 0), "{:?}", report.findings);
    }
    assert_eq!(fs::read(&path).unwrap(), b"on disk");
}

#[test]
fn bytes_are_those_of_the_commit_whatever_they_are() {
    let repository = Repository::new("bytes");
    let odd = [b"\xff\x00 blob 3\n\r\n".as_slice(), &[7; 200_000]].concat();
    repository.write("a.yaml", "");
    repository.write("ä ö/b\"c.yaml", &odd);
    repository.write("z.yaml", "last");
    repository.commit("first");
    let files = RevisionFiles::open("main", &repository.path("a.yaml")).unwrap();
    for _ in 0..2 {
        assert_eq!(files.read("a.yaml").unwrap(), b"");
        assert_eq!(files.read("ä ö/b\"c.yaml").unwrap(), odd);
        assert_eq!(files.read("z.yaml").unwrap(), b"last");
    }
}

#[test]
fn a_folder_that_is_gone_can_still_be_read() {
    let repository = lift("gone");
    fs::remove_dir_all(repository.path("designs")).unwrap();
    let files = RevisionFiles::open("built", &repository.path("designs/../designs/./lift.yaml")).unwrap();
    assert_eq!(files.read("parts/fuses.yaml").unwrap(), FUSES.as_bytes());
}

#[test]
fn what_cannot_be_read_is_named_with_what_lies_near() {
    let repository = lift("near");
    repository.git(&["branch", "winch-rework"]);
    let path = repository.path("designs/lift.yaml");
    let shown = path.display();
    let cases = [
        (refusal("buildt", &path), format!("read `{shown}` at `buildt`: there is no such revision; did you mean `built`?")),
        (
            refusal("winch-rewrok~3", &path),
            format!("read `{shown}` at `winch-rewrok~3`: there is no such revision; did you mean `winch-rework`?"),
        ),
        (refusal("", &path), format!("read `{shown}` at ``: there is no such revision")),
        (
            refusal("HEAD", &repository.path("designs/lfit.yaml")),
            format!("read `{}` at `HEAD`: ", repository.path("designs/lfit.yaml").display())
                + "there is no such file in that revision; did you mean `lift.yaml`?",
        ),
        (
            refusal("HEAD", &repository.path("tower.yaml")),
            format!("read `{}` at `HEAD`: there is no such file in that revision; ", repository.path("tower.yaml").display())
                + "it has `other/tower.yaml`, seen from the top of the repository",
        ),
        (
            refusal("HEAD", &repository.path("designs")),
            format!("read `{}` at `HEAD`: it is a folder", repository.path("designs").display()),
        ),
        (refusal("HEAD", Path::new("-")), "read `-` at `HEAD`: standard input has no revisions; name a file".to_owned()),
    ];
    for (told, expected) in cases {
        assert_eq!(told, expected);
    }
    let files = RevisionFiles::open("HEAD", &path).unwrap();
    assert_eq!(files.read("parts/fuse.yaml"), Err(FileError::Missing));
    assert_eq!(files.beside("parts/fuse.yaml"), ["fuses.yaml"]);
    for outside in ["../other/tower.yaml", "parts/../../x", "/etc/hostname", "parts/", "", "C:x"] {
        assert!(matches!(files.read(outside), Err(FileError::Unreadable(_))), "{outside}");
    }
}

#[test]
fn a_revision_is_never_an_option() {
    let repository = lift("option");
    let path = repository.path("designs/lift.yaml");
    let made = repository.path("made");
    for option in [format!("--output={}", made.display()), "-h".to_owned(), "--help".to_owned(), "HEAD\n".to_owned()] {
        assert!(refusal(&option, &path).contains("there is no such revision"), "{option}");
        assert_eq!(is_revision(&option, &repository.top), Err(NoRevision::Unknown(String::new())));
        assert!(changed_since(&option, &repository.top).unwrap_err().to_string().contains("no such revision"));
    }
    assert!(!made.exists());
}

#[test]
fn links_are_followed_inside_the_folder_of_the_design_and_submodules_are_refused() {
    let repository = lift("links");
    let blob = |text: &str| {
        repository.write("text", text);
        repository.git(&["hash-object", "-w", "text"]).trim().to_owned()
    };
    let [link, above, inside, absolute, chain, circle, folder] = [
        "../other/tower.yaml",
        "../../../etc/hostname",
        "parts/fuses.yaml",
        "/etc/hostname",
        "inside.yaml",
        "circle.yaml",
        "./parts",
    ]
    .map(blob);
    let commit = repository.git(&["rev-parse", "HEAD"]).trim().to_owned();
    for entry in [
        format!("120000,{link},designs/link.yaml"),
        format!("120000,{above},designs/above.yaml"),
        format!("120000,{inside},designs/inside.yaml"),
        format!("120000,{absolute},designs/absolute.yaml"),
        format!("120000,{chain},designs/chain.yaml"),
        format!("120000,{circle},designs/circle.yaml"),
        format!("120000,{folder},designs/kinds"),
        format!("160000,{commit},designs/sub"),
    ] {
        repository.git(&["update-index", "--add", "--cacheinfo", &entry]);
    }
    repository.git(&["commit", "--quiet", "-m", "odd entries"]);
    let files = RevisionFiles::open("HEAD", &repository.path("designs/lift.yaml")).unwrap();
    let why = |name: &str| match files.read(name) {
        Err(FileError::Unreadable(reason)) => reason,
        other => format!("{other:?}"),
    };
    let outside = |link: &str, to: &str| {
        format!("`{link}` is a link to `{to}`, outside the folder of the design; put a copy of the file in its place")
    };
    assert_eq!(why("link.yaml"), outside("link.yaml", "../other/tower.yaml"));
    assert_eq!(why("above.yaml"), outside("above.yaml", "../../../etc/hostname"));
    assert_eq!(why("absolute.yaml"), outside("absolute.yaml", "/etc/hostname"));
    assert_eq!(why("circle.yaml"), "`circle.yaml` is a link that leads in a circle");
    for name in ["inside.yaml", "chain.yaml", "kinds/fuses.yaml"] {
        assert_eq!(files.read(name), files.read("parts/fuses.yaml"), "{name}");
    }
    assert_eq!(why("sub"), "it is a repository of its own (a submodule) in that revision");
    assert_eq!(why("sub/a.yaml"), "`designs/sub` is a repository of its own (a submodule) in that revision");
    assert_eq!(why("parts"), "it is a folder");
    assert!(refusal("HEAD", &repository.path("designs/link.yaml")).contains("outside the folder of the design"));
    assert!(refusal("HEAD~1", &repository.path("designs/link.yaml")).contains("there is no such file"));
}

#[test]
fn no_repository_and_no_commit_are_told_apart() {
    let folder = std::env::temp_dir().join(format!("harness-no-git-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    assert!(refusal("HEAD", &folder.join("a.yaml")).ends_with("it is not in a git repository"));
    assert_eq!(is_revision("HEAD", &folder), Err(NoRevision::Unasked("it is not in a git repository".to_owned())));
    fs::remove_dir_all(&folder).unwrap();
    let empty = Repository::new("empty");
    assert!(refusal("HEAD", &empty.path("a.yaml")).ends_with("the repository has no commit yet"));
}

#[test]
fn what_names_a_commit_is_a_revision() {
    let repository = lift("names");
    let hash = repository.git(&["rev-parse", "--short", "HEAD"]);
    for text in ["HEAD", "HEAD~1", "main", "built", "main^", "@", hash.trim()] {
        assert_eq!(is_revision(text, &repository.path("designs")), Ok(()), "{text}");
    }
    for text in ["", "HEAD~9", "designs", "designs/lift.yaml", "HEAD:designs", "HEAD..main", "lift.yaml"] {
        assert!(matches!(is_revision(text, &repository.path("designs")), Err(NoRevision::Unknown(_))), "{text}");
    }
}

#[test]
fn all_that_differs_from_a_revision_is_named_from_the_top() {
    let repository = lift("changed");
    repository.write(".gitignore", "build/\n");
    repository.write("build/out.yaml", "");
    repository.write("designs/new ä.yaml", "");
    repository.delete("other/tower.yaml");
    // The settings of a user change nothing.
    repository.git(&["config", "diff.relative", "true"]);
    repository.git(&["config", "diff.noprefix", "true"]);
    repository.git(&["mv", "designs/parts/fuses.yaml", "designs/parts/gone.yaml"]);
    let changed = |revision: &str| changed_since(revision, &repository.path("designs")).unwrap();
    let set = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<BTreeSet<String>>();
    let disk = [".gitignore", "designs/lift.yaml", "designs/new ä.yaml", "designs/parts/fuses.yaml", "designs/parts/gone.yaml"];
    let all = [&disk[..], &["other/tower.yaml"]].concat();
    assert_eq!(changed("HEAD"), set(&all));
    assert_eq!(changed("built"), set(&all));
    repository.commit("third");
    assert_eq!(changed("HEAD"), set(&[]));
    assert_eq!(changed("HEAD~1"), set(&all));
}

#[test]
fn a_shallow_copy_says_how_to_get_the_older_commits() {
    let repository = lift("deep");
    let copy = repository.top.with_extension("shallow");
    let _ = fs::remove_dir_all(&copy);
    let from = format!("file://{}", repository.top.display());
    repository.git(&["clone", "--quiet", "--depth=1", &from, &copy.display().to_string()]);
    let hash = repository.git(&["rev-parse", "built"]);
    let why = ": this copy of the repository is shallow, it ends before that; `git fetch --unshallow` gets the older commits";
    let path = copy.join("designs/lift.yaml");
    for revision in ["HEAD~1", "main~1", hash.trim()] {
        assert_eq!(is_revision(revision, &copy), Err(NoRevision::Unknown(why.to_owned())), "{revision}");
        assert!(refusal(revision, &path).ends_with(why), "{revision}");
    }
    // What the copy could not know is not put down to its depth.
    assert_eq!(is_revision("mian", &copy), Err(NoRevision::Unknown("; did you mean `main`?".to_owned())));
    let fetched = repository.command(&[]).arg("-C").arg(&copy).args(["fetch", "--quiet", "--unshallow"]).status().unwrap();
    assert!(fetched.success(), "the advice was followed");
    assert_eq!(is_revision("HEAD~1", &copy), Ok(()));
    assert!(RevisionFiles::open(hash.trim(), &path).is_ok());
    fs::remove_dir_all(&copy).unwrap();
}

#[test]
fn a_copy_without_the_bytes_says_how_to_get_them() {
    let repository = lift("whole");
    repository.git(&["config", "uploadpack.allowFilter", "true"]);
    let copy = repository.top.with_extension("partial");
    let _ = fs::remove_dir_all(&copy);
    let from = format!("file://{}", repository.top.display());
    repository.git(&["clone", "--quiet", "--filter=blob:none", &from, &copy.display().to_string()]);
    let path = copy.join("designs/lift.yaml");
    let fuses = || RevisionFiles::open("built", &path).unwrap().read("parts/fuses.yaml");
    let Err(FileError::Unreadable(told)) = fuses() else { panic!("the fuses of that revision were not copied") };
    let (why, command) = told.split_once("; `git ").unwrap();
    assert_eq!(why, "its bytes are not in this copy of the repository");
    let command = command.strip_suffix("` gets them").unwrap();
    let done = repository.command(&[]).arg("-C").arg(&copy).args(command.split(' ')).output().unwrap();
    assert!(done.status.success(), "the advice was followed: {}", String::from_utf8_lossy(&done.stderr));
    assert_eq!(fuses().unwrap(), FUSES.as_bytes());
    fs::remove_dir_all(&copy).unwrap();
}
