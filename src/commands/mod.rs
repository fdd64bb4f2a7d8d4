//! One thin file a command: arguments are turned into checked options, the rooms do the work, an [`Answer`] comes back.
//!
//! Nothing here prints. The binary hands over a [`Terminal`](terminal::Terminal) for progress, and prints the answer.

pub mod answer;
pub mod args;
pub mod build;
pub mod check;
pub mod drill;
pub mod faults;
mod made;
mod memory;
pub mod narrow;
mod narrow_text;
pub mod options;
pub mod profile;
mod rebuild;
pub mod register_test;
pub mod solve;
pub mod source;
pub mod sum;
pub mod sum_text;
pub mod table;
pub mod terminal;
pub mod tools;
pub mod verify_code;
pub mod watch;

pub use answer::{Answer, Ending};
pub use args::{Arguments, Command};
use terminal::Terminal;

/// Runs a command.
#[must_use]
pub fn run(arguments: &Arguments, terminal: Terminal) -> Answer {
    match &arguments.command {
        Command::Build(arguments) if arguments.watch => watch::run(arguments, terminal),
        Command::Build(arguments) => build::run(arguments, terminal),
        Command::Check(arguments) => check::run(arguments, terminal),
        Command::Solve(arguments) => solve::run(arguments, terminal),
        Command::Narrow(arguments) => narrow::run(arguments, terminal),
        Command::Drill(arguments) => drill::run(arguments, terminal),
        Command::Sum(arguments) => sum::run(arguments),
        Command::VerifyCode(arguments) => verify_code::run(arguments, terminal),
        Command::RegisterTest(arguments) => register_test::run(arguments),
        Command::New(arguments) => tools::new(arguments),
        Command::Schema => tools::schema(),
        Command::Completions(arguments) => tools::completions(arguments),
        Command::Man(arguments) => tools::man(arguments),
    }
}
