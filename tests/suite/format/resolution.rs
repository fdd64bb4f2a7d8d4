//! Routes become joints and elements: what is joined to what, in which direction, under which name.

use benchleaf::machine::model::{Element, Gate, Law, Machine, PartKind, RunStep};
use benchleaf::machine::{self, Opened};

/// A spec with a supply and a sequence around the given sections.
pub(super) fn spec(sections: &str) -> String {
    format!(
        r#"
[machine]
id = "bench"
name = "Bench"
reference = "COM"
[[supply]]
id = "PS1"
voltage = "24 V dc"
terminals = {{ "+" = "P24", "-" = "COM" }}
[[sequence]]
number = 1
title = "Rest"
{sections}
"#
    )
}

pub(super) fn open(text: &str) -> Opened {
    machine::from_text("bench.toml", text)
        .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)))
}

pub(super) fn sentences(text: &str) -> Vec<String> {
    match machine::from_text("bench.toml", text) {
        Ok(opened) => panic!("opened with {} warnings", opened.warnings.len()),
        Err(refused) => refused.report.iter().map(benchleaf::spec::Diagnostic::message).collect(),
    }
}

fn element<'m>(machine: &'m Machine, name: &str) -> &'m Element {
    let found = machine.elements.iter().find(|element| element.name == name);
    found.unwrap_or_else(|| {
        let names: Vec<&str> = machine.elements.iter().map(|element| element.name.as_str()).collect();
        panic!("no element {name} among {names:?}")
    })
}

fn ends(machine: &Machine, name: &str) -> (String, String) {
    let element = element(machine, name);
    (machine.joint(element.from).name.clone(), machine.joint(element.to).name.clone())
}

fn between(from: &str, to: &str) -> (String, String) {
    (from.into(), to.into())
}

#[test]
fn a_run_becomes_a_chain_of_elements() {
    let opened = open(&spec(
        r#"
[[fuse]]
id = "F1"
rated = "1 A"
[[plug]]
id = "J3"
[[switch]]
id = "S10..S12"
rest = "closed"
[[test-point]]
id = "TP1"
[[relay]]
id = "K2"
coil = "120 ohm"
nominal = "24 V dc"
[[run]]
route = "P24 > F1 > J3:6 > wire GY/YE 0.75 mm2 2 m > TP1 > S10..S12 > K2 > COM"
"#,
    ));
    let machine = &opened.machine;
    assert!(opened.warnings.is_empty());
    assert_eq!(ends(machine, "F1"), between("P24", "between F1 and J3:6"));
    assert_eq!(ends(machine, "J3:6"), between("between F1 and J3:6", "between J3:6 and W1"));
    assert_eq!(ends(machine, "W1"), between("between J3:6 and W1", "TP1"));
    assert_eq!(ends(machine, "S11"), between("between S10 and S11", "between S11 and S12"));
    assert_eq!(ends(machine, "K2"), between("between S12 and K2", "COM"));
    assert_eq!(ends(machine, "PS1"), between("P24", "COM"));
    // Seven elements and eight joints in the run, from joint to joint.
    assert_eq!(machine.runs[0].steps.len(), 7 * 2 + 1);
    assert!(matches!(machine.runs[0].steps[0], RunStep::Joint(joint) if machine.joint(joint).name == "P24"));
    let wire = machine.part(machine.part_named("W1").expect("a wire is a part"));
    assert_eq!(wire.label.as_deref(), Some("GY/YE, J3:6 to TP1"));
    assert_eq!(machine.parts[3].group.as_deref(), Some("S10..S12"));
    let PartKind::Plug(plug) = &machine.part(machine.part_named("J3").expect("a plug")).kind else { panic!("no plug") };
    assert_eq!(plug.pins.iter().map(|(pin, _)| pin.as_str()).collect::<Vec<_>>(), ["6"]);
}

