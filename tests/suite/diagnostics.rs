//! Messages: each spec in `tests/bad` beside the text that it brings, and specs broken at random.
//!
//! `UPDATE_GOLDEN=1` writes the expected texts anew; then read every difference before you keep it.

mod files;
mod fuzz;
mod golden;
mod json;
