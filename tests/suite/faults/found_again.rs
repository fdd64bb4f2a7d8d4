//! Faults of the demo machines must be found again from their own readings.

use std::path::Path;

use benchleaf::machine;

use super::round_trip::{Trial, trials};

/// Machines, and which faults of them are tried here; the benchmark tries all.
const MACHINES: [(&str, usize); 4] = [
    ("specs/lesson-board-12.toml", 1),
    ("specs/gull-gallery.toml", 5),
    ("specs/old-barnabas.toml", 3),
    ("specs/tern-48.toml", 13),
];

#[test]
fn faults_are_found_again() {
    for (path, step) in MACHINES {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
        let machine = machine::open(&path).unwrap_or_else(|_| panic!("{}", path.display())).machine;
        let trials = trials(&machine, step, 48);
        assert!(trials.len() >= 10);
        let first = trials.iter().filter(|trial| trial.group_rank == 1).count();
        let missed: Vec<&Trial> = trials.iter().filter(|trial| trial.group_rank > 1).collect();
        let list: Vec<String> = missed
            .iter()
            .map(|trial| {
                format!(
                    "{} at {}, alone at {}, after {:.3} s",
                    trial.label, trial.group_rank, trial.rank, trial.seconds
                )
            })
            .collect();
        assert!(first * 100 >= trials.len() * 95, "{}: {first} of {}: {list:?}", machine.identity.name, trials.len());
        assert!(missed.iter().all(|trial| trial.group_rank <= 3), "{}: {list:?}", machine.identity.name);
    }
}
