//! `docs/format.md` against the schema, the reader and the machine that its examples make.

use std::collections::{BTreeMap, BTreeSet};

use benchleaf::audit::{self, Severity};
use benchleaf::circuit::{Effort, Solver};
use benchleaf::faults::kinds::FaultKind;
use benchleaf::machine::model::{Law, Machine, Meter, Origin, PartKind, Toleranced};
use benchleaf::machine::{self, Opened, Refused};
use benchleaf::spec::quantity::{self, Measure};
use benchleaf::spec::units::Unit;
use serde_json::Value;

use super::page::{Part, blocks, part, parts, quoted, tables};

const PAGE: &str = include_str!("../../../docs/format.md");

/// Keys of a table with whether the page says that they are required.
type Keys = BTreeMap<String, bool>;

/// The tables of a text whose last column says what is needed, as keys.
fn keys(text: &str) -> Keys {
    let mut keys = Keys::new();
    for table in tables(text).iter().filter(|table| table[0].last().is_some_and(|head| head == "needed")) {
        for row in &table[1..] {
            assert_eq!(row.len(), table[0].len(), "a row has as many cells as its head: {row:?}");
            let [key] = &quoted(&row[0])[..] else { panic!("a row names one key: {row:?}") };
            let needed = row.last().expect("a cell");
            let required = needed.starts_with("required");
            assert!(required || needed.starts_with("optional"), "`{key}` is neither required nor optional: {needed}");
            assert!(keys.insert(key.clone(), required).is_none(), "`{key}` is told twice");
        }
    }
    keys
}

/// Keys of an object of the schema, with those that it requires.
fn of_schema(object: &Value, required: &Value) -> Keys {
    let required: BTreeSet<&str> = required.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    let properties = object["properties"].as_object().expect("an object has properties");
    properties.keys().map(|key| (key.clone(), required.contains(key.as_str()))).collect()
}

fn tables_part() -> &'static str {
    part(PAGE, "##", "The tables")
}

/// The parts of the page that are about one table of the format, with its name.
fn sections() -> Vec<(String, Part<'static>)> {
    let name = |heading: &str| {
        let name = heading.strip_prefix("`[")?.strip_suffix("]`")?;
        Some(name.trim_matches(['[', ']']).to_string())
    };
    parts(tables_part(), "###").into_iter().filter_map(|part| Some((name(part.heading)?, part))).collect()
}

/// What the page says of a section: its own keys, and those that it shares.
fn documented(part: &Part<'_>) -> Keys {
    let mut all = keys(part.text);
    let mut share = |heading: &str| {
        for (key, required) in keys(super::page::part(tables_part(), "###", heading)) {
            assert!(all.insert(key.clone(), required).is_none(), "{}: `{key}` is told twice", part.heading);
        }
    };
    if part.text.contains("keys of every coil") {
        share("Every coil");
    }
    if part.text.contains("every part.") {
        share("Every part");
    }
    all
}

#[test]
fn every_section_and_key_of_the_schema_is_documented_and_no_other() {
    let schema = benchleaf::spec::schema();
    let definitions = schema["$defs"].as_object().expect("definitions");
    let known: BTreeSet<&str> =
        definitions.keys().map(String::as_str).filter(|name| !["value", "whole"].contains(name)).collect();
    let sections = sections();
    let told: BTreeSet<&str> = sections.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(told, known);
    assert_eq!(sections.len(), known.len(), "a section is told twice");
    for (name, part) in &sections {
        let whole = &definitions["whole"]["properties"][name];
        let list = schema["properties"][name]["type"] == "array";
        let required = if list { &whole["items"]["required"] } else { &whole["required"] };
        assert_eq!(documented(part), of_schema(&definitions[name], required), "[{name}]");
        let heading = if list { format!("`[[{name}]]`") } else { format!("`[{name}]`") };
        assert_eq!(part.heading, heading);
    }
}

