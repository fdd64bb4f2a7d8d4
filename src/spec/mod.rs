//! What was written: TOML to typed values that know their place in the file.
//!
//! In comes the text of a spec (and of the specs it builds on); out comes a [`format::Document`], whose sections are plain
//! structs, or a [`Report`] of everything that is wrong with it. Nothing in here knows what the values mean: names are
//! still text, and the runs are still routes.

pub mod diagnostic;
pub mod format;
pub mod inherit;
pub mod kind;
pub mod names;
pub mod print;
pub mod quantity;
pub mod range;
pub mod reader;
pub mod route;
pub mod schema;
mod section;
pub mod sources;
pub mod template;
pub mod tree;
pub mod units;
pub mod values;
mod wording;

pub use diagnostic::{Diagnostic, Place, Report, Severity};
pub use kind::Kind;
pub use schema::schema;
pub use sources::Sources;
pub use template::template;
