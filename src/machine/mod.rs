//! What the description means: every name resolved, every run turned into joints and elements.
pub mod model;
