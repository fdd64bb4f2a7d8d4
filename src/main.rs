//! The program: hands the command line to the library and its answer to the shell.

use std::io::Write;
use std::process::ExitCode;

use benchleaf::commands::terminal::Terminal;
use benchleaf::commands::{self, Arguments};
use clap::Parser;

fn main() -> ExitCode {
    let answer = commands::run(&Arguments::parse(), Terminal::of_process());
    // A closed pipe is the reader's wish, not a fault.
    let _ = std::io::stderr().lock().write_all(answer.messages.as_bytes());
    let _ = std::io::stdout().lock().write_all(answer.output.as_bytes());
    ExitCode::from(answer.ending.code())
}
