//! `build --watch`: what is built again, in which order, and that it is what a new build would make.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::SystemTime;

use super::{Bench, PLOVER};

/// A program that watches; its builds are told on standard error.
struct Watched {
    child: std::process::Child,
    lines: std::io::Lines<std::io::BufReader<std::process::ChildStderr>>,
}

impl Watched {
    fn start(bench: &Bench, only: &[&str]) -> Self {
        use std::io::BufRead;
        let mut child = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
            .args(["build", "plover.toml", "--watch"])
            .args(only)
            .current_dir(bench.folder.path())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("it starts");
        let lines = std::io::BufReader::new(child.stderr.take().expect("piped")).lines();
        Self { child, lines }
    }

    /// Waits for the next build and gives the file that it wrote.
    fn next_build(&mut self, file: &Path) -> Vec<u8> {
        let built = self.lines.by_ref().map_while(Result::ok).find(|line| line.starts_with("built in"));
        assert!(built.is_some(), "it ended");
        fs::read(file).expect("the build is there")
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        // It may have ended of itself, where a test fails.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn watching_builds_again_when_the_description_changes() {
    let bench = Bench::new();
    let file = bench.path("out/plover-6-fuse-label.pdf");
    let mut watched = Watched::start(&bench, &["--only", "fuse-label"]);
    let before = watched.next_build(&file);
    bench.write("plover.toml", PLOVER.replace("control circuits", "whistle circuits"));
    assert!(before != watched.next_build(&file));
}

#[test]
fn what_a_watched_build_remembers_is_what_a_new_one_finds() {
    let bench = Bench::new();
    let file = bench.path("out/plover-6-signal-paths.pdf");
    let mut watched = Watched::start(&bench, &["--only", "signal-paths"]);
    watched.next_build(&file);
    let words = PLOVER.replace("coin is taken, no whistle", "coin is taken, all stays still");
    let labels = words.replace("credit relay", "relay of credits");
    let stated = format!("{labels}\n[[expect]]\nat = \"TP1\"\nsequence = 1\nreads = \"1 V dc\"\n");
    let values = stated.replace("160 ohm ±10 %", "120 ohm ±5 %");
    assert!(words != PLOVER && labels != words && values != stated, "the description has what is changed here");
    for changed in [words, labels, stated, values] {
        bench.write("plover.toml", &changed);
        let remembered = watched.next_build(&file);
        assert_eq!(bench.run(&["build", "plover.toml", "--only", "signal-paths", "--out", "new"]).code, 0);
        assert!(remembered == fs::read(bench.path("new/plover-6-signal-paths.pdf")).expect("built"));
    }
}

/// When each file was written, and what it holds.
fn written(bench: &Bench, folder: &str) -> BTreeMap<String, (SystemTime, Vec<u8>)> {
    let file = |name: String| {
        let path = bench.path(&format!("{folder}/{name}"));
        let time = fs::metadata(&path).and_then(|file| file.modified()).expect("a file");
        (name, (time, fs::read(&path).expect("a file")))
    };
    bench.files(folder).into_iter().map(file).collect()
}

#[test]
fn what_was_changed_is_written_first_and_the_pack_last() {
    let bench = Bench::new();
    let pack = bench.path("out/plover-6-pack.pdf");
    let mut watched = Watched::start(&bench, &[]);
    watched.next_build(&pack);
    let first = written(&bench, "out");
    // The pack carries the description as it was written; all else only what it says.
    let remarked = format!("# Checked at the bench.\n{PLOVER}");
    bench.write("plover.toml", &remarked);
    watched.next_build(&pack);
    let second = written(&bench, "out");
    let rewritten: Vec<&String> = second.keys().filter(|name| first[*name].0 != second[*name].0).collect();
    assert_eq!(rewritten, ["plover-6-pack.pdf"]);
    // A part's ohms stand in some documents; its code on the pages of all.
    let changed = remarked.replace("160 ohm ±10 %", "150 ohm ±10 %");
    assert!(changed != remarked);
    bench.write("plover.toml", &changed);
    watched.next_build(&pack);
    let third = written(&bench, "out");
    let time = |name: &str| third[&format!("plover-6-{name}.pdf")].0;
    assert!(third.keys().all(|name| third[name].0 > second[name].0), "every page has another code");
    assert!(time("coils") < time("fuse-label"), "coils have other ohms, fuses another code only");
    assert!(third.keys().all(|name| name.ends_with("-pack.pdf") || third[name].0 < time("pack")));
    assert_eq!(bench.run(&["build", "plover.toml", "--out", "new"]).code, 0);
    for (name, (_, bytes)) in written(&bench, "new") {
        assert!(third[&name].1 == bytes, "{name} is not what a new build makes");
    }
}
