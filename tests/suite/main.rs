//! The one integration suite: every module tests a room, or the whole way, through the public interface.
//!
//! One binary, since each one links all of Typst.

mod agreement;
mod audit;
mod black_leads;
mod cards;
mod circuit;
mod cli;
mod diagnostics;
mod documentation;
mod drawing;
mod drill;
mod examples;
mod faults;
mod format;
mod goldens;
mod language;
mod pages;
mod press;
mod readme;
mod sheets;
mod spice;
mod sums;
mod support;
mod upkeep;
