//! How long fault finding takes on the demo machines, and how well it finds their own faults again.
//!
//! Run with `cargo bench --bench faults`, or `cargo bench --bench faults -- --times` for the times alone.
#![expect(clippy::print_stdout, clippy::cast_precision_loss, reason = "a benchmark prints its table")]

#[path = "../tests/suite/faults/clock.rs"]
mod clock;
#[path = "../tests/suite/faults/random.rs"]
mod random;
#[path = "../tests/suite/faults/round_trip.rs"]
mod round_trip;
#[path = "../tests/suite/faults/walk.rs"]
mod walk;

use std::path::{Path, PathBuf};

use benchleaf::circuit::{Effort, Solver};
use benchleaf::faults::{self, Findings};
use benchleaf::machine;

use clock::Clock;

fn main() {
    // One thread, this one: its own clock then sees all the work.
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build_global();
    alone.expect("nothing has used the pool yet");
    for path in demo_machines() {
        let opened = match machine::open(&path) {
            Ok(opened) => opened,
            Err(refused) => {
                println!("{}: refused\n{}", path.display(), refused.report.render(&refused.sources, false));
                continue;
            }
        };
        let machine = &opened.machine;
        let Ok(solver) = Solver::new(machine) else {
            println!("{}: no solution", path.display());
            continue;
        };
        let start = Clock::start();
        let solution = solver.solve(Effort::Bands);
        let solving = start.elapsed();
        let start = Clock::start();
        let dictionary = faults::dictionary::Dictionary::build(machine, &solver, &solution);
        let looked_up = start.elapsed();
        let differing = dictionary.sequences.iter().map(faults::dictionary::SequenceTable::solved).sum::<usize>();
        let start = Clock::start();
        let findings = faults::analyse(machine, &solver, &solution);
        let analysed = start.elapsed();
        let minutes: f64 = findings.sequences.iter().filter_map(|one| Some(one.search.as_ref()?.minutes)).sum();
        println!(
            "{}: {} parts, {} elements, {} sequences, {} faults; solved in {:.1} ms, {} faulty states in {:.1} ms, all analysed in {:.1} ms, {minutes:.2} minutes expected",
            machine.identity.name,
            machine.parts.len(),
            machine.elements.len(),
            machine.sequences.len(),
            findings.dictionary.faults.len(),
            solving.as_secs_f64() * 1e3,
            differing,
            looked_up.as_secs_f64() * 1e3,
            analysed.as_secs_f64() * 1e3
        );
        if std::env::args().any(|one| one == "--times") {
            continue;
        }
        print_orders(&findings);
        print_walks(&walk::walks(machine, 5, 1, 48));
        print_round_trip(&round_trip::trials(machine, 1, 48));
    }
}

/// The files that are named on the command line, else all demo machines.
fn demo_machines() -> Vec<PathBuf> {
    let named: Vec<PathBuf> = std::env::args().skip(1).filter(|one| !one.starts_with('-')).map(PathBuf::from).collect();
    if !named.is_empty() {
        return named;
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .map(|entries| entries.filter_map(|entry| entry.ok().map(|entry| entry.path())).collect())
        .unwrap_or_default();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    files.sort();
    files
}

fn print_orders(findings: &Findings) {
    println!("  seq  suspects  steps  minutes   bound  best?  along path  from supply  from load  half-split");
    for sequence in &findings.sequences {
        let Some(search) = &sequence.search else {
            println!("  {:>3}  nobody", sequence.number);
            continue;
        };
        println!(
            "  {:>3}  {:>8}  {:>5}  {:>7.2} {:>7.2}  {:>5}  {:>10.2}  {:>11.2}  {:>9.2}  {:>10.2}",
            sequence.number,
            sequence.suspects.len(),
            search.steps.len(),
            search.minutes,
            search.bound,
            if search.optimal { "yes" } else { "near" },
            search.baselines.along_the_path,
            search.baselines.from_the_supply,
            search.baselines.from_the_load,
            search.baselines.half_split
        );
    }
}

/// Where the printed orders lead on machines whose values lie anywhere in their bands.
fn print_walks(walks: &walk::Walks) {
    let percent = |count: usize| 100.0 * count as f64 / walks.count().max(1) as f64;
    println!(
        "  orders walked: {}; at the true place {:.1} %, with look-alikes {:.1} %, not found {:.1} %, wrong {:.1} %",
        walks.count(),
        percent(walks.alone),
        percent(walks.among),
        percent(walks.lost),
        percent(walks.wrong.len())
    );
    for wrong in &walks.wrong {
        println!("    wrong: {wrong}");
    }
}

fn print_round_trip(trials: &[round_trip::Trial]) {
    let within = |most: usize| trials.iter().filter(|trial| trial.group_rank <= most).count();
    let alone = trials.iter().filter(|trial| trial.rank == 1).count();
    let percent = |count: usize| 100.0 * count as f64 / trials.len().max(1) as f64;
    println!(
        "  found again: {} faults; first {:.1} % (with look-alikes {:.1} %), among three {:.1} %",
        trials.len(),
        percent(alone),
        percent(within(1)),
        percent(within(3))
    );
    let mut slowest: Vec<&round_trip::Trial> = trials.iter().collect();
    slowest.sort_by(|a, b| b.seconds.total_cmp(&a.seconds));
    let mean = trials.iter().map(|trial| trial.seconds).sum::<f64>() / trials.len().max(1) as f64;
    let above = trials.iter().filter(|trial| trial.seconds > 0.1).count();
    println!("  an answer takes {:.1} ms; {above} of {} take more than 100 ms; the slowest:", 1e3 * mean, trials.len());
    for trial in slowest.iter().take(3) {
        println!("    {:.1} ms: {}", 1e3 * trial.seconds, trial.label);
    }
    for trial in trials.iter().filter(|trial| trial.group_rank > 1) {
        println!("    not first: {} (place {})", trial.label, trial.group_rank);
    }
}
