//! Small commands around the work: a description to start from, the schema, completions, manual pages.

use std::fs;

use clap::CommandFactory;

use super::answer::{Answer, Complaint};
use super::args::{Arguments, CompletionsArguments, ManArguments, NewArguments};
use super::table;

/// Prints an annotated description.
#[must_use]
pub fn new(arguments: &NewArguments) -> Answer {
    let id = &arguments.id;
    let usable = |letter: char| letter.is_ascii_alphanumeric() || letter == '-';
    if id.is_empty() || !id.chars().all(usable) {
        return Complaint::new(format!("a machine's short name has letters, digits and hyphens only, found `{id}`"))
            .into();
    }
    Answer::output(crate::spec::template::template(id))
}

/// Prints the schema of the description format.
#[must_use]
pub fn schema() -> Answer {
    Answer::output(table::json(&crate::spec::schema::schema()))
}

/// Prints a completion script.
#[must_use]
pub fn completions(arguments: &CompletionsArguments) -> Answer {
    let mut script = Vec::new();
    let mut command = Arguments::command();
    let name = command.get_name().to_string();
    clap_complete::generate(arguments.shell, &mut command, name, &mut script);
    Answer::output(String::from_utf8_lossy(&script))
}

/// Writes the manual pages: one for the program and one for each command.
#[must_use]
pub fn man(arguments: &ManArguments) -> Answer {
    let folder = &arguments.out;
    let written = fs::create_dir_all(folder).and_then(|()| clap_mangen::generate_to(Arguments::command(), folder));
    match written {
        Ok(()) => Answer::output(format!("manual pages are in {}\n", folder.display())),
        Err(error) => Complaint::new(format!("`{}` cannot be written: {error}", folder.display())).into(),
    }
}
