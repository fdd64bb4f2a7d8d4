//! The reference pages keep their word: the page on the format names just the keys that the schema has, its examples open
//! and work, its assumed values are those of the program; the page on reports names just the fields that the commands give.

mod format;
mod page;
mod reports;
