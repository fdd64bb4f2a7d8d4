//! The whole pack of the large machine, as a cold process, against the bare typesetting of the same pages; and `check` of
//! it. Prints ratios of one run and the largest resident memory of each process.
//!
//! `cargo bench --bench pack`. The bare process gets finished data and drawings from a folder and only typesets them.

#![expect(clippy::print_stdout, reason = "a benchmark reports on the terminal")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use benchleaf::circuit::{Effort, Solver};
use benchleaf::press::{self, Base, PressOptions};
use benchleaf::sheets::cards::CardOptions;
use benchleaf::sheets::{self, DocumentKind, Material, Paper, Sheet, SheetOptions};
use benchleaf::words::Words;

/// Counted runs of each process, after one that warms the disk.
const RUNS: usize = 5;
const SPEC: &str = "specs/tern-48.toml";

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(place) = arguments.iter().position(|argument| argument == "--bare") {
        bare(Path::new(&arguments[place + 1]));
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let dump = folder.path().join("dump");
    write_dump(&dump);
    let out = folder.path().join("out");
    let program = env!("CARGO_BIN_EXE_benchleaf");
    let own = std::env::current_exe().expect("the path of this benchmark");
    let (mut whole, mut typeset, mut check) = (Vec::new(), Vec::new(), Vec::new());
    for run in 0..=RUNS {
        let pack = measure(Command::new(program).args(["build", SPEC, "--only", "pack", "--out"]).arg(&out));
        let pages = measure(Command::new(&own).arg("--bare").arg(&dump));
        let checked = measure(Command::new(program).args(["check", SPEC]));
        if run > 0 {
            whole.push(pack);
            typeset.push(pages);
            check.push(checked);
        }
    }
    report("whole pack", &whole);
    report("bare typesetting", &typeset);
    report("check", &check);
    let ratios: Vec<f64> =
        whole.iter().zip(&typeset).map(|(one, other)| one.0.as_secs_f64() / other.0.as_secs_f64()).collect();
    println!("whole pack over bare typesetting: {:.2} (median of {RUNS} pairs)", median(ratios));
    let size = fs::metadata(out.join("tern-48-pack.pdf")).map_or(0, |file| file.len());
    println!("size of the pack: {} kB", size / 1000);
}

/// Time of a process, and the most memory that it held, in megabytes, as the kernel tells while it runs.
fn measure(command: &mut Command) -> (Duration, f64) {
    let start = Instant::now();
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .spawn()
        .expect("the process starts");
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let mut peak: f64 = 0.0;
    loop {
        if let Some(held) = fs::read_to_string(&status).ok().as_deref().and_then(held) {
            peak = peak.max(held);
        }
        if child.try_wait().expect("a child of this process").is_some() {
            return (start.elapsed(), peak);
        }
        std::thread::sleep(Duration::from_millis(1));
    }
}

/// The high-water mark in a status text, in megabytes.
fn held(status: &str) -> Option<f64> {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: f64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kilobytes / 1024.0)
}

fn report(name: &str, runs: &[(Duration, f64)]) {
    let milliseconds = median(runs.iter().map(|run| run.0.as_secs_f64() * 1000.0).collect());
    let peak = runs.iter().map(|run| run.1).fold(0.0, f64::max);
    println!("{name}: {milliseconds:.0} ms (median), {peak:.0} MB at most");
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Composes the pack and writes its data and drawings.
fn write_dump(folder: &Path) {
    let opened = benchleaf::machine::open(&Path::new(env!("CARGO_MANIFEST_DIR")).join(SPEC));
    let Ok(opened) = opened else { panic!("{SPEC} does not open") };
    let machine = &opened.machine;
    let solver = Solver::new(machine).expect("the large machine can be solved");
    let solution = solver.solve(Effort::Bands);
    let findings = benchleaf::faults::analyse(machine, &solver, &solution);
    let audit = benchleaf::audit::audit(machine, &solver, &solution);
    let options = SheetOptions {
        paper: Paper::A4,
        words: Words::of("en").expect("English"),
        north_american: false,
        card_code: "BENCH".into(),
        shop: None,
        card: CardOptions::default(),
    };
    let material = Material {
        machine,
        solver: &solver,
        solution: &solution,
        findings: Some(&findings),
        audit: &audit,
        options: &options,
    };
    let sheet = sheets::one(&material, DocumentKind::Pack).expect("a pack");
    fs::create_dir_all(folder).expect("a folder");
    fs::write(folder.join("data.json"), sheet.data.to_string()).expect("the data is written");
    fs::write(folder.join("title"), format!("{}\n{}", sheet.file_stem, sheet.title)).expect("the title is written");
    let figures = serde_json::to_string(&sheet.figures).expect("figures are text");
    fs::write(folder.join("figures.json"), figures).expect("the figures are written");
}

/// Typesets and exports what was dumped, and nothing else: what the typesetter alone takes.
fn bare(folder: &Path) {
    let read = |name: &str| fs::read_to_string(folder.join(name)).expect("a dumped file");
    let title = read("title");
    let (file_stem, title) = title.split_once('\n').expect("two lines");
    let sheet = Sheet {
        kind: DocumentKind::Pack,
        file_stem: file_stem.into(),
        title: title.into(),
        code: "7KD4-HACM".into(),
        data: serde_json::from_str(&read("data.json")).expect("data"),
        figures: serde_json::from_str(&read("figures.json")).expect("figures"),
    };
    let words = benchleaf::assets::languages().find(|(code, _)| *code == "en").map(|(_, text)| text.to_string());
    let options = PressOptions { words: words.expect("English"), ..PressOptions::default() };
    let base = Base::embedded().expect("built-in templates");
    let (document, _) = press::lay_out(base, &sheet, &options).expect("the pack is laid out");
    let pdf = press::export(&document, &sheet.file_stem).expect("the pack is exported");
    fs::write(folder.join("bare.pdf"), pdf).expect("the pages are written");
}
