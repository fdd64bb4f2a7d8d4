//! The order of checks for one sequence: what can be checked, what each check would show for each suspect, the best
//! order, and the numbered steps that a person follows.

mod baseline;
mod bins;
mod checks;
mod good;
mod graph;
mod plan;
mod spread;
mod steps;
mod swap;

pub use bins::{Bin, Bins, Level, Shown};
pub use checks::{CheckKind, Offer, healthy_span, offers};
pub use plan::{Baselines, Order, order};
pub use steps::{Answer, ListItem, Next, Seen, Step};
pub use swap::{Swapped, swapped};
