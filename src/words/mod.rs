//! Words: the language file, how a language writes numbers, and the facts that become sentences.
//!
//! Rooms before paper do not speak. What they find is a [`Fact`]: the key of a pattern in the language file and the
//! values that go into it, each of a kind (a name of the machine's own, a number with its unit, a count, another fact, a
//! list). [`Words`] turns it into a sentence of one language, and nothing else does. Numbers get the decimal sign of the
//! language, the machine's own names and texts stay as they were written.

pub mod fact;
pub mod figures;
pub mod language;

pub use fact::{Fact, Value};
pub use figures::Numerals;
pub use language::Words;
