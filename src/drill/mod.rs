//! Practice faults for a class: exercises from a machine's own circuit, the booklet that discloses their readings one at
//! a time, and a fair score.
//!
//! In come a machine, its solution and its fault findings, and a [`Request`]; out comes a [`Set`]: the same request gives
//! the same set, bit for bit. Nothing in here knows about paper. Showing only the result of a chosen check, on paper, was
//! tried with learners in the 1950s and served them well (Cantor and Brown, NAVTRADEVCEN 1257-2-1).

mod answer;
mod cells;
mod chance;
mod exercise;
mod generate;
mod level;
mod list;
mod log;
mod pool;
mod request;
mod score;
mod showing;

pub use answer::Places;
pub use cells::{Booklet, booklet};
pub use exercise::{Exercise, Listed, Outlook, Set, Stage, Told};
pub use generate::{generate, showings};
pub use level::{LOG_LINES, Level};
pub use log::{Log, LogError};
pub use request::{Refusal, Request};
pub use score::{Deduction, Score, Weights, score, settles};
pub use showing::Showing;
