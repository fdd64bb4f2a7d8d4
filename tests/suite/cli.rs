//! The real program: what each command prints, its JSON, its exit code, and what it does with bad input.

mod watching;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// A small machine: one supply, fuse, switch, relay, solenoid, two sequences.
const PLOVER: &str = include_str!("../paper/plover.toml");

/// A folder of its own with the small machine in it.
struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().expect("a folder") };
        bench.write("plover.toml", PLOVER);
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(path, text).expect("written");
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
            .args(arguments)
            .current_dir(self.folder.path())
            .output()
            .expect("the program runs");
        Ran::of(&output)
    }

    /// Names of the files in a folder, sorted; none where there is no such folder.
    fn files(&self, folder: &str) -> Vec<String> {
        let Ok(entries) = fs::read_dir(self.path(folder)) else { return Vec::new() };
        let mut names: Vec<String> =
            entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

/// What a run left behind.
#[derive(Debug)]
struct Ran {
    code: i32,
    out: String,
    err: String,
}

impl Ran {
    fn of(output: &Output) -> Self {
        Self {
            code: output.status.code().expect("it ended by itself"),
            out: String::from_utf8(output.stdout.clone()).expect("text"),
            err: String::from_utf8(output.stderr.clone()).expect("text"),
        }
    }

    /// Ended with this code, and said all of these somewhere in its messages.
    fn complains(&self, code: i32, said: &[&str]) -> &Self {
        assert_eq!(self.code, code, "{self:?}");
        for words in said {
            assert!(self.err.contains(words), "`{words}` is not said: {}", self.err);
        }
        assert!(!self.err.contains("panicked"), "{}", self.err);
        self
    }

    fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|fault| panic!("{fault}: {}", self.out))
    }
}