#[test]
fn a_change_over_has_one_common_terminal() {
    let opened = open(&spec(
        r#"
[[relay]]
id = "K1"
coil = "120 ohm"
nominal = "24 V dc"
contacts = { "9-10-11" = "change-over" }
[[resistor]]
id = "R1..R2"
value = "1k"
[[run]]
route = "P24 > K1 > COM"
[[run]]
route = "P24 > K1:9-10 > R1 > COM"
[[run]]
route = "COM > R2 > K1:11-9"
"#,
    ));
    let machine = &opened.machine;
    assert_eq!(ends(machine, "K1:9-10").0, "P24");
    assert_eq!(ends(machine, "K1:9-11").0, "P24");
    let energised = |name: &str| match &element(machine, name).law {
        Law::Contact { gate: Gate::Relay { when_energised, .. }, .. } => *when_energised,
        law => panic!("{name} is {law:?}"),
    };
    assert!(!energised("K1:9-10"), "the break side is closed at rest");
    assert!(energised("K1:9-11"), "the make side is closed when energised");
    let against = machine.runs[2].steps.iter().any(|step| matches!(step, RunStep::Element { forward: false, .. }));
    assert!(against, "the third run passes the contact from its make side");
}

#[test]
fn a_diode_across_a_coil_has_its_cathode_on_the_positive_side() {
    // One coil in a positive circuit, one in a negative one (positive terminal to the chassis).
    let opened = open(&spec(
        r#"
[[supply]]
id = "PS2"
voltage = "28 V dc"
terminals = { "+" = "COM", "-" = "N28" }
[[relay]]
id = "K1..K2"
coil = "120 ohm"
nominal = "24 V dc"
[[switch]]
id = "S1"
[[resistor]]
id = "R1"
value = "10 ohm"
[[diode]]
id = "D1"
across = "K1"
[[diode]]
id = "D2"
across = "K2"
[[run]]
route = "P24 > S1 > K1 > COM"
[[run]]
route = "N28 > R1 > K2 > COM"
"#,
    ));
    let machine = &opened.machine;
    assert_eq!(ends(machine, "D1"), between("COM", "between S1 and K1"), "from anode to cathode");
    assert_eq!(ends(machine, "D2"), between("between R1 and K2", "COM"));
    assert_eq!(machine.runs.len(), 4, "each diode has a run of its own");
}

#[test]
fn a_diode_finds_its_side_through_contacts_and_series_coils() {
    let opened = open(&spec(
        r#"
[[relay]]
id = "K1..K2"
coil = "120 ohm"
nominal = "12 V dc"
contacts = { "5-6" = "make" }
[[diode]]
id = "D1"
across = "K1"
[[diode]]
id = "D2"
across = "K2"
[[run]]
route = "COM > K1 > K2 > K1:5-6 > P24"
"#,
    ));
    let machine = &opened.machine;
    assert_eq!(ends(machine, "D1"), between("COM", "between K1 and K2"));
    assert_eq!(ends(machine, "D2"), between("between K1 and K2", "between K2 and K1:5-6"));
}

