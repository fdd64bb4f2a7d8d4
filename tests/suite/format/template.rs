//! The annotated spec of the command `new`: it opens, and its machine works.

use benchleaf::circuit::{self, Effort};
use benchleaf::machine::model::JointId;

use super::resolution::open;

#[test]
fn the_template_is_a_machine_that_works() {
    let opened = open(&benchleaf::spec::template("my machine/1"));
    let machine = &opened.machine;
    assert_eq!((machine.identity.id.as_str(), machine.identity.name.as_str()), ("my-machine-1", "My Machine 1"));
    assert!(opened.warnings.is_empty(), "{}", opened.warnings.render(&opened.sources, false));
    let joint = |name: &str| machine.joints.iter().position(|joint| joint.name == name).map(JointId);
    let diode = machine.elements.iter().find(|element| element.name == "D1").expect("a diode");
    assert_eq!(Some(diode.from), joint("COM"), "the anode is on the negative side");
    let solution = circuit::solve(machine, Effort::Nominal).expect("it can be solved");
    let relay = machine.part_named("K1").expect("a relay");
    for sequence in &solution.sequences {
        assert!(sequence.energised.contains(&relay), "the relay pulls in, then holds itself");
    }
}

#[test]
fn what_has_no_date_can_be_solved_but_not_printed() {
    let template = benchleaf::spec::template("shed");
    assert!(open(&template).unprintable.is_empty());
    let undated: Vec<&str> = template.lines().filter(|line| !line.starts_with("revised")).collect();
    let opened = open(&undated.join("\n"));
    let problem = opened.unprintable.iter().next().expect("the date is missing");
    assert_eq!(problem.message(), "[machine] lacks its key `revised`, the date that every page carries");
    assert_eq!(opened.sources.slice(problem.at), "[machine]");
}
