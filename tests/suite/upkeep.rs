//! The lists and forms for years of use: every wire, every part with its sources, every point with its good reading.

use std::collections::BTreeSet;

use benchleaf::machine::model::{PartKind, SequenceId};
use benchleaf::sheets::{DocumentKind, Paper, Sheet};
use serde_json::Value;

use crate::sheets as desk;

/// A document of a machine as data.
fn body(name: &str, kind: DocumentKind) -> Value {
    let opened = desk::open(&desk::demo(name));
    let options = desk::options("en", Paper::A4);
    let sheet: Option<Sheet> = desk::with_figures(&opened, &options, |material| benchleaf::sheets::one(material, kind));
    sheet.map_or(Value::Null, |sheet| sheet.data["body"].clone())
}

fn texts(list: &Value, key: &str) -> Vec<String> {
    let list = list.as_array().expect("a list");
    list.iter().map(|line| line[key].as_str().unwrap_or_default().to_string()).collect()
}

/// The wire table holds every wire once, in the order of their numbers; its ends are parts, points or joints of the machine.
#[test]
fn every_wire_has_a_line_that_leads_to_both_ends() {
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let machine = &opened.machine;
        let wires = machine.parts.iter().filter(|part| matches!(part.kind, PartKind::Wire(_)));
        let expected: Vec<String> = wires.map(|part| part.id.clone()).collect();
        let body = body(name, DocumentKind::WireTable);
        assert_eq!(texts(&body["wires"], "id"), expected, "{name}");
        let known: BTreeSet<&str> = machine
            .elements
            .iter()
            .map(|element| element.name.as_str())
            .chain(machine.joints.iter().map(|joint| joint.name.as_str()))
            .collect();
        for end in texts(&body["wires"], "from").iter().chain(&texts(&body["wires"], "to")) {
            assert!(end.split(" / ").all(|one| known.contains(one)), "{name}: an end `{end}`");
        }
    }
}

/// Kirchhoff at a wire: it carries in a sequence exactly where the solution has a current in it. One of them by hand: on the
/// training board the first wire feeds everything.
#[test]
fn the_first_wire_of_the_training_board_carries_whenever_the_board_is_on() {
    let body = body("lesson-board-12", DocumentKind::WireTable);
    assert_eq!(body["wires"][0]["carries"], "1–6");
}

/// Every part stands in the list once, alone or with those that were declared with it; every source number leads to the
/// source that the description gives.
#[test]
fn every_part_has_a_line_and_its_sources_are_those_of_the_description() {
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let machine = &opened.machine;
        let body = body(name, DocumentKind::PartsList);
        let lines = texts(&body["parts"], "id");
        let wires = |part: &benchleaf::machine::model::Part| matches!(part.kind, PartKind::Wire(_));
        let expected: BTreeSet<String> = machine
            .parts
            .iter()
            .filter(|part| !wires(part))
            .map(|part| part.group.as_deref().map_or_else(|| part.id.clone(), |group| group.replace("..", "…")))
            .collect();
        assert_eq!(lines.len(), expected.len(), "{name}: each once");
        assert_eq!(lines.iter().cloned().collect::<BTreeSet<_>>(), expected, "{name}");
        let sources: Vec<&str> =
            body["sources"].as_array().expect("sources").iter().map(|one| one.as_str().expect("text")).collect();
        for (line, id) in body["parts"].as_array().expect("parts").iter().zip(&lines) {
            let Some(part) = machine.parts.iter().find(|part| part.id == *id) else { continue };
            for value in line["values"].as_array().expect("values") {
                if let PartKind::Resistor(resistor) = &part.kind
                    && value["text"].as_str() == Some(&resistor.resistance.nominal.to_string())
                {
                    let stated = resistor.resistance.source.as_ref().or(part.source.as_ref());
                    let number = value["source"].as_str().map(|number| number.parse::<usize>().expect("a number"));
                    assert_eq!(number.map(|number| sources[number - 1]), stated.map(String::as_str), "{name} {id}");
                }
                if let Some(number) = value["source"].as_str() {
                    let number: usize = number.parse().expect("a number");
                    assert!((1..=sources.len()).contains(&number), "{name} {id}: source {number}");
                }
            }
        }
    }
}

/// The service log asks for readings that the solver gives for that point in that sequence.
#[test]
fn the_service_log_stands_on_the_readings_of_the_machine() {
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let machine = &opened.machine;
        let body = body(name, DocumentKind::ServiceLog);
        let points = body["points"].as_array().expect("points");
        assert!(!points.is_empty(), "{name}");
        let options = desk::options("en", Paper::A4);
        desk::with_figures(&opened, &options, |material| {
            for line in points {
                let number: i64 = line["sequence"].as_str().and_then(|text| text.parse().ok()).expect("a number");
                let sequence = machine.sequence_numbered(number).expect("a sequence of the machine");
                let SequenceId(index) = sequence;
                let readings = &material.solution.sequences[index].readings;
                let found = readings.iter().find(|reading| {
                    let same = machine.test_points[reading.at.0].id == line["point"].as_str().expect("a point");
                    same && options.words.numerals.volts(reading.nominal) == line["reads"].as_str().expect("a reading")
                });
                assert!(found.is_some(), "{name}: {line}");
            }
        });
    }
}