#[test]
fn keys_outside_the_sections_are_documented() {
    let schema = benchleaf::spec::schema();
    let top: BTreeSet<String> = keys(part(PAGE, "##", "A description that builds on another")).into_keys().collect();
    let plain = schema["properties"].as_object().expect("properties").keys();
    let plain: BTreeSet<String> = plain.filter(|key| schema["$defs"].get(key.as_str()).is_none()).cloned().collect();
    assert_eq!(top, plain);
    let value = &schema["$defs"]["value"];
    let written = part(PAGE, "###", "Where a value comes from");
    assert_eq!(keys(written), of_schema(value, &value["required"]));
    let forms = schema["$defs"]["machine"]["properties"]["meter"]["anyOf"].as_array().expect("forms of the meter");
    let meter = forms.iter().find(|form| form["type"] == "object").expect("an analogue meter");
    assert_eq!(keys(part(tables_part(), "###", "An analogue meter")), of_schema(meter, &meter["required"]));
}

#[test]
fn every_word_that_a_key_takes_is_documented() {
    let schema = benchleaf::spec::schema();
    let mut words = 0;
    for (name, part) in sections() {
        for (key, property) in schema["$defs"][&name]["properties"].as_object().expect("properties") {
            let entries = property.get("additionalProperties").unwrap_or(property);
            for word in entries["enum"].as_array().into_iter().flatten().filter_map(Value::as_str) {
                let shared = key == "origin" || part.text.contains("as for a relay");
                let text = if shared { PAGE } else { part.text };
                let named = text.contains(&format!("\"{word}\"")) || text.contains(&format!("`{word}`"));
                assert!(named, "[{name}] {key} takes `{word}`, which the page does not name");
                words += 1;
            }
        }
    }
    assert!(words > 50, "only {words} words");
}

#[test]
fn fault_kinds_have_the_weights_and_minutes_of_the_program() {
    let told = tables(part(tables_part(), "###", "`[[fault]]`"));
    let kinds = told.iter().find(|table| table[0][0] == "kind").expect("a table of kinds");
    let told: Vec<(String, f64, f64)> = kinds[1..]
        .iter()
        .map(|row| {
            let number = |cell: &str| cell.parse().expect("a number");
            (quoted(&row[0])[0].clone(), number(&row[2]), number(&row[3]))
        })
        .collect();
    let known = FaultKind::ALL.iter().map(|kind| {
        let defaults = kind.defaults();
        (kind.name().to_string(), defaults.weight, defaults.minutes)
    });
    assert_eq!(told, known.collect::<Vec<_>>());
}

/// What `build` says of a shop profile; empty where it takes it.
fn profiled(text: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let profile = folder.path().join("shop.toml");
    std::fs::write(&profile, text).expect("a file");
    let spec = concat!(env!("CARGO_MANIFEST_DIR"), "/specs/lesson-board-12.toml");
    let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_benchleaf"));
    program.args(["build", spec, "--only", "fuse-label", "--shop"]).arg(&profile).arg("--out").arg(folder.path());
    let output = program.output().expect("it runs");
    if output.status.success() { String::new() } else { String::from_utf8(output.stderr).expect("text") }
}

#[test]
fn the_keys_of_the_shop_profile_are_those_of_the_program() {
    let page = part(PAGE, "##", "The shop profile");
    assert_eq!(blocks(page, "toml shop").iter().map(|text| profiled(text)).collect::<Vec<_>>(), [""]);
    let told: Vec<String> = tables(page)[0][1..].iter().map(|row| quoted(&row[0])[0].clone()).collect();
    // The message about an unknown key lists all that there are.
    let said = profiled("colour = 1\n");
    let known = said.split("expected one of").nth(1).expect("a list of keys");
    assert_eq!(told, quoted(known));
}

fn opened(name: &str, text: &str) -> Opened {
    let refused = |Refused { report, sources }: Refused| panic!("{name}:\n{}", report.render(&sources, false));
    machine::from_text(name, text).unwrap_or_else(refused)
}

/// The examples of all tables, one after the other.
fn examples() -> String {
    blocks(PAGE, "toml").join("\n")
}

