//! The order of checks for one sequence: what can be checked, what each check would show for each suspect, the best
//! order, and the numbered steps that a person follows.

mod baseline;
mod bins;
mod checks;
mod plan;
mod steps;

pub use bins::{Bin, Bins, Level};
pub use checks::{CheckKind, Offer, healthy_span, offers};
pub use plan::{Baselines, Order, order};
pub use steps::{Answer, ListItem, Next, Step};
