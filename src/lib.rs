//! `benchleaf` turns one TOML description of a coin-operated electromechanical machine into the paper that a repairer
//! works from. Data walks one way through the rooms: what was written ([`spec`]), what it means ([`machine`]), what it
//! does ([`circuit`]), what may be wrong ([`faults`], [`hazards`], [`audit`]), what is said ([`drawing`], [`sheets`]), ink ([`press`]).

pub mod assets;
pub mod audit;
pub mod circuit;
pub mod commands;
pub mod drawing;
pub mod drill;
pub mod faults;
pub mod hazards;
pub mod machine;
pub mod press;
pub mod sheets;
pub mod spec;
pub mod sums;
pub mod words;