#[test]
fn solve_prints_readings_that_follow_from_ohms_law() {
    let ran = Bench::new().run(&["solve", "plover.toml", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let report = ran.json();
    assert_eq!(report["machine"], "plover-6");
    let coin = &report["sequences"][1];
    assert_eq!(coin["number"], 2);
    assert_eq!(coin["title"], "Coin drops, whistle blows");
    assert_eq!(coin["settled"], true);
    let fields: Vec<&String> = coin["readings"][0].as_object().expect("a reading").keys().collect();
    assert_eq!(
        fields,
        [
            "at",
            "against",
            "quantity",
            "nominal",
            "outcomes",
            "min",
            "max",
            "certainty",
            "floats",
            "ripple",
            "rms",
            "unit"
        ]
    );
    assert_eq!(coin["relays"], serde_json::json!({ "how": "settled", "states": [] }));
    let fields: Vec<&String> = coin["devices"][0].as_object().expect("a device").keys().collect();
    assert_eq!(fields, ["id", "volts", "amps", "min", "max", "operates", "operates-at-worst"]);
    let solenoid = coin["devices"].as_array().expect("devices").iter().find(|device| device["id"] == "L1").expect("L1");
    assert_eq!(solenoid["operates"], true);
    // 28 V behind 0.6 Ω; the coil of 160 Ω beside 4.7 Ω and 22 Ω in series: 1.19 A, 27.3 V, 22.5 V, wires and
    // contacts left out, so within half a volt.
    let total = 1.0 / (1.0 / 160.0 + 1.0 / 26.7);
    let bus = 28.0 * total / (total + 0.6);
    let expected = [("TP1", bus), ("TP3", bus * 22.0 / 26.7)];
    for (point, volts) in expected {
        let reading = coin["readings"]
            .as_array()
            .expect("readings")
            .iter()
            .find(|reading| reading["at"] == point)
            .expect("a point");
        let nominal = reading["nominal"].as_f64().expect("a number");
        assert!((nominal + volts).abs() < 0.5, "{point}: {nominal}, by hand −{volts}");
        let band = (reading["min"].as_f64().expect("min"), reading["max"].as_f64().expect("max"));
        assert!(band.0 < nominal && nominal < band.1);
    }
}

#[test]
fn solve_shows_a_table_and_one_sequence_on_demand() {
    let ran = Bench::new().run(&["solve", "plover.toml", "--sequence", "2"]);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("sequence 2: Coin drops, whistle blows") && !ran.out.contains("sequence 1"));
    assert!(ran.out.contains("operates") && ran.out.contains("lowest"));
    Bench::new().run(&["solve", "plover.toml", "--sequence", "9"]).complains(2, &["no sequence 9", "sequences: 1, 2"]);
}

#[test]
fn solve_with_a_fault_shows_the_faulty_machine_without_bands() {
    let bench = Bench::new();
    let ran = bench.run(&["solve", "plover.toml", "--sequence", "2", "--fault", "F1=open", "--format", "json"]);
    let report = ran.json();
    for reading in report["sequences"][0]["readings"].as_array().expect("readings") {
        assert!(reading["nominal"].as_f64().expect("a number").abs() < 0.01, "nothing behind an open fuse: {reading}");
        assert!(reading["min"].is_null() && reading["max"].is_null());
    }
    bench
        .run(&["solve", "plover.toml", "--fault", "F9=open"])
        .complains(2, &["no part or contact `F9`", "did you mean `F1`?"]);
    bench.run(&["solve", "plover.toml", "--fault", "F1=dirty"]).complains(2, &["`F1` cannot be `dirty`", "blown"]);
    bench.run(&["solve", "plover.toml", "--fault", "F1"]).complains(2, &["such as `F2=open`"]);
}

#[test]
fn check_ends_with_1_where_it_finds_something() {
    let bench = Bench::new();
    let ran = bench.run(&["check", "plover.toml"]);
    assert_eq!(ran.code, 1, "an unsuppressed DC coil is worth a remark");
    assert!(ran.out.contains("no suppression"), "{}", ran.out);
    let report = bench.run(&["check", "plover.toml", "--format", "json"]).json();
    let finding = &report[0]["findings"][0];
    assert_eq!(report[0]["machine"], "plover-6");
    assert!(finding["at"]["line"].as_u64().is_some_and(|line| line > 1) && finding["rule"].is_string());
}

#[test]
fn build_writes_what_is_wanted_and_nothing_else() {
    let bench = Bench::new();
    let ran = bench.run(&["build", "plover.toml", "--only", "bench-card,fuse-label", "--out", "paper"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(bench.files("paper"), ["plover-6-bench-card.pdf", "plover-6-fuse-label.pdf"]);
    assert!(ran.out.contains("2 files, 3 pages"), "{}", ran.out);
    bench.run(&["build", "plover.toml", "--only", "recipe"]).complains(2, &["recipe", "possible values", "bench-card"]);
}

#[test]
fn pictures_have_the_dots_that_were_asked_for() {
    let bench = Bench::new();
    let ran = bench.run(&["build", "plover.toml", "--only", "fuse-label", "--png", "--dpi", "100", "--out", "paper"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let picture = fs::read(bench.path("paper/plover-6-fuse-label-1.png")).expect("a picture");
    assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n", "PNG specification, section 5.2");
    let number = |at: usize| u32::from_be_bytes(picture[at..at + 4].try_into().expect("four bytes"));
    // A4 across at 100 dots an inch: 297 / 25.4 * 100 and 210 / 25.4 * 100.
    assert!(number(16).abs_diff(1169) <= 1 && number(20).abs_diff(827) <= 1, "{} by {}", number(16), number(20));
    bench.run(&["build", "plover.toml", "--dpi", "5000"]).complains(2, &["5000"]);
}

#[test]
fn a_run_that_fails_leaves_earlier_files_as_they_were() {
    let bench = Bench::new();
    bench.write("other.toml", PLOVER.replace("plover-6", "plover-7"));
    assert_eq!(bench.run(&["build", "plover.toml", "other.toml", "--only", "fuse-label", "--out", "paper"]).code, 0);
    let before: Vec<Vec<u8>> =
        bench.files("paper").iter().map(|name| fs::read(bench.path(&format!("paper/{name}"))).expect("read")).collect();
    bench.write("plover.toml", PLOVER.replace("Plover 6", "Plover Six"));
    bench.write("other.toml", PLOVER.replace("\"2 A\"", "\"2 volts\""));
    bench
        .run(&["build", "plover.toml", "other.toml", "--only", "fuse-label", "--out", "paper"])
        .complains(2, &["other.toml", "nothing was written"]);
    let after: Vec<Vec<u8>> =
        bench.files("paper").iter().map(|name| fs::read(bench.path(&format!("paper/{name}"))).expect("read")).collect();
    assert_eq!(
        bench.files("paper"),
        ["plover-6-fuse-label.pdf", "plover-7-fuse-label.pdf"],
        "no temporary files either"
    );
    assert!(before == after);
}

#[test]
fn a_folder_where_a_file_should_be_stops_the_run_before_anything_is_written() {
    let bench = Bench::new();
    fs::create_dir_all(bench.path("paper/plover-6-fuse-label.pdf")).expect("made");
    bench
        .run(&["build", "plover.toml", "--only", "bench-card,fuse-label", "--out", "paper"])
        .complains(2, &["plover-6-fuse-label.pdf", "a folder has this name"]);
    assert_eq!(bench.files("paper"), ["plover-6-fuse-label.pdf"]);
    bench.write("taken", "a file");
    bench.run(&["build", "plover.toml", "--only", "fuse-label", "--out", "taken"]).complains(2, &["taken"]);
}

#[test]
fn a_file_where_the_folder_should_be_is_called_a_file() {
    let bench = Bench::new();
    bench
        .run(&["build", "plover.toml", "--only", "fuse-label", "--out", "plover.toml"])
        .complains(2, &["this is a file, and a folder is needed"]);
}

/// What would keep `build` from printing is told by `check`.
#[test]
fn check_says_that_a_description_has_no_date() {
    let bench = Bench::new();
    let dated = PLOVER.lines().find(|line| line.starts_with("revised")).expect("a date");
    bench.write("plover.toml", PLOVER.replace(dated, ""));
    let ran = bench.run(&["check", "plover.toml"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("lacks its key `revised`"), "{}", ran.err);
}

/// The second name is refused when the first is given already: what stood there comes back.
#[test]
fn names_that_were_given_are_taken_back() {
    let bench = Bench::new();
    bench.write("paper/one.pdf", "earlier");
    let mut staged = benchleaf::press::files::Staged::new();
    for name in ["paper/new.pdf", "paper/one.pdf", "paper/two.pdf"] {
        staged.add(&bench.path(name), b"later").expect("there is room");
    }
    fs::create_dir_all(bench.path("paper/two.pdf/in-the-way")).expect("made");
    staged.commit().expect_err("a folder cannot be replaced");
    assert_eq!(bench.files("paper"), ["one.pdf", "two.pdf"]);
    assert_eq!(fs::read_to_string(bench.path("paper/one.pdf")).expect("it is there"), "earlier");
}

#[test]
fn two_machines_of_one_name_are_refused() {
    let bench = Bench::new();
    bench.write("other.toml", PLOVER);
    bench
        .run(&["build", ".", "--only", "fuse-label", "--out", "paper"])
        .complains(2, &["two machines would both write", "its own `id`"]);
    assert!(bench.files("paper").is_empty());
}

#[test]
fn folders_and_patterns_pass_over_the_shop_profile() {
    let bench = Bench::new();
    bench.write("machines/one.toml", PLOVER);
    bench.write("machines/two.toml", PLOVER.replace("plover-6", "plover-7"));
    bench.write("machines/shop.toml", "name = \"Pier Workshop\"\n");
    for (spec, out) in [("machines", "a"), ("machines/*.toml", "b")] {
        let ran = bench.run(&["build", spec, "--only", "fuse-label", "--out", out]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert_eq!(bench.files(out), ["plover-6-fuse-label.pdf", "plover-7-fuse-label.pdf"]);
    }
    fs::create_dir(bench.path("empty")).expect("made");
    bench.run(&["build", "empty"]).complains(2, &["holds no description"]);
    bench.run(&["build", "nothing-*.toml"]).complains(2, &["no description matches"]);
}

#[test]
fn input_that_cannot_be_read_is_a_message_and_2() {
    let bench = Bench::new();
    bench.write("binary.toml", [0xFF, 0xFE, 0x00, 0x80]);
    bench.write("broken.toml", "[machine\nid = ");
    bench.write("plain.pdf", "%PDF-1.7 and nothing more");
    for command in ["build", "check", "solve"] {
        bench.run(&[command, "missing.toml"]).complains(2, &["missing.toml"]);
        bench.run(&[command, "binary.toml"]).complains(2, &["binary.toml"]);
        bench.run(&[command, "broken.toml"]).complains(2, &["broken.toml"]);
    }
    bench.run(&["solve", "."]).complains(2, &["."]);
    bench.run(&["build", "plain.pdf"]).complains(2, &["plain.pdf"]);
    bench.run(&["bulid", "plover.toml"]).complains(2, &["build"]);
    bench.run(&["build"]).complains(2, &["SPEC"]);
}

#[test]
fn page_options_that_cannot_be_are_refused() {
    let bench = Bench::new();
    bench.run(&["build", "plover.toml", "--paper", "a7"]).complains(2, &["a7", "a4, letter"]);
    bench.run(&["build", "plover.toml", "--card", "poster"]).complains(2, &["poster", "half-letter"]);
    bench.run(&["build", "plover.toml", "--language", "xx"]).complains(2, &["no language file for `xx`", "de, en"]);
    bench
        .run(&["build", "plover.toml", "--paper", "letter", "--card", "a4"])
        .complains(2, &["does not fit", "smaller card"]);
    bench.run(&["build", "plover.toml", "--offset", "300,0"]).complains(2, &["at most 20 mm"]);
    bench.run(&["build", "plover.toml", "--offset", "3"]).complains(2, &["`0.8,-0.4`"]);
    assert!(bench.files("out").is_empty());
}

#[test]
fn a_shop_profile_gives_paper_and_language_and_says_what_is_wrong() {
    let bench = Bench::new();
    let logo =
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" height=\"20\"><rect width=\"40\" height=\"20\"/></svg>";
    bench.write("logo.svg", logo);
    bench.write("shop.toml", "name = \"Pier Workshop\"\nlogo = \"logo.svg\"\nlanguage = \"de\"\npaper = \"letter\"\n");
    let ran = bench.run(&["build", "plover.toml", "--only", "job-sheet", "--out", "paper", "--png", "--dpi", "72"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let picture = fs::read(bench.path("paper/plover-6-job-sheet-1.png"))
        .or_else(|_| fs::read(bench.path("paper/plover-6-job-sheet-01.png")));
    let picture = picture.expect("a picture");
    // Letter at 72 dots an inch.
    assert_eq!(u32::from_be_bytes(picture[16..20].try_into().expect("four bytes")), 612);
    let profile = |text: &str, said: &[&str]| {
        bench.write("shop.toml", text);
        bench.run(&["build", "plover.toml", "--only", "fuse-label"]).complains(2, said);
    };
    profile("name = \"Pier\"\ncolour = \"red\"\n", &["shop.toml", "colour"]);
    profile("telephone = \"1\"\n", &["has no `name`"]);
    profile("name = \"Pier\"\nlogo = \"none.svg\"\n", &["logo `none.svg` cannot be read"]);
    profile("name = \"Pier\"\nlogo = \"../logo.svg\"\n", &["outside the folder"]);
    profile("name = \"Pier\"\nlogo = \"plover.toml\"\n", &["neither an `.svg` nor a `.png`"]);
    bench.write("broken.png", "not a picture");
    profile("name = \"Pier\"\nlogo = \"broken.png\"\n", &["logo `broken.png` cannot be printed"]);
    bench.write("broken.svg", "<svg");
    profile("name = \"Pier\"\nlogo = \"broken.svg\"\n", &["logo `broken.svg` cannot be printed"]);
    bench.write("huge.svg", logo.to_string() + &" ".repeat(2_000_000));
    profile("name = \"Pier\"\nlogo = \"huge.svg\"\n", &["more than the 1024 kB"]);
    bench.run(&["build", "plover.toml", "--shop", "nowhere.toml"]).complains(2, &["nowhere.toml"]);
}

#[test]
fn a_letter_that_no_font_has_is_named_with_its_place_and_the_build_goes_on() {
    let bench = Bench::new();
    bench.write("plover.toml", PLOVER.replace("\"control circuits\"", "\"control \u{56DE}\u{8DEF} \u{05E9}\""));
    let ran = bench.run(&["build", "plover.toml", "--only", "fuse-label"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let line = PLOVER.lines().position(|line| line.contains("control circuits")).expect("there") + 1;
    assert!(ran.err.contains(&format!("plover.toml:{line}:")) && ran.err.contains("U+56DE"), "{}", ran.err);
    assert!(!ran.err.contains("U+05E9"), "the third font has Hebrew: {}", ran.err);
}

#[test]
fn equal_input_gives_equal_bytes_in_any_folder() {
    let (one, other) = (Bench::new(), Bench::new());
    other.write("deep/down/plover.toml", PLOVER);
    assert_eq!(one.run(&["build", "plover.toml", "--out", "paper"]).code, 0);
    assert_eq!(other.run(&["build", "deep/down/plover.toml", "--out", "paper"]).code, 0);
    let names = one.files("paper");
    assert!(names.len() >= 8 && names == other.files("paper"), "{names:?}");
    for name in names {
        let path = format!("paper/{name}");
        let (one, other) = (fs::read(one.path(&path)).expect("read"), fs::read(other.path(&path)).expect("read"));
        assert!(one == other, "{name} differs");
    }
}

#[test]
fn a_pack_can_be_printed_again_from_itself() {
    let bench = Bench::new();
    let child = PLOVER.replace("[[resistor]]\nid = \"R1\"\nvalue = \"4.7 ohm ±5 %\"\npower = \"10 W\"\n", "");
    assert_ne!(child, PLOVER);
    bench.write("family/stand.toml", "[[resistor]]\nid = \"R1\"\nvalue = \"4.7 ohm ±5 %\"\npower = \"10 W\"\n");
    bench.write("machines/plover.toml", format!("base = \"../family/stand.toml\"\n{child}"));
    let ran = bench.run(&["build", "machines/plover.toml", "--only", "pack", "--out", "first"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    fs::remove_dir_all(bench.path("machines")).expect("gone");
    fs::remove_dir_all(bench.path("family")).expect("gone");
    let ran = bench.run(&["build", "first/plover-6-pack.pdf", "--only", "pack", "--out", "second"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let read = |folder: &str| fs::read(bench.path(&format!("{folder}/plover-6-pack.pdf"))).expect("read");
    assert!(read("first") == read("second"), "the second printing differs");
    assert_eq!(bench.run(&["build", "plover.toml", "--only", "fuse-label", "--out", "third"]).code, 0);
    bench.run(&["build", "third/plover-6-fuse-label.pdf"]).complains(2, &["no description is attached"]);
}

/// The card code at the foot of a printed page, as text tools see it.
fn printed_code(folder: &Path) -> Option<String> {
    let output = Command::new("pdftotext").arg(folder.join("plover-6-fuse-label.pdf")).arg("-").output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let is_code = |word: &&str| {
        word.len() == 9
            && word.as_bytes()[4] == b'-'
            && word.bytes().all(|byte| byte == b'-' || byte.is_ascii_uppercase() || byte.is_ascii_digit())
    };
    text.split_whitespace().find(is_code).map(str::to_string)
}

#[test]
fn a_code_tells_current_from_stale_from_mistyped() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["build", "plover.toml", "--only", "fuse-label", "--card", "a6"]).code, 0);
    let Some(code) = printed_code(&bench.path("out")) else {
        super::support::skip("pdftotext");
        return;
    };
    let ran = bench.run(&["verify-code", "plover.toml", &code.to_lowercase()]);
    assert_eq!((ran.code, ran.out.as_str()), (0, "current: printed for paper a4, card a6, IEC symbols, language en\n"));
    bench.write("plover.toml", PLOVER.replace("revision = 2", "revision = 3"));
    let ran = bench.run(&["verify-code", "plover.toml", &code]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("stale: printed from revision 2 of 2026-03-01"), "{}", ran.out);
    bench.write("plover.toml", PLOVER.replace("\"10 W\"", "\"11 W\""));
    let ran = bench.run(&["verify-code", "plover.toml", &code]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("stale: revision 2 as well"), "{}", ran.out);
    assert_eq!(bench.run(&["verify-code", "plover.toml", "7KD4"]).code, 2);
}

#[test]
fn a_page_of_other_templates_has_another_code() {
    let bench = Bench::new();
    let built_in = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates");
    let folder = bench.path("templates");
    copy_folder(&built_in, &folder);
    let folder = folder.to_str().expect("a plain name").to_string();
    let build = ["build", "plover.toml", "--only", "fuse-label", "--templates", &folder];
    let mut codes = Vec::new();
    // As they are; then one byte more in one of them, though the page looks the same.
    for ending in ["", "\n"] {
        let tokens = Path::new(&folder).join("tokens.typ");
        fs::write(&tokens, fs::read_to_string(&tokens).expect("read") + ending).expect("written");
        assert_eq!(bench.run(&build).code, 0);
        let Some(code) = printed_code(&bench.path("out")) else {
            super::support::skip("pdftotext");
            return;
        };
        codes.push(code);
    }
    let verified = |code: &str, more: &[&str]| bench.run(&[&["verify-code", "plover.toml", code], more].concat());
    assert_eq!(verified(&codes[0], &[]).code, 0, "the same templates make the same code");
    let ran = verified(&codes[1], &[]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("stale: revision 2 as well"), "{}", ran.out);
    assert_eq!(verified(&codes[1], &["--templates", &folder]).code, 0);
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let place = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_folder(&entry.path(), &place);
        } else {
            fs::copy(entry.path(), place).expect("copied");
        }
    }
}

#[test]
fn every_single_slip_in_a_code_is_found() {
    use benchleaf::sheets::card_code::CardCode;
    const ALPHABET: &str = "34679ACDEFHJKLMNPRTVWXY";
    for seed in 0..40 {
        let code = CardCode::of(&serde_json::json!({ "machine": seed }), seed, &["a4"]).to_string();
        assert_eq!(CardCode::read(&code).map(|read| read.to_string()), Ok(code.clone()));
        let letters: Vec<char> = code.chars().filter(|letter| *letter != '-').collect();
        for at in 0..letters.len() {
            for other in ALPHABET.chars().filter(|other| *other != letters[at]) {
                let mut wrong = letters.clone();
                wrong[at] = other;
                assert!(CardCode::read(&wrong.iter().collect::<String>()).is_err(), "{code} as {wrong:?}");
            }
            for other in at + 1..letters.len() {
                let mut wrong = letters.clone();
                wrong.swap(at, other);
                assert!(wrong == letters || CardCode::read(&wrong.iter().collect::<String>()).is_err());
            }
        }
    }
}

#[test]
fn the_tools_around_the_work() {
    let bench = Bench::new();
    let ran = bench.run(&["schema"]);
    assert!(ran.code == 0 && ran.json().is_object());
    let ran = bench.run(&["completions", "bash"]);
    assert!(ran.code == 0 && ran.out.contains("verify-code"));
    let ran = bench.run(&["man", "manual"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(bench.files("manual").contains(&"benchleaf-build.1".to_string()), "{:?}", bench.files("manual"));
    let ran = bench.run(&["register-test", "--paper", "letter", "--language", "de"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(bench.files("out"), ["register-test.pdf"]);
    bench.run(&["new", "no blanks"]).complains(2, &["letters, digits and hyphens"]);
}

#[test]
fn a_new_description_is_one_that_can_be_built() {
    let bench = Bench::new();
    let ran = bench.run(&["new", "petrel-12"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    bench.write("petrel.toml", &ran.out);
    let ran = bench.run(&["build", "petrel.toml", "--only", "bench-card"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(bench.files("out"), ["petrel-12-bench-card.pdf"]);
}

#[test]
fn an_open_relay_is_its_coil_alone() {
    // The lamp hangs on a break contact: with the coil open it burns.
    let spec = r#"
machine = { id = "t", name = "T", revision = 1, revised = 2026-03-01, reference = "COM" }
supply = [{ id = "PS1", voltage = "24 V dc", internal = "0.5 ohm", terminals = { "+" = "P", "-" = "COM" } }]
switch = [{ id = "S1", rest = "open" }]
relay = [{ id = "K1", coil = "200 ohm", nominal = "24 V dc", contacts = { "1-2" = "break" } }]
lamp = [{ id = "H1", nominal = "24 V", current = "0.1 A" }]
test-point = [{ id = "TP1" }]
run = [{ route = "P > S1 > K1 > COM" }, { route = "P > K1:1-2 > TP1 > H1 > COM" }]
sequence = [{ number = 1, title = "x", set = ["S1"], acts = ["K1"] }]
"#;
    let bench = Bench::new();
    bench.write("relay.toml", spec);
    let ran = bench.run(&["solve", "relay.toml", "--fault", "K1=open", "--format", "json"]);
    let volts = ran.json()["sequences"][0]["readings"][0]["nominal"].as_f64().expect("a number");
    assert!(volts > 23.5, "{volts}");
}