#[test]
fn a_makers_wire_codes_may_begin_with_a_digit() {
    let coded = |wire: &str| {
        let codes = "wire-colours = { 7 = \"lilac\", 07 = \"mauve\", 50-4 = \"white, spot of blue\", 3A = \"fawn\" }";
        let text = spec(&format!(
            "[[resistor]]\nid = \"R1\"\nvalue = \"10 ohm\"\n[[run]]\nroute = \"P24 > {wire} > R1 > COM\"\n"
        ));
        text.replace("reference =", &format!("{codes}\nreference ="))
    };
    // Text of the wire: its colour, size in mm², length in m.
    for (wire, colour, size, length) in [
        ("wire 7", Some("7"), None, None),
        ("wire 07", Some("07"), None, None),
        ("wire 50-4", Some("50-4"), None, None),
        ("wire 3A", Some("3A"), None, None),
        ("wire 7/3A", Some("7/3A"), None, None),
        ("wire 7 0.75 mm2 1.2 m", Some("7"), Some(0.75), Some(1.2)),
        ("wire 7 1 mm2", Some("7"), Some(1.0), None),
        ("wire 50-4 .5 mm2", Some("50-4"), Some(0.5), None),
        ("wire 7 12 m", Some("7"), None, Some(12.0)),
        ("wire 7 m", None, None, Some(7.0)),
        ("wire 7m", None, None, Some(7.0)),
        ("wire 1 mm2 7 m", None, Some(1.0), Some(7.0)),
        ("wire 1mm2", None, Some(1.0), None),
    ] {
        let machine = open(&coded(wire)).machine;
        let PartKind::Wire(found) = &machine.part(machine.part_named("W1").expect("a wire")).kind else { panic!() };
        let text = found
            .colour
            .as_ref()
            .map(|(base, tracer)| tracer.as_ref().map_or_else(|| base.clone(), |tracer| format!("{base}/{tracer}")));
        assert_eq!(text.as_deref(), colour, "{wire}");
        assert_eq!(found.size.map(benchleaf::spec::units::SquareMillimetres::value), size, "{wire}");
        assert_eq!(found.length.map(benchleaf::spec::units::Metres::value), length, "{wire}");
    }
    let gauge = open(&coded("wire 7 AWG 22")).machine;
    let PartKind::Wire(gauge) = &gauge.part(gauge.part_named("W1").expect("a wire")).kind else { panic!() };
    assert_eq!(
        (gauge.size_text.as_deref(), gauge.colour.as_ref().map(|(base, _)| base.as_str())),
        (Some("AWG 22"), Some("7"))
    );
}

#[test]
fn a_number_that_is_neither_a_known_code_nor_a_measure_is_refused() {
    let wired = |wire: &str| {
        sentences(&spec(&format!(
            "[[resistor]]\nid = \"R1\"\nvalue = \"10 ohm\"\n[[run]]\nroute = \"P24 > {wire} > R1 > COM\"\n"
        )))
    };
    assert_eq!(wired("wire 22"), ["`22` is no wire colour"]);
    assert!(wired("wire 0.75")[0].contains("with its unit"));
    assert!(wired("wire 2 kg")[0].contains("unknown unit `kg`"));
    assert_eq!(wired("wire 2V"), ["`2V` is no wire colour"]);
}

#[test]
fn a_selector_joins_its_wiper_to_the_segments_that_are_wired() {
    let opened = open(&spec(
        r#"
[[selector]]
id = "SEL"
rings = { letter = ["A", "B", "C"], number = ["1..3"] }
[[lamp]]
id = "H1..H3"
nominal = "24 V"
current = "40 mA"
[[run]]
route = "P24 > SEL:A-2 > H1 > COM"
[[run]]
route = "P24 > SEL:A"
[[run]]
route = "SEL:1 > H2 > COM"
[[run]]
route = "COM > H3 > SEL:3"
[[sequence]]
number = 2
title = "At A 1"
set = ["SEL=A1"]
[[sequence]]
number = 3
title = "At C 3"
set = ["SEL=C-3"]
"#,
    ));
    let machine = &opened.machine;
    let names: Vec<&str> = machine.elements.iter().map(|element| element.name.as_str()).collect();
    let wired = names.iter().filter(|name| name.starts_with("SEL:")).copied().collect::<Vec<_>>();
    assert_eq!(wired, ["SEL:A", "SEL:2", "SEL:1", "SEL:3"]);
    assert!(wired.iter().all(|name| ends(machine, name).1 == "SEL:W"));
    let selector = machine.part_named("SEL").expect("a selector");
    assert_eq!(machine.sequences[1].setting.positions[&selector], [Some(0), Some(0)]);
    assert_eq!(machine.sequences[2].setting.positions[&selector], [Some(2), Some(2)]);
}

