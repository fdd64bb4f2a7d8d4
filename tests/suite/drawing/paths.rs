//! Signal paths of small circuits, taken apart by hand: the expected trees were drawn on paper first.

use benchleaf::circuit::path::{Branch, SignalPath, needed_parts, signal_paths, spine_elements};
use benchleaf::machine::model::{Machine, SequenceId};

use super::bench::Bench;

/// A tree in short form: `A-B` is a series, `[A|B]` a parallel, `{A,B}` a net.
fn short(machine: &Machine, branch: &Branch) -> String {
    let list = |parts: &[Branch], between: &str| -> String {
        parts.iter().map(|part| short(machine, part)).collect::<Vec<_>>().join(between)
    };
    match branch {
        Branch::Element { element, .. } => machine.element(*element).name.clone(),
        Branch::Series(parts) => list(parts, "-"),
        Branch::Parallel(parts) => format!("[{}]", list(parts, "|")),
        Branch::Net { links, .. } => {
            let links: Vec<String> = links.iter().map(|link| short(machine, &link.branch)).collect();
            format!("{{{}}}", links.join(","))
        }
    }
}

fn paths(bench: &Bench, energised: &[&str]) -> Vec<SignalPath> {
    signal_paths(&bench.machine, &bench.solved(energised), SequenceId(0))
}

fn trees(bench: &Bench, energised: &[&str]) -> Vec<String> {
    paths(bench, energised).iter().map(|path| short(&bench.machine, &path.tree)).collect()
}

#[test]
fn a_chain_is_one_series_in_finger_order() {
    let mut bench = Bench::new();
    bench.run("N28 > F2 > TP1 > PB1 > R1 > K2 > wire BK > COM").sequence(&["PB1"], &["K2"]);
    let path = &paths(&bench, &[])[0];
    let names: Vec<&str> =
        spine_elements(&path.spine).map(|element| bench.machine.element(element).name.as_str()).collect();
    assert_eq!(names[..5], ["F2", "PB1", "R1", "K2", names[4]]);
    assert!(names[4].starts_with('W'), "the return wire comes last");
    assert_eq!(bench.machine.joint(path.from).name, "N28", "the terminal away from the reference comes first");
    assert!(path.open.is_empty() && path.side.is_empty() && path.taps.is_empty() && !path.net);
}

#[test]
fn contacts_side_by_side_are_lanes_with_the_holding_contact_second() {
    let mut bench = Bench::new();
    bench.run("N28 > F1 > TP1 > PB1 > TP2 > K1 > COM").run("TP1 > K1:5-6 > TP2").sequence(&["PB1"], &["K1"]);
    assert_eq!(trees(&bench, &["K1"]), ["F1-[PB1|K1:5-6]-K1"]);
}

#[test]
fn a_suppressor_and_a_pilot_lamp_hang_on_the_path_and_other_loads_are_taps() {
    let mut bench = Bench::new();
    bench
        .run("N28 > F1 > TP1 > PB1 > TP2 > K1 > COM")
        .run("COM > D1 > TP2")
        .run("TP1 > DS1 > COM")
        .run("TP1 > M1 > COM")
        .run("TP1 > K3:5-6 > L2 > COM")
        .sequence(&["PB1"], &["K1"]);
    let path = &paths(&bench, &[])[0];
    assert_eq!(short(&bench.machine, &path.tree), "F1-[PB1-[K1|D1]|DS1]");
    let feeds: Vec<&str> =
        path.taps.iter().flat_map(|tap| &tap.feeds).map(|part| bench.machine.part(*part).id.as_str()).collect();
    assert_eq!(feeds, ["M1"], "L2 behind an open contact is not fed");
}

#[test]
fn a_bridge_is_no_series_parallel_network() {
    // The bridge of Wheatstone: two dividers and a link between their middles.
    let mut bench = Bench::new();
    bench
        .run("N28 > F1 > TP1 > R1 > X1 > R3 > TP3 > K1 > COM")
        .run("TP1 > R2 > X2 > R4 > TP3")
        .run("X1 > R5 > X2")
        .sequence(&[], &["K1"]);
    let path = &paths(&bench, &[])[0];
    assert!(path.net);
    assert_eq!(short(&bench.machine, &path.tree), "F1-{R1,R3,R2,R4,R5}-K1");
}

#[test]
fn a_bridge_inside_a_lane_stays_inside_it() {
    let mut bench = Bench::new();
    bench
        .run("N28 > F1 > TP1 > R1 > X1 > R2 > R6 > X3 > R7 > TP3 > K1 > COM")
        .run("X1 > R3 > X4 > R4 > X3")
        .run("TP1 > R5 > X4")
        .run("TP1 > R8 > TP3")
        .sequence(&[], &["K1"]);
    let tree = trees(&bench, &[]).remove(0);
    assert_eq!(tree, "F1-[R8|{R1,R2-R6,R3,R4,R5}-R7]-K1");
}

#[test]
fn an_open_contact_leaves_the_path_that_was_meant() {
    let mut bench = Bench::new();
    bench.run("N28 > F1 > TP1 > PB1 > S1 > TP2 > K1 > COM").run("TP1 > PB2 > PB3 > PB4 > TP2").sequence(&[], &["K1"]);
    let path = &paths(&bench, &[])[0];
    let open: Vec<&str> = path.open.iter().map(|element| bench.machine.element(*element).name.as_str()).collect();
    assert_eq!(open, ["PB1"], "one open contact is fewer than three");
}

#[test]
fn devices_with_a_common_trunk_share_a_drawing() {
    let mut bench = Bench::new();
    bench
        .run("N28 > F1 > TP1 > PB1 > TP2 > K1 > COM")
        .run("TP2 > R1 > L2 > COM")
        .run("N28 > F2 > M1 > COM")
        .sequence(&["PB1"], &["K1", "L2", "M1"]);
    assert_eq!(trees(&bench, &[]), ["F1-PB1-[K1|R1-L2]", "F2-M1"]);
}

#[test]
fn the_roll_call_names_every_part_once_and_no_wire() {
    let mut bench = Bench::new();
    bench
        .run("N28 > F1 > J1:1 > wire RD > TP1 > S1..S3 > K2:5-6 > J1:2 > K1 > COM")
        .run("COM > D1 > K1x")
        .sequence(&[], &["K1"]);
    let solution = bench.solved(&["K2"]);
    let parts = needed_parts(&bench.machine, &solution, SequenceId(0));
    let names: Vec<&str> = parts.iter().map(|part| bench.machine.part(*part).id.as_str()).collect();
    assert_eq!(names, ["PS1", "F1", "J1", "S1", "S2", "S3", "K2", "K1"]);
}

#[test]
fn a_device_that_no_supply_reaches_has_no_path() {
    let mut bench = Bench::new();
    bench.run("N28 > F1 > K1 > COM").run("X1 > K2 > X2").sequence(&[], &["K2", "K1"]);
    assert_eq!(trees(&bench, &[]), ["F1-K1"]);
}