#[test]
fn the_examples_together_are_a_machine_that_works() {
    let opened = opened("skerry-6.toml", &examples());
    assert!(opened.warnings.is_empty(), "{}", opened.warnings.render(&opened.sources, false));
    assert!(opened.unprintable.is_empty());
    let solver = Solver::new(&opened.machine).expect("it can be solved");
    let findings = audit::audit(&opened.machine, &solver, &solver.solve(Effort::Nominal));
    let grave: Vec<String> = findings
        .iter()
        .filter(|finding| finding.severity != Severity::Remark)
        .map(|finding| crate::support::english(&finding.message))
        .collect();
    assert!(grave.is_empty(), "{grave:#?}");
}

#[test]
fn every_section_has_its_example() {
    for (name, part) in sections() {
        let example = blocks(part.text, "toml");
        assert_eq!(example.len(), 1, "[{name}] has one example");
        let headers: BTreeSet<&str> = example[0].lines().filter(|line| line.starts_with('[')).collect();
        assert_eq!(headers, BTreeSet::from([part.heading.trim_matches('`')]));
    }
}

#[test]
fn loose_examples_are_keys_of_the_format() {
    let loose = blocks(PAGE, "toml part");
    assert!(loose.len() >= 3);
    for text in loose {
        let table: toml::Table = toml::from_str(&text).expect("an example is TOML");
        for (key, value) in table {
            // Each stands in the machine of the examples, in place of what is there.
            let all = examples();
            let whole = match key.as_str() {
                "meter" => all.replacen("[machine]", &format!("[machine]\n{text}"), 1),
                "coil" => all.replacen("coil = \"160 ohm\"", text.trim(), 1),
                "route" => {
                    let start = all.find("route = \"\"\"").expect("the release circuit");
                    let end = start + all[start..].find("COM\n\"\"\"").expect("its end") + "COM\n\"\"\"".len();
                    format!("{}{text}{}", &all[..start], &all[end..])
                }
                other => panic!("no place for `{other} = {value}`"),
            };
            assert_ne!(whole, all, "{key}");
            opened(&key, &whole);
        }
    }
}

#[test]
fn the_example_of_a_base_opens_over_the_machine() {
    let folder = tempfile::tempdir().expect("a folder");
    let child = blocks(PAGE, "toml child");
    assert_eq!(child.len(), 1);
    std::fs::write(folder.path().join("skerry-6.toml"), examples()).expect("written");
    let path = folder.path().join("child.toml");
    std::fs::write(&path, &child[0]).expect("written");
    let opened =
        machine::open(&path).unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
    let machine = &opened.machine;
    assert!(machine.part_named("H1").is_none() && machine.sequence_numbered(4).is_none(), "they are removed");
    assert!(near(coil(machine, "L1").resistance.nominal.value(), 36.0), "the child's value counts");
    assert!(near(coil(machine, "L1").inductance.expect("the base's value").value(), 0.3));
}

fn coil<'m>(machine: &'m Machine, id: &str) -> &'m benchleaf::machine::model::Coil {
    machine.coil(machine.part_named(id).expect("a part")).expect("with a coil")
}

/// Whether two numbers are the same but for the last digits.
fn near(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-9 * other.abs()
}

/// The measures in the order of the page, where a value stands in quotes.
const MEASURES: [(&str, &Measure); 9] = [
    ("voltage", &quantity::VOLTAGE),
    ("current", &quantity::CURRENT),
    ("resistance, impedance", &quantity::RESISTANCE),
    ("power", &quantity::POWER),
    ("apparent power", &quantity::APPARENT_POWER),
    ("capacitance", &quantity::CAPACITANCE),
    ("inductance", &quantity::INDUCTANCE),
    ("share", &quantity::SHARE),
    ("temperature", &quantity::TEMPERATURE),
];

#[test]
fn examples_and_units_of_values_are_read() {
    let told = tables(part(PAGE, "##", "How values are written"));
    for (name, measure) in MEASURES {
        let row = told[0].iter().find(|row| row[0] == name).unwrap_or_else(|| panic!("no row for {name}"));
        let examples = quoted(&row[2]);
        assert!(!examples.is_empty());
        for example in examples {
            let text = example.trim_matches('"');
            assert!(measure.scan(text).is_ok(), "{name}: {text}");
        }
        for unit in quoted(&row[1]).iter().filter(|unit| !["dc", "ac"].contains(&unit.as_str())) {
            assert!(measure.scan(&format!("5 {unit}")).is_ok(), "{name}: 5 {unit}");
        }
    }
}