#[test]
fn passing_a_terminal_that_is_wired_elsewhere_needs_a_word() {
    let parts = r#"
[[relay]]
id = "K1"
coil = "120 ohm"
nominal = "24 V dc"
contacts = { "9-10-11" = "change-over" }
[[fuse]]
id = "F1..F2"
rated = "1 A"
[[resistor]]
id = "R1..R2"
value = "1k"
[[run]]
route = "P24 > K1 > COM"
[[run]]
route = "P24 > F1 > K1:9-10 > R1 > COM"
"#;
    let silent = sentences(&spec(&format!("{parts}[[run]]\nroute = \"P24 > F2 > K1:9-11 > R2 > COM\"\n")));
    assert_eq!(silent, ["terminal `K1:9` is already wired to something else"]);
    let said = open(&spec(&format!("{parts}[[run]]\nroute = \"P24 > F2 > K1:9 > K1:9-11 > R2 > COM\"\n")));
    assert_eq!(ends(&said.machine, "F2").1, ends(&said.machine, "F1").1);
    assert_eq!(ends(&said.machine, "F2").1, "K1:9");
}

#[test]
fn test_points_may_stand_at_a_terminal() {
    let opened = open(&spec(
        r#"
[[plug]]
id = "J1"
[[resistor]]
id = "R1"
value = "1k"
[[test-point]]
id = "TP1"
at = "J1:4"
[[test-point]]
id = "TP2"
at = "R1:2"
reference = "P24"
[[run]]
route = "P24 > J1:4 > R1 > COM"
"#,
    ));
    let machine = &opened.machine;
    let joint = |point: usize| machine.joint(machine.test_points[point].joint).name.clone();
    assert_eq!((joint(0).as_str(), joint(1).as_str()), ("P24", "COM"));
    assert_eq!(machine.joint(machine.test_points[1].reference).name, "P24");
    assert_eq!(machine.test_points[0].reference, machine.reference);
}

#[test]
fn a_route_may_span_lines_and_use_arrows() {
    let opened = open(&spec(
        r#"
[[resistor]]
id = "R1..R3"
value = "1k"
[[run]]
route = """
P24 > R1
  → R2 \
  > R3 > COM
"""
"#,
    ));
    assert_eq!(ends(&opened.machine, "R3").1, "COM");
}

#[test]
fn problems_in_a_long_route_are_underlined_in_place() {
    let text = spec(
        "[[resistor]]\nid = \"R1\"\nvalue = \"1k\"\n[[run]]\nroute = \"\"\"\n  P24 >\n  R1 > \\\n     R7 > COM\"\"\"\n",
    );
    let refused = machine::from_text("bench.toml", &text).expect_err("R7 is unknown");
    let problem = refused.report.iter().find(|problem| problem.message().contains("R7")).expect("R7 is named");
    assert_eq!(refused.sources.slice(problem.at), "R7");
    assert_eq!(text[..problem.at.start].lines().last().map(str::trim), Some(""), "it is first on its line");
}

#[test]
fn sequences_come_in_ascending_number_and_refer_by_index() {
    let opened = open(&spec(
        r#"
[[resistor]]
id = "R1"
value = "1k"
[[switch]]
id = "S1..S3"
rest = "open"
[[run]]
route = "P24 > S1..S3 > R1 > COM"
[[sequence]]
number = 9
title = "Late"
after = 4
set = ["S1..S2"]
[[sequence]]
number = 4
title = "Early"
"#,
    ));
    let machine = &opened.machine;
    let numbers: Vec<i64> = machine.sequences.iter().map(|sequence| sequence.number).collect();
    assert_eq!(numbers, [1, 4, 9]);
    assert_eq!(machine.sequences[2].after.map(|after| machine.sequences[after.0].number), Some(4));
    assert_eq!(machine.sequences[2].setting.operated.len(), 2);
}
