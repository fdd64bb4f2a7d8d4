//! The format: quantities against worked values, resolution of routes, inheritance, defaults, the schema.

mod defaults;
mod inheritance;
mod plate;
mod quantities;
mod resolution;
mod schema;
mod solving;
mod speed;
mod template;
mod words;
