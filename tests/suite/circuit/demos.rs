//! Every demo machine, as the circuit room sees it.

use std::path::Path;
use std::time::Instant;

use benchleaf::circuit::results::Certainty;
use benchleaf::circuit::{Change, Effort, Solver};
use benchleaf::machine::model::{ElementId, Machine};

fn machines() -> Vec<(String, Machine)> {
    let mut paths: Vec<_> = std::fs::read_dir(Path::new("/work/wt/circuit/specs"))
        .expect("the folder of demo machines")
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|ext| ext == "toml"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .filter_map(|path| match benchleaf::machine::open(&path) {
            Ok(opened) => Some((path.display().to_string(), opened.machine)),
            Err(refused) => {
                println!("{}: refused {}", path.display(), refused.report.render(&refused.sources, false));
                None
            }
        })
        .collect()
}

#[test]
fn timing() {
    for (name, machine) in machines() {
        println!(
            "{name}: {} joints {} parts {} elements {} points {} sequences",
            machine.joints.len(),
            machine.parts.len(),
            machine.elements.len(),
            machine.test_points.len(),
            machine.sequences.len()
        );
        let t = Instant::now();
        let solver = match Solver::new(&machine) {
            Ok(s) => s,
            Err(e) => {
                println!("  REFUSED {}", e.describe(&machine));
                continue;
            }
        };
        println!("  new {:?}", t.elapsed());
        let t = Instant::now();
        let solution = solver.solve(Effort::Nominal);
        println!("  nominal {:?}", t.elapsed());
        let t = Instant::now();
        let banded = solver.solve(Effort::Bands);
        println!("  bands {:?}", t.elapsed());
        let exact =
            banded.sequences.iter().flat_map(|s| &s.readings).filter(|r| r.band.certainty == Certainty::Exact).count();
        let all = banded.sequences.iter().flat_map(|s| &s.readings).count();
        println!("  exact {exact} of {all}");
        let t = Instant::now();
        let mut n = 0;
        for e in 0..machine.elements.len().min(300) {
            for s in 0..machine.sequences.len() {
                let o =
                    solver.faulted(&solution, benchleaf::machine::model::SequenceId(s), &[Change::Open(ElementId(e))]);
                n += o.opened.len();
            }
        }
        println!("  300 faults {:?} {n}", t.elapsed());
        for s in &banded.sequences {
            println!(
                "  seq {} {:?} energised {:?} opened {:?} remarks {:?}",
                machine.sequences[s.sequence.0].number,
                s.settling,
                s.energised.iter().map(|p| &machine.part(*p).id).collect::<Vec<_>>(),
                s.opened.iter().map(|o| (&machine.part(o.fuse).id, o.current)).collect::<Vec<_>>(),
                s.remarks.len()
            );
            for r in s.readings.iter().take(12) {
                println!(
                    "     {} {:?} {:.3} [{:.3} {:.3} {:?}] drop {:?}",
                    machine.test_points[r.at.0].id,
                    r.quantity,
                    r.nominal,
                    r.band.low,
                    r.band.high,
                    r.band.certainty,
                    r.drop.as_ref().map(|d| (&machine.test_points[d.from.0].id, d.nominal, d.band.low, d.band.high))
                );
            }
        }
    }
}
