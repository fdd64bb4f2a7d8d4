//! From the typed document to the machine: declare the parts, walk the runs, then resolve everything that refers to them.

mod across;
mod builder;
mod coils;
mod contacts;
mod declare;
mod defaults;
mod finish;
mod joints;
mod refer;
mod steps;
mod supplies;
mod walk;

use crate::machine::model::Machine;
use crate::spec::diagnostic::Diagnostic;
use crate::spec::format::Document;
use crate::spec::sources::Sources;

use builder::Builder;

/// The machine that a document means, and every problem of its meaning. There is no machine when there are errors, or
/// when `sound` says that reading the document met some.
pub(super) fn resolve(document: &Document, sources: &Sources, sound: bool) -> (Option<Machine>, Vec<Diagnostic>) {
    let mut builder = Builder::new(sources);
    let references = declare::declare(&mut builder, document);
    walk::walk_all(&mut builder, document);
    across::lay_across(&mut builder, &references);
    refer::resolve(&mut builder, &references);
    let (machine, problems) = finish::finish(builder, document);
    let usable = sound && !super::has_errors(&problems);
    (machine.filter(|_| usable), problems)
}
