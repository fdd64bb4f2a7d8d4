//! Fault kinds: what can be wrong with each part and wire, how likely that is by default, and how it is usually checked.
//!
//! Weights and minutes are defaults of this program from common practice, with no statistics behind them; they are
//! printed as defaults, and a description may override each. A fault that comes in sizes (ohms in a dirty contact)
//! is listed once a size, and its weight is divided over them.

mod catalogue;
mod kind;

pub use catalogue::{Fault, Site, catalogue};
pub use kind::{Defaults, FaultKind, UsualCheck};
