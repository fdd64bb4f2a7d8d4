//! Builds of a watched machine, each soon after the last: what has not changed is neither typeset nor written again, and
//! what was worked on comes first.
//!
//! Every change of a description changes the code at the foot of every page. Documents that say something else are there at
//! once; those with nothing but another code follow, and then the pack, whose export takes longest.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::answer::{Answer, Ending};
use super::args::BuildArguments;
use super::build::{self, Prepared};
use super::made::{self, Made};
use super::memory::{Due, Memory, Stage};
use super::source;
use super::terminal::Terminal;
use crate::press::{self, Base};
use crate::sheets::Sheet;

/// One build; gives the files that were read, too. Where it is interrupted between two stages, later ones are left to the
/// next build.
pub(super) fn again(
    arguments: &BuildArguments,
    base: &Base,
    memory: &mut Memory,
    terminal: Terminal,
    mut interrupted: impl FnMut(&[PathBuf]) -> bool,
) -> (Answer, Vec<PathBuf>) {
    let specs = match source::find(&arguments.specs) {
        Ok(specs) => specs,
        Err(complaint) => return (complaint.into(), Vec::new()),
    };
    let mut answer = Answer::default();
    let mut read = specs.clone();
    let mut machines = Vec::new();
    for spec in &specs {
        match build::prepare(spec, arguments, (base, Some(&mut *memory)), terminal) {
            Ok(machine) => {
                answer.messages.push_str(&machine.warnings);
                read.extend(machine.read.iter().cloned());
                machines.push(machine);
            }
            Err(fault) => answer.join(&fault),
        }
    }
    if answer.ending != Ending::Fine {
        answer.messages.push_str(made::NOTHING);
        return (answer, read);
    }
    let due = due(&machines, &arguments.out, base, memory);
    for stage in Stage::ALL {
        if stage != Stage::Changed && interrupted(&read) {
            break;
        }
        answer.join(&write_stage(stage, machines.iter().zip(&due), (&arguments.out, base), memory));
        if answer.ending != Ending::Fine {
            break;
        }
    }
    press::forget_unused();
    (answer, read)
}

/// When each document of each machine is due.
fn due(machines: &[Prepared], out: &Path, base: &Base, memory: &Memory) -> Vec<Vec<Due>> {
    let of_machine = |machine: &Prepared| {
        machine.sheets.par_iter().map(|sheet| memory.due(machine, sheet, base, out)).collect::<Vec<_>>()
    };
    machines.iter().map(of_machine).collect()
}

/// Typesets and writes the documents of all machines that are of this stage.
fn write_stage<'a>(
    stage: Stage,
    machines: impl Iterator<Item = (&'a Prepared, &'a Vec<Due>)>,
    (out, base): (&Path, &Base),
    memory: &mut Memory,
) -> Answer {
    let (mut made, mut written) = (Vec::new(), Vec::new());
    for (machine, due) in machines {
        let (sheets, due): (Vec<&Sheet>, Vec<&Due>) =
            machine.sheets.iter().zip(due).filter(|(_, due)| due.stage == Some(stage)).unzip();
        let stems: Vec<String> = sheets.iter().map(|sheet| sheet.file_stem.clone()).collect();
        match press::typeset_all(base, &sheets, &machine.press) {
            Ok(printed) => made.push(Made::of(out, &stems, printed, &machine.sources)),
            Err(fault) => return Answer::unusable(fault),
        }
        written.extend(due);
    }
    if written.is_empty() {
        return Answer::default();
    }
    let mut answer = made::write(&made);
    if answer.ending == Ending::Fine {
        memory.remember(&written);
    }
    for one in &made {
        answer.messages.push_str(&one.warnings);
    }
    answer
}
