//! Every sequence of every demo machine, as it settled, against ngspice.

use std::fmt::Write;
use std::path::Path;

use benchleaf::circuit::{Effort, Solution, Solver};
use benchleaf::machine::model::{JointId, Machine, PartKind};

use super::netlist::{Analysis, Curved, Netlist, STRAIGHT};
use super::{ngspice, voltages};

/// All demo machines.
pub(crate) fn machines() -> Vec<Machine> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the folder of demo machines")
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    paths.sort();
    let open = |path: &std::path::PathBuf| benchleaf::machine::open(path).ok().map(|opened| opened.machine);
    let machines: Vec<Machine> = paths.iter().filter_map(open).filter(|machine| !machine.elements.is_empty()).collect();
    assert!(machines.len() >= 4, "only {} demo machines could be read", machines.len());
    machines
}

fn frequencies(machine: &Machine) -> Vec<f64> {
    let mut found: Vec<f64> = machine
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Supply(supply) if supply.rectifier.is_none() => {
                supply.frequency.map(benchleaf::spec::units::Hertz::value)
            }
            _ => None,
        })
        .collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

fn nets<'a>(machine: &'a Machine, solution: &'a Solution, analysis: Analysis) -> Vec<Netlist<'a>> {
    let net = |(index, sequence): (usize, &'a benchleaf::circuit::SequenceSolution)| Netlist {
        machine,
        setting: &machine.sequences[index].setting,
        solution: sequence,
        prefix: format!("s{index}"),
        analysis,
        curved: Curved::AsFound,
    };
    solution.sequences.iter().enumerate().map(net).collect()
}

fn run(nets: &[Netlist<'_>], command: &str) -> std::collections::BTreeMap<String, (f64, f64)> {
    let mut text = format!("* demo machine\n{STRAIGHT}");
    for net in nets {
        text.push_str(&net.lines());
    }
    write!(text, ".control\nset numdgt=15\n{command}\nprint all\nquit\n.endc\n.end\n").unwrap();
    voltages(&ngspice(&text))
}

#[test]
fn every_settled_sequence_agrees_to_a_hundred_thousandth() {
    if !crate::support::installed("ngspice") {
        return;
    }
    for machine in machines() {
        let solution = Solver::new(&machine).unwrap().solve(Effort::Nominal);
        let direct = nets(&machine, &solution, Analysis::Direct);
        let there = run(&direct, "op");
        let mut compared = 0;
        for net in &direct {
            for (joint, own) in net.solution.joints.iter().enumerate().filter(|(_, own)| !own.floating) {
                let Some(&(expected, _)) = there.get(&net.node(JointId(joint))) else { continue };
                let name = &machine.joints[joint].name;
                let off = (own.direct - expected).abs();
                assert!(
                    off <= 1e-5 * expected.abs() + 1e-6,
                    "{} {} {name}: {} for {expected}",
                    machine.identity.id,
                    net.prefix,
                    own.direct
                );
                compared += 1;
            }
        }
        assert!(compared > 10, "{}: only {compared} joints", machine.identity.id);
        compare_alternating(&machine, &solution);
    }
}

/// All frequencies together, since that is what a meter shows.
fn compare_alternating(machine: &Machine, solution: &Solution) {
    let mut squares = std::collections::BTreeMap::<String, f64>::new();
    for frequency in frequencies(machine) {
        let alternating = nets(machine, solution, Analysis::Alternating(frequency));
        for (node, (real, imaginary)) in run(&alternating, &format!("ac lin 1 {frequency} {frequency}")) {
            *squares.entry(node).or_default() += real * real + imaginary * imaginary;
        }
    }
    for net in nets(machine, solution, Analysis::Direct) {
        for (joint, own) in net.solution.joints.iter().enumerate().filter(|(_, own)| !own.floating) {
            let Some(square) = squares.get(&net.node(JointId(joint))) else { continue };
            let (expected, found) = (square.sqrt(), own.real.hypot(own.imaginary));
            let name = &machine.joints[joint].name;
            let context = || format!("{} {} {name}: {found} for {expected}", machine.identity.id, net.prefix);
            assert!((found - expected).abs() <= 1e-5 * expected + 1e-6, "{}", context());
        }
    }
}