#[test]
fn tolerances_span_what_the_page_says() {
    let told = tables(part(PAGE, "###", "Tolerances and spans"));
    let mut seen = 0;
    for row in &told[0][1..] {
        let Some((low, high)) = row[1].split_once(" to ") else { continue };
        let measure = [&quantity::RESISTANCE, &quantity::VOLTAGE, &quantity::CAPACITANCE]
            .into_iter()
            .find(|measure| measure.scan(high).is_ok())
            .expect("a measure of the page");
        let unit = high.split_once(' ').expect("a unit").1;
        let end = |text: &str| measure.scan(text).expect("a quantity").nominal;
        let (low, high) = (end(&format!("{low} {unit}")), end(high));
        for form in quoted(&row[0]) {
            let span = measure.scan(form.trim_matches('"')).expect("a form").span.expect("a span");
            assert!(near(span.0, low) && near(span.1, high), "{form}: {span:?}");
            seen += 1;
        }
    }
    assert!(seen >= 5, "only {seen} forms");
}

/// Nominal, lowest and highest value, all marked as defaults of the program.
fn assumed<U: Unit>(value: &Toleranced<U>) -> [f64; 3] {
    assert_eq!(value.origin, Origin::Default);
    [value.nominal.value(), value.low.value(), value.high.value()]
}

/// The first numbers in the second column of the table of assumed values.
fn told(row: &str) -> Vec<f64> {
    let all = tables(part(PAGE, "##", "What the program fills in"));
    let row = all[0].iter().find(|cells| cells[0] == row).unwrap_or_else(|| panic!("no row `{row}`"));
    let numbers = regex::Regex::new(r"\d+(\.\d+)?").expect("a pattern");
    numbers.find_iter(&row[1]).map(|found| found.as_str().parse().expect("a number")).collect()
}

/// Resistance of an element by its name.
fn ohms(machine: &Machine, name: &str) -> [f64; 3] {
    let element = machine.elements.iter().find(|element| element.name == name).expect("an element");
    match &element.law {
        Law::Contact { closed, .. } => assumed(closed),
        Law::Resistance(ohms) => assumed(ohms),
        _ => panic!("`{name}` is no resistance"),
    }
}

#[test]
fn assumed_values_are_those_of_the_program() {
    let opened = opened("skerry-6.toml", &examples());
    let machine = &opened.machine;
    assert_eq!(told("closed contact, wiper"), ohms(machine, "K1:5-6"));
    assert_eq!(told("closed contact, wiper"), ohms(machine, "SEL:A"));
    assert_eq!(told("mated pin"), ohms(machine, "J1:3"));
    // The first wire, of which only the colour is known.
    assert_eq!(told("other wire"), ohms(machine, "W1"));
    let (relay, spread) =
        (coil(machine, "K1"), told("tolerance of coils, resistors, inductors, supplies, lamp currents")[0]);
    assert!((relay.resistance.high.value() - 160.0 * (1.0 + spread / 100.0)).abs() < 1e-9);
    let share = |level: f64, row: &str| (level / 24.0 - told(row)[0] / 100.0).abs() < 1e-9;
    assert!(share(relay.operate.value(), "operate level of a coil"));
    assert!(share(relay.release.value(), "release level of a coil"));
    let PartKind::Diode(diode) = &machine.part(machine.part_named("D1").expect("a diode")).kind else {
        panic!("`D1` is a diode")
    };
    assert_eq!(told("diode"), [diode.drop.value(), diode.on_resistance.value()]);
    let PartKind::Speaker(speaker) = &machine.part(machine.part_named("LS1").expect("a speaker")).kind else {
        panic!("`LS1` is a loudspeaker")
    };
    assert!((assumed(&speaker.resistance)[0] / 8.0 - told("voice coil")[0] / 100.0).abs() < 1e-9);
    let Meter::Digital(input) = &machine.meter else { panic!("the meter is digital") };
    assert!(near(told("meter")[0] * 1e6, input.value()));
    assert!(near(told("temperature of cold ohms")[0], machine.identity.ambient.value()));
}
